"""How pieces meet, cut through and enlarged: corners, seams, a hole, a curb, a niche, a bench, a drain, a deck's edge.

Nothing is to scale. What is stated is drawn whole; what nobody stated is dashed, with a question mark.
"""

from collections.abc import Sequence
from typing import NamedTuple

from validator.papers.drawing.hatching import EMPTY, fill_of
from validator.papers.drawing.svg import INK, PAPER, SIZE, arrow, element, path, text, unsure_arrow
from validator.papers.words import CLAMPED

Point = tuple[float, float]
WIDE, HIGH = 164.0, 110.0
MOST_COATS = 4
COAT = 2.5
BED, TILE, JOINT = 6.0, 9.0, 5.0
SHORTEST_TAPE, LONGEST_TAPE = 12.0, 44.0
USUAL_TAPE = 20.0
TAPE_SCALE = 0.5  # units in a millimetre of its half width


class Face(NamedTuple):
    """What a place is built of as its edges show it."""

    hatch: str = EMPTY  # of what carries the waterproofing and the tile
    membrane: bool = False  # on its face
    liner: bool = False  # under its bed
    tile: bool = False


class Joint(NamedTuple):
    """What is stated of one junction. `tape` is the half width of the tape in units, 0 where there is none or nothing is known."""

    tape: float = 0.0
    coats: int = 0
    first_wet: bool = False
    fill: str = ""  # of the tile's joint: sealant, grout, mortar, left open; "" where not stated
    bead: bool = False  # of sealant, between the pieces behind the tile
    sealed: str = ""  # yes, no or "" where not stated
    collar: bool = False

    @property
    def is_known(self) -> bool:
        """Whether anything tells how the waterproofing goes over the junction."""
        return bool(self.tape or self.coats or self.sealed == "yes")


class Part(NamedTuple):
    """What is stated of a curb, a niche, a bench or a drain."""

    hatch: str = EMPTY
    covered: str = ""  # by the waterproofing: yes, no or ""
    falls: bool | None = None  # none where not stated
    joined: str = ""  # how a drain joins the waterproofing; what is behind a movement joint's filling
    reach: str = ""  # how far a liner goes over a curb
    through: str = ""  # a movement joint, through the mortar: yes, no or ""
    glass: bool = False
    screwed: bool = False
    sealed: str = ""
    trimmed: bool = False


def tape_units(half_width: float | None) -> float:
    """How far a tape is drawn to each side, from its half width in millimetres."""
    return USUAL_TAPE if half_width is None else min(max(half_width * TAPE_SCALE, SHORTEST_TAPE), LONGEST_TAPE)


class Pen:
    """Draws in a picture's own square, from its upper left corner; upside down for what hangs."""

    def __init__(self, name: str, x: float, y: float, *, upside: bool = False) -> None:
        self.name, self.x, self.y, self.upside = name, x, y, upside
        self.out = ""
        self.asked = ""  # question marks, which lie on top of everything

    def at(self, point: Point) -> Point:
        x, y = point
        return self.x + x, self.y + (HIGH - y if self.upside else y)

    def area(self, points: Sequence[Point], hatch: str, *, dashed: bool = False, width: float = 0.9) -> None:
        for fill, stroke in ((PAPER, "none"), (fill_of(self.name, hatch), INK)):
            self.out += path(map(self.at, points), closed=True, fill=fill, stroke=stroke, stroke_width=width,
                             stroke_dasharray="4 3" if dashed and stroke == INK else None)  # fmt: skip

    def box(self, left: float, top: float, right: float, foot: float, hatch: str, *, dashed: bool = False) -> None:
        self.area([(left, top), (right, top), (right, foot), (left, foot)], hatch, dashed=dashed)

    def piece(self, left: float, top: float, right: float, foot: float, face: Face) -> None:
        """What carries the rest; dashed where it is not described."""
        self.box(left, top, right, foot, face.hatch, dashed=face.hatch == EMPTY)

    def band(self, inner: Sequence[Point], outer: Sequence[Point], hatch: str) -> None:
        self.area([*inner, *reversed(outer)], hatch, width=0.7)

    def run(self, points: Sequence[Point], width: float, **more: object) -> None:
        self.out += path(map(self.at, points), stroke_width=width, **more)

    def ask(self, point: Point) -> None:
        x, y = self.at(point)
        self.asked += element("circle", cx=x, cy=y - 4, r=7, fill=PAPER)
        self.asked += text(x, y, "?", SIZE, text_anchor="middle", font_weight="bold")

    def fall(self, start: Point, end: Point, falls: bool | None) -> None:
        """Which way a top falls; nothing where it is stated to be level."""
        if falls is not False:
            drawn = arrow if falls else unsure_arrow
            self.out += drawn(*self.at(start), *self.at(end))

    def membrane(self, points: Sequence[Point], covered: str, ask_at: Point) -> None:
        """The waterproofing over a part: whole, or dashed where it is not, or not stated, to cover it."""
        self.run(points, 2.4, stroke_dasharray=None if covered == "yes" else "5 4", class_="waterproofing")
        if not covered:
            self.ask(ask_at)


def _cover(pen: Pen, off, near: Point, joint: Joint, one: Face, other: Face) -> float:
    """Membrane, tape and coats over a junction; returns how far they stand off the pieces.

    `off(distance)` is the line that runs so far off them, `off(distance, reach)` the part of it near the junction.
    """
    stands = 0.0
    if one.membrane or other.membrane:
        stands = 2.5
        along = off(stands)
        half = len(along) // 2
        pen.run(along if one.membrane and other.membrane else along[: half + 1] if one.membrane else along[-half - 1 :], 2.2,
                class_="waterproofing")  # fmt: skip
        if not joint.is_known:
            near_it = off(stands, USUAL_TAPE)
            pen.run(near_it, 3.4, stroke=PAPER)
            pen.run(near_it, 2.2, stroke_dasharray="4 3")
            pen.ask(near)
    if joint.tape:
        stands += 2.5
        pen.run(off(stands, joint.tape), 3, stroke_dasharray="4 1.5", class_="tape")
    for turn in range(min(joint.coats, MOST_COATS)):
        stands += COAT
        pen.run(off(stands, (joint.tape or USUAL_TAPE) + 8), 1.1,
                stroke_dasharray="1.5 2" if joint.first_wet and turn == 0 else None, class_="coat")  # fmt: skip
    return stands + 2


FILLS = {"sealant": "solid", "grout": "mortar", "mortar": "mortar", "preformed profile": "steel"}


def _fill(pen: Pen, box: tuple[float, float, float, float], joint: Joint) -> None:
    """The joint of the tile where the surfaces meet."""
    pen.box(*box, FILLS.get(joint.fill, EMPTY), dashed=not joint.fill)
    if not joint.fill:
        pen.ask((box[2] + 10, box[3] + 1))


def corner(pen: Pen, joint: Joint, upright: Face, level: Face) -> None:
    """Two pieces in an inside corner: the upright one to the left, the other at the foot."""
    x, y, end = 22.0, 88.0, 156.0
    pen.piece(6, 4, x, y - 3, upright)
    pen.piece(6, y, end, 104, level)
    away = 0.0
    if joint.bead:
        away = 9.0
        pen.area([(x, y), (x + away + 2, y), (x, y - away - 2)], "solid")

    def off(by: float, reach: float = 0.0) -> list[Point]:
        top, right = (max(4, y - by - reach - away), min(end, x + by + reach + away)) if reach else (4, end)
        turn = [(x + by, y - by - away), (x + by + away, y - by)] if away else [(x + by, y - by)]
        return [(x + by, top), *turn, (right, y - by)]

    stands = _cover(pen, off, (14, 101), joint, upright, level)
    if level.liner:
        pen.run([(x + 1, 106), (end, 106)], 2.2, class_="waterproofing")
        pen.run([(x + 1, 106), (x + 1, y - 34)], 2.2, stroke_dasharray=None if joint.is_known else "4 3", class_="upturn")
        if not joint.is_known:
            pen.ask((14, 101))
    if upright.tile:
        floor = y - (stands + BED + TILE if level.tile else 1)
        if level.tile:
            pen.box(x + stands, y - stands - BED, end, y - stands, "mortar")
            pen.box(x + stands + BED, floor, end, floor + TILE, "tile")
        pen.box(x + stands, 4, x + stands + BED, floor - JOINT, "mortar")
        pen.box(x + stands + BED, 4, x + stands + BED + TILE, floor - JOINT, "tile")
        _fill(pen, (x + stands + BED, floor - JOINT, x + stands + BED + TILE, floor), joint)
    elif level.tile:
        edge = x + stands + JOINT
        pen.box(edge, y - stands - BED, end, y - stands, "mortar")
        pen.box(edge, y - stands - BED - TILE, end, y - stands - BED, "tile")
        _fill(pen, (x + stands, y - stands - BED - TILE, edge, y - stands), joint)


def outside(pen: Pen, joint: Joint, one: Face, other: Face) -> None:
    """Two pieces about an outside corner, the room above and to the right."""
    x, y = 96.0, 52.0
    pen.piece(6, y, x, y + 16, one)
    pen.piece(x - 16, y + 18, x, 106, other)

    def off(by: float, reach: float = 0.0) -> list[Point]:
        left, foot = (x - reach, y + reach) if reach else (6, 106)
        return [(left, y - by), (x + by, y - by), (x + by, foot)]

    stands = _cover(pen, off, (x - 10, y + 13), joint, one, other)
    if one.tile or other.tile or joint.fill:
        bed, face = off(stands + BED), off(stands + BED + TILE)
        pen.band(off(stands), bed, "mortar")
        pen.band(bed[:2], [face[0], (bed[1][0], face[1][1])], "tile")
        pen.band(bed[1:], [(face[1][0], bed[1][1]), face[2]], "tile")
        _fill(pen, (bed[1][0], face[1][1], face[1][0], bed[1][1]), joint)


def seam(pen: Pen, joint: Joint, face: Face) -> None:
    """Two pieces of one surface edge to edge."""
    y, middle = 66.0, 82.0
    pen.piece(4, y, middle - 2, y + 20, face)
    pen.piece(middle + 2, y, 160, y + 20, face)
    if joint.bead or joint.fill:
        pen.box(middle - 2, y, middle + 2, y + 20, "solid" if joint.bead else FILLS.get(joint.fill, EMPTY))

    def off(by: float, reach: float = 0.0) -> list[Point]:
        return [(middle - reach, y - by), (middle + reach, y - by)] if reach else [(4, y - by), (160, y - by)]

    stands = _cover(pen, off, (middle, y + 15), joint, face, face)
    if face.tile:
        pen.box(4, y - stands - BED, 160, y - stands, "mortar")
        pen.box(4, y - stands - BED - TILE, 160, y - stands - BED, "tile")


def soft_joint(pen: Pen, joint: Joint, part: Part, face: Face) -> None:
    """A movement joint in the field: its filling above, and what holds it off the bottom."""
    y, left, right, high = 74.0, 74.0, 90.0, 14.0  # the tile drawn higher than elsewhere, to hold the filling and what is behind it
    stands = 4.0 if face.membrane else 0.0
    top, bed = y - stands - BED - high, y - stands - BED
    pen.piece(4, y, 160, y + 24, face)
    if face.membrane:
        pen.run([(4, y - 2.5), (160, y - 2.5)], 2.2, class_="waterproofing")
    for start, end in ((4, left), (right, 160)):
        pen.box(start, bed, end, y - stands, "mortar")
        pen.box(start, top, end, bed, "tile")
    foot = bed if part.through == "no" else y - stands
    if part.through == "no":
        pen.box(left, bed, right, y - stands, "mortar")
    pen.box(left, top, right, foot, EMPTY, dashed=not part.through)
    _fill(pen, (left, top, right, top + high / 2), joint)
    match part.joined:
        case "foam rod":
            x, middle = pen.at(((left + right) / 2, top + high / 2 + 7))
            pen.out += element("circle", cx=x, cy=middle, r=6.5, fill=PAPER, stroke=INK, stroke_width=1, class_="rod")
        case "bond-breaker tape":
            pen.run([(left, foot - 1.5), (right, foot - 1.5)], 2.6, stroke_dasharray="3 1.5")
        case "mortar":
            pen.box(left, top + high / 2, right, foot, "mortar")


def hole(pen: Pen, joint: Joint, face: Face) -> None:
    """A pipe through a surface, seen from the room."""
    x, y = pen.at((82, 56))
    pen.piece(14, 4, 150, 106, face)
    if joint.collar or joint.tape:
        pen.out += element("circle", cx=x, cy=y, r=40, fill=PAPER, stroke=INK, stroke_width=2, stroke_dasharray="5 2")
    pen.out += element("circle", cx=x, cy=y, r=23, fill=PAPER, stroke=INK, stroke_width=1.2)
    if joint.bead or joint.sealed == "yes":
        pen.out += element("circle", cx=x, cy=y, r=20, fill="none", stroke=INK, stroke_width=5)
    elif not joint.sealed:
        pen.out += element("circle", cx=x, cy=y, r=20, fill="none", stroke=INK, stroke_width=1.2, stroke_dasharray="4 3")
        pen.ask((112, 40))
    pen.out += element("circle", cx=x, cy=y, r=15, fill=PAPER, stroke=INK, stroke_width=1.2)


def _tiled(pen: Pen, off, face: Face) -> None:
    if face.tile:
        pen.band(off(4), off(4 + BED), "mortar")
        pen.band(off(4 + BED), off(4 + BED + TILE), "tile")


def curb(pen: Pen, part: Part, floor: Face) -> None:
    """A curb cut across: the shower to the left, the room to the right."""
    drop = 5.0 if part.falls else 0.0
    pen.piece(2, 90, 66, 106, floor)
    pen.piece(98, 86, 162, 106, Face())
    pen.area([(66, 48 + drop), (98, 48), (98, 106), (66, 106)], part.hatch, dashed=part.hatch == EMPTY)

    def off(by: float) -> list[Point]:
        return [(2, 90 - by), (66 - by, 90 - by), (66 - by, 48 + drop - by), (98 + by, 48 - by), (98 + by, 86)]

    _tiled(pen, off, floor)
    line = off(2.5)
    if part.reach:
        ends = {"over the top": line[:4], "cut short": [*line[:2], (line[1][0], line[1][1] - 16)]}
        pen.run(ends.get(part.reach, line), 2.4, class_="waterproofing")
    else:
        pen.membrane(line, part.covered, (82, 80))
    top = 48.0 - (4 + BED + TILE if floor.tile else 4)
    if part.glass:
        pen.box(92, 2, 97, top, EMPTY)
        if part.screwed:
            pen.run([(94.5, top - 6), (94.5, 66)], 2)
    pen.fall((84, top - 7), (52, top - 7 + drop), part.falls)


def glass(pen: Pen, floor: Face) -> None:
    """Glass that stands on the floor: the shower to the left, the room to the right."""
    pen.piece(4, 90, 160, 106, floor)

    def off(by: float) -> list[Point]:
        return [(4, 90 - by), (160, 90 - by)]

    _tiled(pen, off, floor)
    if floor.membrane:
        pen.run(off(2.5), 2.2, class_="waterproofing")
    top = 90.0 - (4 + BED + TILE if floor.tile else 4)
    pen.box(79.5, 2, 84.5, top, EMPTY)


def niche(pen: Pen, part: Part, wall: Face) -> None:
    """A niche cut upright: the wall's face to the right, the recess to the left, its sill falling to the room."""
    drop = 6.0 if part.falls else 0.0
    pen.piece(84, 2, 98, 22, wall)
    pen.piece(84, 96, 98, 108, wall)
    sill = 82.0
    pen.area([(98, 16), (98, 24), (34, 24), (34, sill - drop), (98, sill), (98, 96), (24, 96), (24, 16)], part.hatch,
             dashed=part.hatch == EMPTY)  # fmt: skip

    def off(by: float) -> list[Point]:
        return [(98 + by, 2), (98 + by, 24 + by), (34 + by, 24 + by), (34 + by, sill - drop - by), (98 + by, sill - by), (98 + by, 108)]

    _tiled(pen, off, wall)
    pen.membrane(off(2.5), part.covered, (30, 57))
    pen.fall((120, sill - 32 - drop / 2), (152, sill - 28), part.falls)


def bench(pen: Pen, part: Part, wall: Face) -> None:
    """A bench cut across: the wall to the left, its seat falling to the room."""
    drop = 6.0 if part.falls else 0.0
    pen.piece(6, 4, 22, 106, wall)
    pen.area([(22, 56), (112, 56 + drop), (112, 106), (22, 106)], part.hatch, dashed=part.hatch == EMPTY)

    def off(by: float) -> list[Point]:
        return [(22 + by, 4), (22 + by, 56 - by), (112 + by, 56 + drop - by), (112 + by, 106)]

    _tiled(pen, off, wall)
    pen.membrane(off(2.5), part.covered, (68, 88))
    pen.fall((62, 22), (102, 22 + drop / 2), part.falls)


def drain(pen: Pen, part: Part, floor: Face, lapped: bool) -> None:
    """A drain cut through: its flange, how the waterproofing reaches it, the grate level with the tile."""
    y = 66.0
    pen.piece(2, y, 62, y + 18, floor)
    pen.piece(102, y, 162, y + 18, floor)
    stands, bed = 4.0, 2.5 * BED if floor.liner else BED
    clamped, joined = part.joined.startswith(CLAMPED), bool(part.joined)
    if floor.tile:
        for left, right in ((2, 66), (98, 162)):
            pen.box(left, y - stands - bed, right, y - stands, "mortar")
            pen.box(left, y - stands - bed - TILE, right, y - stands - bed, "tile")
    top = y - stands - bed - TILE
    for side in (-1, 1):
        x = 82.0 + side * 14  # of the throat's wall
        pen.run([(x, y + 1), (x, 108)], 1.6)
        pen.run([(x, y + 1), (x + side * 24, y + 1)], 2.6, stroke_dasharray=None if joined else "5 3", class_="flange")
        known = (floor.membrane or floor.liner) and (joined or lapped)
        if floor.membrane or floor.liner or not joined:
            pen.run([(82 + side * 80, y - 2), (x + side * (2 if known else 24), y - 2)], 2.2,
                    stroke_dasharray=None if known else "5 4", class_="waterproofing")  # fmt: skip
        if clamped:
            pen.run([(x + side * 2, y - 5.5), (x + side * 20, y - 5.5)], 2.6, class_="ring")
            pen.run([(x + side * 12, y - 8), (x + side * 12, y + 8)], 1.4)
        pen.run([(82 + side * 15, y - 4), (82 + side * 15, top + 1)], 1.2)
        if part.sealed == "yes":
            pen.run([(82 + side * 16.5, top), (82 + side * 16.5, y - stands)], 3)
    pen.run([(68, top + 1.5), (96, top + 1.5)], 3, stroke_dasharray="3 1.5")
    if not (joined or lapped):
        pen.ask((126, y - 24 if not floor.tile else top - 4))


def deck_edge(pen: Pen, part: Part, deck: Face) -> None:
    """The edge of a deck: the trim where it is written, else where flashing and drip would be, dashed."""
    pen.piece(4, 58, 112, 100, deck)
    if deck.membrane:
        pen.run([(4, 55.5), (112, 55.5)], 2.2, class_="waterproofing")
    if deck.liner:
        pen.run([(4, 102), (112, 102)], 2.2, class_="waterproofing")
    if deck.tile:
        top = 54.0 if deck.membrane else 58.0
        pen.box(4, top - BED, 112, top, "mortar")
        pen.box(4, top - BED - TILE, 112, top - BED, "tile")
    edge = [(96, 56), (118, 56), (118, 76), (126, 84)]
    pen.run(edge, 2.0, stroke_dasharray="5 4")
    pen.ask((138, 70))
    if part.trimmed:
        pen.run([(100, 54), (116, 54), (116, 38)], 2.4)
