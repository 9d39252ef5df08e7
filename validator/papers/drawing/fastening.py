"""Where fasteners go, seen from the face and to scale: framing at its spacing, screws along it at theirs."""

from typing import NamedTuple

from validator.papers import words
from validator.papers.drawing.layers import BuildUp, Reader
from validator.papers.drawing.svg import INK, PAPER, WIDTH, dimension, element, headed, line, sheet

WIDE, MOST_HIGH = 290.0, 170.0
LEFT = 46.0
MEMBERS, FASTENERS = 4, 3  # shown: three spaces across and two down
MEMBER = 38.1  # millimetres, of sawn lumber's edge and nearly of a light steel flange; common practice, no source
FEWEST_APART = 9.0  # units; what is nearer would be one black line


class Fastening(NamedTuple):
    """Spacings in millimetres and in the author's words."""

    framing: float
    framing_said: str
    apart: float
    apart_said: str


def fastening_of(reader: Reader, built: BuildUp) -> Fastening | None:
    """The spacing of the framing and of what is fixed to it, where both are stated."""
    framing, apart = reader.millimetres("framing.spacing"), None
    for screw in built.screws:
        if screw.apart and screw.apart_said:
            apart = screw.apart, screw.apart_said
            break
    else:
        name = "subfloor panel.fastener spacing in field"
        if reader.said(name) and (middle := reader.millimetres(name)):
            apart = middle, reader.said(name)
    if not framing or apart is None or built.shape in ("solid", ""):
        return None
    return Fastening(framing, reader.said("framing.spacing"), *apart)


def face_view(name: str, title: str, each: Fastening) -> str:
    """The view as SVG; "" where one spacing would not be seen beside the other."""
    scale = min(WIDE / ((MEMBERS - 1) * each.framing), MOST_HIGH / ((FASTENERS - 1) * each.apart))
    across, down, half = each.framing * scale, each.apart * scale, MEMBER * scale / 2
    if min(across, down) < FEWEST_APART:
        return ""
    out, top = headed(title)
    top += 40
    foot = top + (FASTENERS - 1) * down
    right = LEFT + (MEMBERS - 1) * across
    out += element("rect", x=LEFT - half - 3, y=top - 10, width=right - LEFT + 2 * half + 6, height=foot - top + 20, fill=PAPER,
                   stroke=INK, stroke_width=0.9)  # fmt: skip
    for turn in range(MEMBERS):
        x = LEFT + turn * across
        for side in (x - half, x + half):
            out += line(side, top - 10, side, foot + 10, 0.6, stroke_dasharray="6 3")
        for row in range(FASTENERS):
            out += element("circle", cx=x, cy=top + row * down, r=2.2, fill=INK, class_="fastener")
    out += dimension(LEFT, top - 16, LEFT + across, top - 16, each.framing_said)
    out += dimension(LEFT - half - 12, top, LEFT - half - 12, top + down, each.apart_said)
    return sheet(WIDTH, foot + 18, out, name=name, title=title, desc=words.FASTENERS_DESC.format(each.apart_said, each.framing_said))
