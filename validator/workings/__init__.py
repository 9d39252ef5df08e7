"""The sums an engineer would write down, by name. Nothing is imported until a sum is asked for.

`WORKINGS["joist live deflection"]` is the `Working`; `validator.workings.intervals.work_range` does it for what is
possible.
"""

from collections.abc import Iterator, Mapping
from importlib import import_module

from .working import Input, Step, Worked, Working, WorkingProblem

__all__ = ["WORKINGS", "Input", "Step", "Worked", "Working", "WorkingProblem"]

# name of the working -> module of this package, and the name it has there
WHERE: dict[str, tuple[str, str]] = {
    "joist breadth": ("floor_framing", "BREADTH"),
    "joist depth": ("floor_framing", "DEPTH"),
    "joist live deflection": ("floor_framing", "LIVE_DEFLECTION"),
    "joist total deflection": ("floor_framing", "TOTAL_DEFLECTION"),
    "joist total sag": ("floor_framing", "TOTAL_SAG"),
    "joist bending": ("floor_framing", "BENDING"),
    "joist greatest span": ("floor_framing", "GREATEST_SPAN"),
    "fastener penetration": ("fasteners", "PENETRATION"),
    "shortest stock screw": ("fasteners", "SHORTEST_STOCK"),
    "screws for a wall": ("fasteners", "FOR_A_WALL"),
    "screw withdrawal": ("fasteners", "WITHDRAWAL"),
    "longest run to the drain": ("falls", "LONGEST_RUN"),
    "shortest run to the drain": ("falls", "SHORTEST_RUN"),
    "rise at the wall": ("falls", "RISE"),
    "steepest fall": ("falls", "STEEPEST"),
    "fall to the corner": ("falls", "CORNER_FALL"),
    "rise for the corners": ("falls", "CORNER_RISE"),
    "height at the edge": ("falls", "EDGE_HEIGHT"),
    "curb above drain": ("falls", "CURB_ABOVE_DRAIN"),
    "liner above threshold": ("falls", "LINER_ABOVE_THRESHOLD"),
    "membrane above threshold": ("falls", "MEMBRANE_ABOVE_THRESHOLD"),
    "curbless recess": ("falls", "RECESS"),
    "threshold at the entry": ("falls", "THRESHOLD"),
    "area of the place": ("sizes", "AREA"),
    "clear gap": ("sizes", "GAP"),
    "subfloor deflection": ("panels", "EVEN"),
    "subfloor under 300 lb": ("panels", "HEAVY"),
    "panel thickness": ("panel_sizes", "THICKNESS"),
    "floor dead load": ("loads", "DEAD_LOAD"),
    "live load of the floor": ("loads", "LIVE_LOAD"),
    "board on a floor": ("loads", "BOARD_LOAD"),
    "slope under a liner": ("loads", "PRE_SLOPE_LOAD"),
    "mean of a slope under a liner": ("loads", "PRE_SLOPE_MEAN"),
    "old finish on a floor": ("loads", "OLD_FINISH_LOAD"),
    "tile weight": ("loads", "TILE_WEIGHT"),
    "flood depth at drain": ("loads", "DEPTH_AT_DRAIN"),
    "flood load": ("loads", "FLOOD_LOAD"),
    "dry film": ("film", "DRY_FILM"),
    "wet film called for": ("film", "WET_CALLED_FOR"),
    "wet film of each coat": ("film", "WET_EACH_COAT"),
    "membrane needed": ("film", "NEEDED"),
    "film from the quantity": ("film", "POSSIBLE"),
    "mean mortar bed": ("beds", "BED"),
    "mortar needed": ("beds", "VOLUME"),
    "movement joint width": ("movement", "WIDTH"),
    "exterior joint width": ("movement", "OUTSIDE_WIDTH"),
    "movement joints in the field": ("movement", "COUNT"),
    "least grout joint": ("grout_joints", "LEAST"),
    "lippage allowed": ("grout_joints", "LIPPAGE"),
    "edge warpage allowed": ("grout_joints", "WARPAGE_ALLOWED"),
    "grout needed": ("grout_joints", "NEEDED"),
    "vapour flow": ("vapour", "FLOW"),
    "humidity between retarders": ("vapour", "BETWEEN"),
    "wait before the flood test": ("times", "FLOOD_WAIT"),
    "cure in the cold": ("times", "SLOWED_CURE"),
}


class _Shelf(Mapping[str, Working]):
    """Every working by its name, fetched when first looked at."""

    def __getitem__(self, name: str) -> Working:
        module, attribute = WHERE[name]
        found: Working = getattr(import_module(f".{module}", __name__), attribute)
        return found

    def __iter__(self) -> Iterator[str]:
        return iter(WHERE)

    def __len__(self) -> int:
        return len(WHERE)


WORKINGS: Mapping[str, Working] = _Shelf()
