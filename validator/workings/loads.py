"""What the floor must carry: the weight of the build-up, and the water of a flood test at its deepest.

Units: psf, inches. Raises `WorkingProblem` for thicknesses, depths and falls less than nothing.
Sources: residential structural design guide table 3.2 (light wood floor with panel and ceiling, 10 psf); stone
handbook 3.8.5.1 (mortar bed, 0.75 psf for each 1/16 in); ASTM D5957 note 1 (water, 5.19 psf for each inch).
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from .working import FLOORS, Input, Step, Worked, Working, WorkingProblem, inches, not_negative, over_nothing, plain

BARE_FLOOR = Fraction(10)  # psf, with a 3/4 in panel, a 1/2 in gypsum ceiling and a light finish; seen
BED_PER_INCH = Fraction(12)  # psf; seen
COUNTED_PANEL = Fraction(3, 4)  # in the bare floor
PANEL_PER_INCH = Fraction(3)  # psf, plywood at 36 lb per cubic foot; from memory
WATER_PER_INCH = Fraction(519, 100)  # psf; seen
# lb per cubic foot of the tile; from memory
DENSITIES = {
    "ceramic": 125, "porcelain": 150, "quarry": 140, "glass": 160, "stone": 170, "agglomerate": 155, "cement": 140,
    "terracotta": 120,
}  # fmt: skip
_NONE = Fraction(0)
Facts = Mapping[str, Fraction | str]
A_LENGTH = "0 in or more"
FRAMINGS = ("wood", "steel", "masonry", "concrete")


def build_up(layers: Iterable[tuple[str, Fraction, Fraction]]) -> tuple[Fraction, tuple[Step, ...]]:
    """The weight in psf of layers given as (name, thickness in inches, psf for each inch), with a step for each."""
    total = Fraction(0)
    steps = []
    for name, thickness, per_inch in layers:
        not_negative(thickness, f"a thickness of {name}", A_LENGTH)
        weight = thickness * per_inch
        total += weight
        steps.append(
            Step(f"{name} = thickness x weight", f"{inches(thickness)} x {plain(per_inch)}", f"{plain(weight)} psf")
        )
    return total, tuple(steps)


def tile_weight(thickness: Fraction, density: Fraction) -> Fraction:
    """Weight in psf of tile so many inches thick, of so many pounds for each cubic foot."""
    return not_negative(thickness, "a tile thickness", A_LENGTH) * density / 12


def _dead(facts: Facts) -> Worked:
    if facts["framing.material"] != "wood":
        raise WorkingProblem(f"the weight of a bare floor of {facts['framing.material']} is not kept", "wood", "beyond the sum")
    tile = not_negative(facts["tile.load"], "a tile weight", "0 psf or more")
    bed, steps = build_up(
        (
            ("mortar bed", Fraction(facts["mortar bed.total thickness"]), BED_PER_INCH),
            ("tile mortar", Fraction(facts["tile mortar.bed thickness"]), BED_PER_INCH),
            ("poured underlayment", Fraction(facts["self-leveling underlayment.total thickness"]), BED_PER_INCH),
            (
                "panels past 3/4 in",
                max(Fraction(facts["subfloor panel.total thickness"]) - COUNTED_PANEL, _NONE),
                PANEL_PER_INCH,
            ),
        )
    )
    total = BARE_FLOOR + bed + tile
    weights = " + ".join([plain(BARE_FLOOR), *(step.result.removesuffix(" psf") for step in steps), plain(tile)])
    last = Step("dead load = bare floor + layers + tile", weights, f"{plain(total)} psf")
    line = f"{plain(total, 3)} psf of dead load, {plain(bed + tile, 3)} of it the new build-up"
    told = (
        "a light wood floor with one 3/4 in panel and a gypsum ceiling weighs 10 psf", "no fixtures or walls on it",
        "poured underlayment taken as heavy as mortar: common practice, no source",
        "no board, foam pan, its bedding, mat, liner, pre-slope, heat or old finish under the tile counted",
    )  # fmt: skip
    return Worked(total, (*steps, last), line, told)


def _tile(facts: Facts) -> Worked:
    thickness = not_negative(facts["tile.thickness"], "a tile thickness", A_LENGTH)
    body = str(facts["tile.body"])
    if body not in DENSITIES:
        raise WorkingProblem(f"no weight is kept for tile of {body}", ", ".join(DENSITIES), "beyond the sum")
    density = Fraction(DENSITIES[body])
    weight = tile_weight(thickness, density)
    step = Step(
        "weight = thickness x density / 12", f"{inches(thickness)} x {plain(density)} / 12", f"{plain(weight)} psf"
    )
    return Worked(
        weight, (step,), f"{plain(weight, 3)} psf, {inches(thickness)} in of {body}", ("density from memory",)
    )


def _depth_at_drain(facts: Facts) -> Worked:
    depth = not_negative(facts["flood test.depth"], "a depth of water", A_LENGTH)
    run = over_nothing(facts["drain.longest run"], "a run to the wall", "more than nothing, such as 36 in")
    fall = not_negative(facts["place.fall"], "a fall", "0 or more, such as 1/4 in per ft")
    deepest = depth + run * fall
    step = Step(
        "depth at drain = depth at threshold + run x fall",
        f"{inches(depth)} + {inches(run)} x {inches(12 * fall)} / 12",
        f"{plain(deepest)} in",
    )
    return Worked(deepest, (step,), f"{inches(deepest)} in of water at the drain, {inches(depth)} in at the threshold")


def _water(facts: Facts) -> Worked:
    depth = not_negative(facts["flood test.depth at drain"], "a depth of water", A_LENGTH)
    load = depth * WATER_PER_INCH
    step = Step("load = depth x 5.19", f"{inches(depth)} x 5.19", f"{plain(load)} psf")
    line = f"{plain(load, 3)} psf of water where it is deepest ({inches(depth)} in)"
    return Worked(load, (step,), line, ("nobody stands on the floor during the test",))


DEAD_LOAD = Working(
    "floor dead load", "framing.dead load", "psf",
    (
        Input("framing.material", "word", "words", every=FRAMINGS),
        Input("tile.load", "psf", "up", never_below=_NONE),
        Input("mortar bed.total thickness", "in", "up", never_below=_NONE),
        Input("tile mortar.bed thickness", "in", "up", usual=Fraction(1, 4), because="a quarter inch under the tile"),
        Input("self-leveling underlayment.total thickness", "in", "up", never_below=_NONE),
        Input("subfloor panel.total thickness", "in", "up", never_below=_NONE),
    ),
    _dead,
    {"from": "residential structural design guide", "section": "table 3.2", "edition": "2000", "known by": "seen"},
    "The bed by a stone handbook, 3.8.5.1 (seen); added panels from memory.",
    places=FLOORS,
)  # fmt: skip
TILE_WEIGHT = Working(
    "tile weight", "tile.weight by thickness", "psf",
    (Input("tile.thickness", "in", "up"), Input("tile.body", "word", "words", every=tuple(DENSITIES))), _tile,
    {"from": "common practice, no source", "section": "densities of tile and stone", "edition": "", "known by": "memory"},
)  # fmt: skip
DEPTH_AT_DRAIN = Working(
    "flood depth at drain", "flood test.depth at drain", "in",
    (Input("flood test.depth", "in", "up"), Input("drain.longest run", "in", "up"), Input("place.fall", "slope", "up")),
    _depth_at_drain,
    {"from": "arithmetic", "section": "level water over a falling floor", "edition": "", "known by": "computed"},
)  # fmt: skip
FLOOD_LOAD = Working(
    "flood load", "flood test.load", "psf", (Input("flood test.depth at drain", "in", "up"),), _water,
    {"from": "flood test standard", "section": "note 1", "edition": "1998 (2021)", "known by": "seen"},
)  # fmt: skip
