"""What follows from sizes alone: the area of a place, and the gap a panel bridges.

Units: inches and square feet. Raises `WorkingProblem` for sizes that cannot be.
Source: arithmetic.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import FLOORS, Input, Step, Worked, Working, WorkingProblem, feet_and_inches, inches, over_nothing, plain

Facts = Mapping[str, Fraction | str]
A_SIZE = "more than nothing, such as 36 in"


def _area(facts: Facts) -> Worked:
    long = over_nothing(facts["place.greatest dimension"], "a side", A_SIZE)
    short = over_nothing(facts["place.least dimension"], "a side", A_SIZE)
    area = long * short / 144
    step = Step("area = length x width / 144", f"{inches(long)} x {inches(short)} / 144", f"{plain(area)} sq ft")
    return Worked(area, (step,), f"{plain(area, 4)} sq ft, {feet_and_inches(long)} by {feet_and_inches(short)}")


def _gap(facts: Facts) -> Worked:
    spacing = over_nothing(facts["framing.spacing"], "a joist spacing", A_SIZE)
    plies = over_nothing(facts["framing.plies"], "a number of plies", "1 or more")
    breadth = over_nothing(facts["framing.breadth"], "a joist breadth", A_SIZE)
    gap = spacing - breadth * plies
    if gap <= 0:
        raise WorkingProblem(f"joists {inches(spacing)} in apart leave no gap", "a spacing wider than the joist")
    step = Step("gap = spacing - width of the joist", f"{inches(spacing)} - {plain(plies)} x {plain(breadth)}", f"{inches(gap)} in")
    return Worked(gap, (step,), f"{inches(gap)} in clear between joists at {inches(spacing)} in")


_SUM = {"from": "arithmetic", "section": "", "edition": "", "known by": "computed"}
AREA = Working(
    "area of the place", "place.area", "sq ft",
    (Input("place.greatest dimension", "in", "up"), Input("place.least dimension", "in", "up")), _area, _SUM,
    "Full rectangle; what is left out of it is not taken off.",
)  # fmt: skip
GAP = Working(
    "clear gap", "framing.clear gap", "in",
    (
        Input("framing.spacing", "in", "up"),
        Input("framing.breadth", "in", "down", usual=Fraction(3, 2), because="the least that a joist is; a wider one leaves less"),
        Input("framing.plies", "count", "down", usual=Fraction(1), because="nothing is written of a doubled joist"),
    ),
    _gap, _SUM, places=FLOORS,
)  # fmt: skip
