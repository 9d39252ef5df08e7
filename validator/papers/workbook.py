"""The review sheet as a spreadsheet. Every cell is text or a whole number; what looks like a formula stays text."""

from datetime import datetime
from io import BytesIO
from math import ceil

from validator.papers import words
from validator.papers.drawing.svg import plain
from validator.papers.review import Review

MADE = datetime(2000, 1, 1)  # a fixed date, so that the same sheet is the same bytes
WIDTHS = {
    "No.": 6, "Result": 11, "Place": 18, "Requirement": 36, "Needed": 30, "Found": 22, "Section and paragraph": 16, "Drawing": 10, "Source": 34,
    "Action suggested": 17, "Reviewer: action and note": 24, "Hold pt": 7, "Closed": 9, "Question": 36, "Hold point": 30, "Site values": 30,
    "Item": 34, "About": 40, "What was changed": 60, "First asked in revision": 9, "First told in revision": 9, "Chapter": 14, "": 60,
}  # fmt: skip
USUAL_WIDTH = 20
LINE, MOST_LINES = 15.0, 27  # the height of a line, and how many a row may hold
LONGEST = 32_000  # of one cell


class NoWorkbook(Exception):
    """The library that writes spreadsheets is not here; `str()` says what it takes."""


def workbook_of(reviews: list[Review]) -> bytes:
    """One workbook, some sheets for each review, each filtered by its columns and its headings kept in sight. Raises NoWorkbook where the library is not installed."""
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
            page.freeze_panes(1, 1)
            page.set_row(0, LINE * _lines(columns, columns))
            for number, column in enumerate(columns):
                page.set_column(number, number, WIDTHS.get(column, USUAL_WIDTH))
                page.write_string(0, number, column, head)
            if len(columns) > 2 and rows:
                page.autofilter(0, 0, len(rows), len(columns) - 1)
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
        [*review.heading, *((said, count) for count, said in review.counts), *((who, "") for who in words.SIGNATURES)],
    )
    yield words.REVIEW["deviations"], words.DEVIATION_COLUMNS, [
        (each.number, each.result, each.place, each.requirement, each.needed, each.found, each.paragraph, each.reference.drawing, each.action, "")
        for each in review.deviations
    ]  # fmt: skip
    yield words.REVIEW["requests"], words.REQUEST_COLUMNS, [
        (r.number, r.place, r.question, r.where_to_look, r.who, r.would_be, r.first, "", "", "") for r in review.requests
    ]  # fmt: skip
    if review.standings:
        yield "Changes", words.CHANGE_COLUMNS, review.changes
        yield "Numbers", words.STANDING_COLUMNS, review.standings
    yield "Hold points", words.POINT_COLUMNS, [
        (p.number, p.title, "\n".join(f"{blank}: " for blank in p.blanks), p.deviations, "") for p in review.points
    ]  # fmt: skip
    yield words.REVIEW["lines"], words.EVERY_COLUMNS, [
        (each.number, each.chapter, each.result, each.place, each.requirement, each.needed, each.found, each.paragraph, each.reference.drawing,
         each.source, each.evidence, each.point, each.action, "")
        for each in review.lines
    ]  # fmt: skip
    yield words.REVIEW["closeout"], words.CLOSEOUT_COLUMNS, [(item, "", "") for item in review.closeout]
