"""Searches for the smallest sets of changes that leave no fail, and says up to which size it looked.

A set that works must change something that each failing rule leans on. So the search takes one failing rule, tries every
allowed change that bears on it, and goes on with what still fails, all sets of one change before those of two: what it finds
first is smallest, and where it was not stopped no smaller set of the allowed changes works. Matters that share no change need
one each, so that much smaller sets need not be tried. Where too many would be needed, it goes down one matter after another
and says that fewer might do.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from validator.advising.mending.alternatives import Alternative, Start, alternative_of, findings_of
from validator.advising.mending.candidates import Allowed, Changes
from validator.advising.mending.changes import Change, EditedAssembly, changed, touched, unchanged
from validator.advising.mending.line_scope import LineScope
from validator.advising.mending.trials import Matter, Trial, TrialJudge, TrialResult
from validator.advising.mending.ways_tried import WayTried, ways_tried
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadAssembly

MOST_CHANGES = 8
MOST_TRIED = 12_000
MOST_ALTERNATIVES = 3
MOST_STEPS_DOWN = 150
MOST_TOGETHER, MOST_BESIDE = 3, 60  # changes that settle one matter together; those kept that settle nothing alone


class MendResult(NamedTuple):
    """What was found: alternatives, the easiest first; what still failed nowhere could be mended; how far was looked."""

    before: Report
    alternatives: tuple[Alternative, ...]
    smallest: int  # the size of the alternatives, 0 where nothing has to change
    tried: int
    looked: int  # no set of fewer changes than this works
    complete: bool  # whether every set up to the greatest size was tried
    stuck: tuple[Matter, ...] = ()  # failing rules that no allowed change bears on; the others are mended all the same
    left: tuple[Matter, ...] = ()  # what fails still after all that could be settled
    ways: tuple[WayTried, ...] = ()  # what each way of the trade alone would settle


class SearchNode(NamedTuple):
    """A set of changes made, and what fails then."""

    state: EditedAssembly
    failing: frozenset[Matter]

    @property
    def made(self) -> tuple[Change, ...]:
        return self.state.made

    @property
    def conflict_keys(self) -> frozenset[object]:
        return frozenset(change.conflict_key for change in self.made)


ANYTHING = Allowed()


def mend(draft: Draft, loaded: LoadedBook, *, clear: bool = False, allowed: Allowed = ANYTHING) -> MendResult:
    """Up to three of the smallest sets of changes after which nothing fails as told; with `clear` nothing strictly, and nothing
    is open that could.
    """
    search = _Search(draft, loaded, clear, allowed._replace(unsaid=clear))
    found = search.mended()
    if clear:
        return found
    done = [each.changes[0] for each in found.alternatives if len(each.changes) == 1]
    offered = {(change.done.name, change.subject.name) for change in done if change.done is not None}
    ways = ways_tried(draft, search.assembly, found.before, search.changes, search.judge, loaded)
    return found._replace(ways=tuple(each for each in ways if (each.way.name, each.place) not in offered))


def _uses_the_catalogue(assembly: Assembly) -> bool:
    """Whether any of its goods is written: who has none of them is offered none."""
    return any(product.card for subject in assembly.subjects for product in subject.products)


class _Search:
    def __init__(self, draft: Draft, loaded: LoadedBook, clear: bool, allowed: Allowed) -> None:
        self.loaded, self.assembly = loaded, draft.assembly()
        allowed = allowed._replace(catalogue=allowed.goods or allowed.catalogue and _uses_the_catalogue(self.assembly))
        self.judge = TrialJudge(loaded, clear)
        self.start = unchanged(draft, self.assembly, self.judge.read)
        self.changes, self.line_scope = Changes(loaded, allowed), LineScope(self.start)
        self.tried = 0
        self.left: frozenset[Matter] = frozenset()
        self.found: dict[frozenset[object], SearchNode] = {}
        self.seen: set[frozenset[tuple[object, str]]] = set()
        self.kept: dict[object, list[Change]] = {}

    def mended(self) -> MendResult:
        start, before = self.start, check(self.assembly, self.loaded, passes=False)
        failing = self.judge.failing(start.subjects.values(), self.judge.rules.values())
        if not failing:
            return MendResult(before, (), 0, 0, 0, True)
        self.judge.failed = frozenset((matter.place, matter.rule) for matter in failing)
        options = {matter: self._candidates(start, matter) for matter in failing}
        stuck = tuple(sorted(matter for matter, changes in options.items() if not changes))
        if len(stuck) == len(failing):
            return MendResult(before, (), 0, self.tried, MOST_CHANGES, True, stuck)
        self.judge.given_up = frozenset((matter.place, matter.rule) for matter in stuck)
        options = {matter: changes for matter, changes in options.items() if changes}
        first = SearchNode(start, frozenset(options))
        looked, complete = self._search(first, _apart(options))
        if not self.found:
            self._step_down(first)
        warned = frozenset((finding.rule, finding.place) for finding in findings_of(before, self.judge.clear) if finding.outcome == "warn")
        chosen = self._chosen(Start(self.loaded, self.judge, self.changes, self.assembly, start, warned))
        size = len(chosen[0].changes) if chosen else 0
        return MendResult(before, chosen, size, self.tried, looked, complete, stuck, tuple(sorted(self.left)))

    def _candidates(self, state: EditedAssembly, matter: Matter) -> list[Change]:
        """Every allowed change that bears on a matter, the easiest first; kept for every state that is alike for the matter."""
        place, rule, is_open = matter
        key = (matter, self.judge.cache_key(state.made, rule))
        if key not in self.kept:
            subject, found = state.subjects[place], {}
            places = [subject, *(state.subjects[end] for end in subject.at if end in state.subjects)]
            if subject.sort == "place":
                places += [each for each in state.subjects.values() if each.sort == "job"]
            for each in places:
                for change in self.changes.of(each, self.judge.what_if.dependencies.of_rule(rule), surely=not is_open):
                    found.setdefault((change.conflict_key, change.after), change)
            self.kept[key] = sorted(found.values(), key=lambda change: change.effort_key)
        return self.kept[key]

    def _to_try(self, node: SearchNode, first: Matter) -> Iterator[Trial]:
        """The changes that bear on a matter, of lines that nothing else of the set changes."""
        conflict_keys = node.conflict_keys
        for change in self._candidates(node.state, first):
            if change.conflict_key not in conflict_keys:
                yield Trial(node.state, node.failing, self.line_scope.scoped(node.state, change), first)

    # -- all sets of one size before those of the next ------------------------------------------------------------------------

    def _search(self, start: SearchNode, least: int) -> tuple[int, bool]:
        """Below which size no set works, and whether everything was tried up to the greatest."""
        for size in range(least, MOST_CHANGES + 1):
            self.seen.clear()
            nodes, stopped = [start], False
            for left in range(size, 0, -1):
                nodes, stopped = self._level(nodes, left)
                if stopped or not nodes:
                    break
            if self.found or stopped:
                return size, not stopped
        return max(least, MOST_CHANGES + 1), least <= MOST_CHANGES

    def _level(self, nodes: Iterable[SearchNode], left: int) -> tuple[list[SearchNode], bool]:
        """Every set with one change more that could still work with the changes that are left, and whether to stop."""
        trials = [(node, trial) for node in nodes for trial in self._trials(node, left)]
        stopped = self.tried + len(trials) > MOST_TRIED
        trials = trials[: MOST_TRIED - self.tried]
        self.tried += len(trials)
        further: list[SearchNode] = []
        alike: dict[int, set[tuple[object, frozenset[Matter]]]] = {}
        for (node, trial), after in zip(trials, self.judge.results([trial for _, trial in trials], last=left == 1)):
            if after is None:
                continue
            change, conflict_keys = trial.change, node.conflict_keys | {trial.change.conflict_key}
            if not after.failing:
                if conflict_keys not in self.found:
                    self.found[conflict_keys] = _after(node, change, after)
            elif left > 1 and conflict_keys not in self.found and not self._no_nearer(change, after.failing, alike.setdefault(id(node), set())):
                further.append(_after(node, change, after))
        return further, stopped

    def _trials(self, node: SearchNode, left: int) -> Iterator[Trial]:
        """The changes to try next: all that bear on the matter with the fewest."""
        options = {matter: self._candidates(node.state, matter) for matter in sorted(node.failing)}
        if _apart(options) > left:
            return
        first = min(options, key=lambda matter: len(options[matter]))
        made, conflict_keys = frozenset((change.conflict_key, change.after) for change in node.made), node.conflict_keys
        for trial in self._to_try(node, first):
            together = made | {(trial.change.conflict_key, trial.change.after)}
            if together not in self.seen and conflict_keys | {trial.change.conflict_key} not in self.found:
                self.seen.add(together)
                yield trial

    def _no_nearer(self, change: Change, failing: frozenset[Matter], alike: set[tuple[object, frozenset[Matter]]]) -> bool:
        """True of a value that leaves what a nearer one left, where nothing of that leans on the fact changed."""
        if any(change.fact in self.judge.what_if.dependencies.of_rule(rule) for _, rule, _ in failing):
            return False
        key = (change.conflict_key, failing)
        known = key in alike
        alike.add(key)
        return known

    # -- one matter after another ---------------------------------------------------------------------------------------------

    def _step_down(self, node: SearchNode) -> None:
        """Towards a set that works, matter after matter, each settled by the easiest change that brings no new fail."""
        start, hopeless = node, set()
        while node.failing and len(node.made) < MOST_STEPS_DOWN:
            options = {m: self._candidates(node.state, m) for m in sorted(node.failing) if (m.place, m.rule) not in hopeless}
            if not options:
                break
            first = min(options, key=lambda matter: (matter.is_open, len(options[matter])))
            further = self._settled(node, first)
            if further is None:
                hopeless.add((first.place, first.rule))
            else:
                node = further
        self.left = node.failing
        if self.left and (self.judge.clear or not node.made):
            return
        self.judge.given_up |= {(matter.place, matter.rule) for matter in self.left}
        node = self._thinned(start, node)
        self.found[node.conflict_keys] = node

    def _settled(self, node: SearchNode, first: Matter) -> SearchNode | None:
        """One matter settled by one change, or by two or three where no one does."""
        nodes = [node]
        for _ in range(MOST_TOGETHER):
            trials = [(each, trial) for each in nodes for trial in self._to_try(each, first)]
            self.tried += len(trials)
            tried = zip(trials, self.judge.results([trial for _, trial in trials], last=False))
            no_worse = [
                (each, trial.change, after) for (each, trial), after in tried
                if after is not None and _fails(after.failing) <= _fails(node.failing)
            ]  # fmt: skip
            settled = [each for each in no_worse if all(m[:2] != first[:2] for m in each[2].failing)]
            if settled:
                return _after(*min(settled, key=lambda e: (_fails(e[2].failing), _ease(e[0], e[1]), len(e[2].failing))))
            nodes = [_after(*each) for each in sorted(no_worse, key=lambda each: each[1].effort_key)[:MOST_BESIDE]]
        return None

    def _thinned(self, start: SearchNode, node: SearchNode) -> SearchNode:
        """A set that works without the changes that it does not need, the hardest tried first."""
        for change in sorted(node.made, key=lambda change: -change.effort):
            state, rest = start.state, tuple(each for each in node.made if each is not change)
            try:
                for each in rest:
                    state = changed(state, each)
            except BadAssembly:
                continue
            places = {n: s for n, s in state.subjects.items() if not change.is_quick or n in _names(node.state, change)}
            rules = self.judge.noticing(change.fact) if change.is_of_a_line else self.judge.rules
            if not self.judge.failing(places.values(), rules.values()):
                node = SearchNode(state, frozenset())
        return node

    # -- choosing -------------------------------------------------------------------------------------------------------------

    def _chosen(self, start: Start) -> tuple[Alternative, ...]:
        """The easiest, then those of another kind, then others; each judged whole as it would be read from its file."""
        ranked = sorted(self.found.values(), key=lambda node: (max(c.effort for c in node.made), sum(c.effort for c in node.made)))
        kinds: list[tuple[str, ...]] = []
        picked: list[SearchNode] = []
        for node in ranked:
            kind = tuple(sorted(change.how for change in node.made))
            if kind not in kinds:
                kinds.append(kind)
                picked.append(node)
        picked += [node for node in ranked if node not in picked]
        alternatives: list[Alternative] = []
        for node in picked:
            if len(alternatives) == MOST_ALTERNATIVES:
                break
            alternative = alternative_of(start, node.state)
            if alternative is not None:
                alternatives.append(alternative)
        return tuple(sorted(alternatives, key=lambda each: each.effort))


def _after(node: SearchNode, change: Change, after: TrialResult) -> SearchNode:
    return SearchNode(after.state or changed(node.state, change), after.failing)


def _ease(node: SearchNode, change: Change) -> list[tuple[int, bool]]:
    """Of a set with one change more, the hardest first."""
    return sorted((each.effort_key for each in (*node.made, change)), reverse=True)


def _fails(failing: frozenset[Matter]) -> int:
    return sum(1 for matter in failing if not matter.is_open)


def _names(state: EditedAssembly, change: Change) -> set[str]:
    return {subject.name for subject in touched(state.subjects, change)}


def _apart(options: dict[Matter, list[Change]]) -> int:
    """How many changes there must be at least: so many matters have no change in common."""
    taken: set[object] = set()
    number = 0
    for changes in sorted(options.values(), key=len):
        conflict_keys = {change.conflict_key for change in changes}
        if not conflict_keys & taken:
            taken |= conflict_keys
            number += 1
    return number
