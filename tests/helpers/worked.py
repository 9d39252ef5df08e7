"""Ordinary values of the facts that the sums need, and the sums worked at many of them."""

import random
from collections.abc import Iterator
from fractions import Fraction

from validator.workings import WORKINGS, Input, Worked, Working, WorkingProblem

# ordinary values of the facts that the sums need: words, or (least, greatest, parts of one)
TRIED: dict[str, tuple[str, ...] | tuple[int, int, int]] = {
    "framing.kind": ("sawn lumber",),
    "framing.joist": ("2x4", "2x6", "2x8", "2x10", "2x12"),
    "framing.species": ("Douglas fir-larch", "hem-fir", "spruce-pine-fir", "southern pine"),
    "framing.grade": ("select structural", "no. 1", "no. 2", "no. 3"),
    "framing.cut or notched": ("no",),
    "framing.material": ("wood", "steel"),
    "framing.spacing": (12, 24, 8),
    "framing.span": (60, 240, 8),
    "framing.breadth": (1, 4, 8),
    "framing.depth": (4, 14, 8),
    "framing.sister": ("none", "2x6", "2x10"),
    "framing.wet in service": ("no", "yes"),
    "place.wet framing": ("no", "yes"),
    "place.exterior": ("no", "yes"),
    "place.needs close movement joints": ("no", "yes"),
    "framing.live deflection": (0.001, 0.006, 1000),
    "framing.total deflection": (0.001, 0.006, 1000),
    "slab.kind": ("topping",),
    "slab.total thickness": (0, 4, 8),
    "place.subfloor thickness": (0, 2, 32),
    "board.total load": (0, 6, 8),
    "board.material": ("cement", "foam", "plywood"),
    "pre-slope.total load": (0, 12, 8),
    "pre-slope.mean thickness": (0, 3, 8),
    "pre-slope.material": ("mortar", "foam"),
    "pre-slope.fall": (0, 1, 48),
    "existing finish.total load": (0, 20, 8),
    "existing finish.material": ("ceramic tile", "vinyl sheet", "wood plank"),
    "existing finish.thickness": (1, 3, 8),
    "existing finish.lies over": ("wood", "mortar bed"),
    "membrane": ("none", "there"),
    "isolation membrane": ("none", "there"),
    "liner": ("none", "there"),
    "foam pan": ("none", "there"),
    "heat": ("none", "there"),
    "framing.live load": (10, 100, 4),
    "framing.dead load": (0, 60, 4),
    "framing.plies": (1, 3, 1),
    "framing.notch depth": (0, 2, 8),
    "screw.length": (1, 4, 8),
    "screw.passes through": (0, 1, 16),
    "screw.penetration": (0, 3, 8),
    "screw.diameter": (0, 1, 100),
    "screw.spacing": (4, 16, 2),
    "board.thickness": (0, 2, 16),
    "board.sheet width": (24, 60, 2),
    "board.sheet height": (24, 60, 2),
    "place.width": (12, 144, 4),
    "place.height": (12, 120, 4),
    "place.greatest dimension": (12, 144, 4),
    "place.fall": (0, 1, 48),
    "place.thickness at drain": (0, 3, 8),
    "place.edge height": (0, 4, 8),
    "place.room build-up": (0, 3, 8),
    "drain.position": ("center", "end"),
    "drain.longest run": (6, 72, 4),
    "drain.shortest run": (6, 72, 4),
    "drain.top above structure": (0, 3, 8),
    "curb.top above structure": (3, 12, 8),
    "curb.height above drain": (0, 9, 8),
    "liner.height above drain": (0, 12, 8),
    "membrane.height above drain": (0, 84, 4),
    "framing.clear gap": (8, 30, 4),
    "subfloor panel.span rating": ("24/16", "40/20", "48/24", "16 oc", "24 oc"),
    "subfloor panel.category": ("15/32", "19/32", "23/32", "1-1/8"),
    "subfloor panel.count": (1, 3, 1),
    "subfloor panel.strength axis across": ("no", "yes"),
    "mortar bed.total thickness": (0, 3, 8),
    "self-leveling underlayment.total thickness": (0, 3, 8),
    "tile mortar.mean bed": (1, 16, 32),
    "tile mortar.bed thickness": (0, 1, 16),
    "tile.weight": (1, 20, 4),
    "tile.thickness": (0, 2, 32),
    "tile.body": ("ceramic", "porcelain", "stone"),
    "flood test.depth": (0, 4, 8),
    "membrane.wet film thickness": (1, 100, 2),
    "membrane.dry film called for": (1, 60, 2),
    "membrane.solids": (0, 1, 100),
    "membrane.coats": (1, 5, 1),
    "membrane.loss": (0, 1, 10),
    "membrane.quantity": (1, 10, 4),
    "membrane.permeance": (0, 2, 10),
    "membrane.cure called for": (0, 72, 1),
    "vapour retarder.permeance": (0, 2, 10),
    "steam.air temperature": (60, 125, 2),
    "steam.air humidity": (0, 1, 20),
    "steam.far side temperature": (20, 110, 2),
    "steam.far side humidity": (0, 1, 20),
    "job.surface temperature while setting": (40, 100, 2),
    "tile mortar.trowel": ("1/4 x 3/8 in square notch", "3/16 in V notch", "3/4 in U notch"),
    "tile mortar.cure called for": (1, 168, 1),
    "movement joint.spacing": (12, 150, 2),
    "movement joint.greatest spacing": (60, 300, 2),
    "movement joint.sealant class": ("12-1/2", "25", "35", "50", "100/50"),
    "place.temperature range": (0, 180, 2),
    "place.area": (1, 200, 4),
    "place.least dimension": (12, 144, 4),
    "tile.facial size variation": (0, 1, 32),
    "tile.warpage": (0, 1, 32),
    "tile.longest edge": (1, 48, 4),
    "tile.shortest edge": (1, 24, 4),
    "tile.pattern": ("straight", "offset"),
    "tile.edge": ("rectified", "calibrated"),
    "grout.joint": (0, 1, 32),
    "flood test.depth at drain": (0, 6, 8),
}

NAMES = sorted(WORKINGS)


def tried(each: Input, chance: random.Random) -> Fraction | str:
    """A value that the fact could well have."""
    found = TRIED[each.fact]
    if isinstance(found[0], str):
        return chance.choice(found)
    least, greatest, parts = found
    return Fraction(chance.randint(int(least * parts), int(greatest * parts)), parts)


def summed(working: Working) -> list[Input]:
    """What the sum is made of, without what is taken in its place."""
    return [each for each in working.inputs if each.moves != "instead"]


def points(working: Working, times: int) -> Iterator[dict[str, Fraction | str]]:
    chance = random.Random(working.name)
    for _ in range(times):
        yield {each.fact: tried(each, chance) for each in summed(working)}


def worked(working: Working, facts: dict[str, Fraction | str]) -> Worked | None:
    try:
        return working.work(facts)
    except WorkingProblem:
        return None
