"""Takes the places of a job and a fact that is a wait, returns the shortest wait that breaks no rule of the book.

So a date is never one that a check of the finished job would warn about, whatever book is laid on the codes. A rule that
stays unmet or open however long one waits is about something else and asks for no wait.
"""

from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from validator.engines.deciding import CompiledRule
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Subject, with_fact
from validator.facts.vocabulary import NONE
from validator.judging.loading import LoadedBook
from validator.judging.open_matters import OpenMatters
from validator.judging.what_if import WhatIf
from validator.language import amounts
from validator.workings.intervals import from_steps
from validator.workings.working import whole_above

UNMET = frozenset((Outcome.BREACH,))
MINUTE = amounts.read("1 min", "duration").least
LONGEST = 366 * 24 * 60  # minutes; no wait of the trade is longer than a year


class ShortestWait(NamedTuple):
    """Hours, the rule that asks for no less, and how its first source is known."""

    hours: Fraction
    because: str
    known_by: str


class Waits:
    """The shortest waits of one job, by one book."""

    def __init__(self, loaded: LoadedBook, places: Iterable[Subject]) -> None:
        self.loaded, self.places = loaded, list(places)
        self.what_if = WhatIf(loaded, OpenMatters(loaded).outcome)
        self._asking: dict[tuple[str, str], list[CompiledRule]] = {}

    def shortest(self, fact: str) -> ShortestWait | None:
        """Over every place that has the fact's thing; None where no rule surely asks for a wait."""
        found = [each for place in self.places if (each := self._at(place, fact)) is not None]
        return max(found, key=lambda each: each.hours, default=None)

    def could_ask_more(self, fact: str, hours: Fraction) -> str:
        """The title of a rule that, by what is not known, may ask for a longer wait than this one; empty where none may."""
        minutes = whole_above(hours * 60)
        for place in self.places:
            rules = self._rules(place, fact)
            if unsure := self._speaking(place, fact, minutes, rules, OPEN_OUTCOMES):
                return unsure[0].rule.title
        return ""

    def _rules(self, place: Subject, fact: str) -> list[CompiledRule]:
        """The rules that some wait would satisfy at a place."""
        key = (place.name, fact)
        if key not in self._asking:
            written = place.known.get(self.loaded.vocabulary.fact(fact).thing)
            absent = written is not None and written.value == NONE
            of_rule = self.what_if.dependencies.of_rule
            rules = [] if absent else [r for r in self.loaded.engine.rules if r.sort == place.sort and fact in of_rule(r.name)]
            never = {each.name for each in self._speaking(place, fact, LONGEST, rules, UNMET | OPEN_OUTCOMES)}
            self._asking[key] = [rule for rule in rules if rule.name not in never]
        return self._asking[key]

    def _at(self, place: Subject, fact: str) -> ShortestWait | None:
        asking, last = self._rules(place, fact), None
        short, long = -1, LONGEST
        while asking and long - short > 1:
            middle = (short + long) // 2
            if speaking := self._speaking(place, fact, middle, asking, UNMET):
                short, last = middle, speaking[0]
            else:
                long = middle
        if last is None:
            return None
        known_by = last.rule.cited[0].known_by if last.rule.cited else "practice"
        return ShortestWait(from_steps(long * MINUTE, "duration", "h"), last.rule.title, known_by)

    def _speaking(self, place: Subject, fact: str, minutes: int, rules: list[CompiledRule], outcomes: frozenset[Outcome]) -> list[CompiledRule]:
        """Of some rules those that come to one of some outcomes after so long a wait."""
        thing = self.loaded.vocabulary.fact(fact).thing
        there = with_fact(place, fact, Known((minutes * MINUTE,) * 2, STATED), thing)
        return [each.compiled for each in self.what_if.judged(there, rules) if each.outcome in outcomes] if rules else []
