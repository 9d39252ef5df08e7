"""One piece of a table judged: a line for every registration, and a line for every finding.

Every registration goes to one lane. Nothing is decided here that a person should: a row that cannot be read, or whose
words contradict each other, goes to a person. A cell that cannot be read leaves its fact not stated; the row is judged by
its other cells, and waits for that one only where it could still decide something.
"""

import hashlib
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.engines.columns import Columns, ColumnsAsTold, OutcomeTable
from validator.judging.loading import LoadedBook, load_book
from validator.papers.inert import FORMULA, MARK
from validator.rulebook.dependencies import Dependencies
from validator.screening.cells import CellReader
from validator.screening.dates import DAY_FIRST, FIRST_COLUMNS, MONTH_FIRST
from validator.screening.deciding_findings import AT, BREACH, FOUND, DecidingFindings
from validator.screening.mapping import Mapping, read_mapping
from validator.screening.questions import COUNTED, OPEN, WAITS, Questions
from validator.screening.rows import Row
from validator.screening.terms import TERMS, Terms
from validator.screening.tidying import Filled
from validator.screening.unread import Judged, cells_of, days_of, named_in_rows, said_two_ways, unread_facts, untidy_of
from validator.warranty.reading import programme_file, read_programme

LANES = ("complete", "request information", "cells to tidy", "technical review", "a person decides")
COMPLETE, REQUEST, TIDY, REVIEW, PERSON = LANES
UNREADABLE = "unreadable"
BLANK = "blank"  # of a row that is no registration, left out when the pieces are joined
ROW = "#row"
ALIKE = "alike"  # a digest of what makes two rows one registration; empty where a cell of it is

RESULTS = {
    "row": pl.Int64, "registration": pl.String, **dict.fromkeys(FIRST_COLUMNS, pl.String), "programme": pl.String,
    "lane": pl.String, "as told": pl.String, "matter": pl.String, "fails": pl.Int64, "warns": pl.Int64, "questions": pl.Int64,
    "strictly": pl.String, "open": pl.Int64, "waiting": pl.Int64, "untidy": pl.String, "reason": pl.String, "books": pl.String, ALIKE: pl.String,
}  # fmt: skip
FINDINGS = {"row": pl.Int64, "registration": pl.String, **{name: kind for name, kind in FOUND.items() if name != AT}}
COUNTS = ("fails", "warns", "open", "waiting", "may fail", "may warn")
STRICTLY, AS_TOLD = tuple(f"strictly {name}" for name in COUNTS), COUNTS[:4]


class Piece(NamedTuple):
    """What one piece comes to."""

    results: pl.DataFrame
    findings: pl.DataFrame
    untidy: pl.DataFrame
    questions: pl.DataFrame
    terms: pl.DataFrame


class Screener:
    """A book and a mapping made ready for pieces of one kind of table."""

    def __init__(self, loaded: LoadedBook, mapping: Mapping, day: date, terms: Terms | None = None) -> None:
        self.loaded, self.mapping, self.terms = loaded, mapping, terms
        self.latest = mapping.as_of or day
        self.columns = Columns(loaded.book, loaded.engine.deriver.work)
        self.told = ColumnsAsTold(self.columns, loaded.as_told)
        slots = loaded.engine.deriver.slots
        self.readers = [CellReader(loaded.vocabulary, slots, group, mapping.decimal_comma, mapping.date_order) for group in mapping.groups]
        self.books = loaded.book.fingerprint
        self.dependencies = Dependencies(loaded.book)
        self.findings, self.questions = DecidingFindings(loaded), Questions(loaded)
        self.outside = [(each.what, loaded.book.fuser.fuse(each.when)) for each in loaded.book.outside if each.whole]
        self._reads: dict[str, frozenset[str]] = {}
        self._sums: dict[tuple[object, ...], list[pl.Expr]] = {}

    def judge(self, rows: list[Row]) -> Piece:
        """The results, the findings that decide, the cells to tidy and the questions of some rows, in their order."""
        cells = self._cells(rows)
        days, untidy = days_of(self.mapping, self.latest, cells)
        judged = [self._judged(reader, cells) for reader in self.readers]
        untidy += untidy_of(judged)
        ruled = [each for each in judged if each.both.strictly.outcomes.width]  # of the rest no rule of the book speaks
        readable = pl.Series([not row.problem and not row.blank for row in rows], dtype=pl.Boolean)
        findings = self._findings(ruled, readable)
        asked, counts = self._asked(ruled, readable)
        frame = pl.DataFrame({"row": [row.number for row in rows]}, schema={"row": pl.Int64}).hstack(days).with_columns(
            cells[self.mapping.registration].alias("registration"),
            (cells[self.mapping.programme] if self.mapping.programme else pl.lit("")).alias("programme"),
            named_in_rows(untidy, cells), self._alike(cells, days),
            pl.Series("reason", self._reasons(rows, judged, cells), pl.String),
            pl.Series("blank", [row.blank for row in rows], pl.Boolean),
            readable.alias("readable"), *asked,
            *self._totals(ruled, len(rows)), self._waits_for_cells(ruled, len(rows)).alias("waits"), pl.lit(self.books).alias("books"),
        )  # fmt: skip
        results = self._results(frame, findings)
        keys = results.select("row", "registration")
        findings = findings.with_columns(keys["row"].gather(findings[AT]), keys["registration"].gather(findings[AT]))
        terms = pl.DataFrame(schema=TERMS)
        if self.terms is not None:
            terms = self.terms.of(judged, cells)
            terms = terms.with_columns(keys["row"].gather(terms["at"]), keys["registration"].gather(terms["at"]))
            terms = terms.filter(readable.gather(terms["at"]))
        return Piece(inert(results, RESULTS), inert(findings, FINDINGS), cells_of(untidy, cells), counts, inert(terms, TERMS))

    def outcomes(self, rows: list[Row]) -> Iterator[tuple[CellReader, pl.DataFrame, pl.DataFrame]]:
        """For each group of columns the outcomes of its rules read strictly, and their standings."""
        cells = self._cells(rows)
        for reader in self.readers:
            found = self.columns.judge(reader.places(cells)[0])
            yield reader, found.outcomes, found.standings

    def _cells(self, rows: list[Row]) -> pl.DataFrame:
        headings = self.mapping.headings()
        return pl.DataFrame({h: [row.cells.get(h, "") for row in rows] for h in headings}, schema=dict.fromkeys(headings, pl.String))

    def _judged(self, reader: CellReader, cells: pl.DataFrame) -> Judged:
        places, unread = reader.places(cells)
        both = self.told.judge(places, reader.group.name.casefold(), unread_facts(reader, unread))
        return Judged(reader, both, unread)

    # -- what the rules come to -----------------------------------------------------------------------------------------------

    def _totals(self, judged: list[Judged], height: int) -> list[pl.Series]:
        """Of each row, how many rules come to what: as told, and strictly where the name says so."""
        none = pl.zeros(height, dtype=pl.Int64, eager=True)
        totals = {name: none.alias(name) for name in (*AS_TOLD, *STRICTLY)}
        for each in judged:
            strictly = self._counted(each.both.strictly, STRICTLY)
            parts = [self._counted(part.outcomes, AS_TOLD).with_columns(part.rows.alias(ROW)) for part in each.both.told]
            told = pl.concat(parts).sort(ROW).drop(ROW)
            for series in (*strictly.get_columns(), *told.get_columns()):
                totals[series.name] = totals[series.name] + series
        return list(totals.values())

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

    def _findings(self, judged: list[Judged], readable: pl.Series) -> pl.DataFrame:
        """What fails or warns as told, row by row, the gravest first."""
        found = [frame for each in judged for part in each.both.told for frame in self.findings.of(each.reader, part, readable)]
        return pl.concat([pl.DataFrame(schema=FOUND), *found]).sort([AT, "outcome"], maintain_order=True)

    def _asked(self, judged: list[Judged], readable: pl.Series) -> tuple[list[pl.Series], pl.DataFrame]:
        """Of each row how many questions it has and the first of them, and of each question in how many rows it is asked."""
        number, first = pl.zeros(len(readable), dtype=pl.Int64, eager=True), pl.repeat("", len(readable), dtype=pl.String, eager=True)
        counts: dict[str, int] = {}
        for each in judged:
            parts = []
            for part in each.both.told:
                asked = self.questions.of(part, each.reader.group.name, readable.gather(part.rows))
                parts.append(pl.DataFrame([part.rows.alias(ROW), asked.number.alias("number"), asked.first.alias("first")]))
                for fact, rows in asked.counts.items():
                    counts[fact] = counts.get(fact, 0) + rows
            whole = pl.concat(parts).sort(ROW)
            number, first = number + whole["number"], first.zip_with(first != "", whole["first"])
        counted = pl.DataFrame([(fact, self.questions.question(fact), rows) for fact, rows in counts.items()], schema=COUNTED, orient="row")
        return [number.alias("questions"), first.alias("first question")], counted

    def _alike(self, cells: pl.DataFrame, days: pl.DataFrame) -> pl.Series:
        """Of each row, what it must share with another to be the same registration; the date as it is read, and no words."""
        headings = self.mapping.alike
        if not headings:
            return pl.Series(ALIKE, [""] * cells.height, dtype=pl.String)
        parts = [(days[DAY_FIRST] + days[MONTH_FIRST]).to_list() if h == self.mapping.date else cells[h].to_list() for h in headings]
        plain = [["".join(letter for letter in text.casefold() if letter.isalnum()) for text in each] for each in parts]
        marks = [hashlib.sha256("\0".join(row).encode()).hexdigest()[:32] if all(row) else "" for row in zip(*plain)]
        return pl.Series(ALIKE, marks, dtype=pl.String)

    # -- what goes to a person, and what waits ----------------------------------------------------------------------------------

    def _reasons(self, rows: list[Row], judged: list[Judged], cells: pl.DataFrame) -> list[str]:
        """Of each row, why a person must read it; empty where nobody must."""
        missing = f"{self.mapping.registration}: the row has no registration number"
        numbers = cells[self.mapping.registration].str.strip_chars() == ""
        why = [row.problem or "; ".join(filter(None, (row.remark, missing if none else ""))) for row, none in zip(rows, numbers)]
        for each in judged:
            for outside, where in zip(self.outside, each.both.follows.surely(test for _, test in self.outside) if each.reader.group.sort == "place" else ()):
                said = f"{each.reader.group.name}: {outside[0]} stands outside the book, which judges nothing of it"
                for at in where.arg_true().to_list():
                    why[at] = why[at] if rows[at].problem else "; ".join(filter(None, (why[at], said)))
            upstream = {fact: self.dependencies.upstream_of(fact) for fact in each.both.strictly.two_ways.columns}
            for said in said_two_ways(each, upstream, cells):
                why = [had if row.problem or not more else f"{had}; {more}" if had else more for row, had, more in zip(rows, why, said)]
        return why

    def _waits_for_cells(self, judged: list[Judged], height: int) -> pl.Series:
        """The rows in which something is open as told that a cell could decide which could not be read."""
        waits = pl.repeat(False, height, dtype=pl.Boolean, eager=True)
        for each in judged:
            parts = each.both.told
            turn = pl.concat([part.rows for part in parts]).arg_sort()
            for column, unread in each.unread.items():
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

    # -- one line a registration --------------------------------------------------------------------------------------------------

    def _results(self, frame: pl.DataFrame, findings: pl.DataFrame) -> pl.DataFrame:
        first = findings.group_by(AT, maintain_order=True).first().with_columns(
            breach=pl.format("{}: {}. Found: {}; needed: {}", "place", "title", "found", "needed")
        )  # fmt: skip
        frame = frame.with_row_index(AT).join(first.select(AT, "breach"), on=AT, how="left", maintain_order="left").drop(AT)
        col = pl.col
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


def inert(frame: pl.DataFrame, schema: dict[str, pl.DataType]) -> pl.DataFrame:
    """The columns of a table to be, with no text that a spreadsheet takes for a formula."""
    texts = [pl.col(name) for name, kind in schema.items() if kind == pl.String]
    return frame.select(list(schema)).with_columns(
        pl.when(text.str.contains(FORMULA)).then(pl.lit(MARK) + text).otherwise(text).alias(text.meta.output_name()) for text in texts
    )


def screener(books: tuple[str, ...], mapping: Path, day: date, filled: Filled = (), programme: str = "") -> Screener:
    """A screener of some books and a mapping, on a day, with cells that somebody tidied. Raises BadBook and BadAssembly."""
    loaded = load_book(*(Path(book) for book in books))
    says: dict[str, dict[str, str]] = {}
    for heading, cell, text in filled:
        says.setdefault(heading, {})[cell] = text
    terms = None
    if programme:
        everything = load_book(*(Path(book) for book in books), everything=True)
        terms = Terms(everything, read_programme(programme_file(programme), everything.book))
    return Screener(loaded, read_mapping(mapping, loaded.vocabulary).tidied(says), day, terms)
