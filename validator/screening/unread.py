"""What of a piece could not be read: dates, cells of facts, and facts that are said two ways, each named by its heading."""

from collections.abc import Iterable, Iterator
from datetime import date
from typing import NamedTuple

import polars as pl

from validator.engines.columns import BothReadings
from validator.screening.cells import CellReader
from validator.screening.dates import DAY_FIRST, MONTH_FIRST, Day, read_day
from validator.screening.mapping import Column, Mapping, key_of
from validator.screening.tidying import UNTIDY, untidy_cells

UNREAD = "#unread "  # before a heading: the column that says where its cell could not be read
LONGEST_NAMED = 40  # letters of a cell where it is named in a row


class Judged(NamedTuple):
    """One group of columns: what its rules come to in both readings, and by column the rows of which the cell could not be read."""

    reader: CellReader
    both: BothReadings
    unread: dict[Column, pl.Series]


class Untidy(NamedTuple):
    """A heading with the rows of which its cell could not be read, and why, and what perhaps, by the cell's text."""

    heading: str
    rows: pl.Series
    told: dict[str, tuple[str, str]]


def days_of(mapping: Mapping, latest: date, cells: pl.DataFrame) -> tuple[pl.DataFrame, list[Untidy]]:
    """Both readings of each row's date, and where there is none."""
    heading = mapping.date
    texts = cells[heading] if heading else pl.Series([""] * cells.height, dtype=pl.String)
    says = {key_of(theirs): ours for theirs, ours in mapping.date_says}
    read: dict[str, Day] = {text: read_day(says.get(key_of(text), text), mapping.date_order, latest) for text in texts.unique().to_list()}
    days = pl.DataFrame(
        [texts.replace_strict(list(read), [getattr(day, which) for day in read.values()], return_dtype=pl.String).alias(name)
         for name, which in ((DAY_FIRST, "day_first"), (MONTH_FIRST, "month_first"))]
    )  # fmt: skip
    told = {text: (day.problem, day.perhaps) for text, day in read.items() if day.problem}
    return days, [Untidy(heading, texts.is_in(list(told)), told)] if told else []


def untidy_of(heading: str, rows: pl.Series, cells: pl.DataFrame, readers: Iterable[CellReader]) -> Untidy:
    """The cells of a heading that could not be read; where it holds several facts, by the last of them that cannot."""
    told: dict[str, tuple[str, str]] = {}
    columns = [(reader, column) for reader in readers for column in reader.group.columns if column.heading == heading]
    for text in cells[heading].filter(rows).unique().to_list():
        for reader, column in columns:
            if (cell := reader.read(column, text)).problem:
                told[text] = cell.problem, cell.perhaps
    return Untidy(heading, rows, told)


def cells_of(untidy: Iterable[Untidy], cells: pl.DataFrame) -> pl.DataFrame:
    """The different texts that could not be read, to be gathered to one sheet."""
    found = [untidy_cells(each.heading, cells[each.heading].filter(each.rows), each.told) for each in untidy]
    return pl.concat([pl.DataFrame(schema=UNTIDY), *found])


def named_in_rows(untidy: list[Untidy], cells: pl.DataFrame) -> pl.Series:
    """Of each row, its cells that could not be read."""
    named = [
        pl.when(each.rows).then(pl.lit(f"{each.heading} `") + cells[each.heading].str.slice(0, LONGEST_NAMED) + pl.lit("`"))
        for each in untidy
    ]
    frame = cells.with_columns(pl.concat_str(named, separator="; ", ignore_nulls=True).alias(UNREAD) if named else pl.lit("").alias(UNREAD))
    return frame[UNREAD].rename("untidy")


def unread_facts(reader: CellReader, unread: dict[Column, pl.Series]) -> dict[str, pl.Series]:
    """Of which facts and things somebody said what could not be read, and in which rows: nothing is taken of them as usual."""
    found: dict[str, pl.Series] = {}
    for column, where in unread.items():
        fact = reader.vocabulary.fact(column.fact)
        for name in (fact.name, fact.thing, *fact.gives):
            found[name] = found[name] | where if name in found else where
    return found


def said_two_ways(judged: Judged, upstream: dict[str, frozenset[str]], cells: pl.DataFrame) -> Iterator[tuple[int, str]]:
    """Of each fact that is said two ways, the rows, with the columns and cells that say it."""
    two_ways, reader = judged.both.strictly.two_ways, judged.reader
    for fact, where in zip(two_ways.columns, two_ways.get_columns()):
        columns = [column for column in reader.group.columns if column.fact in upstream[fact]]
        for at in where.arg_true().to_list():
            named = [f"{c.heading} `{cells[c.heading][at][:LONGEST_NAMED]}`" for c in columns if cells[c.heading][at].strip()]
            by = " and ".join(named) or "what the mapping says of every row"
            yield at, f"{reader.group.name}: {fact.replace('.', ' ')} is said two ways, by {by}"
