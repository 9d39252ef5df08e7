"""One piece of a table judged: a line for every registration, and a line for every finding.

Every registration goes to one lane. Nothing is decided here that a person should: a row that cannot be read, or whose
words contradict each other, goes to a person. A cell that cannot be read leaves its fact not stated; the row is judged by
its other cells, and waits for that one only where it could still decide something.
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.engines.columns import Columns
from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.judging.loading import LoadedBook, load_book
from validator.papers.inert import FORMULA, MARK
from validator.rulebook.dependencies import Dependencies
from validator.screening.cells import CellReader
from validator.screening.dates import DAY_FIRST, FIRST_COLUMNS, MONTH_FIRST, Day, read_day
from validator.screening.explaining import Explained, Told
from validator.screening.mapping import Column, Mapping, key_of, read_mapping
from validator.screening.rows import Row
from validator.screening.tidying import UNTIDY, Filled, untidy_cells

LANES = ("complete", "request information", "cells to tidy", "technical review", "a person decides")
COMPLETE, REQUEST, TIDY, REVIEW, PERSON = LANES
UNREADABLE = "unreadable"
BLANK = "blank"  # of a row that is no registration, left out when the pieces are joined
BREACH = WORST_FIRST.index(Outcome.BREACH)
OPEN = [WORST_FIRST.index(outcome) for outcome in OPEN_OUTCOMES if outcome is not Outcome.WAITS]
WAITS = WORST_FIRST.index(Outcome.WAITS)
MOST_KNOWN = 20_000
LONGEST_NAMED = 40  # letters of a cell where it is named in a row

RESULTS = {
    "row": pl.Int64, "registration": pl.String, **dict.fromkeys(FIRST_COLUMNS, pl.String), "programme": pl.String, "lane": pl.String,
    "outcome": pl.String, "fails": pl.Int64, "warns": pl.Int64, "open": pl.Int64, "waiting": pl.Int64, "untidy": pl.String, "reason": pl.String,
    "books": pl.String,
}  # fmt: skip
FINDINGS = {
    "row": pl.Int64, "registration": pl.String, "place": pl.String, "rule": pl.String, "title": pl.String,
    "outcome": pl.String, "would be": pl.String, "asks": pl.String, "found": pl.String, "needed": pl.String,
    "because": pl.String, "put right": pl.String, "warranty": pl.String,
}  # fmt: skip


class Piece(NamedTuple):
    """What one piece comes to."""

    results: pl.DataFrame
    findings: pl.DataFrame
    untidy: pl.DataFrame


class Judged(NamedTuple):
    """One group of columns: what its rules come to in each row, and by column the rows of which the cell could not be read."""

    reader: CellReader
    outcomes: pl.DataFrame
    standings: pl.DataFrame
    unread: dict[Column, pl.Series]


class Untidy(NamedTuple):
    """A heading with the rows of which its cell could not be read, and why, and what perhaps, by the cell's text."""

    heading: str
    rows: pl.Series
    told: dict[str, tuple[str, str]]


class Screener:
    """A book and a mapping made ready for pieces of one kind of table."""

    def __init__(self, loaded: LoadedBook, mapping: Mapping, day: date, reasons: bool = False) -> None:
        self.loaded, self.mapping, self.reasons = loaded, mapping, reasons
        self.latest = mapping.as_of or day
        self.date_says = {key_of(theirs): ours for theirs, ours in mapping.date_says}
        self.columns = Columns(loaded.book, loaded.engine.deriver.work)
        slots = loaded.engine.deriver.slots
        self.readers = [CellReader(loaded.vocabulary, slots, group, mapping.decimal_comma) for group in mapping.groups]
        self.books = loaded.book.fingerprint
        self.explained = Explained(loaded)
        self.dependencies = Dependencies(loaded.book)
        self._reads: dict[str, tuple[frozenset[str], frozenset[str]]] = {}
        self._known: dict[tuple[str, str, tuple[object, ...]], Told] = {}

    def judge(self, rows: list[Row]) -> Piece:
        """The results and findings of some rows, in their order."""
        cells = self._cells(rows)
        days, untidy = self._days(cells)
        reasons = [[row.remark for row in rows], self._without_number(rows)]
        judged: list[Judged] = []
        for reader in self.readers:
            places, unread = reader.places(cells)
            found = self.columns.judge(places)
            judged.append(Judged(reader, found.outcomes, found.standings, unread))
            reasons += self._two_ways(reader, found.two_ways, cells)
        told = ["; ".join(dict.fromkeys(filter(None, each))) for each in zip(*reasons)]
        told = [row.problem or reason for row, reason in zip(rows, told)]
        readable = pl.Series([not row.problem and not row.blank for row in rows], dtype=pl.Boolean)
        untidy = [each for each in (untidy, *self._untidy(judged)) if each is not None]
        named = self._named_untidy(untidy, cells)
        findings: list[pl.DataFrame] = []
        totals = {name: pl.zeros(len(rows), dtype=pl.Int64, eager=True) for name in ("fails", "warns", "open", "waiting", "may fail", "may warn")}
        waits = pl.repeat(False, len(rows), dtype=pl.Boolean, eager=True)
        for each in judged:
            self._count(totals, each.outcomes, each.standings)
            waits = waits | self._waits_for_cells(each)
            findings.append(self._findings(each.reader, cells, each.outcomes, each.standings, readable))
        first = pl.DataFrame({"row": [row.number for row in rows]}, schema={"row": pl.Int64}).hstack(days).with_columns(named)
        results = self._results(cells, first, totals, pl.Series(told, dtype=pl.String), readable, waits)
        blank = pl.Series([row.blank for row in rows], dtype=pl.Boolean)
        results = results.with_columns(pl.when(blank).then(pl.lit(BLANK)).otherwise("outcome").alias("outcome"))
        keys = results.select("row", "registration")
        together = pl.concat(findings).sort("at", maintain_order=True)
        together = together.with_columns(keys["row"].gather(together["at"]), keys["registration"].gather(together["at"]))
        cells_untidy = [untidy_cells(each.heading, cells[each.heading].filter(each.rows), each.told) for each in untidy]
        return Piece(
            inert(results, RESULTS), inert(together, FINDINGS), pl.concat([pl.DataFrame(schema=UNTIDY), *cells_untidy])
        )

    # -- what could not be read -------------------------------------------------------------------------------------------------

    def _days(self, cells: pl.DataFrame) -> tuple[pl.DataFrame, Untidy | None]:
        """Both readings of each row's date, and where there is none."""
        heading = self.mapping.date
        texts = cells[heading] if heading else pl.Series([""] * cells.height, dtype=pl.String)
        read: dict[str, Day] = {}
        for text in texts.unique().to_list():
            read[text] = read_day(self.date_says.get(key_of(text), text), self.mapping.date_order, self.latest)
        days = pl.DataFrame(
            [texts.replace_strict(list(read), [getattr(day, which) for day in read.values()], return_dtype=pl.String).alias(name)
             for name, which in ((DAY_FIRST, "day_first"), (MONTH_FIRST, "month_first"))]
        )  # fmt: skip
        told = {text: (day.problem, day.perhaps) for text, day in read.items() if day.problem}
        return days, Untidy(heading, texts.is_in(list(told)), told) if told else None

    def _untidy(self, judged: list[Judged]) -> Iterator[Untidy]:
        """The cells of facts that could not be read, by heading; a heading of several places counts once."""
        rows: dict[str, pl.Series] = {}
        told: dict[str, dict[str, tuple[str, str]]] = {}
        for each in judged:
            for column, unread in each.unread.items():
                rows[column.heading] = rows[column.heading] | unread if column.heading in rows else unread
                known = each.reader.known[column]
                told.setdefault(column.heading, {}).update({t: (c.problem, c.perhaps) for t, c in known.items() if c.problem})
        return (Untidy(heading, where, told[heading]) for heading, where in rows.items())

    def _named_untidy(self, untidy: list[Untidy], cells: pl.DataFrame) -> pl.Series:
        """Of each row, its cells that could not be read."""
        named = [""] * cells.height
        for each in untidy:
            texts = cells[each.heading]
            for at in each.rows.arg_true().to_list():
                cell = f"{each.heading} `{texts[at][:LONGEST_NAMED]}`"
                named[at] = f"{named[at]}; {cell}" if named[at] else cell
        return pl.Series("untidy", named, pl.String)

    def _waits_for_cells(self, judged: Judged) -> pl.Series:
        """The rows in which something is open that a cell could decide which could not be read."""
        waits = pl.repeat(False, judged.outcomes.height, dtype=pl.Boolean, eager=True)
        for column, unread in judged.unread.items():
            rules = [name for name in judged.outcomes.columns if column.fact in self._read_by(name)[0]]
            if rules:
                hangs = judged.outcomes.select(pl.any_horizontal(pl.col(name).is_in([*OPEN, WAITS]) for name in rules)).to_series()
                waits = waits | (unread & hangs)
        return waits

    def _two_ways(self, reader: CellReader, two_ways: pl.DataFrame, cells: pl.DataFrame) -> Iterator[list[str]]:
        """Of each fact that is said two ways, by row, the columns and cells that say it."""
        for fact, where in zip(two_ways.columns, two_ways.get_columns()):
            if not where.any():
                continue
            upstream = self.dependencies.upstream_of(fact)
            columns = [column for column in reader.group.columns if column.fact in upstream]
            said = [""] * cells.height
            for at in where.arg_true().to_list():
                named = [f"{c.heading} `{cells[c.heading][at][:LONGEST_NAMED]}`" for c in columns if cells[c.heading][at].strip()]
                said[at] = f"{reader.group.name}: {fact.replace('.', ' ')} is said two ways, by {' and '.join(named) or 'what the mapping says of every row'}"
            yield said

    def outcomes(self, rows: list[Row]) -> Iterator[tuple[CellReader, pl.DataFrame, pl.DataFrame]]:
        """For each group of columns the outcomes of its rules, and their standings."""
        cells = self._cells(rows)
        for reader in self.readers:
            found = self.columns.judge(reader.places(cells)[0])
            yield reader, found.outcomes, found.standings

    def _cells(self, rows: list[Row]) -> pl.DataFrame:
        headings = self.mapping.headings()
        return pl.DataFrame({h: [row.cells.get(h, "") for row in rows] for h in headings}, schema=dict.fromkeys(headings, pl.String))

    # -- counting -------------------------------------------------------------------------------------------------------------

    def _severities(self, outcomes: pl.DataFrame) -> Iterator[tuple[str, str]]:
        for name in outcomes.columns:
            yield name, self.loaded.book.rules[name].severity

    def _count(self, totals: dict[str, pl.Series], outcomes: pl.DataFrame, standings: pl.DataFrame) -> None:
        """Adds up, for each row, how many rules came to what."""
        sums: dict[str, list[pl.Expr]] = {name: [] for name in totals}
        frame = outcomes.hstack(standings)
        for name, severity in self._severities(outcomes):
            if severity == "advice":
                continue
            code = pl.col(name)
            fails = pl.col(f"{name}:fails") if f"{name}:fails" in standings.columns else pl.lit(severity == "fail")
            breach, is_open, waits = code == BREACH, code.is_in(OPEN), code == WAITS
            sums["fails"].append(breach & fails)
            sums["warns"].append(breach & ~fails)
            sums["open"].append(is_open)
            sums["waiting"].append(waits)
            sums["may fail"].append((is_open | waits) & fails)
            sums["may warn"].append((is_open | waits) & ~fails)
        added = frame.select(
            pl.sum_horizontal([e.cast(pl.Int64) for e in exprs]).alias(name) if exprs else pl.lit(0, dtype=pl.Int64).alias(name)
            for name, exprs in sums.items()
        )
        for name in totals:
            totals[name] = totals[name] + added[name]

    def _without_number(self, rows: list[Row]) -> list[str]:
        said = f"{self.mapping.registration}: the row has no registration number"
        return ["" if row.cells.get(self.mapping.registration, "").strip() else said for row in rows]

    def _results(
        self, cells: pl.DataFrame, frame: pl.DataFrame, totals: dict[str, pl.Series], reasons: pl.Series, readable: pl.Series,
        waits: pl.Series,
    ) -> pl.DataFrame:  # fmt: skip
        mapping = self.mapping
        blank = pl.Series([""] * cells.height, dtype=pl.String)
        frame = frame.with_columns(
            cells[mapping.registration].alias("registration"),
            (cells[mapping.programme] if mapping.programme else blank).alias("programme"),
            reasons.alias("reason"),
            waits.alias("waits"),
            pl.lit(self.books).alias("books"),
            *(series.alias(name) for name, series in totals.items()),
        )
        unread = ~readable
        least = pl.when(pl.col("fails") > 0).then(pl.lit("fail")).when(pl.col("warns") > 0).then(pl.lit("warn")).otherwise(pl.lit("pass"))
        most = (
            pl.when((pl.col("fails") > 0) | (pl.col("may fail") > 0)).then(pl.lit("fail"))
            .when((pl.col("warns") > 0) | (pl.col("may warn") > 0)).then(pl.lit("warn")).otherwise(pl.lit("pass"))
        )  # fmt: skip
        frame = frame.with_columns(least=least, most=most)
        overall = pl.when(pl.col("least") == pl.col("most")).then("least").otherwise(
            pl.format("at least {}, open up to {}", "least", "most")
        )  # fmt: skip
        lane = (
            pl.when(pl.col("reason") != "").then(pl.lit(PERSON)).when(pl.col("fails") + pl.col("warns") > 0).then(pl.lit(REVIEW))
            .when("waits").then(pl.lit(TIDY)).when(pl.col("open") + pl.col("waiting") > 0).then(pl.lit(REQUEST)).otherwise(pl.lit(COMPLETE))
        )  # fmt: skip
        return frame.with_columns(
            pl.when(unread).then(pl.lit(UNREADABLE)).otherwise(overall).alias("outcome"), lane.alias("lane"),
            *(pl.when(unread).then(0).otherwise(pl.col(name)).alias(name) for name in ("fails", "warns", "open", "waiting")),
        )

    # -- findings -------------------------------------------------------------------------------------------------------------

    def _findings(
        self, reader: CellReader, cells: pl.DataFrame, outcomes: pl.DataFrame, standings: pl.DataFrame, readable: pl.Series
    ) -> pl.DataFrame:
        """A row for every breach and every open matter of one group of columns; what waits is only counted."""
        found: list[pl.DataFrame] = []
        for name in outcomes.columns:
            codes = outcomes[name]
            at = (((codes == BREACH) | codes.is_in(OPEN)) & readable).arg_true()
            if not len(at):
                continue
            rule = self.loaded.book.rules[name]
            fails = standings[f"{name}:fails"].gather(at) if f"{name}:fails" in standings.columns else None
            frame = pl.DataFrame({"at": at, "code": codes.gather(at)}).with_columns(
                severity=pl.lit(rule.severity) if fails is None else pl.when(fails).then(pl.lit("fail")).otherwise(pl.lit("warn"))
            )
            breach = pl.col("code") == BREACH
            advice = pl.lit(rule.severity == "advice")
            frame = frame.with_columns(
                pl.when(advice).then(pl.lit("advice")).when(breach).then("severity").otherwise(pl.lit("open")).alias("outcome"),
                pl.when(breach).then(pl.lit("")).otherwise("severity").alias("would be"),
                *(pl.lit(text).alias(key) for key, text in (
                    ("place", reader.group.name), ("rule", name), ("title", rule.title), ("because", rule.because),
                    ("put right", rule.put_right), ("warranty", rule.warranty))),
            )  # fmt: skip
            told = self._told(reader, name, cells, frame)
            found.append(frame.hstack(told))
        empty = pl.DataFrame(schema={"at": pl.UInt32, **{k: v for k, v in FINDINGS.items() if k not in ("row", "registration")}})
        kept = [frame.select(empty.columns).cast(dict(empty.schema)) for frame in found]
        return pl.concat([empty, *kept])

    def _told(self, reader: CellReader, rule: str, cells: pl.DataFrame, frame: pl.DataFrame) -> pl.DataFrame:
        """What each finding asks and, where reasons are wanted, what was found and needed: told once for each different row."""
        # What is told hangs on what the rule's own facts say, and on whether the other facts of their things say anything.
        read, things = self._read_by(rule)
        marks: list[pl.Series] = [frame["code"].alias("#code")]
        for at, column in enumerate(reader.group.columns):
            if column.fact in read:
                marks.append(cells[column.heading].gather(frame["at"]).alias(str(at)))
            elif self.loaded.vocabulary.fact(column.fact).thing in things:
                marks.append(reader.written(column, cells[column.heading].gather(frame["at"])).alias(str(at)))
        key = pl.DataFrame(marks).select(pl.struct(pl.all()).alias("key"))["key"]
        different = pl.DataFrame({"key": key, "at": frame["at"]}).unique("key", keep="first", maintain_order=True).with_row_index("number")
        number = pl.DataFrame({"key": key}).join(different, on="key", how="left", maintain_order="left")["number"]
        told = [
            self._explained(reader, rule, tuple(marks.values()), cells.row(at, named=True))
            for marks, at in zip(different["key"].to_list(), different["at"])
        ]
        asks = pl.Series("asks", [", ".join(t.asks) for t in told], pl.String)
        found = pl.Series("found", [t.found if self.reasons else "" for t in told], pl.String)
        needed = pl.Series("needed", [t.needed if self.reasons else "" for t in told], pl.String)
        breach = frame["code"] == BREACH
        return pl.DataFrame([asks, found, needed])[number].with_columns(
            pl.when(breach).then(pl.lit("")).otherwise("asks").alias("asks")
        )

    def _explained(self, reader: CellReader, rule: str, key: tuple[object, ...], cells: dict[str, str]) -> Told:
        """The trail of one row, remembered for others like it."""
        known = self._known.get((reader.group.name, rule, key))
        if known is None:
            if len(self._known) >= MOST_KNOWN:
                self._known.clear()
            known = self._known[reader.group.name, rule, key] = self.explained.of(reader, rule, cells)
        return known

    def _read_by(self, rule: str) -> tuple[frozenset[str], frozenset[str]]:
        """Every fact that a rule depends on, with the sizes that are written for several at once; and their things."""
        if rule not in self._reads:
            facts = self.dependencies.of_rule(rule)
            vocabulary = self.loaded.vocabulary
            sizes = {fact.name for fact in vocabulary.facts.values() if facts & set(fact.gives)}
            self._reads[rule] = facts | sizes, frozenset(vocabulary.fact(name).thing for name in facts)
        return self._reads[rule]


def inert(frame: pl.DataFrame, schema: dict[str, pl.DataType]) -> pl.DataFrame:
    """The columns of a table to be, with no text that a spreadsheet takes for a formula."""
    texts = [pl.col(name) for name, kind in schema.items() if kind == pl.String]
    return frame.select(list(schema)).with_columns(
        pl.when(text.str.contains(FORMULA)).then(pl.lit(MARK) + text).otherwise(text).alias(text.meta.output_name()) for text in texts
    )


def screener(books: tuple[str, ...], mapping: Path, day: date, reasons: bool = False, filled: Filled = ()) -> Screener:
    """A screener of some books and a mapping, on a day, with cells that somebody tidied. Raises BadBook and BadAssembly."""
    loaded = load_book(*(Path(book) for book in books))
    says: dict[str, dict[str, str]] = {}
    for heading, cell, text in filled:
        says.setdefault(heading, {})[cell] = text
    return Screener(loaded, read_mapping(mapping, loaded.vocabulary).tidied(says), day, reasons)
