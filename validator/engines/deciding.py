"""Takes a derived place, returns a judgement by every rule: does it apply, is it met, is an exception met; each (surely,
possibly).

Plain closures over one vector, made once from the fused trees. What led to an outcome is read back from the author's
tree and the vector (`explanation`), so that judging itself stays short and obviously right.
"""

from collections.abc import Callable, Mapping
from functools import cached_property
from operator import itemgetter
from typing import NamedTuple

from validator.engines.closures import NOT, POSSIBLY, SURELY, Closure, closure_of, words_closure
from validator.engines.deriving import DerivedPlace, Deriver, Vector, Work
from validator.engines.leaning import Leaning
from validator.engines.outcomes import WORST_FIRST, Outcome
from validator.facts.possible import CARD, STATED
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import THERE, Vocabulary
from validator.rulebook.book import Book
from validator.rulebook.conditions import facts_read
from validator.rulebook.dependencies import reads_of
from validator.rulebook.fusing import ByRow
from validator.rulebook.rule import Rule
from validator.rulebook.schedules import NO_ROW
from validator.rulebook.trees import Guard, RuleTrees

RANK = {outcome: rank for rank, outcome in enumerate(WORST_FIRST)}


class CompiledRule:
    """A rule as closures over a vector, each made when it is first asked: most rules apply nowhere in a job.

    Of those not even the trees are looked at, which a kept book would have to make: their guard answers for them.
    """

    def __init__(self, guard: Guard, trees: Mapping[str, RuleTrees], rules: Mapping[str, Rule]) -> None:
        self.name: str = guard.name
        self.sort: str = guard.sort
        self.severity: str = guard.severity
        self.kinds: tuple[str, ...] = guard.things
        self.things = frozenset(guard.things)
        self.may_apply: Closure = words_closure(list(zip(guard.slots, guard.masks)))
        self._trees = trees
        self._rules = rules

    @classmethod
    def of(cls, trees: RuleTrees, rule: Rule) -> "CompiledRule":
        """One rule alone, by trees that need not stand in a book."""
        return cls(trees.guard, {trees.name: trees}, {trees.name: rule})

    @cached_property
    def trees(self) -> RuleTrees:
        return self._trees[self.name]

    @property
    def rule(self) -> Rule:
        """The rule as written."""
        return self._rules[self.name]

    @cached_property
    def judge(self) -> Callable[[Vector], "Judgement"]:
        """The rule over one vector, whatever layer it is of."""
        may_apply, severity, not_applicable = self.may_apply, self.severity, Outcome.NOT_APPLICABLE
        made = tuple.__new__  # a book makes some hundred judgements a place, and the usual way takes three times as long

        def guarded(vector: Vector) -> Judgement:
            if not may_apply(vector):
                return made(Judgement, (self, not_applicable, vector, None, severity, False, ""))
            return self.judge_by_trees(vector)

        return guarded

    @cached_property
    def judge_by_trees(self) -> Callable[[Vector], "Judgement"]:
        """The same for a vector that the guard lets pass."""
        applies, requires, breached, severity = self.applies, self.requires, self.breached, self.severity
        if self.trees.exceptions or self.trees.parts:
            return lambda vector: _with_severity(self, outcome_of(self, vector), vector, None)
        not_applicable = Outcome.NOT_APPLICABLE
        made = tuple.__new__

        def plain(vector: Vector) -> Judgement:
            sure = applies(vector)
            if not sure:
                return made(Judgement, (self, not_applicable, vector, None, severity, False, ""))
            met = requires(vector)
            if met != SURELY and breached is not None and breached(vector) == NOT:
                met = SURELY
            outcome = (APPLIES if sure == SURELY else MAY_APPLY)[met]
            return made(Judgement, (self, outcome, vector, None, severity, False, ""))

        return plain

    @cached_property
    def applies(self) -> Closure:
        return closure_of(self.trees.applies)

    @cached_property
    def requires(self) -> Closure:
        return closure_of(self.trees.requires)

    @cached_property
    def exceptions(self) -> tuple[Closure, ...]:
        return tuple(closure_of(exception) for exception in self.trees.exceptions)

    @cached_property
    def met(self) -> Closure | None:
        return None if self.trees.met is None else closure_of(self.trees.met)

    @cached_property
    def breached(self) -> Closure | None:
        return None if self.trees.breached is None else closure_of(self.trees.breached)

    @cached_property
    def ways(self) -> tuple[tuple[Closure, tuple[int, ...]], ...]:
        """The ways to meet it that are worth a word, each with the slots of what it compares."""
        return tuple((closure_of(test), slots) for test, slots in self.trees.ways)

    @cached_property
    def parts(self) -> tuple[tuple[Closure, tuple[ByRow, ...]], ...]:
        return tuple((closure_of(test), rows) for test, rows in self.trees.parts)


class Judgement(NamedTuple):
    """One rule at one place. `layer` names which of several layers decided; `vector` is what it was judged on."""

    compiled: CompiledRule
    outcome: Outcome
    vector: Vector
    layer: Layer | None = None
    severity: str = ""
    softened: bool = False
    remembered: str = ""  # the fact whose sum rests on remembered values, so that a breach only warns


# The table of outcomes of a rule without exceptions, by whether it is met.
MAY_APPLY = (Outcome.FAILS_IF, Outcome.WAITS, Outcome.WAITS, Outcome.NOTHING)
APPLIES = (Outcome.BREACH, Outcome.OPEN, Outcome.OPEN, Outcome.PASS)


class Engine:
    """A book made ready to judge."""

    def __init__(self, book: Book, work: Work, *, everything: bool = False) -> None:
        self.book = book
        self.vocabulary: Vocabulary = book.vocabulary
        self.rules = tuple(CompiledRule(guard, book.trees, book.rules) for guard in book.guards.values())
        self.by_sort: dict[str, list[CompiledRule]] = {}
        for compiled in self.rules:
            self.by_sort.setdefault(compiled.sort, []).append(compiled)
        self.deriver = Deriver(book, work, everything=everything)
        self.leaning = Leaning(self.deriver, book)

    @property
    def cuts(self) -> dict[int, tuple[int, ...]]:
        """For each amount, the last value of every stretch over which no answer of the book changes."""
        return self.book.cuts

    def derive(self, subject: Subject) -> DerivedPlace:
        return self.deriver.derive(subject)

    def judge(self, place: DerivedPlace) -> list[Judgement]:
        """Every rule that is judged at this sort of place."""
        rules, vector = self.by_sort.get(place.subject.sort, ()), place.vector
        judged = [compiled.judge(vector) for compiled in rules]
        for number, compiled in enumerate(rules if place.layers else ()):
            if not compiled.things.isdisjoint(place.layers):
                judged[number] = self.judge_rule(compiled, place)
        if Outcome.BREACH in map(itemgetter(1), judged):
            return [self._as_firm_as_its_sums(judgement, place) for judgement in judged]
        return judged

    def judge_rule(self, compiled: CompiledRule, place: DerivedPlace) -> Judgement:
        """One rule; over several layers of a kind it names, the worst of them, and which."""
        kind = next((thing for thing in compiled.kinds if thing in place.layers), None) if place.layers else None
        if kind is None:
            return self._as_firm_as_its_sums(compiled.judge(place.vector), place)
        judged = [
            (_of_layer(outcome_of(compiled, vector), layer), vector, layer) for layer, vector in place.layers[kind]
        ]
        outcome, vector, layer = min(judged, key=lambda each: RANK[each[0]])
        return self._as_firm_as_its_sums(_with_severity(compiled, outcome, vector, layer), place)

    def _as_firm_as_its_sums(self, judgement: Judgement, place: DerivedPlace) -> Judgement:
        """What rests on a sum with remembered values may warn and not fail."""
        if judgement.outcome is not Outcome.BREACH or judgement.severity != "fail" or judgement.compiled.rule.own_authority:
            return judgement
        seen: set[str] = set()
        waiting = facts_read(judgement.compiled.rule.requires)
        while waiting:
            name = waiting.pop()
            how, said = place.provenance.get(name), place.known.get(name)
            if how is None or name in seen or (said is not None and said.origin in (STATED, CARD)):
                continue
            seen.add(name)
            if how.worked is not None and not how.worked.firm:
                return judgement._replace(severity="warn", remembered=name)
            waiting += reads_of(self.book, self.deriver.by_name[name])
        return judgement


def outcome_of(compiled: CompiledRule, vector: Vector) -> Outcome:
    """The table of outcomes: whether the rule applies, whether it is met, whether an exception is."""
    applies = compiled.applies(vector) if compiled.may_apply(vector) else NOT
    if applies == NOT:
        return Outcome.NOT_APPLICABLE
    requires = compiled.requires(vector)
    sure = applies == SURELY
    if requires == SURELY:
        return Outcome.PASS if sure else Outcome.NOTHING
    exception = NOT
    for way in compiled.exceptions:
        exception = max(exception, way(vector))
    if exception == SURELY:
        return Outcome.BY_EXCEPTION if sure else Outcome.NOTHING
    if compiled.met is not None and exception == POSSIBLY and compiled.met(vector) == SURELY:
        return Outcome.PASS if sure else Outcome.NOTHING
    if compiled.breached is not None and compiled.breached(vector) == NOT:
        return Outcome.PASS if sure else Outcome.NOTHING
    if requires == NOT:
        if sure:
            return Outcome.BREACH if exception == NOT else Outcome.FAILS_UNLESS
        return Outcome.FAILS_IF if exception == NOT else Outcome.FAILS_IF_UNLESS
    return Outcome.OPEN if sure else Outcome.WAITS


# Of a layer that may not be there, what is sure is sure only if it is.
IF_THERE = {
    Outcome.PASS: Outcome.NOTHING, Outcome.BY_EXCEPTION: Outcome.NOTHING, Outcome.BREACH: Outcome.FAILS_IF,
    Outcome.OPEN: Outcome.WAITS, Outcome.FAILS_UNLESS: Outcome.FAILS_IF_UNLESS,
}  # fmt: skip


def _of_layer(outcome: Outcome, layer: Layer) -> Outcome:
    return outcome if layer.presence == THERE else IF_THERE.get(outcome, outcome)


def _with_severity(compiled: CompiledRule, outcome: Outcome, vector: Vector, layer: Layer | None) -> Judgement:
    """A breach by rows of different standing carries the lesser severity, an open matter the greatest it could have."""
    severity, softened = compiled.severity, False
    if severity == "fail" and outcome is not Outcome.NOT_APPLICABLE and compiled.parts:
        unmet = [part for part in compiled.parts if part[0](vector) != SURELY]
        fails = any(holds(vector) == NOT and all(_standings(rows, vector)) for holds, rows in unmet)
        may_fail = any(all(any(firm) for firm in _standings_of_each(rows, vector)) for _, rows in unmet)
        is_breach = outcome is Outcome.BREACH
        severity = "fail" if fails or (may_fail and not is_breach) else "warn"
        softened = is_breach and may_fail and not fails
    return Judgement(compiled, outcome, vector, layer, severity, softened)


def _standings_of_each(tests: tuple[ByRow, ...], vector: Vector) -> list[list[bool]]:
    """For each schedule, of each row that could answer, whether a breach of it may fail."""
    return [
        [row == NO_ROW or test.schedule.rows[row].firm for row in test.schedule.rows_for(tuple(vector[k] for k in test.keys))]
        for test in tests
    ]


def _standings(tests: tuple[ByRow, ...], vector: Vector) -> list[bool]:
    return [firm for each in _standings_of_each(tests, vector) for firm in each]
