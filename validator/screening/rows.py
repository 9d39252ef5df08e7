"""Rows of a table, whatever form the table has: their cells as text, or why they could not be read."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.language.slips import did_you_mean
from validator.screening.mapping import Mapping

MOST_COLUMNS = 5_000
LONGEST_LINE = 1_000_000  # letters
LONGEST_CELL = 1_000  # letters of a cell that is read; whatever says a fact says it in fewer


class BadTable(Exception):
    """A table that cannot be read; says what, and what would be accepted."""


class Row(NamedTuple):
    """One row of a table: its number as its sheet counts, headings and all, its cells, and why it could not be read.

    `remark`: what a person should know of a row that is read all the same. A blank row is no registration. `lines`: on how
    many lines of its file it stands, where a file has lines.
    """

    number: int
    cells: dict[str, str]
    problem: str = ""
    remark: str = ""
    blank: bool = False
    lines: int = 1


MARKS = {"number": pl.Int64, "problem": pl.String, "remark": pl.String, "blank": pl.Boolean, "lines": pl.Int64}


class Rows(NamedTuple):
    """Rows of a table, column by column: `marks` holds what a `Row` holds of each but its cells, `cells` those, by heading."""

    marks: pl.DataFrame
    cells: pl.DataFrame

    @property
    def height(self) -> int:
        return self.marks.height

    @property
    def readable(self) -> pl.Series:
        """Which of them are registrations that could be read."""
        return (self.marks["problem"] == "") & ~self.marks["blank"]

    def part(self, start: int, length: int | None = None) -> "Rows":
        return Rows(self.marks.slice(start, length), self.cells.slice(start, length))

    def each(self) -> Iterator[Row]:
        for (number, problem, remark, blank, lines), cells in zip(self.marks.iter_rows(), self.cells.iter_rows(named=True)):
            yield Row(number, cells, problem, remark, blank, lines)


def rows_of_each(rows: Sequence[Row], headings: Iterable[str]) -> Rows:
    """Some rows read one by one, column by column."""
    marks = pl.DataFrame([(row.number, row.problem, row.remark, row.blank, row.lines) for row in rows], schema=MARKS, orient="row")
    cells = {heading: [row.cells.get(heading, "") for row in rows] for heading in headings}
    return Rows(marks, pl.DataFrame(cells, schema=dict.fromkeys(headings, pl.String)))


def rows_together(parts: Sequence[Rows]) -> Rows:
    """Rows that stand one after another in a table."""
    return parts[0] if len(parts) == 1 else Rows(*(pl.concat(each) for each in zip(*parts)))


def shortened(rows: Rows) -> Rows:
    """Rows without the cells that no fact could be said in, each of which is said to a person."""
    cells = rows.cells
    longest = cells.select(pl.all().str.len_chars().max())
    long = [heading for heading in longest.columns if (longest[heading][0] or 0) > LONGEST_CELL]
    return rows_of_each([row_of(*row[:2], row.lines, row.remark)._replace(problem=row.problem, blank=row.blank) for row in rows.each()], cells.columns) if long else rows


def headings_of(rows: Sequence[Sequence[str]]) -> list[str]:
    """The headings of one row, or of two: what stands in the upper goes before every one beneath it, up to the next that stands there."""
    upper, lower = rows[0] if len(rows) > 1 else (), rows[-1]
    headings, above = [], ""
    for at, text in enumerate(lower):
        above = (upper[at].strip() if at < len(upper) else "") or above
        headings.append(f"{above} {text.strip()}" if above and text.strip() else text)
    return headings


def check_headings(path: Path, headings: list[str], mapping: Mapping) -> None:
    """Sees that every heading of the mapping is there, once. Raises BadTable."""
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
            hint = did_you_mean(heading, headings)
            raise BadTable(f"{path.name} has no column `{heading}`. Accepted: {hint}{', '.join(headings[:20])}")
        if headings.count(heading) > 1:
            raise BadTable(
                f"{path.name} has {headings.count(heading)} columns called `{heading}`. Accepted: a heading of its own for each; "
                "or `heading row: 3 to 4`, where those above them tell them apart"
            )


def row_of(number: int, cells: dict[str, str], lines: int = 1, remark: str = "") -> Row:
    """A row of its cells that are read; one that no fact could be said in is left blank, and said to a person."""
    remarks = [remark] if remark else []
    for heading, text in cells.items():
        if len(text) > LONGEST_CELL:
            remarks.append(f"`{heading}` holds {len(text):,} letters, and at most {LONGEST_CELL:,} are read")
            cells[heading] = ""
        elif not text.isascii() and any("\ud800" <= letter <= "\udfff" for letter in text):
            remarks.append(f"`{heading}` holds half of a letter, which cannot be written")
            cells[heading] = ""
    return Row(number, cells, remark="; ".join(remarks), lines=lines)


def text_of(cell: object) -> str:
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


class Line(str):
    """A line of a file with what ends it. `whole` is False for one cut short, which is longer than a line may be."""

    whole = True


class CutLine(Line):
    """The beginning of a line that is longer than a line may be."""

    whole = False
