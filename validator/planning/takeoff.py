"""Takes an assembly, returns how much of everything to buy, as far as the description goes, and what is missing for the rest.

Sheets are counted with their cutting; everything else is area, length or volume, with waste added. A place is counted once,
as described: two walls under one name count as one. What stands already, or is to be removed, is not bought. Walls, tile
and seals are counted here; what lies under them in `takeoff_below`. Raises WorkingProblem for sizes that cannot be.
"""

from collections.abc import Mapping
from fractions import Fraction
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.deriving import DerivedPlace, Vector
from validator.facts.subjects import Subject
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.planning.items import ITEMS, Item, Part
from validator.planning.measured import Measured, Span, feet_of, hull, in_steps, inches_of, product, times
from validator.planning.takeoff_below import AT_AN_ANGLE, Below, mortar_bags
from validator.workings.cutting import cut
from validator.workings.film import MIL_FEET
from validator.workings.intervals import from_steps

TUBE = Fraction(101, 10) * Fraction(231, 128)  # cu in, a tube of 10.1 fl oz
IN_TUBES = ("tube of 10.1 fl oz", "tubes of 10.1 fl oz")
USUAL_BEAD = Fraction(1, 4)
HALF = Fraction(1, 2)
FILLS = Fraction(7, 4)  # gal of joint that 25 lb of dry cement grout fills: 1.7 of powder for each litre, common practice
WALL_LENGTHS = ("board to pan", "board to bed", "board to tub", "wall to curb", "wall to ceiling", "floor to wall")
CORNERS = ("inside corners", "outside corners")
WRITTEN_AS = {"tile mortar.mean bed": "tile mortar.trowel", "tile.longest edge": "tile.size", "tile.shortest edge": "tile.size"}
CEMENT_GROUTS = ("cement", "modified cement")


class Spread(NamedTuple):
    """Something spread over an area, and the sum that says how much of it."""

    kind: str
    thing: str
    working: str


MORTAR = Spread("mortar", "tile mortar", "mortar needed")
GROUT = Spread("grout", "grout", "grout needed")


def takeoff_of(assembly: Assembly, loaded: LoadedBook, wastes: Mapping[str, Fraction]) -> tuple[Item, ...]:
    """The buying list of a described assembly, in the order the work goes. `loaded` works everything out."""
    return _Buyer(assembly, loaded, wastes).gathered()


class _Buyer:
    def __init__(self, assembly: Assembly, loaded: LoadedBook, wastes: Mapping[str, Fraction]) -> None:
        self.assembly, self.loaded, self.wastes = assembly, loaded, wastes
        self.known = Measured(loaded)
        self.items: dict[tuple[str, str], Item] = {}
        self.found: dict[str, DerivedPlace] = {}

    def gathered(self) -> tuple[Item, ...]:
        for subject in self.assembly.subjects:
            if subject.sort == "place":
                self.found[subject.name] = self.loaded.engine.derive(subject)
        below = Below(self.known, self.item)
        for name, found in self.found.items():
            below.count(name, found)
            for vector in self.known.layers(found, "board"):
                self._boards(name, found, vector)
            for vector in self.known.layers(found, "screw"):
                self._screws(name, vector)
            for vector in self.known.layers(found, "membrane"):
                self._membrane(name, vector)
            for vector in self.known.layers(found, "tile"):
                self._tile(name, found, vector)
            for vector in self.known.layers(found, "tile mortar"):
                self._mortar(name, vector)
            for vector in self.known.layers(found, "grout"):
                self._grout(name, found, vector)
            for vector in self.known.layers(found, "movement joint"):
                self._movement_joints(name, vector)
        for subject in self.assembly.subjects:
            if subject.sort == "junction":
                self._seals(subject)
        return tuple(sorted(self.items.values(), key=lambda item: ITEMS.index(item.kind)))

    def item(self, kind: str, name: str, unit: str, *, whole: bool = False) -> Item:
        """The line of a kind of goods by its name, made when it is first asked for."""
        return self.items.setdefault((kind, name), Item(kind, name, unit, self.wastes[kind], whole))

    # -- boards and screws ------------------------------------------------------------------------------------------------

    def _boards(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        known = self.known
        width, height = known.span(vector, "board.sheet width", "in"), known.span(vector, "board.sheet height", "in")
        said = (known.said(found, vector, "board.thickness"), known.said(found, vector, "board.material"), "board")
        size = f", sheets {inches_of(width[0])} x {inches_of(height[0])} in" if width and height else ""
        item = self.item("board", " ".join(word for word in said if word) + size, "sheets", whole=True)
        sides = known.sides(vector)
        if not width or not height or not sides:
            lacks = [] if sides else known.lacks_size(vector)
            lacks += [name for name, span in (("board.sheet width", width), ("board.sheet height", height)) if not span]
            item.missing.append(f"{place}: needs {known.named(lacks)}")
            return
        counts: list[int] = []
        for wide, high in sides:
            counts += [cut(wide[0], high[0], width[0], height[0]).sheets, cut(wide[1], high[1], width[0], height[0]).sheets]
        wide, high = sides[0]
        how = f"cut for {inches_of(wide[0])} x {inches_of(high[0])} in, offcuts used in the same place"
        item.parts.append(Part(place, Fraction(min(counts)), Fraction(max(counts)), how))

    def _screws(self, place: str, vector: Vector) -> None:
        item = self.item("screws", "board screws", "screws", whole=True)
        ways = [
            self.known.worked(vector, "screws for a wall", **{"place.width": in_steps(wide), "place.height": in_steps(high)})
            for wide, high in self.known.sides(vector)
        ]
        sure = [way for way in ways if way.least != NO_LEAST and way.greatest != NO_GREATEST]
        if not sure or len(sure) < len(ways):
            narrows = dict.fromkeys(name for way in ways for name in way.narrows) or self.known.lacks_size(vector)
            item.missing.append(f"{place}: needs {self.known.named(narrows)}")
            return
        least, greatest = min(way.least for way in sure), max(way.greatest for way in sure)
        item.parts.append(Part(place, Fraction(least), Fraction(greatest), sure[0].at_greatest.line))
        item.notes.update(dict.fromkeys(sure[0].assumed))

    # -- the membrane -----------------------------------------------------------------------------------------------------

    def _membrane(self, place: str, vector: Vector) -> None:
        """A liquid in gallons by its film, a sheet by its area; what covers seams alone is in no sum of areas."""
        sheet = self.known.surely(vector, "membrane.kind", "sheet")
        item = self.item("sheet membrane", "sheet membrane", "sq ft") if sheet else self.item("membrane", "membrane", "gal")
        if (covers := self.known.words(vector, "membrane.covers")) != ("whole face",):
            lack = "say whether the membrane covers the whole face" if "whole face" in covers else "covers seams or a part only"
            item.missing.append(f"{place}: {lack}; not counted")
        elif sheet:
            self._sheet(place, vector, item)
        elif self.known.surely(vector, "membrane.kind", "trowel-on cement"):
            item.missing.append(f"{place}: a cement that is troweled on goes by its bag; not counted")
        else:
            self._liquid(place, vector, item)

    def _sheet(self, place: str, vector: Vector, item: Item) -> None:
        area = self.known.span(vector, "place.area", "sq ft")
        if area is None:
            item.missing.append(f"{place}: needs {self.known.named(self.known.lacks_size(vector))}")
            return
        item.parts.append(Part(place, *area, "finished area"))
        item.notes["the waste counts its laps and turn-ups; bands and corners are bought beside it"] = None
        item.notes["what sticks it down is not counted: its own glue, or mortar by the trowel that its maker names"] = None

    def _liquid(self, place: str, vector: Vector, item: Item) -> None:
        item.each, item.pack = Fraction(1), ("pail of 1 gal", "pails of 1 gal")
        wet, area = self.known.span(vector, "membrane.wet film called for", "mil"), self.known.span(vector, "place.area", "sq ft")
        done = self.known.worked(vector, "membrane needed")
        if done.least == NO_LEAST and wet is not None and area is not None:
            # the label's wet film, all coats together, where its solids are not known
            amount = times(product(area, wet), 1 / (MIL_FEET * Fraction(9, 10)))
            item.parts.append(Part(place, *amount, "by the wet film called for, all coats"))
            item.notes["a tenth of the pail left behind: common practice, no source"] = None
            return
        self._by_sum(place, vector, item, "membrane needed")

    # -- tile and what it lies in -----------------------------------------------------------------------------------------

    def _tile(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        size = found.known.get("tile.size")
        said = (self.known.said(found, vector, "tile.body"), "tile")
        name = " ".join(word for word in said if word) + (f", {size.text}" if size is not None and size.text else "")
        area = self.known.span(vector, "place.area", "sq ft")
        item = self.item("tile", name, "sq ft")
        if area is None:
            item.missing.append(f"{place}: needs {self.known.named(self.known.lacks_size(vector))}")
            return
        item.parts.append(Part(place, *area, "finished area"))
        long, short = self.known.span(vector, "tile.longest edge", "in"), self.known.span(vector, "tile.shortest edge", "in")
        if long is not None and short is not None and long[0] == long[1] and short[0] == short[1]:
            item.each, item.pack = long[0] * short[0] / 144, ("piece, joints not counted", "pieces, joints not counted")

    def _mortar(self, place: str, vector: Vector) -> None:
        item = self.item("mortar", "tile mortar, mixed", "gal")
        if self._by_sum(place, vector, item, MORTAR.working):
            item.notes[AT_AN_ANGLE] = None
            if self.known.surely(vector, "tile mortar.back-buttered", "yes"):
                item.notes["skimming the backs of the tile takes about a tenth more: common practice, no source"] = None
            mortar_bags(item, self.known.span(vector, "tile mortar.bag yield", "gal"))

    def _grout(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        """Each joint width and kind by itself: they are different bags."""
        said = (self.known.said(found, vector, "grout.kind"), "grout")
        joint = self.known.said(found, vector, "grout.joint")
        item = self.item("grout", " ".join(word for word in said if word) + (f", {joint} joints" if joint else ""), "gal")
        if not self._by_sum(place, vector, item, GROUT.working):
            return
        if yields := self.known.span(vector, "grout.bag yield", "gal"):
            item.each, item.pack = yields[0], ("bag or pail", "bags or pails")
        elif item.each is None and self.known.surely(vector, "grout.kind", *CEMENT_GROUTS):
            item.each, item.pack = FILLS, ("bag of 25 lb", "bags of 25 lb")
            item.notes["a 25 lb bag taken to fill 1-3/4 gal of joint: common practice, no source; the bag says"] = None
        elif item.each is None:
            item.each, item.pack = Fraction(1), ("pail or kit of 1 gal", "pails or kits of 1 gal")

    def _by_sum(self, place: str, vector: Vector, item: Item, working: str) -> bool:
        """A part by one of the book's sums; what it lacks where it cannot be done."""
        done = self.known.worked(vector, working)
        if done.least == NO_LEAST:
            lacks = [lack for name in done.narrows for lack in self._written_as(vector, name)]
            item.missing.append(f"{place}: needs {self.known.named(lacks)}" if lacks else f"{place}: {done.why_not}")
            return False
        ends = [None if end == NO_GREATEST else from_steps(end, "volume", "gal") for end in (done.least, done.greatest)]
        lines = dict.fromkeys(end.line for end in (done.at_least, done.at_greatest) if end is not None)
        item.parts.append(Part(place, ends[0], ends[1], "; or ".join(lines)))
        item.notes.update(dict.fromkeys(done.assumed))
        return True

    def _written_as(self, vector: Vector, name: str) -> list[str]:
        """What a person would write so that a fact follows."""
        if name == "place.area":
            return self.known.lacks_size(vector)
        return [WRITTEN_AS.get(name, name)]

    # -- movement joints --------------------------------------------------------------------------------------------------

    def _movement_joints(self, place: str, vector: Vector) -> None:
        """Sealant and its backing: the edge all round where it is soft, and the joints in the field across the shorter way."""
        known = self.known
        if not known.surely(vector, "movement joint.filled with", "sealant"):
            return
        width = known.span(vector, "movement joint.width", "in")
        sides = known.sides(vector)
        item = self.item("joint sealant", "sealant for movement joints", "cu in")
        if width is None or not sides:
            lacks = ([] if sides else known.lacks_size(vector)) + ([] if width else ["movement joint.width"])
            item.missing.append(f"{place}: needs {known.named(lacks)}")
            return
        (one, other), number = sides[0], known.span(vector, "movement joint.number needed", "count")
        runs: Span = (Fraction(0), Fraction(0))
        if known.surely(vector, "movement joint.at perimeter", "yes"):
            runs = (2 * (one[0] + other[0]), 2 * (one[1] + other[1]))
        if number is not None and number[1] is not None:
            across = hull([one, other])
            runs = (runs[0] + number[0] * across[0], runs[1] + number[1] * across[1])
        else:
            item.missing.append(f"{place}: joints in the field, whose number is not known")
        if not runs[1]:
            return
        deep = known.span(vector, "movement joint.depth", "in") or times(width, HALF)
        how = f"{feet_of(runs)} long, {inches_of(width[0])} in wide and {inches_of(deep[0])} in deep"
        item.parts.append(Part(place, *product(runs, product(width, deep)), how))
        item.each, item.pack = TUBE, IN_TUBES
        backing = self.item("joint backing", "backing for movement joints", "ft")
        backing.parts.append(Part(place, *times(runs, Fraction(1, 12)), f"{feet_of(runs)} long"))

    # -- seams and corners ------------------------------------------------------------------------------------------------

    def _seals(self, subject: Subject) -> None:
        found = self.loaded.engine.derive(subject)
        vector = found.vector
        if not self.known.is_there(vector, "junction"):
            return
        if self.known.layers(found, "tape"):
            said = (self.known.said(found, vector, "tape.width"), self.known.said(found, vector, "tape.material"), "tape")
            item = self.item("tape", " ".join(word for word in said if word), "ft")
            self._along(subject, item, (Fraction(1, 12), Fraction(1, 12)))
        in_tile = self.known.surely(vector, "junction.filled with", "sealant")
        if self.known.layers(found, "sealant") or in_tile:
            said = (self.known.said(found, vector, "sealant.kind"), "sealant")
            item = self.item("sealant", " ".join(word for word in said if word), "cu in")
            across = self.known.span(vector, "sealant.bead", "in")
            if across is None:
                across = (USUAL_BEAD, USUAL_BEAD)
                item.notes["a bead taken as 1/4 in wide where nobody says: common practice, no source"] = None
            item.each, item.pack = TUBE, IN_TUBES
            item.notes["a bead is counted as half its width square"] = None
            self._along(subject, item, times(product(across, across), HALF))

    def _along(self, subject: Subject, item: Item, each_inch: Span) -> None:
        """A part by the length of a junction."""
        length = self._length(subject)
        if length is None:
            item.missing.append(f"{subject.name}: needs its length")
            return
        item.parts.append(Part(subject.name, *product(length, each_inch), f"{feet_of(length)} long"))

    def _length(self, subject: Subject) -> Span | None:
        """How long a junction is in inches, from the sizes of the places that meet there."""
        places = [self.found[name].vector for name in subject.at if name in self.found]
        if subject.kind == "board seams" and places:
            return self._seam_length(places[0])
        if subject.kind in CORNERS and len(places) == 2:
            return hull([high for vector in places for _, high in self.known.sides(vector)])
        if subject.kind in WALL_LENGTHS:
            walls = [v for v in places if any("wall" in kind for kind in self.known.words(v, "place.kind"))]
            return hull([wide for vector in walls for wide, _ in self.known.sides(vector)])
        return None

    def _seam_length(self, vector: Vector) -> Span | None:
        width, height = self.known.span(vector, "board.sheet width", "in"), self.known.span(vector, "board.sheet height", "in")
        sides = self.known.sides(vector)
        if not width or not height or not sides:
            return None
        ends = [cut(wide[n], high[n], width[0], height[0]).seams for wide, high in sides for n in (0, 1)]
        return min(ends), max(ends)
