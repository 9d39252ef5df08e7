"""How thick each layer is drawn: to one scale, thin layers a stated number of times thicker, a thick slab cut short.

Very many layers are drawn thinner than would hold their hatching, so that they stay on the sheet.
"""

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from validator.papers import words
from validator.papers.drawing.layers import Strip
from validator.papers.drawing.svg import INK, LETTER, PAPER, SMALL, element, line, text

LEAST = 5.0  # units; what is thinner would not hold its hatching
UNKNOWN, UNKNOWN_FILM = 2.4, 1.2  # times as thick as the least
LARGEST_SCALE = 3.0  # units in a millimetre
LONGEST = 80.0
THICKER = 1.3  # how much thicker than any layer on it a slab of unknown thickness is drawn
LEAST_SLAB = 36.0
INCH = 25.4
INCHES = ((INCH / 4, "1/4 in"), (INCH / 2, "1/2 in"), (INCH, "1 in"), (2 * INCH, "2 in"), (6 * INCH, "6 in"), (12 * INCH, "1 ft"),
          (36 * INCH, "3 ft"), (120 * INCH, "10 ft"), (600 * INCH, "50 ft"))  # fmt: skip
METRIC = ((5, "5 mm"), (10, "10 mm"), (25, "25 mm"), (50, "50 mm"), (100, "100 mm"), (250, "250 mm"), (500, "500 mm"),
          (1000, "1 m"), (5000, "5 m"), (20000, "20 m"))  # fmt: skip


class Drawn(NamedTuple):
    """A strip with the thickness it is drawn at, what must be said of that, and whether a break line goes through it."""

    strip: Strip
    units: float
    says: str
    cut: bool = False

    @property
    def known(self) -> bool:
        return self.strip.size is not None


def drawn_strips(strips: Sequence[Strip], room: float, largest: float = LARGEST_SCALE) -> tuple[tuple[Drawn, ...], float]:
    """Each strip as it is drawn, and the scale in units a millimetre, `largest` at most.

    `room` is what the known ones may take together.
    """
    thick = sum(min(strip.size, LONGEST) for strip in strips if strip.size)
    scale = min(largest, room / thick) if thick else min(largest, 1.0)
    least = min(LEAST, room / max(1, len(strips)))
    slab = max([LEAST_SLAB, *(THICKER * min(strip.size, LONGEST) * scale for strip in strips if strip.size)])
    return tuple(_drawn(strip, scale, least, slab) for strip in strips), scale


def _drawn(strip: Strip, scale: float, least: float, slab: float) -> Drawn:
    if strip.size is None:
        says = words.NOT_STATED if strip.measured else words.NOT_TO_SCALE
        if strip.thing == "slab":
            return Drawn(strip, slab, says, True)
        return Drawn(strip, least * (UNKNOWN_FILM if strip.hatch == "solid" else UNKNOWN), says)
    if strip.size <= 0:
        return Drawn(strip, least / 2, words.DRAWN_AS_LINE)
    if strip.size > LONGEST:
        return Drawn(strip, LONGEST * scale, words.CUT_SHORT, True)
    units = strip.size * scale
    if units >= least:
        return Drawn(strip, units, "")
    times = ceil(least / units)
    return (
        Drawn(strip, units * times, words.DRAWN.format(times)) if times <= 400 else Drawn(strip, least / 2, words.DRAWN_AS_LINE)
    )


def scale_bars(x: float, y: float, scale: float, metric: bool, room: float = 90) -> str:
    """Two bars of round lengths, one of each system of units, the author's own first; half of each is black."""
    drawn = ""
    for bars in (METRIC, INCHES) if metric else (INCHES, METRIC):
        length, said = max(((mm, told) for mm, told in bars if mm * scale <= room), default=bars[0])
        units = length * scale
        drawn += element("rect", x=x, y=y, width=units / 2, height=4, fill=INK, stroke=INK, stroke_width=0.6)
        drawn += element("rect", x=x + units / 2, y=y, width=units / 2, height=4, fill=PAPER, stroke=INK, stroke_width=0.6)
        drawn += line(x, y - 2, x, y + 4, 0.6) + text(x + units + 5, y + 5, said, SMALL)
        x += units + 5 + len(said) * SMALL * LETTER + 18
    return drawn
