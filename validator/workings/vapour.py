"""Steam: how hard it pushes, how much of it a membrane lets by, and what gathers between two tight layers.

Units: degrees Fahrenheit, inches of mercury, perms, grains for each hour and square foot; humidity as a part of one.
Pressures are rounded to 1e-9 inHg. Raises `WorkingProblem` for air colder or hotter than the formula, and humidity or
permeance that cannot be.
Sources: saturation pressure by the Hyland and Wexler equations, ASHRAE Fundamentals 2017 chapter 1, 5 and 6; one perm
is one grain for each hour, square foot and inch of mercury; 7000 grains are a pound.
"""

from collections.abc import Mapping
from fractions import Fraction
from math import exp, log

from .working import Input, Step, Worked, Working, WorkingProblem, not_negative, plain

INHG_PER_PSI = Fraction(203602, 100_000)
EMISSION = Fraction(24 * 1000, 7000)  # lb for each 1000 square feet and day, of one grain for each hour and square foot
FREEZING = Fraction(32)
COLDEST, HOTTEST = Fraction(-148), Fraction(392)
ROUNDED = 10**9
# over ice, then over water: terms of 1/T, 1, T, T^2, T^3, T^4 and ln T, T in degrees Rankine, pressure in psi
ICE = (-1.0214165e4, -4.8932428, -5.3765794e-3, 1.9202377e-7, 3.5575832e-10, -9.0344688e-14, 4.1635019)
WATER = (-1.0440397e4, -1.1294650e1, -2.7022355e-2, 1.2890360e-5, -2.4780681e-9, 0.0, 6.5459673)
Facts = Mapping[str, Fraction | str]


def saturation(fahrenheit: Fraction) -> Fraction:
    """Pressure in psi of air that holds all the water it can at a temperature."""
    if not COLDEST <= fahrenheit <= HOTTEST:
        raise WorkingProblem(f"{plain(fahrenheit)} F is outside the formula", "-148 F to 392 F")
    rankine = float(fahrenheit) + 459.67
    inverse, one, first, second, third, fourth, logarithm = WATER if fahrenheit > FREEZING else ICE
    power = inverse / rankine + one + rankine * (first + rankine * (second + rankine * (third + rankine * fourth)))
    return Fraction(round(exp(power + logarithm * log(rankine)) * ROUNDED), ROUNDED)


def pressure(fahrenheit: Fraction, humidity: Fraction) -> Fraction:
    """Vapour pressure in inches of mercury of air at a temperature and humidity."""
    if not 0 <= humidity <= 1:
        raise WorkingProblem(f"a humidity of {plain(100 * humidity)} % cannot be", "0 % to 100 %")
    return saturation(fahrenheit) * humidity * INHG_PER_PSI


def flow(permeance: Fraction, drive: Fraction) -> Fraction:
    """Grains for each hour and square foot through so many perms at a difference in inches of mercury."""
    return not_negative(permeance, "a permeance", "0 perm or more") * drive


def _air(facts: Facts, side: str) -> tuple[Fraction, Fraction, Fraction, Step]:
    """Temperature, humidity and pressure on one side, with the step that gives it."""
    warm, humid = Fraction(facts[f"{side} temperature"]), Fraction(facts[f"{side} humidity"])
    full = saturation(warm) * INHG_PER_PSI
    push = pressure(warm, humid)
    name = side.replace(".", " ")
    step = Step(f"pressure, {name} at {plain(warm)} F = saturation x humidity", f"{plain(full)} x {plain(humid)}",
                f"{plain(push)} inHg")  # fmt: skip
    return warm, humid, push, step


def _flow(facts: Facts) -> Worked:
    permeance = not_negative(facts["membrane.permeance"], "a permeance", "0 perm or more")
    warm, humid, inside, first = _air(facts, "steam.air")
    _, _, outside, second = _air(facts, "steam.far side")
    drive = inside - outside
    grains = flow(permeance, drive)
    emission = grains * EMISSION
    steps = (
        first,
        second,
        Step("drive = inside - far side", f"{plain(inside)} - {plain(outside)}", f"{plain(drive)} inHg"),
        Step("flow = permeance x drive", f"{plain(permeance)} x {plain(drive)}", f"{plain(grains)} grains per h sq ft"),
        Step("in a day = flow x 24 x 1000 / 7000", f"{plain(grains)} x 24 x 1000 / 7000",
             f"{plain(emission)} lb per 1000 sq ft per 24 h"),
    )  # fmt: skip
    line = (
        f"{plain(grains, 4)} grains an hour through each square foot at {plain(permeance, 3)} perm, "
        f"{plain(warm)} F and {plain(100 * humid)} % inside"
    )
    return Worked(emission, steps, line, ("steam all day; the membrane alone resists",))


def _between(facts: Facts) -> Worked:
    room, cavity = Fraction(facts["membrane.permeance"]), Fraction(facts["vapour retarder.permeance"])
    not_negative(room, "a permeance", "0 perm or more")
    not_negative(cavity, "a permeance", "0 perm or more")
    if not room + cavity:
        raise WorkingProblem("two layers that let nothing by keep what is between them", "a permeance over nothing")
    _, _, inside, first = _air(facts, "steam.air")
    far, _, outside, second = _air(facts, "steam.far side")
    push = (room * inside + cavity * outside) / (room + cavity)
    full = saturation(far) * INHG_PER_PSI
    humid = push / full
    steps = (
        first,
        second,
        Step("pressure between = (P1 x p1 + P2 x p2) / (P1 + P2)",
             f"({plain(room)} x {plain(inside)} + {plain(cavity)} x {plain(outside)}) / ({plain(room)} + {plain(cavity)})",
             f"{plain(push)} inHg"),
        Step("humidity between = that / saturation on the far side", f"{plain(push)} / {plain(full)}", plain(humid)),
    )  # fmt: skip
    wet = "water gathers" if humid >= 1 else "no water gathers"
    line = (
        f"{plain(100 * humid, 3)} % humidity at the outer layer, {wet} between {plain(room)} and {plain(cavity)} perm"
    )
    return Worked(
        humid, steps, line, ("steady state; the outer layer is as cold as the far side", "the board resists nothing")
    )


_STEAM = Input("steam.air temperature", "°F", "up", usual=Fraction(110), because="a usual steam room")
_STEAM_HUMID = Input(
    "steam.air humidity", "part", "up", usual=Fraction(1), because="steam fills the room", never_above=Fraction(1)
)
_FAR = Input("steam.far side temperature", "°F", "down", usual=Fraction(75), because="a heated room behind the wall")
_FAR_HUMID = Input(
    "steam.far side humidity", "part", "down", usual=Fraction(1, 2), because="a heated room behind the wall",
    never_below=Fraction(0), never_above=Fraction(1),
)  # fmt: skip
_ASHRAE = {
    "from": "air and vapor handbook",
    "section": "chapter 1, equations 5 and 6",
    "edition": "2017",
    "known by": "read second-hand",
}
FLOW = Working(
    "vapour flow", "membrane.vapour flow", "lb per 1000 sq ft per 24 h",
    (
        Input("membrane.permeance", "perm", "either way", never_below=Fraction(0)), _STEAM, _STEAM_HUMID,
        _FAR, _FAR_HUMID,
    ),
    _flow, _ASHRAE, "The coefficients are from memory and held against printed values.",
)  # fmt: skip
BETWEEN = Working(
    "humidity between retarders", "vapour retarder.humidity inside", "part",
    (
        Input("membrane.permeance", "perm", "either way", never_below=Fraction(0)),
        Input("vapour retarder.permeance", "perm", "either way", never_below=Fraction(0)), _STEAM, _STEAM_HUMID,
        _FAR, Input("steam.far side humidity", "part", "up", usual=Fraction(1, 2), because=_FAR_HUMID.because,
                    never_below=Fraction(0), never_above=Fraction(1)),
    ),
    _between, _ASHRAE, "The coefficients are from memory and held against printed values.",
)  # fmt: skip
