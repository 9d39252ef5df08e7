"""Tables read in pieces: CSV, XLSX, Parquet or JSON Lines, every cell as text, memory bounded whatever the file's size.

A row that cannot be read is kept with its reason. A file that cannot be read at all raises BadTable.
"""

import csv
import itertools
import json
import zipfile
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import NamedTuple

from validator.language.source import nearest
from validator.screening.mapping import Mapping

MOST_COLUMNS = 5_000
LONGEST_CELL = 100_000
UNPACKED = 4_000_000_000  # bytes a workbook may come to
FORMS = (".csv", ".xlsx", ".parquet", ".jsonl")


class BadTable(Exception):
    """A table that cannot be read; says what, and what would be accepted."""


class Row(NamedTuple):
    """One row of a table: its number from 1 below the headings, its cells, and why it could not be read.

    `remark`: what a person should know of a row that is read all the same. A blank row is no registration.
    """

    number: int
    cells: dict[str, str]
    problem: str = ""
    remark: str = ""
    blank: bool = False


def pieces(path: Path, mapping: Mapping, size: int, start: int = 0) -> Iterator[list[Row]]:
    """The rows of a table, so many at a time, from one piece on. Raises BadTable."""
    rows = rows_of(path, mapping, start * size)
    while piece := list(itertools.islice(rows, size)):
        yield piece


def rows_of(path: Path, mapping: Mapping, skip: int = 0, at_once: int = 100_000) -> Iterator[Row]:
    """The rows of a table after the first few; of a Parquet file so many are read at once."""
    match path.suffix.lower():
        case ".csv":
            return itertools.islice(_csv(path, mapping), skip, None)
        case ".xlsx":
            return itertools.islice(_xlsx(path, mapping), skip, None)
        case ".jsonl":
            return itertools.islice(_json_lines(path, mapping), skip, None)
        case ".parquet":
            return _parquet(path, mapping, skip, at_once)
    raise BadTable(f"{path.name} is no table that can be read. Accepted: {', '.join(FORMS)}")


def count_of(path: Path) -> int | None:
    """How many rows a table has, where that is known without reading it."""
    if path.suffix.lower() == ".parquet":
        import polars as pl

        return _asking_polars(path, lambda: pl.scan_parquet(path).select(pl.len()).collect().item())
    return None


def _check_headings(path: Path, headings: list[str], mapping: Mapping) -> None:
    if len(headings) > MOST_COLUMNS:
        raise BadTable(f"{path.name} has {len(headings)} columns. Accepted: at most {MOST_COLUMNS}")
    if not any(heading in headings for heading in mapping.headings()):
        found = ", ".join(f"`{each}`" for each in headings if each)[:200] or "nothing"
        raise BadTable(
            f"row {mapping.heading_row} of {path.name}, which the headings are taken from, holds {found}, and no heading of the "
            "mapping. Accepted: a line `heading row: 2` in the mapping, where they stand lower; or any of "
            f"{', '.join(mapping.headings()[:20])}"
        )
    for heading in mapping.headings():
        if heading not in headings:
            near = nearest(heading, headings)
            hint = f"did you mean `{near}`? " if near else ""
            raise BadTable(f"{path.name} has no column `{heading}`. Accepted: {hint}{', '.join(headings[:20])}")
        if headings.count(heading) > 1:
            raise BadTable(f"{path.name} has {headings.count(heading)} columns called `{heading}`. Accepted: a heading of its own for each")


def _csv(path: Path, mapping: Mapping) -> Iterator[Row]:
    csv.field_size_limit(LONGEST_CELL)
    try:
        with path.open(encoding=mapping.encoding, newline="") as file:
            for _ in range(mapping.heading_row):
                first = file.readline(MOST_COLUMNS * 200)
            if not first.endswith(("\n", "\r")) and len(first) >= MOST_COLUMNS * 200:
                raise BadTable(f"the first line of {path.name} is too long to be headings. Accepted: at most {MOST_COLUMNS} columns")
            headings = next(csv.reader([first], delimiter=mapping.separator), [])
            _check_headings(path, headings, mapping)
            reader = csv.reader(file, delimiter=mapping.separator)
            for number in itertools.count(1):
                try:
                    cells = next(reader)
                except StopIteration:
                    return
                except csv.Error as problem:
                    yield Row(number, {}, f"the line cannot be read: {problem}")
                    continue
                yield _row(number, headings, cells, mapping)
    except (UnicodeDecodeError, LookupError):
        raise BadTable(
            f"{path.name} is not written in {mapping.encoding}. Accepted: a line `encoding: latin-1` in the mapping, or the file saved as UTF-8"
        ) from None
    except OSError as problem:
        raise BadTable(f"{path.name} cannot be read: {problem.strerror}") from None


def _row(number: int, headings: list[str], cells: list[str], mapping: Mapping) -> Row:
    wanted = _wanted(mapping)
    if not any(cell.strip() for cell in cells):
        return Row(number, {}, blank=True)
    if len(cells) != len(headings):
        kept = {h: c for h, c in zip(headings, cells) if h == mapping.registration}
        return Row(number, kept, f"the row has {len(cells)} cells and the table {len(headings)} headings")
    return Row(number, {h: c for h, c in zip(headings, cells) if h in wanted})


def _wanted(mapping: Mapping) -> frozenset[str]:
    return frozenset(mapping.headings())


def _xlsx(path: Path, mapping: Mapping) -> Iterator[Row]:
    import openpyxl
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with zipfile.ZipFile(path) as packed:
            unpacked = sum(each.file_size for each in packed.infolist())
            tight = path.stat().st_size * 200 + 10_000_000
        if unpacked > min(UNPACKED, tight):
            raise BadTable(f"{path.name} would unpack to {unpacked:,} bytes, and is not opened. Accepted: a workbook saved anew, or a CSV")
        book = openpyxl.load_workbook(path, read_only=True, data_only=False)
    except (zipfile.BadZipFile, InvalidFileException, KeyError, OSError):
        raise BadTable(f"{path.name} is no workbook, or is cut short. Accepted: an .xlsx that opens in a spreadsheet") from None
    try:
        if mapping.sheet and mapping.sheet not in book.sheetnames:
            raise BadTable(f"{path.name} has no sheet `{mapping.sheet}`. Accepted: {', '.join(book.sheetnames)}")
        sheet = book[mapping.sheet] if mapping.sheet else book[book.sheetnames[0]]
        lines = sheet.iter_rows(values_only=True)
        for _ in range(mapping.heading_row):
            headings = [_text(cell) for cell in next(lines, ())]
        _check_headings(path, headings, mapping)
        wanted = _wanted(mapping)
        told = 0
        for number, cells in enumerate(lines, 1):
            if not any(_text(cell) for cell in cells):
                continue
            # Beneath its last row a sheet may hold a million blank ones, which nobody wrote.
            yield from (Row(blank, {}, blank=True) for blank in range(told + 1, number))
            told = number
            held = {h: _text(c) for h, c in zip(headings, cells) if h in wanted}
            formulas = [h for h, text in held.items() if text.startswith("=")]
            remark = "; ".join(f"`{h}` holds a formula, not a value; paste the values" for h in formulas)
            yield Row(number, {**held, **dict.fromkeys(formulas, "")}, remark=remark)
    finally:
        book.close()


def _text(cell: object) -> str:
    """A cell as a person would have typed it."""
    if cell is None:
        return ""
    if isinstance(cell, datetime):
        return cell.strftime("%Y-%m-%d" if cell.time() == datetime.min.time() else "%Y-%m-%d %H:%M")
    if isinstance(cell, date):
        return cell.isoformat()
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    return str(cell).strip()


def _json_lines(path: Path, mapping: Mapping) -> Iterator[Row]:
    wanted = _wanted(mapping)
    try:
        with path.open(encoding="utf-8-sig") as file:
            for number, line in enumerate(file, 1):
                if not line.strip():
                    continue
                try:
                    held = json.loads(line)
                except (ValueError, RecursionError):
                    yield Row(number, {}, "the line is not JSON")
                    continue
                if not isinstance(held, dict):
                    yield Row(number, {}, "the line is no object of headings and cells")
                    continue
                yield Row(number, {h: _text(held.get(h)) for h in wanted}, blank=not any(_text(each) for each in held.values()))
    except UnicodeDecodeError:
        raise BadTable(f"{path.name} is not written in UTF-8. Accepted: the file saved as UTF-8") from None
    except OSError as problem:
        raise BadTable(f"{path.name} cannot be read: {problem.strerror}") from None


def _parquet(path: Path, mapping: Mapping, skip: int, at_once: int) -> Iterator[Row]:
    import polars as pl

    table = pl.scan_parquet(path)
    headings = _asking_polars(path, lambda: table.collect_schema().names())
    _check_headings(path, headings, mapping)
    wanted = list(mapping.headings())
    while True:
        frame = _asking_polars(path, table.select(wanted).slice(skip, at_once).collect)
        for number, cells in enumerate(frame.iter_rows(), skip + 1):
            yield Row(number, {h: _text(c) for h, c in zip(wanted, cells)}, blank=not any(_text(c) for c in cells))
        skip += at_once
        if frame.height < at_once:
            return


def _asking_polars(path: Path, ask):
    import polars as pl

    try:
        return ask()
    except (pl.exceptions.PolarsError, OSError) as problem:
        why = str(problem).splitlines()[0][:120]
        raise BadTable(f"{path.name} is no Parquet file, or is cut short ({why}). Accepted: a whole Parquet file") from None
