"""How a fact is entered: which boxes it has, and what was entered as one text in the notation of the trade."""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.language import amounts

EIGHTHS = ("0", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8")
SIXTEENTHS = ("0", *(str(Fraction(each, 16)) for each in range(1, 16)))
BOUNDS = ("", "about", "at least", "up to")
FOOT = 304_800_000  # a step is 1 nm
HAS_FEET = 3 * FOOT
UNITS = {  # of a kind, those that are typed on site; the first is offered
    "proportion": ("%",), "slope": ("in per ft", "%", "mm/m"), "duration": ("h", "min", "days"), "deflection": ("L/",),
    "load": ("psf", "kPa"), "count": ("",), "number": ("",), "temperature": ("°F", "°C"),
}  # fmt: skip


class Boxes(NamedTuple):
    """The boxes of one fact: `shape` is there, choice, several, length, amount, size, date or words."""

    shape: str
    words: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    feet: bool = False
    example: str = ""


def boxes_of(fact: Fact) -> Boxes:
    """How a fact is entered."""
    if fact.kind == "presence":
        return Boxes("there")
    if fact.is_together:
        return Boxes("several", fact.words)
    if fact.words:
        return Boxes("choice", fact.words)
    if fact.kind == "size":
        return Boxes("size", units=("in", "ft", "mm", "cm", "m"), example="12 x 24 in")
    if fact.kind == "moment":
        return Boxes("date", example="2026-03-01")
    if not fact.is_amount:
        return Boxes("words")
    kind = amounts.KINDS[fact.kind]
    if fact.kind == "length" and fact.shown_in != "mil":
        most = amounts.read(fact.slip_above, "length").greatest if fact.slip_above else HAS_FEET
        return Boxes("length", units=("mm", "cm", "m"), feet=most >= HAS_FEET, example=kind.examples)
    units = ("mil", "mm") if fact.shown_in == "mil" else UNITS.get(fact.kind) or kind.suggest or tuple(kind.named)
    return Boxes("amount", units=units, example=kind.examples)


def words_from(fact: Fact, form: Mapping[str, list[str]], after: str = "") -> str:
    """What was entered, as it would be written in a file; empty where nothing was. `after`: what the names of its boxes end with."""
    def one(name: str) -> str:
        return " ".join((form.get(f"{name}{after}") or [""])[0].split())

    given = one("pressed") or one("typed")
    if given:
        return given
    boxes = boxes_of(fact)
    match boxes.shape:
        case "several":
            ticked = [each for each in form.get(f"word{after}", []) if each]
            return ", ".join(ticked) if ticked else one("says")
        case "length":
            said = _inches(one("feet"), one("inches"), one("eighths"), one("sixteenth")) or _with_unit(one("number"), one("unit"))
        case "amount":
            said = _with_unit(one("number"), one("unit"))
        case "size":
            sides = [each for each in (one("side"), one("other_side")) if each]
            said = _with_unit(" x ".join(sides), one("unit"))
        case _:
            said = one("says") or one("number")
    bound = one("bound")
    return f"{bound} {said}" if said and bound in BOUNDS[1:] else said or one("says")


def _with_unit(number: str, unit: str) -> str:
    if not number or not unit:
        return number
    if unit == "L/":
        return number if "/" in number else f"L/{number}"
    return number if any(letter.isalpha() for letter in number.replace("x", "")) else f"{number} {unit}"


def _inches(feet: str, inches: str, eighths: str, sixteenth: str) -> str:
    """Feet and inches from their boxes: `13 ft 6-1/2 in`. What is no plain number is left as it was typed, to be explained."""
    part = Fraction(eighths if eighths in SIXTEENTHS else "0") + (Fraction(1, 16) if sixteenth else 0)
    if not (feet or inches or part):
        return ""
    typed = inches and not inches.isdecimal()
    said = f"{inches}" if inches and inches != "0" else ""
    if part:
        said = f"{said} {part}" if typed else f"{said}-{part}" if said else str(part)
    said = said or ("0" if inches and not feet else "")
    return " ".join(filter(None, (f"{feet} ft" if feet and feet != "0" else "", f"{said} in" if said else ""))) or "0 in"
