"""Reads amounts the way the trade writes them.

Settled here:
- A hyphen joins a whole number to its fraction (1-5/8 in) or feet to inches (13'-6"). It is never a range: a range says
  `to`, because 1-5/8 in and 14-16 ft look alike. A hyphen that joins neither is refused with both readings.
- A unit said once holds for both ends (14 to 16 ft). `16 or 24 in` is the range 16 to 24 in.
- `more than` and `less than` move one step. Off the step the least is rounded down and the greatest up, so that what was
  written always lies inside.
- A length in halves to sixty-fourths that names no unit is in inches, up to three: no other unit is divided so.
- A slope or a proportion in bare decimals is refused: 0.95 could be 95 % or 0.95 %. A date without an hour is a whole day.
- `L/360` counts as 1/360, so stiffer is smaller; `at least L/360` is refused, since people mean by it the opposite.
- What nobody measured (`about`, `well over`, `several months`) is put in plain words by `loose`, which says how wide each is.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from validator.language.amounts.days import moment
from validator.language.amounts.kinds import (
    KINDS,
    NO_GREATEST,
    NO_LEAST,
    Amount,
    AmountProblem,
    Kind,
    Unit,
    plainly,
    unit_spelling,
)
from validator.language.amounts.loose import ABOUT, OVER, UNDER, around_size, calendar, how_far, is_calendar, plainly_said, unit_by_use, without_centers
from validator.language.amounts.refusals import LONGEST, about_needs_a_range, refuse

_NUMBER = r"(?:(?:([0-9]+)(?:\s+|-))?([0-9]+)/([0-9]+)|([0-9]+(?:\.[0-9]+)?|\.[0-9]+))"
_NUMBER_THEN = re.compile(_NUMBER + r"\s*(.*)", re.DOTALL)
_PART = re.compile(_NUMBER + r"\s*([a-z]+\.?|[\"'])[\s-]*")
_BARE = re.compile(r"-?" + _NUMBER)
_OF_INCHES = r"(?:[0-3][ -])?[0-9]{1,2}/(?:2|4|8|16|32|64)"
_IN_INCHES = re.compile(rf"^((?:[a-z ]+\s)?{_OF_INCHES}(?:\s+(?:to|or)\s+{_OF_INCHES})?)(\s+or\s+[a-z]+)?$")
_RATIO = r"([0-9]+(?:\.[0-9]+)?)\s*(?::|\s+in\s+)\s*([0-9]+(?:\.[0-9]+)?)"
_SPAN = r"(?:(?:l|span)\s*/\s*|1\s*/\s*)([0-9]+(?:\.[0-9]+)?)"
_RISE_RUN = r"(.+?[a-z\"'.])(?:\s+(?:per|in|over)\s+|\s*/\s*(?=[0-9a-z]))((?:[0-9].*?)?[a-z]+)"

_FIRST = {
    "at least": "least", "not less than": "least", "no less than": "least", "minimum of": "least", "minimum": "least", "min": "least",
    "not before": "least", "since": "least", "at most": "most", "up to": "most", "not more than": "most", "no more than": "most",
    "not over": "most", "maximum of": "most", "maximum": "most", "max": "most", "not after": "most", "until": "most",
    "more than": "more", "greater than": "more", "over": "more", "above": "more", "after": "more",
    "less stiff than": "more", "stiffer than": "less", "less than": "less", "under": "less", "below": "less", "before": "less",
}
_LAST = {
    "or more": "least", "and more": "least", "or over": "least", "and over": "least", "and up": "least", "minimum": "least",
    "min": "least", "or later": "least", "or less stiff": "least", "or less": "most", "or under": "most", "and under": "most",
    "maximum": "most", "max": "most", "or earlier": "most", "or stiffer": "most",
}


def _any_of(words: dict[str, str]) -> str:
    return "|".join(sorted(words, key=len, reverse=True))


_FIRST_WORDS = rf"({_any_of(_FIRST)})\b\.?\s+(.+)"
_LAST_WORDS = rf"(.+?)\s+({_any_of(_LAST)})\.?"
_FROM_TO = (
    r"(?:between\s+(.+?)\s+and|(?:from\s+)?(?:(more than|over|above)\s+)?(.+?)\s+to)\s+(?:(less than|under|below)\s+)?(.+)"
)
_OR = r"\s+or\s+"
_SQUARE = r"(.+?)\s+(?:square|sq)"
_RATIO_WHOLE = 100 * KINDS["proportion"].named["%"].steps
_WORDED_COUNTS = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


class _Said(NamedTuple):
    """One end as it was written: where it begins and ends (the same, but for a whole day), in steps, and its unit."""

    low: Fraction
    high: Fraction
    unit: str


@lru_cache(maxsize=16_384)
def read(text: str, kind: str, *, spread: str | None = None) -> Amount:
    """The amount a text gives; every trade notation, and ranges of them.

    `spread` is what `about` means for this fact: an amount text taken to both sides. Raises AmountProblem.
    """
    known = KINDS[kind]
    least: int | Fraction
    greatest: int | Fraction
    plain = _NUMBER_THEN.fullmatch(text) if len(text) <= LONGEST else None
    if plain is not None and (unit := known.units.get(plain[5])) is not None:
        steps = _number(plain, text) * unit.steps + unit.zero
        low, low_over = divmod(steps.numerator, steps.denominator)
        if low_over and kind == "count":
            refuse(text, known, "not whole")
        least, greatest, name = low, low + (low_over > 0), unit.name
    else:
        least, greatest, name = _range(text, known, spread)
    if known.lowest is not None and (NO_LEAST < least < known.lowest or greatest < known.lowest):
        refuse(text, known, "below")
    if (least != NO_LEAST and abs(least) >= NO_GREATEST) or (greatest != NO_GREATEST and abs(greatest) >= NO_GREATEST):
        refuse(text, known, "vast")
    return Amount(kind, least, greatest, name, text)


def exact(text: str, kind: str) -> Fraction:
    """One amount, not rounded to the step: the steps it comes to. Raises AmountProblem for a range or a whole day."""
    known = KINDS[kind]
    said = _one(_tidy(text, known), known, text)
    if said is None:
        refuse(text, known)
    if said.low != said.high:
        raise AmountProblem(f"`{text.strip()}` is a whole day, and one moment is asked", f"{text.strip()} 14:30")
    if known.lowest is not None and said.low < known.lowest:
        refuse(text, known, "below")
    if abs(said.low) >= NO_GREATEST:
        refuse(text, known, "vast")
    return said.low


def read_size(text: str, *, by_use: bool = False) -> tuple[Amount, ...]:
    """The edges of a tile, a sheet or a floor, in the order written: "12 x 24 in", "300 x 600 mm", `1/2" x 1/2"`.

    `by_use`: where no unit is written, it is the one that such figures are sold in.
    """
    length = KINDS["length"]
    ahead, tidy, after = around_size(_tidy(text, length))
    square = re.fullmatch(_SQUARE, tidy)
    edges = [square[1]] * 2 if square else re.split(r"\s*\bby\b\s*|\s*x\s*(?=[0-9.])", tidy)
    if not 2 <= len(edges) <= 3 or not all(edges):
        refuse(text, length, "size")
    last = _NUMBER_THEN.fullmatch(edges[-1])
    shared = last[5] if last and unit_spelling(last[5]) in length.units else ""
    if by_use and not shared and all(_BARE.fullmatch(edge) for edge in edges):
        shared = unit_by_use(_number(_NUMBER_THEN.fullmatch(edge.lstrip("-")), text) for edge in edges)
    found = []
    for edge in edges:
        if _BARE.fullmatch(edge):
            if not shared:
                refuse(text, length, "size")
            edge = f"{edge} {shared}"
        found.append(read(f"{ahead}{edge}{after}", "length"))
        if found[-1].greatest == 0:
            raise AmountProblem(f"`{text.strip()}` has an edge of no length", "12 x 24 in")
    return tuple(found)


def _tidy(text: str, kind: Kind) -> str:
    if len(text) > LONGEST:
        refuse(text, kind)
    tidy = plainly(text).lower()
    return _IN_INCHES.sub(r"\1 in\2", without_centers(tidy)) if kind.name == "length" else tidy


def _range(text: str, kind: Kind, spread: str | None) -> tuple[int, int, str]:
    tidy = _tidy(text, kind)
    if tidy in kind.nothing:
        return 0, 0, kind.usual
    tidy, side = plainly_said(tidy, kind)
    low, high, unit = _ends(tidy, kind, text)
    age = calendar(tidy) if kind.name == "duration" else None
    if age is not None and high is not None and not side:
        high += age[2]
    if side:
        low, high = _loosened(side, low, high, kind, text, spread)
    return (
        NO_LEAST if low is None else low.numerator // low.denominator,
        NO_GREATEST if high is None else -(-high.numerator // high.denominator),
        unit,
    )


def _loosened(
    side: str, low: Fraction | None, high: Fraction | None, kind: Kind, text: str, spread: str | None
) -> tuple[Fraction | None, Fraction | None]:
    """Both ends of what was said about, a bit over or a bit under an amount; the spread of the fact itself comes first."""
    if kind.name == "deflection" and side != ABOUT:
        refuse(text, kind, "stiffness")
    declared = exact(spread, kind.spread_kind or kind.name) if spread is not None else None
    ends = [declared if declared is not None else how_far(end, kind) if end is not None else Fraction(0) for end in (low, high)]
    if None in ends:
        about_needs_a_range(text, kind)
    below, above = (each or Fraction(0) for each in ends)
    least = None if low is None else _more(low) if side == OVER else low - below
    greatest = None if high is None else _less(high) if side == UNDER else high + above
    if least is not None and kind.lowest is not None:
        least = max(least, kind.lowest)
    if kind.name == "proportion" and high is not None and greatest is not None and high <= _RATIO_WHOLE:
        greatest = min(greatest, _RATIO_WHOLE)
    return least, greatest


def _ends(tidy: str, kind: Kind, text: str) -> tuple[Fraction | None, Fraction | None, str]:
    said = _said(tidy, kind, text)
    if said is not None:
        return said.low, said.high, said.unit
    last = re.fullmatch(_LAST_WORDS, tidy)
    if last and not (kind.name == "duration" and last[2] == "min"):
        return _open_end(_LAST[last[2]], last[1], kind, text)
    pair = None if tidy.startswith("up to ") else re.fullmatch(_FROM_TO, tidy)
    if pair:
        over, under = pair[2], pair[4]
        low, high = _two(pair[1] or pair[3], pair[5], kind, text)
        if low.low > high.high:
            if kind.name not in ("slope", "deflection") or over or under:
                refuse(text, kind, "backwards")
            low, high = high, low
        least = _more(low.high) if over else low.low
        greatest = _less(high.low) if under else high.high
        if least > greatest:
            refuse(text, kind, "backwards")
        return least, greatest, low.unit
    first = re.fullmatch(_FIRST_WORDS, tidy)
    if first:
        return _open_end(_FIRST[first[1]], first[2], kind, text)
    choices = re.split(_OR, tidy)
    if len(choices) == 1:
        refuse(text, kind)
    every = [_two(choice, choices[-1], kind, text)[0] for choice in choices]
    return min(one.low for one in every), max(one.high for one in every), every[0].unit


def _open_end(sense: str, words: str, kind: Kind, text: str) -> tuple[Fraction | None, Fraction | None, str]:
    said = _said(words, kind, text)
    if said is None:
        refuse(text, kind)
    match sense:
        case "least" | "more" if kind.name == "deflection" and "stiff" not in text:
            refuse(text, kind, "stiffness")
        case "least":
            return said.low, None, said.unit
        case "more":
            return _more(said.high if kind.name == "moment" else said.low), None, said.unit
        case "most":
            return None, said.high, said.unit
    return None, _less(said.low if kind.name == "moment" else said.high), said.unit


def _said(tidy: str, kind: Kind, text: str) -> _Said | None:
    """A single amount, or a number of months or years, whose ends lie apart."""
    said = _one(tidy, kind, text)
    age = calendar(tidy) if said is None and kind.name == "duration" else None
    return said if age is None else _Said(age[0], age[1], "days")


def _more(steps: Fraction) -> Fraction:
    return steps + 1 if steps.denominator == 1 else steps


def _less(steps: Fraction) -> Fraction:
    return steps - 1 if steps.denominator == 1 else steps


def _two(first: str, second: str, kind: Kind, text: str) -> tuple[_Said, _Said]:
    """Two ends of which one may lean on the unit of the other."""
    for leaning, leant_on in ((first, second), (second, first)):
        if not _BARE.fullmatch(leaning) or _BARE.fullmatch(leant_on):
            continue
        whole = _NUMBER_THEN.fullmatch(leant_on.removeprefix("-"))
        if whole is None or not (unit_spelling(whole[5]) in kind.units or kind.name == "duration" and is_calendar(whole[5])):
            continue
        if kind.name == "proportion" and "/" in leaning:
            refuse(text, kind, "fraction of a percent")
        if leaning is first:
            first = f"{first} {whole[5]}"
        else:
            second = f"{second} {whole[5]}"
    ends = _said(first, kind, text), _said(second, kind, text)
    if ends[0] is None or ends[1] is None:
        refuse(text, kind)
    return ends[0], ends[1]


def _one(tidy: str, kind: Kind, text: str) -> _Said | None:
    """A single amount, or None if these words are not one."""
    minus = tidy.startswith("-")
    if minus:
        tidy = tidy[1:].lstrip()
    plain = _NUMBER_THEN.fullmatch(tidy)
    if plain is not None:
        unit = kind.units.get(unit_spelling(plain[5]))
        if unit is not None:
            number = _number(plain, text)
            if minus and kind.lowest == 0 and number:
                refuse(text, kind, "below")
            if kind.name == "count" and number.denominator != 1:
                refuse(text, kind, "not whole")
            return _exactly((-number if minus else number) * unit.steps + unit.zero, unit)
    if minus:
        return None
    match kind.name:
        case "slope":
            return _slope(tidy, kind, text)
        case "deflection":
            return _deflection(tidy, kind, text)
        case "proportion" if plain is not None and plain[2] and not plain[5]:
            return _exactly(_number(plain, text) * kind.named["fraction"].steps, kind.named["fraction"])
        case "moment":
            day = moment(tidy, text)
            return day and _Said(*day, "")
        case "area" if re.search(r"[0-9a-z'\"]\s*(?:x|by)\s*[0-9.]", tidy):
            return _area_of(tidy, kind)
        case "count" if tidy in _WORDED_COUNTS:
            return _exactly(Fraction(_WORDED_COUNTS.index(tidy)), kind.units[""])
        case _ if kind.built and plain is not None:
            return _built(tidy, kind, text)
    return None


def _area_of(tidy: str, kind: Kind) -> _Said | None:
    """The area of a size with two edges, `10 x 12 ft`, rounded outwards by the step of it."""
    try:
        edges = read_size(tidy)
    except AmountProblem:
        return None
    if len(edges) != 2 or any(edge.least != edge.greatest for edge in edges):
        return None
    mm = KINDS["length"].named["mm"].steps
    return _exactly(Fraction(edges[0].least, 1) / mm * edges[1].least / mm * kind.named["mm2"].steps, kind.named[kind.usual])


def _exactly(steps: Fraction, unit: Unit) -> _Said:
    return _Said(steps, steps, unit.name)


def _number(found: re.Match[str], text: str) -> Fraction:
    whole, top, bottom, plain = found.group(1, 2, 3, 4)
    if plain is not None:
        before, _, after = plain.partition(".")
        return Fraction(int(before + after), 10 ** len(after)) if after else Fraction(int(before))
    over, under = int(top), int(bottom)
    if under == 0:
        raise AmountProblem(f"`{text.strip()}` divides by nothing", "a fraction over 2, 4, 8, 16, 32 or 64, such as 5/8")
    if whole is None:
        return Fraction(over, under)
    if over >= under:
        raise AmountProblem(
            f"`{text.strip()}` joins {whole} to {top}/{bottom}, which is not less than one", "a proper fraction, such as 1-5/8"
        )
    return Fraction(int(whole) * under + over, under)


def _built(tidy: str, kind: Kind, text: str) -> _Said | None:
    """Feet and inches, hours and minutes: each part a whole number but the last, each smaller than one of the part before."""
    total, place, position = Fraction(0), 0, -1
    first: Unit | None = None
    before: Unit | None = None
    while place < len(tidy):
        part = _PART.match(tidy, place)
        unit = kind.units.get(part[5].rstrip(".")) if part else None
        if part is None or unit is None or unit.name not in kind.built or kind.built.index(unit.name) <= position:
            return None
        number = _number(part, text)
        if before is not None and number * unit.steps >= before.steps:
            refuse(text, kind, "too many in a part")
        if part.end() < len(tidy) and number.denominator != 1:
            return None
        if part.end() == len(tidy) and part[0][-1] in " -":
            return None
        before, position, place = unit, kind.built.index(unit.name), part.end()
        first = first or unit
        total += number * unit.steps
    return None if first is None else _exactly(total, first)


def _slope(tidy: str, kind: Kind, text: str) -> _Said | None:
    ratio = re.fullmatch(_RATIO, tidy)
    if ratio:
        rise, run = Fraction(ratio[1]), Fraction(ratio[2])
        if run == 0:
            raise AmountProblem(f"`{text.strip()}` divides by nothing", kind.examples)
        return _exactly(rise / run * kind.named["1:"].steps, kind.named["1:"])
    both = re.fullmatch(_RISE_RUN, tidy)
    if not both:
        return None
    length = KINDS["length"]
    rise_said = _one(both[1], length, text)
    run_said = _one(both[2] if both[2][0].isdigit() else f"1 {both[2]}", length, text)
    if rise_said is None or run_said is None:
        return None
    if run_said.low == 0:
        raise AmountProblem(f"`{text.strip()}` divides by nothing", kind.examples)
    unit = kind.named["in per ft" if rise_said.unit in ("in", "ft", "yd", "mil") else "mm/m"]
    return _exactly(rise_said.low / run_said.low * kind.named["1:"].steps, unit)


def _deflection(tidy: str, kind: Kind, text: str) -> _Said | None:
    if tidy == "no deflection":
        return _exactly(Fraction(0), kind.named["L/"])
    span = re.fullmatch(_SPAN, tidy)
    if not span:
        return None
    parts = Fraction(span[1])
    if parts == 0:
        raise AmountProblem(f"`{text.strip()}` divides by nothing", kind.examples)
    return _exactly(kind.named["L/"].steps / parts, kind.named["L/"])
