"""Questions of a table, counted and not told one by one: which facts, not stated, something open as told still hangs on.

A rule asks what it reads itself, or what a sum or a conclusion that it reads is made from. What hangs on how the work is done, or
on a record, is a check and no question. The letter of one registration asks more exactly than these counts.
"""

from collections.abc import Sequence
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
from validator.screening.deciding_findings import AT

OPEN = [WORST_FIRST.index(outcome) for outcome in OPEN_OUTCOMES if outcome is not Outcome.WAITS]
WAITS = WORST_FIRST.index(Outcome.WAITS)
COUNTED = {"fact": pl.String, "question": pl.String, "rows": pl.Int64}
ASKED = {AT: pl.UInt32, "fact": pl.String}
ORDER = "order"
GRAVEST = SEVERITIES[-1]
LESS, LEAST_GRAVE = 10_000, 1_000_000  # more than there are rules, and more than facts that matter less


class Asked(NamedTuple):
    """Of some rows: how many questions each has, the first of them, and each fact that is asked by the row it is asked in."""

    number: pl.Series
    first: pl.Series
    each: pl.DataFrame


class Questions:
    """Counts the questions of one book over columns."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        self.slots = loaded.engine.deriver.slots
        self._derived = {each.fact.name: each for each in loaded.book.order}
        self._sizes = {edge: fact.name for fact in self.vocabulary.facts.values() for edge in fact.gives}
        self._expressions: dict[tuple[str, tuple[str, ...]], tuple[pl.Expr, pl.Expr]] = {}
        self._rules: dict[tuple[tuple[str, ...], bool], dict[str, list[str]]] = {}

    def of(self, parts: Sequence[ToldPart], place: str) -> Asked:
        """What is asked in each row; where nothing is, what those rules wait for that may not apply."""
        found = [pl.DataFrame(schema={**ASKED, ORDER: pl.Int64})]
        for part in parts:
            asked = self._of(part, OPEN, False, pl.repeat(True, len(part.rows), dtype=pl.Boolean, eager=True))
            rest = ~pl.Series(range(len(part.rows)), dtype=pl.UInt32).is_in(asked[AT].unique().implode())
            found += [each.with_columns(part.rows.cast(pl.UInt32).gather(each[AT]).alias(AT)) for each in (asked, self._of(part, [WAITS], True, rest))]
        each = pl.concat(found).sort(AT, ORDER, "fact")
        every = pl.DataFrame({AT: pl.Series(range(sum(len(part.rows) for part in parts)), dtype=pl.UInt32)})
        of_row = every.join(each.group_by(AT).agg(pl.len().cast(pl.Int64).alias("number"), pl.first("fact")), on=AT, how="left", maintain_order="left")
        texts = {fact: f"{self.question(fact)} ({place})" for fact in each["fact"].unique().to_list()}
        first = of_row["fact"].replace_strict(texts, default="", return_dtype=pl.String) if texts else pl.repeat("", every.height, eager=True)
        return Asked(of_row["number"].fill_null(0), first, each.drop(ORDER))

    def _of(self, part: ToldPart, codes: list[int], applies: bool, rows: pl.Series) -> pl.DataFrame:
        """What rules ask that come to one of some outcomes, row by row; `applies`: only whether they apply.

        ORDER is less for what could change more: the gravest rule, how much the fact matters, and how many rules of the row ask it.
        """
        outcomes = part.outcomes.outcomes
        found = [pl.DataFrame(schema={**ASKED, ORDER: pl.Int64})]
        if outcomes.width and rows.any():
            open_ = outcomes.select(pl.all().is_in(codes))
            somewhere = {name for name, any_ in zip(open_.columns, open_.select(pl.all().any()).row(0)) if any_}
            facts = {fact: own for fact, rules in self._facts(tuple(outcomes.columns), applies).items() if (own := tuple(rule for rule in rules if rule in somewhere))}
            asked = open_.select(expr for fact, own in facts.items() for expr in self._asking(fact, own))
            for fact in facts:
                at = (asked[f"{fact}?"] & self._unsettled(fact, part) & rows).arg_true()
                if len(at):
                    found.append(pl.DataFrame({AT: at, ORDER: asked[fact].gather(at)}).select(AT, pl.lit(fact).alias("fact"), ORDER))
        return pl.concat(found)

    def _asking(self, fact: str, rules: tuple[str, ...]) -> tuple[pl.Expr, pl.Expr]:
        """The ORDER of a fact that some rules ask, by its name, and whether any of them does, by its name with a question mark."""
        if (fact, rules) not in self._expressions:
            grave = [pl.col(rule) for rule in rules if self.loaded.book.rules[rule].severity == GRAVEST]
            order = (~(pl.any_horizontal(grave) if grave else pl.lit(False))) * LEAST_GRAVE + IMPORTANCE.index(self.vocabulary.fact(fact).matters) * LESS - pl.sum_horizontal(rules)
            self._expressions[fact, rules] = order.cast(pl.Int64).alias(fact), pl.any_horizontal(rules).alias(f"{fact}?")
        return self._expressions[fact, rules]

    def question(self, name: str) -> str:
        """A fact as its question; an edge is asked as the size that gives it."""
        return self.vocabulary.fact(self._sizes.get(name, name)).ask or f"What is the {name.replace('.', ' ')}?"

    def _facts(self, rules: tuple[str, ...], applies: bool) -> dict[str, list[str]]:
        """The facts that some rules ask while they are open, each with those rules."""
        if (rules, applies) not in self._rules:
            by_fact: dict[str, list[str]] = {}
            for rule in rules:
                if self.loaded.book.rules[rule].severity != "advice":
                    for fact in self._asked_by(rule, applies):
                        by_fact.setdefault(fact, []).append(rule)
            self._rules[rules, applies] = by_fact
        return self._rules[rules, applies]

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
