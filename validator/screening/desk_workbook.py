"""One workbook for the desk: lanes, a row a registration, cells to tidy, questions, findings; and what a person decided.

The columns `decision` and `note` are a person's own. They are read back from the workbook that stands in the folder and written again,
beside the same registration; so are the filled cells to tidy. Nothing in it is a formula.
"""

from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.papers.visible import shown
from validator.screening.judging import LANES
from validator.screening.rows import BadTable, text_of
from validator.screening.tally import Tally
from validator.screening.terms import TERMS
from validator.screening.tidying import COLUMNS, Filled, filled_rows, sheet_rows
from validator.screening.workbooks import check_size

NAME = "screening.xlsx"
SUMMARY, REGISTRATIONS, TIDY, QUESTIONS, FINDINGS, WARRANTY, EARLIER = SHEETS = (
    "Summary", "Registrations", "Cells to tidy", "Questions", "Findings", "Terms", "Earlier decisions",
)  # fmt: skip
OWN = ("decision", "note")
SHOWN = ("row", "registration", "installed", "programme", "lane", "matter", "as told", "fails", "warns", "questions", "untidy")
WIDE = {"registration": 18, "installed": 12, "programme": 16, "lane": 20, "matter": 80, "untidy": 40, "decision": 18, "note": 40,
        "heading": 24, "cell": 30, "why it is not read": 60, "perhaps": 24, "says": 24, "question": 70, "place": 18, "title": 60,
        "found": 40, "needed": 40, "term": 30, "stands at": 24, "not met": 30, "not shown": 40, "for a person to decide": 30,
        "outside the stated scope": 30}  # fmt: skip
MADE = datetime(2000, 1, 1)  # a fixed date, so that the same run is the same workbook
MOST_ROWS = 1_048_575  # of a sheet, below its headings
LONGEST = 32_000  # letters of a cell
MONTHS = 36


class Decision(NamedTuple):
    """What a person wrote beside a registration."""

    row: int
    registration: str
    decision: str
    note: str


class ReadBack(NamedTuple):
    """What a person wrote in a workbook of an earlier run."""

    filled: Filled = ()
    decisions: tuple[Decision, ...] = ()


def read_back(path: Path) -> ReadBack:
    """What somebody filled in in the workbook that stands there; nothing where there is none. Raises BadTable."""
    if not path.exists():
        return ReadBack()
    import openpyxl

    filled: Filled = ()
    decisions: list[Decision] = []
    try:
        check_size(path)
        book = openpyxl.load_workbook(path, read_only=True)
        for sheet in book.worksheets:
            lines = ([text_of(cell) for cell in line] for line in sheet.iter_rows(values_only=True))
            if sheet.title == TIDY:
                filled = filled_rows(path, list(lines))
            elif sheet.title in (REGISTRATIONS, EARLIER):
                decisions += _decisions(path, lines)
        book.close()
    except BadTable:
        raise
    except Exception:  # a damaged workbook makes the library that reads it raise whatever its damage comes to
        raise BadTable(
            f"{path} cannot be read, and may hold decisions. Accepted: a workbook that opens, or that file moved elsewhere"
        ) from None
    return ReadBack(filled, tuple(decisions))


def _decisions(path: Path, lines: Iterator[list[str]]) -> Iterator[Decision]:
    """What was written beside the registrations of a sheet, one line in memory at a time."""
    headings = next(lines, [])
    wanted = ("row", "registration", *OWN)
    if headings and (missing := [name for name in wanted if name not in headings]):
        raise BadTable(f"a sheet of {path} lacks the column `{missing[0]}`. Accepted: the headings it was written with")
    at = [headings.index(name) for name in wanted] if headings else []
    for line in lines if headings else ():
        row, registration, decision, note = (line[n] if n < len(line) else "" for n in at)
        if decision or note:
            yield Decision(int(row) if row.isdigit() else 0, registration, decision, note)


class Kept:
    """Decisions that find their registrations again: by its number, and by its row too where the number stands twice."""

    def __init__(self, decisions: Iterable[Decision]) -> None:
        self.left = {(each.registration, each.row): each for each in decisions}
        self.rows: dict[str, list[int]] = {}
        for registration, row in self.left:
            self.rows.setdefault(registration, []).append(row)

    def of(self, registration: str, row: int) -> tuple[str, str]:
        """The decision and the note of a registration, which are then its own."""
        rows = self.rows.get(registration, ())
        key = (registration, row if row in rows or len(rows) != 1 or not registration else rows[0])
        found = self.left.pop(key, None)
        return (found.decision, found.note) if found else ("", "")


class _Sheets:
    """A workbook while it is written, sheet after sheet and row after row, so that memory stays small."""

    def __init__(self, path: Path) -> None:
        import xlsxwriter

        self.book = xlsxwriter.Workbook(path, {"constant_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False})
        self.book.set_properties({"created": MADE})
        self.head = self.book.add_format({"bold": True, "bg_color": "#EEEEEE", "bottom": 1})
        self.own = self.book.add_format({"bg_color": "#FFFBE6"})

    def table(self, name: str, columns: tuple[str, ...], rows: Iterable[Iterable[object]]) -> int:
        """A sheet with headings that stay in sight and may be filtered. Returns how many rows it has."""
        sheet = self.book.add_worksheet(name)
        sheet.freeze_panes(1, 2 if columns[0] == "row" else 1)
        _on_paper(sheet)
        sheet.repeat_rows(0)
        for at, column in enumerate(columns):
            sheet.set_column(at, at, WIDE.get(column, 9))
            sheet.write_string(0, at, column, self.head)
        number = 0
        for number, row in enumerate(rows, 1):
            if number > MOST_ROWS:
                raise BadTable(f"a sheet holds {MOST_ROWS:,} rows, and `{name}` has more. Accepted: --format csv or parquet")
            for at, cell in enumerate(row):
                own = self.own if columns[at] in (*OWN, COLUMNS[-1]) else None
                if isinstance(cell, int):
                    sheet.write_number(number, at, cell)
                elif cell:
                    sheet.write_string(number, at, shown(cell)[:LONGEST], own)
                elif own:
                    sheet.write_blank(number, at, None, own)
        sheet.autofilter(0, 0, max(number, 1), len(columns) - 1)
        return number

    def summary(self, table: str, tally: Tally) -> None:
        """The lanes and the months in numbers, each with its chart."""
        sheet = self.book.add_worksheet(SUMMARY)
        _on_paper(sheet)
        sheet.set_column(0, 0, 24)
        sheet.set_column(1, len(LANES), 19)  # as wide as the name of a lane
        sheet.write_string(0, 0, f"Screening of {shown(table)}: {tally.rows:,} registrations", self.head)
        for at, lane in enumerate(LANES, 2):
            sheet.write_string(at, 0, lane)
            sheet.write_number(at, 1, tally.lanes[lane])
        chart = self.book.add_chart({"type": "bar"})
        chart.add_series({"categories": [SUMMARY, 2, 0, 6, 0], "values": [SUMMARY, 2, 1, 6, 1], "data_labels": {"value": True}})
        chart.set_title({"name": "Lanes"})
        chart.set_legend({"none": True})
        chart.set_y_axis({"reverse": True})
        sheet.insert_chart(1, 8, chart)
        months = sorted({month for month, _ in tally.months})[-MONTHS:]
        start = 9
        for at, lane in enumerate(LANES, 1):
            sheet.write_string(start, at, lane, self.head)
        for row, month in enumerate(months, start + 1):
            sheet.write_string(row, 0, month)
            for at, lane in enumerate(LANES, 1):
                sheet.write_number(row, at, tally.months[month, lane])
        if months:
            chart = self.book.add_chart({"type": "column", "subtype": "stacked"})
            for at, _ in enumerate(LANES, 1):
                chart.add_series({"name": [SUMMARY, start, at], "categories": [SUMMARY, start + 1, 0, start + len(months), 0],
                                  "values": [SUMMARY, start + 1, at, start + len(months), at]})  # fmt: skip
            chart.set_title({"name": "By month"})
            sheet.insert_chart(17, 8, chart)


def _on_paper(sheet: object) -> None:
    """A sheet that is printed is as wide as one page lying on its side."""
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)


def write_workbook(
    path: Path, table: str, tally: Tally, results: Iterable[pl.DataFrame], findings: Iterable[pl.DataFrame],
    terms: Iterable[pl.DataFrame], cells: pl.DataFrame, back: ReadBack,
) -> None:  # fmt: skip
    """The whole workbook, from the joined pieces. Raises BadTable where a sheet cannot hold them."""
    beside = path.with_suffix(".part")
    kept = Kept(back.decisions)
    sheets = _Sheets(beside)
    try:
        sheets.summary(table, tally)
        sheets.table(REGISTRATIONS, (*SHOWN, *OWN), (
            (*row, *kept.of(row[1], row[0])) for frame in results for row in frame.select(SHOWN).iter_rows()
        ))  # fmt: skip
        sheets.table(TIDY, COLUMNS, sheet_rows(cells, back.filled))
        sheets.table(QUESTIONS, ("question", "registrations"), ((question, number) for question, number in tally.questions.most_common()))
        columns = ("row", "registration", "place", "outcome", "title", "found", "needed")
        sheets.table(FINDINGS, columns, (row for frame in findings for row in frame.select(columns).iter_rows()))
        if terms:
            sheets.table(WARRANTY, tuple(TERMS), (row for frame in terms for row in frame.iter_rows()))
        if kept.left:
            sheets.table(EARLIER, ("row", "registration", *OWN), (tuple(each) for each in kept.left.values()))
    finally:
        sheets.book.close()
    beside.replace(path)
