"""Soft joints: how far apart, how wide, and how many a room needs.

Units: inches; temperatures in degrees Fahrenheit of difference. Raises `WorkingProblem` for spacings and ranges that
cannot be and for joints farther apart than the method goes.
Sources: tile handbook method EJ171 (spacing and exterior widths, current edition: 3/8 in at 8 ft, 1/2 in at 12 ft,
and 1/16 in more for each 15 F of range over 100 F); ASTM C920 for the movement a class takes; expansion of tile from
a trade association (2008) and brick practice for long-term moisture growth.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import (
    Input,
    Step,
    Worked,
    Working,
    WorkingProblem,
    feet_and_inches,
    inches,
    not_negative,
    over_nothing,
    plain,
    whole_above,
)

# growth in each inch for each degree Fahrenheit, and for good with moisture
EXPANSION = Fraction(4, 1_000_000)  # porcelain and clay tile, seen
MOISTURE_GROWTH = {
    "porcelain": Fraction(0),  # absorbs almost nothing; from memory
    "ceramic": Fraction(5, 10_000), "quarry": Fraction(5, 10_000), "terracotta": Fraction(5, 10_000),  # clay brick, seen
}  # fmt: skip
# movement as a part of the joint's width that a class of sealant takes, ASTM C920; the lesser way of 100/50
TAKES = {
    "12-1/2": Fraction(1, 8), "25": Fraction(1, 4), "35": Fraction(35, 100), "50": Fraction(1, 2), "100/50": Fraction(1, 2),
}  # fmt: skip
CLOSE, WIDE = Fraction(144), Fraction(300)  # in, EJ171: outdoors, in sun, moisture and on raised slabs; other rooms
EXTERIOR = ((Fraction(96), Fraction(3, 8)), (Fraction(144), Fraction(1, 2)))  # EJ171 current, seen
Facts = Mapping[str, Fraction | str]
YES_OR_NO = ("no", "yes")
A_SPACING = "more than nothing, such as 12 ft"


def growth(length: Fraction, degrees: Fraction, moisture: Fraction, per_degree: Fraction = EXPANSION) -> Fraction:
    """How many inches a field of tile grows: length x (expansion x degrees + moisture growth)."""
    return length * (per_degree * degrees + moisture)


def width_for(movement: Fraction, takes: Fraction) -> Fraction:
    """Joint width in inches whose sealant takes the movement."""
    return movement / over_nothing(takes, "a movement class", ", ".join(TAKES))


def exterior_width(spacing: Fraction, degrees: Fraction) -> Fraction:
    """Width in inches that EJ171 asks outside, at a spacing in inches and a range in degrees Fahrenheit."""
    over_nothing(spacing, "a joint spacing", A_SPACING)
    not_negative(degrees, "a temperature range", "0 F or more")
    base = next((width for most, width in EXTERIOR if spacing <= most), None)
    if base is None:
        raise WorkingProblem(
            f"joints outside are not set {feet_and_inches(spacing)} apart", "12 ft or less", "beyond the sum"
        )
    return base + Fraction(whole_above(max(degrees - 100, Fraction(0)) / 15), 16)


def fields(length: Fraction, most: Fraction) -> tuple[int, Fraction]:
    """Joints across one length of a room between its soft edges, and how far apart they then are when set evenly."""
    pieces = whole_above(
        over_nothing(length, "a room length", A_SPACING) / over_nothing(most, "a joint spacing", A_SPACING)
    )
    return pieces - 1, length / pieces


def _by_growth(facts: Facts) -> Worked:
    spacing = over_nothing(facts["movement joint.spacing"], "a joint spacing", A_SPACING)
    degrees = not_negative(facts["place.temperature range"], "a temperature range", "0 F or more")
    body, grade = str(facts["tile.body"]), str(facts["movement joint.sealant class"])
    if body not in MOISTURE_GROWTH or grade not in TAKES:
        raise WorkingProblem(
            f"no growth is kept for {body} tile, or no movement for sealant class {grade}",
            f"{', '.join(MOISTURE_GROWTH)}; {', '.join(TAKES)}",
            "beyond the sum",
        )
    moisture, takes = MOISTURE_GROWTH[body], TAKES[grade]
    movement = growth(spacing, degrees, moisture)
    width = width_for(movement, takes)
    steps = (
        Step(
            "movement = spacing x (expansion x degrees + moisture growth)",
            f"{inches(spacing)} x (0.000004 x {plain(degrees)} + {plain(moisture)})",
            f"{plain(movement)} in",
        ),
        Step("width = movement / what the sealant takes", f"{plain(movement)} / {plain(takes)}", f"{plain(width)} in"),
    )
    line = f"{plain(width, 3)} in of class {grade} sealant for {feet_and_inches(spacing)} of {body}, {plain(degrees)} F"
    told = "expansion of 4 in a million for each degree F"
    return Worked(width, steps, line, (f"{told}; moisture growth as for clay brick" if moisture else told,))


def _outside(facts: Facts) -> Worked:
    spacing = over_nothing(facts["movement joint.spacing"], "a joint spacing", A_SPACING)
    degrees = not_negative(facts["place.temperature range"], "a temperature range", "0 F or more")
    width = exterior_width(spacing, degrees)
    base = exterior_width(spacing, Fraction(0))
    added = (width - base) * 16
    steps = (
        Step(
            "width to 100 F", f"that of joints up to {'8' if base < Fraction(1, 2) else '12'} ft", f"{inches(base)} in"
        ),
        Step(
            "width = that + 1/16 in for each 15 F over 100 F",
            f"{inches(base)} + {plain(added)} x 1/16",
            f"{inches(width)} in",
        ),
    )
    line = f"{inches(width)} in at {feet_and_inches(spacing)} apart, {plain(degrees)} F from summer high to winter low"
    return Worked(width, steps, line, ("a part of 15 F counts as 15 F",))


def _count(facts: Facts) -> Worked:
    long = over_nothing(facts["place.greatest dimension"], "a room length", A_SPACING)
    short = over_nothing(facts["place.least dimension"], "a room width", A_SPACING)
    close = "yes" in (facts["place.exterior"], facts["place.needs close movement joints"])
    most = min(over_nothing(facts["movement joint.greatest spacing"], "a joint spacing", A_SPACING), CLOSE if close else WIDE)
    across, each_long = fields(long, most)
    along, each_short = fields(short, most)
    number = across + along
    steps = (
        Step("joints across the length", f"{inches(long)} in / {inches(most)} in, whole, - 1", f"{across}"),
        Step("joints across the width", f"{inches(short)} in / {inches(most)} in, whole, - 1", f"{along}"),
        Step("joints in the field = both", f"{across} + {along}", f"{number}"),
    )
    line = (
        f"{number} in the field, in pieces of {feet_and_inches(round_down(each_long))} by "
        f"{feet_and_inches(round_down(each_short))}, and the edge all round"
    )
    return Worked(Fraction(number), steps, line, ("set evenly; joints of the structure come first",))


def round_down(value: Fraction) -> Fraction:
    """To the eighth of an inch below, as a layout is snapped."""
    return Fraction(int(value * 8), 8)


_METHOD = {"from": "tile handbook", "section": "EJ171", "edition": "2018", "known by": "read second-hand"}
WIDTH = Working(
    "movement joint width", "movement joint.least width", "in",
    (
        Input("movement joint.spacing", "in", "up"), Input("place.temperature range", "°F", "up"),
        Input("tile.body", "word", "words", every=tuple(MOISTURE_GROWTH)),
        Input(
            "movement joint.sealant class", "word", "words", usual="25", every=tuple(TAKES),
            because="the least class the method takes",
        ),
    ),
    _by_growth,
    {"from": "building handbook", "section": "joint width from movement", "edition": "", "known by": "read second-hand"},
    "Moisture growth of tile other than brick is not published in what was seen.",
)  # fmt: skip
OUTSIDE_WIDTH = Working(
    "exterior joint width", "movement joint.least exterior width", "in",
    (Input("movement joint.spacing", "in", "up"), Input("place.temperature range", "°F", "up")), _outside, _METHOD,
)  # fmt: skip
COUNT = Working(
    "movement joints in the field", "movement joint.number needed", "count",
    (
        Input("place.greatest dimension", "in", "up"), Input("place.least dimension", "in", "up"),
        Input("movement joint.greatest spacing", "in", "down", usual=WIDE, because="no drawing says less"),
        Input("place.exterior", "word", "words", every=YES_OR_NO),
        Input("place.needs close movement joints", "word", "words", every=YES_OR_NO),
    ),
    _count, _METHOD,
)  # fmt: skip
