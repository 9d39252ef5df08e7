"""The buying list on paper, in a spreadsheet or for other programs."""

from collections.abc import Iterator
from fractions import Fraction

from validator.papers.inert import csv_of
from validator.papers.wrapping import Line, wrapped
from validator.planning.items import Item

HEADING = ("item", "unit", "least", "greatest", "packs", "waste", "where", "missing", "notes")
PRACTICE = "Waste that nobody set is common practice, no source. A quantity bought proves nothing that was built."


def buying_lines(name: str, items: tuple[Item, ...], width: int) -> Iterator[Line]:
    """The list line by line; with each line whether it is bold."""
    yield f"{name}: what to buy", True
    if not items:
        yield "Nothing is described that could be counted.", False
    for item in items:
        yield "", False
        if item.parts:
            waste = f", {percent(item.waste)} waste counted" if item.waste else ""
            yield from wrapped(f"{item.name}: {quantity(item)}{waste}", width, "", bold=True)
        else:
            yield from wrapped(f"{item.name}: not counted", width, "", bold=True)
        for part in item.parts:
            yield from wrapped(f"{part.where}: {_amount(part.least, part.greatest, item)}. {part.how}", width, "  ")
        for lack in item.missing:
            yield from wrapped(f"Not counted. {lack}", width, "  ")
        for note in item.notes:
            yield from wrapped(f"Note: {note}.", width, "  ")
    yield "", False
    yield from wrapped(PRACTICE, width, "")


def quantity(item: Item) -> str:
    """What to buy of an item, in its unit and in bags, tubes or pieces."""
    said = _amount(item.least, item.greatest, item)
    if item.packs is None:
        return said
    low, high = item.packs
    number = f"at least {low}" if high is None else f"{low}" if low == high else f"{low} to {high}"
    return f"{said}, {number} {item.pack[0] if number == '1' else item.pack[1]}"


def bought(item: Item) -> str:
    """What to carry out of the shop: whole bags, pails and tubes where an item comes in them and no area says more."""
    if item.packs is None or item.unit == "sq ft":
        return quantity(item)
    return quantity(item).removeprefix(f"{_amount(item.least, item.greatest, item)}, ")


def percent(part: Fraction) -> str:
    return f"{float(100 * part):g} %"


def _amount(least: Fraction, greatest: Fraction | None, item: Item) -> str:
    low = number(least, item)
    if greatest is None:
        return f"at least {low} {item.unit}"
    high = number(greatest, item)
    unit = item.unit.removesuffix("s") if item.whole and high == "1" else item.unit
    return f"{low} {unit}" if low == high else f"{low} to {high} {unit}"


def number(value: Fraction, item: Item) -> str:
    """A whole count, or a decimal to a hundredth rounded up, so that nobody runs short."""
    if item.whole:
        return str(-(-value.numerator // value.denominator))
    hundredths = -(-value.numerator * 100 // value.denominator)
    return f"{hundredths / 100:g}"


def as_csv(items: tuple[Item, ...]) -> str:
    """One row an item, for a spreadsheet."""
    return csv_of([HEADING, *map(_row, items)])


def _row(item: Item) -> tuple[str, ...]:
    counted, greatest = bool(item.parts), item.greatest
    return (
        item.name, item.unit, number(item.least, item) if counted else "",
        number(greatest, item) if counted and greatest is not None else "",
        quantity(item).partition(", ")[2] if counted and item.each is not None else "", percent(item.waste),
        "; ".join(part.where for part in item.parts), "; ".join(item.missing), "; ".join(item.notes),
    )  # fmt: skip


def buying_object(items: tuple[Item, ...]) -> list[dict[str, object]]:
    """The list for other programs; its keys are fixed."""
    return [_object(item) for item in items]


def _object(item: Item) -> dict[str, object]:
    counted, greatest, packs = bool(item.parts), item.greatest, item.packs
    return {
        "item": item.kind, "name": item.name, "unit": item.unit, "waste": percent(item.waste),
        "least": number(item.least, item) if counted else None,
        "greatest": number(greatest, item) if counted and greatest is not None else None,
        "packs": None if not counted or packs is None else {"of": item.pack[1], "least": packs[0], "greatest": packs[1]},
        "parts": [
            {"where": part.where, "least": number(part.least, item),
             "greatest": None if part.greatest is None else number(part.greatest, item), "how": part.how}
            for part in item.parts
        ],
        "missing": item.missing, "assumed": list(item.notes),
    }  # fmt: skip
