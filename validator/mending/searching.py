"""The smallest sets of changes that leave no fail, and how far was looked for a smaller one.

A set that works must change something that each failing rule leans on. So the search takes one failing rule, tries every
allowed change that bears on it, and goes on with what still fails, first with one change, then with two, then with three:
what it finds first is smallest, and where it was not stopped no smaller set of the allowed changes works. Matters that share
no change need one each, so that much smaller sets need not be tried.
"""

from typing import NamedTuple

from validator.assembly.drafting import Draft
from validator.mending.changing import ADDED, REMOVED, Allowed, Change, State, changed, changes_for, places_of
from validator.checking import check
from validator.engines.meaning import Judgement, PreparedRule
from validator.mending.following import also_changes
from validator.outcomes import OPEN_OUTCOMES, Outcome, Report
from validator.possible import read
from validator.reading import BadAssembly
from validator.ready import Ready
from validator.splitting import needed
from validator.subjects import Subject
from validator.wondering import Wondering

MOST_CHANGES = 8
MOST_TRIED = 4000
MOST_ALTERNATIVES = 3
Matter = tuple[str, str]  # a place and a rule that fails there


class Alternative(NamedTuple):
    """One set of changes that works: the page with them made, its report, and what it newly warns of."""

    changes: tuple[Change, ...]
    draft: Draft
    report: Report
    new_warns: tuple[tuple[str, str], ...]  # title and place
    limits: tuple[str, ...]  # for each change, how far it had to go, where it went further to the next size
    places: tuple[tuple[str, ...], ...]  # for each change, every place for which its line speaks
    also: tuple[str, ...] = ()  # sums and quantities that come out otherwise

    @property
    def effort(self) -> tuple[int, int]:
        rungs = [change.rung for change in self.changes]
        return max(rungs, default=0), sum(rungs)


class Mended(NamedTuple):
    """What was found: alternatives, the easiest first; what still failed nowhere could be mended; how far was looked."""

    before: Report
    alternatives: tuple[Alternative, ...]
    smallest: int  # the size of the alternatives, 0 where nothing has to change
    tried: int
    looked: int  # no set of fewer changes than this works
    complete: bool  # whether every set up to the greatest size was tried
    stuck: tuple[Matter, ...] = ()  # failing rules that no allowed change bears on


ANYTHING = Allowed()


def mend(draft: Draft, ready: Ready, *, clear: bool = False, allowed: Allowed = ANYTHING) -> Mended:
    """Up to three of the smallest sets of changes that leave no fail, and with `clear` nothing open that could fail."""
    return _Search(draft, ready, clear, allowed._replace(unsaid=clear)).mended()


class _Stop(Exception):
    """Enough was tried."""


class _Search:
    def __init__(self, draft: Draft, ready: Ready, clear: bool, allowed: Allowed) -> None:
        self.draft, self.ready, self.clear, self.allowed = draft, ready, clear, allowed
        self.wonder = Wondering(ready)
        self.rules = {rule.name: rule for rule in ready.meaning.rules if rule.trees.severity == "fail"}
        self.tried = 0
        self.found: dict[frozenset[object], tuple[State, tuple[Change, ...]]] = {}
        self.seen: set[frozenset[tuple[object, str]]] = set()
        self.kept: dict[object, tuple[list[Change], list[Subject]]] = {}

    def mended(self) -> Mended:
        assembly = self.assembly = self.draft.assembly()
        before = check(assembly, self.ready, passes=False)
        start = self.start = State(self.draft, {subject.name: subject for subject in assembly.subjects})
        failing = self._failing(start.subjects.values(), self.rules.values())
        if not failing:
            return Mended(before, (), 0, 0, 0, True)
        options = {matter: self._candidates(start, matter) for matter in failing}
        stuck = tuple(sorted(matter for matter, changes in options.items() if not changes))
        if stuck:
            return Mended(before, (), 0, self.tried, MOST_CHANGES, True, stuck)
        looked, complete = _apart(options), True
        for size in range(looked, MOST_CHANGES + 1):
            self.seen.clear()
            try:
                self._search(start, failing, (), size)
            except _Stop:
                complete = False
            if self.found or not complete:
                looked = size
                break
            looked = size + 1
        chosen = self._chosen(before)
        size = len(chosen[0].changes) if chosen else 0
        return Mended(before, chosen, size, self.tried, looked, complete)

    # -- judging --------------------------------------------------------------------------------------------------------------

    def _bad(self, judgement: Judgement) -> bool:
        if judgement.severity != "fail":
            return False
        return judgement.outcome is Outcome.BREACH or self.clear and judgement.outcome in OPEN_OUTCOMES

    def _failing(self, subjects, rules) -> frozenset[Matter]:
        rules = list(rules)
        found: set[Matter] = set()
        for subject in subjects:
            here = [rule for rule in rules if rule.sort == subject.sort]
            found.update((subject.name, j.prepared.name) for j in self.wonder.judged(subject, here) if self._bad(j))
        return frozenset(found)

    def _after(
        self, before: State, failing: frozenset[Matter], change: Change, first: Matter, last: bool
    ) -> tuple[State, frozenset[Matter]] | None:
        """The state with a change, and what fails then; None where it cannot be read, or is the last and does not help."""
        self.tried += 1
        if self.tried > MOST_TRIED:
            raise _Stop
        try:
            after = changed(before, change)
        except BadAssembly:
            return None
        if last and first[0] in after.subjects and self._still(after.subjects[first[0]], first[1]):
            return None
        return after, self._failing_after(before, after, failing, change)

    def _still(self, subject: Subject, rule: str) -> bool:
        return any(self._bad(j) for j in self.wonder.judged(subject, [self.rules[rule]]))

    def _failing_after(self, before: State, after: State, failing: frozenset[Matter], change: Change) -> frozenset[Matter]:
        """What fails after a change: judged anew where a place differs, and only what could notice."""
        anew = change.way in (ADDED, REMOVED)
        bearing = self.rules.values() if anew else self._noticing(change.fact)
        names = {rule.name for rule in bearing}
        touched = {n: s for n, s in after.subjects.items() if anew or before.subjects.get(n) is not s}
        kept = {m for m in failing if m[0] in after.subjects and not (m[0] in touched and m[1] in names)}
        return frozenset(kept | self._failing(touched.values(), bearing))

    def _noticing(self, fact: str) -> list[PreparedRule]:
        return [rule for name, rule in self.rules.items() if fact in self.wonder.leans_on(name)]

    # -- searching ------------------------------------------------------------------------------------------------------------

    def _candidates(self, state: State, matter: Matter) -> list[Change]:
        """Every allowed change that bears on a matter, the easiest first; kept for places that have not changed."""
        subject = state.subjects[matter[0]]
        places = [subject, *(state.subjects[end] for end in subject.at if end in state.subjects)]
        if subject.sort == "place":
            places += [each for each in state.subjects.values() if each.sort == "job"]
        key = (matter, *(id(place) for place in places))
        if key not in self.kept:
            names, found = self.wonder.leans_on(matter[1]), {}
            for place in places:
                for change in changes_for(place, names, self.ready, self.allowed):
                    found.setdefault((change.spot, change.after), change)
            # The places are kept too, so that no other place is ever known by the same number.
            self.kept[key] = (sorted(found.values(), key=lambda change: change.rung), places)
        return self.kept[key][0]

    def _search(self, state: State, failing: frozenset[Matter], made: tuple[Change, ...], left: int) -> None:
        options = {matter: self._candidates(state, matter) for matter in sorted(failing)}
        if _apart(options) > left:
            return
        first = min(options, key=lambda matter: len(options[matter]))
        spots = {change.spot for change in made}
        alike: set[tuple[object, frozenset[Matter]]] = set()
        for change in options[first]:
            together = (*made, change)
            if change.spot in spots or self._known_already(together):
                continue
            after = self._after(state, failing, change, first, left == 1)
            if after is None:
                continue
            if not after[1]:
                self.found.setdefault(frozenset(each.spot for each in together), (after[0], together))
            elif left > 1 and not self._no_nearer(change, after[1], alike):
                self._search(after[0], after[1], together, left - 1)

    def _no_nearer(self, change: Change, failing: frozenset[Matter], alike: set[tuple[object, frozenset[Matter]]]) -> bool:
        """True of a value that leaves what a nearer one left, where nothing of that leans on the fact changed."""
        if any(change.fact in self.wonder.leans_on(rule) for _, rule in failing):
            return False
        key = (change.spot, failing)
        known = key in alike
        alike.add(key)
        return known

    def _known_already(self, together: tuple[Change, ...]) -> bool:
        """True of a set met before in another order, or at the same spots as one that works with nearer values."""
        spots = frozenset(change.spot for change in together)
        key = frozenset((change.spot, change.after) for change in together)
        if spots in self.found or key in self.seen:
            return True
        self.seen.add(key)
        return False

    # -- choosing -------------------------------------------------------------------------------------------------------------

    def _chosen(self, before: Report) -> tuple[Alternative, ...]:
        """The easiest, then those of another kind, then others."""
        ranked = sorted(self.found.values(), key=lambda f: (max(c.rung for c in f[1]), sum(c.rung for c in f[1])))
        kinds: list[tuple[str, ...]] = []
        picked: list[tuple[State, tuple[Change, ...]]] = []
        for one in ranked:
            kind = tuple(sorted(change.how for change in one[1]))
            if kind not in kinds:
                kinds.append(kind)
                picked.append(one)
        picked += [one for one in ranked if one not in picked]
        alternatives: list[Alternative] = []
        for state, changes in picked:
            if len(alternatives) == MOST_ALTERNATIVES:
                break
            alternative = self._told(state, changes, before)
            if alternative is not None:
                alternatives.append(alternative)
        return tuple(sorted(alternatives, key=lambda each: each.effort))

    def _told(self, state: State, changes: tuple[Change, ...], before: Report) -> Alternative | None:
        """The alternative, judged whole as it would be read from its file; None where that does not bear the search out."""
        draft = state.page()
        try:
            assembly = draft.assembly()
        except BadAssembly:
            return None
        report = check(assembly, self.ready, passes=False)
        if not holds(report, self.clear):
            return None
        warned = {(f.rule, f.place) for f in before.findings if f.outcome == "warn"}
        new = tuple((f.title, f.place) for f in report.findings if f.outcome == "warn" and (f.rule, f.place) not in warned)
        limits = tuple(self._limit(change, changes) for change in changes)
        places = tuple(places_of(self.start, change) for change in changes)
        return Alternative(changes, draft, report, new, limits, places, also_changes(self.assembly, assembly, self.ready))

    def _limit(self, change: Change, changes: tuple[Change, ...]) -> str:
        """How far an amount had to go, where it went further to the next size; nothing of anything else."""
        fact = self.ready.vocabulary.fact(change.fact)
        if change.known is None or not fact.is_amount:
            return ""
        start = self.start
        for other in changes:
            if other is not change:
                start = changed(start, other)
        was = read(fact, change.before).value
        to = change.known.value[0]

        noticing = self._noticing(change.fact)

        def works(span: tuple[int, int]) -> bool:
            state = changed(start, change._replace(known=change.known._replace(value=span)))
            touched = [each for name, each in state.subjects.items() if start.subjects.get(name) is not each]
            return not self._failing(touched, noticing)

        return needed(fact, was[1] if to > was[1] else was[0], to, works)


def _apart(options: dict[Matter, list[Change]]) -> int:
    """How many changes there must be at least: so many matters have no change in common."""
    taken: set[object] = set()
    number = 0
    for changes in sorted(options.values(), key=len):
        spots = {change.spot for change in changes}
        if not spots & taken:
            taken |= spots
            number += 1
    return number


def holds(report: Report, clear: bool) -> bool:
    """Whether a report has no fail, and where all must be clear nothing that could."""
    if any(finding.outcome == "fail" for finding in report.findings):
        return False
    return report.exit_status == 0 if clear else True
