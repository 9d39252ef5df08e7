"""What can be measured on site, in which units, and how fine each kind is counted.

Every kind has one step; an amount is two whole numbers of steps. The steps are chosen so that what the trade writes lies
on them: 1 nm holds 1/64 in (396,875), 1 mil (25,400) and 0.1 mm; 1/9000 K holds a tenth of a degree on either scale;
1/2,882,880,000 holds every fraction over 2 to 16, each whole percent, 1:48 and L/360, L/480 and L/720.
Conversion factors: the inch, pound and US gallon as defined exactly in metric units (25.4 mm, 0.45359237 kg, 231 cubic
inches) and standard gravity 9.80665 m/s2. The perm in metric units, 57.2135 ng/(s m2 Pa), is the published rounded factor.
"""

from __future__ import annotations

import re
from fractions import Fraction
from typing import Any, NamedTuple

NO_LEAST = -(1 << 62)
NO_GREATEST = 1 << 62


class AmountProblem(ValueError):
    """A text that gives no amount of the kind asked: what is wrong with it, and what to type instead."""

    def __init__(self, what: str, accepted: str) -> None:
        super().__init__(f"{what}. Accepted: {accepted}")
        self.what = what
        self.accepted = accepted


class Amount(NamedTuple):
    """What is possible of one measured thing: least to greatest, in steps of its kind; unit and text as the author wrote."""

    kind: str
    least: int
    greatest: int
    unit: str
    text: str


class Unit(NamedTuple):
    """One unit of a kind: its size in steps, where its zero lies (in steps), and the unit printed beside it in brackets."""

    name: str
    steps: Fraction
    beside: str = ""
    zero: Fraction = Fraction(0)


class Kind(NamedTuple):
    """One kind of amount: what people call it, its units by every spelling, and what a text of it looks like.

    `built` are the units that may follow each other in one amount (13 ft 6 in), largest first, each with how many of it
    make one of the unit before. `lowest` is the least value that makes sense, in steps, or None for no such floor. `nothing`
    are the words that people have for nought of it.
    """

    name: str
    noun: str
    units: dict[str, Unit]
    named: dict[str, Unit]
    usual: str
    examples: str
    suggest: tuple[str, ...] = ()
    built: tuple[str, ...] = ()
    lowest: Fraction | None = Fraction(0)
    spread_kind: str = ""
    from_words: str = "at least {}"
    upto_words: str = "up to {}"
    more_words: str = "more than {}"
    less_words: str = "less than {}"
    nothing: tuple[str, ...] = ()


_TYPED = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "×": "x", "−": "-", "–": "-", "—": "-", "‒": "-", "‑": "-",
     "²": "2", "³": "3", "µ": "u", "μ": "u", "⁄": "/", "∕": "/", "·": " ", "⋅": " ", "º": "°", "˚": "°",
     "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u2007": " "}
)
_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5", "⅘": "4/5", "⅙": "1/6",
    "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅑": "1/9", "⅒": "1/10",
}
_VULGAR_AFTER = re.compile(f"[-\\s]*([{''.join(_VULGAR)}])")


def plainly(text: str) -> str:
    """The same words with the typographer's signs turned into the keyboard's: primes, dashes, one-piece fractions."""
    text = text.translate(_TYPED)
    if not text.isascii():
        text = _VULGAR_AFTER.sub(lambda found: " " + _VULGAR[found[1]], text)
    return " ".join(text.replace("''", '"').split())


_DEGREES = re.compile(r"^(?:degrees?|deg)\b\s*(?=[a-z])|^°\s+")
_PER = re.compile(r"\s*(?:\bper\b|/)\s*")


def unit_spelling(text: str) -> str:
    """The one spelling under which a unit is looked up: small letters, no full stops, `per` as a stroke, `square` as sq."""
    text = " ".join(text.lower().replace(".", "").replace("^", "").split())
    text = _PER.sub("/", _DEGREES.sub("°", text))
    return text.replace("square ", "sq ").replace("cubic ", "cu ")


_POUND = Fraction(45359237, 100_000_000)  # kg
_GRAVITY = Fraction(980665, 100_000)  # m/s2
_FOOT = Fraction(3048, 10_000)  # m
_POUND_FORCE = _POUND * _GRAVITY  # N
_PSF = _POUND_FORCE / _FOOT**2  # Pa
_PSI = _PSF * 144  # Pa
_GALLON = 3_785_411_784  # nL
_RATIO = 2_882_880_000
_MILLION = 1_000_000

_SQ_FT = "ft2|sq ft|sqft|sf|sq foot|sq feet"
_SQ_M = "m2|sq m|sq meter|sq meters|sq metre|sq metres"
_LITRE = "l|liter|liters|litre|litres"
_GAL = "gal|gallon|gallons|us gal|us gallon|us gallons"
_LB = "lb|lbs|pound|pounds"
_PERCENT = "%|percent|per cent|pct|/cent"
_HEAT_C = "c|°c|degc|celsius|°celsius"
_HEAT_F = "f|°f|degf|fahrenheit|°fahrenheit"


def _joined(*sides: str) -> str:
    """Every spelling of one unit over another: each of the first list over each of the second."""
    found = [""]
    for side in sides:
        found = [f"{a}/{b}" if a else b for a in found for b in side.split("|")]
    return "|".join(found)


def _kind(
    name: str,
    rows: list[tuple[str, Fraction | int, str, str | None]],
    *,
    noun: str = "",
    zero: dict[str, Fraction] | None = None,
    **rest: Any,
) -> Kind:
    """A kind from its rows of unit, size in steps, unit printed beside it, and spellings (None: read by a rule of its own)."""
    units: dict[str, Unit] = {}
    named: dict[str, Unit] = {}
    for unit, steps, beside, spellings in rows:
        made = Unit(unit, Fraction(steps), beside, (zero or {}).get(unit, Fraction(0)))
        named[unit] = made
        if spellings is not None:
            units.update(dict.fromkeys([unit, *spellings.split("|")], made))
    return Kind(name=name, noun=noun or name, units=units, named=named, usual=rows[0][0], **rest)


_ALL = [
    _kind("length", [
        ("in", 25_400_000, "mm", 'in|inch|inches|"'),
        ("ft", 304_800_000, "m", "ft|foot|feet|'"),
        ("yd", 914_400_000, "m", "yd|yds|yard|yards"),
        ("mil", 25_400, "mm", "mil|mils"),
        ("mm", 1_000_000, "in", "mm|millimeter|millimeters|millimetre|millimetres"),
        ("cm", 10_000_000, "in", "cm|centimeter|centimeters|centimetre|centimetres"),
        ("m", 1_000_000_000, "ft", "m|meter|meters|metre|metres"),
        ("um", 1_000, "mil", "um|micron|microns|micrometer|micrometers|micrometre|micrometres"),
    ], examples="1-5/8 in, 13 ft 6 in, 20 mil or 41 mm", suggest=("in", "mm"), built=("ft", "in")),
    _kind("area", [
        ("sq ft", 9_290_304, "m2", _SQ_FT),
        ("sq in", 64_516, "cm2", "in2|sq in|sq inch|sq inches"),
        ("mm2", 100, "sq in", "mm2|sq mm"),
        ("cm2", 10_000, "sq in", "cm2|sq cm"),
        ("m2", 100_000_000, "sq ft", _SQ_M),
    ], examples="900 sq in, 40 sq ft or 3.7 m2", suggest=("sq ft", "m2")),
    _kind("volume", [
        ("gal", _GALLON, "L", _GAL),
        ("qt", _GALLON // 4, "L", "qt|qts|quart|quarts"),
        ("pt", _GALLON // 8, "L", "pt|pts|pint|pints"),
        ("fl oz", Fraction(_GALLON, 128), "mL", "fl oz|fluid oz|fluid ounce|fluid ounces"),
        ("L", 10**9, "gal", _LITRE),
        ("mL", 10**6, "fl oz", "ml|milliliter|milliliters|millilitre|millilitres"),
        ("cu ft", Fraction(_GALLON * 1728, 231), "L", "ft3|cu ft|cu foot|cu feet|cf"),
        ("cu in", Fraction(_GALLON, 231), "mL", "in3|cu in|cu inch|cu inches"),
        ("m3", 10**12, "cu ft", "m3|cu m|cu meter|cu meters|cu metre|cu metres"),
    ], examples="2 gal, 5 qt or 7.6 L", suggest=("gal", "L")),
    _kind("mass", [
        ("lb", 45_359_237, "kg", _LB),
        ("oz", Fraction(45_359_237, 16), "g", "oz|ounce|ounces"),
        ("kg", 10**8, "lb", "kg|kgs|kilogram|kilograms|kilo|kilos"),
        ("g", 10**5, "oz", "g|gram|grams"),
    ], examples="50 lb or 23 kg", suggest=("lb", "kg"), built=("lb", "oz")),
    _kind("load", [
        ("psf", _MILLION, "kPa", "psf|" + _joined(_LB + "|lbf", _SQ_FT)),
        ("kPa", _MILLION * 1000 / _PSF, "psf", "kpa|kilopascal|kilopascals"),
        ("kN/m2", _MILLION * 1000 / _PSF, "psf", _joined("kn", _SQ_M)),
        ("kg/m2", _MILLION * _FOOT**2 / _POUND, "psf", _joined("kg|kgf", _SQ_M)),
        ("Pa", _MILLION / _PSF, "psf", "pa|pascal|pascals|n/m2"),
    ], examples="40 psf or 1.9 kPa", suggest=("psf", "kPa")),
    _kind("force", [
        ("lb", _MILLION, "N", _LB + "|lbf"),
        ("N", _MILLION / _POUND_FORCE, "lb", "n|newton|newtons"),
        ("kN", _MILLION * 1000 / _POUND_FORCE, "lb", "kn|kilonewton|kilonewtons"),
    ], examples="300 lb or 1.3 kN", suggest=("lb", "kN")),
    _kind("stress", [
        ("psi", _MILLION, "MPa", "psi|" + _joined(_LB + "|lbf", "in2|sq in|sq inch")),
        ("ksi", _MILLION * 1000, "MPa", "ksi"),
        ("MPa", _MILLION * _MILLION / _PSI, "psi", "mpa|megapascal|megapascals|n/mm2"),
        ("kPa", _MILLION * 1000 / _PSI, "psi", "kpa|kilopascal|kilopascals"),
        ("GPa", _MILLION * 1000 * _MILLION / _PSI, "psi", "gpa|gigapascal|gigapascals"),
    ], examples="50 psi or 0.34 MPa", suggest=("psi", "MPa")),
    _kind("slope", [
        ("in per ft", _RATIO // 12, "%", _joined('in|inch|inches|"', "ft|foot|'|lf")),
        ("%", _RATIO // 100, "in per ft", _PERCENT),
        ("mm/m", Fraction(_RATIO, 1000), "%", _joined("mm|millimeter|millimeters|millimetre|millimetres", "m|meter|metre")),
        ("cm/m", _RATIO // 100, "%", _joined("cm", "m|meter|metre")),
        ("1:", _RATIO, "%", None),
    ], examples="1/4 in per ft, 1:48 or 2 %", nothing=("flat", "level", "dead flat", "dead level", "none", "no fall", "no slope", "not sloped")),
    _kind("proportion", [
        ("%", _RATIO // 100, "", _PERCENT),
        ("fraction", _RATIO, "%", None),
    ], examples="95 % or 1/3"),
    _kind("deflection", [("L/", _RATIO, "", None)], noun="deflection ratio", examples="L/360 or 1/360",
          from_words="{} or less stiff", upto_words="{} or stiffer", more_words="less stiff than {}", less_words="stiffer than {}"),
    _kind("temperature", [
        ("°F", 5_000, "°C", _HEAT_F),
        ("°C", 9_000, "°F", _HEAT_C),
    ], zero={"°F": Fraction(-160_000)}, examples="70 °F or 21 °C", suggest=("°F", "°C"),
          lowest=Fraction(-273_15 * 90), spread_kind="temperature difference"),
    _kind("temperature difference", [
        ("°F", 5_000, "°C", _HEAT_F),
        ("°C", 9_000, "°F", _HEAT_C + "|k|kelvin"),
    ], examples="10 °F or 5 °C", suggest=("°F", "°C"), lowest=None),
    _kind("duration", [
        ("h", 3_600, "", "h|hr|hrs|hour|hours"),
        ("s", 1, "", "s|sec|secs|second|seconds"),
        ("min", 60, "", "min|mins|minute|minutes"),
        ("days", 86_400, "", "d|day|days"),
        ("weeks", 604_800, "", "wk|wks|week|weeks"),
    ], examples="24 h, 30 min or 7 days", suggest=("h", "days"), built=("weeks", "days", "h", "min", "s")),
    _kind("moment", [("", 1, "", None)], noun="date", examples="2026-03-01 or 2026-03-01 14:30", lowest=None,
          spread_kind="duration", from_words="not before {}", upto_words="not after {}"),
    _kind("count", [("", 1, "", "")], examples="a whole number such as 2"),
    _kind("number", [("", _MILLION, "", "")], noun="plain number", examples="a plain number such as 0.42", lowest=None),
    _kind("permeance", [
        ("perm", _MILLION, "ng/(s m2 Pa)", "perm|perms|us perm|us perms"),
        ("ng/(s m2 Pa)", _MILLION / Fraction(572_135, 10_000), "perm",
         "ng/(s m2 pa)|ng/s m2 pa|ng/(pa s m2)|ng/pa s m2|ng/(m2 s pa)|ng/s/m2/pa|metric perm|metric perms"),
    ], examples="0.5 perm", suggest=("perm",)),
    _kind("moisture emission", [
        ("lb per 1000 sq ft per 24 h", _MILLION, "ug/(s m2)",
         _LB + "|" + _joined(_LB, "1000 sq ft|1000 ft2|1000 sf|1000sf|msf", "24 h|24 hr|24 hrs|24 hours|24h|day")),
        ("ug/(s m2)", _MILLION * 86_400 * 1000 * _FOOT**2 / (_POUND * 10**9), "lb per 1000 sq ft per 24 h",
         "ug/(s m2)|ug/s m2|ug/(m2 s)|ug/m2 s|ug/s/m2"),
    ], examples="3 lb per 1000 sq ft per 24 h", suggest=("lb per 1000 sq ft per 24 h",)),
    _kind("coverage", [
        ("sq ft/gal", _MILLION, "m2/L", _joined(_SQ_FT, _GAL)),
        ("m2/L", Fraction(_MILLION * _GALLON) / (_FOOT**2 * 10**9), "sq ft/gal", _joined(_SQ_M, _LITRE)),
    ], examples="55 sq ft/gal or 1.3 m2/L", suggest=("sq ft/gal", "m2/L")),
]

KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}
