"""Questions of a table, counted and not told one by one: which facts, not stated, something open as told still hangs on.

A rule asks what it reads itself, or what a sum or a conclusion that it reads is made from. What hangs on how the work is done, or
on a record, is a check and no question. The letter of one registration asks more exactly than these counts.
"""

from typing import NamedTuple

import polars as pl

from validator.engines.columns import ToldPart
from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.facts.usual_reading import MATTERS as IMPORTANCE
from validator.facts.vocabulary import MAYBE, THERE, Fact
from validator.judging.loading import LoadedBook
from validator.judging.open_matters import WORK_OR_RECORD
from validator.rulebook.dependencies import condition_reads, reads_of
from validator.rulebook.rule import SEVERITIES

OPEN = [WORST_FIRST.index(outcome) for outcome in OPEN_OUTCOMES if outcome is not Outcome.WAITS]
WAITS = WORST_FIRST.index(Outcome.WAITS)
COUNTED = {"fact": pl.String, "question": pl.String, "rows": pl.Int64}


class Asked(NamedTuple):
    """Of some rows: how many questions each has, the first of them, and how many rows each fact is asked in."""

    number: pl.Series
    first: pl.Series
    counts: dict[str, int]


class Questions:
    """Counts the questions of one book over columns."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        self.slots = loaded.engine.deriver.slots
        self._derived = {each.fact.name: each for each in loaded.book.order}
        self._sizes = {edge: fact.name for fact in self.vocabulary.facts.values() for edge in fact.gives}
        self._rules: dict[tuple[tuple[str, ...], bool], list[tuple[str, list[str]]]] = {}

    def of(self, part: ToldPart, place: str, readable: pl.Series) -> Asked:
        """What is asked in each row of a part that could be read; where nothing is, what those rules wait for that may not apply."""
        asked = self._of(part, place, readable, OPEN, False)
        rest = readable & (asked.number == 0)
        waits = self._of(part, place, rest, [WAITS], True) if rest.any() else None
        if waits is None or not waits.counts:
            return asked
        counts = {fact: asked.counts.get(fact, 0) + waits.counts.get(fact, 0) for fact in (*asked.counts, *waits.counts)}
        return Asked(asked.number + waits.number, asked.first.zip_with(asked.first != "", waits.first), counts)

    def _of(self, part: ToldPart, place: str, rows: pl.Series, codes: list[int], applies: bool) -> Asked:
        """What rules ask in some rows that come to one of some outcomes; `applies`: only whether they apply."""
        outcomes = part.outcomes.outcomes
        height = len(part.rows)
        open_ = outcomes.select(pl.col(name).is_in(codes) for name in outcomes.columns)
        somewhere = [name for name, any_ in zip(open_.columns, open_.filter(rows).select(pl.all().any()).row(0)) if any_] if height else []
        number = pl.zeros(height, dtype=pl.Int64, eager=True)
        first = pl.repeat("", height, dtype=pl.String, eager=True)
        counts: dict[str, int] = {}
        for fact, rules in self._facts(tuple(sorted(somewhere)), applies):
            asked = open_.select(pl.any_horizontal(rules)).to_series() & self._unsettled(fact, part) & rows
            if found := asked.sum():
                counts[fact] = found
                number = number + asked.cast(pl.Int64)
                first = first.zip_with((first != "") | ~asked, pl.repeat(f"{self.question(fact)} ({place})", height, eager=True))
        return Asked(number, first, counts)

    def question(self, name: str) -> str:
        """A fact as its question; an edge is asked as the size that gives it."""
        return self.vocabulary.fact(self._sizes.get(name, name)).ask or f"What is the {name.replace('.', ' ')}?"

    def _facts(self, rules: tuple[str, ...], applies: bool) -> list[tuple[str, list[str]]]:
        """The facts that some open rules ask, each with its rules, those first that could change most."""
        if (rules, applies) not in self._rules:
            by_fact: dict[str, list[str]] = {}
            for rule in rules:
                if self.loaded.book.rules[rule].severity != "advice":
                    for fact in self._asked_by(rule, applies):
                        by_fact.setdefault(fact, []).append(rule)
            self._rules[rules, applies] = sorted(by_fact.items(), key=self._order)
        return self._rules[rules, applies]

    def _order(self, asked: tuple[str, list[str]]) -> tuple[int, int, int, str]:
        fact, rules = asked
        gravest = max(SEVERITIES.index(self.loaded.book.rules[rule].severity) for rule in rules)
        return -gravest, IMPORTANCE.index(self.vocabulary.fact(fact).matters), -len(rules), fact

    def _asked_by(self, rule: str, applies: bool) -> list[str]:
        own = self.loaded.book.rules[rule]
        conditions = (own.applies,) if applies else own.conditions()
        waiting = [name for condition in conditions for name in sorted(condition_reads(self.loaded.book, condition))]
        waiting += own.things(self.vocabulary) if applies else []  # a rule applies only where what it names is there
        seen: set[str] = set()
        asked: dict[str, None] = {}
        while waiting:
            name = waiting.pop(0).removesuffix(" as stated")
            if name in seen or name not in self.slots:
                continue
            seen.add(name)
            fact, derived = self.vocabulary.fact(name), self._derived.get(name)
            if derived is None or fact.stated and not fact.aggregate and (fact.ask or not (derived.formula or fact.concluded)):
                if not self._is_a_check(fact):
                    asked[name] = None
            else:
                waiting += sorted(reads_of(self.loaded.book, derived))
        return list(asked)

    def _is_a_check(self, fact: Fact) -> bool:
        if fact.kind == "presence":
            return self.vocabulary.things[fact.thing].sort == "record"
        return fact.known_from in WORK_OR_RECORD

    def _unsettled(self, name: str, part: ToldPart) -> pl.Series:
        """The rows in which a fact of something that is there, or may be, has more than one value that is possible."""
        fact = self.vocabulary.fact(name)
        parts = part.derived.parts(name)
        height = len(part.rows)
        if fact.kind == "presence":
            unsettled = parts[0] == MAYBE
        else:
            if fact.is_amount or fact.is_together:
                unsettled = parts[0] != parts[1]
            else:
                unsettled = (parts[0] & (parts[0] - 1)) != 0
            (there,) = part.derived.parts(fact.thing)
            # Whether a thing is there comes before what it is like.
            unsettled = _both(unsettled, there == THERE) if not self.vocabulary.things[fact.thing].always else unsettled
        return pl.repeat(unsettled, height, dtype=pl.Boolean, eager=True) if isinstance(unsettled, bool) else unsettled


def _both(one: pl.Series | bool, other: pl.Series | bool) -> pl.Series | bool:
    if isinstance(one, bool):
        return other if one else False
    return one & other if not isinstance(other, bool) else one if other else False
