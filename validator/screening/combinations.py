"""One group of columns, with each different combination of its cells judged once: registrations repeat each other.

What a combination comes to hangs on nothing but its cells, so it is remembered from piece to piece, and a row only looks it up.
"""

from collections.abc import Iterator
from typing import NamedTuple

import polars as pl

from validator.engines.columns import BothReadings, Columns, ColumnsAsTold, OutcomeTable
from validator.judging.loading import LoadedBook
from validator.screening.cells import CellReader
from validator.screening.deciding_findings import BREACH, FOUND, DecidingFindings
from validator.screening.mapping import Column
from validator.screening.questions import AT, OPEN, WAITS, Questions
from validator.screening.unread import UNREAD, Judged, said_two_ways, unread_facts

COUNTS = ("fails", "warns", "open", "waiting", "may fail", "may warn")
STRICTLY, AS_TOLD = tuple(f"strictly {name}" for name in COUNTS), COUNTS[:4]
ROW = "#row"
AT_ONCE = 25_000  # combinations that are judged together
MOST_KEPT = 50_000  # that are remembered


class Kept(NamedTuple):
    """The combinations judged so far: their cells, what each comes to, and its findings and questions by its number."""

    cells: pl.DataFrame
    told: pl.DataFrame
    findings: pl.DataFrame
    asked: pl.DataFrame

    def with_more(self, more: "Kept") -> "Kept":
        after = pl.col(AT) + self.cells.height
        moved = (more.cells, more.told, more.findings.with_columns(after), more.asked.with_columns(after))
        return Kept(*(pl.concat(each, rechunk=True) for each in zip(self, moved)))


class Group:
    """Judges one group of columns."""

    def __init__(self, loaded: LoadedBook, columns: Columns, told: ColumnsAsTold, reader: CellReader) -> None:
        self.loaded, self.columns, self.told, self.reader = loaded, columns, told, reader
        self.name = reader.group.name
        self.headings = list(dict.fromkeys(column.heading for column in reader.group.columns))
        self.findings, self.questions = DecidingFindings(loaded), Questions(loaded)
        self.dependencies = loaded.dependencies
        self.outside = [(each.what, loaded.book.fuser.fuse(each.when)) for each in loaded.book.outside if each.whole and reader.group.sort == "place"]
        self._reads: dict[str, frozenset[str]] = {}
        self._sums: dict[tuple[object, ...], list[pl.Expr]] = {}
        self._kept: Kept | None = None

    def of(self, cells: pl.DataFrame) -> tuple[Kept, pl.Series]:
        """Every combination that some rows have, and perhaps others, judged; and of each row the number of its own."""
        # A group that no column says anything of has one combination.
        own = cells.select(self.headings) if self.headings else pl.DataFrame({ROW: pl.zeros(cells.height, dtype=pl.UInt8, eager=True)})
        numbers = self._numbers(own)
        new = own.filter(numbers.is_null()).unique(maintain_order=True)
        kept = self._kept
        for start in range(0, new.height, AT_ONCE):
            more = self._judged(new.slice(start, AT_ONCE))
            kept = kept.with_more(more) if kept is not None else more
        self._kept = kept
        numbers = self._numbers(own) if new.height else numbers
        if kept is not None and kept.cells.height > MOST_KEPT:
            self._kept = None
        return kept, numbers

    def _numbers(self, own: pl.DataFrame) -> pl.Series:
        if self._kept is None:
            return pl.repeat(None, own.height, dtype=pl.UInt32, eager=True)
        known = self._kept.cells.with_row_index(ROW + AT)
        return own.join(known, on=own.columns, how="left", maintain_order="left")[ROW + AT]

    # -- judging ------------------------------------------------------------------------------------------------------------------

    def both(self, cells: pl.DataFrame) -> Judged:
        """Both readings of each row."""
        places, unread = self.reader.places(cells)
        return Judged(self.reader, self.told.judge(places, self.name.casefold(), unread_facts(self.reader, unread)), unread)

    def strictly(self, cells: pl.DataFrame) -> OutcomeTable:
        return self.columns.judge(self.reader.places(cells)[0])

    def _judged(self, cells: pl.DataFrame) -> Kept:
        judged = self.both(cells)
        asked = self.questions.of(judged.both.told, self.name)
        told = pl.DataFrame([
            *self._totals(judged.both, cells.height), asked.number.alias("questions"), asked.first.alias("first question"),
            self._reasons(judged, cells), self._waits_for_cells(judged, cells.height).alias("waits"), *self._unread(judged.unread, cells.height),
        ])  # fmt: skip
        found = [frame for part in judged.both.told for frame in self.findings.of(self.reader, part)]
        findings = pl.concat([pl.DataFrame(schema=FOUND), *found]).sort([AT, "outcome"], maintain_order=True)
        return Kept(cells, told, findings, asked.each)

    def _unread(self, unread: dict[Column, pl.Series], height: int) -> Iterator[pl.Series]:
        """Of each heading, the rows of which its cell could not be read."""
        for heading in self.headings:
            found = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
            for column, where in unread.items():
                found = found | where if column.heading == heading else found
            yield found.alias(UNREAD + heading)

    # -- what the rules come to -----------------------------------------------------------------------------------------------------

    def _totals(self, both: BothReadings, height: int) -> list[pl.Series]:
        """Of each row, how many rules come to what: as told, and strictly where the name says so."""
        if not both.strictly.outcomes.width:  # no rule of the book speaks of it
            return [pl.zeros(height, dtype=pl.Int64, eager=True).alias(name) for name in (*AS_TOLD, *STRICTLY)]
        parts = [self._counted(part.outcomes, AS_TOLD).with_columns(part.rows.alias(ROW)) for part in both.told]
        told = pl.concat(parts).sort(ROW).drop(ROW)
        return [*told.get_columns(), *self._counted(both.strictly, STRICTLY).get_columns()]

    def _counted(self, table: OutcomeTable, names: tuple[str, ...]) -> pl.DataFrame:
        """How many rules of each row fail, warn, are open or wait, and perhaps how many may fail or warn."""
        key = (names, *table.same.items(), "", *table.outcomes.columns, "", *table.standings.columns)
        if key not in self._sums:
            self._sums[key] = self._sum(table, len(names))
        frame = table.outcomes.hstack(table.standings)
        return frame.with_columns(expr.alias(name) for name, expr in zip(names, self._sums[key])).select(names)

    def _sum(self, table: OutcomeTable, number: int) -> list[pl.Expr]:
        """The sums, in the order of their names; a rule that comes to the same in every row is counted here once."""
        sums: list[list[pl.Expr]] = [[] for _ in COUNTS]
        always = [0] * len(COUNTS)
        for name in table.outcomes.columns:
            severity = self.loaded.book.rules[name].severity
            if severity == "advice":
                continue
            fails = pl.col(f"{name}:fails") if f"{name}:fails" in table.standings.columns else None
            if name in table.same and fails is None:
                code = table.same[name]
                fail = severity == "fail"
                for at, holds in enumerate((code == BREACH and fail, code == BREACH and not fail, code in OPEN, code == WAITS,
                                            (code in OPEN or code == WAITS) and fail, (code in OPEN or code == WAITS) and not fail)):  # fmt: skip
                    always[at] += holds
                continue
            code = pl.col(name)
            breach, may = code == BREACH, code.is_between(min(OPEN), WAITS)
            for at, holds in ((0, breach), (4, may)) if severity == "fail" or fails is not None else ((1, breach), (5, may)):
                sums[at].append(holds if fails is None else holds & fails)
                if fails is not None:
                    sums[at + 1].append(holds & ~fails)
            sums[2].append(code.is_between(min(OPEN), max(OPEN)))
            sums[3].append(code == WAITS)
        start = [pl.lit(count, dtype=pl.UInt16) for count in always]
        found = [pl.sum_horizontal(first, *(e.cast(pl.UInt16) for e in exprs)).cast(pl.Int64) for first, exprs in zip(start, sums)]
        return found[:number]

    # -- what goes to a person, and what waits ----------------------------------------------------------------------------------------

    def _reasons(self, judged: Judged, cells: pl.DataFrame) -> pl.Series:
        """Of each row, why a person must read it; empty where nobody must."""
        why: dict[int, list[str]] = {}
        for (what, _), where in zip(self.outside, judged.both.follows.surely(test for _, test in self.outside)):
            for at in where.arg_true().to_list():
                why.setdefault(at, []).append(f"{self.name}: {what} stands outside the book, which judges nothing of it")
        upstream = {fact: self.dependencies.upstream_of(fact) for fact in judged.both.strictly.two_ways.columns}
        for at, said in said_two_ways(judged, upstream, cells):
            why.setdefault(at, []).append(said)
        return pl.Series("reason", ["; ".join(why.get(at, ())) for at in range(cells.height)], pl.String)

    def _waits_for_cells(self, judged: Judged, height: int) -> pl.Series:
        """The rows in which something is open as told that a cell could decide which could not be read."""
        waits = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
        parts = judged.both.told
        turn = pl.concat([part.rows for part in parts]).arg_sort()
        for column, unread in judged.unread.items():
            rules = [name for name in parts[0].outcomes.outcomes.columns if column.fact in self._read_by(name)]
            if rules:
                open_ = pl.any_horizontal(pl.col(name).is_in([*OPEN, WAITS]) for name in rules).alias(ROW)
                hangs = pl.concat([part.outcomes.outcomes.select(open_) for part in parts])[ROW]
                waits = waits | (unread & hangs.gather(turn))
        return waits

    def _read_by(self, rule: str) -> frozenset[str]:
        """Every fact that a rule depends on, with the sizes that are written for several at once."""
        if rule not in self._reads:
            facts = self.dependencies.of_rule(rule)
            self._reads[rule] = facts | {fact.name for fact in self.loaded.vocabulary.facts.values() if facts & set(fact.gives)}
        return self._reads[rule]
