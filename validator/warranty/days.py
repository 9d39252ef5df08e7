"""Days between two dates, and a date against the days a document is in force; whole days, as people count them."""

from typing import NamedTuple

from validator.language.amounts import NO_GREATEST, NO_LEAST, show_range

DAY = 86_400
Span = tuple[int, int]


class Days(NamedTuple):
    """From the least to the greatest number of days; None where there is no end."""

    least: int | None
    greatest: int | None


def between(start: Span, end: Span) -> Days:
    """Whole days from one date to another, each a range of seconds since 1970-01-01."""
    return Days(_less(end[0], start[1]), _less(end[1], start[0]))


def _less(later: int, earlier: int) -> int | None:
    if {later, earlier} & {NO_LEAST, NO_GREATEST}:
        return None
    return later // DAY - earlier // DAY


def in_words(days: Days) -> str:
    """`94 days`, `88 to 94 days`, or that it is not known."""
    if days.least is None and days.greatest is None:
        return "an unknown number of days"
    if days.greatest is None:
        return f"at least {_counted(days.least)}"
    if days.least is None:
        return f"at most {_counted(days.greatest)}"
    return _counted(days.least) if days.least == days.greatest else f"{days.least} to {_counted(days.greatest)}"


def _counted(days: int) -> str:
    return f"{days} day" if days == 1 else f"{days} days"


def day_in_words(day: int) -> str:
    return show_range(day * DAY, day * DAY + DAY - 1, "moment")


def falls_inside(when: Span, first: int, last: int | None) -> bool | None:
    """Whether a date surely falls on or after one day and on or before another; None when it is not known."""
    end = NO_GREATEST if last is None else last * DAY + DAY - 1
    if when[0] >= first * DAY and when[1] <= end:
        return True
    return None if when[1] >= first * DAY and when[0] <= end else False
