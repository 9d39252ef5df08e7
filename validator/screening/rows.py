"""One row of a table, whatever form the table has: its cells as text, or why it could not be read."""

from datetime import date, datetime
from pathlib import Path
from typing import NamedTuple

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
            raise BadTable(f"{path.name} has {headings.count(heading)} columns called `{heading}`. Accepted: a heading of its own for each")


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
