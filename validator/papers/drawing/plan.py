"""The plan of a floor: its outline to scale, the drain, the falls, the curb, movement joints, the tile grid, where it is cut."""

from collections.abc import Sequence
from math import sqrt

from validator.facts.possible import in_words
from validator.facts.vocabulary import NONE, THERE
from validator.papers import words
from validator.papers.drawing.balloons import RADIUS, STEP, Balloons, rows_of
from validator.papers.drawing.balloons import in_words as told_of
from validator.papers.drawing.falls import Fall
from validator.papers.drawing.hatching import fill_of, hatch_defs, hatch_of_part
from validator.papers.drawing.layers import Reader
from validator.papers.drawing.scale import scale_bars
from validator.papers.drawing.svg import (
    INK,
    LEADING,
    PALE,
    PAPER,
    SIZE,
    WIDTH,
    arrow,
    dimension,
    element,
    headed,
    lettered,
    line,
    paragraph,
    sheet,
    short,
    text,
    unsure_arrow,
)
from validator.papers.numbering import Mark

WIDEST, DEEPEST = 284.0, 190.0
LEFT = 46.0
MOST_TILES = 40
MOST_JOINTS = 60
DRAINED_FROM = ("along a wall", "under a wall")  # drawn at the left wall, since which wall is not said
CUT_BEYOND = 12.0  # how far the ends of a cut stand beside the outline


def plan(title: str, reader: Reader, marks: dict[str, list[Mark]], fall: Fall | None, cut: str, balloons: Balloons) -> str:
    """The plan of one floor as SVG. Only what is described is drawn; what is not stated is dashed or said in words.

    `cut` is the letter of the section, "" where it is cut anywhere.
    """
    return _Plan(short(title, 200), reader, marks, fall, cut, balloons).drawn()


class _Plan:
    def __init__(
        self, title: str, reader: Reader, marks: dict[str, list[Mark]], fall: Fall | None, cut: str, balloons: Balloons
    ) -> None:
        self.name, self.title, self.reader, self.marks, self.fall, self.cut = balloons.drawing, title, reader, marks, fall, cut
        self.balloons = balloons
        self.long = reader.millimetres("place.greatest dimension")
        self.short = reader.millimetres("place.least dimension")
        self.known = bool(self.long and self.short)
        if not self.known:
            self.long, self.short = 1500.0, 1000.0
        self.scale = min(WIDEST / self.long, DEEPEST / self.short)
        self.wide, self.deep = self.long * self.scale, max(self.short * self.scale, 6.0)
        self.hatches: set[str] = set()
        self.told: list[tuple[str, Sequence[Mark]]] = []
        self.placed: set[str] = set()
        self.out = ""

    def drawn(self) -> str:
        self.out, self.top = headed(self.title)
        self.top += 6
        self._outline()
        self._grid()
        self._movement_joints()
        foot = self.top + self.deep
        foot += self._curb(foot)
        self._drain()
        self._dimensions(foot)
        foot += 34
        for said, marks in self.told:
            lines = lettered(said, WIDTH - 20, SIZE)
            self.out += paragraph(8, foot + 9, lines, SIZE)
            foot += len(lines) * SIZE * LEADING
            if marks:
                self.out += self.balloons.rows(8, foot + RADIUS, marks, WIDTH - 20)
                foot += rows_of(marks, WIDTH - 20) * STEP
            foot += 5
        # The marks of what stands in no row of its own.
        rest = [mark for thing, marks in self.marks.items() if thing not in self.placed for mark in marks]
        rest = list(dict.fromkeys(rest))
        if rest:
            self.out += text(8, foot + 9, words.WHOLE_PLACE, SIZE)
            foot += SIZE * LEADING
            self.out += self.balloons.rows(8, foot + RADIUS, rest, WIDTH - 20)
            foot += rows_of(rest, WIDTH - 20) * STEP + 4
        if self.known:
            self.out += scale_bars(8, foot + 4, self.scale, self.reader.metric)
            foot += 18
        if self.balloons.placed:
            self.out += self.balloons.key(8, foot + 9)
            foot += 18
        said = [f"{each} ({words.MARKED.format(told_of(marks))})" if marks else each for each, marks in self.told]
        said += [f"{words.WHOLE_PLACE} ({words.MARKED.format(told_of(rest))})"] if rest else []
        desc = words.PLAN_DESC.format(self.title, self._size(), "; ".join(said))
        return sheet(
            WIDTH, foot + 4, hatch_defs(self.name, self.hatches) + self.out, name=self.name, title=self.title, desc=desc
        )

    def _of(self, thing: str) -> Sequence[Mark]:
        """The marks of a thing, which then stand in its row."""
        self.placed.add(thing)
        return self.marks.get(thing, ())

    def _size(self) -> str:
        return self.reader.said("place.size") or self.reader.said("place.greatest dimension") or words.SIZE_NOT_STATED

    def _there(self, thing: str) -> bool:
        return self.reader.value(thing) == THERE

    def _outline(self) -> None:
        dashed = None if self.known else "6 4"
        self.out += element("rect", x=LEFT, y=self.top, width=self.wide, height=self.deep, fill=PAPER, stroke=INK, stroke_width=2,
                            stroke_dasharray=dashed)  # fmt: skip
        if not self.known:
            self.told.append((words.SIZE_NOT_STATED, ()))

    def _grid(self) -> None:
        """Tile to scale, where there are few enough to be seen."""
        long, least = self.reader.millimetres("tile.longest edge"), self.reader.millimetres("tile.shortest edge")
        if not (self.known and long and least) or self.long / least > MOST_TILES:
            return
        for edge, length, level in ((long, self.long, False), (least, self.short, True)):
            for turn in range(1, int(length / edge) + 1):
                at = turn * edge * self.scale
                if level and at < self.deep:
                    self.out += line(LEFT, self.top + at, LEFT + self.wide, self.top + at, 0.35, stroke=PALE)
                elif not level and at < self.wide:
                    self.out += line(LEFT + at, self.top, LEFT + at, self.top + self.deep, 0.35, stroke=PALE)
        self.told.append((words.GRID.format(self.reader.said("tile.size")), ()))

    def _movement_joints(self) -> None:
        if not self._there("movement joint"):
            return
        spacing = self.reader.millimetres("movement joint.spacing")
        marks = self._of("movement joint")
        said = []
        if spacing and self.known:
            for length, level in ((self.long, False), (self.short, True)):
                for turn in range(1, min(int(length / spacing), MOST_JOINTS) + 1):
                    at = turn * spacing * self.scale
                    if at < (self.deep if level else self.wide) - 1:
                        ends = (
                            (LEFT, self.top + at, LEFT + self.wide, self.top + at)
                            if level
                            else (LEFT + at, self.top, LEFT + at, self.top + self.deep)
                        )
                        self.out += line(*ends, 3, stroke=PAPER) + line(
                            *ends, 1.8, stroke_dasharray="10 3 2 3", class_="movement-joint"
                        )
        if spacing:
            width = self.reader.said("movement joint.width")
            said.append(words.JOINT_LINES.format(self.reader.said("movement joint.spacing")) + (f", {width}" if width else ""))
        if self.reader.said("movement joint.at perimeter") == "yes":
            self.out += element("rect", x=LEFT + 4, y=self.top + 4, width=max(1, self.wide - 8), height=max(1, self.deep - 8), fill="none",
                                stroke=INK, stroke_width=1.6, stroke_dasharray="10 3 2 3")  # fmt: skip
            said.append(words.PERIMETER)
        self.told.append(("; ".join(said) or words.JOINT_LINES.format("?"), marks))

    def _curb(self, foot: float) -> float:
        marks = self._of("curb")
        presence = self.reader.value("curb")
        opening = self.reader.said("place.access opening")
        said = [words.OPENING.format(opening)] if opening else []
        if presence == NONE:
            if marks or self.reader.said("place.kind") == "shower floor":
                self.told.append((", ".join([words.NO_CURB, *said]), marks))
            return 0.0
        if presence != THERE:
            if marks or said:
                self.told.append((", ".join([f"{words.CURB}?", *said]), marks))
            return 0.0
        material = self.reader.said("curb.material")
        hatch = hatch_of_part(material)
        self.hatches.add(hatch)
        self.out += element(
            "rect", x=LEFT, y=foot, width=self.wide, height=12, fill=fill_of(self.name, hatch), stroke=INK, stroke_width=1
        )
        told = [words.CURB, *([material] if material else []), *said, words.SIDE_NOT_STATED]
        self.told.append((", ".join(told), marks))
        return 12.0

    def _drain(self) -> None:
        if self.reader.value("drain") != THERE:
            self._fall_alone()
            return
        position = self.reader.said("drain.position")
        linear = self.reader.said("drain.shape") == "linear"
        x, y = LEFT + self.wide / 2, self.top + self.deep / 2
        if position in DRAINED_FROM:
            x = LEFT + 11
        elif position in ("end", "off center"):
            x = LEFT + self.wide * (0.12 if position == "end" else 0.3)
        half = self.deep * 0.44
        if self.fall is not None:
            self._falls(x, y, linear)
        if self.cut:
            self._cut_line(y)
        dashed = None if position else "3 2"
        if linear:
            self.out += element("rect", x=x - 5, y=y - half, width=10, height=2 * half, fill=PAPER, stroke=INK, stroke_width=1.4,
                                stroke_dasharray=dashed)  # fmt: skip
            for turn in range(1, 12):
                at = y - half + turn * 2 * half / 12
                self.out += line(x - 5, at, x + 5, at, 0.6)
        else:
            self.out += element("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=INK, stroke_width=1.4, stroke_dasharray=dashed)
            self.out += element("circle", cx=x, cy=y, r=5, fill="none", stroke=INK, stroke_width=0.8)
            self.out += line(x - 9, y, x + 9, y, 0.6) + line(x, y - 9, x, y + 9, 0.6)
        kind = self.reader.said("drain.kind")
        which = [words.WALL_NOT_STATED] if position in DRAINED_FROM else []
        told = [words.DRAIN, *([kind] if kind else []), position or words.POSITION_NOT_STATED, *which]
        told.append(words.FALL.format(f"{self.fall.said} {words.TO_DRAIN}") if self.fall is not None else words.FALL_NOT_STATED)
        self.told.append((", ".join([*told, *self._measured()]), self._of("drain")))

    def _measured(self) -> list[str]:
        measured = dict.fromkeys(self.reader.said(f"slope check.{end} fall") for end in ("least", "greatest"))
        return [words.FALL_MEASURED.format(words.TO.join(each for each in measured if each))] if any(measured) else []

    def _fall_alone(self) -> None:
        """A fall with no drain that is known: which way it goes is asked, not drawn."""
        if self.fall is None:
            return
        x, middle = LEFT + self.wide / 2, self.top + self.deep / 2
        self.out += element("rect", x=x - 3, y=middle - self.deep * 0.3, width=19, height=self.deep * 0.6, fill=PAPER, stroke="none")
        self.out += unsure_arrow(x, middle - self.deep * 0.3, x, middle + self.deep * 0.3)
        self.told.append((", ".join([self.fall.in_words, *self._measured()]), self._of("place")))

    def _falls(self, x: float, y: float, linear: bool) -> None:
        """Arrows downhill to the drain, and the valleys to a point drain."""
        right, foot = LEFT + self.wide, self.top + self.deep
        if linear:
            for share in (0.25, 0.5, 0.75):
                for start, end in ((right - 8, x + 9), (LEFT + 6, x - 9)):
                    if abs(start - end) > 24 and (start - x) * (end - x) > 0:
                        at = self.top + self.deep * share + 4
                        self.out += arrow(start, at, end, at, class_="fall")
            return
        for cx, cy in ((LEFT, self.top), (right, self.top), (right, foot), (LEFT, foot)):
            self.out += line(cx, cy, x, y, 0.5, stroke=PALE, stroke_dasharray="8 3")
        for sx, sy in ((x, self.top + 6), (x, foot - 6), (LEFT + 6, y), (right - 6, y)):
            away = sqrt((sx - x) ** 2 + (sy - y) ** 2)
            if away > 24:
                share = 13 / away
                self.out += arrow(sx + (x - sx) * 0.15, sy + (y - sy) * 0.15, x + (sx - x) * share, y + (sy - y) * share, class_="fall")

    def _cut_line(self, y: float) -> None:
        """Where the section is cut: the ends of a chain line beside the outline, with its letter and the way it is looked at."""
        for x, outwards in ((LEFT, -1), (LEFT + self.wide, 1)):
            self.out += line(x - 3 * outwards, y, x + CUT_BEYOND * outwards, y, 1.8, class_="cut")
            self.out += arrow(x + CUT_BEYOND * outwards, y, x + CUT_BEYOND * outwards, y - 11)
            self.out += text(x + (CUT_BEYOND + 8) * outwards, y + 4, self.cut, SIZE, text_anchor="middle", font_weight="bold")

    def _dimensions(self, foot: float) -> None:
        if not self.known:
            return
        across, down = self._side("place.greatest dimension"), self._side("place.least dimension")
        self.out += dimension(LEFT, foot + 16, LEFT + self.wide, foot + 16, across)
        self.out += dimension(LEFT - 28, self.top, LEFT - 28, self.top + self.deep, down)

    def _side(self, name: str) -> str:
        fact = self.reader.loaded.vocabulary.fact(name)
        known = self.reader.found.known.get(name)
        return in_words(fact, self.reader.value(name), known.unit if known is not None else "")
