"""Amounts as a tape, a level or a scale shows them, for papers that are read on site; the exact value stands in `why`."""

import re
from fractions import Fraction

# What amounts add in brackets, the same in the other system: `(16 mm)`, `(3.66 m to 4.27 m)`, `(2.08 %)`.
_CONVERSION = re.compile(r" \((?:about )?[\d.,/-]+ ?[^()]{0,24}\)")
# A decimal that no tape or scale shows: inches beyond a thousandth, pounds for each square foot beyond a tenth.
_INCHES = re.compile(r"(?<![\d.])(\d+\.\d{3,}) in\b(?! per)")
_FEET = re.compile(r"(?<![\d.])(\d+\.\d+) ft\b(?! of)")
_PERCENT = re.compile(r"(?<![\d.])(\d+\.\d{3,}) %")
_MILS = re.compile(r"(?<![\d.])(\d+\.\d{2,}) mil\b")
_POUNDS = re.compile(r"(?<![\d.])(\d+\.\d{2,}) psf\b")
_DEGREES = re.compile(r"(?<![\d.])(\d+\.\d{2,}) °([CF])\b")
_FALLS = re.compile(r"(?<![\d.])(\d*\.\d{2,}) in per ft\b")
_BOTH_ENDS = re.compile(r"(about [\d/.-]+ (?:in per ft|ft [\d]+ in|ft|in|mil|psf)) to \1(?! per)")  # a range whose ends are one on a tape
_SIXTEENTH = 16
_NO_MARK = Fraction(1, 128)
_SMALL = Fraction(1, 8)  # below this a sixteenth is too coarse; three decimals are how a gauge is written


def in_one_system(text: str) -> str:
    """A text without what its amounts come to in the other system."""
    return _CONVERSION.sub("", text)


def on_a_tape(text: str) -> str:
    """A text with its odd decimals as somebody would read them: `about 1/2 in` for 0.511811 in, `about 5.5 psf` for 5.27168 psf."""
    text = _PERCENT.sub(lambda odd: f"about {float(odd[1]):.2g} %", text)
    text = _FEET.sub(lambda odd: _feet(odd[1]), text)
    text = _INCHES.sub(lambda odd: _inches(odd[1]), text)
    text = _FALLS.sub(lambda odd: f"{_fall(odd[1])} in per ft", text)
    text = _DEGREES.sub(lambda odd: f"about {float(odd[1]):.0f} °{odd[2]}", text)
    text = _MILS.sub(lambda odd: f"about {round(Fraction(odd[1]))} mil", text)
    return _BOTH_ENDS.sub(r"\1", _POUNDS.sub(lambda odd: f"about {_halves(odd[1])} psf", text))


def _inches(decimal: str) -> str:
    if Fraction(decimal) < _NO_MARK and len(decimal.partition(".")[2]) > 3:
        return "under 1/64 in"
    if Fraction(decimal) >= _SMALL:
        return f"about {_sixteenths(decimal)} in"
    return f"about {Fraction(round(Fraction(decimal) * 64), 64) or Fraction(1, 64)} in" if len(decimal.partition(".")[2]) > 3 else f"{decimal} in"


def _feet(decimal: str) -> str:
    """Feet and whole inches; below the tape's next inch, so that no span is told longer than it is."""
    inches = Fraction(decimal) * 12
    feet, rest = divmod(int(inches), 12)
    said = f"{feet} ft {rest} in" if rest else f"{feet} ft"
    return said if inches.denominator == 1 else f"about {said}"


def _fall(decimal: str) -> str:
    exact = (Fraction(decimal) * _SIXTEENTH).denominator == 1
    if Fraction(decimal) < Fraction(1, 32):
        return "under 1/16"
    return _sixteenths(decimal) if exact else f"about {_sixteenths(decimal)}"


def _sixteenths(decimal: str) -> str:
    value = Fraction(round(Fraction(decimal) * _SIXTEENTH), _SIXTEENTH) or Fraction(1, _SIXTEENTH)
    whole, part = divmod(value, 1)
    return f"{whole}-{part}" if whole and part else str(part or whole)


def _halves(decimal: str) -> str:
    value = Fraction(round(Fraction(decimal) * 2), 2)
    return str(value.numerator) if value.denominator == 1 else f"{value.numerator // 2}.5"
