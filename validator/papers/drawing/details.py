"""Details of junctions: how the pieces meet, the tape, its coats, the bead. They are not to scale."""

from collections.abc import Sequence
from typing import NamedTuple

from validator.facts.vocabulary import THERE
from validator.papers import words
from validator.papers.drawing.balloons import RADIUS, STEP, Balloons, rows_of
from validator.papers.drawing.hatching import fill_of, hatch_defs
from validator.papers.drawing.layers import Reader
from validator.papers.drawing.svg import BOLD, INK, LEADING, WIDTH, element, headed, lettered, paragraph, path, sheet, short
from validator.papers.numbering import Mark

ACROSS = 2
CELL = WIDTH / ACROSS
PICTURE = 74.0
SIZE = 11.5
MOST_COATS = 4
FLAT = ("board seams", "membrane seams", "pan seams", "change of backing")
ROUND = ("drain", "pipe hole")


class Detail(NamedTuple):
    """One kind of junction as it is described, everywhere that it is alike."""

    kind: str
    where: tuple[str, ...]
    tape: str  # what it is; "" where there is none or nothing is known
    taped: bool
    coats: int
    sealed: bool
    collar: bool
    told: tuple[str, ...]
    marks: tuple[Mark, ...]


def detail_of(reader: Reader, marks: Sequence[Mark]) -> Detail:
    """What a drawing tells of one junction."""
    subject = reader.found.subject
    told: list[str] = []
    taped = reader.value("tape") == THERE
    material = reader.said("tape.material")
    if taped:
        bedded = reader.said("tape.bedded in")
        said = material or words.KIND_NOT_STATED
        told.append(words.TAPE.format(words.BEDDED.format(said, bedded) if bedded else said))
    coats = reader.said("junction.coats")
    if coats:
        first = reader.said("junction.first coat")
        said = words.JUNCTION_COATS.format(coats)
        told.append(f"{said}, {words.FIRST_COAT.format(first)}" if first else said)
    filled = reader.said("junction.filled with")
    if filled:
        told.append(words.FILLED.format(filled))
    sealant = reader.value("sealant") == THERE
    if sealant:
        parts = [part for part in (reader.said("sealant.kind"), reader.said("sealant.bead")) if part]
        told.append(words.SEALANT.format(", ".join(parts) or words.KIND_NOT_STATED))
    collar = reader.value("collar") == THERE
    if collar:
        told.append(words.COLLAR.format(reader.said("collar.kind") or words.KIND_NOT_STATED))
    if said := words.SEALED.get(reader.said("junction.sealed")):
        told.append(said)
    count = int(coats) if coats.isdigit() else 0
    return Detail(subject.kind, (subject.name,), material, taped, count, sealant or filled == "sealant", collar,
                  tuple(told) or (words.NOTHING_STATED,), tuple(marks))  # fmt: skip


def is_described(reader: Reader) -> bool:
    """Whether anything is said of a junction: one that only the shape makes has nothing to draw."""
    names = ("junction.coats", "junction.filled with", "junction.sealed", "junction.first coat")
    return any(reader.value(thing) == THERE for thing in ("tape", "sealant", "collar")) or any(
        reader.said(name) for name in names
    )


def details(drawn: Sequence[Detail], balloons: Balloons) -> str:
    """All junctions of a job as one drawing, two in a row."""
    name = balloons.drawing
    out, top = headed(words.JUNCTIONS)
    for start in range(0, len(drawn), ACROSS):
        row = drawn[start : start + ACROSS]
        heights = []
        for turn, each in enumerate(row):
            cell, height = _cell(balloons, turn * CELL, top, each)
            out += cell
            heights.append(height)
        top += max(heights) + 6
    if balloons.placed:
        top += 8
        out += balloons.key(8, top + 4)
    said = "; ".join(f"{each.kind}: {', '.join(each.told)}" for each in drawn)
    inside = hatch_defs(name, {"board", "mortar"}) + out
    return sheet(WIDTH, top + 12, inside, name=name, title=words.JUNCTIONS, desc=words.JUNCTIONS_DESC.format(said))


def _cell(balloons: Balloons, x: float, top: float, each: Detail) -> tuple[str, float]:
    out = _picture(balloons.drawing, x + 20, top, each)
    y = top + PICTURE + 12
    heads = lettered(each.kind, CELL - 14, BOLD * SIZE)
    out += paragraph(x + 8, y, heads, SIZE, font_weight="bold")
    y += len(heads) * SIZE * LEADING
    lines = [line for told in each.told for line in lettered(short(told), CELL - 14, SIZE)]
    out += paragraph(x + 8, y, lines, SIZE)
    y += len(lines) * SIZE * LEADING
    if each.marks:
        out += balloons.rows(x + 8, y + RADIUS - 4, each.marks, CELL - 14)
        y += rows_of(each.marks, CELL - 14) * STEP
    return out, y - top


def _picture(name: str, x: float, y: float, each: Detail) -> str:
    if each.kind in ROUND:
        return _round(name, x, y, each)
    return _flat(name, x, y, each) if each.kind in FLAT else _corner(name, x, y, each)


def _flat(name: str, x: float, y: float, each: Detail) -> str:
    """Two pieces edge to edge, seen from above their edges."""
    board, out = fill_of(name, "board"), ""
    for left in (x, x + 66):
        out += element("rect", x=left, y=y + 34, width=62, height=22, fill=board, stroke=INK, stroke_width=1)
    if each.sealed:
        out += element("rect", x=x + 62, y=y + 34, width=4, height=22, fill=INK)
    return out + _cover([(x + 34, y + 32), (x + 94, y + 32)], each, (0, -1))


def _corner(name: str, x: float, y: float, each: Detail) -> str:
    """Two pieces in a corner: the upright one to the left, the other at the foot."""
    board = fill_of(name, "board")
    out = element("rect", x=x + 10, y=y + 2, width=16, height=54, fill=board, stroke=INK, stroke_width=1)
    out += element("rect", x=x + 10, y=y + 58, width=112, height=14, fill=board, stroke=INK, stroke_width=1)
    if each.sealed:
        out += path([(x + 26, y + 58), (x + 38, y + 58), (x + 26, y + 46)], closed=True, fill=INK)
    away = 12 if each.sealed else 0
    return out + _cover([(x + 28, y + 14), (x + 28, y + 56 - away), (x + 28 + away, y + 56), (x + 76, y + 56)], each, (1, -1))


def _round(name: str, x: float, y: float, each: Detail) -> str:
    """A pipe or a drain that comes through, seen from above."""
    cx, cy = x + 62, y + 38
    out = element("rect", x=x + 14, y=y + 4, width=96, height=68, fill=fill_of(name, "board"), stroke=INK, stroke_width=1)
    if each.collar or each.taped:
        out += element("circle", cx=cx, cy=cy, r=28, fill="#fff", stroke=INK, stroke_width=2, stroke_dasharray="5 2")
    out += element("circle", cx=cx, cy=cy, r=17, fill="#fff", stroke=INK, stroke_width=1.2)
    if each.sealed or words.SEALED["yes"] in each.told:
        out += element("circle", cx=cx, cy=cy, r=15, fill="none", stroke=INK, stroke_width=4)
    return out + element("circle", cx=cx, cy=cy, r=11, fill="#fff", stroke=INK, stroke_width=1.2)


def _cover(points: list[tuple[float, float]], each: Detail, away: tuple[int, int]) -> str:
    """Tape as a heavy dashed line, each coat a line over it; a first coat that was wet is dotted."""
    out, dx, dy = "", away[0], away[1]
    if each.taped:
        out += path(points, stroke_width=3, stroke_dasharray="4 1.5")
    wet = any(words.FIRST_COAT.format("wet") in told for told in each.told)
    for turn in range(min(each.coats, MOST_COATS)):
        off = 4.5 + turn * 4
        moved = [(px + dx * off, py + dy * off) for px, py in points]
        out += path(moved, stroke_width=1.2, stroke_dasharray="1.5 2" if wet and turn == 0 else None, class_="coat")
    return out


def alike(drawn: Sequence[Detail]) -> list[Detail]:
    """Junctions described alike, drawn once."""
    merged: dict[Detail, list[str]] = {}
    for each in drawn:
        merged.setdefault(each._replace(where=()), []).extend(each.where)
    return [each._replace(where=tuple(where)) for each, where in merged.items()]
