"""The pieces of a run joined to one table of results and one of findings, and proved to hold every row of its table."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.papers.wrapping import listed
from validator.screening.dates import DAY_FIRST, FIRST_COLUMNS, MONTH_FIRST, day_by, order_of
from validator.screening.desk_workbook import NAME, ReadBack, write_workbook
from validator.screening.judging import ALIKE, BLANK, FINDINGS, PERSON, RESULTS, Screener
from validator.screening.known import Run
from validator.screening.mapping import Mapping
from validator.screening.pieces import path_of
from validator.screening.running import Begun, see_unchanged
from validator.screening.tables import count_of, lines_of
from validator.screening.tally import Tally, tally_of
from validator.screening.terms import TERMS
from validator.screening.tidying import SHEET, gathered, write_sheet

AT_ONCE = 1_000_000  # registration numbers that are looked at together
GROUP = 50_000  # rows of a joined table that are written together, so that memory stays small
JOINED = {
    name: kind for each, of_each in RESULTS.items()
    for name, kind in ({"installed": pl.String, "month": pl.String} if each == DAY_FIRST else {each: of_each}).items() if each not in (MONTH_FIRST, ALIKE)
}  # fmt: skip
SAID = "#said"
MOST_ALIKE = 10  # rows that are named together
TWICE = "the registration number stands more than once"


class _Rest(NamedTuple):
    """What only the whole table settles: numbers that stand twice, rows that are alike, and the day that a date is."""

    twice: pl.Series
    alike: pl.DataFrame  # of what several rows share, those rows in words
    day: pl.Expr


class RowsLost(Exception):
    """The answers do not hold every row of the table: a fault of this program, which no answer may hide."""


class Joined(NamedTuple):
    """Where the two tables stand, and what they come to in numbers."""

    results: Path
    findings: Path
    tally: Tally
    blank: int  # rows of the table that were no registrations, and are left out
    untidy: int  # different cells that could not be read
    dates: tuple[str, ...]  # of each column of dates that may be read two ways, what was done about them


def join(work: Begun, count: int, own: Screener, back: ReadBack = ReadBack()) -> Joined:
    """The tables and their numbers, and the desk's workbook with what was filled in `back`; what stands twice goes to a person.

    Raises BadTable and RowsLost.
    """
    see_unchanged(work)
    rows = _proved_rows(work, count, own.mapping)
    run = work.run
    order = order_of(_columns(run, number, "row", *FIRST_COLUMNS) for number in range(count))
    rest = _Rest(_standing_twice(run, count, "registration"), _alike(run, count, own.mapping), day_by(order, own.latest))
    made = []
    form = "csv" if run.form == "csv" else "parquet"
    for kind, schema in (("results", JOINED), ("findings", FINDINGS), *((("terms", TERMS),) if run.programme else ())):
        path = run.out / f"{kind}.{form}"
        beside = path.with_suffix(".part")
        (_write_csv if run.form == "csv" else _write_parquet)(beside, run, kind, schema, count, rest)
        beside.replace(path)
        made.append(path)
    results, findings, questions = (partial(_pieces, run, kind, count, rest) for kind in ("results", "findings", "questions"))
    tally = tally_of(zip(results(), findings(), questions()))
    untidy = gathered(pl.read_parquet(path_of(run, "untidy", number), memory_map=False) for number in range(count))
    if run.form == "xlsx":
        terms = _pieces(run, "terms", count, rest) if run.programme else ()
        write_workbook(run.out / NAME, run.table.name, tally, results(), findings(), terms, untidy, back._replace(filled=run.filled))
    else:
        write_sheet(run.out / SHEET, untidy, run.filled)
    said = [text for heading, each in ({**own.orders, own.mapping.date: order}).items() if (text := each.said(heading))]
    return Joined(made[0], made[1], tally, rows - tally.rows, untidy.height, tuple(said))


def _write_csv(path: Path, run: Run, kind: str, schema: dict[str, pl.DataType], count: int, rest: _Rest) -> None:
    with path.open("wb") as file:
        pl.DataFrame(schema=schema).write_csv(file)
        for frame in _pieces(run, kind, count, rest):
            frame.write_csv(file, include_header=False)


def _write_parquet(path: Path, run: Run, kind: str, schema: dict[str, pl.DataType], count: int, rest: _Rest) -> None:
    # One column of one piece at a time: read side by side, some hundred pieces would fill the memory.
    paths = [path_of(run, kind, number) for number in range(count)]
    frame = pl.scan_parquet(paths, low_memory=True, parallel="none") if paths else pl.LazyFrame(schema=schema)
    frame = _as_joined(frame, rest) if kind == "results" else frame
    frame.sink_parquet(path, maintain_order=True, row_group_size=GROUP)


def _pieces(run: Run, kind: str, count: int, rest: _Rest) -> Iterator[pl.DataFrame]:
    """One kind of every piece in turn, as it stands when joined."""
    for number in range(count):
        frame = pl.read_parquet(path_of(run, kind, number), memory_map=False)
        yield _as_joined(frame.lazy(), rest).collect() if kind == "results" else frame


def _as_joined(results: pl.LazyFrame, rest: _Rest) -> pl.LazyFrame:
    """The results with what only the whole table settles; the day alone stays of the two readings of a date."""
    twice = pl.col("registration").is_in(rest.twice.implode()) & (pl.col("registration") != "")
    results = results.filter(pl.col("as told") != BLANK).join(rest.alike.lazy(), on=ALIKE, how="left", maintain_order="left")
    why = [pl.when(pl.col("reason") != "").then("reason"), pl.when(twice).then(pl.lit(TWICE)), pl.col(SAID)]
    reason = pl.concat_str(why, separator="; ", ignore_nulls=True)
    repeated = twice | pl.col(SAID).is_not_null()
    return results.with_columns(
        rest.day.alias("installed"),
        pl.when(repeated).then(pl.lit(PERSON)).otherwise("lane").alias("lane"),
        pl.when(repeated).then(reason).otherwise("reason").alias("reason"),
        pl.when(repeated).then(reason).otherwise("matter").alias("matter"),
    ).with_columns(month=pl.col("installed").str.head(7)).select(list(JOINED))


def _proved_rows(work: Begun, count: int, mapping: Mapping) -> int:
    """Rows in, rows out: every piece is there, full but for the last, and together they stand on every line of the table."""
    receipts = [work.done.get(number) for number in range(count)]
    if None in receipts or any(receipt.rows != work.run.piece for receipt in receipts[:-1]):
        raise RowsLost(f"of the {count} pieces of {work.run.table.name} some are not there or not whole")
    rows, lines = sum(receipt.rows for receipt in receipts), sum(receipt.lines for receipt in receipts)
    for what, known, found in (("rows", count_of(work.run.table), rows), ("lines", lines_of(work.run.table, mapping), lines)):
        if known is not None and known != found:
            raise RowsLost(f"{work.run.table.name} has {known:,} {what}, and {found:,} of them were judged")
    return rows


def _alike(run: Run, count: int, mapping: Mapping) -> pl.DataFrame:
    """Rows that share all that makes two rows one registration, each group with what is said of it."""
    shared = _standing_twice(run, count, ALIKE) if mapping.alike else pl.Series(ALIKE, [], dtype=pl.String)
    rows = [_columns(run, number, ALIKE, "row").filter(pl.col(ALIKE).is_in(shared.implode()) & (pl.col(ALIKE) != "")) for number in range(count)]
    groups = pl.concat([pl.DataFrame(schema={ALIKE: pl.String, "row": pl.Int64}), *rows]).group_by(ALIKE, maintain_order=True).agg("row")
    same = listed(mapping.alike) if mapping.alike else ""
    said = [f"rows {listed(tuple(map(str, each[:MOST_ALIKE])))} have the same {same}" for each in groups["row"].to_list()]
    return groups.select(ALIKE).with_columns(pl.Series(SAID, said, pl.String))


def _standing_twice(run: Run, count: int, name: str) -> pl.Series:
    """What more than one row has in a column, by 8-byte marks first and a share of them at a time."""
    rows = sum(_column(run, number, name).len() for number in range(count))
    found = [pl.Series(name, [], dtype=pl.String)]
    shares = -(-rows // AT_ONCE)
    for share in range(shares):
        marks = pl.concat([_share(run, number, name, share, shares).hash() for number in range(count)])
        marks = marks.filter(marks.is_duplicated()).unique()
        if len(marks):
            some = [_share(run, number, name, share, shares) for number in range(count)]
            named = pl.concat([each.filter(each.hash().is_in(marks.implode())) for each in some])
            found.append(named.filter(named.is_duplicated()).unique())
    return pl.concat(found).sort()


def _share(run: Run, number: int, name: str, share: int, shares: int) -> pl.Series:
    texts = _column(run, number, name)
    return texts.filter(texts.hash(1) % shares == share)


def _column(run: Run, number: int, name: str) -> pl.Series:
    return _columns(run, number, name)[name]


def _columns(run: Run, number: int, *names: str) -> pl.DataFrame:
    return pl.read_parquet(path_of(run, "results", number), columns=list(names), memory_map=False)
