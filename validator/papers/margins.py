"""Margins on paper: what binds first, and how much of each limit is used."""

from collections.abc import Iterator

from validator.judging.margins import CLOSEST, Margin
from validator.papers.tape import on_a_tape
from validator.papers.wrapping import Line, wrapped

NO_MARGINS = "No requirement on an amount is met here, so there is no margin to tell."


def margin_lines(margins: tuple[Margin, ...], width: int, most: int = CLOSEST) -> Iterator[Line]:
    """What is exactly on its limit in one line, then the closest margins, the one that binds first at the head."""
    yield "", False
    yield "Margins, closest first", True
    room = [margin for margin in margins if margin.share < 1]
    if not margins:
        yield from wrapped(NO_MARGINS, width, "  ")
    for number, margin in enumerate(room[:most], 1):
        left = f"; {margin.left}" if margin.left else ""
        said = f"{margin.name} {margin.found}, {margin.compare} {margin.limit}: {margin.in_words}{left}"
        yield from wrapped(f"{number}. {'; '.join(margin.places)}: {on_a_tape(said)} ({margin.rule})", width, "  ")
    exact = dict.fromkeys(on_a_tape(f"{margin.name} {margin.found}") for margin in margins if margin.share == 1)
    if exact:
        yield from wrapped(f"Exactly on the limit: {'; '.join(exact)}.", width, "  ")


def margins_object(margins: tuple[Margin, ...]) -> list[dict[str, object]]:
    """Every margin for other programs, the closest first; `share` is exact."""
    return [{**margin._asdict(), "in_words": margin.in_words} for margin in margins]
