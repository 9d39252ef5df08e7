"""What people say who did not measure: `well over 6 in`, `several months`, `about 25 kg/m2`, `half an inch`.

Each becomes the widest range that a reader takes it to mean, never a narrower one; what has no range in any reader's mind is
refused as before. What is taken, and why (usage of the language, no source):
- `about`, `roughly`, `or so`: a quarter either way, since nobody calls 8 in about 6; of a length at most 9 in or, where that is
  more, a tenth, since rooms and spans are guessed to the foot; ten points of a percentage; ten degrees Fahrenheit. The
  spread that a fact declares comes before these.
- `a bit over`, `just under`, `nearly`: on that side alone, and as far. `well over` and `well under`: that side, with no end.
- `a couple of` is 2 or 3, `a few` 2 to 9 (a figure of one digit), `several` 2 or more: nobody agrees where it ends.
- A month is 28 to 31 days and a year 365 or 366. `5 years` alone is an age: five full ones, and perhaps most of a sixth.
- `half an inch`, `two weeks`, `24 h at least`, `2 ft or smaller`, `16 oc`: the plain words in another order, exactly.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from fractions import Fraction
from typing import NamedTuple

from validator.language.amounts.kinds import Kind

ABOUT, OVER, UNDER = "about", "a bit over", "a bit under"
_DAY = 86_400
_QUARTER = Fraction(1, 4)
_CALENDAR = {"month": (28, 31), "year": (365, 366)}
_CALENDAR_UNIT = r"(?:(month)|mo|mos|(?P<y>year|yr))s?\.?"
_WORDS = dict(zip("one two three four five six seven eight nine ten eleven twelve".split(), range(1, 13)))
_PARTS = {"half": "1/2", "quarter": "1/4", "three quarter": "3/4", "third": "1/3", "eighth": "1/8", "sixteenth": "1/16"}
_PART = r"(three[ -]quarter|half|quarter|third|eighth|sixteenth)s?"
_MORE = r"more than|over|above|after|at least|not less than|no less than|since"
_LESS = r"less than|under|below|within|at most|not more than|no more than|up to"

# Patterns are compiled when they are first used: most amounts are written in plain notation, and need none.
_REWRITTEN = [
    # -- numbers in letters, and parts of one
    (rf"\b({'|'.join(_WORDS)})\s+(?=[a-z])", lambda found: f"{_WORDS[found[1]]} "),
    (rf"\b(?:an?|one|1)\s+(inch|foot|day|hour|week|month|year)\s+and\s+(?:an?\s+)?{_PART}\b",
     lambda found: f"1-{_PARTS[found[2].replace('-', ' ')]} {found[1]}"),
    (rf"\b([0-9]+)\s+and\s+(?:an?\s+)?{_PART}\b", lambda found: f"{found[1]}-{_PARTS[found[2].replace('-', ' ')]}"),
    (rf"\b(?:an?\s+)?{_PART}[\s-]+(?:of\s+)?(?:an?\s+|of an?\s+)?(?=(?:in|inch|inches|foot|ft|day|hour|year|month|week|mm)\b)",
     lambda found: _PARTS[found[1].replace("-", " ")] + " "),
    # -- how many, loosely
    (rf"^({_MORE})\s+(?:(?:an?\s+)?(?:couple(?:\s+of)?|few)|several)\s+", r"\1 2 "),
    (rf"^({_LESS})\s+(?:an?\s+)?couple(?:\s+of)?\s+", r"\1 3 "),
    (rf"^({_LESS})\s+(?:an?\s+)?few\s+", r"\1 9 "),
    (r"^(?:an?\s+)?couple(?:\s+of)?\s+", "2 to 3 "),
    (r"^(?:an?\s+)?few\s+", "2 to 9 "),
    (r"^several\s+(.+)$", r"2 \1 or more"),
    # -- ends said otherwise
    (r"^(?:well|far|way|much)\s+(?:over|above|more than)\s+", "more than "),
    (r"^(?:well|far|way|much)\s+(?:under|below|less than)\s+", "less than "),
    (r"^(?:in excess of|upwards of|exceeding|north of|(?:bigger|larger|longer|thicker|wider|deeper|higher|older|heavier) than)\s+",
     "more than "),
    (r"^(?:(?:smaller|shorter|thinner|narrower|lower|younger|lighter|fewer) than|south of)\s+", "less than "),
    (r"^within\s+", "at most "),
    (r"\s+or\s+(?:bigger|larger|longer|thicker|wider|deeper|higher|taller|older|heavier|greater)$", " or more"),
    (r"\s+or\s+(?:smaller|shorter|thinner|narrower|shallower|lower|younger|lighter|fewer|closer)$", " or less"),
    (r"^(.+?)(?:\s*\+|\s+plus|\s+at (?:the )?least)$", r"at least \1"),
    (r"^(.+?)\s+(?:at (?:the )?most|tops)$", r"at most \1"),
    # -- words that add nothing to an amount
    (r"\s+(?:thick|long|wide|deep|high|tall|old|ago|apart|across|fall|slope|pitch)$", ""),
    (r"^(?:at|of|only|just|every|fall of|exactly)\s+(?=[0-9.])", ""),
    (r"(^|\s)an?\s+(?=[a-z])", r"\g<1>1 "),
]  # fmt: skip

_CENTERS = r"\s*(?:\bo\.?\s?c\.?|\bc/c|\bctrs?|\bcrs\.?|\bon cent(?:er|re)s?|\bcent(?:er|re)s)$|(?<=[0-9])\s?oc$"
_MOST_INCHES, _LEAST_MM = 48, 100
_FIGURES = "0123456789./-"
_OPEN = rf"(?:{_MORE}|{_LESS})\s+"
_NEAR_FIRST = [
    (OVER, r"^()(?:an?\s+(?:bit|little|hair|touch|shade)|just|slightly|barely)\s+(?:over|above|more than|past)\s+"),
    (UNDER, r"^()(?:(?:an?\s+(?:bit|little|hair|touch|shade)|just|slightly)\s+(?:under|below|less than|short of)|nearly|almost|not quite)\s+"),
    (ABOUT, rf"^({_OPEN})?(?:(?:about|approx(?:imately)?|around|roughly|circa|ca|barely|close to|not much (?:over|under))\b\.?|~|≈)\s*"),
]  # fmt: skip
_NEAR_LAST = r"\s+(?:or so|or thereabouts|approx(?:imately)?\.?|give or take|roughly|more or less)$|(?<=[0-9])-?ish(?=\s|$)|\s?-?ish$"

_SIZE_FIRST = rf"^((?:{_OPEN}|(?:about|approx(?:imately)?\.?|around|roughly|~|just over|just under|nearly)\s*)*)(?=[0-9.])"
_SIZE_LAST = r"((?:\s+(?:or (?:smaller|larger|bigger|less|more|under|over|so)|and (?:up|under|over)|nominal|max(?:imum)?|min(?:imum)?))*)$"


class Loose(NamedTuple):
    """An amount in plain words, and on which side of it the truth may lie: about, a bit over, a bit under, or nothing."""

    words: str
    side: str = ""


def plainly_said(tidy: str, kind: Kind) -> Loose:
    """The plain words of a loose amount, in the notation that is read exactly."""
    if all(word in kind.units or word == "to" or not word.strip(_FIGURES) for word in tidy.split()):
        return Loose(tidy)
    side, tidy = _side(tidy)
    for pattern, plain in _REWRITTEN:
        tidy = re.sub(pattern, plain, tidy)
    if not side:
        side, tidy = _side(tidy)
    if kind.name == "deflection":
        tidy = re.sub(r" or better$", " or stiffer", tidy)
    if kind.name == "slope":
        tidy = re.sub(r"\s+(?:to|toward|towards|away from|down to|into)\s+(?:the\s+|an?\s+)?[a-z][a-z ]*$", "", tidy)
        tidy = re.sub(r"^((?:[0-9]+-)?[0-9]+/[0-9]+) per (?=ft|foot)", r"\1 in per ", tidy)
    return Loose(tidy, side)


def _side(tidy: str) -> tuple[str, str]:
    for side, pattern in _NEAR_FIRST:
        found = re.match(pattern, tidy)
        if found:
            return side, (found[1] or "") + tidy[found.end() :]
    shorter = re.sub(_NEAR_LAST, "", tidy)
    return (ABOUT, shorter) if shorter != tidy else ("", tidy)


def without_centers(tidy: str) -> str:
    """`16 oc` in inches and `400 c/c` in millimeters, as they are said in the lands that use each."""
    bare = re.sub(_CENTERS, "", tidy)
    if bare != tidy and re.fullmatch(r"[0-9]+(?:\.[0-9]+)?", bare):
        unit = unit_by_use((Fraction(bare),))
        return f"{bare} {unit}" if unit else tidy
    return bare


def unit_by_use(numbers: Iterable[Fraction]) -> str:
    """The unit of what is sold or set out in inches up to a height and in millimeters from there: `16 oc`, a tile `12x24`."""
    numbers = tuple(numbers)
    return "in" if max(numbers) <= _MOST_INCHES else "mm" if min(numbers) >= _LEAST_MM else ""


def is_calendar(spelling: str) -> bool:
    """Whether a unit is a month or a year."""
    return re.fullmatch(_CALENDAR_UNIT, spelling) is not None


def calendar(tidy: str) -> tuple[Fraction, Fraction, Fraction] | None:
    """Months and years in seconds: the least and the most they come to, and how much one that is not full may add."""
    found = re.fullmatch(rf"((?:[0-9]+-)?[0-9]+/[0-9]+|[0-9]+(?:\.[0-9]+)?)\s*({_CALENDAR_UNIT})", tidy)
    if found is None:
        return None
    least, most = _CALENDAR["year" if found["y"] else "month"]
    whole, _, part = found[1].rpartition("-")
    number = Fraction(part) + (Fraction(whole) if whole else 0)
    unfinished = most * _DAY if number.denominator == 1 else 0
    return number * least * _DAY, number * most * _DAY, Fraction(unfinished)


def how_far(end: Fraction, kind: Kind) -> Fraction | None:
    """How far the truth may lie from a loosely said amount, in steps; None where no reader could say."""
    match kind.name:
        case "moment":
            return None
        case "temperature":
            return 10 * kind.named["°F"].steps
        case "proportion":
            return 10 * kind.named["%"].steps
        case "length":
            return max(min(abs(end) * _QUARTER, 9 * kind.named["in"].steps), abs(end) / 10)
    return abs(end) * _QUARTER


def around_size(tidy: str) -> tuple[str, str, str]:
    """What is said of a whole size before and after it, which holds for each edge: `2 x 4 ft or smaller`."""
    ahead = re.match(_SIZE_FIRST, tidy)
    first = ahead[1] if ahead else ""
    last = re.search(_SIZE_LAST, tidy[len(first) :])
    after = last[1] if last else ""
    return first, tidy[len(first) : len(tidy) - len(after)], after.replace(" nominal", "")
