"""The review sheet as a spreadsheet. Every cell is text or a whole number; what looks like a formula stays text."""

from datetime import datetime
from io import BytesIO
from math import ceil

from validator.papers import words
from validator.papers.drawing.svg import plain
from validator.papers.review import Review

MADE = datetime(2000, 1, 1)  # a fixed date, so that the same sheet is the same bytes
WIDTHS = {
    "No.": 5, "Line": 6, "Place": 16, "Requirement": 36, "Clause and source": 34, "Found": 20, "Result": 11, "Action suggested": 15,
    "Picked, by, date, time": 14, "Hold pt": 6, "RFI no.": 6, "Closed, by": 9, "Question": 36, "Hold point": 30, "Site values": 30,
    "Lines": 10, "Item": 34, "": 60,
}  # fmt: skip
USUAL_WIDTH = 20
LINE, MOST_LINES = 15.0, 27  # the height of a line, and how many a row may hold
LONGEST = 32_000  # of one cell


class NoWorkbook(Exception):
    """The library that writes spreadsheets is not here; `str()` says what it takes."""


def workbook_of(reviews: list[Review]) -> bytes:
    """One workbook, five sheets for each review. Raises NoWorkbook where the library is not installed."""
    try:
        import xlsxwriter
    except ImportError:
        raise NoWorkbook("an XLSX needs the extra `xlsx`: pip install 'assembly-validator[xlsx]'") from None
    out = BytesIO()
    book = xlsxwriter.Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False,
                                     "strings_to_numbers": False})  # fmt: skip
    book.set_properties({"created": MADE, "title": plain(words.REVIEW["title"].format(reviews[0].name))[:255]})
    head = book.add_format({"bold": True, "text_wrap": True, "border": 1, "bg_color": "#EEEEEE", "valign": "top"})
    cell = book.add_format({"text_wrap": True, "border": 1, "valign": "top"})
    quoted = book.add_format({"text_wrap": True, "border": 1, "valign": "top", "quote_prefix": True})
    for turn, review in enumerate(reviews, 1):
        for name, columns, rows in _sheets(review):
            title = f"{name} {turn}" if len(reviews) > 1 else name
            page = book.add_worksheet(title[:31])
            page.set_landscape()
            page.set_margins(0.4, 0.4, 0.5, 0.5)
            page.fit_to_pages(1, 0)
            page.repeat_rows(0)
            page.freeze_panes(1, 0)
            page.set_row(0, LINE * _lines(columns, columns))
            for number, column in enumerate(columns):
                page.set_column(number, number, WIDTHS.get(column, USUAL_WIDTH))
                page.write_string(0, number, column, head)
            for at, row in enumerate(rows, 1):
                page.set_row(at, LINE * _lines(columns, row))
                for number, said in enumerate(row):
                    if isinstance(said, int):
                        page.write_number(at, number, said, cell)
                    else:
                        said = "\n".join(map(plain, said.split("\n")))[:LONGEST]
                        page.write_string(at, number, said, quoted if said[:1] in "=+-@" and said else cell)
    book.close()
    return out.getvalue()


def _lines(columns: tuple[str, ...], row: tuple) -> int:
    """About how many lines a row takes; a spreadsheet that opens the file does not work it out."""
    needed = (
        sum(ceil(max(1, len(line)) / (WIDTHS.get(column, USUAL_WIDTH) - 1)) for line in str(said).splitlines() or [""])
        for column, said in zip(columns, row)
    )
    return min(MOST_LINES, max(needed))


def _sheets(review: Review):
    """The name, the columns and the rows of each sheet."""
    yield (
        words.REVIEW["sheet"],
        ("Item", ""),
        [(title, said) for title, said in review.heading] + [(who, "") for who in words.SIGNATURES],
    )
    yield words.REVIEW["lines"], words.LINE_COLUMNS, [
        (line.number, line.place, line.requirement, line.clause, line.evidence, line.found, line.result, line.action, "", line.point,
         line.request, "")
        for line in review.lines
    ]  # fmt: skip
    yield (
        "Hold points",
        words.POINT_COLUMNS,
        [
            (p.number, p.title, "\n".join(f"{blank}: " for blank in p.blanks), p.span, "")
            for p in review.points
        ],
    )
    yield (
        words.REVIEW["deviations"],
        words.DEVIATION_COLUMNS,
        [(each.line, each.requirement, each.found, each.effect, each.warranty, "", "") for each in review.deviations],
    )
    yield (
        words.REVIEW["requests"],
        words.REQUEST_COLUMNS,
        [(r.number, r.place, r.question, r.where_to_look, r.who, r.would_be, "", "", "") for r in review.requests],
    )
    yield words.REVIEW["closeout"], words.CLOSEOUT_COLUMNS, [(item, "", "") for item in review.closeout]
