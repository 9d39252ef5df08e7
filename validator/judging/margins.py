"""Takes an assembly, returns how far it is from its limits: of each requirement on an amount, how much of what is allowed is
used.

Of `at most`, the share is the amount over its limit; of `at least`, the limit over the amount. 100 % is exactly on the limit,
and the greatest share below or at it binds first. Counts, temperatures and dates have no share and are left out.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.closures import SURELY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace, Vector
from validator.engines.outcomes import Outcome
from validator.engines.varying import judge_varying
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.amounts import NO_GREATEST
from validator.rulebook.book import Book
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, FromSchedule, Group, OtherFact
from validator.rulebook.english import name_of
from validator.rulebook.schedules import NO_ROW, Schedule

NO_SHARE = frozenset(("count", "temperature", "moment"))
DOWNWARDS, UPWARDS = ("at most", "less than"), ("at least", "more than")
CLOSEST = 5


class Margin(NamedTuple):
    """One requirement with how much of its limit is used; `left` is what could still change before it fails."""

    rule: str
    title: str
    places: tuple[str, ...]
    fact: str
    name: str  # of the fact, as it is printed
    found: str
    compare: str
    limit: str
    left: str
    share: Fraction

    @property
    def in_words(self) -> str:
        """`92 % of what is allowed`, or how much more there is than is needed."""
        percent = f"{float(self.share * 100):.0f} %"
        return f"{percent} of what is allowed" if self.compare in DOWNWARDS else f"needs {percent} of what is there"


def margins_of(assembly: Assembly, loaded: LoadedBook) -> tuple[Margin, ...]:
    """Every requirement on an amount that is surely met, the closest to its limit first."""
    found: dict[tuple, Margin] = {}
    for subject in assembly.subjects:
        derived, judgements = judge_varying(loaded.engine, subject)
        for judgement in judgements:
            if judgement.outcome is Outcome.PASS and judgement.compiled.severity != "advice":
                for margin in _of(judgement, derived, loaded):
                    key = (margin.rule, margin.fact, margin.found, margin.limit)
                    before = found.get(key)
                    found[key] = margin if before is None else before._replace(places=(*before.places, *margin.places))
    return tuple(sorted(found.values(), key=lambda margin: (-margin.share, margin.rule)))


def _of(judgement: Judgement, derived: DerivedPlace, loaded: LoadedBook) -> Iterator[Margin]:
    rule, vector, vocabulary = judgement.compiled.rule, judgement.vector, loaded.vocabulary
    for leaf in _required(rule.requires):
        fact = vocabulary.fact(leaf.fact)
        if not fact.is_amount or fact.kind in NO_SHARE or leaf.compare not in (*DOWNWARDS, *UPWARDS):
            continue
        upwards = leaf.compare in UPWARDS
        value = vector[vocabulary.slot(fact.name)][0 if upwards else 1]
        limit = _limit(leaf, fact, value, vector, loaded.book, upwards)
        if limit is None or min(value, limit) <= 0 or max(value, limit) >= NO_GREATEST:
            continue
        if loaded.explainer.holds(leaf, vector) != SURELY:
            continue
        known = derived.known.get(fact.name)
        unit = known.unit if known and known.unit else fact.shown_in or None
        yield Margin(
            rule=rule.name,
            title=rule.title,
            places=(derived.subject.name,),
            fact=fact.name,
            name=name_of(vocabulary, fact.name),
            found=amounts.show(value, fact.kind, unit),
            compare=leaf.compare,
            limit=amounts.show(limit, fact.kind, unit),
            left=_left(abs(value - limit), fact, unit),
            share=Fraction(limit, value) if upwards else Fraction(value, limit),
        )


def _required(condition: Condition) -> Iterator[Comparison]:
    """The comparisons that must each hold; one of several ways has no margin of its own."""
    if isinstance(condition, Comparison):
        yield condition
    elif isinstance(condition, Group) and condition.how == "all of":
        for member in condition.members:
            yield from _required(member)


def _limit(leaf: Comparison, fact: Fact, amount: int, vector: Vector, book: Book, upwards: bool) -> int | None:
    """The limit an amount is held to, the hardest where it could be one of several."""
    match leaf.against:
        case Constant(value):
            return value[0] if upwards else value[1]
        case OtherFact(name):
            value = vector[book.vocabulary.slot(name)]
            return value[1] if upwards else value[0]
        case FromLimit(name) if book.limits[name].by is None:
            limit = book.limits[name]
            # All that its sources print for a limit is exactly on it; what is beyond is told from the value printed first.
            on_it = limit.least <= amount <= limit.greatest
            return amount if on_it else amounts.read(limit.text, fact.kind).least
        case FromLimit(name):
            return _hardest(book.limits[name].by, 0, vector, book, upwards)
        case FromSchedule(name, column):
            schedule = book.schedules[name]
            return _hardest(schedule, schedule.columns.index(column), vector, book, upwards)
    return None


def _hardest(schedule: Schedule, column: int, vector: Vector, book: Book, upwards: bool) -> int | None:
    rows = schedule.rows_for(tuple(vector[book.vocabulary.slot(key.name)] for key in schedule.keys))
    answers = [schedule.rows[row].answers[column] for row in rows if row != NO_ROW]
    if not answers:
        return None
    return max(answer[0] for answer in answers) if upwards else min(answer[1] for answer in answers)


def _left(steps: int, fact: Fact, unit: str | None) -> str:
    if not steps:
        return "exactly on the limit"
    if fact.kind == "deflection":
        return ""
    return f"{amounts.show(steps, fact.kind, unit)} left"
