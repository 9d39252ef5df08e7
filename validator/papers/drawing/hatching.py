"""Material hatching as a detail sheet shows it, after the open drafting conventions for materials cut through.

Dots for mortar, stones among dots for concrete, close diagonals for tile and wide ones for masonry, pairs of diagonals for steel,
crossed diagonals for rigid insulation, plies for plywood, growth rings for sawn wood cut across (drawn in `framing`). GOST 2.306-68
and the material symbols of American detail sheets, remembered. Each hatch is one small square of lines repeated; it reads
without color and in gray.
"""

from validator.papers.drawing.svg import INK, element, line, path


def _dot(x: float, y: float, radius: float = 0.55) -> str:
    return element("circle", cx=x, cy=y, r=radius, fill=INK)


def _thin(*points: tuple[float, float]) -> str:
    return path(points, stroke_width=0.5)


# What is repeated, and the size of its square.
HATCHES: dict[str, tuple[str, float, float]] = {
    "wood": (
        element("path", d="M0 2.5 C6 0.5 10 4.5 16 2.5 S26 0.5 32 2.5 M0 7 C8 9 12 5 18 7 S28 9 32 7", fill="none",
                stroke=INK, stroke_width=0.5) + line(0, 10, 32, 10, 0.4),
        32, 10,
    ),
    "plies": (
        line(0, 0, 12, 0, 0.5) + line(0, 5, 12, 5, 0.5) + _thin((1, 5), (3, 0)) + _thin((5, 5), (7, 0)) + _thin((9, 5), (11, 0))
        + line(0, 7.5, 5, 7.5, 0.4) + line(7, 7.5, 12, 7.5, 0.4),
        12, 10,
    ),
    "strands": (
        _thin((1, 2), (6, 1)) + _thin((8, 4), (13, 5)) + _thin((3, 7), (8, 8)) + _thin((11, 9), (15, 8)) + _thin((0, 11), (4, 10))
        + _thin((6, 11), (10, 11.5)) + _thin((12, 1), (15, 2)),
        16, 12,
    ),
    "concrete": (
        path([(4, 9), (7, 4), (10, 9)], closed=True, stroke_width=0.5)
        + path([(17, 19), (21, 16.5), (20.5, 21)], closed=True, stroke_width=0.5)
        + "".join(_dot(x, y) for x, y in ((14, 4), (20, 7), (3, 16), (10, 14), (12, 21), (22, 12), (6, 22))),
        24, 24,
    ),
    "mortar": ("".join(_dot(x, y, 0.5) for x, y in ((1.5, 1.5), (5.5, 3.5), (2.5, 5.8), (6.6, 7), (4.2, 0.6))), 8, 8),
    "foam": (_thin((0, 8), (4, 0), (8, 8)) + _thin((0, 0), (4, 8), (8, 0)), 8, 8),
    "board": (_thin((0, 8), (8, 0)) + _dot(2.2, 2.2, 0.5) + _dot(6, 6, 0.5), 8, 8),
    "gypsum": (_thin((1, 3), (4, 3)) + _thin((7, 8), (10, 8)) + _dot(8, 2, 0.45) + _dot(3, 8, 0.45), 12, 10),
    "tile": (_thin((0, 5), (5, 0)), 5, 5),
    "stone": (_thin((0, 10), (10, 0)) + _thin((3, 10), (10, 3)) + _thin((0, 4), (2, 2)), 10, 10),
    "masonry": (_thin((0, 10), (10, 0)) + _thin((2, 10), (10, 2)), 10, 10),
    "steel": (_thin((0, 5), (5, 0)) + _thin((1.4, 5), (5, 1.4)), 5, 5),
    "mat": (_thin((0, 6), (2, 0), (4, 0), (6, 6), (8, 6)), 8, 6),
    "old": (_thin((0, 12), (12, 0)) + _thin((0, 2), (2, 0)), 12, 12),
    "cables": (element("circle", cx=7, cy=4, r=2.4, fill="none", stroke=INK, stroke_width=0.9) + _dot(7, 4, 0.9), 14, 8),
}  # fmt: skip
SOLID = "solid"
EMPTY = "empty"  # a material that nobody named has no hatching
ALONG = ("wood", "plies", "strands", "mat", "cables")  # these run along their layer, and turn with it


def hatch_defs(name: str, used: set[str], *, upright: bool = False) -> str:
    """The hatches that one drawing uses; `name` is the drawing's own, so that two on a page never meet."""
    patterns = "".join(
        element("pattern", HATCHES[hatch][0], id=f"{name}-{hatch}", width=HATCHES[hatch][1], height=HATCHES[hatch][2],
                patternUnits="userSpaceOnUse", patternTransform="rotate(90)" if upright and hatch in ALONG else None)
        for hatch in sorted(used - {SOLID, EMPTY})
    )  # fmt: skip
    return element("defs", patterns) if patterns else ""


def fill_of(name: str, hatch: str) -> str:
    if hatch == EMPTY:
        return "none"
    return INK if hatch == SOLID else f"url(#{name}-{hatch})"


BY_WORD = {
    ("board", "foam"): "foam", ("board", "cement"): "board", ("board", "fiber cement"): "board",
    ("board", "glass-mat gypsum"): "gypsum", ("board", "fiber-reinforced gypsum"): "gypsum",
    ("board", "water-resistant gypsum"): "gypsum", ("board", "plain gypsum"): "gypsum", ("board", "plywood"): "plies",
    ("board", "OSB"): "strands", ("board", "plaster"): "mortar", ("pre-slope", "foam"): "foam", ("pre-slope", "plastic"): "steel",
    ("subfloor panel", "OSB"): "strands", ("subfloor panel", "waferboard"): "strands", ("subfloor panel", "particleboard"): "strands",
    ("subfloor panel", "hardboard"): "strands", ("subfloor panel", "hardwood strip"): "wood", ("subfloor panel", "parquet"): "wood",
    ("subfloor panel", "board sheathing"): "wood", ("subfloor panel", "deck boards"): "wood",
    ("subfloor panel", "cement-bonded panel"): "board",
    ("framing", "masonry"): "masonry", ("framing", "concrete"): "concrete", ("isolation membrane", "uncoupling mat"): "mat",
    ("isolation membrane", "cork"): "mat", ("isolation membrane", "sound mat"): "mat",
}  # fmt: skip
BY_THING = {
    "board": "board", "tile": "tile", "grout": "mortar", "tile mortar": "mortar", "bedding mortar": "mortar",
    "mortar bed": "mortar", "pre-slope": "mortar", "foam pan": "foam", "subfloor panel": "plies", "slab": "concrete",
    "existing finish": "old", "self-leveling underlayment": "mortar", "framing": EMPTY, "heat": "cables",
}  # fmt: skip


def hatch_of(thing: str, word: str) -> str:
    """The hatch of a layer; a membrane, a liner and a sheet are a heavy line."""
    if thing == "tile" and word and word not in ("porcelain", "ceramic", "glass", "quarry"):
        return "stone"
    return BY_WORD.get((thing, word)) or BY_THING.get(thing, SOLID)


OF_PART = {"foam": "foam", "wood": "wood", "masonry": "masonry", "concrete": "concrete", "mortar": "mortar", "board": "board",
           "metal": "steel", "plastic": "steel"}  # fmt: skip


def hatch_of_part(material: str) -> str:
    """The hatch of a curb, a niche or a bench; none where its material is not stated."""
    return OF_PART.get(material, EMPTY)
