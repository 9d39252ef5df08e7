"""Takes the texts of a column, returns what each leaves possible; each different text is read once.

In screening nothing is taken as not there because it was not written: what an assembly would presume is asked for.
"""

from datetime import date
from typing import NamedTuple

import polars as pl

from validator.engines.columns.places import ROW, NotInColumns, Places, column_type, columns_of, parts_of, stated, unseen
from validator.facts import possible
from validator.facts.possible import NOT_STATED, Known, NotPossible
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact, Thing, Vocabulary
from validator.language.slips import near_ones
from validator.screening.dates import read_day
from validator.screening.mapping import Column, Group, key_of
from validator.screening.units import could_be, figures_of, slip_in, with_unit

NONE_WORDS = frozenset(("none", "not used", "nothing"))
YES_OR_NO = {"yes": "yes", "y": "yes", "true": "yes", "no": "no", "n": "no", "false": "no"}
TICKS = {"presence": ("yes", "no"), "yes or no": ("yes", "no")}
MOST_REMEMBERED = 5_000
LONGEST_PROBLEM = 200
EITHER_DAY = "the day or the month may stand first; say `date order: mdy` or `date order: dmy` in the mapping"


class Cell(NamedTuple):
    """What one text says: of each fact its parts and whether it is stated; or that the thing is not there.

    Or why it says nothing, and what it might be.
    """

    facts: tuple[tuple[str, tuple[int, ...], bool], ...] = ()
    none: bool = False
    problem: str = ""
    perhaps: str = ""


class CellReader:
    """Reads the cells of one group of columns."""

    def __init__(self, vocabulary: Vocabulary, slots: dict[str, int], group: Group, decimal_comma: str = "") -> None:
        self.vocabulary, self.slots, self.group, self.decimal_comma = vocabulary, slots, group, decimal_comma
        self.known: dict[Column, dict[str, Cell]] = {column: {} for column in group.columns}
        self.says = {column: {key_of(theirs): ours for theirs, ours in column.says} for column in group.columns}
        self.fixed = [self.read(Column(name, ""), text) for name, text in group.fixed]
        self.kinds = [text for name, text in group.fixed if name == "place.kind"]

    # -- one text -----------------------------------------------------------------------------------------------------------

    def text_for(self, column: Column, text: str) -> str:
        """A cell as our own notation: their word for ours, a decimal point, the unit of the column."""
        text = " ".join(text.split())
        if (ours := self.says.get(column, {}).get(key_of(text))) is not None:
            return ours
        fact = self.vocabulary.fact(column.fact)
        if fact.kind in ("presence", "yes or no") and text.casefold() in YES_OR_NO:
            said = YES_OR_NO[text.casefold()]
            return said if fact.kind == "yes or no" else "there" if said == "yes" else "none"
        if fact.kind == "moment":
            days = _days(column, text)
            return days.pop() if len(days) == 1 else text
        if fact.is_amount or fact.kind == "size":
            text = figures_of(text, self.decimal_comma)
        return with_unit(fact, text, column.unit) if column.unit else text

    def read(self, column: Column, text: str) -> Cell:
        """What a text says of a column's fact."""
        known = self.known.get(column, {})
        if text not in known:
            if len(known) > MOST_REMEMBERED:
                known.clear()
            known[text] = self._read(self.vocabulary.fact(column.fact), column, text)
        return known[text]

    def _read(self, fact: Fact, column: Column, text: str) -> Cell:
        ours = self.text_for(column, text)
        if (fact.is_amount or fact.kind == "size") and key_of(text) not in self.says.get(column, {}):
            if meant := could_be(text, self.decimal_comma):
                return Cell(problem=f"`{text}` has a mark that may stand between thousands or before decimals", perhaps=" or ".join(with_unit(fact, each, column.unit) if column.unit else each for each in meant))
        thing = self.vocabulary.things[fact.thing]
        if not thing.always and ours.casefold() in NONE_WORDS:
            return Cell(none=True)
        if fact.kind == "moment" and len(_days(column, ours)) > 1:
            return Cell(problem=EITHER_DAY)
        if ours.startswith("="):
            return Cell(problem="it holds a formula, not a value; paste the values")
        try:
            said: dict[str, Known] = {fact.name: possible.read(fact, ours)}
            said |= possible.edges(fact, ours)
            slip, perhaps = slip_in(self.vocabulary, fact, said, ours)
            if slip and key_of(text) not in self.says.get(column, {}):
                return Cell(problem=slip, perhaps=perhaps)
            facts = []
            for name, each in said.items():
                own = self.vocabulary.fact(name)
                if each.value is not None:
                    facts.append((name, parts_of(own, each.value), each.origin != NOT_STATED))
            return Cell(tuple(facts))
        except NotPossible as problem:
            near = near_ones(ours, (*fact.words, *fact.also_said, *TICKS.get(fact.kind, ()))) if not fact.is_amount else ()
            return Cell(problem=problem.what[:LONGEST_PROBLEM], perhaps=" or ".join(near))
        except NotInColumns as problem:
            return Cell(problem=str(problem))

    def written(self, column: Column, texts: pl.Series) -> pl.Series:
        """Of each text whether it says something (1), that the thing is not there (2), or nothing (0)."""
        different = texts.unique()
        cells = [self.read(column, text) for text in different.to_list()]
        marks = [2 if cell.none else int(any(said for _, _, said in cell.facts)) for cell in cells]
        return texts.replace_strict(different, marks, return_dtype=pl.UInt8)

    # -- a piece --------------------------------------------------------------------------------------------------------------

    def places(self, cells: pl.DataFrame) -> tuple[Places, dict[Column, pl.Series]]:
        """The places of a piece, and of each column that has them the rows of which the cell could not be read.

        A cell that cannot be read says nothing of its fact, which stays as open as if it were blank.
        """
        frame = pl.DataFrame({ROW: pl.Series(range(cells.height), dtype=pl.UInt32)})
        said: dict[str, list[pl.Series]] = {}  # by thing, whether something is stated of it
        nones: dict[str, list[pl.Series]] = {}
        unread: dict[Column, pl.Series] = {}
        for column in self.group.columns:
            texts = cells[column.heading]
            different = texts.unique()
            read = [self.read(column, text) for text in different.to_list()]
            spread = pl.DataFrame({"text": different}).with_columns(self._series(column, read))
            joined = pl.DataFrame({"text": texts}).join(spread, on="text", how="left", maintain_order="left")
            frame = frame.with_columns(
                joined.select(pl.exclude("text", "#said", "#none", "#unread"))
            )
            thing = self.vocabulary.fact(column.fact).thing
            if self.vocabulary.fact(column.fact).kind != "presence":
                said.setdefault(thing, []).append(joined["#said"])
            nones.setdefault(thing, []).append(joined["#none"])
            if joined["#unread"].any():
                unread[column] = joined["#unread"]
        frame = self._fixed(frame, said)
        frame = frame.with_columns(self._presences(frame, said, nones))
        return Places(self.group.sort, frame.select(pl.exclude(ROW), ROW)), unread

    def _series(self, column: Column, read: list[Cell]) -> list[pl.Series]:
        """The columns that the different texts of one column come to."""
        series = [
            pl.Series("#said", [any(s for _, _, s in cell.facts) for cell in read], pl.Boolean),
            pl.Series("#none", [cell.none for cell in read], pl.Boolean),
            pl.Series("#unread", [bool(cell.problem) for cell in read], pl.Boolean),
        ]
        fact = self.vocabulary.fact(column.fact)
        for name in (fact.name, *(fact.gives if fact.kind == "size" else ())):
            own = self.vocabulary.fact(name)
            if name not in self.slots or not (own.is_amount or own.is_word or own.is_together):
                continue
            anything = own.anything if isinstance(own.anything, tuple) else (own.anything,)
            values = [next((p for n, p, _ in cell.facts if n == name), anything) for cell in read]
            is_said = [any(s for n, _, s in cell.facts if n == name) for cell in read]
            as_stated = [f"{name} as stated"] if f"{name} as stated" in self.slots else []
            for each in (own.name, *as_stated):
                target = own if each == name else self.vocabulary.fact(each)
                series += [
                    pl.Series(n, [v[at] for v in values], column_type(own)) for at, n in enumerate(columns_of(target))
                ]
            series.append(pl.Series(stated(name), is_said, pl.Boolean))
        return series

    def _fixed(self, frame: pl.DataFrame, said: dict[str, list[pl.Series]]) -> pl.DataFrame:
        for (name, _), cell in zip(self.group.fixed, self.fixed):
            for fact_name, parts, is_said in cell.facts:
                fact = self.vocabulary.fact(fact_name)
                kind = column_type(fact)
                names = [fact_name, *([f"{fact_name} as stated"] if f"{fact_name} as stated" in self.slots else [])]
                frame = frame.with_columns(
                    *(pl.lit(p, dtype=kind).alias(n) for each in names
                      for n, p in zip(columns_of(self.vocabulary.fact(each)), parts)),
                    pl.lit(is_said).alias(stated(fact_name)),
                )  # fmt: skip
            if self.vocabulary.fact(name).kind != "presence":
                yes = pl.repeat(bool(cell.facts), frame.height, dtype=pl.Boolean, eager=True)
                said.setdefault(self.vocabulary.fact(name).thing, []).append(yes)
        return frame

    def _presences(
        self, frame: pl.DataFrame, said: dict[str, list[pl.Series]], nones: dict[str, list[pl.Series]]
    ) -> list[pl.Series]:
        """Whether each thing is there: stated of, written as none, or as the vocabulary says, with nothing presumed away."""
        found: list[pl.Series] = []
        height = frame.height
        no = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
        for thing in self.vocabulary.things.values():
            if thing.name not in self.slots:
                continue
            usual = self.usual(thing)
            stated_of, none_of = no, no
            for series in said.get(thing.name, ()):
                stated_of = stated_of | series
            for series in nones.get(thing.name, ()):
                none_of = none_of | series
            known = frame[thing.name] if thing.name in frame.columns else None
            if known is None:
                if not stated_of.any() and not none_of.any():
                    if usual != MAYBE:
                        found.append(pl.repeat(usual, height, dtype=pl.UInt8, eager=True).alias(thing.name))
                    continue
                known = pl.repeat(usual, height, dtype=pl.UInt8, eager=True)
            there = pl.select(
                pl.when(none_of).then(pl.lit(NONE, dtype=pl.UInt8)).when(stated_of & (known != NONE)).then(pl.lit(THERE, dtype=pl.UInt8)).otherwise(known)
            ).to_series()
            was = frame[stated(thing.name)] if stated(thing.name) in frame.columns else no
            found += [
                there.alias(thing.name), (~stated_of).alias(unseen(thing.name)),
                (was | stated_of | none_of).alias(stated(thing.name)),
            ]  # fmt: skip
        return found

    def usual(self, thing: Thing) -> int:
        """Whether a thing of which nothing is written is there; what cannot be in a place of this kind is not."""
        if thing.always:
            return THERE
        if thing.sort == "junction":
            return THERE if self.group.sort == "junction" else NONE
        if thing.in_places and self.kinds and self.kinds[0] not in thing.in_places:
            return NONE
        if thing.there_in and self.kinds and self.kinds[0] not in thing.there_in:
            return NONE
        return THERE if thing.when_not_written == "there" else MAYBE


def _days(column: Column, text: str) -> set[str]:
    """The days that a date may be: two where its day and month may change places."""
    day = read_day(text, column.date_order, date.max)
    return {day.day_first, day.month_first} - {""}
