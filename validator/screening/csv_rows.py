"""A CSV as rows, with every line of it in one of them.

A stray quotation mark opens a cell that swallows the lines beneath it. So a row is believed to stand on several lines only if
it has as many cells as there are headings, and none of its cells holds just what a mark forgotten in one row and another
forgotten lower down would have swallowed. Where it is not believed, its first line is a row that cannot be read, and the
next line is read as if nothing had stood before it.
"""

import csv
import re
from collections import deque
from collections.abc import Iterator
from pathlib import Path

from validator.screening.mapping import Mapping
from validator.screening.rows import LONGEST_LINE, MOST_COLUMNS, BadTable, Line, Row, check_headings, row_of

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


def csv_rows(path: Path, mapping: Mapping, every: Iterator[Line]) -> Iterator[Row]:
    """The rows of a CSV below its headings. Raises BadTable."""
    csv.field_size_limit(LONGEST_QUOTED)
    headings = _headings(path, mapping, every)
    lines = _Lines(every)
    reader = csv.reader(lines, delimiter=mapping.separator, strict=True)
    number = mapping.heading_row  # as a spreadsheet counts the rows of the whole sheet
    while True:
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
            lines.back.extendleft(reversed(lines.taken[1:]))
            yield Row(number, _registration_in(first, headings, mapping), trouble)
        else:
            yield _row(number, headings, cells, mapping, len(lines.taken))


def _headings(path: Path, mapping: Mapping, lines: Iterator[Line]) -> list[str]:
    line: Line = Line("")
    for _ in range(mapping.heading_row):
        line = next(lines, Line(""))
    if not line.whole:
        raise BadTable(f"the first line of {path.name} is too long to be headings. Accepted: at most {MOST_COLUMNS} columns")
    try:
        headings = next(csv.reader([line], delimiter=mapping.separator, strict=True), [])
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
