"""Takes the judged places of an assembly in one reading, returns what the conditions of a document are judged on there.

Strictly, silence could be anything, and only what is proved is shown. As told, what nobody said is taken as it usually is; what
is asked is what can be answered at the stage of the job, and what is no longer seen, or not due yet, is told apart from it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from validator.engines.as_told import Taken
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES
from validator.facts.vocabulary import Vocabulary
from validator.judging.loading import LoadedBook
from validator.judging.open_matters import OpenMatters
from validator.judging.report import Check, Report
from validator.judging.verdict import PlaceRead
from validator.rulebook.conditions import Condition
from validator.rulebook.english import name_of
from validator.warranty.matters import Looked, Matter, matters_of
from validator.warranty.report import Ask

UNREAD = "lines that could not be read"


class Question(NamedTuple):
    """What is still asked, with the rules that an answer settles and the facts that it tells."""

    facts: tuple[str, ...]
    says: str
    rules: frozenset[str]
    too_late: bool = False  # nobody can look any more


class Settling(NamedTuple):
    """What would settle some rules: questions, what only a photograph or a paper still shows, and what is not due yet."""

    asks: tuple[Ask, ...] = ()
    to_show: tuple[str, ...] = ()
    later: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """One reading of an assembly. `outside`: places of which the book judges nothing. `taken`, by a place's name, is what was taken
    as usual there; `leans`, by rule, what of it the rule is settled by. `stages` says what can be known at the stage of the job.

    `stated` are the places by what was stated alone: days, areas and what was bought are never taken as usual.
    """

    looked: list[Looked]
    matters: list[Matter]
    stated: list[DerivedPlace]
    questions: tuple[Question, ...] = ()
    checks: tuple[Check, ...] = ()
    outside: frozenset[str] = frozenset()
    taken: dict[str, tuple[Taken, ...]] = field(default_factory=dict)
    leans: dict[str, dict[str, None]] = field(default_factory=dict)
    stages: OpenMatters | None = None

    def settling(self, rules: set[str], vocabulary: Vocabulary) -> Settling:
        """What settles some rules, each question once, with what is looked at together."""
        by_look: dict[str, list[Question]] = {}
        told = []
        for each in self.questions:
            if rules & each.rules and each.too_late:
                told.append(each.says)
            elif rules & each.rules:
                by_look.setdefault(vocabulary.asked_with(vocabulary.fact(each.facts[0]).thing), []).append(each)
        asks = []
        for questions in by_look.values():
            of = vocabulary.head_first(vocabulary.fact(each.facts[0]).thing for each in questions)
            asks += [Ask(says=each.says, of=of) for each in questions]
        checks = [each for each in self.checks if each.rule in rules]
        told += [f"{each.title} ({each.place})" for each in checks if not each.ahead]
        return Settling(tuple(asks), tuple(told), tuple(each.title for each in checks if each.ahead))

    def taken_for(self, conditions: Iterable[Condition], loaded: LoadedBook) -> tuple[str, ...]:
        """What was taken as usual of the facts that bear on some conditions, each once."""
        bits = 0
        for each in conditions:
            bits |= loaded.reads.of(each)
        return tuple(dict.fromkeys(text for taken in self.taken.values() for text in _texts(taken, bits, loaded)))


def _texts(taken: Iterable[Taken], bits: int, loaded: LoadedBook) -> list[str]:
    slots = loaded.vocabulary.slots
    return [f"{name_of(loaded.vocabulary, each.fact)} {each.text}" for each in taken if bits >> slots[each.fact] & 1]


def strictly(places: Iterable[PlaceRead], report: Report, loaded: LoadedBook) -> Reading:
    """By what was stated alone."""
    looked = [(place.strict, list(place.strictly)) for place in places]
    questions = tuple(
        Question((each.fact,), f"{each.place}: {each.asks} {each.where_to_look}".strip(), frozenset(each.rules)) for each in report.open_items
    )
    return Reading(looked, matters_of(looked, loaded), [derived for derived, _ in looked], questions, outside=_outside(report))


def as_told(places: Iterable[PlaceRead], report: Report, loaded: LoadedBook) -> Reading:
    """With what is usual taken; a way out that nobody mentions is not there."""
    stages, reads = OpenMatters(loaded), loaded.reads
    looked, taken, leans = [], {}, {}
    for place in places:
        derived = place.told.derived
        judged = [each._replace(outcome=stages.outcome(each, derived)) for each in place.judged]
        looked.append((derived, judged))
        taken[place.told.subject.name] = place.told.taken
        for before, after in zip(place.strictly, judged) if place.told.taken else ():
            if before.outcome in OPEN_OUTCOMES and after.outcome not in OPEN_OUTCOMES:
                name = after.compiled.name
                leans.setdefault(name, {}).update(dict.fromkeys(_texts(place.told.taken, reads.applying(name) | reads.meeting(name), loaded)))
    questions = tuple(
        Question(each.facts, f"{each.place}: {each.asks} {'' if each.too_late else each.look}".strip(), frozenset(each.rules), each.too_late)
        for each in report.as_told.questions if each.would_be  # what only waits may never matter
    )
    stated = [place.strict for place in places]
    return Reading(looked, matters_of(looked, loaded), stated, questions, report.as_told.checks, _outside(report), taken, leans, stages)


def _outside(report: Report) -> frozenset[str]:
    unread = (UNREAD,) if report.as_told.unread_lines else ()
    return frozenset((*unread, *(place for line in report.outside if line.whole for place in line.places)))

