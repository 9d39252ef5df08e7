"""The engine that decides: every rule of a book judged at one place, as the pair (surely, possibly).

Plain closures over one vector, made once from the fused trees. What led to an outcome is read back from the author's
tree and the vector (`trail`), so that judging itself stays short and obviously right.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from validator.engines.closures import NOT, POSSIBLY, SURELY, Closure, closure_of
from validator.engines.deriving import Derivations, Deriver, Vector, Work
from validator.outcomes import WORST_FIRST, Outcome
from validator.rulebook.conditions import Condition, IsThere, facts_read, leaves
from validator.rulebook.fusing import AmountIn, ByRow, Test, things_required
from validator.rulebook.records import Book, Rule
from validator.rulebook.schedules import NO_ROW
from validator.subjects import Layer, Subject
from validator.vocabulary import Vocabulary

RANK = {outcome: rank for rank, outcome in enumerate(WORST_FIRST)}


@dataclass(frozen=True, slots=True)
class PreparedRule:
    """A rule as closures, with what is needed to know where it is judged."""

    rule: Rule
    sort: str  # where it is judged: place, junction or job
    things: tuple[str, ...]
    applies: Closure
    requires: Closure
    exceptions: tuple[Closure, ...]
    met: Closure | None
    breached: Closure | None
    tests: tuple[Test, Test, tuple[Test, ...]]
    rows: tuple[ByRow, ...] = ()


@dataclass(frozen=True, slots=True)
class Judgement:
    """One rule at one place. `layer` names which of several layers decided; `vector` is what it was judged on."""

    prepared: PreparedRule
    outcome: Outcome
    vector: Vector
    layer: Layer | None = None
    severity: str = ""
    softened: bool = False


class Meaning:
    """A book made ready to judge. Raises BadBook when its facts follow from each other in a circle."""

    def __init__(self, book: Book, inputs: Mapping[str, tuple[str, ...]], work: Work) -> None:
        self.book = book
        self.vocabulary: Vocabulary = book.vocabulary
        self.rules = tuple(prepare(rule, book) for rule in book.rules.values())
        self.cuts = _cuts(self.rules)
        # Deriving lays the slots out, so it comes after every fact has been named once.
        self.deriver = Deriver(book, inputs, work)

    def derive(self, subject: Subject) -> Derivations:
        return self.deriver.derive(subject)

    def judge(self, found: Derivations) -> list[Judgement]:
        """Every rule that is judged at this sort of place."""
        sort = found.subject.sort
        return [self.judge_rule(prepared, found) for prepared in self.rules if prepared.sort == sort]

    def judge_rule(self, prepared: PreparedRule, found: Derivations) -> Judgement:
        """One rule; over several layers of a kind it names, the worst of them, and which."""
        kind = next((thing for thing in prepared.things if thing in found.layers), None)
        if kind is None:
            return _with_severity(prepared, outcome_of(prepared, found.vector), found.vector, None)
        judged = [(outcome_of(prepared, vector), vector, layer) for layer, vector in found.layers[kind]]
        outcome, vector, layer = min(judged, key=lambda each: RANK[each[0]])
        return _with_severity(prepared, outcome, vector, layer)


def prepare(rule: Rule, book: Book) -> PreparedRule:
    """The closures of a rule. What it requires limits it to where the things that every branch depends on are."""
    vocabulary = book.vocabulary
    needed = things_required(rule.requires, vocabulary)
    presence = [IsThere(thing, True, rule.where) for thing in sorted(needed)]
    # Where the rule applies they are there, so nothing it says has to ask again.
    fuser = replace(book.fuser, given=needed)
    applies = fuser.all_of(rule.applies, *presence)
    requires = fuser.fuse(rule.requires)
    ways = [way.when for way in rule.other_ways]
    exceptions = tuple(fuser.fuse(way) for way in ways)
    met = closure_of(fuser.any_of(rule.requires, *ways)) if ways else None
    breached = None
    if _share_a_fact(rule.applies, rule.requires, *ways, presence=presence):
        breached = closure_of(fuser.all_of(rule.applies, *presence, negated=(rule.requires, *ways)))
    things = rule.things(vocabulary)
    if rule.for_each:
        things = [rule.for_each, *(t for t in things if t != rule.for_each)]
    return PreparedRule(
        rule, sort_of(rule, vocabulary), tuple(things), closure_of(applies), closure_of(requires),
        tuple(closure_of(e) for e in exceptions), met, breached, (applies, requires, exceptions),
        tuple(_weak_rows(requires)),
    )  # fmt: skip


def sort_of(rule: Rule, vocabulary: Vocabulary) -> str:
    """Where a rule is judged: at junctions if it names one, at places if it names any part of one, else once for the job."""
    sorts = {vocabulary.things[vocabulary.fact(name).thing].sort for name in rule.facts()}
    if sorts & {"junction", "seal"}:
        return "junction"
    return "place" if sorts & {"place", "part", "layer", "framing"} else "job"


def _share_a_fact(*conditions: Condition, presence: list[IsThere]) -> bool:
    seen: set[str] = {leaf.thing for leaf in presence}
    for number, condition in enumerate(conditions):
        names = set(facts_read(condition))
        if names & seen or (number == 0 and len(list(leaves(condition))) > len(names)):
            return True
        seen |= names
    return False


def _cuts(rules: tuple[PreparedRule, ...]) -> dict[int, set[int]]:
    """For each amount, the values at which some rule's answer changes."""
    cuts: dict[int, set[int]] = {}

    def gather(test: Test) -> None:
        for member in (*getattr(test, "members", ()), *getattr(test, "tests", ())):
            gather(member)
        if isinstance(test, AmountIn):
            cuts.setdefault(test.slot, set()).update(end for span in test.ranges for end in span)

    for prepared in rules:
        applies, requires, exceptions = prepared.tests
        for test in (applies, requires, *exceptions):
            gather(test)
    return cuts


def _weak_rows(test: Test) -> list[ByRow]:
    """Schedules some of whose rows are only remembered, so that a breach of them may only warn."""
    if isinstance(test, ByRow):
        return [test] if any(not row.firm for row in test.schedule.rows) else []
    return [row for member in getattr(test, "members", ()) for row in _weak_rows(member)]


def outcome_of(prepared: PreparedRule, vector: Vector) -> Outcome:
    """The table of outcomes: whether the rule applies, whether it is met, whether an exception is."""
    applies = prepared.applies(vector)
    if applies == NOT:
        return Outcome.NOT_APPLICABLE
    requires = prepared.requires(vector)
    sure = applies == SURELY
    if requires == SURELY:
        return Outcome.PASS if sure else Outcome.NOTHING
    exception = NOT
    for way in prepared.exceptions:
        exception = max(exception, way(vector))
    if exception == SURELY:
        return Outcome.BY_EXCEPTION if sure else Outcome.NOTHING
    if prepared.met is not None and exception == POSSIBLY and prepared.met(vector) == SURELY:
        return Outcome.PASS if sure else Outcome.NOTHING
    if prepared.breached is not None and prepared.breached(vector) == NOT:
        return Outcome.PASS if sure else Outcome.NOTHING
    if requires == NOT:
        if sure:
            return Outcome.BREACH if exception == NOT else Outcome.FAILS_UNLESS
        return Outcome.FAILS_IF if exception == NOT else Outcome.FAILS_IF_UNLESS
    return Outcome.OPEN if sure else Outcome.WAITS


def _with_severity(prepared: PreparedRule, outcome: Outcome, vector: Vector, layer: Layer | None) -> Judgement:
    """A breach judged by rows of different standing carries the lesser severity."""
    severity, softened = prepared.rule.severity, False
    if severity == "fail":
        for test in prepared.rows:
            rows = test.schedule.rows_for(tuple(vector[key] for key in test.keys))
            weak = [row for row in rows if row != NO_ROW and not test.schedule.rows[row].firm]
            if weak:
                severity, softened = "warn", len(weak) < len(rows)
    return Judgement(prepared, outcome, vector, layer, severity, softened)


