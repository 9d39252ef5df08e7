"""Tables read in pieces: CSV, XLSX, Parquet or JSON Lines, every cell as text, memory bounded whatever the file's size.

A row that cannot be read is kept with its reason. A file that cannot be read at all raises BadTable.
"""

import json
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import TextIO

import polars as pl

from validator.screening.csv_rows import csv_rows
from validator.screening.mapping import Mapping
from validator.screening.rows import (
    LONGEST_LINE, MARKS, BadTable, CutLine, Line, Row, Rows, check_headings, row_of, rows_of_each, rows_together, shortened, text_of,
)  # fmt: skip
from validator.screening.workbooks import workbook_rows

FORMS = (".csv", ".xlsx", ".parquet", ".jsonl")
AT_ONCE = 10_000  # rows that are gathered where they are read one by one


def pieces(path: Path, mapping: Mapping, size: int, start: int = 0) -> Iterator[Rows]:
    """The rows of a table, so many at a time, from one piece on. Raises BadTable."""
    held: list[Rows] = []
    for rows in _parts(path, mapping, start * size, size):
        held.append(rows)
        while sum(each.height for each in held) >= size:
            whole = rows_together(held)
            yield whole.part(0, size)
            held = [whole.part(size)]
    if any(each.height for each in held):
        yield rows_together(held)


def rows_of(path: Path, mapping: Mapping) -> Iterator[Row]:
    """The rows of a table one by one. Raises BadTable."""
    for rows in _parts(path, mapping):
        yield from rows.each()


def _parts(path: Path, mapping: Mapping, skip: int = 0, at_once: int = AT_ONCE) -> Iterator[Rows]:
    """The rows of a table after the first few, some at a time; of a Parquet file so many at once."""
    match path.suffix.lower():
        case ".csv":
            return _without(_lines_read(path, mapping, csv_rows), skip)
        case ".jsonl":
            return _without(_lines_read(path, mapping, lambda _, mapping, lines: _gathered(_json_rows(mapping, lines), mapping)), skip)
        case ".xlsx":
            return _without(_gathered(workbook_rows(path, mapping), mapping), skip)
        case ".parquet":
            return _parquet_rows(path, mapping, skip, at_once)
    raise BadTable(f"{path.name} is no table that can be read. Accepted: {', '.join(FORMS)}")


def _without(parts: Iterator[Rows], skip: int) -> Iterator[Rows]:
    for rows in parts:
        gone = min(skip, rows.height)
        skip -= gone
        yield rows.part(gone) if gone else rows


def _gathered(rows: Iterator[Row], mapping: Mapping) -> Iterator[Rows]:
    while some := list(islice(rows, AT_ONCE)):
        yield rows_of_each(some, mapping.headings())


def count_of(path: Path) -> int | None:
    """How many rows a table has, where that is known without reading it. Raises BadTable."""
    if path.suffix.lower() == ".parquet":
        return _asking_polars(path, lambda: pl.scan_parquet(path).select(pl.len()).collect().item())
    return None


def lines_of(path: Path, mapping: Mapping) -> int | None:
    """How many lines stand below the headings of a table that is written in lines, counted without reading them as rows."""
    form = path.suffix.lower()
    if form not in (".csv", ".jsonl"):
        return None
    with path.open(encoding=encoding_of(path, mapping), newline="") as file:
        return sum(1 for _ in lines_in(file)) - (mapping.heading_row if form == ".csv" else 0)


# -- what the forms share ---------------------------------------------------------------------------------------------------------


def encoding_of(path: Path, mapping: Mapping) -> str:
    return mapping.encoding if path.suffix.lower() == ".csv" else "utf-8-sig"


# -- files of lines ---------------------------------------------------------------------------------------------------------------


def lines_in(file: TextIO) -> Iterator[Line]:
    """The lines of a file, none of them longer in memory than a line may be."""
    while text := file.readline(LONGEST_LINE):
        if len(text) < LONGEST_LINE or text[-1] in "\r\n":
            yield Line(text)
            continue
        rest = text
        while rest and rest[-1] not in "\r\n":
            rest = file.readline(LONGEST_LINE)
        yield CutLine(text)


def _lines_read(path: Path, mapping: Mapping, read: Callable[[Path, Mapping, Iterator[Line]], Iterator[Rows]]) -> Iterator[Rows]:
    """The rows of a file that is written in lines. Raises BadTable."""
    encoding = encoding_of(path, mapping)
    try:
        with path.open(encoding=encoding, newline="") as file:
            yield from read(path, mapping, lines_in(file))
    except UnicodeError:
        raise BadTable(
            f"{path.name} is not written in {encoding}. Accepted: a line `encoding: latin-1` in the mapping, or the file saved as UTF-8"
        ) from None
    except OSError as problem:
        raise BadTable(f"{path.name} cannot be read: {problem.strerror}") from None


def _json_rows(mapping: Mapping, lines: Iterator[Line]) -> Iterator[Row]:
    wanted = mapping.headings()
    for number, line in enumerate(lines, 1):
        if not line.whole:
            yield Row(number, {}, f"the line is longer than {LONGEST_LINE:,} letters")
            continue
        if not line.strip():
            yield Row(number, {}, blank=True)
            continue
        try:
            held = json.loads(line)
        except (ValueError, RecursionError):
            yield Row(number, {}, "the line is not JSON")
            continue
        if not isinstance(held, dict):
            yield Row(number, {}, "the line is no object of headings and cells")
        elif not any(text_of(each) for each in held.values()):
            yield Row(number, {}, blank=True)
        else:
            yield row_of(number, {h: text_of(held.get(h)) for h in wanted})


# -- Parquet ----------------------------------------------------------------------------------------------------------------------


def _parquet_rows(path: Path, mapping: Mapping, skip: int, at_once: int) -> Iterator[Rows]:
    headings = _asking_polars(path, lambda: pl.scan_parquet(path).collect_schema().names())
    check_headings(path, headings, mapping)
    wanted = list(mapping.headings())
    while True:
        frame = _asking_polars(path, pl.scan_parquet(path).select(wanted).slice(skip, at_once).collect)
        cells = frame.select(_texts(series) for series in frame.get_columns())
        marks = pl.DataFrame({"number": range(skip + 1, skip + frame.height + 1)}).with_columns(
            pl.lit("").alias("problem"), pl.lit("").alias("remark"), pl.lit(1).alias("lines"),
            cells.select(pl.all_horizontal(pl.all() == "")).to_series().alias("blank"),
        )  # fmt: skip
        yield shortened(Rows(marks.select(list(MARKS)).cast(MARKS), cells))
        skip += at_once
        if frame.height < at_once:
            return


def _texts(cells: pl.Series) -> pl.Series:
    if cells.dtype == pl.String:
        return cells.fill_null("").str.strip_chars()
    return pl.Series(cells.name, [text_of(cell) for cell in cells.to_list()], pl.String)


def _asking_polars(path: Path, ask: Callable[[], object]) -> object:
    try:
        return ask()
    except (pl.exceptions.PolarsError, pl.exceptions.PanicException, OSError, ValueError) as problem:
        why = (str(problem).splitlines() or [""])[0][:120]
        raise BadTable(f"{path.name} is no Parquet file, or is cut short ({why}). Accepted: a whole Parquet file") from None
