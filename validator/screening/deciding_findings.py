"""Findings that decide a row: what fails or warns as told, with what was found and needed.

The words come from the columns that were derived, once for each different combination of values that a rule compares.
"""

from collections.abc import Iterator

import polars as pl

from validator.engines.columns import Follows, ToldPart
from validator.engines.columns.places import columns_of
from validator.engines.deriving import DerivedPlace, Vector
from validator.engines.outcomes import WORST_FIRST, Outcome
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Subject
from validator.judging.loading import LoadedBook
from validator.rulebook.dependencies import condition_reads
from validator.screening.cells import CellReader

BREACH = WORST_FIRST.index(Outcome.BREACH)
AT = "at"  # the number of a row
MOST_KNOWN = 20_000  # different combinations that are remembered
FOUND = {AT: pl.UInt32, "place": pl.String, "rule": pl.String, "title": pl.String, "outcome": pl.String,
         "found": pl.String, "needed": pl.String}  # fmt: skip


class DecidingFindings:
    """Tells the breaches of one book over columns."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        self.slots = loaded.engine.deriver.slots
        self._reads: dict[str, list[str]] = {}
        self._told: dict[tuple[object, ...], tuple[str, str]] = {}

    def of(self, reader: CellReader, part: ToldPart) -> Iterator[pl.DataFrame]:
        """A row for each breach of some rows, advice left out."""
        for name in self._breached(part):
            rule = self.loaded.book.rules[name]
            at = (part.outcomes.outcomes[name] == BREACH).arg_true()
            standings = part.outcomes.standings
            fails = standings[f"{name}:fails"].gather(at) if f"{name}:fails" in standings.columns else None
            outcome = pl.lit(rule.severity) if fails is None else pl.when(fails).then(pl.lit("fail")).otherwise(pl.lit("warn"))
            found, needed = self._words(reader, name, part.derived, at)
            yield pl.DataFrame({AT: part.rows.gather(at), "found": found, "needed": needed}).with_columns(
                outcome=outcome, place=pl.lit(reader.group.name), rule=pl.lit(name), title=pl.lit(rule.title)
            ).select(list(FOUND)).cast(FOUND)

    def _breached(self, part: ToldPart) -> list[str]:
        """The rules that some row breaches."""
        outcomes = part.outcomes.outcomes
        if outcomes.is_empty():
            return []
        somewhere = outcomes.select((pl.all() == BREACH).any()).row(0)
        return [name for name, any_ in zip(outcomes.columns, somewhere) if any_ and self.loaded.book.rules[name].severity != "advice"]

    def _words(self, reader: CellReader, rule: str, derived: Follows, at: pl.Series) -> tuple[list[str], list[str]]:
        """What was found and needed in each row, worked once for each different combination of what the rule compares."""
        names = self._facts(rule)
        values = [(name, derived.parts(name)) for name in names]
        changing = {f"{name}:{n}": part.gather(at) for name, parts in values for n, part in enumerate(parts) if isinstance(part, pl.Series)}
        same = tuple(part for _, parts in values for part in parts if not isinstance(part, pl.Series))
        if not changing:
            told = self._worked(reader, rule, values, {}, same)
            return [told[0]] * len(at), [told[1]] * len(at)
        keys = pl.DataFrame(changing)
        different = keys.unique(maintain_order=True)
        told = [self._worked(reader, rule, values, row, same) for row in different.iter_rows(named=True)]
        words = different.with_columns(pl.Series("#found", [t[0] for t in told], pl.String), pl.Series("#needed", [t[1] for t in told], pl.String))
        joined = keys.join(words, on=list(changing), how="left", maintain_order="left")
        return joined["#found"].to_list(), joined["#needed"].to_list()

    def _worked(self, reader: CellReader, rule: str, values: list, row: dict[str, int], same: tuple[int, ...]) -> tuple[str, str]:
        key = (reader.group.name, rule, same, *row.values())
        if key not in self._told:
            if len(self._told) >= MOST_KNOWN:
                self._told.clear()
            vector: Vector = self.loaded.engine.deriver.blank[:]
            units = {column.fact: column.unit for column in reader.group.columns if column.unit}
            known: dict[str, Known] = {}
            for name, parts in values:
                own = tuple(row.get(f"{name}:{n}", part) for n, part in enumerate(parts))
                vector[self.slots[name]] = own if len(own) > 1 else own[0]
                if name in units:
                    known[name] = Known(vector[self.slots[name]], STATED, unit=units[name])
            place = DerivedPlace(Subject(reader.group.name, reader.group.sort), vector, {}, {}, known)
            self._told[key] = self.loaded.explainer.found_and_needed(self.loaded.book.rules[rule], vector, place)
        return self._told[key]

    def _facts(self, rule: str) -> list[str]:
        """The facts that a requirement compares, with the keys of its schedules."""
        if rule not in self._reads:
            names = condition_reads(self.loaded.book, self.loaded.book.rules[rule].requires)
            kinds = {name: self.vocabulary.fact(name) for name in sorted(names)}
            self._reads[rule] = [n for n, fact in kinds.items() if n in self.slots and columns_of(fact) and (fact.is_amount or fact.is_word or fact.is_together)]
        return self._reads[rule]
