"""Each term of a warranty document for every row of a table: shown, not shown, not met, or for a person; judged in columns.

What `warranty` finds of one described assembly is found here of every row, as told and strictly, and a test holds the two together.
What a condition asks of quantities is reckoned once for each different amount.
"""

from collections.abc import Iterable, Iterator
from functools import reduce
from typing import NamedTuple

import polars as pl

from validator.engines.columns import BothReadings, Columns, ColumnsAsTold, Follows, OutcomeTable, ToldPart
from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.facts.vocabulary import NONE
from validator.judging.loading import LoadedBook
from validator.rulebook.conditions import facts_read
from validator.rulebook.rule import Rule
from validator.rulebook.trees import sort_of
from validator.screening.cells import CellReader
from validator.screening.mapping import Group
from validator.screening.unread import Judged, unread_facts
from validator.warranty import days, law
from validator.warranty.conditions import trees_of_condition
from validator.warranty.programme import ADMINISTRATIVE, EVIDENCE, SCOPE, Clear, EarlierTerm, Enough, Programme, Stated, Within
from validator.warranty.quantities import reckon
from validator.warranty.report import BEST_FIRST, Standing
from validator.warranty.terms import IN_FORCE

RANK = {standing: rank for rank, standing in enumerate(BEST_FIRST)}
SHOWN, TAKEN, PERSON, NOT_SHOWN, NOT_MET, OUTSIDE, NOT_ARISING = (RANK[s] for s in (
    Standing.SHOWN, Standing.TAKEN, Standing.PERSON, Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE, Standing.NOT_ARISING,
))  # fmt: skip
OPEN = [WORST_FIRST.index(outcome) for outcome in OPEN_OUTCOMES]
BREACH = WORST_FIRST.index(Outcome.BREACH)
NAMED = (Standing.OUTSIDE, Standing.NOT_MET, Standing.NOT_SHOWN, Standing.PERSON, Standing.TAKEN)
TERMS = {"row": pl.Int64, "registration": pl.String, "term": pl.String, "stands at": pl.String, "strictly": pl.String,
         **{str(each): pl.String for each in NAMED}}  # fmt: skip


class _Place(NamedTuple):
    """One group of columns as the document looks at it in one reading: what the book's rules and its own conditions come to.

    `outside`: the rows of which the book judges nothing.
    """

    sort: str
    rules: OutcomeTable | None
    conditions: OutcomeTable
    derived: "Follows | _InRows"
    outside: pl.Series


class _InRows:
    """What is known as told in every row of a table that was judged in parts."""

    def __init__(self, parts: tuple[ToldPart, ...]) -> None:
        self._parts = parts
        self._turn = pl.concat([part.rows for part in parts]).arg_sort()
        self.height = len(self._turn)

    def parts(self, fact: str) -> tuple[pl.Series | int, ...]:
        """As of one table."""
        each = [[_series(known, len(part.rows)) for known in part.derived.parts(fact)] for part in self._parts]
        return tuple(pl.concat(same).gather(self._turn) for same in zip(*each))

    def table(self) -> OutcomeTable:
        """The outcomes of every row in one table."""
        frames = [part.outcomes.frames() for part in self._parts]
        return OutcomeTable(*(self._joined(list(same)) for same in zip(*frames)))

    def _joined(self, frames: list[pl.DataFrame]) -> pl.DataFrame:
        return pl.concat(frames, how="vertical_relaxed")[self._turn] if all(frame.width for frame in frames) else frames[0]


class Terms:
    """The terms of one programme over tables of one mapping. `loaded` works out everything."""

    def __init__(self, loaded: LoadedBook, programme: Programme) -> None:
        self.loaded, self.programme, self.vocabulary = loaded, programme, loaded.vocabulary
        every = [*programme.every_term, *(condition for term in programme.terms for condition in term.conditions)]
        self.names = {id(condition): f"condition {number}" for number, condition in enumerate(every)}
        trees = [trees_of_condition(c.test, loaded, self.names[id(c)]) for c in every if isinstance(c.test, Rule)]
        self.told = ColumnsAsTold(Columns(loaded.book, loaded.engine.deriver.work, trees=trees, everything=True), loaded.as_told)
        self.outside = [loaded.book.fuser.fuse(each.when) for each in loaded.book.outside if each.whole]
        self.job = CellReader(self.vocabulary, loaded.engine.deriver.slots, Group("job", "job", ()))

    def of(self, judged: list[Judged], cells: pl.DataFrame) -> pl.DataFrame:
        """A row for each row of the piece and each term, in their order; the row's own columns are added by whoever has them."""
        groups = [(each.reader, each.both) for each in judged]
        if not any(reader.group.sort == "job" for reader, _ in groups):
            groups.append((self.job, None))
        places = [self._places(reader, cells, both) for reader, both in groups]
        stated, as_told = (list(reading) for reading in zip(*places))
        strictly, told = (self._terms(reading, stated) for reading in (stated, as_told))
        frames = [self._told(term.name, *each) for term, each in zip(self.programme.terms, map(_laid_together, strictly, told))]
        return pl.concat([frame.with_row_index("at") for frame in frames]).sort("at", maintain_order=True)

    def _terms(self, places: list[_Place], stated: list[_Place]) -> list["_Lines"]:
        """Of each term its conditions with where they stand in one reading; days and quantities by what was `stated` alone."""
        every = [(IN_FORCE, self._in_force(stated)), (self._speaks(), self._speaks_of(places, self.programme.places))]
        every += [(_name(each), self._rank(each, places, stated, {})) for each in self.programme.every_term]
        earlier: dict[str, pl.Series] = {}
        found = []
        for term in self.programme.terms:
            lines = [*every, *((_name(each), self._rank(each, places, stated, earlier)) for each in term.conditions)]
            earlier[term.name] = _worst(rank for _, rank in lines)
            found.append(lines)
        return found

    # -- one condition --------------------------------------------------------------------------------------------------------------

    def _rank(self, condition: Stated, places: list[_Place], stated: list[_Place], earlier: dict[str, pl.Series]) -> pl.Series:
        height = len(places[0].outside)
        if self.programme.document.headed == "full" and law.asks_registration(condition):
            return _all(PERSON, height)
        match condition.test:
            case Clear(matters):
                return self._clear(matters, places)
            case Rule() as rule:
                return reduce(_worse, self._required(condition, rule, places), _all(NOT_ARISING, height))
            case Within() as within:
                return self._within(within, stated)
            case Enough() as enough:
                return self._enough(enough, stated)
            case EarlierTerm(term):
                return earlier[term]
        return _all(PERSON, height)

    def _clear(self, matters: tuple[str, ...], places: list[_Place]) -> pl.Series:
        height = len(places[0].outside)
        failed = opened = warned = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
        for place in places:
            table = place.rules
            warned = warned | place.outside
            names = [n for n in (table.outcomes.columns if table else ()) if (r := self.loaded.book.rules[n]).warranty in matters and r.severity != "advice"]
            for name in names:
                code = table.outcomes[name]
                fails = table.standings[f"{name}:fails"] if f"{name}:fails" in table.standings.columns else None
                breach = code == BREACH
                sure = breach & fails if fails is not None else breach if self.loaded.book.rules[name].severity == "fail" else None
                failed = failed | sure if sure is not None else failed
                warned = warned | (breach & ~sure if sure is not None else breach)
                softened = f"{name}:softened"
                opened = opened | code.is_in(OPEN) | (table.standings[softened] if softened in table.standings.columns else False)
            for where in table.two_ways.get_columns() if table else ():
                opened = opened | where
        return pl.select(pl.when(failed).then(NOT_MET).when(opened).then(NOT_SHOWN).when(warned).then(PERSON).otherwise(SHOWN)).to_series().cast(pl.UInt8)

    def _required(self, stated: Stated, rule: Rule, places: list[_Place]) -> Iterator[pl.Series]:
        for place in places:
            if place.sort != sort_of(rule, self.vocabulary):
                continue
            code = place.conditions.outcomes[self.names[id(stated)]]
            breach: pl.Series | int = OUTSIDE if stated.kind == SCOPE else NOT_SHOWN if stated.kind == ADMINISTRATIVE else NOT_MET
            if stated.kind == EVIDENCE:
                breach = self._absent(rule, place)
            applies = code != WORST_FIRST.index(Outcome.NOT_APPLICABLE)
            yield pl.select(
                pl.when(~applies).then(pl.lit(NOT_ARISING)).when(code.is_in(OPEN)).then(pl.lit(NOT_SHOWN)).when(code == BREACH)
                .then(breach if isinstance(breach, pl.Series) else pl.lit(breach)).otherwise(pl.lit(SHOWN))
            ).to_series().cast(pl.UInt8)  # fmt: skip

    def _absent(self, rule: Rule, place: _Place) -> pl.Series | int:
        """Evidence that is only not at hand is not shown; what is at hand and says otherwise is not met."""
        facts = [self.vocabulary.fact(name) for name in facts_read(rule.requires)]
        if all(fact.kind in ("yes or no", "presence") for fact in facts):
            return NOT_SHOWN
        gone: pl.Series | bool = False
        for thing in {fact.thing for fact in facts if self.vocabulary.things[fact.thing].sort == "record"}:
            gone = (place.derived.parts(thing)[0] == NONE) | gone
        if isinstance(gone, bool):
            return NOT_SHOWN if gone else NOT_MET
        return pl.select(pl.when(gone).then(NOT_SHOWN).otherwise(NOT_MET)).to_series()

    # -- days, kinds and quantities: once for each different value ---------------------------------------------------------------------

    def _within(self, within: Within, places: list[_Place]) -> pl.Series:
        def rank(start: tuple[int, int], end: tuple[int, int]) -> int:
            gone = days.between(start, end)
            return SHOWN if gone.greatest is not None and 0 <= gone.greatest <= within.days else NOT_SHOWN

        return self._each(_job(places), [within.start, within.end], rank)

    def _in_force(self, places: list[_Place]) -> pl.Series:
        document = self.programme.document
        ranks = {True: SHOWN, False: OUTSIDE, None: NOT_SHOWN}
        return self._each(_job(places), [document.on], lambda day: ranks[days.falls_inside(day, document.first, document.last)])

    def _speaks_of(self, places: list[_Place], kinds: tuple[str, ...]) -> pl.Series:
        """Shown where a place surely is of one of some kinds, not shown where one may be, outside where none is."""
        height = len(places[0].outside)
        wanted = sum(1 << self.vocabulary.facts["place.kind"].words.index(word) for word in kinds)
        found = _all(OUTSIDE, height)
        for place in places:
            if place.sort == "place":
                rank = self._each(place, ["place.kind"], lambda mask: OUTSIDE if not mask & wanted else NOT_SHOWN if mask & ~wanted else SHOWN)
                found = pl.select(pl.min_horizontal(found, rank)).to_series()
        return found

    def _enough(self, enough: Enough, places: list[_Place]) -> pl.Series:
        fact = self.vocabulary.fact(enough.bought)
        kind = self.vocabulary.facts["place.kind"]
        wanted = sum(1 << kind.words.index(word) for word in enough.places)
        of_place = [place for place in places if place.sort == "place"]

        def rank(bought: tuple[int, int], *each: object) -> int:
            areas = []
            for place, mask, area in zip(of_place, each[::2], each[1::2]):
                if mask & wanted:
                    areas.append((place.sort, (area[0] if not mask & ~wanted else 0, area[1])))
            if not areas:
                return NOT_ARISING
            reckoned = reckon(enough, fact.kind, bought, tuple(areas))
            return SHOWN if reckoned.answer and not reckoned.far_above else NOT_SHOWN

        asked = [(_job(places), fact.name)]
        for place in of_place:
            asked += [(place, "place.kind"), (place, "place.area")]
        return _by_value(asked, rank, len(places[0].outside))

    def _each(self, place: _Place, facts: list[str], rank: object) -> pl.Series:
        return _by_value([(place, fact) for fact in facts], rank, len(place.outside))

    # -- telling --------------------------------------------------------------------------------------------------------------------

    def _places(self, reader: CellReader, cells: pl.DataFrame, rules: BothReadings | None) -> tuple[_Place, _Place]:
        """One group of columns strictly and as told."""
        places, unread = reader.places(cells)
        both = self.told.judge(places, reader.group.name.casefold(), unread_facts(reader, unread))
        sort, outside = reader.group.sort, pl.repeat(False, cells.height, dtype=pl.Boolean, eager=True)
        for where in both.follows.surely(self.outside) if sort == "place" else ():
            outside = outside | where
        told = _InRows(both.told)
        as_told = _InRows(rules.told).table() if rules is not None else None
        return (
            _Place(sort, rules.strictly if rules is not None else None, both.strictly, both.follows, outside),
            _Place(sort, as_told, told.table(), told, outside),
        )

    def _speaks(self) -> str:
        return f"The work is of a kind the document speaks of: {', '.join(self.programme.places)}"

    def _told(self, term: str, lines: "_Lines", strictly: pl.Series) -> pl.DataFrame:
        frame = pl.DataFrame({str(at): rank for at, (_, rank) in enumerate(lines)})
        named = {}
        for standing in NAMED:
            parts = [pl.when(pl.col(str(at)) == RANK[standing]).then(pl.lit(name)) for at, (name, _) in enumerate(lines)]
            named[str(standing)] = pl.concat_str(parts, separator="; ", ignore_nulls=True)
        stands, proved = (
            ranks.replace_strict(list(RANK.values()), [str(each) for each in RANK], return_dtype=pl.String)
            for ranks in (_worst(rank for _, rank in lines), strictly)
        )
        return frame.select(
            pl.lit(term).alias("term"), stands.alias("stands at"), proved.alias("strictly"), *(expr.alias(name) for name, expr in named.items())
        )


_Lines = list[tuple[str, pl.Series]]  # conditions of a term, by name, and where each stands in every row


def _laid_together(strictly: _Lines, told: _Lines) -> tuple[_Lines, pl.Series]:
    """The conditions of one term as told, and where the term stands strictly: what would be shown as told and is not proved is taken."""
    lines = []
    for (name, proved), (_, rank) in zip(strictly, told):
        ranks = pl.DataFrame({"proved": proved, "rank": rank})
        is_proved, would_be = (pl.col(each).is_in([SHOWN, NOT_ARISING]) for each in ("proved", "rank"))
        lines.append((name, ranks.select(pl.when(is_proved).then("proved").when(would_be).then(TAKEN).otherwise("rank").cast(pl.UInt8)).to_series()))
    return lines, _worst(rank for _, rank in strictly)


def _worst(ranks: Iterable[pl.Series]) -> pl.Series:
    """What does not arise is left out of the worst, and nothing at all is shown."""
    return reduce(_worse, (rank.replace(NOT_ARISING, SHOWN) for rank in ranks))


def _series(part: pl.Series | int, height: int) -> pl.Series:
    return part if isinstance(part, pl.Series) else pl.repeat(part, height, dtype=pl.Int64, eager=True)


def _name(stated: Stated) -> str:
    return stated.clause or stated.needs


def _job(places: list[_Place]) -> _Place:
    return next(place for place in places if place.sort == "job")


def _all(rank: int, height: int) -> pl.Series:
    return pl.repeat(rank, height, dtype=pl.UInt8, eager=True)


def _worse(one: pl.Series, other: pl.Series) -> pl.Series:
    return pl.select(pl.max_horizontal(one.cast(pl.UInt8), other.cast(pl.UInt8))).to_series()


def _by_value(asked: list[tuple[_Place, str]], rank: object, height: int) -> pl.Series:
    """A standing for each row, worked once for each different combination of what is known of some facts."""
    parts = [place.derived.parts(fact) for place, fact in asked]
    columns = {f"{n}:{m}": part for n, each in enumerate(parts) for m, part in enumerate(each) if isinstance(part, pl.Series)}

    def of(row: dict[str, int]) -> int:
        values = [tuple(row.get(f"{n}:{m}", part) for m, part in enumerate(each)) for n, each in enumerate(parts)]
        return rank(*(value if len(value) > 1 else value[0] for value in values))

    if not columns:
        return _all(of({}), height)
    keys = pl.DataFrame(columns)
    different = keys.unique(maintain_order=True)
    told = different.with_columns(pl.Series("#rank", [of(row) for row in different.iter_rows(named=True)], pl.UInt8))
    return keys.join(told, on=list(columns), how="left", maintain_order="left")["#rank"]
