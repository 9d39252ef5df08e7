"""Text for a spreadsheet, in which nothing is a formula: the one way that a CSV is written."""

import csv
import io
import re
from collections.abc import Iterable

# Blank and unseen letters may stand before the sign; its full-width and small forms count, since spreadsheets take them too.
_UNSEEN = "[\\s\u00a0\u00ad\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff]"
FORMULA = f"^{_UNSEEN}*[=+\\-@\uff1d\uff0b\uff0d\uff20\ufe66\ufe62\ufe63\ufe6b]|^[\\t\\r\\n]"
MARK = "'"  # before such a text, as a spreadsheet itself marks a cell that is text
_RISKY = re.compile(FORMULA)


def inert(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return MARK + text if _RISKY.match(text) else text


def csv_of(rows: Iterable[Iterable[str]]) -> str:
    """Rows of a CSV, each cell inert."""
    out = io.StringIO()
    usual, quoted = (csv.writer(out, lineterminator="\n", quoting=how) for how in (csv.QUOTE_MINIMAL, csv.QUOTE_ALL))
    for row in rows:
        cells = [inert(cell) for cell in row]
        # A return inside a cell is quoted by the library only where lines end with one.
        (quoted if any("\r" in cell for cell in cells) else usual).writerow(cells)
    return out.getvalue()
