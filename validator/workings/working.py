"""A working as an engineer writes it down: the value, each step, its source, and what was taken as read.

Shapes: `Step` is one line of the sum, `Worked` its end, `Input` one thing a sum needs, `Working` the sum itself with
the direction it moves in each input. A sum is refused with `WorkingProblem` when what it is given cannot be. Units
are those named by each `Input`; values are exact fractions, or rounded as the working's note says.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal
from fractions import Fraction
from math import isqrt
from types import MappingProxyType
from typing import Literal, NamedTuple

Moves = Literal["up", "down", "either way", "turns at", "words", "exact only", "instead"]


FLOORS = ("shower floor", "room floor", "tub deck", "exterior deck")
WALLS = ("shower wall", "tub surround wall", "room wall", "exterior wall")


class WorkingProblem(ValueError):
    """What a sum was given cannot be: a span of nothing, a size nobody saws, solids of 140 %.

    `what` says what is wrong and `accepted` what would be taken, both in the words of the trade. `why` tells three apart:
    it cannot be; each part could be but never together (a grade that is not sold in a species); or it can be and this sum
    does not reach it (a member whose strength only its maker knows).
    """

    def __init__(
        self,
        what: str,
        accepted: str = "",
        why: Literal["cannot be", "never together", "beyond the sum"] = "cannot be",
    ) -> None:
        super().__init__(f"{what}. Accepted: {accepted}" if accepted else what)
        self.what = what
        self.accepted = accepted
        self.why = why


class Step(NamedTuple):
    """One line of a sum, printed as formula = numbers = result."""

    formula: str
    numbers: str
    result: str

    def __str__(self) -> str:
        return f"{self.formula} = {self.numbers} = {self.result}"


class Worked(NamedTuple):
    """A sum done once: its value in the working's unit, the steps, one line for the report, and what was assumed."""

    value: Fraction
    steps: tuple[Step, ...]
    line: str
    assumed: tuple[str, ...] = ()


class Input(NamedTuple):
    """One fact that a sum needs, the unit it is wanted in, and which way the answer moves when it grows.

    `usual` is taken, and said as assumed with `because`, when the fact is not stated. `never_below` and `never_above` are
    ends that no thing can pass (a thickness is never less than nothing); they are not habits. `every` lists the words there
    are: a word that could be any of them is not stated. What moves `instead` is the answer itself where somebody states it,
    and no sum is done. Of the words `beyond` no sum is done either. What is usual and not `told` goes without saying.
    """

    fact: str
    unit: str
    moves: Moves
    turns_at: Fraction | None = None
    usual: Fraction | str | None = None
    because: str = ""
    never_below: Fraction | None = None
    never_above: Fraction | None = None
    every: tuple[str, ...] = ()
    beyond: tuple[str, ...] = ()
    told: bool = True


class Working(NamedTuple):
    """A sum with a name: the fact it gives, what it needs, how it is done, and where it was published.

    `value_only` gives the same value without the steps, for a sum that is tried at many corners. `places` are the kinds of
    place where the sum means something; none named is anywhere. With `inputs first` what the sum lacks is asked before its
    result, though somebody might know that: anyone can measure a joist, and few have its deflection.
    """

    name: str
    gives: str
    unit: str
    inputs: tuple[Input, ...]
    work: Callable[[Mapping[str, Fraction | str]], Worked]
    source: Mapping[str, str] = MappingProxyType({})
    note: str = ""
    value_only: Callable[[Mapping[str, Fraction | str]], Fraction] | None = None
    places: tuple[str, ...] = ()
    inputs_first: bool = False


def plain(value: Fraction | int, digits: int = 6) -> str:
    """A decimal as written by hand: no exponent, no trailing noughts, so many significant figures."""
    text = f"{float(value):.{digits}g}"
    return f"{Decimal(text):f}" if "e" in text else text


def inches(value: Fraction) -> str:
    """Inches as read off a tape, `1-5/8`; a length that is on no sixty-fourth is written as a decimal."""
    value = Fraction(value)
    if 64 % value.denominator or value < 0:
        return plain(value, 5)
    whole, part = divmod(value, 1)
    if not part:
        return str(whole)
    return f"{whole}-{part}" if whole else str(part)


def feet_and_inches(value: Fraction) -> str:
    """A span as a carpenter says it, `14 ft 6 in`."""
    feet, rest = divmod(Fraction(value), 12)
    if not feet:
        return f"{inches(rest)} in"
    return f"{feet} ft {inches(rest)} in" if rest else f"{feet} ft"


def stiffness(ratio: Fraction) -> str:
    """Sag over span as `L/360`, rounded down so that it never claims more than was worked out."""
    return f"L/{int(1 / ratio)}" if ratio > 0 else "no sag"


def over_nothing(value: Fraction | str, name: str, accepted: str) -> Fraction:
    """The amount given, refused unless it is more than nothing."""
    if isinstance(value, str) or value <= 0:
        shown = value if isinstance(value, str) else plain(value)
        raise WorkingProblem(f"{name} of {shown} cannot be", accepted)
    return value


def not_negative(value: Fraction | str, name: str, accepted: str) -> Fraction:
    """The amount given, refused when it is less than nothing."""
    if isinstance(value, str) or value < 0:
        shown = value if isinstance(value, str) else plain(value)
        raise WorkingProblem(f"{name} of {shown} cannot be", accepted)
    return value


def next_step_up(value: Fraction, steps: tuple[Fraction, ...]) -> Fraction | None:
    """The first of the steps in a rising list that is at least the value; none when all are less."""
    return next((step for step in steps if step >= value), None)


def whole_above(value: Fraction) -> int:
    """The least whole number that is at least the value."""
    return -(-value.numerator // value.denominator)


ROOT_STEP = 10**10


def square_root(value: Fraction) -> Fraction:
    """The square root, rounded down to 1e-10 of the unit, so that a span is never longer than it should be."""
    return Fraction(isqrt(value.numerator * ROOT_STEP**2 // value.denominator), ROOT_STEP)


def cube_root(value: Fraction) -> Fraction:
    """The cube root, rounded down to 1e-10 of the unit."""
    target = value.numerator * ROOT_STEP**3 // value.denominator
    if not target:
        return Fraction(0)
    guess = round(float(target) ** (1 / 3)) + 1
    # Newton from above in whole numbers; two or three turns from a float start
    while (better := (2 * guess + target // (guess * guess)) // 3) < guess:
        guess = better
    while guess**3 > target:
        guess -= 1
    while (guess + 1) ** 3 <= target:
        guess += 1
    return Fraction(guess, ROOT_STEP)
