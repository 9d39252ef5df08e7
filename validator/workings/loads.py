"""What the floor must carry: the weight of the build-up, and the water of a flood test at its deepest.

Units: psf, inches. Raises `WorkingProblem` for thicknesses, depths and falls less than nothing.
Sources: residential structural design guide table 3.2 (light wood floor with panel and ceiling, 10 psf); stone
handbook 3.8.5.1 (mortar bed, 0.75 psf for each 1/16 in); minimum design loads, table C3-1, 2005 and 2016 (plywood 0.4 psf
and gypsum board 0.55 psf for each 1/8 in, stone concrete 12 psf an inch, hardwood floor 4 psf, linoleum or asphalt tile
1 psf, a sheet or coat of membrane 0.7 to 1 psf); tile association manual, cement underlayments (120 lb per cubic foot);
ASTM D5957 note 1 (water, 5.19 psf for each inch).
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from .working import FLOORS, Input, Step, Worked, Working, WorkingProblem, inches, not_negative, over_nothing, plain, whole_above

BARE_FLOOR = Fraction(10)  # psf, with a 3/4 in panel, a 1/2 in gypsum ceiling and a light finish; seen
BED_PER_INCH = Fraction(12)  # psf; seen
CONCRETE_PER_INCH = Fraction(12)  # psf; seen
POUR_PER_INCH = Fraction(10)  # psf, 120 lb per cubic foot; seen
COUNTED_PANEL = Fraction(3, 4)  # in the bare floor
PANEL_PER_INCH = Fraction(32, 10)  # psf; seen
FILM = Fraction(1)  # psf, a coat or sheet of membrane, a liner, a mat with its mortar; seen of membranes
FOAM_PAN = Fraction(5, 2)  # psf, with the mortar that beds it; from memory
WARMING = Fraction(3)  # psf, cable or tubing with a quarter inch of mortar over it; from memory
LUMBER = Fraction(35)  # lb per cubic foot of a joist; from memory
WATER_PER_INCH = Fraction(519, 100)  # psf; seen
# lb per cubic foot of the tile; from memory
DENSITIES = {
    "ceramic": 125, "porcelain": 150, "quarry": 140, "glass": 160, "stone": 170, "agglomerate": 155, "cement": 140,
    "terracotta": 120,
}  # fmt: skip
# psf for each inch of board: gypsum and plywood seen, the others from memory
BOARDS = {
    "foam": Fraction(1), "cement": Fraction(6), "fiber cement": Fraction(15, 2), "glass-mat gypsum": Fraction(22, 5),
    "fiber-reinforced gypsum": Fraction(5), "water-resistant gypsum": Fraction(22, 5), "plain gypsum": Fraction(22, 5),
    "plywood": PANEL_PER_INCH, "OSB": PANEL_PER_INCH, "plaster": Fraction(9),
}  # fmt: skip
UNDER_A_BOARD = Fraction(3, 2)  # psf, an eighth of an inch of mortar
# an old finish: psf for each inch, and how thick it usually is; wood, linoleum and asphalt tile seen, the others from memory
OLD_FINISHES = {
    "ceramic tile": (Fraction(12), Fraction(1, 2)), "stone": (Fraction(14), Fraction(5, 8)), "terrazzo": (Fraction(13), Fraction(1)),
    "vinyl sheet": (Fraction(8), Fraction(1, 8)), "cushioned vinyl": (Fraction(8), Fraction(1, 8)),
    "vinyl tile": (Fraction(8), Fraction(1, 8)), "wood plank": (Fraction(46, 10), Fraction(3, 4)),
    "parquet": (Fraction(46, 10), Fraction(3, 4)), "laminate": (Fraction(46, 10), Fraction(1, 2)),
    "plaster": (Fraction(9), Fraction(7, 8)), "gypsum board": (Fraction(22, 5), Fraction(1, 2)), "metal": (Fraction(41), Fraction(1, 16)),
    "cutback adhesive": (Fraction(0), Fraction(0)), "other adhesive residue": (Fraction(0), Fraction(0)),
    "plastic base": (Fraction(6), Fraction(1, 4)), "paint": (Fraction(0), Fraction(0)),
    "epoxy coating": (Fraction(0), Fraction(0)),
}  # fmt: skip
UNWRITTEN = Fraction(-1)  # in, for a thickness that nobody wrote: no thickness is less than nothing
UNDER_OLD_TILE = Fraction(5, 4)  # in of bed under old tile that lies on one; common practice
_NONE = Fraction(0)
Facts = Mapping[str, Fraction | str]
A_LENGTH = "0 in or more"
FRAMINGS = ("wood", "steel", "masonry", "concrete")
PRESENCE = ("none", "there")


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


def _added_plies(facts: Facts) -> tuple[Fraction, tuple[Step, ...]]:
    """What the second joist and every further one beside the first weigh on each square foot."""
    more = Fraction(facts["framing.plies"]) - 1
    if more <= 0:
        return _NONE, ()
    breadth, depth, spacing = (Fraction(facts[f"framing.{side}"]) for side in ("breadth", "depth", "spacing"))
    weight = more * breadth * depth * LUMBER / (12 * over_nothing(spacing, "a joist spacing", "more than nothing, such as 16 in"))
    numbers = f"{plain(more)} x {plain(breadth)} x {plain(depth)} x {plain(LUMBER)} / (12 x {plain(spacing)})"
    return weight, (Step("added joists = plies x b x d x density / (12 x spacing)", numbers, f"{plain(weight)} psf"),)


def _dead(facts: Facts) -> Worked:
    if facts["framing.material"] != "wood":
        raise WorkingProblem(f"the weight of a bare floor of {facts['framing.material']} is not kept", "wood", "beyond the sum")
    tile = not_negative(facts["tile.weight"], "a tile weight", "0 psf or more")
    layers, steps = build_up(
        (
            ("mortar bed", Fraction(facts["mortar bed.total thickness"]), BED_PER_INCH),
            ("tile mortar", Fraction(facts["tile mortar.bed thickness"]), BED_PER_INCH),
            ("poured underlayment", Fraction(facts["self-leveling underlayment.total thickness"]), POUR_PER_INCH),
            ("concrete topping", Fraction(facts["slab.total thickness"]), CONCRETE_PER_INCH),
            (
                "panels past 3/4 in",
                max(Fraction(facts["place.subfloor thickness"]) - COUNTED_PANEL, _NONE),
                PANEL_PER_INCH,
            ),
        )
    )
    plies, ply_steps = _added_plies(facts)
    loads = {
        "boards": Fraction(facts["board.total load"]), "slope under a liner": Fraction(facts["pre-slope.total load"]),
        "old finish": Fraction(facts["existing finish.total load"]),
    }  # fmt: skip
    films = {"membrane": FILM, "isolation membrane": FILM, "liner": FILM, "foam pan": FOAM_PAN, "heat": WARMING}
    loads |= {name: weight for name, weight in films.items() if facts[name] == "there"}
    loads = {name: weight for name, weight in loads.items() if weight}
    added = layers + plies + sum(loads.values(), _NONE) + tile
    total = BARE_FLOOR + added
    named = [f"{plain(weight)} {name}" for name, weight in loads.items()]
    weights = [plain(BARE_FLOOR), *(step.result.removesuffix(" psf") for step in (*steps, *ply_steps)), *named, plain(tile)]
    last = Step("dead load = bare floor + layers + tile", " + ".join(weights), f"{plain(total)} psf")
    line = f"{plain(total, 3)} psf of dead load, {plain(added, 3)} of it the new build-up"
    told = ["a light wood floor with one 3/4 in panel and a gypsum ceiling weighs 10 psf", "no fixtures or walls on it"]
    told += [f"{name} with what beds it taken as {plain(films[name])} psf" for name in loads if name in films]
    return Worked(total, (*steps, *ply_steps, last), line, tuple(told))


def _board(facts: Facts) -> Worked:
    material = str(facts["board.material"])
    thickness = not_negative(facts["board.thickness"], "a board thickness", A_LENGTH)
    load = thickness * BOARDS[material] + UNDER_A_BOARD
    step = Step("load = thickness x weight + mortar under it", f"{inches(thickness)} x {plain(BOARDS[material])} + {plain(UNDER_A_BOARD)}", f"{plain(load)} psf")
    return Worked(load, (step,), f"{plain(load, 3)} psf, {inches(thickness)} in of {material} board", ("an eighth of an inch of mortar under the board",))


def _pre_slope(facts: Facts) -> Worked:
    mean = not_negative(facts["pre-slope.mean thickness"], "a mean thickness", A_LENGTH)
    material = str(facts["pre-slope.material"])
    per_inch = BED_PER_INCH if material == "mortar" else BOARDS["foam"]
    load = mean * per_inch
    step = Step("load = mean thickness x weight", f"{inches(mean)} x {plain(per_inch)}", f"{plain(load)} psf")
    return Worked(load, (step,), f"{plain(load, 3)} psf, {inches(mean)} in of {material} on average")


def _mean_slope(facts: Facts) -> Worked:
    run = over_nothing(facts["drain.longest run"], "a run to the wall", "more than nothing, such as 36 in")
    fall = not_negative(facts["pre-slope.fall"], "a fall", "0 or more, such as 1/4 in per ft")
    mean = run * fall * 2 / 3
    step = Step("mean thickness = 2/3 x run x fall", f"2/3 x {inches(run)} x {inches(12 * fall)} / 12", f"{plain(mean)} in")
    whole = Fraction(whole_above(mean * 16), 16)
    told = ("nothing at the drain, and a bowl that rises evenly to the walls", "to the sixteenth above")
    return Worked(whole, (step,), f"{inches(whole)} in on average", told)


def _old_finish(facts: Facts) -> Worked:
    material = str(facts["existing finish.material"])
    if material not in OLD_FINISHES:
        raise WorkingProblem(f"no weight is kept for old {material}", ", ".join(OLD_FINISHES), "beyond the sum")
    per_inch, usual = OLD_FINISHES[material]
    written = Fraction(facts["existing finish.thickness"])
    thickness = usual if written == UNWRITTEN else not_negative(written, "a thickness of the old finish", A_LENGTH)
    load = thickness * per_inch
    steps = [Step("load = thickness x weight", f"{inches(thickness)} x {plain(per_inch)}", f"{plain(load)} psf")]
    if facts["existing finish.lies over"] == "mortar bed":
        load += UNDER_OLD_TILE * BED_PER_INCH
        steps.append(Step("with the old bed", f"{inches(UNDER_OLD_TILE)} x {plain(BED_PER_INCH)} more", f"{plain(load)} psf"))
    return Worked(load, tuple(steps), f"{plain(load, 3)} psf of old {material}", ("weight from memory, and its usual thickness if none is written",))


def _live_load(facts: Facts) -> Worked:
    load = not_negative(facts["framing.live load"], "a live load", "0 psf or more")
    return Worked(load, (Step("live load", "as stated, or the code's", f"{plain(load)} psf"),), f"{plain(load)} psf")


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


def _layer(name: str, **more: Fraction) -> Input:
    return Input(f"{name}.total load", "psf", "up", never_below=_NONE, **more)


def _film(name: str) -> Input:
    return Input(name, "word", "words", usual="none", every=PRESENCE, because="nothing is written of one")


_MEMORY = {"from": "common practice, no source", "section": "weights of boards and old floors", "edition": "", "known by": "remembered"}
DEAD_LOAD = Working(
    "floor dead load", "framing.dead load of the layers", "psf",
    (
        Input("framing.material", "word", "words", every=FRAMINGS),
        Input("tile.weight", "psf", "up", usual=Fraction(5), because="as thin-set tile usually weighs"),
        Input("mortar bed.total thickness", "in", "up", never_below=_NONE),
        Input("tile mortar.bed thickness", "in", "up", usual=Fraction(1, 4), because="a quarter inch under the tile"),
        Input("self-leveling underlayment.total thickness", "in", "up", never_below=_NONE),
        Input("slab.total thickness", "in", "up", never_below=_NONE),
        Input("place.subfloor thickness", "in", "up", never_below=_NONE),
        _layer("board"), _layer("pre-slope"), _layer("existing finish"),
        _film("membrane"), _film("isolation membrane"), _film("liner"), _film("foam pan"), _film("heat"),
        Input("framing.plies", "count", "up", usual=Fraction(1), because="nothing is written of a doubled joist"),
        Input("framing.breadth", "in", "up", usual=Fraction(3, 2), because="a joist two inches nominal"),
        Input("framing.depth", "in", "up", usual=Fraction(37, 4), because="a 2x10"),
        Input("framing.spacing", "in", "down", usual=Fraction(16), because="the usual spacing"),
    ),
    _dead,
    {"from": "residential structural design guide", "section": "table 3.2", "edition": "2000", "known by": "read second-hand"},
    "The bed by a stone handbook, 3.8.5.1; panels, toppings and films by the table of minimum design loads, C3-1; pours by a tile association manual.",
    places=FLOORS,
)  # fmt: skip
BOARD_LOAD = Working(
    "board on a floor", "board.load", "psf",
    (
        Input("board.material", "word", "words", every=tuple(BOARDS)),
        Input("board.thickness", "in", "up", usual=Fraction(1, 2), because="the usual floor board"),
    ),
    _board, _MEMORY, places=FLOORS,
)  # fmt: skip
PRE_SLOPE_LOAD = Working(
    "slope under a liner", "pre-slope.load", "psf",
    (
        Input("pre-slope.mean thickness", "in", "up", usual=Fraction(1), because="as over a run of 4 ft"),
        Input("pre-slope.material", "word", "words", usual="mortar", every=("mortar", "foam", "plastic"), because="the heaviest of the three"),
    ),
    _pre_slope, {"from": "stone design manual", "section": "3.8.5.1", "edition": "", "known by": "read second-hand"}, places=FLOORS,
)  # fmt: skip
PRE_SLOPE_MEAN = Working(
    "mean of a slope under a liner", "pre-slope.mean thickness", "in",
    (Input("drain.longest run", "in", "up"), Input("pre-slope.fall", "slope", "up")), _mean_slope,
    {"from": "arithmetic", "section": "a floor that falls to its drain", "edition": "", "known by": "computed"}, places=FLOORS,
)  # fmt: skip
OLD_FINISH_LOAD = Working(
    "old finish on a floor", "existing finish.load", "psf",
    (
        Input("existing finish.material", "word", "words", every=tuple(OLD_FINISHES)),
        Input("existing finish.thickness", "in", "up", usual=UNWRITTEN, told=False),
        Input("existing finish.lies over", "word", "words", usual="wood", every=("mortar bed", "concrete", "wood", "cement board", "gypsum board", "plaster"), because="nothing is written of an old bed"),
    ),
    _old_finish, _MEMORY, places=FLOORS,
)  # fmt: skip
LIVE_LOAD = Working(
    "live load of the floor", "framing.figured live load", "psf",
    (Input("framing.live load", "psf", "up", usual=Fraction(40), because="the code's for rooms other than sleeping rooms"),), _live_load,
    {"from": "residential building code", "section": "R301.5", "edition": "2024", "known by": "read second-hand"}, places=FLOORS,
)  # fmt: skip
TILE_WEIGHT = Working(
    "tile weight", "tile.weight", "psf",
    (Input("tile.thickness", "in", "up"), Input("tile.body", "word", "words", every=tuple(DENSITIES))), _tile,
    {"from": "common practice, no source", "section": "densities of tile and stone", "edition": "", "known by": "remembered"},
)  # fmt: skip
DEPTH_AT_DRAIN = Working(
    "flood depth at drain", "flood test.depth at drain", "in",
    (Input("flood test.depth", "in", "up"), Input("drain.longest run", "in", "up"), Input("place.fall", "slope", "up")),
    _depth_at_drain,
    {"from": "arithmetic", "section": "level water over a falling floor", "edition": "", "known by": "computed"},
)  # fmt: skip
FLOOD_LOAD = Working(
    "flood load", "flood test.load", "psf", (Input("flood test.depth at drain", "in", "up"),), _water,
    {"from": "flood test standard", "section": "note 1", "edition": "1998 (2021)", "known by": "read second-hand"},
)  # fmt: skip
