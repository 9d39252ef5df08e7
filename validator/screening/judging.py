"""One piece of a table judged: a line for every registration, and a line for every finding.

Every registration goes to one lane. Nothing is decided here that a person should: a row that cannot be read, or whose
words contradict each other, goes to a person. A cell that cannot be read leaves its fact not stated; the row is judged by
its other cells, and waits for that one only where it could still decide something.
"""

import hashlib
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.engines.columns import Columns, ColumnsAsTold
from validator.judging.loading import LoadedBook, load_book
from validator.papers.inert import FORMULA, MARK
from validator.screening.cells import CellReader
from validator.screening.combinations import AS_TOLD, AT, AT_ONCE, ROW, STRICTLY, Group, Kept
from validator.screening.dates import DAY_FIRST, FIRST_COLUMNS, MONTH_FIRST, Order
from validator.screening.day_columns import day_orders, with_orders
from validator.screening.deciding_findings import FOUND
from validator.screening.mapping import Mapping, read_mapping
from validator.screening.questions import COUNTED, Questions
from validator.screening.rows import Rows
from validator.screening.terms import TERMS, Terms
from validator.screening.tidying import Filled
from validator.screening.unread import UNREAD, Untidy, cells_of, days_of, named_in_rows, untidy_of
from validator.warranty.reading import programme_file, read_programme

LANES = ("complete", "request information", "cells to tidy", "technical review", "a person decides")
COMPLETE, REQUEST, TIDY, REVIEW, PERSON = LANES
UNREADABLE = "unreadable"
BLANK = "blank"  # of a row that is no registration, left out when the pieces are joined
REASON = "reason of group "
TOTALS = r"(?i)^\s*(?:(?:sub|grand)[\s-]?)?(?:totals?|sums?|averages?)\b"  # how a line begins that adds up those above it
ALIKE = "alike"  # a digest of what makes two rows one registration; empty where a cell of it is

RESULTS = {
    "row": pl.Int64, "registration": pl.String, **dict.fromkeys(FIRST_COLUMNS, pl.String), "programme": pl.String,
    "lane": pl.String, "as told": pl.String, "matter": pl.String, "fails": pl.Int64, "warns": pl.Int64, "questions": pl.Int64,
    "strictly": pl.String, "open": pl.Int64, "waiting": pl.Int64, "untidy": pl.String, "reason": pl.String, "books": pl.String, ALIKE: pl.String,
}  # fmt: skip
FINDINGS = {"row": pl.Int64, "registration": pl.String, **{name: kind for name, kind in FOUND.items() if name != AT}}


class Piece(NamedTuple):
    """What one piece comes to."""

    results: pl.DataFrame
    findings: pl.DataFrame
    untidy: pl.DataFrame
    questions: pl.DataFrame
    terms: pl.DataFrame


class Screener:
    """A book and a mapping made ready for pieces of one kind of table."""

    def __init__(self, loaded: LoadedBook, mapping: Mapping, day: date, terms: Terms | None = None, orders: dict[str, Order] | None = None) -> None:
        self.loaded, self.terms = loaded, terms
        self.orders = orders or {}  # how the days of facts are written, by heading, where the mapping does not say it
        self.mapping = mapping = with_orders(mapping, self.orders) if orders else mapping
        self.latest = mapping.as_of or day
        columns = Columns(loaded.book, loaded.engine.deriver.work)
        told = ColumnsAsTold(columns, loaded.as_told)
        slots = loaded.engine.deriver.slots
        self.readers = [CellReader(loaded.vocabulary, slots, group, mapping.decimal_comma) for group in mapping.groups]
        self.groups = [Group(loaded, columns, told, reader) for reader in self.readers]
        self.books = loaded.book.fingerprint

    def judge(self, rows: Rows) -> Piece:
        """The results, the findings that decide, the cells to tidy and the questions of some rows, in their order."""
        rows = self._without_empty(rows)
        cells, readable = rows.cells, rows.readable
        judged = [group.of(cells) for group in self.groups]
        days, untidy = days_of(self.mapping, self.latest, cells)
        untidy += self._untidy(judged, cells)
        told = [kept.told.select(pl.all().gather(numbers)) for kept, numbers in judged]
        frame = rows.marks.select(pl.col("number").alias("row"), "problem", "remark", "blank").hstack(days).with_columns(
            cells[self.mapping.registration].alias("registration"),
            (cells[self.mapping.programme] if self.mapping.programme else pl.lit("")).alias("programme"),
            named_in_rows(untidy, cells), self._alike(cells, days), self._alone(cells), readable.alias("readable"), pl.lit(self.books).alias("books"),
            *(pl.sum_horizontal(each[name] for each in told).alias(name) for name in (*AS_TOLD, *STRICTLY, "questions")),
            pl.any_horizontal(each["waits"] for each in told).alias("waits"),
            pl.coalesce(_none_if_empty(each["first question"]) for each in told).fill_null("").alias("first question"),
            *(each["reason"].alias(f"{REASON}{at}") for at, each in enumerate(told)),
        )  # fmt: skip
        findings = self._findings(judged, readable)
        results = self._results(frame, findings)
        terms = pl.DataFrame(schema={AT: pl.UInt32, **TERMS}) if self.terms is None else self._terms(self.terms, cells, readable)
        findings, terms = (each.with_columns(results[name].gather(each[AT]) for name in ("row", "registration")) for each in (findings, terms))
        return Piece(inert(results, RESULTS), inert(findings, FINDINGS), cells_of(untidy, cells), self._counted(judged, readable), inert(terms, TERMS))

    def _without_empty(self, rows: Rows) -> Rows:
        """Rows in which neither a number nor any fact stands are blank, where the mapping says so: what stands there is another registration's."""
        if self.mapping.without_a_number == "ask":
            return rows
        own = [self.mapping.registration, *(heading for group in self.groups for heading in group.headings)]
        empty = rows.cells.select(pl.all_horizontal(pl.col(own).str.strip_chars() == "")).to_series()
        return rows._replace(marks=rows.marks.with_columns(blank=pl.col("blank") | empty & (pl.col("problem") == "")))

    def _alone(self, cells: pl.DataFrame) -> pl.Series:
        """The rows in which a registration number stands and nothing else that is read."""
        rest = [heading for heading in cells.columns if heading != self.mapping.registration]
        alone = pl.all_horizontal(pl.col(rest).str.strip_chars() == "") if rest else pl.lit(False)
        return cells.with_columns(alone.alias("alone"))["alone"]

    def outcomes(self, rows: Rows) -> Iterator[tuple[CellReader, pl.DataFrame, pl.DataFrame]]:
        """For each group of columns the outcomes of its rules read strictly, and their standings."""
        for group in self.groups:
            found = group.strictly(rows.cells)
            yield group.reader, found.outcomes, found.standings

    def _untidy(self, judged: list[tuple[Kept, pl.Series]], cells: pl.DataFrame) -> Iterator[Untidy]:
        """By heading, the cells of facts that could not be read; a heading of several places counts once."""
        unread: dict[str, pl.Series] = {}
        for group, (kept, numbers) in zip(self.groups, judged):
            for heading in group.headings:
                where = kept.told[UNREAD + heading].gather(numbers)
                unread[heading] = unread[heading] | where if heading in unread else where
        return (untidy_of(heading, where, cells, self.readers) for heading, where in unread.items() if where.any())

    def _findings(self, judged: list[tuple[Kept, pl.Series]], readable: pl.Series) -> pl.DataFrame:
        """What fails or warns as told, row by row, the gravest first."""
        found = []
        for kept, numbers in judged:
            rows = pl.DataFrame({ROW: readable.arg_true()}).with_columns(numbers.filter(readable).alias(AT))
            found.append(rows.join(kept.findings, on=AT, how="inner", maintain_order="left_right").drop(AT).rename({ROW: AT}).select(list(FOUND)))
        return (pl.concat(found) if found else pl.DataFrame(schema=FOUND)).sort([AT, "outcome"], maintain_order=True)

    def _counted(self, judged: list[tuple[Kept, pl.Series]], readable: pl.Series) -> pl.DataFrame:
        """Of each question in how many rows it is asked."""
        counts: dict[str, int] = {}
        for group, (kept, numbers) in zip(self.groups, judged):
            rows = numbers.filter(readable).rename(AT).value_counts(name="rows")
            for fact, number in kept.asked.join(rows, on=AT).group_by("fact").agg(pl.sum("rows")).sort("fact").iter_rows():
                counts[fact] = counts.get(fact, 0) + number
        question = Questions(self.loaded).question
        return pl.DataFrame([(fact, question(fact), rows) for fact, rows in counts.items()], schema=COUNTED, orient="row")

    def _terms(self, terms: Terms, cells: pl.DataFrame, readable: pl.Series) -> pl.DataFrame:
        """The terms of each row that could be read, worked once for rows that say the same."""
        headings = list(dict.fromkeys(heading for group in self.groups for heading in group.headings))
        different = cells.select(headings).unique(maintain_order=True)
        found = pl.concat(self._terms_of(terms, different.slice(start, AT_ONCE), start) for start in range(0, different.height, AT_ONCE))
        numbers = cells.select(headings).join(different.with_row_index(ROW), on=headings, how="left", maintain_order="left")[ROW]
        rows = pl.DataFrame({ROW: readable.arg_true()}).with_columns(numbers.filter(readable).alias(AT))
        return rows.join(found, on=AT, how="inner", maintain_order="left_right").drop(AT).rename({ROW: AT})

    def _terms_of(self, terms: Terms, cells: pl.DataFrame, start: int) -> pl.DataFrame:
        return terms.of([group.both(cells) for group in self.groups], cells).with_columns((pl.col(AT) + start).cast(pl.UInt32))

    def _alike(self, cells: pl.DataFrame, days: pl.DataFrame) -> pl.Series:
        """Of each row, what it must share with another to be the same registration; the date as it is read, and no words."""
        headings = self.mapping.alike
        if not headings:
            return pl.Series(ALIKE, [""] * cells.height, dtype=pl.String)
        parts = [days[DAY_FIRST] + days[MONTH_FIRST] if h == self.mapping.date else cells[h] for h in headings]
        plain = [_each_once(part, lambda text: "".join(letter for letter in text.casefold() if letter.isalnum())).to_list() for part in parts]
        marks = [hashlib.sha256("\0".join(row).encode()).hexdigest()[:32] if all(row) else "" for row in zip(*plain)]
        return pl.Series(ALIKE, marks, dtype=pl.String)

    # -- one line a registration --------------------------------------------------------------------------------------------------

    def _results(self, frame: pl.DataFrame, findings: pl.DataFrame) -> pl.DataFrame:
        col = pl.col
        first = findings.unique(AT, keep="first", maintain_order=True).select(
            AT, breach=pl.format("{}: {}. Found: {}; needed: {}", "place", "title", "found", "needed")
        )
        frame = frame.with_row_index(AT).join(first, on=AT, how="left", maintain_order="left").drop(AT)
        missing = pl.when(col("registration").str.strip_chars() == "").then(pl.lit(f"{self.mapping.registration}: the row has no registration number"))
        totals = pl.when(col("registration").str.contains(TOTALS)).then(pl.format("`{}` begins a line of totals, and is hardly a registration", "registration"))
        alone = pl.when(col("alone") & (col("remark") == "")).then(pl.lit("nothing but a registration number is written in the row"))
        why = [_none_if_empty(col("remark")), missing, totals, alone, *(_none_if_empty(col(name)) for name in frame.columns if name.startswith(REASON))]
        frame = frame.with_columns(
            pl.when(col("problem") != "").then("problem").otherwise(pl.concat_str(why, separator="; ", ignore_nulls=True)).alias("reason")
        )
        as_told = (
            pl.when(col("fails") > 0).then(pl.lit("fail")).when(col("warns") > 0).then(pl.lit("warn"))
            .when(col("open") + col("waiting") > 0).then(pl.lit("open")).otherwise(pl.lit("pass"))
        )  # fmt: skip
        least = pl.when(col("strictly fails") > 0).then(pl.lit("fail")).when(col("strictly warns") > 0).then(pl.lit("warn")).otherwise(pl.lit("pass"))
        most = (
            pl.when(col("strictly fails") + col("strictly may fail") > 0).then(pl.lit("fail"))
            .when(col("strictly warns") + col("strictly may warn") > 0).then(pl.lit("warn")).otherwise(pl.lit("pass"))
        )  # fmt: skip
        frame = frame.with_columns(as_told.alias("as told"), least=least, most=most)
        strictly = pl.when(col("least") == col("most")).then("least").otherwise(pl.format("at least {}, open up to {}", "least", "most"))
        lane = (
            pl.when(col("reason") != "").then(pl.lit(PERSON)).when(col("fails") + col("warns") > 0).then(pl.lit(REVIEW))
            .when("waits").then(pl.lit(TIDY)).when(col("strictly open") + col("strictly waiting") > 0).then(pl.lit(REQUEST))
            .otherwise(pl.lit(COMPLETE))
        )  # fmt: skip
        unread = pl.when(col("blank")).then(pl.lit(BLANK)).when(~col("readable")).then(pl.lit(UNREADABLE))
        frame = frame.with_columns(
            unread.otherwise("as told").alias("as told"), unread.otherwise(strictly).alias("strictly"), lane.alias("lane"),
            *(pl.when(~col("readable")).then(0).otherwise(each).alias(name) for name, each in
              (("fails", col("fails")), ("warns", col("warns")), ("open", col("strictly open")), ("waiting", col("strictly waiting")))),
        )  # fmt: skip
        # What is sound only because something was taken as usual asks nothing, and is not proved.
        unproved = pl.format("nothing is asked as told, but {} requirements are not proved by what is stated", col("open") + col("waiting"))
        asked = pl.when(col("first question") != "").then("first question").otherwise(unproved)
        by_lane = {PERSON: col("reason"), REVIEW: col("breach"), TIDY: col("untidy"), REQUEST: asked}
        matter = pl.lit("")
        for name, text in by_lane.items():
            matter = pl.when(col("lane") == name).then(text.fill_null("")).otherwise(matter)
        return frame.with_columns(matter=matter)


def _none_if_empty(texts: pl.Expr | pl.Series) -> pl.Expr:
    texts = pl.lit(texts) if isinstance(texts, pl.Series) else texts
    return pl.when(texts != "").then(texts)


def _each_once(texts: pl.Series, read: Callable[[str], str]) -> pl.Series:
    """What each text comes to, worked once for each different one."""
    different = texts.unique()
    return texts.replace_strict(different, [read(text) for text in different.to_list()], return_dtype=pl.String)


def inert(frame: pl.DataFrame, schema: dict[str, pl.DataType]) -> pl.DataFrame:
    """The columns of a table to be, with no text that a spreadsheet takes for a formula."""
    texts = [pl.col(name) for name, kind in schema.items() if kind == pl.String]
    return frame.select(list(schema)).with_columns(
        pl.when(text.str.contains(FORMULA)).then(pl.lit(MARK) + text).otherwise(text).alias(text.meta.output_name()) for text in texts
    )


def screener(books: tuple[str, ...], table: Path, mapping: Path, day: date, filled: Filled = (), programme: str = "") -> Screener:
    """A screener of a table by some books and a mapping, on a day, with cells that somebody tidied. Raises BadBook, BadAssembly and BadTable."""
    loaded = load_book(*(Path(book) for book in books))
    says: dict[str, dict[str, str]] = {}
    for heading, cell, text in filled:
        says.setdefault(heading, {})[cell] = text
    terms = None
    if programme:
        everything = load_book(*(Path(book) for book in books), everything=True)
        terms = Terms(everything, read_programme(programme_file(programme), everything.book))
    tidied = read_mapping(mapping, loaded.vocabulary).tidied(says)
    return Screener(loaded, tidied, day, terms, day_orders(table, tidied, loaded.vocabulary))
