"""Each term of a warranty document for every row of a table: shown, not shown, not met, or for a person; judged in columns.

What `warranty` finds of one described assembly is found here of every row, strictly read, and a test holds the two together. What a
condition asks of quantities is reckoned once for each different amount.
"""

from collections.abc import Iterator
from functools import reduce
from typing import NamedTuple

import polars as pl

from validator.engines.columns import Columns, Follows, OutcomeTable
from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.facts.vocabulary import NONE
from validator.judging.loading import LoadedBook
from validator.rulebook.conditions import facts_read
from validator.rulebook.rule import Rule
from validator.rulebook.trees import sort_of
from validator.screening.cells import CellReader
from validator.screening.mapping import Group
from validator.screening.unread import Judged
from validator.warranty import days, law
from validator.warranty.conditions import trees_of_condition
from validator.warranty.programme import ADMINISTRATIVE, EVIDENCE, SCOPE, Clear, EarlierTerm, Enough, Programme, Stated, Within
from validator.warranty.quantities import reckon
from validator.warranty.report import BEST_FIRST, Standing
from validator.warranty.terms import IN_FORCE

RANK = {standing: rank for rank, standing in enumerate(BEST_FIRST)}
SHOWN, PERSON, NOT_SHOWN, NOT_MET, OUTSIDE, NOT_ARISING = (
    RANK[s] for s in (Standing.SHOWN, Standing.PERSON, Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE, Standing.NOT_ARISING)
)  # fmt: skip
OPEN = [WORST_FIRST.index(outcome) for outcome in OPEN_OUTCOMES]
BREACH = WORST_FIRST.index(Outcome.BREACH)
TERMS = {"row": pl.Int64, "registration": pl.String, "term": pl.String, "stands at": pl.String,
         **{str(each): pl.String for each in (Standing.OUTSIDE, Standing.NOT_MET, Standing.NOT_SHOWN, Standing.PERSON)}}  # fmt: skip


class _Place(NamedTuple):
    """One group of columns as the document looks at it: what it was judged strictly, and what its conditions come to."""

    sort: str
    strictly: OutcomeTable | None
    conditions: OutcomeTable
    derived: Follows


class Terms:
    """The terms of one programme over tables of one mapping. `loaded` works out everything."""

    def __init__(self, loaded: LoadedBook, programme: Programme) -> None:
        self.loaded, self.programme, self.vocabulary = loaded, programme, loaded.vocabulary
        every = [*programme.every_term, *(condition for term in programme.terms for condition in term.conditions)]
        self.names = {id(condition): f"condition {number}" for number, condition in enumerate(every)}
        trees = [trees_of_condition(c.test, loaded, self.names[id(c)]) for c in every if isinstance(c.test, Rule)]
        self.columns = Columns(loaded.book, loaded.engine.deriver.work, trees=trees, everything=True)
        self.job = CellReader(self.vocabulary, loaded.engine.deriver.slots, Group("job", "job", ()), False)

    def of(self, judged: list[Judged], cells: pl.DataFrame) -> pl.DataFrame:
        """A row for each row of the piece and each term, in their order; the row's own columns are added by whoever has them."""
        places = [self._place(each.reader, cells, each.both.strictly) for each in judged]
        if not any(place.sort == "job" for place in places):
            places.append(self._place(self.job, cells, None))
        every = [(IN_FORCE, self._in_force(places)), (self._speaks(), self._speaks_of(places, self.programme.places))]
        every += [(_name(each), self._rank(each, places, {})) for each in self.programme.every_term]
        earlier: dict[str, pl.Series] = {}
        frames = []
        for term in self.programme.terms:
            lines = [*every, *((_name(each), self._rank(each, places, earlier)) for each in term.conditions)]
            # What does not arise is left out of the worst, and nothing at all is shown.
            worst = reduce(_worse, (rank.replace(NOT_ARISING, SHOWN) for _, rank in lines))
            earlier[term.name] = worst
            frames.append(self._told(term.name, worst, lines))
        return pl.concat([frame.with_row_index("at") for frame in frames]).sort("at", maintain_order=True)

    # -- one condition --------------------------------------------------------------------------------------------------------------

    def _rank(self, stated: Stated, places: list[_Place], earlier: dict[str, pl.Series]) -> pl.Series:
        height = places[0].derived.frame.height
        if self.programme.document.headed == "full" and law.asks_registration(stated):
            return _all(PERSON, height)
        match stated.test:
            case Clear(matters):
                return self._clear(matters, places)
            case Rule() as rule:
                return reduce(_worse, self._required(stated, rule, places), _all(NOT_ARISING, height))
            case Within() as within:
                return self._within(within, places)
            case Enough() as enough:
                return self._enough(enough, places)
            case EarlierTerm(term):
                return earlier[term]
        return _all(PERSON, height)

    def _clear(self, matters: tuple[str, ...], places: list[_Place]) -> pl.Series:
        height = places[0].derived.frame.height
        failed = opened = warned = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
        for place in places:
            table = place.strictly
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
        height = places[0].derived.frame.height
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
        return _by_value(asked, rank, places[0].derived.frame.height)

    def _each(self, place: _Place, facts: list[str], rank: object) -> pl.Series:
        return _by_value([(place, fact) for fact in facts], rank, place.derived.frame.height)

    # -- telling --------------------------------------------------------------------------------------------------------------------

    def _place(self, reader: CellReader, cells: pl.DataFrame, strictly: OutcomeTable | None) -> _Place:
        places, _ = reader.places(cells)
        conditions, derived = self.columns.prepared(places).judge_and_derive(places)
        return _Place(reader.group.sort, strictly, conditions, derived)

    def _speaks(self) -> str:
        return f"The work is of a kind the document speaks of: {', '.join(self.programme.places)}"

    def _told(self, term: str, worst: pl.Series, lines: list[tuple[str, pl.Series]]) -> pl.DataFrame:
        frame = pl.DataFrame({str(at): rank for at, (_, rank) in enumerate(lines)})
        named = {}
        for standing in (Standing.OUTSIDE, Standing.NOT_MET, Standing.NOT_SHOWN, Standing.PERSON):
            parts = [pl.when(pl.col(str(at)) == RANK[standing]).then(pl.lit(name)) for at, (name, _) in enumerate(lines)]
            named[str(standing)] = pl.concat_str(parts, separator="; ", ignore_nulls=True)
        stands = worst.replace_strict(list(RANK.values()), [str(each) for each in RANK], return_dtype=pl.String)
        return frame.select(pl.lit(term).alias("term"), stands.alias("stands at"), *(expr.alias(name) for name, expr in named.items()))


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
