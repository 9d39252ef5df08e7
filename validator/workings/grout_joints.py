"""Grout joints and edges: the narrowest joint, how far two edges may stand apart, and how much grout it takes.

Units: inches; the offset is judged elsewhere. Raises `WorkingProblem` for joints and edges that cannot be and for
tile that no warpage limit was found for.
Sources: ANSI A108.02 4.3.7 (lippage), 4.3.8 and 4.3.8.1 (joint width); ANSI A137.1-2022 (warpage); grout by exact
geometry.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import Input, Step, Worked, Working, WorkingProblem, inches, not_negative, over_nothing, plain

LONG_EDGE = Fraction(15)  # in; over this an offset joint is widened, 4.3.8.1 (18 in in the 2012 edition)
LEAST_JOINT = Fraction(1, 16)
OFFSET_JOINT = {"rectified": Fraction(1, 8), "calibrated": Fraction(3, 16), "natural": Fraction(3, 16)}
NARROW, WIDE = Fraction(1, 32), Fraction(1, 16)  # lippage with a joint under 1/4 in, and from 1/4 in on
STRAIGHT = ("straight", "diagonal")
PATTERNS = (*STRAIGHT, "offset", "herringbone", "modular")
# (body, edge) -> part of the edge's length, most in inches; warpage along an edge
WARPAGE: dict[tuple[str, str], tuple[Fraction, Fraction]] = {
    ("porcelain", "rectified"): (Fraction(4, 1000), Fraction(13, 254)),
    ("porcelain", "calibrated"): (Fraction(5, 1000), Fraction(20, 254)),
    ("ceramic", "rectified"): (Fraction(4, 1000), Fraction(5, 100)),
    ("ceramic", "calibrated"): (Fraction(75, 10_000), Fraction(8, 100)),
}
Facts = Mapping[str, Fraction | str]
A_LENGTH = "0 in or more"
AN_EDGE = "more than nothing, such as 12 in"


def _least(facts: Facts) -> Worked:
    variation = not_negative(facts["tile.facial size variation"], "a size variation", A_LENGTH)
    warp = not_negative(facts["tile.warpage"], "a warpage", A_LENGTH)
    longest = over_nothing(facts["tile.longest edge"], "a tile edge", AN_EDGE)
    pattern, edge = str(facts["tile.pattern"]), str(facts["tile.edge"])
    by_size = max(LEAST_JOINT, 3 * variation)
    steps = [
        Step(
            "joint by size = greatest of 1/16 and 3 x size variation",
            f"greatest(1/16, 3 x {inches(variation)})",
            f"{inches(by_size)} in",
        )
    ]
    joint = by_size
    if pattern not in STRAIGHT and longest > LONG_EDGE:
        base = OFFSET_JOINT.get(edge)
        if base is None:
            raise WorkingProblem(
                f"no offset joint is published for {edge} edges", ", ".join(OFFSET_JOINT), "beyond the sum"
            )
        joint = max(by_size, base + warp)
        steps.append(
            Step(
                f"offset joint = greatest of that and {edge} joint + warpage",
                f"greatest({inches(by_size)}, {inches(base)} + {inches(warp)})",
                f"{inches(joint)} in",
            )
        )
    line = f"{inches(joint)} in, {edge} tile up to {inches(longest)} in laid {pattern}"
    return Worked(joint, tuple(steps), line, ("warpage is that of the tile supplied, not the most its class allows",))


def _lippage(facts: Facts) -> Worked:
    joint = not_negative(facts["grout.joint"], "a joint", A_LENGTH)
    warp = not_negative(facts["tile.warpage"], "a warpage", A_LENGTH)
    base = NARROW if joint < Fraction(1, 4) else WIDE
    allowed = base + warp
    step = Step("lippage = that of the joint + warpage", f"{inches(base)} + {inches(warp)}", f"{inches(allowed)} in")
    side = "under" if base == NARROW else "of at least"
    line = f"{inches(allowed)} in, with a joint {side} 1/4 in and {inches(warp)} in of warpage in the tile"
    return Worked(allowed, (step,), line, ("warpage is that of the tile supplied, not the most its class allows",))


def _warpage(facts: Facts) -> Worked:
    longest = over_nothing(facts["tile.longest edge"], "a tile edge", AN_EDGE)
    body, edge = str(facts["tile.body"]), str(facts["tile.edge"])
    found = WARPAGE.get((body, edge))
    if found is None:
        raise WorkingProblem(
            f"no warpage limit was found for {edge} {body} tile", "rectified or calibrated, porcelain or ceramic",
            "beyond the sum",
        )  # fmt: skip
    part, most = found
    allowed = min(part * longest, most)
    step = Step(
        "warpage = least of part x edge and the most",
        f"least({plain(part)} x {inches(longest)}, {plain(most)})",
        f"{plain(allowed)} in",
    )
    return Worked(allowed, (step,), f"{plain(allowed, 3)} in along a {inches(longest)} in edge of {edge} {body} tile")


def grout_per_foot(long: Fraction, short: Fraction, joint: Fraction, deep: Fraction) -> Fraction:
    """Cubic inches of grout in a square foot of tile and joint: the part of the face that is joint, times its depth."""
    over_nothing(long, "a tile edge", AN_EDGE)
    over_nothing(short, "a tile edge", AN_EDGE)
    not_negative(joint, "a joint", A_LENGTH)
    return 144 * deep * (1 - long * short / ((long + joint) * (short + joint)))


def _needed(facts: Facts) -> Worked:
    area = over_nothing(facts["place.area"], "an area", "more than nothing, such as 50 sq ft")
    long, short = Fraction(facts["tile.longest edge"]), Fraction(facts["tile.shortest edge"])
    joint, deep = Fraction(facts["grout.joint"]), over_nothing(facts["tile.thickness"], "a tile thickness", AN_EDGE)
    each = grout_per_foot(long, short, joint, deep)
    volume = area * each
    steps = (
        Step(
            "grout in a square foot = 144 x thickness x (1 - L x W / ((L + J) x (W + J)))",
            f"144 x {inches(deep)} x (1 - {plain(long)} x {plain(short)} / (({plain(long)} + {plain(joint)}) x "
            f"({plain(short)} + {plain(joint)})))",
            f"{plain(each)} cu in",
        ),
        Step("grout = area x that", f"{plain(area)} x {plain(each)}", f"{plain(volume)} cu in"),
    )
    return Worked(
        volume, steps, f"{plain(volume, 3)} cu in of grout for {plain(area, 4)} sq ft", ("joints full depth",)
    )


_A108 = {"from": "tile installation standard", "section": "A108.02 4.3.8", "edition": "2017", "known by": "read second-hand"}
_WARP = Input("tile.warpage", "in", "up", never_below=Fraction(0))
LEAST = Working(
    "least grout joint", "grout.least joint as laid", "in",
    (
        Input("tile.facial size variation", "in", "up", never_below=Fraction(0)), _WARP,
        Input("tile.longest edge", "in", "up"),
        Input("tile.pattern", "word", "words", every=PATTERNS),
        Input("tile.edge", "word", "words", every=tuple(OFFSET_JOINT)),
    ),
    _least, _A108, "Natural edges are taken as calibrated.",
)  # fmt: skip
LIPPAGE = Working(
    "lippage allowed", "tile.lippage allowed", "in", (Input("grout.joint", "in", "up"), _WARP), _lippage,
    {**_A108, "section": "A108.02 4.3.7"}, "Stone is held to 1/32 in by its own handbook.",
)  # fmt: skip
WARPAGE_ALLOWED = Working(
    "edge warpage allowed", "tile.warpage allowed", "in",
    (
        Input("tile.longest edge", "in", "up"), Input("tile.body", "word", "words", every=("ceramic", "porcelain")),
        Input("tile.edge", "word", "words", every=("rectified", "calibrated")),
    ),
    _warpage, {"from": "tile standard", "section": "A137.1, warpage", "edition": "2022", "known by": "read second-hand"},
)  # fmt: skip
NEEDED = Working(
    "grout needed", "grout.volume needed", "cu in",
    (
        Input("place.area", "sq ft", "up"), Input("tile.longest edge", "in", "down"),
        Input("tile.shortest edge", "in", "down"),
        Input("grout.joint", "in", "up"), Input("tile.thickness", "in", "up"),
    ),
    _needed, {"from": "arithmetic", "section": "part of the face that is joint", "edition": "", "known by": "computed"},
)  # fmt: skip
