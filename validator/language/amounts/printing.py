"""Prints amounts the way the trade writes them: the author's unit first, the other system in brackets.

Inches are fractions down to 1/64 where exact, else decimals; lengths in feet are feet and inches; mils stay mils. A number that needs more
than three decimals is rounded to four figures, or to as many more as it takes not to end in a zero that rounding made: 15.999999 mm never
prints as 16 mm. A deflection prints the whole part of its n, so that L/316.9 never looks stiffer than it is. What stands in brackets is a
rounded help; what stands outside reads back as the same amount wherever it is exact.
"""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import lru_cache

from validator.language.amounts.kinds import KINDS, NO_GREATEST, NO_LEAST, Kind, Unit, unit_spelling

_EPOCH = date(1970, 1, 1).toordinal()
_DAY = 86_400
_HALF = Fraction(1, 2)
_LEAST_ON_A_TAPE = Fraction(3, 64)
_METRIC = frozenset((
    "mm", "cm", "m", "um", "mm2", "cm2", "m2", "L", "mL", "m3", "kg", "g", "kPa", "kN/m2", "kg/m2", "Pa", "N", "kN", "MPa", "GPa", "°C",
    "ng/(s m2 Pa)", "ug/(s m2)", "m2/L",
))  # fmt: skip


def _unit(kind: Kind, name: str | None) -> Unit:
    """A unit by its name or any spelling of it; the kind's usual one for none, or for one of another kind."""
    if name is None:
        return kind.named[kind.usual]
    return kind.named.get(name) or kind.units.get(unit_spelling(name)) or kind.named[kind.usual]


def read_alike(one: str, other: str, kind: str) -> bool:
    """Whether amounts in two units can be compared at a glance: both metric or neither; a fall, only in the same unit."""
    first, second = (_unit(KINDS[kind], name).name for name in (one, other))
    return first == second if kind == "slope" else (first in _METRIC) == (second in _METRIC)


@lru_cache(maxsize=16_384)
def show(steps: int | Fraction, kind: str, unit: str | None = None, both: bool = True) -> str:
    """One amount in words: "1-1/8 in (29 mm)", "13 ft 6 in (4.11 m)", "1/4 in per ft (2.08 %)", "L/360"."""
    known = KINDS[kind]
    chosen = _readable(Fraction(steps), known, _unit(known, unit))
    bracket = _bracket(Fraction(steps), known, chosen) if both else ""
    return _plain(Fraction(steps), known, chosen) + (f" ({bracket})" if bracket else "")


def _readable(steps: Fraction, kind: Kind, unit: Unit) -> Unit:
    """Millimeters for what is a tenth of them and no part of an inch that a tape shows: 1.5 mm is not 0.0590551 in."""
    if unit.name != "in" or _is_short(steps, unit):
        return unit
    mm = kind.named["mm"]
    return mm if 10 % ((steps - mm.zero) / mm.steps).denominator == 0 else unit


@lru_cache(maxsize=16_384)
def show_range(least: int, greatest: int, kind: str, unit: str | None = None, both: bool = True) -> str:
    """A range in words: "at least 5/8 in (16 mm)", "13 ft to 14 ft (3.96 m to 4.27 m)", "less than 15 in (381 mm)", "not stated"."""
    known = KINDS[kind]
    chosen = _unit(known, unit)
    if least <= NO_LEAST and greatest >= NO_GREATEST:
        return "not stated"
    if known.name == "moment":
        return _days(least, greatest, known)
    if least == greatest:
        return show(least, kind, unit, both)
    if (one := _plain(Fraction(least), known, chosen)) == _plain(Fraction(greatest), known, chosen):
        bracket = _bracket(Fraction(least), known, chosen) if both else ""
        return one + (f" ({bracket})" if bracket else "")
    over = least > NO_LEAST and _just_past(least, least - 1, known, chosen)
    under = greatest < NO_GREATEST and _just_past(greatest, greatest + 1, known, chosen)
    low, high = Fraction(least - over), Fraction(greatest + under)
    if greatest >= NO_GREATEST:
        return _open(low, known.more_words if over else known.from_words, known, chosen, both)
    if least <= NO_LEAST:
        return _open(high, known.less_words if under else known.upto_words, known, chosen, both)
    link = " to less than " if under else " to "
    ahead = "more than " if over else ""
    if known.name == "deflection" and not over and not under:
        low, high = high, low
    first, second = _bracket(low, known, chosen), _bracket(high, known, chosen)
    bracket = "" if not both or not first else first if first == second else f"{first} to {second}"
    return f"{ahead}{_plain(low, known, chosen)}{link}{_plain(high, known, chosen)}" + (f" ({bracket})" if bracket else "")


def _open(end: Fraction, words: str, kind: Kind, unit: Unit, both: bool) -> str:
    unit = _readable(end, kind, unit)
    bracket = _bracket(end, kind, unit) if both else ""
    return words.format(_plain(end, kind, unit)) + (f" ({bracket})" if bracket else "")


def _just_past(end: int, beyond: int, kind: Kind, unit: Unit) -> bool:
    """Whether an end one step away from a round amount is better said as `less than` or `more than` that amount."""
    if kind.name == "count":
        return False
    if kind.name == "duration":
        return end % 60 != 0 and beyond % 60 == 0
    return not _is_short(Fraction(end), unit) and _is_short(Fraction(beyond), unit)


def _is_short(steps: Fraction, unit: Unit) -> bool:
    value = (steps - unit.zero) / unit.steps
    match unit.name:
        case "1:" | "L/":
            return value > 0 and 1000 % (1 / value).denominator == 0
        case "fraction":
            return value.denominator <= 64
        case "ft":
            return 64 % (value * 12).denominator == 0 or 1000 % value.denominator == 0
        case _:
            return 64 % value.denominator == 0 or 1000 % value.denominator == 0


def _plain(steps: Fraction, kind: Kind, unit: Unit) -> str:
    value = (steps - unit.zero) / unit.steps
    near = 1 / unit.steps
    match unit.name:
        case "in":
            return f"{_inches(value, near)} in"
        case "ft":
            return _feet(value, near)
        case "in per ft":
            return f"{_inches(value, near)} in per ft"
        case "1:":
            return f"1:{_figures(1 / value, near / (value * value))}" if value > 0 else _plain(steps, kind, kind.named["%"])
        case "L/":
            return _span_ratio(steps, unit)
        case "fraction":
            nearest = value.limit_denominator(64)
            if 0 < nearest < 1 and abs(nearest - value) < near:
                return f"{nearest.numerator}/{nearest.denominator}"
            return _plain(steps, kind, kind.named["%"])
        case "":
            return _instant(steps) if kind.name == "moment" else _figures(value, near)
    if kind.name == "duration":
        return _time(steps, kind, unit)
    return f"{_figures(value, near)} {unit.name}"


def _inches(value: Fraction, near: Fraction) -> str:
    """A mixed fraction to 1/64 if it is exactly that, else decimals."""
    over = Fraction(_rounded(value * 64), 64)
    if abs(over - value) >= near:
        over = Fraction(_rounded(value * 12), 12)
        if value.denominator == 1 or abs(over - value) >= near:
            return _figures(value, near)
    sign, over = ("-" if over < 0 else ""), abs(over)
    whole, part = divmod(over, 1)
    if not part:
        return f"{sign}{whole}"
    return f"{sign}{whole}-{part}" if whole else f"{sign}{part}"


def _feet(value: Fraction, near: Fraction) -> str:
    inches = value * 12
    sixty_fourths = Fraction(_rounded(inches * 64), 64)
    if abs(sixty_fourths - inches) >= near * 12:
        return f"{_figures(value, near)} ft"
    sign, over = ("-" if value < 0 else ""), abs(sixty_fourths)
    feet, rest = divmod(over, 12)
    if not rest:
        return f"{sign}{feet} ft"
    if not feet:
        return f"{sign}{_inches(rest, near * 12)} in"
    return f"{sign}{feet} ft {_inches(rest, near * 12)} in"


def _span_ratio(steps: Fraction, unit: Unit) -> str:
    """L/n with n rounded down, unless a whole n comes to this very step: then that n was meant."""
    if steps <= 0:
        return "no deflection" if not steps else f"-{_span_ratio(-steps, unit)}"
    ratio = unit.steps / steps
    whole = ratio.numerator // ratio.denominator
    if whole < 10:
        return f"L/{_decimal(Fraction(int(ratio * 100), 100), 2)}"
    above = unit.steps / (whole + 1)
    if steps.denominator == 1 and -(-above.numerator // above.denominator) == steps:
        whole += 1
    return f"L/{whole}"


def _time(steps: Fraction, kind: Kind, unit: Unit) -> str:
    finer = [kind.named[name] for name in ("weeks", "days", "h", "min", "s")]
    for one in finer[finer.index(unit) :]:
        value = steps / one.steps
        if 1000 % value.denominator == 0 or one.name == "s":
            break
    name = one.name[:-1] if one.name in ("days", "weeks") and value == 1 else one.name
    return f"{_figures(value, 1 / one.steps)} {name}"


def _instant(steps: Fraction) -> str:
    days, second = divmod(_rounded(steps), _DAY)
    if not 1 <= days + _EPOCH <= date.max.toordinal():
        return f"{_rounded(steps)} s from 1970-01-01 00:00"
    hour, rest = divmod(second, 3600)
    clock = f"{hour:02}:{rest // 60:02}" + (f":{rest % 60:02}" if rest % 60 else "")
    return f"{date.fromordinal(days + _EPOCH).isoformat()} {clock}"


def _days(least: int, greatest: int, kind: Kind) -> str:
    """Whole days as dates, anything else to the minute."""
    starts = least > NO_LEAST and least % _DAY == 0
    ends = greatest < NO_GREATEST and greatest % _DAY == _DAY - 1
    first, last = _instant(Fraction(least)), _instant(Fraction(greatest))
    if greatest >= NO_GREATEST:
        return kind.from_words.format(first[:10] if starts else first)
    if least <= NO_LEAST:
        return kind.upto_words.format(last[:10] if ends else last)
    if starts and ends:
        first, last = first[:10], last[:10]
    return first if first == last else f"{first} to {last}"


def _bracket(steps: Fraction, kind: Kind, unit: Unit) -> str:
    """The same in the other system, rounded as a person would say it."""
    if not unit.beside:
        return ""
    other = kind.named[unit.beside]
    value = (steps - other.zero) / other.steps
    match other.name:
        case "mm":
            places = 0 if abs(value) >= 10 else 1 if abs(value) >= 1 else 2
            return f"{_decimal(value, places)} mm"
        case "ft":
            return _feet(Fraction(_rounded(value * 96), 96), 1 / other.steps)
        case "in" if (abs(value) * 64).denominator == 1:
            return f"{_inches(value, Fraction(1))} in"
        case "in" if unit.name == "mm" and abs(value) >= _LEAST_ON_A_TAPE:
            return f"about {_inches(Fraction(_rounded(value * 32), 32), Fraction(1))} in"
        case "°F" | "°C" if kind.name == "temperature":
            return f"{_decimal(value, 0)} {other.name}"
    return f"{_decimal(value, _places(value, 3))} {other.name}"


def _figures(value: Fraction, near: Fraction) -> str:
    """The shortest honest number: all of it within three decimals or six figures, else rounded, never rounder than it is."""
    thousandth = Fraction(_rounded(value * 1000), 1000)
    if thousandth == value:
        return _decimal(value, 3)
    for figures in range(1, 7):
        places = _places(value, figures)
        short = Fraction(_rounded(value * 10**places), 10**places)
        if short and abs(short - value) < near:
            return _decimal(value, places)
    for figures in range(4, 13):
        places = _places(value, figures)
        if _rounded(value * 10**places) % 10:
            return _decimal(value, places)
    return _decimal(value, 12)


def _places(value: Fraction, figures: int) -> int:
    """How many decimals give this many figures; never fewer than none."""
    size = abs(value)
    if not size:
        return 0
    if size >= 1:
        return max(0, figures - len(str(int(size))))
    lead = 0
    while size * 10 < 1:
        size, lead = size * 10, lead + 1
        if lead > 12:
            break
    return figures + lead


def _rounded(value: Fraction) -> int:
    """To the nearest whole number, halves away from nothing."""
    return int(value + _HALF) if value >= 0 else -int(_HALF - value)


def _decimal(value: Fraction, places: int) -> str:
    scaled = _rounded(value * 10**places)
    sign, digits = ("-" if scaled < 0 else ""), str(abs(scaled)).rjust(places + 1, "0")
    whole, parts = (digits[:-places], digits[-places:].rstrip("0")) if places else (digits, "")
    return f"{sign}{whole}.{parts}" if parts else f"{sign}{whole}"
