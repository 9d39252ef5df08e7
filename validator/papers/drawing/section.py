"""The cross-section of one place: a floor lies with its structure below, a wall stands with its structure to the left.

Each layer has a leader to its row of words, with the balloons of what was found there.
"""

from collections.abc import Sequence
from typing import NamedTuple

from validator.papers import words
from validator.papers.drawing.balloons import RADIUS, STEP, balloons, key, rows_of
from validator.papers.drawing.hatching import SOLID, fill_of, hatch_defs
from validator.papers.drawing.layers import BuildUp, Strip
from validator.papers.drawing.scale import Drawn, drawn_strips, scale_bar
from validator.papers.drawing.svg import (
    INK,
    LEADING,
    SIZE,
    SMALL,
    WIDTH,
    arrow,
    element,
    headed,
    lettered,
    line,
    paragraph,
    path,
    sheet,
    short,
    text,
)
from validator.papers.numbering import Mark

LEFT = 12.0
FACE = 108.0  # how much of the surface is shown
WORDS_AT = 152.0
GAP = 14.0  # between a wall and its words, at least
FRAMING = 44.0
STUD, MOST_STUD = 28.0, 48.0
THICK, WIDE = 170.0, 66.0  # what the layers of a floor, and of a wall, may take of the sheet
DRAIN = 16.0
ABOVE = 17.0  # the arrow of the fall, above the surface
ROOM_FOR_FALL = 34.0
MOST_LED = 30  # leaders of a floor; more would be one black band, and the words stand in the layers' order
WATERPROOFING = ("membrane", "liner", "foam pan")


class Fall(NamedTuple):
    said: str
    ratio: float  # rise over run


class Row(NamedTuple):
    """A layer's words: where they begin, and the point of the layer that they lead from."""

    top: float
    lines: list[str]
    marks: Sequence[Mark]
    height: float


class Place(NamedTuple):
    """What the section of one place shows. `others` are marks that no layer carries; `lies` is true of a floor.

    `drain` is how the drain joins the waterproofing, "" where that is not stated, none where there is no drain.
    """

    name: str
    title: str
    built: BuildUp
    marks: dict[str, list[Mark]]  # by thing
    others: Sequence[Mark]
    lies: bool
    metric: bool
    fall: Fall | None
    drain: str | None = None


def section(place: Place) -> str:
    """Takes what a section shows, returns its drawing as SVG."""
    return _Section(place).drawn()


class _Section:
    def __init__(self, place: Place) -> None:
        built, lies = place.built, place.lies
        self.name, self.built, self.lies, self.fall, self.drain = place.name, built, lies, place.fall, place.drain
        self.title = short(place.title, 200)
        self.marks, self.others, self.metric = place.marks, place.others, place.metric
        self.drawn_strips, self.scale = drawn_strips(built.strips, THICK if lies else WIDE)
        self.stud = 0.0 if lies else self._stud()
        self.face = LEFT + (FACE if lies else self.stud + sum(each.units for each in self.drawn_strips))
        self.words_at = max(WORDS_AT, self.face + GAP)
        self.words_wide = WIDTH - self.words_at - 4
        self.used = {each.strip.hatch for each in self.drawn_strips}
        self.used |= {built.framing.hatch if built.framing else "wood"} | ({built.grout.hatch} if built.grout else set())
        self.first_joint = 0.0  # of a wall: level with its words
        self.out = ""

    # -- rows of words ----------------------------------------------------------------------------------------------------

    def _row(self, top: float, strip: Strip, says: Sequence[str]) -> Row:
        marks = self.marks.get(strip.thing, [])
        heading, *told = strip.label
        size = [strip.thickness] if strip.thickness else []
        lines = lettered(", ".join([heading, *size]), self.words_wide, SIZE)
        rest = ", ".join([*told, *(each for each in says if each), *([words.MAYBE] if strip.maybe else [])])
        lines += lettered(rest, self.words_wide, SIZE) if rest else []
        return self._spaced(top, lines, marks)

    def _spaced(self, top: float, lines: list[str], marks: Sequence[Mark]) -> Row:
        return Row(top, lines, marks, len(lines) * SIZE * LEADING + rows_of(marks, self.words_wide) * STEP + 9)

    def _rows(self, top: float) -> list[tuple[str, Row, int]]:
        """The fall, grout, then layers from the outermost in, then screws and framing; with the layer's turn from the outside."""
        rows: list[tuple[str, Row, int]] = []
        if self.lies and self.fall is not None and self.drawn_strips:
            row = self._spaced(top, lettered(words.FALL.format(self.fall.said), self.words_wide, SIZE), ())
            rows.append(("fall", row, -1))
            top += row.height

        def add(sort: str, strip: Strip, says: Sequence[str], turn: int) -> None:
            nonlocal top
            row = self._row(top, strip, says)
            rows.append((sort, row, turn))
            top += row.height

        if self.built.grout is not None:
            add("grout", self.built.grout, (), -1)
        for turn, each in enumerate(reversed(self.drawn_strips)):
            add("layer", each.strip, (each.says,), turn)
            if each.strip.thing == "board" and self.built.screw is not None and not any(sort == "screw" for sort, *_ in rows):
                self._add_screw(add)
        if self.built.screw is not None and not any(sort == "screw" for sort, *_ in rows):
            self._add_screw(add)
        if self.built.framing is not None:
            add("framing", self.built.framing, (words.NOT_TO_SCALE,), -1)
        return rows

    def _add_screw(self, add) -> None:
        screw = self.built.screw
        reach = words.PENETRATION.format(screw.penetration) if screw.penetration else ""
        add("screw", screw.strip, (reach, "" if screw.length is not None else words.SCREW_LENGTH), -1)

    # -- the whole --------------------------------------------------------------------------------------------------------

    def drawn(self) -> str:
        self.out, top = headed(self.title)
        rows = self._rows(top + 6)
        words_end = rows[-1][1].top + rows[-1][1].height if rows else top + 30
        if self.lies:
            foot = self._floor(top, words_end, rows)
        else:
            foot = self._wall(top, words_end, rows)
        foot = max(foot, words_end) + 6
        for _, row, _ in rows:
            self.out += paragraph(self.words_at, row.top + 9, row.lines, SIZE)
            if row.marks:
                beneath = row.top + len(row.lines) * SIZE * LEADING + RADIUS + 1
                self.out += balloons(self.words_at, beneath, row.marks, self.words_wide)
        if not self.built.strips:
            self.out += text(self.words_at, top + 14, words.NOTHING_DESCRIBED, SIZE)
        elif self.built.gap:
            foot += 14
            self.out += text(4, foot, words.GAP, SIZE)
        if self.others:
            foot += 14
            self.out += text(4, foot, words.WHOLE_PLACE, SIZE)
            foot += 6
            self.out += balloons(4, foot + RADIUS, self.others, WIDTH - 10)
            foot += rows_of(self.others, WIDTH - 10) * STEP + 4
        foot += 8
        self.out += scale_bar(LEFT, foot, self.scale, self.metric, 90)
        used = [mark for marks in self.marks.values() for mark in marks] + list(self.others)
        if used:
            foot += 19
            self.out += key(LEFT, foot + 5, used)
        inside = hatch_defs(self.name, self.used) + self.out
        return sheet(WIDTH, foot + 14, inside, name=self.name, title=self.title, desc=self._desc())

    def _desc(self) -> str:
        said = []
        for each in self.drawn_strips:
            told = ", ".join([*each.strip.label, each.strip.thickness or words.NOT_STATED])
            numbers = ", ".join(str(mark.number) for mark in self.marks.get(each.strip.thing, []))
            said.append(f"{told} ({words.MARKED.format(numbers)})" if numbers else told)
        if self.fall is not None:
            said.append(words.FALL.format(self.fall.said))
        return words.SECTION_DESC.format(words.FROM_STRUCTURE, "; ".join(said) or words.NOTHING_DESCRIBED)

    # -- a floor ----------------------------------------------------------------------------------------------------------

    def _floor(self, top: float, words_end: float, rows: list) -> float:
        total = sum(each.units for each in self.drawn_strips)
        led = len(rows) <= MOST_LED
        base = top + total + max(ROOM_FOR_FALL, (words_end - top - total - FRAMING) / 2 if led else 0)
        drop = 0.0
        below = base
        edges: list[tuple[float, float]] = []  # the middle of each strip at its right end, outermost last
        sloped = False
        for turn, each in enumerate(self.drawn_strips):
            rise = min(abs(self.fall.ratio) * FACE, 14.0) if self.fall is not None else 0.0
            lower = drop
            if not sloped and (
                each.strip.thing in ("mortar bed", "foam pan", "pre-slope") or turn == len(self.drawn_strips) - 2
            ):
                sloped, drop = True, rise
            corners = [
                (LEFT, below),
                (LEFT + FACE, below - lower),
                (LEFT + FACE, below - each.units - drop),
                (LEFT, below - each.units),
            ]
            self._strip(each, corners, (LEFT, LEFT + FACE))
            edges.append((LEFT + FACE, below - (each.units + lower + drop) / 2))
            below -= each.units
        self._framing_under(base)
        if self.drain is not None and self.drawn_strips:
            self._drain(base, below)
        if self.built.screw is not None:
            self._screw_down(base)
        if led:
            self._floor_leaders(rows, edges, base, below, drop)
        if self.fall is not None and self.drawn_strips:
            self.out += arrow(LEFT + FACE * 0.7, below - drop - ABOVE, LEFT + 4, below - drop - ABOVE)
        return base + (FRAMING + 8 if self.built.framing is not None else 4)

    def _floor_leaders(self, rows: list, edges: list, base: float, surface: float, drop: float) -> None:
        """Each upright part of a leader has a lane of its own, so that no two leaders cross or run together."""
        starts = {
            "fall": (LEFT + FACE * 0.7, surface - drop - ABOVE),
            "grout": (self._joints(LEFT, self.face)[-1], surface + 2),
            "framing": (self.face - 24, base + 18),
            "screw": (LEFT + 28, base - self._through()),
        }
        leaders = []
        for sort, row, turn in rows:
            x, y = (edges[-1 - turn][0] - 6, edges[-1 - turn][1]) if sort == "layer" else starts[sort]
            if sort != "grout" or self.drawn_strips:
                leaders.append((sort, x, y, row.top + 5))
        rising = [each for each in leaders if each[-1] < each[-2]]
        falling = [each for each in reversed(leaders) if each[-1] >= each[-2]]
        for lane in (rising, falling):
            for turn, (sort, x, y, words_y) in enumerate(lane, 1):
                upright = self.face + turn * (self.words_at - self.face - 4) / (len(lane) + 1)
                self._leader([(x, y), (upright, y), (upright, words_y), (self.words_at - 4, words_y)], dot=sort != "fall")

    def _framing_under(self, base: float) -> None:
        """Two joists cut across, with a break below; a slab or the ground has none."""
        if self.built.framing is None:
            return
        fill = fill_of(self.name, self.built.framing.hatch)
        for x in (LEFT + 32, LEFT + FACE - 40):
            self.out += element("rect", x=x, y=base, width=20, height=FRAMING - 8, fill=fill, stroke=INK, stroke_width=1)
            foot = base + FRAMING - 8
            self.out += path([(x - 5, foot), (x + 6, foot), (x + 9, foot - 5), (x + 12, foot + 5), (x + 15, foot), (x + 25, foot)],
                             stroke_width=0.9)  # fmt: skip

    def _drain(self, base: float, surface: float) -> None:
        """A drain at the low end: its throat through every layer, the grate, and the flange in the waterproofing."""
        left, right, foot = LEFT, LEFT + DRAIN, base + 14
        self.out += element("rect", x=left, y=surface, width=DRAIN, height=foot - surface, fill="#fff", stroke="none")
        self.out += line(left, surface, left, foot, 1.6) + line(right, surface, right, foot, 1.6)
        self.out += line(left - 2, surface + 1.5, right + 2, surface + 1.5, 3, stroke_dasharray="3 1.5")
        level, at = None, base
        for each in self.drawn_strips:
            at -= each.units
            if each.strip.thing in WATERPROOFING:
                level = at
        if level is not None:
            self.out += line(right, level, right + 16, level, 2.6, class_="flange")
            if self.drain.startswith(words.CLAMPED):
                self.out += line(right, level - 5, right + 12, level - 5, 2)
        self.out += text(left - 4, foot + 11, words.DRAIN, SMALL)

    def _screw_down(self, base: float) -> None:
        through = self._through()
        if through:
            self.out += self._fastener(LEFT + 28, base - through, 0, 1)

    # -- a wall -----------------------------------------------------------------------------------------------------------

    def _wall(self, top: float, words_end: float, rows: list) -> float:
        foot = max(words_end, top + 110)
        x = LEFT
        if self.stud:
            framing = self.built.framing
            fill, dashed = (fill_of(self.name, framing.hatch), None) if framing is not None else ("none", "4 3")
            self.out += element("rect", x=x, y=top, width=self.stud, height=foot - top, fill=fill, stroke=INK, stroke_width=1,
                                stroke_dasharray=dashed)  # fmt: skip
        x += self.stud
        behind = x
        self.first_joint = next((row.top + 5 for sort, row, _ in rows if sort == "grout"), 0.0)
        middles: list[float] = []
        for each in self.drawn_strips:
            corners = [(x, foot), (x, top), (x + each.units, top), (x + each.units, foot)]
            self._strip(each, corners, (top, foot))
            middles.append(x + each.units / 2)
            x += each.units
        self._break(LEFT - 5, x + 5, top)
        self._break(LEFT - 5, x + 5, foot)
        for sort, row, turn in rows:
            y = row.top + 5
            end = (self.words_at - 4, y)
            if sort == "layer":
                self._leader([(middles[-1 - turn], y), end])
            elif sort == "screw":
                head = behind + self._through()
                self.out += self._fastener(head, y, -1, 0)
                self._leader([(head, y), end], dot=False)
            elif sort == "framing" and self.built.framing is not None:
                self._leader([(LEFT + self.stud / 2, y), end])
            elif sort == "grout" and self.drawn_strips:
                self._leader([(x - 2, y), end])
        return foot

    def _stud(self) -> float:
        """How much of the framing is shown: enough for the screw's point, and nothing of what nobody described."""
        screw = self.built.screw
        if self.built.framing is None and screw is None:
            return 0.0
        if screw is None or screw.length is None:
            return STUD
        return min(max(STUD, screw.length * self.scale - self._through() + 8), MOST_STUD)

    def _through(self) -> float:
        """What the screw's head stands above the framing, in units: the layers up to the board's face."""
        board = next((turn for turn, each in enumerate(self.drawn_strips) if each.strip.thing == "board"), -1)
        return sum(each.units for each in self.drawn_strips[: board + 1])

    # -- parts ------------------------------------------------------------------------------------------------------------

    def _strip(self, each: Drawn, corners: list[tuple[float, float]], along: tuple[float, float]) -> None:
        """One layer; what is not stated is dashed, tile has its joints."""
        stated = each.known and not each.strip.maybe
        hatched = not each.strip.maybe and (stated or each.strip.hatch != SOLID)
        self.out += path(corners, closed=True, fill="#fff", stroke="none")
        self.out += path(corners, closed=True, fill=fill_of(self.name, each.strip.hatch) if hatched else "none",
                         stroke_dasharray=None if stated else "4 3", stroke_width=min(0.9 if stated else 1.1, each.units / 3),
                         data_thing=each.strip.thing)  # fmt: skip
        if each.says == words.CUT_SHORT:
            self._cut(corners)
        if each.strip.thing == "tile" and self.built.grout is not None:
            for at in self._joints(*along):
                self._joint(corners, at)

    def _joints(self, start: float, end: float) -> tuple[float, float]:
        return (self.first_joint or start + (end - start) * 0.3, start + (end - start) * 0.72)

    def _joint(self, corners: list[tuple[float, float]], at: float) -> None:
        """A grout joint through the tile, its width not to scale."""
        if self.lies:
            (x1, y1), (_, y2), (_, y3), (_, y4) = corners
            share = (at - x1) / (corners[1][0] - x1)
            low, high = y1 + (y2 - y1) * share, y4 + (y3 - y4) * share
            box = [(at - 2.5, low), (at + 2.5, low), (at + 2.5, high), (at - 2.5, high)]
        else:
            left, right = corners[0][0], corners[2][0]
            box = [(left, at - 2.5), (right, at - 2.5), (right, at + 2.5), (left, at + 2.5)]
        self.out += path(box, closed=True, fill="#fff", stroke="none")
        self.out += path(box, closed=True, fill=fill_of(self.name, self.built.grout.hatch), stroke_width=0.7)

    def _cut(self, corners: list[tuple[float, float]]) -> None:
        """The break line of a layer that is too thick to draw whole."""
        if self.lies:
            y = (corners[0][1] + corners[3][1]) / 2
            self._break(corners[0][0] - 4, corners[1][0] + 4, y)
        else:
            x = (corners[0][0] + corners[2][0]) / 2
            y1, y2 = corners[1][1], corners[0][1]
            middle = (y1 + y2) / 2
            self.out += path([(x, y1 - 4), (x, middle - 6), (x - 5, middle - 2), (x + 5, middle + 2), (x, middle + 6), (x, y2 + 4)],
                             stroke_width=0.9)  # fmt: skip

    def _break(self, x1: float, x2: float, y: float) -> None:
        middle = (x1 + x2) / 2
        points = [(x1, y), (middle - 6, y), (middle - 2, y - 5), (middle + 2, y + 5), (middle + 6, y), (x2, y)]
        self.out += path(points, stroke="#fff", stroke_width=2.6) + path(points, stroke_width=0.9)

    def _fastener(self, x: float, y: float, dx: float, dy: float) -> str:
        """A screw from its head inwards, its length to the scale of the layers; dashed where the length is not stated."""
        screw = self.built.screw
        length = min(screw.length * self.scale if screw.length else 30.0, self._through() + MOST_STUD)
        dashed = None if screw.length is not None else "3 2"
        tip_x, tip_y = x + dx * length, y + dy * length
        drawn = line(x, y, tip_x, tip_y, 4.2, stroke="#fff") + line(
            x, y, tip_x, tip_y, 2.2, stroke_dasharray=dashed, class_="screw"
        )
        head = [(x - 5 * dy, y - 5 * dx), (x + 5 * dy, y + 5 * dx)]
        drawn += line(*head[0], *head[1], 2.4)
        turns = int(length // 4)
        for turn in range(2, turns):
            px, py = x + dx * turn * 4, y + dy * turn * 4
            drawn += line(px - 2.4 * dy, py - 2.4 * dx, px + 2.4 * dy + 1.2 * dx, py + 2.4 * dx + 1.2 * dy, 0.7)
        return drawn

    def _leader(self, points: list[tuple[float, float]], *, dot: bool = True) -> None:
        self.out += path(points, stroke="#fff", stroke_width=2.2) + path(points, stroke_width=0.6)
        if dot:
            self.out += element("circle", cx=points[0][0], cy=points[0][1], r=2, fill=INK, stroke="#fff", stroke_width=0.6)
