"""The calendar on paper: the earliest date of each step, why, and where only common practice says so."""

from collections.abc import Iterator
from datetime import datetime

from validator.papers.words import KNOWN
from validator.papers.wrapping import Line, wrapped
from validator.planning.calendar import Dates
from validator.workings.times import Day

NOTICE = "Earliest dates only. The products' own instructions, and what is found on site, come first."


def calendar_lines(name: str, dates: Dates, width: int) -> Iterator[Line]:
    """The calendar line by line; with each line whether it is bold."""
    yield f"{name}: earliest dates", True
    yield "", False
    for day in dates.days:
        when = f"not before {_moment(day.earliest)}" if day.at_least else _moment(day.earliest)
        yield f"{when}  {day.name}", True
        yield from wrapped(f"{day.because} ({KNOWN.get(day.known_by, day.known_by)})", width, "    ")
    yield "", False
    for told in dates.assumed:
        yield from wrapped(f"Assumed: {told}.", width)
    if any(day.at_least for day in dates.days):
        yield from wrapped("A date after a wait that is not known says `not before`; the wait itself still comes on top.", width)
    yield from wrapped(NOTICE, width)


def calendar_object(dates: Dates) -> dict[str, object]:
    """The calendar for other programs; its keys are fixed."""
    return {"begins": _moment(dates.begins), "steps": [_object(day) for day in dates.days], "assumed": dates.assumed}


def _object(day: Day) -> dict[str, object]:
    return {
        "step": day.name, "earliest": _moment(day.earliest), "at_least": day.at_least, "because": day.because,
        "known_by": day.known_by,
    }  # fmt: skip


def _moment(when: datetime) -> str:
    return when.strftime("%Y-%m-%d %H:%M")
