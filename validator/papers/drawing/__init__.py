"""Drawings of a described assembly: a section of each place, a plan of each floor, and details of the junctions."""

from collections.abc import Sequence
from typing import NamedTuple
from xml.etree import ElementTree

from validator.assembly import Assembly
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.papers import words
from validator.papers.drawing.balloons import Balloons
from validator.papers.drawing.details import Detail, Side, alike, details, edge, face_of, is_described, junction, parts
from validator.papers.drawing.falls import fall_of
from validator.papers.drawing.fastening import face_view, fastening_of
from validator.papers.drawing.layers import BuildUp, Reader, Strip, build_up, reader_of
from validator.papers.drawing.pictures import Face
from validator.papers.drawing.plan import plan
from validator.papers.drawing.rows import Place
from validator.papers.drawing.section import section
from validator.papers.drawing.svg import DARK, alone, short
from validator.papers.numbering import Mark, holds_at

CEILINGS = ("shower ceiling", "room ceiling")
WALLS = ("shower wall", "tub surround wall", "room wall", "exterior wall", "niche", "pool")
PLANNED = ("shower floor", "room floor", "exterior deck")
OF_PLAN = ("drain", "curb", "movement joint", "place", "slope check", "flood test")
MOST_DETAILS = 4  # on one drawing: as high as a section, so that a sheet of paper holds both beside each other
THROUGH = ("framing", "screw", "grout")  # no layers of their own

__all__ = ["DARK", "Drawing", "alone", "drawings_of", "section_of"]


class Drawing(NamedTuple):
    """One drawing: a section, its fasteners seen from the face, a plan or the junctions.

    With it the places it shows, its SVG and the numbers of its balloons.
    """

    sort: str
    places: tuple[str, ...]
    title: str
    svg: str
    name: str = ""  # what its balloons are named after, for links to them
    numbers: tuple[str, ...] = ()

    @property
    def told(self) -> str:
        """The drawing in words, for those who cannot see it: layers in their order and what was found at each."""
        return ElementTree.fromstring(self.svg).findtext("{http://www.w3.org/2000/svg}desc", "")


def drawings_of(
    assembly: Assembly, loaded: LoadedBook, marks: Sequence[Mark], name: str = "drawing", *, leads_to: str = ""
) -> tuple[Drawing, ...]:
    """Every drawing of an assembly, in the order its places are described; places built alike are drawn once.

    `name` tells the drawings of several reports on one page apart. `leads_to` is the part of the page in which the marks stand:
    balloon 7 then leads to the element `leads_to-7`, and is itself `NAME OF THE DRAWING-at-7`.
    """
    return _Draughtsman(loaded, marks, name, leads_to).drawings(assembly)


def section_of(subject: Subject, loaded: LoadedBook, marks: Sequence[Mark]) -> Drawing:
    """The section of one place alone."""
    return _Draughtsman(loaded, marks, "drawing", "").section_of(subject)


def lies(kinds: Sequence[str]) -> str:
    """How a place is drawn by all that it may be: as a floor, as a ceiling, or "" as a wall."""
    if all(kind in CEILINGS for kind in kinds):
        return "ceiling"
    return "" if any(kind in (*WALLS, *CEILINGS) for kind in kinds) else "floor"


class _Shown(NamedTuple):
    """One place as it is drawn."""

    subject: Subject
    reader: Reader
    built: BuildUp
    kinds: tuple[str, ...]

    @property
    def planned(self) -> bool:
        return all(kind in PLANNED for kind in self.kinds)


class _Draughtsman:
    def __init__(self, loaded: LoadedBook, marks: Sequence[Mark], name: str, leads_to: str) -> None:
        self.loaded, self.marks, self.name, self.leads_to = loaded, marks, name, leads_to
        self.made: list[Drawing] = []
        self.cuts = iter(words.LETTERS)

    def section_of(self, subject: Subject) -> Drawing:
        """The section of one place."""
        self._section([self._shown(subject, reader_of(self.loaded, self.loaded.engine.derive(subject)))])
        return self.made[0]

    def drawings(self, assembly: Assembly) -> tuple[Drawing, ...]:
        """Every drawing."""
        places: dict[object, list[_Shown]] = {}
        junctions: list[Reader] = []
        for subject in assembly.subjects:
            if subject.sort == "job":
                continue
            reader = reader_of(self.loaded, self.loaded.engine.derive(subject))
            if subject.sort == "junction":
                if is_described(reader):
                    junctions.append(reader)
                continue
            shown = self._shown(subject, reader)
            same = (shown.kinds, shown.built, tuple(self._marks_at(subject)), shown.planned and subject.name)
            places.setdefault(same, []).append(shown)
        for alike_places in places.values():
            self._place(alike_places)
        drawn = alike(self._details([each for alike_places in places.values() for each in alike_places], junctions))
        if drawn:
            where = tuple(dict.fromkeys(name for each in drawn for name in each.where))
            parts = [drawn[start : start + MOST_DETAILS] for start in range(0, len(drawn), MOST_DETAILS)]
            for turn, part in enumerate(parts, 1):
                title = words.JUNCTIONS if len(parts) == 1 else words.JUNCTIONS_OF.format(turn, len(parts))
                balloons = self._balloons()
                self._made("junctions", where, title, details(title, part, balloons), balloons)
        return tuple(self.made)

    def _shown(self, subject: Subject, reader: Reader) -> _Shown:
        return _Shown(subject, reader, build_up(self.loaded, reader.found), self._kinds(reader))

    def _details(self, places: Sequence[_Shown], junctions: Sequence[Reader]) -> list[Detail]:
        sides = {each.subject.name: Side(lies(each.kinds), face_of(each.built)) for each in places}
        drained = {each.subject.name: each.reader for each in places if each.reader.value("drain") == THERE}
        found = [junction(each, self._marks_at(each.found.subject), sides, drained) for each in junctions]
        at_drain = {name for each in junctions if each.found.subject.kind == "drain" for name in each.found.subject.at}
        wall = next((each.face for each in sides.values() if not each.lies), Face())
        for each in places:
            marks: dict[str, list[Mark]] = {}
            for mark in self._marks_at(each.subject):
                first = mark.things[0] if mark.things else ""
                if mark.outcome in ("fail", "warn") or not (each.planned and first in OF_PLAN):  # what is asked stands on the plan
                    marks.setdefault(first, []).append(mark)
            name = each.subject.name
            found += parts(each.reader, each.built, wall, marks, drain=name not in at_drain)
            if "exterior deck" in each.kinds and each.planned:
                found.append(edge(each.reader, each.built))
        return found

    def _kinds(self, reader: Reader) -> tuple[str, ...]:
        """What a place may be: one word, or each that its words leave possible."""
        fact, mask = self.loaded.vocabulary.fact("place.kind"), reader.value("place.kind")
        return tuple(word for turn, word in enumerate(fact.words) if mask >> turn & 1)

    def _balloons(self) -> Balloons:
        return Balloons(f"{self.name}-{len(self.made) + 1}", self.leads_to)

    def _made(self, sort: str, places: tuple[str, ...], title: str, svg: str, balloons: Balloons) -> None:
        self.made.append(Drawing(sort, places, title, svg, balloons.drawing, tuple(balloons.placed)))

    def _marks_at(self, subject: Subject) -> list[Mark]:
        """What would count stands on the drawing; further questions stand in their list only."""
        return [
            m
            for m in self.marks
            if holds_at(m, subject.name) and (m.question is None or m.question.would_be in ("fail", "warn"))
        ]

    def _place(self, alike_places: list[_Shown]) -> None:
        """The section of places built alike, their fasteners from the face, and their plan."""
        shown = alike_places[0]
        place, of_plan = self._section(alike_places)
        names = tuple(each.subject.name for each in alike_places)
        if (fastening := fastening_of(shown.reader, shown.built)) is not None:
            balloons = self._balloons()
            title = words.FASTENERS.format(short("; ".join(names), 160))
            if svg := face_view(balloons.drawing, title, fastening):
                self._made("fasteners", names, title, svg, balloons)
        if shown.planned:
            balloons = self._balloons()
            title = words.PLAN.format(short(shown.subject.name, 160))
            self._made("plan", names, title, plan(title, shown.reader, of_plan, place.fall, place.cut_at, balloons), balloons)

    def _section(self, alike_places: list[_Shown]) -> tuple[Place, dict[str, list[Mark]]]:
        """Makes the section of places built alike; returns what it shows, and the marks that stand on their plan, by thing."""
        shown = alike_places[0]
        subject, reader, built = shown.subject, shown.reader, shown.built
        names = tuple(each.subject.name for each in alike_places)
        of_strip: dict[int, list[Mark]] = {}
        by_thing: dict[str, list[Mark]] = {}
        of_plan: dict[str, list[Mark]] = {}
        others: list[Mark] = []
        for mark in self._marks_at(subject):
            thing = next((each for each in mark.things if _has(built, each)), "")
            first = "drain" if mark.things[:1] == ("slope check",) else (mark.things or ("",))[0]
            if shown.planned and (first in OF_PLAN or not thing):
                of_plan.setdefault(first, []).append(mark)
            elif thing in THROUGH:
                by_thing.setdefault(thing, []).append(mark)
            elif thing:
                for turn in _strips_of(built.strips, thing, mark, names):
                    of_strip.setdefault(turn, []).append(mark)
            else:
                others.append(mark)
        flat = lies(shown.kinds)
        fall = fall_of(reader) if flat else None
        cut = next(self.cuts, "") if shown.planned and fall is not None and fall.to_drain else ""
        title = words.SECTION.format(short("; ".join(names), 160))
        drain = reader.said("drain.kind") if flat == "floor" and reader.value("drain") == THERE else None
        balloons = self._balloons()
        place = Place(title, built, of_strip, by_thing, others, flat, reader.metric, fall, drain, cut)
        self._made("section", names, title, section(balloons.drawing, place, balloons), balloons)
        return place, of_plan


def _has(built: BuildUp, thing: str) -> bool:
    match thing:
        case "framing":
            return built.framing is not None
        case "screw":
            return bool(built.screws)
        case "grout":
            return built.grout is not None
    return any(strip.thing == thing for strip in built.strips)


def _strips_of(strips: Sequence[Strip], thing: str, mark: Mark, names: Sequence[str]) -> list[int]:
    """The layers that a mark is about: those that its place names, else all of their kind."""
    of_kind = [turn for turn, strip in enumerate(strips) if strip.thing == thing]
    named = [turn for turn in of_kind if any(f"{name}, {strips[turn].name}" in mark.places for name in names)]
    return named or of_kind
