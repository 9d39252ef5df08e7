"""The day that a registration gives: whichever way it is written, and what is to be said of a cell that is no day.

A date in figures with its year last may be read day first or month first, so both readings are kept until the mapping, or the
column itself, settles which. The clock is read once, when a run begins.
"""

import re
from collections.abc import Iterable
from datetime import date, timedelta
from typing import NamedTuple

import polars as pl

EARLIEST = 1950  # the year before which a registration is hardly meant; common practice, no source
LATE_CENTURY = 70  # a year of two figures from here on is one of the last century, as POSIX strptime has it
MONTHS = ("january", "february", "march", "april", "may", "june", "july", "august", "september", "october", "november", "december")
DAY_ZERO = date(1899, 12, 30)  # from which spreadsheets count days, after 1900-02-28
COUNTED_FROM, COUNTED_TO = 18_264, 73_050  # such numbers of 1950 to 2099
FIRST_COLUMNS = DAY_FIRST, MONTH_FIRST = ("day first", "month first")
ORDERS = dict(zip(("dmy", "mdy"), FIRST_COLUMNS))

_HOUR = r"(?:(?:\s*,\s*|\s+|T)\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:\s*[ap]\.?m\.?)?(?:\s*(?:Z|UTC|[+-]\d{2}:?\d{2}))?)?"
_WEEKDAY = re.compile(r"^(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.I)
_YEAR_FIRST = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})" + _HOUR, re.I)
_RUN_TOGETHER = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})")
_YEAR_LAST = re.compile(r"(\d{1,2})([-/. ])(\d{1,2})\2(\d{4}|\d{2})" + _HOUR, re.I)
_YEAR_MAY_LEAD = re.compile(r"\d{2}-\d{2}-\d{2}" + _HOUR, re.I)
_DAY_NAMED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-/. ]*(?:of )?([a-z]{3,9})\.?,?[-/. ]*(\d{4}|\d{2})" + _HOUR, re.I)
_NAMED_DAY = re.compile(r"([a-z]{3,9})\.?[-/. ]*(\d{1,2})(?:st|nd|rd|th)?(?:,\s*|[-/. ]+)(\d{4}|\d{2})" + _HOUR, re.I)
_MONTH = re.compile(r"(\d{4})[-/.](\d{1,2})|(\d{1,2})[-/.](\d{4})|([a-z]{3,9})\.?,?[-/. ]*(\d{4})", re.I)


class Day(NamedTuple):
    """A date read both ways, as ISO has it; of a month alone its seven signs. Why it cannot be so, and what it might be."""

    day_first: str = ""
    month_first: str = ""
    problem: str = ""
    perhaps: str = ""


def read_day(text: str, order: str, latest: date) -> Day:
    """What a cell says of the day; `order` is the mapping's, or empty."""
    said = _WEEKDAY.sub("", " ".join(text.split()))
    if not said:
        return Day()
    day_first, month_first = _read(said)
    if not order and _YEAR_MAY_LEAD.fullmatch(said):
        return Day(problem=f"`{said[:40]}` does not say which of its figures is the year")
    if not day_first and not month_first:
        return Day(problem=f"`{said[:40]}` is not a date", perhaps=_counted(said))
    if order:
        chosen, other = (day_first, month_first) if order == "dmy" else (month_first, day_first)
        if not chosen:
            return Day(problem=f"`{said[:40]}` is not a date with the {'day' if order == 'dmy' else 'month'} first", perhaps=other)
        day_first = month_first = chosen
    read = [each for each in (day_first, month_first) if each]
    if all(each > latest.isoformat()[: len(each)] for each in read):
        return Day(problem=f"`{said[:40]}` lies after {latest}")
    if all(int(each[:4]) < EARLIEST for each in read):
        return Day(problem=f"`{said[:40]}` lies before {EARLIEST}")
    return Day(day_first, month_first)


def _read(said: str) -> tuple[str, str]:
    """The date day first and month first, alike where it can be read one way only; empty where it is none that way."""
    if found := _YEAR_FIRST.fullmatch(said) or _RUN_TOGETHER.fullmatch(said):
        year, month, day = (int(each) for each in (found[1], *found.groups()[-2:]))
        return _iso(year, month, day), _iso(year, month, day)
    if found := _YEAR_LAST.fullmatch(said):
        one, other, year = int(found[1]), int(found[3]), _year(found[4])
        return _iso(year, other, one), _iso(year, one, other)
    if found := _DAY_NAMED.fullmatch(said):
        iso = _iso(_year(found[3]), _month(found[2]), int(found[1]))
        return iso, iso
    if found := _NAMED_DAY.fullmatch(said):
        iso = _iso(_year(found[3]), _month(found[1]), int(found[2]))
        return iso, iso
    if found := _MONTH.fullmatch(said):
        year = int(found[1] or found[4] or found[6])
        month = int(found[2] or found[3]) if not found[5] else _month(found[5])
        iso = _iso(year, month, 1)[:7]
        return iso, iso
    return "", ""


def _iso(year: int, month: int, day: int) -> str:
    try:
        return date(year, month, day).isoformat()
    except ValueError:
        return ""


def _year(text: str) -> int:
    number = int(text)
    return number if len(text) == 4 else number + (1900 if number >= LATE_CENTURY else 2000)


def _month(name: str) -> int:
    """The number of a month by its name or the first letters of it; 0 of none, which is no month of any date."""
    found = [n for n, month in enumerate(MONTHS, 1) if month.startswith(name.casefold()) or name.casefold() == "sept" and n == 9]
    return found[0] if len(found) == 1 else 0


def _counted(said: str) -> str:
    """The date of a spreadsheet's bare number of days."""
    if said.isascii() and said.isdigit() and COUNTED_FROM <= int(said) <= COUNTED_TO:
        return (DAY_ZERO + timedelta(days=int(said))).isoformat()
    return ""


class Order(NamedTuple):
    """How the dates of a column are read: the column of the two readings, and the row that settles it, where one does.

    `settles` is a row and its date; where there are two, they settle it differently, and nothing is read by either.
    """

    column: str
    settles: tuple[tuple[int, str], ...]
    ambiguous: int

    def said(self, heading: str) -> str:
        """In one sentence, what was done about dates that may be read two ways; empty where none may."""
        if not self.ambiguous:
            return ""
        many = "1 date" if self.ambiguous == 1 else f"{self.ambiguous:,} dates"
        if len(self.settles) == 1:
            ((row, day),) = self.settles
            return f"{heading}: {many} could be read two ways and {'is' if self.ambiguous == 1 else 'are'} read with the {self.column}, since row {row} ({day}) can be read no other way"
        why = f"rows {self.settles[0][0]} and {self.settles[1][0]} differ in it" if self.settles else "no date of the column settles it"
        return f"{heading}: of {many} it cannot be told whether the day or the month stands first ({why}). Accepted: `date order: mdy` or `date order: dmy` in the mapping"


def order_of(pieces: Iterable[pl.DataFrame]) -> Order:
    """The order in which a column's dates are written, from both readings of each, piece after piece."""
    first: dict[str, tuple[int, str]] = {}
    ambiguous = 0
    for days in pieces:
        ambiguous += ((days[DAY_FIRST] != days[MONTH_FIRST]) & (days[DAY_FIRST] != "") & (days[MONTH_FIRST] != "")).sum()
        for column, other in (FIRST_COLUMNS, FIRST_COLUMNS[::-1]):
            only = days.filter((pl.col(column) != "") & (pl.col(other) == ""))
            if column not in first and only.height:
                first[column] = (only["row"][0], only[column][0])
    return Order(next(iter(first)) if len(first) == 1 else "", tuple(first.values()), int(ambiguous))


def day_by(order: Order, latest: date) -> pl.Expr:
    """The day of each row: where both readings agree, or only one is possible, or the order is known; never one to come."""
    day, month = pl.col(DAY_FIRST), pl.col(MONTH_FIRST)
    chosen = pl.col(order.column) if order.column else pl.lit("")
    chosen = pl.when(chosen > latest.isoformat()).then(pl.lit("")).otherwise(chosen)
    return pl.when(day == month).then(day).when(day == "").then(month).when(month == "").then(day).otherwise(chosen)
