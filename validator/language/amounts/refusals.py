"""Takes a text that is no amount, returns why, and what to type instead. Reached only once reading has failed, so it may take
its time.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import NoReturn

from validator.language.amounts.kinds import KINDS, AmountProblem, Kind, plainly, unit_spelling

LONGEST = 200

_NUMBER = re.compile(r"-?(?:(?:([0-9]+)[\s-]+)?([0-9]+)/([0-9]+)|[0-9]+(?:\.[0-9]+)?|\.[0-9]+)")
_NOTHING = {"", "?", "??", "???", "unknown", "n/a", "na", "tbd", "tba", "none", "-", "--", "considered", "not known", "not stated"}
_SIGNS = {">=": "at least", "=>": "at least", "≥": "at least", "<=": "at most", "=<": "at most", "≤": "at most", ">": "more than",
          "<": "less than"}
_LUMBER = re.compile(r"[1-6]\s*x\s*(?:[234568]|1[024])")
_BARE_SIZE = re.compile(r"[0-9][0-9./ -]*(?:x|by)[0-9./ -]*[0-9]")
_SIZE = re.compile(r".*[0-9\"'a-z.]\s*(?:\bx|(?<=[0-9\"'])x|\bby\b)\s*[0-9.].*")
_HYPHEN = re.compile(r"(?<=[0-9a-z\"'%.°])\s*-+\s*(?=[0-9.])")


def refuse(text: str, kind: Kind, why: str = "") -> NoReturn:
    """Raise the AmountProblem that best tells the author what this text lacks."""
    if len(text) > LONGEST:
        raise AmountProblem(
            f"the text is {len(text)} characters long, too long for an amount", f"at most {LONGEST} characters, such as {kind.examples}"
        )
    shown = " ".join(text.split())
    raise AmountProblem(*(_stated(shown, kind, why) if why else _found(shown, plainly(text).lower(), kind)))


def about_needs_a_range(text: str, kind: Kind) -> NoReturn:
    """`about` for a fact that declares no spread."""
    raise AmountProblem(f"`{' '.join(text.split())}` does not say how far off it may be", f"a range with `to`, such as {_a_range(kind)}")


def _a_range(kind: Kind) -> str:
    match kind.name:
        case "length":
            return "14 to 16 ft"
        case "slope":
            return "1/4 to 1/2 in per ft"
        case "deflection":
            return "L/480 to L/360"
        case "proportion":
            return "90 to 95 %"
        case "moment":
            return "2026-03-01 to 2026-03-04"
        case _ if kind.suggest:
            return f"10 to 12 {kind.suggest[0]}"
        case _:
            return "1 to 2"


def _stated(shown: str, kind: Kind, why: str) -> tuple[str, str]:
    match why:
        case "below" if kind.name == "temperature":
            return f"`{shown}` is colder than anything can be", kind.examples
        case "below":
            return f"`{shown}` is less than nothing", f"{kind.examples}, without a minus sign"
        case "vast":
            return f"`{shown}` is larger than any {kind.noun} on a site", kind.examples
        case "backwards":
            return f"`{shown}` runs from the greater to the lesser", f"the lesser first, such as {_a_range(kind)}"
        case "stiffness":
            return (
                f"`{shown}` can be read two ways: a stiffer floor has the smaller deflection",
                "`L/360 or stiffer` (the same as at most L/360), or `L/360 or less stiff`",
            )
        case "fraction of a percent":
            return f"`{shown}` can be read two ways", "both ends in %, such as 0.5 % to 1 %, or both as fractions, such as 1/2 to 2/3"
        case "not whole":
            return f"`{shown}` is not a whole number", kind.examples
        case "too many in a part":
            return f"`{shown}` has more in one part than makes one of the part before", "for example 14 ft 2 in, not 13 ft 14 in"
        case _:
            if _BARE_SIZE.fullmatch(plainly(shown).lower()):
                return f"`{shown}` says no unit", f"{shown} in or {shown} mm"
            return f"`{shown}` is not a size", "two or three edges and a unit, such as 12 x 24 in or 300 x 600 mm"


def _found(shown: str, tidy: str, kind: Kind) -> tuple[str, str]:
    if tidy in _NOTHING:
        return (f"`{shown}` states no amount" if shown else "nothing is written"), f"{kind.examples}, or leave the line out"
    for sign, words in _SIGNS.items():
        if tidy.startswith(sign):
            rest = shown[len(sign) :].strip()
            return f"`{shown}` uses a sign where words are read", f"{words} {_with_unit(rest, kind)}"
    if tidy.startswith(("@", "=")):
        return f"`{shown}` starts with a sign that is not part of the amount", _with_unit(shown[1:].strip(), kind)
    if re.search(r"\b(?:nan|inf|infinity|infinite)\b", tidy):
        return f"`{shown}` is not a number", kind.examples
    if re.search(r"[0-9]\s*e[+-]?[0-9]", tidy):
        return f"`{shown}` is written with an exponent", "the number written out, such as 1600000"
    if "±" in tidy or "+/-" in tidy:
        return f"`{shown}` gives a spread", f"a range with `to`, such as {_a_range(kind)}"
    if tidy.startswith('"') and re.search(r"[0-9]", tidy):
        return f"`{shown}` has quotation marks around the number only", shown.replace('"', "").strip()
    if "," in tidy:
        if re.search(r"[0-9],[0-9]{3}(?![0-9])", tidy):
            return f"`{shown}` has a comma in the number", shown.replace(",", "")
        return f"`{shown}` has a comma, which can be read two ways", "a point for decimals (1.5), or one amount a line"
    if _LUMBER.fullmatch(tidy) and kind.name == "length":
        return f"`{shown}` is the name of a lumber size, not an amount", "the measured size, such as 9-1/4 in for the depth of a 2x10"
    if _SIZE.fullmatch(tidy):
        return f"`{shown}` is a size, not one {kind.noun}", f"one {kind.noun}, such as {kind.examples}"
    if re.search(r"[0-9]\s*/\s*[0-9]+\s*/\s*[0-9]", tidy):
        if kind.name == "moment":
            return _date(shown)
        return f"`{shown}` has two fraction strokes", "one fraction, such as 1/2"
    if kind.name == "moment":
        return _date(shown)
    return _units(shown, tidy, kind)


def _date(shown: str) -> tuple[str, str]:
    return f"`{shown}` is not a date as it is read here", "year-month-day, with the hour if known: 2026-03-01 or 2026-03-01 14:30"


def _units(shown: str, tidy: str, kind: Kind) -> tuple[str, str]:
    joined = _HYPHEN.search(tidy)
    if joined and joined.start() > 0:
        before, after = tidy[: joined.start()], tidy[joined.end() :]
        if before.isdigit() and re.match(r"[0-9]+/[0-9]", after):
            if " " not in shown and re.fullmatch(r"[0-9]+/[0-9]+", after):
                return f"`{shown}` says no unit", _with_unit(shown, kind)
            return f"`{shown}` can be read two ways", f"{before}-{after}, without spaces, for one amount; a range is written with `to`"
        return f"`{shown}` can be read two ways", f"{before} to {after} for a range; 1-5/8 in or 13 ft 6 in for one amount"
    other = _of_another_kind(tidy, kind)
    if other is not None:
        return f"`{shown}`: {_a(other.noun)} is not {_a(kind.noun)}", kind.examples
    number = _NUMBER.search(tidy)
    if number is None:
        return f"`{shown}` gives no number", kind.examples
    rest = tidy[number.end() :].strip(" .")
    if not rest and kind.name not in ("count", "number"):
        return f"`{shown}` says no unit", _with_unit(shown, kind)
    angle = unit_spelling(rest) in ("°", "deg", "degree", "degrees")
    match kind.name:
        case "temperature" | "temperature difference" if angle:
            return f"`{shown}` does not say which degrees", f"{number[0]} °F or {number[0]} °C"
        case "slope" if angle:
            return f"`{shown}`: an angle in degrees has no exact fall", kind.examples
        case "count" | "number":
            return f"`{shown}` is not {_a(kind.noun)}", kind.examples
        case _ if re.search(r"[0-9]$", rest):
            return f"`{shown}` says no unit for its last number", f"{shown} {kind.suggest[0]}" if kind.suggest else kind.examples
        case _:
            return f"`{shown}` is not in a unit of {kind.noun}", kind.examples


def _of_another_kind(tidy: str, kind: Kind) -> Kind | None:
    """The kind a text does belong to, when it is plainly of one."""
    if kind.name != "slope" and re.search(r"[0-9]\s*:\s*[0-9]", tidy) and not re.match(r"[0-9]{4}-", tidy):
        return KINDS["slope"]
    if kind.name != "deflection" and re.search(r"\b(?:l|span)\s*/\s*[0-9]", tidy):
        return KINDS["deflection"]
    if kind.name != "moment" and re.search(r"\b[0-9]{4}-[0-9]{2}-[0-9]{2}\b", tidy):
        return KINDS["moment"]
    numbers = list(_NUMBER.finditer(tidy))
    for number in (numbers[:1] + numbers[-1:]) if numbers else ():
        spelling = unit_spelling(tidy[number.end() :])
        if spelling in kind.units:
            return None
        for other in KINDS.values():
            if spelling and spelling in other.units:
                return other
    return None


def _a(noun: str) -> str:
    return f"an {noun}" if noun[0] in "aeiou" else f"a {noun}"


def _with_unit(amount: str, kind: Kind) -> str:
    """The same words with a unit that this kind would take, where they end in a bare number."""
    amount = amount.rstrip(" .")
    tidy = plainly(amount).lower()
    number = _NUMBER.search(tidy)
    if number is None or number.end() != len(tidy):
        return amount or kind.examples
    match kind.name:
        case "slope" | "moment":
            return kind.examples
        case "proportion":
            part = None if "/" in tidy else Fraction(number[0])
            return f"{amount} % or {part * 100} %" if part is not None and 0 < part < 1 and (part * 100).denominator == 1 else f"{amount} %"
        case "deflection":
            return f"L/{amount}" if amount.isdigit() else kind.examples
        case "length" if number[2] and int(number[3]):
            inches = int(number[1] or 0) + Fraction(int(number[2]), int(number[3]))
            return f"{amount} in or {int(inches * Fraction(254, 10) + Fraction(1, 2))} mm"
        case _ if kind.suggest:
            return " or ".join(f"{amount} {unit}" for unit in kind.suggest)
        case _:
            return amount
