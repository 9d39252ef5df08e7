"""The calendar on paper: the earliest date of each step, why, and where only common practice says so."""

import json
import textwrap
from collections.abc import Iterator
from datetime import datetime

from validator.dates import Dates
from validator.workings.times import Day

Line = tuple[str, bool]
WORD = {"common practice": "common practice, no source", "seen": "seen second-hand", "not stated": "not stated"}
NOTICE = "Earliest dates only. The products' own instructions, and what is found on site, come first."


def calendar_lines(name: str, dates: Dates, width: int) -> Iterator[Line]:
    """The calendar line by line; with each line whether it is bold."""
    yield f"{name}: earliest dates", True
    yield "", False
    for day in dates.days:
        when = f"not before {_moment(day.earliest)}" if day.at_least else _moment(day.earliest)
        yield f"{when}  {day.name}", True
        yield from _wrapped(f"{day.because} ({WORD.get(day.known_by, day.known_by)})", width, "    ")
    yield "", False
    for told in dates.assumed:
        yield from _wrapped(f"Assumed: {told}.", width, "")
    if any(day.at_least for day in dates.days):
        yield from _wrapped("A date after a wait that is not known says `not before`; the wait itself still comes on top.", width, "")
    yield from _wrapped(NOTICE, width, "")


def as_json(name: str, dates: Dates) -> str:
    """The calendar for other programs; its keys are fixed."""
    whole = {
        "assembly": name, "begins": _moment(dates.begins), "steps": [_object(day) for day in dates.days],
        "assumed": list(dates.assumed),
    }  # fmt: skip
    return json.dumps(whole, indent=2, ensure_ascii=False)


def _object(day: Day) -> dict[str, object]:
    return {
        "step": day.name, "earliest": _moment(day.earliest), "at_least": day.at_least, "because": day.because,
        "known_by": day.known_by,
    }  # fmt: skip


def _moment(when: datetime) -> str:
    return when.strftime("%Y-%m-%d %H:%M")


def _wrapped(text: str, width: int, indent: str) -> Iterator[Line]:
    lines = textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=indent, break_long_words=False)
    for line in lines:
        yield line, False
