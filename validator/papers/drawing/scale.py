"""How thick each layer is drawn: to one scale, thin layers a stated number of times thicker, a thick slab cut short.

Very many layers are drawn thinner than would hold their hatching, so that they stay on the sheet.
"""

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from validator.papers import words
from validator.papers.drawing.layers import Strip
from validator.papers.drawing.svg import INK, SMALL, element, line, text

LEAST = 5.0  # units; what is thinner would not hold its hatching
UNKNOWN, UNKNOWN_FILM = 2.4, 1.2  # times as thick as the least
LARGEST_SCALE = 3.0  # units in a millimetre
LONGEST = 80.0
INCH = 25.4
BARS = {
    "in": ((INCH / 4, "1/4 in"), (INCH / 2, "1/2 in"), (INCH, "1 in"), (2 * INCH, "2 in"), (6 * INCH, "6 in"), (12 * INCH, "1 ft"),
           (36 * INCH, "3 ft"), (120 * INCH, "10 ft"), (600 * INCH, "50 ft")),
    "mm": ((5, "5 mm"), (10, "10 mm"), (25, "25 mm"), (50, "50 mm"), (100, "100 mm"), (250, "250 mm"), (500, "500 mm"),
           (1000, "1 m"), (5000, "5 m"), (20000, "20 m")),
}  # fmt: skip


class Drawn(NamedTuple):
    """A strip with the thickness it is drawn at, and what must be said of that."""

    strip: Strip
    units: float
    says: str

    @property
    def known(self) -> bool:
        return self.strip.size is not None


def drawn_strips(strips: Sequence[Strip], room: float) -> tuple[tuple[Drawn, ...], float]:
    """Each strip as it is drawn, and the scale in units a millimetre. `room` is what the known ones may take together."""
    thick = sum(min(strip.size, LONGEST) for strip in strips if strip.size)
    scale = min(LARGEST_SCALE, room / thick) if thick else 1.0
    least = min(LEAST, room / max(1, len(strips)))
    return tuple(_drawn(strip, scale, least) for strip in strips), scale


def _drawn(strip: Strip, scale: float, least: float) -> Drawn:
    if strip.size is None:
        return Drawn(strip, least * (UNKNOWN_FILM if strip.hatch == "solid" else UNKNOWN), words.NOT_STATED)
    if strip.size <= 0:
        return Drawn(strip, least / 2, words.DRAWN_AS_LINE)
    if strip.size > LONGEST:
        return Drawn(strip, LONGEST * scale, words.CUT_SHORT)
    units = strip.size * scale
    if units >= least:
        return Drawn(strip, units, "")
    times = ceil(least / units)
    return (
        Drawn(strip, units * times, words.DRAWN.format(times)) if times <= 400 else Drawn(strip, least / 2, words.DRAWN_AS_LINE)
    )


def scale_bar(x: float, y: float, scale: float, metric: bool, room: float) -> str:
    """A bar of a round length, half of it black."""
    bars = BARS["mm" if metric else "in"]
    length, said = max(((mm, words_) for mm, words_ in bars if mm * scale <= room), default=bars[0])
    units = length * scale
    drawn = element("rect", x=x, y=y, width=units / 2, height=4, fill=INK, stroke=INK, stroke_width=0.6)
    drawn += element("rect", x=x + units / 2, y=y, width=units / 2, height=4, fill="#fff", stroke=INK, stroke_width=0.6)
    return drawn + line(x, y - 2, x, y + 4, 0.6) + text(x + units + 5, y + 5, said, SMALL)
