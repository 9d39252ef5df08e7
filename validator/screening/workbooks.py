"""A sheet of a workbook as rows."""

import zipfile
from collections.abc import Iterator
from pathlib import Path

from validator.screening.mapping import Mapping
from validator.screening.rows import BadTable, Row, check_headings, headings_of, row_of, text_of

UNPACKED = 4_000_000_000  # bytes that a workbook may come to
WORDS_UNPACKED = 100_000_000  # bytes of its table of words, which is held in memory as a whole
WORDS = "xl/sharedStrings.xml"
LAST_ROW = 1_048_576  # of any sheet
MOST_BLANK = 10_000  # rows between two that are written


def workbook_rows(path: Path, mapping: Mapping) -> Iterator[Row]:
    """The rows of a sheet below its headings. Raises BadTable."""
    import openpyxl

    try:
        check_size(path)
        book = openpyxl.load_workbook(path, read_only=True, data_only=False)
        try:
            yield from _rows(path, mapping, book)
        finally:
            book.close()
    except BadTable:
        raise
    except Exception:  # a damaged workbook makes the library that reads it raise whatever its damage comes to
        raise BadTable(f"{path.name} is no workbook, is locked, or is damaged. Accepted: an .xlsx that opens in a spreadsheet") from None


def check_size(path: Path) -> None:
    """Refuses a workbook that would unpack to far more than it is. Raises BadTable."""
    with zipfile.ZipFile(path) as packed:
        sizes = {each.filename: each.file_size for each in packed.infolist()}
    unpacked = sum(sizes.values())
    if unpacked > min(UNPACKED, path.stat().st_size * 200 + 10_000_000) or sizes.get(WORDS, 0) > WORDS_UNPACKED:
        raise BadTable(f"{path.name} would unpack to {unpacked:,} bytes, and is not opened. Accepted: a workbook saved anew, or a CSV")


def _rows(path: Path, mapping: Mapping, book: object) -> Iterator[Row]:
    sheets = [each.title for each in book.worksheets]  # a sheet that holds only a chart is not among them
    if mapping.sheet and mapping.sheet not in sheets:
        raise BadTable(f"{path.name} has no sheet `{mapping.sheet}`. Accepted: {', '.join(sheets)}")
    if not sheets:
        raise BadTable(f"{path.name} has no sheet of cells. Accepted: a workbook with one")
    sheet = book[mapping.sheet or sheets[0]]
    sheet.reset_dimensions()  # what it claims to be is not believed
    lines = sheet.iter_rows()
    above = [[text_of(cell.value) for cell in next(lines, ())] for _ in range(mapping.heading_row)]
    headings = headings_of(above[-mapping.heading_rows :])
    check_headings(path, headings, mapping)
    wanted = frozenset(mapping.headings())
    told = mapping.heading_row
    for number, line in enumerate(lines, told + 1):
        cells = [_shown(cell) for cell in line]
        if number > LAST_ROW:
            raise BadTable(f"{path.name} claims more than {LAST_ROW:,} rows. Accepted: a workbook saved anew, or a CSV")
        if not any(cells):
            continue
        # Beneath its last row a sheet may hold a million blank ones, which nobody wrote.
        if number - told > MOST_BLANK:
            raise BadTable(
                f"row {number:,} of {path.name} stands beneath more than {MOST_BLANK:,} blank rows. "
                "Accepted: a sheet without such a gap, or a CSV"
            )
        yield from (Row(blank, {}, blank=True) for blank in range(told + 1, number))
        told = number
        held = {heading: "" for heading in wanted} | {h: c for h, c in zip(headings, cells) if h in wanted}
        yield row_of(number, held)


def _shown(cell: object) -> str:
    """A cell as its sheet shows it where that is more than its value: a share that is shown in percent."""
    value = cell.value
    if type(value) in (int, float) and "%" in str(cell.number_format):
        return f"{text_of(round(float(value) * 100, 10))} %"
    return text_of(value)
