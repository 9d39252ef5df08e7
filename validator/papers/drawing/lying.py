"""What lies flat, cut upright: a floor with its structure below, a ceiling with its structure above and its finish at the bottom."""

from validator.papers import words
from validator.papers.drawing.balloons import Balloons
from validator.papers.drawing.framing import fastener, joist, upside_down
from validator.papers.drawing.rows import LEFT, Place, Row, Sheet
from validator.papers.drawing.strips import joint, leader, strip
from validator.papers.drawing.svg import PAPER, SMALL, arrow, element, line, text, unsure_arrow

FACE = 108.0  # how much of the surface is shown
RIGHT = LEFT + FACE
THICK = 170.0  # what the layers may take of the sheet
FRAMING, MOST_FRAMING = 50.0, 112.0  # how deep joists are drawn: as deep as a screw goes
JOIST, JOIST_AT, OTHER_JOIST_AT = 22.0, LEFT + 34, RIGHT - 32
DRAIN = 16.0
AWAY = 17.0  # the arrow of the fall, from the surface
ROOM_FOR_FALL = 34.0
MOST_LED = 30  # leaders; more would be one black band, and the words stand in the layers' order
MOST_RISE = 14.0
SLOPES = ("mortar bed", "foam pan", "pre-slope")
WATERPROOFING = ("membrane", "liner", "foam pan")


def screw_at(turn: int) -> float:
    """Kinds of screws stand in the middle of one joist and the other by turns."""
    return (JOIST_AT, OTHER_JOIST_AT)[turn % 2] + JOIST / 2


class Lying(Sheet):
    def __init__(self, name: str, place: Place, balloons: Balloons) -> None:
        super().__init__(name, place, balloons, THICK, MOST_FRAMING - 12)
        self.hangs = place.lies == "ceiling"
        self.up = -1 if self.hangs else 1  # from the structure outwards
        self.note = words.FROM_BELOW if self.hangs else ""
        self.face = RIGHT
        reach = max((self.length(each) - self.through(each) for each in self.built.screws), default=0.0)
        self.framing = min(max(FRAMING, reach + 12), MOST_FRAMING)
        self.base = 0.0  # the structure's face

    def level(self, height: float) -> float:
        """Where a height above the structure's face is on the sheet."""
        return self.base - self.up * height

    def cut(self, top: float, words_end: float, rows: list[Row]) -> float:
        total = sum(each.units for each in self.drawn_strips)
        led = len(rows) <= MOST_LED
        spare = max(ROOM_FOR_FALL, (words_end - top - total - self.framing) / 2 if led else 0)
        self.base = top + (self.framing + spare / 2 if self.hangs else total + spare)
        fall = self.place.fall
        rise = min(abs(fall.ratio) * FACE, MOST_RISE) if fall is not None and fall.to_drain else 0.0
        height = drop = 0.0
        sides: list[float] = []  # the middle of each strip at its right end
        for turn, each in enumerate(self.drawn_strips):
            lower = drop
            if not drop and (each.strip.thing in SLOPES or turn == len(self.drawn_strips) - 2):
                drop = rise
            corners = [
                (LEFT, self.level(height)), (RIGHT, self.level(height + lower)),
                (RIGHT, self.level(height + each.units + drop)), (LEFT, self.level(height + each.units)),
            ]  # fmt: skip
            self.out += strip(self.name, each, corners)
            if each.strip.thing == "tile" and self.built.grout is not None:
                for at in self._joints():
                    self.out += joint(self.name, self.built.grout.hatch, corners, at, lies=True)
            sides.append(self.level(height + (each.units + lower + drop) / 2))
            height += each.units
        self._joists()
        if self.place.drain is not None and self.drawn_strips:
            self._drain(height)
        for turn, screw in enumerate(self.built.screws):
            if through := self.through(screw):
                stated = screw.length is not None
                self.out += fastener(screw_at(turn), self.level(through), 0, self.up, self.length(screw), stated=stated)
        if led:
            self._leaders(rows, sides, height + drop)
        if fall is not None and self.drawn_strips:
            at = self.level(height + drop + AWAY)
            ends = (LEFT + FACE * 0.7, at, LEFT + 4, at)
            self.out += arrow(*ends, class_="fall") if fall.to_drain else unsure_arrow(*ends)
        if self.hangs:
            return self.level(height) + ROOM_FOR_FALL
        return self.base + (self.framing + 8 if self.built.framing is not None else 4)

    def _joints(self) -> tuple[float, float]:
        return (LEFT + FACE * 0.3, LEFT + FACE * 0.72)

    def _leaders(self, rows: list[Row], sides: list[float], surface: float) -> None:
        """Each upright part of a leader has a lane of its own, so that no two leaders cross or run together."""
        starts = {
            "fall": (LEFT + FACE * 0.7, self.level(surface + AWAY)),
            "grout": (self._joints()[-1], self.level(surface - 2)),
            "framing": (OTHER_JOIST_AT + JOIST - 3, self.level(-30)),
        }
        leaders = []
        for row in rows:
            if row.sort == "layer":
                x, y = RIGHT - 6, sides[row.turn]
            elif row.sort == "screw":
                # Below the middle of the layer that it holds, so that its leader stays between the layers' own.
                screw = self.built.screws[row.turn]
                held = self.drawn_strips[screw.head].units * 0.85 if screw.head is not None else 0.0
                x, y = screw_at(row.turn), self.level(self.through(screw) - held)
            else:
                x, y = starts[row.sort]
            if row.sort != "grout" or self.drawn_strips:
                leaders.append((row.sort, x, y, row.level))
        rising = [each for each in leaders if each[-1] < each[-2]]
        falling = [each for each in reversed(leaders) if each[-1] >= each[-2]]
        for lane in (rising, falling):
            for turn, (sort, x, y, words_y) in enumerate(lane, 1):
                upright = RIGHT + turn * (self.words_at - RIGHT - 4) / (len(lane) + 1)
                self.out += leader([(x, y), (upright, y), (upright, words_y), (self.words_at - 4, words_y)], dot=sort != "fall")

    def _joists(self) -> None:
        """Two joists cut across, with a break beyond; a slab or the ground has none."""
        framing = self.built.framing
        if framing is None or self.built.shape == "solid":
            return
        drawn = "".join(joist(self.built.shape, (x, self.base, JOIST, self.framing)) for x in (JOIST_AT, OTHER_JOIST_AT))
        self.out += upside_down(drawn, self.base) if self.hangs else drawn

    def _drain(self, surface: float) -> None:
        """A drain at the low end: its throat through every layer, the grate, and the flange in the waterproofing."""
        left, right, top, foot = LEFT, LEFT + DRAIN, self.level(surface), self.base + 14
        self.out += element("rect", x=left, y=top, width=DRAIN, height=foot - top, fill=PAPER, stroke="none")
        self.out += line(left, top, left, foot, 1.6) + line(right, top, right, foot, 1.6)
        self.out += line(left - 2, top + 1.5, right + 2, top + 1.5, 3, stroke_dasharray="3 1.5")
        level, height = None, 0.0
        for each in self.drawn_strips:
            height += each.units
            if each.strip.thing in WATERPROOFING:
                level = self.level(height)
        if level is not None:
            self.out += line(right, level, right + 16, level, 2.6, class_="flange")
            if self.place.drain.startswith(words.CLAMPED):
                self.out += line(right, level - 5, right + 12, level - 5, 2)
        self.out += text(left - 4, foot + 11, words.DRAIN, SMALL)
