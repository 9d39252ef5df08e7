"""Takes changes to an assembly, returns what fails after each: few are judged one by one, very many as rows of one table.

Both ways judge only the rules that depend on the changed fact, at the places that the changed line holds for; what failed
elsewhere still fails. They agree; planning a table is worth it only for many.
"""

from collections.abc import Iterable, Iterator, Sequence
from importlib.util import find_spec
from typing import NamedTuple

from validator.advising.mending.changes import Change, EditedAssembly, changed, line_changed, touched
from validator.judging.what_if import WhatIf
from validator.assembly import Assembly
from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.facts.subjects import Subject, varies
from validator.judging.loading import LoadedBook
from validator.judging.open_matters import OpenMatters
from validator.judging.readings import assembly_as_told
from validator.language.source import BadAssembly

MANY = 400  # changes from which on a table is quicker


class Matter(NamedTuple):
    """A rule that fails at a place, or `is_open` and could."""

    place: str
    rule: str
    is_open: bool = False


class Trial(NamedTuple):
    """A change to be tried, where some matters fail; `first` is the one it is tried for."""

    state: EditedAssembly
    failing: frozenset[Matter]
    change: Change
    first: Matter


class TrialResult(NamedTuple):
    """What fails after a change. `state` is made when somebody asks, where judging did not need it."""

    failing: frozenset[Matter]
    state: EditedAssembly | None


class TrialJudge:
    """Judges changes to one assembly: as told, or with `clear` strictly, where what is open and could fail counts as failing.

    Without it a rule that failed before and is only open after the change still counts as failing; otherwise removing a sum's
    input would look like a repair.
    """

    def __init__(self, loaded: LoadedBook, clear: bool) -> None:
        self.loaded, self.clear = loaded, clear
        self.failed: frozenset[tuple[str, str]] = frozenset()  # the places and rules that failed at first
        self.given_up: frozenset[tuple[str, str]] = frozenset()  # those of them that no change bears on
        self.what_if = WhatIf(loaded) if clear else WhatIf(loaded, OpenMatters(loaded).outcome)
        self.rules = {rule.name: rule for rule in loaded.engine.rules if rule.severity == "fail"}
        self._noticing: dict[str, dict[str, CompiledRule]] = {}
        self._grave: dict[object, bool] = {}

    def read(self, assembly: Assembly) -> Assembly:
        """A description in the reading that is judged."""
        return assembly if self.clear else assembly_as_told(assembly, self.loaded)

    def results(self, trials: Sequence[Trial], *, last: bool) -> list[TrialResult | None]:
        """For each trial what fails after it; None where it cannot be read, or is the `last` and does not help."""
        if len(trials) < MANY or not _has_tables():
            return [self._one(trial, last) for trial in trials]
        fits = Fits()
        rows = [Row(n, subject, trial) for n, trial in enumerate(trials) for subject in fits.places(trial)]
        by_table = dict.fromkeys(row.number for row in rows)
        found = self._together({n: trials[n] for n in by_table}, rows)
        return [found[n] if n in found else self._one(trial, last) for n, trial in enumerate(trials)]

    # -- one by one -----------------------------------------------------------------------------------------------------------

    def failing(self, subjects: Iterable[Subject], rules: Iterable[CompiledRule]) -> frozenset[Matter]:
        """What fails at some places of some rules."""
        rules, found = list(rules), set()
        for subject in subjects:
            here = [rule for rule in rules if rule.sort == subject.sort]
            found.update(
                Matter(subject.name, j.compiled.name, j.outcome is not Outcome.BREACH)
                for j in self.what_if.judged(subject, here) if self._bad(j, subject.name)
            )  # fmt: skip
        return frozenset(found)

    def noticing(self, fact: str) -> dict[str, CompiledRule]:
        """The rules that could notice a fact."""
        if fact not in self._noticing:
            self._noticing[fact] = {name: rule for name, rule in self.rules.items() if fact in self.what_if.dependencies.of_rule(name)}
        return self._noticing[fact]

    def cache_key(self, changes: Iterable[Change], rule: str) -> frozenset[object]:
        """Alike for changes that come to the same for one rule: those of facts that it depends on, and those that move lines."""
        names = self.what_if.dependencies.of_rule(rule)
        return frozenset(change.key for change in changes if change.fact in names or not change.is_quick)

    def _bad(self, judgement: Judgement, place: str) -> bool:
        if (place, judgement.compiled.name) in self.given_up:
            return False
        if judgement.severity != "fail" or judgement.outcome is Outcome.BREACH:
            return judgement.severity == "fail"
        return judgement.outcome in OPEN_OUTCOMES and self._counts(place, judgement.compiled.name)

    def _counts(self, place: str, rule: str) -> bool:
        """Whether an open matter counts as failing."""
        return self.clear or (place, rule) in self.failed

    def _one(self, trial: Trial, last: bool) -> TrialResult | None:
        before, change = trial.state, trial.change
        try:
            after = changed(before, change)
        except BadAssembly:
            return None
        place = after.subjects.get(trial.first.place)
        if last and place is not None and self.failing([place], [self.rules[trial.first.rule]]):
            return None
        anew = not change.is_quick
        noticing = self.rules if anew else self.noticing(change.fact)
        other = {n: s for n, s in after.subjects.items() if anew or before.subjects.get(n) is not s}
        kept = {m for m in trial.failing if m.place in after.subjects and not (m.place in other and m.rule in noticing)}
        return TrialResult(frozenset(kept | self.failing(other.values(), noticing.values())), after)

    # -- as one table ---------------------------------------------------------------------------------------------------------

    def _together(self, trials: dict[int, Trial], rows: list["Row"]) -> dict[int, TrialResult]:
        """Every trial a row for each place that it touches."""
        new: dict[int, set[Matter]] = {number: set() for number in trials}
        places: dict[int, set[str]] = {number: set() for number in trials}
        for row in rows:
            places[row.number].add(row.subject.name)
        for sort in dict.fromkeys(row.subject.sort for row in rows):
            for row, matter in self._failing_rows([row for row in rows if row.subject.sort == sort], sort):
                new[row.number].add(matter)
        found = {}
        for number, trial in trials.items():
            noticing = self.noticing(trial.change.fact)
            kept = {matter for matter in trial.failing if not (matter.place in places[number] and matter.rule in noticing)}
            found[number] = TrialResult(frozenset(kept | new[number]), None)
        return found

    def _failing_rows(self, rows: list["Row"], sort: str) -> Iterator[tuple["Row", Matter]]:
        """Each row with what fails there and could notice its change."""
        from validator.engines.columns import Columns, Variant, variants_of

        bases = {id(row.subject): row.subject for row in rows}
        turns = {each: turn for turn, each in enumerate(bases)}
        variants = [Variant(turns[id(row.subject)], ((row.change.fact, row.change.known),)) for row in rows]
        deriver, book = self.loaded.engine.deriver, self.loaded.book
        noticing = {fact: self.noticing(fact) for fact in {row.change.fact for row in rows}}
        asked = {name for names in noticing.values() for name in names}
        columns = Columns(book, deriver.work, trees=[rule.trees for name, rule in self.rules.items() if name in asked])
        judged = columns.judge(variants_of(deriver, list(bases.values()), variants, sort))
        breach = WORST_FIRST.index(Outcome.BREACH)
        bad = [breach, *(WORST_FIRST.index(each) for each in OPEN_OUTCOMES)]
        # As told a way out that nobody mentions excuses nothing, which a table does not know.
        sure = [breach] if self.clear else [breach, WORST_FIRST.index(Outcome.FAILS_UNLESS)]
        for name in judged.outcomes.columns:
            outcomes = judged.outcomes[name]
            failing = outcomes.is_in(bad)
            if f"{name}:fails" in judged.standings.columns:
                failing &= judged.standings[f"{name}:fails"]
            for at in failing.arg_true():
                row, is_open = rows[at], outcomes[at] not in sure
                if (row.subject.name, name) in self.given_up:
                    continue
                counts = self._counts(row.subject.name, name) if is_open else self._is_as_grave(name, row, outcomes[at] == breach)
                if counts and name in noticing[row.change.fact]:
                    yield row, Matter(row.subject.name, name, is_open)

    def _is_as_grave(self, name: str, row: "Row", is_breach: bool) -> bool:
        """Whether a breach fails: a table does not know how firm the sums are that it rests on, so that one is judged alone."""
        if is_breach and (self.rules[name].rule.own_authority or not self._on_sums(name)):
            return True
        key = (row.subject.name, name, self.cache_key((*row.trial.state.made, row.change), name))
        if key not in self._grave:
            self._grave[key] = bool(self.failing([line_changed(row.subject, row.change)], [self.rules[name]]))
        return self._grave[key]

    def _on_sums(self, name: str) -> bool:
        by_name = self.loaded.engine.deriver.by_name
        return any(each in by_name and by_name[each].working for each in self.what_if.dependencies.of_rule(name))


def _has_tables() -> bool:
    """Whether the library of tables is installed; without it every change is tried alone."""
    return find_spec("polars") is not None


class Row(NamedTuple):
    """One place that one trial touches."""

    number: int  # of the trial
    subject: Subject
    trial: Trial

    @property
    def change(self) -> Change:
        return self.trial.change


class Fits:
    """Which trials fit a table: of a line that says one fact, at places that do not vary and have one layer of its kind."""

    def __init__(self) -> None:
        self._vary: dict[int, bool] = {}

    def places(self, trial: Trial) -> list[Subject]:
        """Every place that a trial touches; none where it does not fit."""
        if not trial.change.is_of_a_line:
            return []
        thing = trial.change.fact.partition(".")[0]
        places = list(touched(trial.state.subjects, trial.change))
        return [] if any(len(each.layers.get(thing, ())) > 1 or self._varies(each) for each in places) else places

    def _varies(self, subject: Subject) -> bool:
        if id(subject) not in self._vary:
            self._vary[id(subject)] = varies(subject)
        return self._vary[id(subject)]
