"""A wall, cut level and seen from above: its structure to the left, so that a stud shows what it is."""

from validator.papers import words
from validator.papers.drawing.balloons import Balloons
from validator.papers.drawing.framing import fastener, stud
from validator.papers.drawing.hatching import fill_of
from validator.papers.drawing.rows import LEFT, Place, Row, Sheet
from validator.papers.drawing.strips import break_line, joint, leader, strip
from validator.papers.drawing.svg import INK, element

WIDE = 66.0  # what the layers may take of the sheet
STUD, MOST_STUD = 36.0, 78.0  # how deep a stud is drawn: as deep as a screw goes
BREADTH = {"channel": 41.3, "sawn": 38.1}  # in millimetres: 1-5/8 in, 1-1/2 in, the usual ones; common practice, no source
LEAST_BREADTH, MOST_BREADTH = 30.0, 84.0


class Standing(Sheet):
    upright = True

    def __init__(self, name: str, place: Place, balloons: Balloons) -> None:
        super().__init__(name, place, balloons, WIDE, MOST_STUD - 8)
        self.note = words.LEVEL_CUT
        self.depth = self._depth()
        self.face = LEFT + self.depth + sum(each.units for each in self.drawn_strips)

    def _depth(self) -> float:
        """How much of the framing is shown: enough for the screw's point, and nothing of what nobody described."""
        if self.built.framing is None and not self.built.screws:
            return 0.0
        reach = max((self.length(each) - self.through(each) for each in self.built.screws), default=0.0)
        return min(max(STUD, reach + 8), MOST_STUD)

    def cut(self, top: float, words_end: float, rows: list[Row]) -> float:
        foot = max(words_end, top + 110)
        member = self._member(top, foot, rows)
        x = behind = LEFT + self.depth
        first_joint = next((row.level for row in rows if row.sort == "grout"), top + (foot - top) * 0.3)
        middles: list[float] = []
        for each in self.drawn_strips:
            corners = [(x, foot), (x, top), (x + each.units, top), (x + each.units, foot)]
            self.out += strip(self.name, each, corners)
            if each.strip.thing == "tile" and self.built.grout is not None:
                for at in (first_joint, top + (foot - top) * 0.72):
                    self.out += joint(self.name, self.built.grout.hatch, corners, at, lies=False)
            middles.append(x + each.units / 2)
            x += each.units
        for y in (top, foot):
            self.out += break_line((LEFT - 5, y), (x + 5, y))
        for row in rows:
            y, end = row.level, (self.words_at - 4, row.level)
            if row.sort == "layer":
                self.out += leader([(middles[row.turn], y), end])
            elif row.sort == "screw":
                screw = self.built.screws[row.turn]
                head = behind + self.through(screw)
                self.out += fastener(head, y, -1, 0, self.length(screw), stated=screw.length is not None)
                self.out += leader([(head, y), end], dot=False)
            elif row.sort == "framing":
                self.out += leader([*self._of_member(member, y), end])
            elif row.sort == "grout" and self.drawn_strips:
                self.out += leader([(x - 2, y), end])
        return foot

    def _member(self, top: float, foot: float, rows: list[Row]) -> tuple[float, float]:
        """Draws the stud about its screws, or the whole of a masonry wall; returns where it begins and ends down the sheet."""
        framing, shape = self.built.framing, self.built.shape
        if not self.depth:
            return top, foot
        if shape == "solid":
            self.out += element("rect", x=LEFT, y=top, width=self.depth, height=foot - top, fill=fill_of(self.name, framing.hatch),
                                stroke=INK, stroke_width=1)  # fmt: skip
            return top, foot
        held = [row.level for row in rows if row.sort == "screw"] or [row.level for row in rows if row.sort == "framing"]
        breadth = min(max(BREADTH.get(shape, BREADTH["sawn"]) * self.scale, LEAST_BREADTH), MOST_BREADTH)
        begin, end = max(held[0] - breadth / 2, top + 8), min(held[-1] + breadth / 2, foot - 8)
        self.out += stud(shape, (LEFT, begin, self.depth, end - begin))
        return begin, end

    def _of_member(self, member: tuple[float, float], y: float) -> list[tuple[float, float]]:
        """Where the leader of the framing starts: level with its words, or on the stud's end and then down to them."""
        begin, end = member
        x = LEFT + self.depth * (0.3 if self.built.shape == "channel" else 0.5)
        if begin <= y <= end:
            return [(LEFT + self.depth - 1, y)] if self.built.shape == "channel" else [(x, y)]
        return [(x, end - 1 if y > end else begin + 1), (x, y)]
