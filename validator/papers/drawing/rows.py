"""What the sections of floors, ceilings and walls share: rows of words beside the cut, their balloons, the foot of the sheet."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from typing import NamedTuple

from validator.papers import words
from validator.papers.drawing.balloons import RADIUS, STEP, Balloons, in_words, rows_of
from validator.papers.drawing.falls import Fall
from validator.papers.drawing.hatching import hatch_defs
from validator.papers.drawing.layers import BuildUp, Screw, Strip
from validator.papers.drawing.scale import LARGEST_SCALE, drawn_strips, scale_bars
from validator.papers.drawing.svg import LEADING, SIZE, SMALL, WIDTH, headed, lettered, paragraph, sheet, short, text
from validator.papers.numbering import Mark

LEFT = 12.0
WORDS_AT = 152.0
GAP = 14.0  # between a wall and its words, at least


UNKNOWN_LENGTH, LEAST_LENGTH = 30.0, 6.0  # of a screw, in units


def _held(built: BuildUp, screw: Screw) -> float:
    """What a screw goes through before the framing, in millimetres, as far as it is known."""
    return sum(each.size or 0.0 for each in built.strips[: screw.head + 1]) if screw.head is not None else 0.0


class Place(NamedTuple):
    """What the section of one place shows. `others` are marks that no layer carries; `lies` is floor, ceiling or "" for a wall.

    `drain` is how the drain joins the waterproofing, "" where that is not stated, none where there is no drain. `cut_at` is the
    letter of the cut on the plan, "" where the plan shows none.
    """

    title: str
    built: BuildUp
    marks: dict[int, list[Mark]]  # of a strip, by its turn
    by_thing: dict[str, list[Mark]]  # of what goes through the strips: framing, screw, grout
    others: Sequence[Mark]
    lies: str
    metric: bool
    fall: Fall | None = None
    drain: str | None = None
    cut_at: str = ""


class Row(NamedTuple):
    """The words of one thing: what it is, where they begin, and what they lead from."""

    sort: str  # layer, screw, framing, grout or fall
    turn: int  # of a layer or a screw
    top: float
    lines: list[str]
    marks: Sequence[Mark]
    height: float

    @property
    def level(self) -> float:
        """Where its leader arrives."""
        return self.top + 5


class Sheet(ABC):
    """A section while it is drawn. `cut` of those who inherit draws the layers."""

    upright = False
    note = ""

    def __init__(self, name: str, place: Place, balloons: Balloons, room: float, room_for_screws: float) -> None:
        self.name, self.place, self.balloons = name, place, balloons
        self.built = place.built
        reach = max((each.length - _held(place.built, each) for each in place.built.screws if each.length), default=0.0)
        largest = min(LARGEST_SCALE, room_for_screws / reach) if reach > 0 else LARGEST_SCALE
        self.drawn_strips, self.scale = drawn_strips(place.built.strips, room, largest)
        self.used = {each.strip.hatch for each in self.drawn_strips}
        self.used |= {each.hatch for each in (place.built.framing, place.built.grout) if each is not None}
        self.face = 0.0  # where the cut ends, to the right
        self.out = ""

    # -- rows of words ----------------------------------------------------------------------------------------------------

    @property
    def words_at(self) -> float:
        return max(WORDS_AT, self.face + GAP)

    @property
    def words_wide(self) -> float:
        return WIDTH - self.words_at - 4

    def _row(self, sort: str, turn: int, strip: Strip, says: Sequence[str], marks: Sequence[Mark]) -> Row:
        heading, *told = strip.label
        size = [strip.thickness] if strip.thickness else []
        lines = lettered(", ".join([heading, *size]), self.words_wide, SIZE)
        rest = ", ".join([*told, *(each for each in says if each), *([words.MAYBE] if strip.maybe else [])])
        lines += lettered(rest, self.words_wide, SIZE) if rest else []
        return self._spaced(sort, turn, lines, marks)

    def _spaced(self, sort: str, turn: int, lines: list[str], marks: Sequence[Mark]) -> Row:
        height = len(lines) * SIZE * LEADING + rows_of(marks, self.words_wide) * STEP + 9
        return Row(sort, turn, 0.0, lines, marks, height)

    def _rows(self, top: float) -> list[Row]:
        """The fall, grout, then layers from the outermost in with the screws that fix them, then framing; of a ceiling the reverse."""
        rows: list[Row] = []
        if self.place.fall is not None and self.drawn_strips:
            rows.append(self._spaced("fall", 0, lettered(self.place.fall.in_words, self.words_wide, SIZE), ()))
        if self.built.grout is not None:
            rows.append(self._row("grout", 0, self.built.grout, (), self.place.by_thing.get("grout", ())))
        for turn, each in reversed(list(enumerate(self.drawn_strips))):
            rows.append(self._row("layer", turn, each.strip, (each.says,), self.place.marks.get(turn, ())))
            rows += self._screws(turn)
        rows += self._screws(None)
        if self.built.framing is not None:
            rows.append(self._row("framing", 0, self.built.framing, (words.NOT_TO_SCALE,), self.place.by_thing.get("framing", ())))
        if self.place.lies == "ceiling":
            rows.reverse()
        for turn, row in enumerate(rows):
            rows[turn] = row._replace(top=top)
            top += row.height
        return rows

    def _screws(self, head: int | None) -> list[Row]:
        rows = []
        for turn, screw in enumerate(self.built.screws):
            if screw.head == head:
                reach = words.PENETRATION.format(screw.penetration) if screw.penetration else ""
                says = (reach, "" if screw.length is not None else words.SCREW_LENGTH)
                rows.append(self._row("screw", turn, screw.strip, says, self.place.by_thing.get("screw", ()) if turn == 0 else ()))
        return rows

    def through(self, screw: Screw) -> float:
        """What a screw's head stands above the framing, in units: the layers up to the face that it holds."""
        return sum(each.units for each in self.drawn_strips[: screw.head + 1]) if screw.head is not None else 0.0

    def length(self, screw: Screw) -> float:
        """How long a screw is drawn: it goes as far into the framing, or stops as far before it, as it does on site."""
        if screw.length is None:
            return UNKNOWN_LENGTH
        held = self.built.strips[: screw.head + 1] if screw.head is not None else ()
        if any(each.size is None for each in held):
            return screw.length * self.scale
        return max(self.through(screw) + (screw.length - _held(self.built, screw)) * self.scale, LEAST_LENGTH)

    # -- the whole --------------------------------------------------------------------------------------------------------

    @abstractmethod
    def cut(self, top: float, words_end: float, rows: list[Row]) -> float:
        """Draws the layers, and returns where the drawing of them ends."""

    def drawn(self) -> str:
        title = short(self.place.title, 200)
        self.out, top = headed(title)
        rows = self._rows(top + 6)
        words_end = rows[-1].top + rows[-1].height if rows else top + 30
        foot = max(self.cut(top, words_end, rows), words_end) + 6
        for row in rows:
            self.out += paragraph(self.words_at, row.top + 9, row.lines, SIZE)
            if row.marks:
                beneath = row.top + len(row.lines) * SIZE * LEADING + RADIUS + 1
                self.out += self.balloons.rows(self.words_at, beneath, row.marks, self.words_wide)
        if not self.built.strips:
            self.out += text(self.words_at, top + 14, words.NOTHING_DESCRIBED, SIZE)
        elif self.built.gap:
            foot += 14
            self.out += text(4, foot, words.GAP, SIZE)
        if self.place.others:
            foot += 14
            self.out += text(4, foot, words.WHOLE_PLACE, SIZE)
            foot += 6
            self.out += self.balloons.rows(4, foot + RADIUS, self.place.others, WIDTH - 10)
            foot += rows_of(self.place.others, WIDTH - 10) * STEP + 4
        foot += 8
        self.out += scale_bars(LEFT, foot, self.scale, self.place.metric)
        note = words.CUT_AT.format(self.place.cut_at) if self.place.cut_at else self.note
        if note and self.drawn_strips:
            foot += 19
            self.out += text(LEFT, foot, note, SMALL)
        if self.balloons.placed:
            foot += 19
            self.out += self.balloons.key(LEFT, foot + 5)
        inside = hatch_defs(self.name, self.used, upright=self.upright) + self.out
        return sheet(WIDTH, foot + 14, inside, name=self.name, title=title, desc=self._desc())

    def _desc(self) -> str:
        """Layers in their order from the structure, each with what was found at it; then what is found of the place."""
        said = []
        if self.built.framing is not None:
            said.append(self._told(", ".join(self.built.framing.label), self.place.by_thing.get("framing", ())))
        for turn, each in enumerate(self.drawn_strips):
            size = each.strip.thickness or (words.NOT_STATED if each.strip.measured else "")
            said.append(self._told(", ".join(filter(None, [*each.strip.label, size])), self.place.marks.get(turn, ())))
        for thing, strips in (("screw", [each.strip for each in self.built.screws]), ("grout", [self.built.grout])):
            for strip in filter(None, strips[:1]):
                said.append(self._told(", ".join(strip.label), self.place.by_thing.get(thing, ())))
        if self.place.fall is not None:
            said.append(self.place.fall.in_words)
        if self.place.others:
            said.append(self._told(words.WHOLE_PLACE, self.place.others))
        return words.SECTION_DESC.format(words.FROM_STRUCTURE, "; ".join(said) or words.NOTHING_DESCRIBED)

    @staticmethod
    def _told(what: str, marks: Sequence[Mark]) -> str:
        return f"{what} ({words.MARKED.format(in_words(marks))})" if marks else what
