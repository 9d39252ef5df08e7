"""Falls and heights of a shower floor: how high the edge must be, how steep the short side gets, what the curb leaves.

Units: inches; a fall is rise over run. Raises `WorkingProblem` for runs, falls and heights that cannot be, and for a
drain whose run to the wall must be measured.
Arithmetic throughout; what the results are held against stands in the rulebook.
"""

from collections.abc import Mapping
from fractions import Fraction
from math import isqrt

from .working import Input, Step, Worked, Working, WorkingProblem, inches, not_negative, over_nothing, plain

POSITIONS = ("center", "off center", "end", "along a wall", "under a wall")
A_LENGTH = "0 in or more"
A_RUN = "more than nothing, such as 36 in"
A_FALL = "0 or more, such as 1/4 in per ft"
MILLION = 1_000_000
Facts = Mapping[str, Fraction | str]


def per_foot(fall: Fraction) -> str:
    """A fall as a level and tape give it, `1/4 in per ft`."""
    return f"{inches(12 * fall)} in per ft"


def _longest_run(facts: Facts) -> Worked:
    position = str(facts["drain.position"])
    longest = over_nothing(facts["place.greatest dimension"], "a floor length", A_RUN)
    match position:
        case "center":
            run, step = longest / 2, Step("run = length / 2", f"{inches(longest)} / 2", f"{inches(longest / 2)} in")
        case "end":
            run, step = longest, Step("run = length", inches(longest), f"{inches(longest)} in")
        case _:
            raise WorkingProblem(
                f"the run of a drain {position} does not follow from the size of the floor",
                "the longest run from the drain to a wall, measured",
                "beyond the sum",
            )
    told = ("to the farthest wall, square across; the corner is farther and so flatter", "the drain's own size left in")
    return Worked(run, (step,), f"{inches(run)} in from the drain ({position}) to the farthest wall", told)


def _shortest_run(facts: Facts) -> Worked:
    position = str(facts["drain.position"])
    short = over_nothing(facts["place.least dimension"], "a floor width", A_RUN)
    if position != "center":
        raise WorkingProblem(
            f"the nearest wall of a drain {position} does not follow from the size of the floor",
            "the shortest run from the drain to a wall, measured",
            "beyond the sum",
        )
    step = Step("run = width / 2", f"{inches(short)} / 2", f"{inches(short / 2)} in")
    told = ("the drain's own size left in",)
    return Worked(short / 2, (step,), f"{inches(short / 2)} in from the drain ({position}) to the nearest wall", told)


def _rise(facts: Facts) -> Worked:
    run = over_nothing(facts["drain.longest run"], "a run to the wall", A_RUN)
    fall = not_negative(facts["place.fall"], "a fall", A_FALL)
    rise = run * fall
    step = Step("rise = run x fall", f"{inches(run)} x {inches(12 * fall)} / 12", f"{plain(rise)} in")
    return Worked(rise, (step,), f"{inches(rise)} in of rise over {inches(run)} in at {per_foot(fall)}")


def _steepest(facts: Facts) -> Worked:
    longest = over_nothing(facts["drain.longest run"], "a run to the wall", A_RUN)
    shortest = over_nothing(facts["drain.shortest run"], "a run to the wall", A_RUN)
    fall = not_negative(facts["place.fall"], "a fall", A_FALL)
    rise = longest * fall
    steepest = rise / shortest
    steps = (
        Step("rise = longest run x fall", f"{inches(longest)} x {inches(12 * fall)} / 12", f"{plain(rise)} in"),
        Step(
            "steepest fall = 12 x rise / shortest run",
            f"12 x {plain(rise)} / {inches(shortest)}",
            f"{plain(12 * steepest)} in per ft",
        ),
    )
    line = (
        f"{per_foot(steepest)} on the shortest run, when {inches(longest)} in falls {per_foot(fall)} from a level edge"
    )
    return Worked(steepest, steps, line, ("the edge of the floor is level all round",))


def _corner_run(facts: Facts) -> Fraction:
    """From the drain straight to the farthest corner, to the next millionth of an inch above."""
    longest = over_nothing(facts["drain.longest run"], "a run to the wall", A_RUN)
    shortest = over_nothing(facts["drain.shortest run"], "a run to the wall", A_RUN)
    square = (longest**2 + shortest**2) * MILLION**2
    whole = -(-square.numerator // square.denominator)
    return Fraction(isqrt(whole - 1) + 1, MILLION)


def _corner_fall(facts: Facts) -> Worked:
    longest, fall = facts["drain.longest run"], not_negative(facts["place.fall"], "a fall", A_FALL)
    run = _corner_run(facts)
    rise = longest * fall
    steps = (
        Step("run to the corner = root of longest run squared + shortest run squared",
             f"root of {inches(longest)} squared + {inches(facts['drain.shortest run'])} squared", f"{plain(run)} in"),
        Step("rise = longest run x fall", f"{inches(longest)} x {inches(12 * fall)} / 12", f"{plain(rise)} in"),
        Step("fall to the corner = 12 x rise / run to the corner", f"12 x {plain(rise)} / {plain(run)}", f"{plain(12 * rise / run)} in per ft"),
    )  # fmt: skip
    line = f"{plain(12 * rise / run)} in per ft along the valley from the corner, when {inches(longest)} in falls {per_foot(fall)} from a level edge"
    return Worked(rise / run, steps, line, ("the edge of the floor is level all round",))


def _corner_rise(facts: Facts) -> Worked:
    fall = not_negative(facts["place.fall"], "a fall", A_FALL)
    run = _corner_run(facts)
    rise = run * fall
    steps = (
        Step("run to the corner = root of longest run squared + shortest run squared",
             f"root of {inches(facts['drain.longest run'])} squared + {inches(facts['drain.shortest run'])} squared", f"{plain(run)} in"),
        Step("rise = run to the corner x fall", f"{plain(run)} x {inches(12 * fall)} / 12", f"{plain(rise)} in"),
    )  # fmt: skip
    line = f"{plain(rise)} in of rise at a level edge, so that the corner too falls {per_foot(fall)}"
    return Worked(rise, steps, line, ("the edge of the floor is level all round",))


def _edge_height(facts: Facts) -> Worked:
    at_drain = not_negative(facts["place.thickness at drain"], "a thickness", A_LENGTH)
    run = over_nothing(facts["drain.longest run"], "a run to the wall", A_RUN)
    fall = not_negative(facts["place.fall"], "a fall", A_FALL)
    height = at_drain + run * fall
    step = Step(
        "height at the edge = thickness at the drain + run x fall",
        f"{inches(at_drain)} + {inches(run)} x {inches(12 * fall)} / 12",
        f"{plain(height)} in",
    )
    return Worked(height, (step,), f"{inches(height)} in at the edge, {inches(at_drain)} in at the drain")


def _curb_above_drain(facts: Facts) -> Worked:
    curb = not_negative(facts["curb.top above structure"], "a height", A_LENGTH)
    drain = not_negative(facts["drain.top above structure"], "a height", A_LENGTH)
    height = curb - drain
    step = Step("curb above drain = curb - drain", f"{inches(curb)} - {inches(drain)}", f"{inches(height)} in")
    return Worked(height, (step,), f"{inches(height)} in from the top of the drain to the top of the finished curb")


def _above_threshold(what: str, fact: str) -> Working:
    """The height of a liner or membrane above the finished curb, from both heights above the drain."""

    def work(facts: Facts) -> Worked:
        top = not_negative(facts[fact], f"a {what} height", A_LENGTH)
        curb = not_negative(facts["curb.height above drain"], "a curb height", A_LENGTH)
        height = top - curb
        step = Step(
            f"{what} above threshold = {what} - curb", f"{inches(top)} - {inches(curb)}", f"{inches(height)} in"
        )
        return Worked(height, (step,), f"{inches(height)} in above the finished threshold, both taken from the drain")

    return Working(
        f"{what} above threshold", f"{what}.height above threshold", "in",
        (Input(fact, "in", "up"), Input("curb.height above drain", "in", "down")), work, _SUM,
    )  # fmt: skip


def _recess(facts: Facts) -> Worked:
    edge = not_negative(facts["place.edge height"], "a height", A_LENGTH)
    room = not_negative(facts["place.room build-up"], "a thickness", A_LENGTH)
    depth = edge - room
    steps = [
        Step("recess = height at the edge - build-up of the room floor", f"{inches(edge)} - {inches(room)}",
             f"{inches(depth)} in")
    ]  # fmt: skip
    if depth < 0:
        steps.append(Step("recess", "a room floor that is higher needs none", "0 in"))
        depth = Fraction(0)
    return Worked(
        depth, tuple(steps), f"{inches(depth)} in lower under the shower, so that its edge meets the room floor"
    )


def _threshold(facts: Facts) -> Worked:
    entry = not_negative(facts["curb.top above structure"], "a height", A_LENGTH)
    room = not_negative(facts["place.room build-up"], "a thickness", A_LENGTH)
    height = entry - room
    step = Step("threshold = entry - room floor", f"{inches(entry)} - {inches(room)}", f"{inches(height)} in")
    side = "above" if height >= 0 else "below"
    return Worked(height, (step,), f"{inches(abs(height))} in {side} the finished room floor at the entry")


_SUM = {"from": "arithmetic", "section": "heights from one level line", "edition": "", "known by": "computed"}
_RUN = Input("drain.longest run", "in", "up")
_FALL = Input("place.fall", "slope", "up")

LONGEST_RUN = Working(
    "longest run to the drain", "drain.longest run", "in",
    (Input("place.greatest dimension", "in", "up"), Input("drain.position", "word", "words", every=POSITIONS)),
    _longest_run, _SUM,
)  # fmt: skip
SHORTEST_RUN = Working(
    "shortest run to the drain", "drain.shortest run", "in",
    (Input("place.least dimension", "in", "up"), Input("drain.position", "word", "words", every=POSITIONS)),
    _shortest_run, _SUM,
)  # fmt: skip
RISE = Working("rise at the wall", "place.rise at wall", "in", (_RUN, _FALL), _rise, _SUM)
STEEPEST = Working(
    "steepest fall", "place.steepest fall", "slope",
    (_RUN, Input("drain.shortest run", "in", "down"), _FALL), _steepest, _SUM,
)  # fmt: skip
CORNER_FALL = Working(
    "fall to the corner", "place.corner fall", "slope",
    (_RUN, Input("drain.shortest run", "in", "down"), _FALL), _corner_fall, _SUM,
)  # fmt: skip
CORNER_RISE = Working(
    "rise for the corners", "place.rise for corners", "in",
    (_RUN, Input("drain.shortest run", "in", "up"), _FALL), _corner_rise, _SUM,
)  # fmt: skip
EDGE_HEIGHT = Working(
    "height at the edge", "place.edge height", "in", (Input("place.thickness at drain", "in", "up"), _RUN, _FALL),
    _edge_height, _SUM,
)  # fmt: skip
CURB_ABOVE_DRAIN = Working(
    "curb above drain", "curb.height above drain", "in",
    (Input("curb.top above structure", "in", "up"), Input("drain.top above structure", "in", "down")),
    _curb_above_drain, _SUM,
)  # fmt: skip
LINER_ABOVE_THRESHOLD = _above_threshold("liner", "liner.height above drain")
MEMBRANE_ABOVE_THRESHOLD = _above_threshold("membrane", "membrane.height above drain")
RECESS = Working(
    "curbless recess", "place.recess", "in",
    (Input("place.edge height", "in", "up"), Input("place.room build-up", "in", "down")), _recess, _SUM,
    places=("shower floor",),
)  # fmt: skip
THRESHOLD = Working(
    "threshold at the entry", "accessible shower.threshold", "in",
    (Input("curb.top above structure", "in", "up"), Input("place.room build-up", "in", "down")), _threshold, _SUM,
)  # fmt: skip
