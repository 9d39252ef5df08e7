"""Drawings of a described assembly: a section of each place, a plan of each floor, and details of the junctions."""

from collections.abc import Sequence
from typing import NamedTuple

from validator.assembly import Assembly
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.papers import words
from validator.papers.drawing.details import alike, detail_of, details, is_described
from validator.papers.drawing.layers import BuildUp, Reader, build_up, reader_of
from validator.papers.drawing.plan import fall_of, plan
from validator.papers.drawing.section import Place, section
from validator.papers.drawing.svg import short
from validator.papers.numbering import Mark, holds_at

FLOORS = ("shower floor", "room floor", "exterior deck", "tub deck", "counter", "curb", "bench")
PLANNED = ("shower floor", "room floor", "exterior deck")
OF_PLAN = ("drain", "curb", "movement joint", "place", "slope check", "flood test")

__all__ = ["Drawing", "drawings_of"]


class Drawing(NamedTuple):
    """One drawing: a section, a plan or the junctions; the places it shows; and its SVG."""

    sort: str
    places: tuple[str, ...]
    title: str
    svg: str


def drawings_of(assembly: Assembly, loaded: LoadedBook, marks: Sequence[Mark], name: str = "drawing") -> tuple[Drawing, ...]:
    """Every drawing of an assembly, in the order its places are described; places built alike are drawn once.

    `name` tells the drawings of several reports on one page apart.
    """
    return _Draughtsman(assembly, loaded, marks, name).drawings()


class _Draughtsman:
    def __init__(self, assembly: Assembly, loaded: LoadedBook, marks: Sequence[Mark], name: str) -> None:
        self.assembly, self.loaded, self.marks, self.name = assembly, loaded, marks, name
        self.made: list[Drawing] = []

    def drawings(self) -> tuple[Drawing, ...]:
        places: dict[object, list[tuple[Subject, Reader, BuildUp]]] = {}
        junctions = []
        for subject in self.assembly.subjects:
            if subject.sort == "job":
                continue
            reader = reader_of(self.loaded, self.loaded.engine.derive(subject))
            if subject.sort == "junction":
                if is_described(reader):
                    junctions.append(detail_of(reader, self._marks_at(subject)))
                continue
            built = build_up(self.loaded, reader.found)
            same = (subject.kind, built, tuple(self._marks_at(subject)), subject.kind in PLANNED and subject.name)
            places.setdefault(same, []).append((subject, reader, built))
        for alike_places in places.values():
            self._place(alike_places)
        if junctions:
            drawn = alike(junctions)
            where = tuple(dict.fromkeys(name for each in drawn for name in each.where))
            self.made.append(Drawing("junctions", where, words.JUNCTIONS, details(self._name(), drawn)))
        return tuple(self.made)

    def _name(self) -> str:
        return f"{self.name}-{len(self.made) + 1}"

    def _marks_at(self, subject: Subject) -> list[Mark]:
        """What would count stands on the drawing; further questions stand in their list only."""
        return [
            m
            for m in self.marks
            if holds_at(m, subject.name) and (m.question is None or m.question.would_be in ("fail", "warn"))
        ]

    def _place(self, alike_places: list[tuple[Subject, Reader, BuildUp]]) -> None:
        subject, reader, built = alike_places[0]
        names = tuple(each.name for each, _, _ in alike_places)
        planned = subject.kind in PLANNED
        drawn = {strip.thing for strip in built.strips} | {"framing", "screw", "grout"}
        by_thing: dict[str, list[Mark]] = {}
        of_plan: dict[str, list[Mark]] = {}
        others: list[Mark] = []
        for mark in self._marks_at(subject):
            thing = next((each for each in mark.things if each in drawn and self._has(built, each)), "")
            first = "drain" if mark.things[:1] == ("slope check",) else (mark.things or ("",))[0]
            if planned and (first in OF_PLAN or not thing):
                of_plan.setdefault(first, []).append(mark)
            elif thing:
                by_thing.setdefault(thing, []).append(mark)
            else:
                others.append(mark)
        fall = fall_of(reader) if planned else None
        title = words.SECTION.format(short("; ".join(names), 160))
        drain = reader.said("drain.kind") if subject.kind == "shower floor" and reader.value("drain") == THERE else None
        lies = subject.kind in FLOORS
        svg = section(Place(self._name(), title, built, by_thing, others, lies, reader.metric, fall, drain))
        self.made.append(Drawing("section", names, title, svg))
        if planned:
            title = words.PLAN.format(short(subject.name, 160))
            self.made.append(Drawing("plan", names, title, plan(self._name(), title, reader, of_plan, fall)))

    def _has(self, built: BuildUp, thing: str) -> bool:
        match thing:
            case "framing":
                return built.framing is not None
            case "screw":
                return built.screw is not None
            case "grout":
                return built.grout is not None
        return True
