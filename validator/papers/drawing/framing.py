"""Framing cut across: sawn wood with its growth rings, I-joists, trusses' chords, light steel as channels.

What is drawn is the shape; depth and breadth are not to scale. A member whose material is not stated is a dashed outline.
"""

from validator.papers.drawing.svg import INK, PAPER, element, line, path

Box = tuple[float, float, float, float]  # left, top, width, height
RINGS_APART = 4.0
STEEL = 2.2  # the line of a sheet of steel
LIP = 9.0
FLANGE = 9.0  # of an I-joist


def joist(shape: str, box: Box) -> str:
    """One joist that goes on below, with a break line at its foot."""
    x, y, wide, deep = box
    foot = y + deep
    match shape:
        case "channel":
            drawn = path([(x + wide, y + LIP), (x + wide, y + 1), (x, y + 1), (x, foot)], stroke_width=STEEL)
        case "i-joist":
            drawn = _sawn(x, y, wide, FLANGE) + element(
                "rect", x=x + wide / 2 - 2, y=y + FLANGE, width=4, height=deep - FLANGE, fill=PAPER, stroke=INK, stroke_width=1
            )
        case "truss":
            return _sawn(x, y, wide, FLANGE + 3)  # the chord alone: its web stands elsewhere
        case "sawn":
            drawn = _sawn(x, y, wide, deep)
        case _:
            drawn = _unknown(x, y, wide, deep)
    middle = x + wide / 2
    ends = [(x - 5, foot), (middle - 4, foot), (middle - 1, foot - 5), (middle + 2, foot + 5), (middle + 5, foot), (x + wide + 5, foot)]
    return drawn + path(ends, stroke=PAPER, stroke_width=2.4) + path(ends, stroke_width=0.9)


def upside_down(drawn: str, axis: float) -> str:
    """What stands below a level, mirrored to hang above it."""
    return element("g", drawn, transform=f"matrix(1 0 0 -1 0 {2 * axis:.2f})")


def stud(shape: str, box: Box) -> str:
    """One stud between its two faces, cut level: the wall's layers are fixed to its right face."""
    x, y, wide, high = box
    right, foot = x + wide, y + high
    match shape:
        case "channel":
            points = [(x + LIP, y + 1), (x + 1, y + 1), (x + 1, foot - 1), (right - 1, foot - 1), (right - 1, y + 1), (right - LIP, y + 1)]
            middle = x + wide / 2  # its web is broken, since its depth is not to scale
            gap = [(middle - 3, foot + 4), (middle + 1, foot - 6)], [(middle + 3, foot + 4), (middle + 7, foot - 6)]
            drawn = path(points, stroke_width=STEEL, class_="channel")
            drawn += path([*gap[0], *reversed(gap[1])], closed=True, fill=PAPER, stroke="none")
            return drawn + "".join(path(each, stroke_width=0.9) for each in gap)
        case "i-joist" | "truss" | "sawn":
            return _sawn(x, y, wide, high, upright=True)
        case _:
            return _unknown(x, y, wide, high)


def _sawn(x: float, y: float, wide: float, high: float, *, upright: bool = False) -> str:
    """Sawn wood cut across: its outline and the growth rings of a board sawn beside the heart."""
    drawn = element("rect", x=x, y=y, width=wide, height=high, fill=PAPER, stroke=INK, stroke_width=1.1, class_="sawn")
    across, along = (high, wide) if upright else (wide, high)
    bow = min(across / 4, along / 3, 9.0)  # how far a ring bows; its curve's pull is twice as far
    at = RINGS_APART
    while at + bow < along - 0.5:
        if upright:
            d = f"M{x + at:.2f} {y:.2f} Q{x + at + 2 * bow:.2f} {y + high / 2:.2f} {x + at:.2f} {y + high:.2f}"
        else:
            d = f"M{x:.2f} {y + at:.2f} Q{x + wide / 2:.2f} {y + at + 2 * bow:.2f} {x + wide:.2f} {y + at:.2f}"
        drawn += element("path", d=d, fill="none", stroke=INK, stroke_width=0.45)
        at += RINGS_APART
    return drawn


def _unknown(x: float, y: float, wide: float, high: float) -> str:
    return element("rect", x=x, y=y, width=wide, height=high, fill=PAPER, stroke=INK, stroke_width=1.1, stroke_dasharray="4 3")


def fastener(x: float, y: float, dx: float, dy: float, length: float, *, stated: bool) -> str:
    """A screw from its head inwards along a direction; dashed where its length is not stated."""
    tip_x, tip_y = x + dx * length, y + dy * length
    drawn = line(x, y, tip_x, tip_y, 4.2, stroke=PAPER)
    drawn += line(x, y, tip_x, tip_y, 2.2, stroke_dasharray=None if stated else "3 2", class_="screw")
    drawn += line(x - 5 * dy, y - 5 * dx, x + 5 * dy, y + 5 * dx, 2.4)
    for turn in range(2, int(length // 4)):
        px, py = x + dx * turn * 4, y + dy * turn * 4
        drawn += line(px - 2.4 * dy, py - 2.4 * dx, px + 2.4 * dy + 1.2 * dx, py + 2.4 * dx + 1.2 * dy, 0.7)
    return drawn
