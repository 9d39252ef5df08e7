"""The day that a registration gives: its month, and what is to be said of a cell that is no date or can hardly be one."""

import re
from datetime import UTC, date, datetime, timedelta

import polars as pl

from validator.language import amounts

EARLIEST = 1950  # the year before which a registration is hardly meant; common practice, no source
MONTH = re.compile(r"([12][0-9]{3})-(0[1-9]|1[0-2])")
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def months_of(heading: str, cells: pl.DataFrame, as_of: date) -> tuple[pl.Series, list[str]]:
    """The month of each row (empty where none can be read), and of each row what a person should know of its date.

    No clock is read, so that the same table comes to the same next year.
    """
    texts = cells[heading].to_list() if heading else [""] * cells.height
    known = {text: _month_of(heading, text, as_of) for text in dict.fromkeys(texts)}
    return pl.Series("month", [known[text][0] for text in texts], pl.String), [known[text][1] for text in texts]


def _month_of(heading: str, text: str, latest: date) -> tuple[str, str]:
    said = text.strip()
    if not said:
        return "", ""
    if MONTH.fullmatch(said):
        day = date.fromisoformat(f"{said}-01")
    else:
        try:
            day = (EPOCH + timedelta(seconds=amounts.read(said, "moment").least)).date()
        except (amounts.AmountProblem, OverflowError):
            return "", f"{heading}: `{said[:40]}` is not a date. Accepted: year-month-day, as 2026-03-01"
    if day > latest:
        return day.isoformat()[:7], f"{heading}: {said[:40]} lies after {latest}"
    if day.year < EARLIEST:
        return day.isoformat()[:7], f"{heading}: {said[:40]} lies before {EARLIEST}"
    return day.isoformat()[:7], ""
