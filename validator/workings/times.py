"""How long each wet step must wait, and the earliest each can begin from a start.

Units: hours and degrees Fahrenheit; dates are `datetime`. Raises `WorkingProblem` for waits and temperatures that
cannot be and for a programme whose steps do not follow from one another.
Sources: ASTM D5957 5.4 (no flood test within 24 h of the membrane's completion, 48 h below 50 F); a mortar
association's bulletin (24 h for a bed at 70 F, two days before grouting dry-set mortar). Slowing by half for each 18
F under 70 F, and the times to traffic and water, are common practice, no source.
"""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from fractions import Fraction
from typing import NamedTuple

from .working import Input, Step, Worked, Working, WorkingProblem, not_negative, plain, whole_above

USUAL_TEMPERATURE = Fraction(70)
COLD = Fraction(50)
DOUBLES_EACH = Fraction(18)
COLDEST_CEMENT = Fraction(40)
Facts = Mapping[str, Fraction | str]
A_WAIT = "0 h or more"


class Stage(NamedTuple):
    """One step on site: what it is, what it follows, how long after that, and how that is known.

    No wait is one that is not known; `or_longer` is a wait of which only the least is known.
    """

    name: str
    follows: str
    wait: Fraction | None
    because: str
    known_by: str
    slows_in_cold: bool = False
    or_longer: bool = False
    step: str = ""  # the step of the work that it belongs to


class Day(NamedTuple):
    """The earliest moment of one stage; `at_least` when a wait before it is not known."""

    name: str
    earliest: datetime
    at_least: bool
    because: str
    known_by: str
    step: str = ""


def slowing(fahrenheit: Fraction) -> Fraction:
    """How many times longer cement takes when cold: twice for each 18 F under 70 F, rounded up to a hundredth.

    Warmth shortens nothing: the printed waits are the least.
    """
    if fahrenheit < COLDEST_CEMENT:
        raise WorkingProblem(
            f"cement mortar does not cure at {plain(fahrenheit)} F", "40 F or warmer", "beyond the sum"
        )
    if fahrenheit >= USUAL_TEMPERATURE:
        return Fraction(1)
    return Fraction(whole_above(Fraction(2.0 ** float((USUAL_TEMPERATURE - fahrenheit) / DOUBLES_EACH)) * 100), 100)


def flood_wait(called_for: Fraction, fahrenheit: Fraction) -> Fraction:
    """Hours from the last coat to water: what the membrane's maker asks, never under 24 h, or 48 h below 50 F."""
    return max(not_negative(called_for, "a cure", A_WAIT), Fraction(48 if fahrenheit < COLD else 24))


def calendar(start: datetime, stages: Sequence[Stage], fahrenheit: Fraction = USUAL_TEMPERATURE) -> tuple[Day, ...]:
    """The earliest moment of each stage, in the order given; each must follow one before it, the first follows none."""
    times = slowing(fahrenheit)
    days: dict[str, Day] = {}
    for stage in stages:
        before = days.get(stage.follows)
        if before is None and (stage.follows or days):
            raise WorkingProblem(
                f"{stage.name} follows {stage.follows or 'nothing'}, which is not before it",
                ", ".join(days) or "nothing",
            )
        wait = stage.wait or Fraction(0)
        not_negative(wait, f"a wait before {stage.name}", A_WAIT)
        hours = wait * times if stage.slows_in_cold else wait
        begun = start if before is None else before.earliest
        open_wait = stage.wait is None or stage.or_longer or (before is not None and before.at_least)
        because = (
            stage.because
            if hours == wait
            else f"{stage.because}, {plain(times, 3)} times longer at {plain(fahrenheit)} F"
        )
        known_by = stage.known_by if hours == wait else "practice"
        try:
            later = begun + timedelta(seconds=whole_above(hours * 3600))
        except OverflowError:
            raise WorkingProblem(f"{stage.name} would come after the year 9999", "an earlier start, and waits of days or weeks") from None
        days[stage.name] = Day(stage.name, later, open_wait, because, known_by, stage.step)
    return tuple(days.values())


def _flood(facts: Facts) -> Worked:
    cure = not_negative(facts["membrane.cure called for"], "a cure", A_WAIT)
    warm = Fraction(facts["job.surface temperature while setting"])
    least = Fraction(48 if warm < COLD else 24)
    wait = flood_wait(cure, warm)
    step = Step(
        "wait = greatest of the cure called for and the standard's",
        f"greatest({plain(cure)}, {plain(least)})",
        f"{plain(wait)} h",
    )
    side = "below 50 F" if warm < COLD else "at 50 F or over"
    return Worked(wait, (step,), f"{plain(wait)} h from the last coat to the flood test, {side}")


def _slowed(facts: Facts) -> Worked:
    cure = not_negative(facts["tile mortar.cure called for"], "a cure", A_WAIT)
    warm = Fraction(facts["job.surface temperature while setting"])
    times = slowing(warm)
    wait = cure * times
    steps = (
        Step(
            "times longer = 2^((70 - temperature) / 18), never under 1",
            "by the temperature, rounded up",
            f"{plain(times)}",
        ),
        Step("wait = cure called for x that", f"{plain(cure)} x {plain(times)}", f"{plain(wait)} h"),
    )
    line = f"{plain(wait, 4)} h at {plain(warm)} F for {plain(cure)} h at 70 F"
    return Worked(wait, steps, line, ("twice as long for each 18 F under 70 F: common practice, no source",))


_WARMTH = Input("job.surface temperature while setting", "°F", "down")
FLOOD_WAIT = Working(
    "wait before the flood test", "membrane.least cure before water", "h",
    (Input("membrane.cure called for", "h", "up", never_below=Fraction(0)), _WARMTH), _flood,
    {"from": "flood test standard", "section": "5.4", "edition": "1998 (2021)", "known by": "read second-hand"},
    "Written for garage and plaza decks; borrowed for showers.",
)  # fmt: skip
SLOWED_CURE = Working(
    "cure in the cold", "tile mortar.cure in the cold", "h",
    (Input("tile mortar.cure called for", "h", "up", never_below=Fraction(0)), _WARMTH), _slowed,
    {"from": "common practice, no source", "section": "", "edition": "", "known by": "practice"},
)  # fmt: skip
