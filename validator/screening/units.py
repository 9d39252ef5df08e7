"""A number in a column of one unit: its commas and points, the unit where the cell names none, and the number that cannot be of that unit.

A value outside what the vocabulary calls usual is never swallowed: it is a cell to tidy, and what it would be in another unit of
the trade is offered where that is usual.
"""

import re
from collections.abc import Iterator

from validator.facts import possible
from validator.facts.possible import STATED, Known, NotPossible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language import amounts
from validator.language.amounts.kinds import plainly

NUMBER = r"[0-9.][0-9,. /-]*"
BARE_NUMBER = re.compile(rf"(?:[a-z~<>=]+ ?)*{NUMBER}(?:\s*to\s*{NUMBER})?")  # with no unit: `1/2`, `at least 1`, `1/2 to 5/8`
BARE_SIZE = re.compile(rf"({NUMBER})(?:\s*[x×*]\s*|\s+by\s+)({NUMBER})", re.I)  # `12x24`, `12 by 24`
WITH_UNIT = re.compile(r"(.*[0-9.])\s*(?:mm|cm|inches|inch|in|ft|\"|″|”|')\.?")
THOUSANDS = r"(?<![0-9.,])[1-9][0-9]{{0,2}}(?:{0}[0-9]{{3}})"
BY_COMMAS = re.compile(THOUSANDS.format(",") + r"+(?![0-9,])")  # 12,500
BY_POINTS = re.compile(THOUSANDS.format(r"\.") + r"+(?=,[0-9])|" + THOUSANDS.format(r"\.") + r"{2,}(?![0-9.,])")  # 1.204,5 and 1.204.500
EITHER = re.compile(THOUSANDS.format(r"\.") + r"(?![0-9.,])")  # 1.250, where commas are decimal
DECIMAL = re.compile(r"(?<=[0-9]),(?=[0-9])")
UNITS = {"mm": "millimeters", "cm": "centimeters", "in": "inches", "ft": "feet"}


def with_unit(fact: Fact, text: str, unit: str) -> str:
    """A bare number, or the bare sides of a size, with the unit of their column."""
    figures = plainly(text)
    if fact.kind == "size" and (sides := BARE_SIZE.fullmatch(figures)):
        return f"{sides[1].strip()} x {sides[2].strip()} {unit}"
    return f"{text} {unit}" if BARE_NUMBER.fullmatch(figures) else text


def figures_of(text: str, decimal_comma: str) -> str:
    """Figures with a decimal point and no mark between thousands, as the mapping says of commas: `yes`, `no`, or nothing."""
    if decimal_comma == "yes":
        return DECIMAL.sub(".", BY_POINTS.sub(lambda found: found[0].replace(".", ""), text))
    return BY_COMMAS.sub(lambda found: found[0].replace(",", ""), text) if decimal_comma == "no" else text


def could_be(text: str, decimal_comma: str) -> tuple[str, ...]:
    """What figures are in which a comma or a point may stand between thousands or before decimals; empty where they are one thing."""
    if decimal_comma == "yes":
        return (EITHER.sub(lambda found: found[0].replace(".", ""), text), text) if EITHER.search(text) else ()
    if decimal_comma or not DECIMAL.search(text):
        return ()
    return tuple(dict.fromkeys((*([figures_of(text, "no")] if BY_COMMAS.search(text) else ()), DECIMAL.sub(".", text))))


def slip_in(vocabulary: Vocabulary, fact: Fact, said: dict[str, Known], text: str) -> tuple[str, str]:
    """Of what a text says beyond what is usual: what is wrong, and what it is perhaps; empty where nothing is."""
    outside = [usual for name, known in said.items() if (usual := _unusual(vocabulary.fact(name), known))]
    if not outside:
        return "", ""
    perhaps = list(_in_other_units(vocabulary, fact, text))
    meant = f"; perhaps {' or '.join(UNITS[unit] for unit, _ in perhaps)}" if perhaps else ""
    return f"`{text}` is unusual, usually {outside[0]}{meant}", " or ".join(each for _, each in perhaps)


def _unusual(fact: Fact, known: Known) -> str:
    """What is usual of a fact, where a stated amount lies wholly outside it."""
    if not fact.is_amount or known.origin != STATED:
        return ""
    least, greatest = known.value
    below = fact.slip_below and greatest < amounts.read(fact.slip_below, fact.kind).least
    above = fact.slip_above and least > amounts.read(fact.slip_above, fact.kind).greatest
    if not below and not above:
        return ""
    if fact.slip_below and fact.slip_above:
        return f"{fact.slip_below} to {fact.slip_above}"
    return f"from {fact.slip_below} up" if fact.slip_below else f"up to {fact.slip_above}"


def _in_other_units(vocabulary: Vocabulary, fact: Fact, text: str) -> Iterator[tuple[str, str]]:
    """The units in which the same figures would be usual, each with the text that says so."""
    bare = WITH_UNIT.fullmatch(text)
    if fact.kind not in ("length", "size") or bare is None:
        return
    for unit in UNITS:
        other = f"{bare[1]} {unit}"
        try:
            said = {fact.name: possible.read(fact, other), **possible.edges(fact, other)}
        except NotPossible:
            continue
        if other != text and not any(_unusual(vocabulary.fact(name), known) for name, known in said.items()):
            yield unit, other
