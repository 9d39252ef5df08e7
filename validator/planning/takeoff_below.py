"""Counts what lies under the tile of one place: panels, pours, liners, beds and their slope, reinforcement, mats, sheets, and
the mortar that each is set in.

Volumes are worked geometry: an area times a mean thickness. A bed that itself falls to a drain is a bowl whose edge is level:
nothing at the drain, and on average two thirds of the rise at its edge. What a bag makes is common practice, no source,
and said with each item; so are the usual trowel under a board or a mat, the turn-up of a liner, and sheets of 4 by 8 ft.
"""

from collections.abc import Callable
from fractions import Fraction

from validator.engines.deriving import DerivedPlace, Vector
from validator.planning.items import Item, Part
from validator.planning.measured import Measured, Span, feet_of, inches_of, product, times, total
from validator.workings.beds import TROWELS, mean_bed
from validator.workings.cutting import cut

ItemOf = Callable[..., Item]
BAG_YIELD = Fraction(7, 2)  # gal of mixed mortar from a 50 lb bag, common practice
GALLON = 231  # cu in
HALF_CUBE = Fraction(1, 2)  # cu ft from a 60 lb bag of sand and cement, and from a 50 lb bag of pour, common practice
SHEET = (Fraction(96), Fraction(48))
LATH = Fraction(18)  # sq ft, a sheet of 27 x 96 in
TURN_UP = Fraction(9)  # in, of a liner of which nobody says how high it goes
SLOPE_MEAN = Fraction(2, 3)
USUAL_TROWEL = "1/4 x 1/4 in square notch"
MORTARS = ("unmodified cement", "modified cement")
# A straight ridge leaning back with the trowel stands as high as the sine of its angle to the floor.
AT_AN_ANGLE = "ridges counted as of a trowel held upright, the most it leaves; held at 60 to 30 degrees it leaves 87 to 50 % of that"


def mortar_bags(item: Item, yields: Span | None = None) -> None:
    """In bags: of the yield written, else of the usual one, which is said."""
    if yields is not None:
        item.each, item.pack = yields[0], ("bag", "bags")
    elif item.each is None:
        item.each, item.pack = BAG_YIELD, ("bag of 50 lb", "bags of 50 lb")
        item.notes["a 50 lb bag taken to make 3-1/2 gal: common practice, no source; the bag says"] = None


class Below:
    """Counts the layers under the finish, place by place, into items that `item` makes."""

    def __init__(self, known: Measured, item: ItemOf) -> None:
        self.known, self.item = known, item

    def count(self, place: str, found: DerivedPlace) -> None:
        """Everything under the tile of one place that is put in anew."""
        for thing, counted in (
            ("subfloor panel", self._panels), ("primer", self._primer), ("self-leveling underlayment", self._pour),
            ("vapour retarder", self._retarder), ("pre-slope", self._pre_slope), ("liner", self._liner), ("mortar bed", self._bed),
            ("foam pan", self._pan), ("bedding mortar", self._bedding), ("board", self._floor_board), ("isolation membrane", self._mat),
            ("heat", self._heat),
        ):  # fmt: skip
            for vector in self.known.layers(found, thing):
                counted(place, found, vector)

    # -- what every count needs -------------------------------------------------------------------------------------------

    def _area(self, place: str, vector: Vector, item: Item) -> Span | None:
        """The area of a place in square feet; where it is not known the item says what would give it."""
        area = self.known.span(vector, "place.area", "sq ft")
        if area is None:
            item.missing.append(f"{place}: needs {self.known.named(self.known.lacks_size(vector))}")
        return area

    def _needs(self, place: str, item: Item, *facts: str) -> None:
        item.missing.append(f"{place}: needs {self.known.named(facts)}")

    def _combed(self, place: str, vector: Vector, trowels: tuple[str, ...], assumed: str = "") -> None:
        """Mortar combed over the whole face by one of some trowels."""
        item = self.item("bedding", "mortar under pans, boards and mats", "gal")
        area = self._area(place, vector, item)
        if area is None:
            return
        beds = [mean_bed(*TROWELS[trowel]) for trowel in trowels]
        low, high = times(area, Fraction(144, GALLON) * min(beds)), times(area, Fraction(144, GALLON) * max(beds))
        item.parts.append(Part(place, low[0], high[1], f"mean bed {inches_of(min(beds))} in from a {trowels[0]}"))
        item.notes[AT_AN_ANGLE] = None
        if assumed:
            item.notes[assumed] = None
        mortar_bags(item)

    def _volume(self, place: str, vector: Vector, item: Item, thick: Span, how: str) -> None:
        """Cubic feet of something so many inches thick on average."""
        area = self._area(place, vector, item)
        if area is not None:
            item.parts.append(Part(place, *product(area, times(thick, Fraction(1, 12))), how))

    # -- structure --------------------------------------------------------------------------------------------------------

    def _panels(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        thick = self.known.span(vector, "subfloor panel.thickness", "in")
        size = f"{inches_of(thick[0])} in" if thick is not None and thick[0] == thick[1] else ""
        said = (size, self.known.said(found, vector, "subfloor panel.material") or "subfloor", "panels, 4 x 8 ft")
        item = self.item("panel", " ".join(word for word in said if word), "sheets", whole=True)
        sides = self.known.sides(vector)
        fasteners = self.item("fasteners", "panel fasteners and glue", "boxes")
        lack = f"{place}: by the joists' layout and the spacing, which no size tells"
        if lack not in fasteners.missing:
            fasteners.missing.append(lack)
        if not sides:
            self._needs(place, item, *self.known.lacks_size(vector))
            return
        counts = [cut(one[end], other[end], *SHEET).sheets for one, other in sides for end in (0, 1)]
        (one, other), *_ = sides
        how = f"cut for {inches_of(one[0])} x {inches_of(other[0])} in, offcuts used in the same place"
        item.parts.append(Part(place, Fraction(min(counts)), Fraction(max(counts)), how))
        item.notes["the panels run under the walls beside it too: count those with their own rooms"] = None

    def _primer(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        said = self.known.said(found, vector, "primer.kind")
        item = self.item("primer", f"{said} primer".strip(), "gal")
        area = self._area(place, vector, item)
        if area is not None:
            item.parts.append(Part(place, area[0] / 300, None if area[1] is None else area[1] / 150, "150 to 300 sq ft a gallon"))
            item.each, item.pack = Fraction(1), ("pail of 1 gal", "pails of 1 gal")
            item.notes["150 to 300 sq ft from a gallon: common practice, no source; thirsty concrete takes most"] = None

    def _pour(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        gypsum = self.known.surely(vector, "self-leveling underlayment.base", "gypsum")
        item = self.item("pour", "gypsum pour" if gypsum else "self-leveling underlayment", "cu ft")
        thick = self.known.span(vector, "self-leveling underlayment.thickness", "in")
        if thick is None:
            self._needs(place, item, "self-leveling underlayment.thickness")
            return
        self._volume(place, vector, item, thick, f"{inches_of(thick[0])} in thick on average")
        item.notes["the thickness written is taken as the mean; a hollow floor takes more"] = None
        if not gypsum:
            item.each, item.pack = HALF_CUBE, ("bag of 50 lb", "bags of 50 lb")
            item.notes["a 50 lb bag taken to fill 1/2 cu ft: common practice, no source; the bag says"] = None
        if self.known.surely(vector, "self-leveling underlayment.lath", "yes"):
            self._lath(place, vector, "lath in the pour")

    def _lath(self, place: str, vector: Vector, name: str) -> None:
        item = self.item("lath", name, "sq ft")
        area = self._area(place, vector, item)
        if area is not None:
            item.parts.append(Part(place, *area, "finished area; the waste counts its laps"))
            item.each, item.pack = LATH, ("sheet of 27 x 96 in", "sheets of 27 x 96 in")

    # -- liner, bed, pan --------------------------------------------------------------------------------------------------

    def _pre_slope(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        if not self.known.surely(vector, "pre-slope.material", "mortar"):
            item = self.item("bed", "sloped fill, ready-made", "sets")
            item.missing.append(f"{place}: ready-made slopes come by the size of the floor; its maker's set is bought whole")
            return
        item = self._mix("sloped fill under the liner")
        mean = self.known.span(vector, "pre-slope.mean thickness", "in")
        if mean is None:
            self._needs(place, item, "pre-slope.fall", "drain.longest run")
            return
        self._volume(place, vector, item, mean, f"{inches_of(mean[0])} in on average, a bowl with nothing at the drain")

    def _mix(self, name: str) -> Item:
        """Sand and cement, in bags of the ready mix."""
        item = self.item("bed", name, "cu ft")
        item.each, item.pack = HALF_CUBE, ("bag of 60 lb", "bags of 60 lb")
        item.notes["a 60 lb bag of sand and cement taken to make 1/2 cu ft packed: common practice, no source"] = None
        return item

    def _liner(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        said = self.known.said(found, vector, "liner.material")
        item = self.item("liner", f"{said} liner".strip(), "sq ft")
        sides = self.known.sides(vector)
        if not sides:
            self._needs(place, item, *self.known.lacks_size(vector))
            return
        up = self.known.span(vector, "liner.height above drain", "in")
        if up is None:
            up = (TURN_UP, TURN_UP)
            item.notes["turned up 9 in on every side where nobody says how high: common practice, no source"] = None
        one, other = (total(side, times(up, Fraction(2))) for side in sides[0])
        piece = f"one piece {feet_of(one)} by {feet_of(other)}, with its turn-ups; what goes over a curb comes on top"
        item.parts.append(Part(place, *times(product(one, other), Fraction(1, 144)), piece))

    def _bed(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        item = self._mix("mortar bed")
        thick, slope = self.known.span(vector, "mortar bed.thickness", "in"), None
        if thick is None:
            self._needs(place, item, "mortar bed.thickness")
            return
        how = f"{inches_of(thick[0])} in thick"
        # over a sloped fill the bed is even; without one it makes the fall itself
        falls = not self.known.is_there(vector, "pre-slope") and self.known.surely(vector, "place.kind", "shower floor")
        if falls:
            run, fall = self.known.span(vector, "drain.longest run", "in"), self.known.span(vector, "mortar bed.fall", "slope")
            fall = fall or self.known.span(vector, "place.fall", "slope")
            if run is not None and fall is not None:
                slope = times(product(run, fall), SLOPE_MEAN)
                how += f" at its thinnest, and {inches_of(Fraction(round(slope[0] * 16), 16))} in more on average for its slope"
            else:
                item.missing.append(f"{place}: its slope, which needs {self.known.named(['mortar bed.fall', 'drain.longest run'])}")
        self._volume(place, vector, item, thick if slope is None else total(thick, slope), how)
        if self.known.surely(vector, "mortar bed.method", "on lath"):
            self._lath(place, vector, "metal lath under the bed")
        elif self.known.surely(vector, "mortar bed.reinforced", "yes"):
            mesh = self.item("lath", "mesh in the bed", "sq ft")
            area = self._area(place, vector, mesh)
            if area is not None:
                mesh.parts.append(Part(place, *area, "finished area; the waste counts its laps"))

    def _pan(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        self.item("pan", "foam pan", "pieces", whole=True).parts.append(Part(place, Fraction(1), Fraction(1), "one for the floor"))
        if not self.known.is_there(vector, "bedding mortar"):
            self._needs(place, self.item("bedding", "mortar under pans, boards and mats", "gal"), "bedding mortar.trowel")

    def _bedding(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        could = self.known.words(vector, "bedding mortar.trowel")
        trowels = tuple(each for each in could if each in TROWELS)
        if trowels and len(trowels) == len(could):
            self._combed(place, vector, trowels)
        else:
            self._needs(place, self.item("bedding", "mortar under pans, boards and mats", "gal"), "bedding mortar.trowel")

    # -- boards, mats, sheets ---------------------------------------------------------------------------------------------

    def _floor_board(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        """Mortar under a board on a floor, where no bedding mortar is written."""
        if not self.known.surely(vector, "place.is floor", "yes") or self.known.is_there(vector, "bedding mortar"):
            return
        if self.known.surely(vector, "board.laid in mortar", "yes"):
            self._combed(place, vector, (USUAL_TROWEL,), f"a {USUAL_TROWEL} trowel taken under boards and mats: common practice, no source")
        elif "yes" in self.known.words(vector, "board.laid in mortar"):
            self._needs(place, self.item("bedding", "mortar under pans, boards and mats", "gal"), "board.laid in mortar")

    def _retarder(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        said = self.known.said(found, vector, "vapour retarder.material") or "vapor retarder"
        item = self.item("retarder", said, "sq ft")
        area = self._area(place, vector, item)
        if area is not None:
            item.parts.append(Part(place, *area, "finished area; the waste counts its laps"))

    def _mat(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        said = self.known.said(found, vector, "isolation membrane.kind") or "isolation membrane"
        kind = self.known.words(vector, "isolation membrane.kind")
        item = self.item("mat", said if said.endswith("mat") or len(kind) > 1 else f"{said} isolation membrane", "sq ft")
        if not self.known.surely(vector, "isolation membrane.covers", "whole floor") and kind != ("uncoupling mat",):
            item.missing.append(f"{place}: say whether it covers the whole floor; not counted")
            return
        if kind == ("liquid",):
            item.missing.append(f"{place}: a liquid goes by the film on its label; not counted")
            return
        area = self._area(place, vector, item)
        if area is None:
            return
        item.parts.append(Part(place, *area, "finished area"))
        if kind == ("uncoupling mat",):
            item.notes["the hollows of a mat take more of the tile's mortar than is counted; its maker says how much"] = None
        if self.known.surely(vector, "isolation membrane.set in", *MORTARS):
            self._combed(place, vector, (USUAL_TROWEL,), f"a {USUAL_TROWEL} trowel taken under boards and mats: common practice, no source")
        elif any(word in MORTARS for word in self.known.words(vector, "isolation membrane.set in")):
            self._needs(place, self.item("bedding", "mortar under pans, boards and mats", "gal"), "isolation membrane.set in")

    def _heat(self, place: str, found: DerivedPlace, vector: Vector) -> None:
        item = self.item("heat", "floor heating", "sets")
        item.missing.append(f"{place}: its maker sizes it by the warmed floor, without cabinets and fixtures, and the circuit")
