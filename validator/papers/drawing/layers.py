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
    "board": ("material",), "tile": ("body", "size"), "tile mortar": ("kind", "meets"), "membrane": ("kind", "coats"),
    "mortar bed": ("method",), "subfloor panel": ("material", "category"), "grout": ("kind", "joint"), "liner": ("material",),
    "screw": ("kind", "length", "spacing"), "vapour retarder": ("material",), "slab": ("kind",), "pre-slope": ("material",),
    "isolation membrane": ("kind",), "existing finish": ("material",), "self-leveling underlayment": ("base",),
    "framing": ("material", "joist", "spacing", "span"), "primer": ("kind",), "heat": ("kind",),
}  # fmt: skip
NAMING = ("material", "body", "kind", "base")


class Strip(NamedTuple):
    """One layer. `size` is its thickness in millimetres, none where it is not stated."""

    thing: str
    name: str
    label: tuple[str, ...]  # its name, then what is told of it
    thickness: str
    size: float | None
    hatch: str
    maybe: bool = False


class BuildUp(NamedTuple):
    """A place from its structure outwards: strips, and what goes through or between them."""

    strips: tuple[Strip, ...]
    framing: Strip | None
    screw: "Screw | None"
    grout: Strip | None
    gap: bool  # the writer left a gap


class Screw(NamedTuple):
    strip: Strip
    length: float | None
    penetration: str


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
    strips = tuple(strip_of(reader, layer, vector) for layer, vector in real if layer.thing not in NO_STRIP)
    by_thing = {layer.thing: (layer, vector) for layer, vector in reversed(real)}
    return BuildUp(strips, _one(reader, by_thing, "framing"), _screw(reader, by_thing), _one(reader, by_thing, "grout"), gap)


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
    word = next((said for each in NAMING if (said := reader.said(f"{thing}.{each}", layer, vector))), "")
    told = [
        words.TOLD.get(f"{thing}.{each}", "{}").format(said)
        for each in TELLS.get(thing, ())
        if (said := reader.said(f"{thing}.{each}", layer, vector))
    ]
    name = layer.name if layer.name and layer.name != thing else ""
    heading = f"{name} ({thing})" if name and thing not in name else name or thing
    return Strip(thing, layer.name, (heading, *told), thickness, size, hatch_of(thing, word), layer.presence == MAYBE)


def _one(reader: Reader, by_thing: dict, thing: str) -> Strip | None:
    return strip_of(reader, *by_thing[thing]) if thing in by_thing else None


def _screw(reader: Reader, by_thing: dict) -> Screw | None:
    if "screw" not in by_thing:
        return None
    _, vector = by_thing["screw"]
    strip = _one(reader, by_thing, "screw")
    return Screw(strip, reader.millimetres("screw.length", vector), reader.said("screw.penetration", None, vector))
