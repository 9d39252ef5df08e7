"""Takes an assembly, returns how much of everything to buy, as far as the description goes, and what is missing for the rest.

Sheets are counted with their cutting; everything else is area, length or volume, with waste added. Waste is the user's
to set; what is added otherwise is common practice. A place is counted once, as described: two walls under one name
count as one. Raises AmountProblem for a waste that is none.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.deriving import DerivedPlace, Vector
from validator.facts import possible
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST, AmountProblem
from validator.language.slips import did_you_mean
from validator.rulebook.english import name_of
from validator.workings import WORKINGS
from validator.workings.beds import TROWELS, mean_bed
from validator.workings.cutting import cut
from validator.workings.intervals import from_steps
from validator.workings.working import whole_above

Span = tuple[Fraction, Fraction | None]
ITEMS = ("board", "screws", "tape", "sealant", "membrane", "mortar", "tile", "grout")
USUAL_WASTE = {
    "board": Fraction(0), "screws": Fraction(1, 20), "tape": Fraction(1, 10), "sealant": Fraction(1, 10),
    "membrane": Fraction(0), "mortar": Fraction(1, 10), "tile": Fraction(1, 10), "grout": Fraction(1, 10),
}  # fmt: skip
AT_AN_ANGLE = "ridges counted as of a trowel held upright; held at 45 degrees it leaves about seven tenths: common practice, no source"
BAG_YIELD = Fraction(7, 2)  # gal of mixed mortar from a 50 lb bag, common practice
TUBE = Fraction(101, 10) * Fraction(231, 128)  # cu in, a tube of 10.1 fl oz
RATIO = 2_882_880_000
WALL_LENGTHS = ("board to pan", "board to bed", "board to tub", "wall to curb", "wall to ceiling", "floor to wall")
CORNERS = ("inside corners", "outside corners")


class Part(NamedTuple):
    """What one place or junction takes, before waste."""

    where: str
    least: Fraction
    greatest: Fraction | None
    how: str


class Spread(NamedTuple):
    """Something spread over an area, and the sum that says how much of it."""

    kind: str
    thing: str
    name: str
    working: str


SPREADS = (
    Spread("membrane", "membrane", "membrane", "membrane needed"),
    Spread("mortar", "tile mortar", "tile mortar, mixed", "mortar needed"),
    Spread("grout", "grout", "grout, mixed", "grout needed"),
)


@dataclass
class Item:
    """One line of the buying list. Amounts are in `unit`; `buy` says them in bags, tubes or sheets."""

    kind: str
    name: str
    unit: str
    waste: Fraction
    whole: bool = False
    parts: list[Part] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    notes: dict[str, None] = field(default_factory=dict)
    each: Fraction | None = None  # what one bag or tube holds, in the same unit
    pack: tuple[str, str] = ("", "")  # what one is called, and several

    @property
    def least(self) -> Fraction:
        return self._with_waste(sum((part.least for part in self.parts), Fraction(0)))

    @property
    def greatest(self) -> Fraction | None:
        ends = [part.greatest for part in self.parts]
        return None if None in ends else self._with_waste(sum(ends, Fraction(0)))

    @property
    def packs(self) -> tuple[int, int | None] | None:
        """Bags or tubes for the least and the greatest."""
        if self.each is None:
            return None
        greatest = self.greatest
        return whole_above(self.least / self.each), None if greatest is None else whole_above(greatest / self.each)

    def _with_waste(self, amount: Fraction) -> Fraction:
        more = amount * (1 + self.waste)
        return Fraction(whole_above(more)) if self.whole else more


def wastes_of(texts: list[str]) -> dict[str, Fraction]:
    """The waste of each item: `10 %` is for all, `tile 15 %` for one. Raises AmountProblem."""
    wastes = dict(USUAL_WASTE)
    for text in texts:
        words, _, _ = text.strip().partition(next((c for c in text if c.isdigit() or c in ".-"), "\0"))
        kind = words.strip(" =:").lower()
        if kind and kind not in ITEMS:
            hint = did_you_mean(kind, ITEMS)
            raise AmountProblem(f"nothing on the list is called `{kind}`", hint + ", ".join(ITEMS))
        part = amounts.exact(text.strip()[len(words) :] if kind else text, "proportion") / RATIO
        for each in (kind,) if kind else ITEMS:
            wastes[each] = part
    return wastes


def takeoff_of(assembly: Assembly, loaded: LoadedBook, wastes: Mapping[str, Fraction]) -> tuple[Item, ...]:
    """The buying list of a described assembly, in the order the work goes. `loaded` works everything out."""
    return _Buyer(assembly, loaded, wastes).gathered()


class _Buyer:
    def __init__(self, assembly: Assembly, loaded: LoadedBook, wastes: Mapping[str, Fraction]) -> None:
        self.assembly, self.loaded, self.wastes = assembly, loaded, wastes
        self.vocabulary = loaded.vocabulary
        self.items: dict[tuple[str, str], Item] = {}
        self.found: dict[str, DerivedPlace] = {}

    def gathered(self) -> tuple[Item, ...]:
        for subject in self.assembly.subjects:
            if subject.sort == "place":
                self.found[subject.name] = self.loaded.engine.derive(subject)
        for name, found in self.found.items():
            for vector in self._vectors(found, "board"):
                self._boards(name, found, vector)
            for vector in self._vectors(found, "screw"):
                self._screws(name, vector)
            for vector in self._vectors(found, "bedding mortar"):
                self._bedding(name, found, vector)
            for vector in self._vectors(found, "tile"):
                self._tile(name, found, vector)
            for wanted in SPREADS:
                for vector in self._vectors(found, wanted.thing):
                    self._spread(name, vector, wanted)
        for subject in self.assembly.subjects:
            if subject.sort == "junction":
                self._seals(subject)
        return tuple(sorted(self.items.values(), key=lambda item: ITEMS.index(item.kind)))

    # -- what is known ----------------------------------------------------------------------------------------------------

    def _vectors(self, found: DerivedPlace, thing: str) -> list[Vector]:
        """The vector of each layer of a kind that is surely there."""
        layers = found.layers.get(thing, [(None, found.vector)])
        return [vector for _, vector in layers if vector[self.vocabulary.slot(thing)] == THERE]

    def _span(self, vector: Vector, name: str, unit: str) -> Span | None:
        fact = self.vocabulary.fact(name)
        least, greatest = vector[self.vocabulary.slot(name)]
        if least == NO_LEAST:
            return None
        low = from_steps(least, fact.kind, unit)
        return low, None if greatest == NO_GREATEST else from_steps(greatest, fact.kind, unit)

    def _words(self, vector: Vector, name: str) -> tuple[str, ...]:
        fact, mask = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        return tuple(word for bit, word in enumerate(fact.words) if mask >> bit & 1)

    def _said(self, found: DerivedPlace | None, vector: Vector, name: str) -> str:
        """A fact in words, in the writer's unit; nothing where it is not known."""
        fact, value = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        if possible.is_anything(fact, value):
            return ""
        if fact.is_amount:
            known = found.known.get(name) if found is not None else None
            return amounts.show_range(*value, fact.kind, known.unit if known is not None and known.unit else None, False)
        return possible.in_words(fact, value)

    def _sides(self, vector: Vector) -> list[tuple[Span, Span]]:
        """Width and height of a place, each way round where only its two sides are known; empty when one has no end."""
        pairs = [("place.width", "place.height"), ("place.greatest dimension", "place.least dimension")]
        for one, other in pairs:
            a, b = self._span(vector, one, "in"), self._span(vector, other, "in")
            if a is not None and b is not None and a[1] is not None and b[1] is not None:
                return [(a, b)] if one == "place.width" else [(a, b), (b, a)]
        return []

    def _lacks_size(self, vector: Vector) -> list[str]:
        """What would give a place its two sides."""
        known = [name for name in ("place.width", "place.height") if self._span(vector, name, "in") is not None]
        return [name for name in ("place.width", "place.height") if name not in known] if known else ["place.size"]

    def _item(self, kind: str, name: str, unit: str, *, whole: bool = False) -> Item:
        return self.items.setdefault((kind, name), Item(kind, name, unit, self.wastes[kind], whole))

    # -- boards and screws ------------------------------------------------------------------------------------------------

    def _boards(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        width, height = self._span(vector, "board.sheet width", "in"), self._span(vector, "board.sheet height", "in")
        said = (self._said(found, vector, "board.thickness"), self._said(found, vector, "board.material"), "board")
        size = f", sheets {_inch(width[0])} x {_inch(height[0])} in" if width and height else ""
        item = self._item("board", " ".join(word for word in said if word) + size, "sheets", whole=True)
        sides = self._sides(vector)
        if not width or not height or not sides:
            lacks = [] if sides else self._lacks_size(vector)
            lacks += [name for name, span in (("board.sheet width", width), ("board.sheet height", height)) if not span]
            item.missing.append(f"{place}: needs {self._named(lacks)}")
            return
        counts: list[int] = []
        for wide, high in sides:
            counts += [cut(wide[0], high[0], width[0], height[0]).sheets, cut(wide[1], high[1], width[0], height[0]).sheets]
        wide, high = sides[0]
        how = f"cut for {_inch(wide[0])} x {_inch(high[0])} in, offcuts used in the same place"
        item.parts.append(Part(place, Fraction(min(counts)), Fraction(max(counts)), how))

    def _screws(self, place: str, vector: Vector) -> None:
        item = self._item("screws", "board screws", "screws", whole=True)
        given = self._given(vector, "screws for a wall")
        ways = []
        for wide, high in self._sides(vector):
            sized = {**given, "place.width": _steps(wide), "place.height": _steps(high)}
            ways.append(self.loaded.engine.deriver.work("screws for a wall", sized))
        known = [way for way in ways if way.least != NO_LEAST and way.greatest != NO_GREATEST]
        if not known or len(known) < len(ways):
            narrows = dict.fromkeys(name for way in ways for name in way.narrows) or self._lacks_size(vector)
            item.missing.append(f"{place}: needs {self._named(narrows)}")
            return
        least, greatest = min(way.least for way in known), max(way.greatest for way in known)
        item.parts.append(Part(place, Fraction(least), Fraction(greatest), known[0].at_greatest.line))
        item.notes.update(dict.fromkeys(known[0].assumed))

    # -- tile and what it lies in -----------------------------------------------------------------------------------------

    def _tile(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        said = (self._said(found, vector, "tile.body"), "tile")
        size = found.known.get("tile.size")
        name = " ".join(word for word in said if word) + (f", {size.text}" if size is not None and size.text else "")
        area = self._span(vector, "place.area", "sq ft")
        item = self._item("tile", name, "sq ft")
        if area is None:
            item.missing.append(f"{place}: needs {self._named(self._lacks_size(vector))}")
            return
        item.parts.append(Part(place, *area, "finished area"))
        long, short = self._span(vector, "tile.longest edge", "in"), self._span(vector, "tile.shortest edge", "in")
        if long is not None and short is not None and long[0] == long[1] and short[0] == short[1]:
            item.each, item.pack = long[0] * short[0] / 144, ("piece, joints not counted", "pieces, joints not counted")

    def _bedding(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        item = self._item("mortar", "mortar under pans and boards", "gal")
        area = self._span(vector, "place.area", "sq ft")
        trowels = [t for t in self._words(vector, "bedding mortar.trowel") if t in TROWELS]
        if area is None or len(trowels) < len(self._words(vector, "bedding mortar.trowel")):
            lacks = [] if area is not None else self._lacks_size(vector)
            lacks += [] if trowels else ["bedding mortar.trowel"]
            item.missing.append(f"{place}: needs {self._named(lacks or ['bedding mortar.trowel'])}")
            return
        beds = [mean_bed(*TROWELS[trowel]) for trowel in trowels]
        least, greatest = area[0] * 144 * min(beds) / 231, None if area[1] is None else area[1] * 144 * max(beds) / 231
        item.parts.append(Part(place, least, greatest, f"mean bed {_inch(min(beds))} in from a {trowels[0]}"))
        item.notes[AT_AN_ANGLE] = None
        self._bags(item, None)

    def _spread(self, place: str, vector: Vector, wanted: Spread) -> None:
        """Membrane, mortar or grout, by the sum that says how much an area of it takes."""
        item = self._item(wanted.kind, wanted.name, "gal")
        if wanted.kind == "membrane" and (covers := self._words(vector, "membrane.covers")) != ("whole face",):
            lack = "say whether the membrane covers the whole face" if "whole face" in covers else "covers seams or a part only"
            item.missing.append(f"{place}: {lack}; not counted")
            return
        done = self.loaded.engine.deriver.work(wanted.working, self._given(vector, wanted.working))
        if done.least == NO_LEAST:
            lacks = [lack for name in done.narrows for lack in self._asked(vector, name)]
            item.missing.append(f"{place}: needs {self._named(lacks)}" if lacks else f"{place}: {done.why_not}")
            return
        ends = [None if end == NO_GREATEST else from_steps(end, "volume", "gal") for end in (done.least, done.greatest)]
        lines = dict.fromkeys(end.line for end in (done.at_least, done.at_greatest) if end is not None)
        item.parts.append(Part(place, ends[0], ends[1], "; or ".join(lines)))
        item.notes.update(dict.fromkeys(done.assumed))
        if wanted.kind == "mortar":
            item.notes[AT_AN_ANGLE] = None
            self._bags(item, self._span(vector, "tile mortar.bag yield", "gal"))
        elif wanted.kind == "grout" and (yields := self._span(vector, "grout.bag yield", "gal")):
            item.each, item.pack = yields[0], ("bag or pail", "bags or pails")

    def _named(self, lacks: Iterable[str]) -> str:
        """Facts as a reader says them, each once."""
        return " and ".join(dict.fromkeys(name_of(self.vocabulary, name) for name in lacks))

    def _given(self, vector: Vector, working: str) -> dict[str, object]:
        return {each.fact: vector[self.vocabulary.slot(each.fact)] for each in WORKINGS[working].inputs}

    def _asked(self, vector: Vector, name: str) -> list[str]:
        """What a person would write so that a fact follows."""
        if name == "place.area":
            return self._lacks_size(vector)
        return ["tile mortar.trowel" if name == "tile mortar.mean bed" else name]

    def _bags(self, item: Item, yields: Span | None) -> None:
        if yields is not None:
            item.each, item.pack = yields[0], ("bag", "bags")
        elif item.each is None:
            item.each, item.pack = BAG_YIELD, ("bag of 50 lb", "bags of 50 lb")
            item.notes["a 50 lb bag taken to make 3-1/2 gal: common practice, no source; the bag says"] = None

    # -- seams and corners ------------------------------------------------------------------------------------------------

    def _seals(self, subject: Subject) -> None:
        found = self.loaded.engine.derive(subject)
        vector = found.vector
        if vector[self.vocabulary.slot("junction")] != THERE:
            return
        for thing in ("tape", "sealant"):
            if vector[self.vocabulary.slot(thing)] != THERE:
                continue
            length = self._length(subject)
            if thing == "tape":
                said = (self._said(found, vector, "tape.width"), self._said(found, vector, "tape.material"), "tape")
                item = self._item("tape", " ".join(word for word in said if word), "ft")
                bead: Span | None = (Fraction(1, 12), Fraction(1, 12))
            else:
                said = (self._said(found, vector, "sealant.kind"), "sealant")
                item = self._item("sealant", " ".join(word for word in said if word), "cu in")
                item.each, item.pack = TUBE, ("tube of 10.1 fl oz", "tubes of 10.1 fl oz")
                item.notes["a bead is counted as half its width square"] = None
                across = self._span(vector, "sealant.bead", "in")
                bead = None if across is None else (across[0] ** 2 / 2, None if across[1] is None else across[1] ** 2 / 2)
            if length is None or bead is None:
                item.missing.append(f"{subject.name}: needs {'its length' if length is None else 'its sealant bead'}")
                continue
            greatest = None if length[1] is None or bead[1] is None else length[1] * bead[1]
            item.parts.append(Part(subject.name, length[0] * bead[0], greatest, f"{_feet(length)} long"))

    def _length(self, subject: Subject) -> Span | None:
        """How long a junction is in inches, from the sizes of the places that meet there."""
        places = [self.found[name].vector for name in subject.at if name in self.found]
        if subject.kind == "board seams" and places:
            return self._seam_length(places[0])
        if subject.kind in CORNERS and len(places) == 2:
            return _hull([high for vector in places for _, high in self._sides(vector)])
        if subject.kind in WALL_LENGTHS:
            walls = [v for v in places if any("wall" in kind for kind in self._words(v, "place.kind"))]
            return _hull([wide for vector in walls for wide, _ in self._sides(vector)])
        return None

    def _seam_length(self, vector: Vector) -> Span | None:
        width, height = self._span(vector, "board.sheet width", "in"), self._span(vector, "board.sheet height", "in")
        sides = self._sides(vector)
        if not width or not height or not sides:
            return None
        ends = [cut(wide[n], high[n], width[0], height[0]).seams for wide, high in sides for n in (0, 1)]
        return min(ends), max(ends)


def _hull(spans: list[Span]) -> Span | None:
    if not spans:
        return None
    ends = [high for _, high in spans]
    return min(low for low, _ in spans), None if None in ends else max(ends)


def _steps(span: Span) -> tuple[int, int]:
    return int(span[0] * 25_400_000), int(span[1] * 25_400_000)


def _inch(value: Fraction) -> str:
    return amounts.show(int(value * 25_400_000), "length", "in", False).removesuffix(" in")


def _feet(span: Span) -> str:
    low, high = span
    return amounts.show_range(int(low * 25_400_000), NO_GREATEST if high is None else int(high * 25_400_000), "length", "ft", False)
