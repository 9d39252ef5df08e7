"""The parts of a cut: one layer with its hatching, a grout joint through it, what lies within it, break lines, leaders."""

from collections.abc import Sequence

from validator.papers.drawing.hatching import SOLID, fill_of
from validator.papers.drawing.scale import Drawn
from validator.papers.drawing.svg import INK, PAPER, element, line, path

Point = tuple[float, float]
HALF_JOINT = 2.5
BARS_APART = 18.0  # the cross wires of a mesh
TOOTH, TOOTH_HIGH = 5.0, 1.6  # of lath


def strip(name: str, each: Drawn, corners: Sequence[Point]) -> str:
    """One layer; what is not stated is dashed. Corners: along its face to the structure, then back along its outer face."""
    stated = (each.known or not each.strip.measured) and not each.strip.maybe
    hatched = not each.strip.maybe and (stated or each.strip.hatch != SOLID)
    drawn = path(corners, closed=True, fill=PAPER, stroke="none")
    drawn += path(corners, closed=True, fill=fill_of(name, each.strip.hatch) if hatched else "none",
                  stroke_dasharray=None if stated else "4 3", stroke_width=min(0.9 if stated else 1.1, each.units / 3),
                  data_thing=each.strip.thing)  # fmt: skip
    if each.cut:
        middle = between(corners, 0.5)
        drawn += break_line(_beyond(middle[0], middle[1], 4), _beyond(middle[1], middle[0], 4))
    if each.strip.within and each.units > 4:
        drawn += _lath(*between(corners, 0.5)) if each.strip.within == "mesh" else _lath(*between(corners, 0.16), zigzag=True)
    return drawn


def between(corners: Sequence[Point], share: float) -> tuple[Point, Point]:
    """The line that runs along a layer at a share of its thickness from the structure."""
    inner, outer = (corners[0], corners[1]), (corners[3], corners[2])
    return tuple((x1 + (x2 - x1) * share, y1 + (y2 - y1) * share) for (x1, y1), (x2, y2) in zip(inner, outer))


def _beyond(end: Point, other: Point, by: float) -> Point:
    (x, y), (ox, oy) = end, other
    length = max(0.01, ((x - ox) ** 2 + (y - oy) ** 2) ** 0.5)
    return (x + (x - ox) / length * by, y + (y - oy) / length * by)


def _lath(start: Point, end: Point, *, zigzag: bool = False) -> str:
    """Wire cut through: a line with the cross wires as dots; metal lath as a zigzag."""
    length = max(0.01, ((end[0] - start[0]) ** 2 + (end[1] - start[1]) ** 2) ** 0.5)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    if zigzag:
        points = []
        for turn in range(int(length // TOOTH) + 1):
            aside = -TOOTH_HIGH if turn % 2 else TOOTH_HIGH
            points.append((start[0] + ux * TOOTH * turn + uy * aside, start[1] + uy * TOOTH * turn - ux * aside))
        return path(points, stroke=PAPER, stroke_width=3) + path(points, stroke_width=1.1, class_="lath")
    drawn = line(*start, *end, 2.6, stroke=PAPER) + line(*start, *end, 1.1, stroke_dasharray="12 3", class_="mesh")
    for turn in range(int(length // BARS_APART) + 1):
        at = min(length - 2, 7 + turn * BARS_APART)
        drawn += element("circle", cx=start[0] + ux * at, cy=start[1] + uy * at, r=2, fill=INK, stroke=PAPER, stroke_width=0.6)
    return drawn


def joint(name: str, hatch: str, corners: Sequence[Point], at: float, *, lies: bool) -> str:
    """A grout joint through the tile, its width not to scale; `at` is across the sheet on a floor, down it on a wall."""
    if lies:
        (x1, y1), (x2, y2), (_, y3), (_, y4) = corners
        share = (at - x1) / (x2 - x1)
        low, high = y1 + (y2 - y1) * share, y4 + (y3 - y4) * share
        box = [(at - HALF_JOINT, low), (at + HALF_JOINT, low), (at + HALF_JOINT, high), (at - HALF_JOINT, high)]
    else:
        left, right = corners[0][0], corners[2][0]
        box = [(left, at - HALF_JOINT), (right, at - HALF_JOINT), (right, at + HALF_JOINT), (left, at + HALF_JOINT)]
    return path(box, closed=True, fill=PAPER, stroke="none") + path(box, closed=True, fill=fill_of(name, hatch), stroke_width=0.7)


def break_line(start: Point, end: Point) -> str:
    """A line with a zigzag in its middle: what is drawn goes on, or was cut short, there."""
    (x1, y1), (x2, y2) = start, end
    length = max(0.01, ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length

    def at(along: float, aside: float) -> Point:
        return ((x1 + x2) / 2 + ux * along - uy * aside, (y1 + y2) / 2 + uy * along + ux * aside)

    points = [start, at(-6, 0), at(-2, -5), at(2, 5), at(6, 0), end]
    return path(points, stroke=PAPER, stroke_width=2.6) + path(points, stroke_width=0.9)


def leader(points: Sequence[Point], *, dot: bool = True) -> str:
    """A thin line from a point of the drawing to its words, in pieces that run level and upright."""
    drawn = path(points, stroke=PAPER, stroke_width=2.2) + path(points, stroke_width=0.6)
    return drawn + element("circle", cx=points[0][0], cy=points[0][1], r=2, fill=INK, stroke=PAPER, stroke_width=0.6) if dot else drawn
