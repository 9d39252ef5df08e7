"""The mortar under a tile: how thick a combed bed ends up, and how much of it a floor takes.

Units: inches; the bed is what is left when the ridges are pressed flat. Raises `WorkingProblem` for notches that
cannot be and trowels whose notch is not known.
Sources: geometry of the notch (computed); the trowel held at 45 degrees combs about seven tenths of its depth, common
practice.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import Input, Step, Worked, Working, WorkingProblem, inches, over_nothing, plain

PI = Fraction(355, 113)  # right to three parts in ten million
Facts = Mapping[str, Fraction | str]
A_NOTCH = "more than nothing, such as 1/4 in"

# trowel -> shape, notch width, notch depth, flat between notches (in); flats as wide as the notch, a V has none
TROWELS: dict[str, tuple[str, Fraction, Fraction, Fraction]] = {
    "3/16 in V notch": ("V", Fraction(3, 16), Fraction(5, 32), Fraction(0)),
    "1/4 in V notch": ("V", Fraction(1, 4), Fraction(3, 16), Fraction(0)),
    "1/4 x 1/4 in square notch": ("square", Fraction(1, 4), Fraction(1, 4), Fraction(1, 4)),
    "1/4 x 3/8 in square notch": ("square", Fraction(1, 4), Fraction(3, 8), Fraction(1, 4)),
    "3/8 x 3/8 in square notch": ("square", Fraction(3, 8), Fraction(3, 8), Fraction(3, 8)),
    "1/2 x 1/2 in square notch": ("square", Fraction(1, 2), Fraction(1, 2), Fraction(1, 2)),
    "3/4 x 3/4 in square notch": ("square", Fraction(3, 4), Fraction(3, 4), Fraction(3, 4)),
    "3/8 in U notch": ("U", Fraction(3, 8), Fraction(3, 8), Fraction(3, 8)),
    "1/2 in U notch": ("U", Fraction(1, 2), Fraction(1, 2), Fraction(1, 2)),
    "3/4 in U notch": ("U", Fraction(3, 4), Fraction(3, 4), Fraction(3, 4)),
}
EVERY_TROWEL = (*TROWELS, "slant notch", "flat")


def notch_area(shape: str, width: Fraction, deep: Fraction) -> Fraction:
    """Area of one notch in square inches: square, V, or a U whose foot is half round."""
    over_nothing(width, "a notch width", A_NOTCH)
    over_nothing(deep, "a notch depth", A_NOTCH)
    match shape:
        case "square":
            return width * deep
        case "V":
            return width * deep / 2
        case "U":
            if deep < width / 2:
                raise WorkingProblem(
                    f"a U notch {inches(width)} in wide cannot be {inches(deep)} in deep",
                    "a depth of half its width or more",
                )
            return width * (deep - width / 2) + PI * width**2 / 8
    raise WorkingProblem(f"no notch is called {shape}", "square, V or U")


def mean_bed(shape: str, width: Fraction, deep: Fraction, flat: Fraction) -> Fraction:
    """Thickness in inches of the bed when the ridges of an upright trowel are pressed flat."""
    if flat < 0:
        raise WorkingProblem(f"a flat of {plain(flat)} in between notches cannot be", "0 in or more")
    return notch_area(shape, width, deep) / (width + flat)


def _bed(facts: Facts) -> Worked:
    trowel = str(facts["tile mortar.trowel"])
    if trowel not in TROWELS:
        raise WorkingProblem(f"the bed of a {trowel} trowel is not known", ", ".join(TROWELS), "beyond the sum")
    shape, width, deep, flat = TROWELS[trowel]
    area = notch_area(shape, width, deep)
    bed = area / (width + flat)
    wide, high = inches(width), inches(deep)
    match shape:
        case "square":
            formula, numbers = "notch = width x depth", f"{wide} x {high}"
        case "V":
            formula, numbers = "notch = width x depth / 2", f"{wide} x {high} / 2"
        case _:
            formula = "notch = width x (depth - width / 2) + pi x width^2 / 8"
            numbers = f"{wide} x ({high} - {wide} / 2) + 3.141593 x {plain(width)}^2 / 8"
    steps = (
        Step(formula, numbers, f"{plain(area)} in2"),
        Step("mean bed = notch / (width + flat)", f"{plain(area)} / ({wide} + {inches(flat)})", f"{plain(bed)} in"),
    )
    told = ("trowel held upright; at 45 degrees about seven tenths of this", "flats as wide as the notch, a V has none")
    return Worked(bed, steps, f"{plain(bed, 3)} in of mortar from a {trowel}, pressed flat", told)


def _volume(facts: Facts) -> Worked:
    area = over_nothing(facts["place.area"], "an area", "more than nothing, such as 40 sq ft")
    bed = over_nothing(facts["tile mortar.mean bed"], "a bed", A_NOTCH)
    cubic = area * bed / 12
    volume = cubic * 1728 / 231
    steps = (
        Step("volume = area x bed / 12", f"{plain(area)} x {plain(bed)} / 12", f"{plain(cubic)} cu ft"),
        Step("gallons = volume x 1728 / 231", f"{plain(cubic)} x 1728 / 231", f"{plain(volume)} gal"),
    )
    return Worked(volume, steps, f"{plain(volume, 3)} gal of mixed mortar for {plain(area, 4)} sq ft")


BED = Working(
    "mean mortar bed", "tile mortar.mean bed", "in",
    (Input("tile mortar.trowel", "word", "words", every=EVERY_TROWEL),), _bed,
    {"from": "arithmetic", "section": "geometry of the notch", "edition": "", "known by": "computed"},
    "A bed is not a contact: only a lifted tile shows that.",
)  # fmt: skip
VOLUME = Working(
    "mortar needed", "tile mortar.volume needed", "gal",
    (Input("place.area", "sq ft", "up"), Input("tile mortar.mean bed", "in", "up")), _volume,
    {"from": "arithmetic", "section": "area times thickness", "edition": "", "known by": "computed"},
)  # fmt: skip
