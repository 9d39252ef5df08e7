"""Details: each junction, curb, niche, bench, drain and deck's edge that is written, enlarged, with what is stated of it in words."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import NamedTuple

from validator.engines.deriving import DerivedPlace
from validator.facts.possible import CARD, STATED
from validator.facts.vocabulary import THERE
from validator.language.amounts import NO_GREATEST
from validator.papers import words
from validator.papers.drawing import pictures
from validator.papers.drawing.balloons import RADIUS, STEP, Balloons, in_words, rows_of
from validator.papers.drawing.hatching import EMPTY, hatch_defs, hatch_of_part
from validator.papers.drawing.layers import BuildUp, Reader
from validator.papers.drawing.pictures import HIGH, Face, Joint, Part, Pen
from validator.papers.drawing.svg import BOLD, LEADING, WIDTH, headed, lettered, paragraph, sheet, short
from validator.papers.numbering import Mark

ACROSS = 2
CELL = WIDTH / ACROSS
SIZE = 11.5
SEAMS = ("board seams", "membrane seams", "pan seams", "change of backing")
OUTSIDE = ("outside corners", "window opening")
HANGING = ("wall to ceiling",)
BEHIND_TILE = (*SEAMS, "board to pan", "board to bed", "pan to curb", "wall to curb")  # sealant there is a bead between the pieces
CARRIES = ("board", "mortar bed", "foam pan", "pre-slope", "slab", "subfloor panel", "self-leveling underlayment", "existing finish")
LEVEL = ("floor to wall", "board to pan", "board to bed", "board to base", "board to tub", "pan to curb", "wall to curb", "bench to wall",
         "wall to ceiling", "drain")  # fmt: skip
ON_CURB, ON_PART = ("pan to curb",), ("wall to curb", "bench to wall", "board to tub", "board to base")  # no place of their own
DRAIN, HOLE, EDGE, SOFT = "drain", "pipe hole", "deck edge", "movement joint"
CURB, GLASS = "curb", "shower glass"
PARTS = (CURB, "niche", "bench", GLASS, SOFT, DRAIN)
COVERED = (CURB, "niche", "bench")


class Detail(NamedTuple):
    """One kind of junction or one part as it is described, everywhere that it is alike."""

    kind: str
    where: tuple[str, ...]
    joint: Joint
    part: Part
    faces: tuple[Face, Face]  # the upright piece, then the level one
    told: tuple[str, ...]
    marks: tuple[Mark, ...]
    lapped: bool = False  # a lap of the waterproofing is stated


class Side(NamedTuple):
    """A place as its neighbors see it."""

    lies: str
    face: Face


def face_of(built: BuildUp) -> Face:
    """What the edges of a place show: its last layer that carries others, and the waterproofing over or under that."""
    things = [strip.thing for strip in built.strips]
    carries = max((turn for turn, thing in enumerate(things) if thing in CARRIES), default=-1)
    hatch = built.strips[carries].hatch if carries >= 0 else EMPTY
    bed = carries >= 0 and things[carries] == "mortar bed"
    return Face(hatch, "membrane" in things[carries + 1 :], bed and bool({"membrane", "liner"} & set(things[:carries])), "tile" in things)


def is_described(reader: Reader) -> bool:
    """Whether anything is said of a junction: one that only the shape makes has nothing to draw."""
    names = ("junction.coats", "junction.filled with", "junction.sealed", "junction.first coat", "junction.lap")
    return any(reader.value(thing) == THERE for thing in ("tape", "sealant", "collar")) or any(
        reader.said(name) for name in names
    )


def junction(reader: Reader, marks: Sequence[Mark], sides: Mapping[str, Side], drained: Mapping[str, Reader]) -> Detail:
    """What a drawing tells of one junction. `sides` are the places by name, `drained` those that have a drain."""
    subject = reader.found.subject
    meet = [sides[name] for name in subject.at if name in sides] or list(sides.values())
    upright = next((each.face for each in meet if not each.lies), Face())
    level = next((each.face for each in meet if each.lies), Face()) if subject.kind in LEVEL else upright
    upright, level = (face._replace(hatch=EMPTY) if subject.kind in kinds else face
                      for face, kinds in ((upright, ON_CURB), (level, ON_PART)))  # fmt: skip
    if subject.kind in BEHIND_TILE and subject.kind not in SEAMS:
        upright, level = upright._replace(tile=False), level._replace(tile=False)
    coats, filled = reader.said("junction.coats"), reader.said("junction.filled with")
    sealant, taped = reader.value("sealant") == THERE, reader.value("tape") == THERE
    half = reader.millimetres("tape.lap each side") or (width / 2 if (width := reader.millimetres("tape.width")) else None)
    bead = sealant and subject.kind in (*BEHIND_TILE, HOLE)
    joint = Joint(
        pictures.tape_units(half) if taped else 0.0, int(coats) if coats.isdigit() else 0, reader.said("junction.first coat") == "wet",
        filled or ("sealant" if sealant and not bead else ""), bead, reader.said("junction.sealed"), reader.value("collar") == THERE,
    )  # fmt: skip
    part, told = Part(), _told(reader)
    of_drain = next((drained[name] for name in subject.at if name in drained), None) if subject.kind == DRAIN else None
    if of_drain is not None:
        part, told_of_it = part_of(of_drain, DRAIN)
        part = part._replace(sealed=joint.sealed)
        told = [*(each for each in told_of_it if each != words.NOTHING_STATED), *told]
    return Detail(subject.kind, (subject.name,), joint, part, (upright, level), tuple(told) or (words.NOTHING_STATED,), tuple(marks),
                  bool(reader.said("junction.lap")))  # fmt: skip


def _told(reader: Reader) -> list[str]:
    told = []
    if reader.value("tape") == THERE:
        said = ", ".join(filter(None, [reader.said("tape.material") or words.KIND_NOT_STATED, reader.said("tape.width")]))
        bedded = reader.said("tape.bedded in")
        told.append(words.TAPE.format(words.BEDDED.format(said, bedded) if bedded else said))
    if coats := reader.said("junction.coats"):
        first = reader.said("junction.first coat")
        said = words.JUNCTION_COATS.format(coats)
        told.append(f"{said}, {words.FIRST_COAT.format(first)}" if first else said)
    if lap := reader.said("junction.lap"):
        told.append(words.LAP.format(lap))
    if gap := reader.said("junction.gap"):
        told.append(words.GAP_WIDE.format(gap))
    if filled := reader.said("junction.filled with"):
        told.append(words.FILLED.format(filled))
    if reader.value("sealant") == THERE:
        parts = [part for part in (reader.said("sealant.kind"), reader.said("sealant.bead")) if part]
        told.append(words.SEALANT.format(", ".join(parts) or words.KIND_NOT_STATED))
    if reader.value("collar") == THERE:
        told.append(words.COLLAR.format(reader.said("collar.kind") or words.KIND_NOT_STATED))
    if said := words.SEALED.get(reader.said("junction.sealed")):
        told.append(said)
    return told


def parts(reader: Reader, built: BuildUp, wall: Face, marks: Mapping[str, Sequence[Mark]], *, drain: bool) -> list[Detail]:
    """The details of what is built at a place, where anything is written of it; of its drain unless `drain` is drawn elsewhere.

    `wall` is the wall that a bench stands against.
    """
    face, subject = face_of(built), reader.found.subject
    found = []
    written = [each for each in PARTS if reader.value(each) == THERE and _is_written(reader.found, each)]
    elsewhere = {*([] if drain else [DRAIN]), *([GLASS] if CURB in written else [])}  # glass is drawn with its curb
    for thing in written:
        if thing not in elsewhere:
            part, told = part_of(reader, thing)
            joint = Joint(fill=reader.said("movement joint.filled with")) if thing == SOFT else Joint()
            faces = (wall if thing == "bench" else face, face)
            found.append(Detail(thing, (subject.name,), joint, part, faces, told, tuple(marks.get(thing, ()))))
    return found


def edge(reader: Reader, built: BuildUp) -> Detail:
    """A deck's edge: nothing in a description tells its flashing, so that is asked."""
    trim = reader.value("trim") == THERE
    told = [words.TRIM.format(reader.said("trim.material") or words.KIND_NOT_STATED)] if trim else []
    face = face_of(built)
    return Detail(EDGE, (reader.found.subject.name,), Joint(), Part(trimmed=trim), (face, face), (*told, words.EDGE_NOT_STATED), ())


def part_of(reader: Reader, thing: str) -> tuple[Part, tuple[str, ...]]:
    """A part as its picture needs it, and what is stated of it in words."""
    known = {name: reader.said(f"{thing}.{name}") for name in words.PARTS[thing]}
    told = [form.format(known[name]) for name, form in words.PARTS[thing].items() if known[name] and "{}" in form]
    told += [words.YES_NO[name][known[name]] for name in known if known[name] in words.YES_NO.get(name, ())]
    if thing in COVERED and not known["covered whole"]:
        told.append(words.COVER_NOT_STATED)
    if thing == CURB and reader.value(GLASS) == THERE:
        told += [words.GLASS, *(each for each in part_of(reader, GLASS)[1] if each != words.NOTHING_STATED)]
    reach = reader.said("liner.over curb") if thing == CURB else ""
    reach = reach if reach in words.LINER_OVER else ""  # of a choice nothing can be drawn
    if reach:
        told = [each for each in told if each != words.COVER_NOT_STATED] + [words.LINER_OVER[reach]]
    falls = None
    if known.get("fall"):
        falls = any(end > 0 for end in reader.value(f"{thing}.fall") if end != NO_GREATEST)
    part = Part(
        hatch=hatch_of_part(known.get("material", "")), covered=known.get("covered whole", ""), falls=falls,
        joined=known.get("kind", "") or known.get("backing", ""), reach=reach, through=known.get("to substrate", ""),
        glass=thing == CURB and reader.value(GLASS) == THERE, screwed=reader.said("shower glass.screwed to the curb") == "yes",
    )  # fmt: skip
    return part, tuple(told) or (words.NOTHING_STATED,)


def _is_written(found: DerivedPlace, thing: str) -> bool:
    return any(
        known.origin in (STATED, CARD) for name, known in found.subject.known.items() if name == thing or name.startswith(f"{thing}.")
    )


def alike(drawn: Sequence[Detail]) -> list[Detail]:
    """What is described alike, drawn once."""
    merged: dict[Detail, list[str]] = {}
    for each in drawn:
        merged.setdefault(each._replace(where=()), []).extend(each.where)
    return [each._replace(where=tuple(where)) for each, where in merged.items()]


def details(title: str, drawn: Sequence[Detail], balloons: Balloons) -> str:
    """Details as one drawing, two in a row."""
    out, top = headed(title)
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
    said = "; ".join(f"{each.kind}: {', '.join(each.told)}" + _marked(each.marks) for each in drawn)
    used = {face.hatch for each in drawn for face in each.faces} | {each.part.hatch for each in drawn} | {"mortar", "tile"}
    inside = hatch_defs(balloons.drawing, used) + out
    return sheet(WIDTH, top + 12, inside, name=balloons.drawing, title=title, desc=words.JUNCTIONS_DESC.format(said))


def _marked(marks: Sequence[Mark]) -> str:
    return f" ({words.MARKED.format(in_words(marks))})" if marks else ""


def _cell(balloons: Balloons, x: float, top: float, each: Detail) -> tuple[str, float]:
    out = _picture(balloons.drawing, x + 8, top, each)
    y = top + HIGH + 16
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
    pen = Pen(name, x, y, upside=each.kind in HANGING)
    upright, level = each.faces
    draw = {
        CURB: partial(pictures.curb, pen, each.part, level), GLASS: partial(pictures.glass, pen, level),
        "niche": partial(pictures.niche, pen, each.part, upright),
        "bench": partial(pictures.bench, pen, each.part, upright), DRAIN: partial(pictures.drain, pen, each.part, level, each.lapped),
        EDGE: partial(pictures.deck_edge, pen, each.part, level), HOLE: partial(pictures.hole, pen, each.joint, upright),
        SOFT: partial(pictures.soft_joint, pen, each.joint, each.part, level),
        **{kind: partial(pictures.seam, pen, each.joint, upright) for kind in SEAMS},
        **{kind: partial(pictures.outside, pen, each.joint, upright, upright) for kind in OUTSIDE},
    }.get(each.kind, partial(pictures.corner, pen, each.joint, upright, level))  # fmt: skip
    draw()
    return pen.out + pen.asked
