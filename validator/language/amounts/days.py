"""Days and hours of the calendar: `2026-03-01`, `2026-03-01 14:30`."""

from __future__ import annotations

import re
from datetime import date
from fractions import Fraction
from typing import NoReturn

from validator.language.amounts.kinds import AmountProblem

_DAY = re.compile(r"([0-9]{4})-([0-9]{2})-([0-9]{2})(?:[ t]([0-9]{1,2}):([0-9]{2})(?::([0-9]{2}))?)?")
_EPOCH = date(1970, 1, 1).toordinal()


def moment(tidy: str, text: str) -> tuple[Fraction, Fraction] | None:
    """The first and the last second of a day, or one moment of it; None of words that are neither."""
    found = _DAY.fullmatch(tidy)
    if not found:
        return None
    year, month, day, hour, minute, second = (int(part) if part else 0 for part in found.groups())
    try:
        days = date(year, month, day).toordinal() - _EPOCH
    except ValueError:
        _not_a_day(text)
    if hour > 23 or minute > 59 or second > 59:
        _not_a_day(text)
    start = days * 86_400 + hour * 3_600 + minute * 60 + second
    return Fraction(start), Fraction(start if found[4] else start + 86_399)


def _not_a_day(text: str) -> NoReturn:
    raise AmountProblem(
        f"`{text.strip()}` is not a day and hour of the calendar", "year-month-day, then hours 00:00 to 23:59, such as 2026-03-01 14:30"
    ) from None
