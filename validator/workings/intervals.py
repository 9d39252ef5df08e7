"""Works a sum over ranges: at every corner of its inputs that could give its least or its greatest.

Shapes: an amount is (least, greatest) in whole steps of its kind, NO_LEAST and NO_GREATEST for no end; a word is the
tuple of words it could be; the answer is steps of the given fact's kind, rounded outwards. A fact left out is not
stated: the working's usual value is taken if it has one, else it has no ends. Raises `WorkingProblem` when nothing
that is possible could be worked. Over 64 evaluations the answer is not known.
"""

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from itertools import product
from math import ceil, floor, prod
from typing import NamedTuple

from validator.language.amounts import KINDS, NO_GREATEST, NO_LEAST

from .working import Input, Worked, Working, WorkingProblem, inches, plain

Possible = tuple[int, int] | tuple[str, ...]
MOST_EVALUATIONS = 64
RATIO_STEPS = 2_882_880_000  # of the kinds that are a part of something
RATIO_UNITS = ("of span", "part", "slope")


class WorkedRange(NamedTuple):
    """The answer of a working for what is possible, with the sum at each end that has one.

    `narrows` are the stated or unstated facts whose settling would narrow the answer; `why_not` says why nothing is known;
    `firm` is false where the sum rests on values that are only remembered; `cannot be` is true where what is written cannot.
    """

    least: int
    greatest: int
    at_least: Worked | None = None
    at_greatest: Worked | None = None
    narrows: tuple[str, ...] = ()
    assumed: tuple[str, ...] = ()
    why_not: str = ""
    firm: bool = True
    inputs_first: bool = False
    cannot_be: bool = False

    @property
    def known(self) -> bool:
        """Whether the answer has at least one end."""
        return self.least != NO_LEAST or self.greatest != NO_GREATEST

    @property
    def exact(self) -> bool:
        """Whether one sum gave both ends."""
        return self.at_least is not None and self.at_least is self.at_greatest


@cache
def _scale(kind: str, unit: str) -> tuple[Fraction, Fraction]:
    """Steps at nothing, and steps to one unit more."""
    if unit in RATIO_UNITS:
        return Fraction(0), Fraction(RATIO_STEPS)
    if unit == "count":
        return Fraction(0), Fraction(1)
    found = KINDS[kind].units[unit.lower()]
    return found.zero, found.steps


def from_steps(steps: int, kind: str, unit: str) -> Fraction:
    """An amount of whole steps in the unit that a working wants it in."""
    nothing, one = _scale(kind, unit)
    return (steps - nothing) / one


def to_steps(value: Fraction, kind: str, unit: str) -> Fraction:
    """A working's value in steps of the kind, not yet rounded."""
    nothing, one = _scale(kind, unit)
    return nothing + value * one


Ends = tuple[Fraction | None, Fraction | None]


def _ends(each: Input, possible: Mapping[str, Possible], kinds: Mapping[str, str]) -> tuple[Ends, bool]:
    """Both ends of an amount in the working's unit, none for no end, and whether the usual value was taken."""
    given = possible.get(each.fact)
    least, greatest = (NO_LEAST, NO_GREATEST) if given is None else given
    if (least, greatest) == (NO_LEAST, NO_GREATEST) and each.usual is not None:
        usual = Fraction(each.usual)
        return (usual, usual), True
    low = None if least == NO_LEAST else from_steps(int(least), kinds[each.fact], each.unit)
    high = None if greatest == NO_GREATEST else from_steps(int(greatest), kinds[each.fact], each.unit)
    if low is None:
        low = each.never_below
    if high is None:
        high = each.never_above
    return (low, high), False


def _words(each: Input, possible: Mapping[str, Possible]) -> tuple[tuple[str, ...], bool]:
    given = tuple(str(word) for word in possible.get(each.fact, ()))
    stated = bool(given) and not (each.every and set(given) >= set(each.every))
    if stated or (given and each.usual is None):
        return given, False
    return ((str(each.usual),), True) if each.usual is not None else (each.every, False)


def _corner_values(each: Input, ends: Ends, toward_low: bool) -> tuple[Fraction, ...] | None:
    """What the input is worked at for one end of the answer; none when that end is open."""
    low, high = ends
    match each.moves:
        case "up" | "down":
            value = low if (each.moves == "up") is toward_low else high
            return None if value is None else (value,)
        case "exact only":
            return (low,) if low is not None and low == high else None
        case _:
            if low is None or high is None:
                return None
            both = (low,) if low == high else (low, high)
            if each.moves == "turns at" and each.turns_at is not None and low < each.turns_at < high:
                return (*both, each.turns_at)
            return both


@cache
def _said_usual(each: Input) -> str:
    usual = each.usual
    if isinstance(usual, Fraction):
        told = inches(usual) if each.unit == "in" else plain(usual)
        usual = told if each.unit in ("count", "part", "of span") else f"{told} {each.unit}"
    because = f": {each.because}" if each.because else ""
    return f"{each.fact.replace('.', ' ')} taken as {usual}{because}"


def work_over(working: Working, possible: Mapping[str, Possible], kinds: Mapping[str, str]) -> WorkedRange:
    """The least and greatest a working could come to, each with its steps, and which facts would narrow it.

    `possible` maps each fact to its ends or words, `kinds` each fact (the given one too) to the name of its kind.
    """
    given = _given_instead(working, possible, kinds)
    if given is not None:
        return given
    narrows: list[str] = []
    assumed: list[str] = []
    lows: list[tuple[Fraction | str, ...] | None] = []
    highs: list[tuple[Fraction | str, ...] | None] = []
    for each in _summed(working):
        if each.moves == "words":
            words, usual = _words(each, possible)
            if not words:
                return _not_known(working, (each.fact,), f"{each.fact} is not stated")
            if set(words) <= set(each.beyond):
                return _not_known(working, (), f"of {' or '.join(words)} only its maker knows")
            lows.append(words)
            highs.append(words)
            settled = len(words) == 1
        else:
            ends, usual = _ends(each, possible, kinds)
            lows.append(_corner_values(each, ends, toward_low=True))
            highs.append(_corner_values(each, ends, toward_low=False))
            settled = ends[0] is not None and ends[0] == ends[1]
            if each.moves == "exact only" and not settled:
                return _not_known(working, (each.fact,), f"{each.fact} is not stated exactly")
        if usual:
            assumed += [_said_usual(each)] * each.told
        elif not settled:
            narrows.append(each.fact)
    return _worked_out(working, lows, highs, kinds[working.gives], tuple(narrows), tuple(assumed))


def _summed(working: Working) -> tuple[Input, ...]:
    return tuple(each for each in working.inputs if each.moves != "instead")


def _given_instead(working: Working, possible: Mapping[str, Possible], kinds: Mapping[str, str]) -> WorkedRange | None:
    """What somebody stated in place of the sum, if anybody did."""
    for each in working.inputs:
        least, greatest = possible.get(each.fact, (NO_LEAST, NO_GREATEST)) if each.moves == "instead" else (NO_LEAST, NO_GREATEST)
        if (least, greatest) == (NO_LEAST, NO_GREATEST):
            continue
        line = f"as stated of {each.fact.replace('.', ' ')}"
        ends = [
            None if end in (NO_LEAST, NO_GREATEST)
            else Worked(from_steps(int(end), kinds[each.fact], each.unit), (), line, (each.because,))
            for end in (least, greatest)
        ]  # fmt: skip
        exact = least == greatest
        return WorkedRange(
            int(least), int(greatest), ends[0], ends[0] if exact else ends[1], () if exact else (each.fact,), (each.because,)
        )
    return None


def _not_known(working: Working, facts: tuple[str, ...], why: str) -> WorkedRange:
    return WorkedRange(
        NO_LEAST, NO_GREATEST, narrows=facts, why_not=f"{working.name}: {why}", inputs_first=working.inputs_first
    )


def _worked_out(
    working: Working,
    lows: list[tuple[Fraction | str, ...] | None],
    highs: list[tuple[Fraction | str, ...] | None],
    kind: str,
    narrows: tuple[str, ...],
    assumed: tuple[str, ...],
) -> WorkedRange:
    names = tuple(each.fact for each in _summed(working))
    low_grid = [values for values in lows if values is not None]
    high_grid = [values for values in highs if values is not None]
    low_open, high_open = len(low_grid) < len(lows), len(high_grid) < len(highs)
    if low_open and high_open:
        return WorkedRange(
            NO_LEAST, NO_GREATEST, narrows=narrows, assumed=assumed, inputs_first=working.inputs_first,
            why_not=f"{working.name}: would need {' and '.join(narrows)}",
        )  # fmt: skip
    grids = [grid for grid, is_open in ((low_grid, low_open), (high_grid, high_open)) if not is_open]
    if len(grids) == 2 and low_grid == high_grid:
        grids = grids[:1]
    if sum(prod(map(len, grid)) for grid in grids) > MOST_EVALUATIONS:
        return _not_known(working, narrows, f"too many ways it could be; narrow {' or '.join(narrows)}")
    corners = [dict(zip(names, corner, strict=True)) for grid in grids for corner in product(*grid)]
    values: list[tuple[Fraction, int]] = []
    refused: list[WorkingProblem] = []
    sums: dict[int, Worked] = {}

    def worked(at: int) -> Worked:
        if at not in sums:
            sums[at] = working.work(corners[at])
        return sums[at]

    for at, facts in enumerate(corners):
        try:
            values.append((working.value_only(facts) if working.value_only else worked(at).value, at))
        except WorkingProblem as problem:
            refused.append(problem.with_traceback(None))  # which would keep all that was being worked on
    for problem in refused:
        if problem.why == "beyond the sum" or (values and problem.why == "cannot be"):
            # one of the possible answers cannot be worked, so the others do not bound it
            return _not_known(working, narrows, str(problem))
    if not values:
        raise refused[0]
    least, at_least = NO_LEAST, None
    greatest, at_greatest = NO_GREATEST, None
    lowest = min(values, key=lambda pair: pair[0])[1]
    highest = max(values, key=lambda pair: pair[0])[1]
    if not low_open:
        at_least = worked(lowest)
        least = floor(to_steps(at_least.value, kind, working.unit))
    if not high_open:
        at_greatest = worked(highest)
        greatest = ceil(to_steps(at_greatest.value, kind, working.unit))
    return WorkedRange(least, greatest, at_least, at_greatest, narrows, assumed)
