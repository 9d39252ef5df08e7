"""A CSV as rows, with every line of it in one of them.

A stray quotation mark opens a cell that swallows the lines beneath it. So a row is believed to stand on several lines only if
it has as many cells as there are headings, and none of its cells holds just what a mark forgotten in one row and another
forgotten lower down would have swallowed. Where it is not believed, its first line is a row that cannot be read, and the
next line is read as if nothing had stood before it. Lines that are all rows of their own are read many at once.
"""

import csv
import re
from collections import deque
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path

import polars as pl

from validator.screening.mapping import Mapping
from validator.screening.rows import LONGEST_LINE, MARKS, MOST_COLUMNS, BadTable, Line, Row, Rows, check_headings, headings_of, row_of, rows_of_each, shortened

AT_ONCE = 10_000  # lines that are read together
LONGEST_QUOTED = 100_000  # letters between two quotation marks
MARK = '"'
SAID = {
    "unexpected end of data": "a quotation mark opens a cell, and none closes it",
    "field larger than field limit": f"a cell holds more than {LONGEST_QUOTED:,} letters, or a quotation mark opens it and none closes it",
}  # by how the library says it
OTHERWISE = "a quotation mark stands where no cell begins or ends"
SWALLOWED = "a quotation mark opens a cell that would swallow the next rows"
TOO_LONG = f"the line is longer than {LONGEST_LINE:,} letters"


class _CutShort(Exception):
    """A row runs into a line that is longer than a line may be."""


class _Lines(Iterator[str]):
    """The lines of a table, with those of the row that is being read; lines may be put back."""

    def __init__(self, lines: Iterator[Line]) -> None:
        self.lines = lines
        self.back: deque[Line] = deque()
        self.taken: list[Line] = []

    def __next__(self) -> str:
        line = self.back.popleft() if self.back else next(self.lines)
        self.taken.append(line)
        if not line.whole:
            raise _CutShort
        return line

    def some(self, number: int) -> list[Line]:
        """The next so many lines, whole or not."""
        back = [self.back.popleft() for _ in range(min(number, len(self.back)))]
        return [*back, *islice(self.lines, number - len(back))]

    def put_back(self, lines: Sequence[Line]) -> None:
        self.back.extendleft(reversed(lines))


def csv_rows(path: Path, mapping: Mapping, every: Iterator[Line]) -> Iterator[Rows]:
    """The rows of a CSV below its headings. Raises BadTable."""
    csv.field_size_limit(LONGEST_QUOTED)
    headings = _headings(path, mapping, every)
    above = mapping.heading_row  # a row is numbered as a spreadsheet counts the rows of the whole sheet
    lines = _Lines(every)
    while some := lines.some(AT_ONCE):
        rows = _all_at_once(some, above, headings, mapping)
        if rows is None:
            lines.put_back(some)
            rows = rows_of_each(list(_one_by_one(lines, len(some), above, headings, mapping)), mapping.headings())
        above += rows.height
        yield rows


def _all_at_once(lines: Sequence[Line], above: int, headings: list[str], mapping: Mapping) -> Rows | None:
    """The rows of lines of which each is a row of its own that can be read; None where one of them is not."""
    if not all(line.whole for line in lines):
        return None
    try:
        read = list(csv.reader(lines, delimiter=mapping.separator, strict=True))
    except csv.Error:
        return None
    if len(read) != len(lines) or any(len(cells) != len(headings) and any(map(str.strip, cells)) for cells in read):
        return None
    blank = [not any(map(str.strip, cells)) for cells in read]
    columns = dict(zip(headings, zip(*(cells if len(cells) == len(headings) else [""] * len(headings) for cells in read))))
    marks = {"number": range(above + 1, above + len(read) + 1), "problem": pl.repeat("", len(read), eager=True), "remark": pl.repeat("", len(read), eager=True),
             "blank": blank, "lines": pl.repeat(1, len(read), eager=True)}  # fmt: skip
    try:
        cells = pl.DataFrame({heading: columns[heading] for heading in mapping.headings()}, schema=dict.fromkeys(mapping.headings(), pl.String))
    except UnicodeEncodeError:  # half of a letter
        return None
    return shortened(Rows(pl.DataFrame(marks, schema=MARKS), cells))


def _one_by_one(lines: _Lines, number_of_lines: int, above: int, headings: list[str], mapping: Mapping) -> Iterator[Row]:
    """The rows that begin in the first so many lines."""
    reader = csv.reader(lines, delimiter=mapping.separator, strict=True)
    number, begun = above, 0
    while begun < number_of_lines:
        lines.taken = []
        try:
            cells = next(reader)
            trouble = "" if len(lines.taken) == 1 or _is_one_row(cells, len(headings), mapping.separator) else SWALLOWED
        except StopIteration:
            return
        except _CutShort:
            trouble = TOO_LONG if len(lines.taken) == 1 else SWALLOWED
        except csv.Error as problem:
            trouble = next((said for begins, said in SAID.items() if str(problem).startswith(begins)), OTHERWISE)
        number += 1
        if trouble:
            first = lines.taken[0]
            lines.put_back(lines.taken[1:])
            begun += 1
            yield Row(number, _registration_in(first, headings, mapping), trouble)
        else:
            begun += len(lines.taken)
            yield _row(number, headings, cells, mapping, len(lines.taken))


def _headings(path: Path, mapping: Mapping, lines: Iterator[Line]) -> list[str]:
    above = [next(lines, Line("")) for _ in range(mapping.heading_row)][-mapping.heading_rows :]
    if not all(line.whole for line in above):
        raise BadTable(f"the first line of {path.name} is too long to be headings. Accepted: at most {MOST_COLUMNS} columns")
    try:
        headings = headings_of([next(csv.reader([line], delimiter=mapping.separator, strict=True), []) for line in above])
    except csv.Error:
        raise BadTable(f"a quotation mark of the headings of {path.name} is not closed on their line. Accepted: headings on one line") from None
    check_headings(path, headings, mapping)
    return headings


def _is_one_row(cells: list[str], headings: int, separator: str) -> bool:
    """Whether what was read from several lines is one row; not where a cell holds the end of one row and the start of another."""
    if len(cells) != headings:
        return False
    for at, cell in enumerate(cells):
        counts = [part.count(separator) for part in re.split("\r\n|\r|\n", cell)]
        whole = headings - 1
        if len(counts) > 1 and counts[0] == whole - at and counts[-1] == at and all(count == whole for count in counts[1:-1]):
            return False
    return True


def _row(number: int, headings: list[str], cells: list[str], mapping: Mapping, lines: int) -> Row:
    if not any(cell.strip() for cell in cells):
        return Row(number, {}, blank=True, lines=lines)
    if len(cells) != len(headings):
        kept = {h: c for h, c in zip(headings, cells) if h == mapping.registration}
        return Row(number, kept, f"the row has {len(cells)} cells and the table {len(headings)} headings", lines=lines)
    wanted = mapping.headings()
    return row_of(number, {h: c for h, c in zip(headings, cells) if h in wanted}, lines)


def _registration_in(line: Line, headings: list[str], mapping: Mapping) -> dict[str, str]:
    """The registration number of a line that cannot be read, so that a person finds it."""
    parts = line[:LONGEST_QUOTED].split(mapping.separator)
    at = headings.index(mapping.registration)
    return {mapping.registration: parts[at].strip().strip(MARK)} if at < len(parts) else {}
