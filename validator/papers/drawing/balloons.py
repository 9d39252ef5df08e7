"""Numbered balloons: black where something fails, heavy where it deserves a second look, dashed where it is a question."""

from collections.abc import Iterable, Sequence

from validator.papers import words
from validator.papers.drawing.svg import INK, LETTER, PALE, SMALL, element, text
from validator.papers.numbering import Mark

RADIUS = 9.0
STEP = 21.0
MOST = 12  # on one layer; the rest stand in the list beside the drawing

RINGS = {
    "fail": {"fill": INK, "stroke": INK, "stroke_width": 1},
    "warn": {"fill": "#fff", "stroke": INK, "stroke_width": 2.4},
    "open": {"fill": "#fff", "stroke": INK, "stroke_width": 1.1, "stroke_dasharray": "3 2"},
    words.NOTE: {"fill": "#fff", "stroke": PALE, "stroke_width": 0.8},
}
LETTERING = {"fail": "#fff"}


def balloon(x: float, y: float, mark: Mark) -> str:
    """One balloon about its centre."""
    said = str(mark.number)
    ring = element("circle", cx=x, cy=y, r=RADIUS, **RINGS[mark.outcome])
    size = SMALL if len(said) < 3 else 8
    figure = text(
        x, y + size * 0.36, said, size, text_anchor="middle", fill=LETTERING.get(mark.outcome, INK), font_weight="bold"
    )
    return element("g", ring + figure, class_="balloon", data_number=mark.number)


def rows_of(marks: Sequence[Mark], width: float) -> int:
    """How many rows of balloons a width needs."""
    held = min(len(marks), MOST) + (1 if len(marks) > MOST else 0)
    across = max(1, int(width // STEP))
    return -(-held // across)


def balloons(x: float, y: float, marks: Sequence[Mark], width: float) -> str:
    """Balloons in rows from the left; `y` is the middle of the first row."""
    across, drawn = max(1, int(width // STEP)), ""
    for turn, mark in enumerate(marks[:MOST]):
        drawn += balloon(x + RADIUS + (turn % across) * STEP, y + (turn // across) * STEP, mark)
    if len(marks) > MOST:
        turn = MOST
        drawn += text(x + (turn % across) * STEP, y + (turn // across) * STEP + 4, f"+{len(marks) - MOST}", SMALL)
    return drawn


def key(x: float, y: float, marks: Iterable[Mark]) -> str:
    """What the balloons of this drawing mean, as far as they are used."""
    used, drawn = {mark.outcome for mark in marks}, ""
    for outcome, meaning in words.BALLOON_KEY:
        if outcome in used:
            drawn += element("circle", cx=x + 5, cy=y - 3, r=5, **RINGS[outcome]) + text(x + 14, y, meaning, SMALL)
            x += 26 + len(meaning) * SMALL * LETTER
    return drawn
