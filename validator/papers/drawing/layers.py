"""What a place is built of, from the structure outwards, as a drawing needs it.

Thicknesses are in millimetres for drawing and in the author's words for reading. What is not stated has none.
"""

from fractions import Fraction
from typing import NamedTuple

from validator.engines.deriving import DerivedPlace, Vector
from validator.facts import possible
from validator.facts.subjects import Layer
from validator.facts.vocabulary import MAYBE
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.papers import words
from validator.papers.drawing.hatching import hatch_of

NANOMETRES = 1_000_000  # in a millimetre
THICKNESS = {
    "tile mortar": ("tile mortar.bed thickness",),
    "membrane": ("membrane.dry film thickness", "membrane.wet film thickness", "membrane.wet film called for"),
}
METRIC = ("mm", "cm", "m")
METRIC_UNITS = {"length": "mm", "slope": "%"}
NO_STRIP = ("grout", "screw", "primer", "framing")  # drawn in or through others, not as a layer of their own
TELLS = {
    "board": ("material", "bottom edge", "gap at bottom"), "tile": ("body", "size"), "tile mortar": ("kind", "meets"), "membrane": ("kind", "coats", "seam lap", "height above drain"),
    "mortar bed": ("method",), "subfloor panel": ("material", "category"), "grout": ("kind", "joint"), "liner": ("material", "height above drain", "height above threshold"),
    "screw": ("kind", "length", "spacing"), "vapour retarder": ("material", "lap length"), "slab": ("kind",), "pre-slope": ("material",),
    "isolation membrane": ("kind",), "existing finish": ("material",), "self-leveling underlayment": ("base",),
    "framing": ("material", "joist", "spacing", "span"), "primer": ("kind",), "heat": ("kind",),
}  # fmt: skip
NAMING = ("material", "body", "kind", "base")
MOST_WORDS = 2  # of a loose word: more of what it may be tells nothing
WITHIN = (  # what lies inside a layer, and where: through its middle, or against what is under it
    ("mortar bed.method", "on lath", "lath"), ("mortar bed.reinforced", "yes", "mesh"),
    ("self-leveling underlayment.lath", "yes", "lath"),
)  # fmt: skip
SHAPES = {"I-joist": "i-joist", "floor truss": "truss"}  # of wood; sawn else
FIXED = ("board", "subfloor panel")  # what a screw's head stands on


class Strip(NamedTuple):
    """One layer. `size` is its thickness in millimetres, none where it is not stated."""

    thing: str
    name: str
    label: tuple[str, ...]  # its name, then what is told of it
    thickness: str
    size: float | None
    hatch: str
    maybe: bool = False
    measured: bool = True  # whether it has a thickness that could be stated
    within: str = ""  # mesh or lath


class BuildUp(NamedTuple):
    """A place from its structure outwards: strips, and what goes through or between them."""

    strips: tuple[Strip, ...]
    framing: Strip | None
    shape: str  # of the framing, cut across: sawn, i-joist, truss, channel, solid; "" where its material is not stated
    screws: tuple["Screw", ...]
    grout: Strip | None
    gap: bool  # the writer left a gap


class Screw(NamedTuple):
    """A kind of fastener. `head` is the turn of the strip whose face its head stands on, none where no layer is fixed."""

    strip: Strip
    length: float | None
    penetration: str
    head: int | None
    apart: float | None = None  # in millimetres
    apart_said: str = ""


class Reader(NamedTuple):
    """Reads facts of one place for drawing. What is worked out is told in the units that its author writes in."""

    loaded: LoadedBook
    found: DerivedPlace
    metric: bool = False

    def value(self, name: str, vector: Vector | None = None) -> object:
        return (self.found.vector if vector is None else vector)[self.loaded.vocabulary.slot(name)]

    def said(self, name: str, layer: Layer | None = None, vector: Vector | None = None) -> str:
        """A fact in the author's unit; nothing where nothing is known of it."""
        fact = self.loaded.vocabulary.fact(name)
        if fact is None:
            return ""
        own = layer.known.get(name) if layer is not None else self.found.known.get(name)
        if fact.kind in ("size", "name"):
            return own.text if own is not None and own.origin in (possible.STATED, possible.CARD) else ""
        value = self.value(name, vector)
        if possible.is_anything(fact, value):
            return ""
        if (
            own is not None
            and own.origin in (possible.STATED, possible.CARD)
            and (fact.is_amount or fact.is_together)
            and own.text
        ):
            return own.text
        unit = own.unit if own is not None and own.unit else METRIC_UNITS.get(fact.kind, "") if self.metric else ""
        return possible.in_words(fact, value, unit)

    def is_stated(self, name: str, layer: Layer | None = None) -> bool:
        """Whether somebody wrote it, or a product card did."""
        own = (layer.known if layer is not None else self.found.known).get(name)
        return own is not None and own.origin in (possible.STATED, possible.CARD)

    def millimetres(self, name: str, vector: Vector | None = None) -> float | None:
        """The middle of what is possible, or its one known end."""
        least, greatest = self.value(name, vector)
        ends = [end for end in (least, greatest) if end not in (NO_LEAST, NO_GREATEST)]
        return float(Fraction(sum(ends), len(ends) * NANOMETRES)) if ends else None


def reader_of(loaded: LoadedBook, found: DerivedPlace) -> Reader:
    """A reader that tells what is worked out in the units most of the place is written in."""
    known = [
        *found.subject.known.values(),
        *(k for layers in found.subject.layers.values() for each in layers for k in each.known.values()),
    ]
    lengths = [each.unit for each in known if each.unit in (*METRIC, "in", "ft", "mil", '"')]
    return Reader(loaded, found, 2 * sum(unit in METRIC for unit in lengths) > len(lengths))


def build_up(loaded: LoadedBook, found: DerivedPlace) -> BuildUp:
    """The layers of one place in their order, each with what a drawing tells of it."""
    reader = reader_of(loaded, found)
    described = [
        (layer, vector)
        for thing, layers in found.subject.layers.items()
        for layer, vector in found.layers.get(thing) or [(layer, found.vector) for layer in layers]
    ]
    gap = any(layer.name == "not described" for layer, _ in described)
    real = sorted(
        ((layer, vector) for layer, vector in described if layer.name != "not described"), key=lambda pair: pair[0].number
    )
    seen = [(layer, vector) for layer, vector in real if layer.thing not in NO_STRIP]
    strips = tuple(strip_of(reader, layer, vector) for layer, vector in seen)
    screws = tuple(
        _screw(reader, layer, vector, [each.number for each, _ in seen], strips) for layer, vector in real if layer.thing == "screw"
    )
    return BuildUp(strips, _one(reader, real, "framing"), _shape(reader, real), screws, _one(reader, real, "grout"), gap)


def strip_of(reader: Reader, layer: Layer, vector: Vector) -> Strip:
    thing, size, thickness = layer.thing, None, ""
    names = THICKNESS.get(thing, (f"{thing}.thickness",))
    for name in sorted(names, key=lambda each: not reader.is_stated(each, layer)):
        if reader.loaded.vocabulary.fact(name) is None:
            continue
        size = reader.millimetres(name, vector)
        if size is not None:
            wet = words.WET_FILM if "wet film" in name else ""
            thickness = f"{reader.said(name, layer, vector)}{wet}"
            break
    measured = any(reader.loaded.vocabulary.fact(each) is not None for each in names)
    word = next((said for each in NAMING if (said := reader.said(f"{thing}.{each}", layer, vector))), "")
    told = [
        words.TOLD.get(f"{thing}.{each}", "{}").format(said)
        for each in TELLS.get(thing, ())
        if (said := reader.said(f"{thing}.{each}", layer, vector)) and said.count(" or ") < MOST_WORDS
    ]
    within = next(
        (what for fact, says, what in WITHIN if fact.startswith(f"{thing}.") and reader.said(fact, layer, vector) == says), ""
    )
    if within == "mesh":
        told.append(words.REINFORCED)
    name = layer.name if layer.name and layer.name != thing else ""
    heading = f"{name} ({thing})" if name and thing not in name else name or thing
    return Strip(thing, layer.name, (heading, *told), thickness, size, hatch_of(thing, word), layer.presence == MAYBE, measured, within)


def _one(reader: Reader, real: list, thing: str) -> Strip | None:
    return next((strip_of(reader, layer, vector) for layer, vector in real if layer.thing == thing), None)


def _shape(reader: Reader, real: list) -> str:
    for layer, vector in real:
        if layer.thing == "framing":
            material = reader.said("framing.material", layer, vector)
            if material == "wood":
                return SHAPES.get(reader.said("framing.kind", layer, vector), "sawn")
            return {"steel": "channel", "masonry": "solid", "concrete": "solid"}.get(material, "")
    return ""


def _screw(reader: Reader, layer: Layer, vector: Vector, numbers: list[int], strips: tuple[Strip, ...]) -> Screw:
    """It fixes the nearest board or panel written before it, else the nearest after."""
    fixed = [turn for turn, strip in enumerate(strips) if strip.thing in FIXED]
    before = [turn for turn in fixed if numbers[turn] < layer.number]
    head = before[-1] if before else next(iter(fixed), None)
    return Screw(
        strip_of(reader, layer, vector), reader.millimetres("screw.length", vector), reader.said("screw.penetration", None, vector), head,
        reader.millimetres("screw.spacing", vector), reader.said("screw.spacing", layer, vector),
    )  # fmt: skip
