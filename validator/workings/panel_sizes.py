"""How thick a panel is that nobody measured: as thick as the category on its stamp.

Units: inches. Raises `WorkingProblem` for a category that is no fraction of an inch.
Source: product standards PS 1 and PS 2, whose performance categories are named by thickness; the tolerance is left out.
"""
from collections.abc import Mapping
from fractions import Fraction

from .working import Input, Step, Worked, Working, WorkingProblem, inches

CATEGORIES = (
    "1/4", "11/32", "3/8", "7/16", "15/32", "1/2", "19/32", "5/8", "23/32", "3/4", "7/8", "1", "1-1/8",
)  # fmt: skip


def _thickness(facts: Mapping[str, Fraction | str]) -> Worked:
    category = str(facts["subfloor panel.category"])
    if category not in CATEGORIES:
        raise WorkingProblem(f"no panel is stamped {category}", ", ".join(CATEGORIES))
    whole, _, part = category.rpartition("-")
    value = Fraction(part) + int(whole or 0)
    step = Step("thickness", f"the category on the stamp, {category}", f"{inches(value)} in")
    return Worked(value, (step,), f"{inches(value)} in, by the {category} category", ("the panel is as thick as its category",))


THICKNESS = Working(
    "panel thickness", "subfloor panel.thickness", "in",
    (Input("subfloor panel.category", "word", "words", every=CATEGORIES),), _thickness,
    {"from": "wood panel standards", "section": "performance category", "known by": "read second-hand"},
    "The thickness tolerance of a panel is not counted.",
)  # fmt: skip
