"""How far a sawn floor joist may span and how much it gives, from its stamp and its spacing.

Shapes: lengths in inches, loads in psf, stress in psi, deflection as sag over span. A joist is taken as simply
supported over its clear span, evenly loaded, dry, with three or more side by side; shear and bearing are not checked.
A number may be whole, a fraction, or a decimal as typed ("19.2", 19.2). Raises `WorkingProblem` for what cannot be,
and for lumber not in the tables.
Sources: elastic beam formulas; NDS 4.3 for the factors; the residential code's span tables R502.3.1(1) and (2), which
limit the live deflection to L/360 and the bending stress under the total load, and print spans to the nearest inch.
"""

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from .lumber import REPETITIVE, WIDTH, depth, design_values
from .working import WorkingProblem, cube_root, inches, not_negative, over_nothing, plain, square_root

Number = int | float | Fraction | str
CODE_LIMIT = Fraction(1, 360)
AN_AMOUNT = "more than nothing, such as 16 in or 40 psf"
A_SPAN = "more than nothing, such as 13 ft 6 in"
NO_LOAD = "0 psf or more"


class Joist(NamedTuple):
    """A sawn floor joist by its stamp and its spacing, in inches; `edition` says whose design values, `notch` how deep it is cut."""

    species: str
    grade: str
    size: str
    spacing: Number
    edition: str = "current"
    plies: Number = 1
    notch: Number = 0

    def section(self) -> tuple[Fraction, Fraction, Fraction, Fraction]:
        """Width, depth, I and S, of all its plies together."""
        return section(self.size, _number(self.plies), _number(self.notch))


@lru_cache(maxsize=256)
def section(size: str, plies: Fraction, notch: Fraction) -> tuple[Fraction, Fraction, Fraction, Fraction]:
    """Width, depth, I and S of the joist, of all its plies together."""
    if plies < 1 or plies.denominator != 1:
        raise WorkingProblem(f"{plain(plies)} plies cannot be", "a whole number, 1 or more")
    left = depth(size) - not_negative(notch, "a notch", "0 in or more")
    if left <= 0:
        raise WorkingProblem(f"a notch of {inches(notch)} in leaves nothing of a {size}", "a notch less than the depth")
    width = WIDTH * plies
    return width, left, width * left**3 / 12, width * left**2 / 6


def _number(value: Number) -> Fraction:
    if isinstance(value, Fraction):
        return value
    # a float such as 19.2 means the decimal that was typed, not its nearest binary fraction
    return Fraction(str(value)) if isinstance(value, float) else Fraction(value)


def _limit(limit: Number) -> Fraction:
    """The deflection limit as sag over span, written 360, 1/360 or L/360."""
    number = Fraction(limit.upper().replace("L/", "1/")) if isinstance(limit, str) else _number(limit)
    over_nothing(number, "a deflection limit", "a part of the span, such as L/360")
    return number if number < 1 else 1 / number


@lru_cache(maxsize=512)
def _give(joist: Joist) -> Fraction:
    """Sag in inches for each psf, inch of spacing and inch^4 of span: 5 / (144 x 384 x E x I)."""
    *_, second, _ = joist.section()
    return 5 / (144 * 384 * design_values(joist.species, joist.grade, joist.size, joist.edition).stiffness * second)


@lru_cache(maxsize=512)
def _holds(joist: Joist) -> tuple[Fraction, Fraction]:
    """What load, spacing and span the joist holds: 384 x E x I x 144 / 5 by sag, 8 x F x S x 144 by bending."""
    *_, second, modulus = joist.section()
    given = design_values(joist.species, joist.grade, joist.size, joist.edition)
    return Fraction(384 * 144, 5) * given.stiffness * second, 8 * 144 * allowed_stress(joist) * modulus


def sag(joist: Joist, span: Number, load: Number) -> Fraction:
    """How many inches the middle of a joist goes down under an even load in psf."""
    spacing, span = _number(joist.spacing), _number(span)
    over_nothing(span, "a span", A_SPAN)
    over_nothing(spacing, "a joist spacing", AN_AMOUNT)
    load = not_negative(_number(load), "a load", NO_LOAD)
    return load * spacing * span**4 * _give(joist)


def deflection(joist: Joist, span: Number, load: Number) -> Fraction:
    """Sag over span under an even load in psf: 1/360 for a joist that just meets L/360."""
    return sag(joist, span, load) / _number(span)


def bending_stress(joist: Joist, span: Number, load: Number) -> Fraction:
    """Bending stress in psi at the middle of a joist under an even load in psf."""
    *_, modulus = joist.section()
    return _number(load) * _number(joist.spacing) / 144 * _number(span) ** 2 / (8 * modulus)


def allowed_stress(joist: Joist) -> Fraction:
    """Bending stress in psi that the grade is given as a floor joist: Fb x C_F x C_r, normal duration of load."""
    given = design_values(joist.species, joist.grade, joist.size, joist.edition)
    return given.bending * given.size_factor * REPETITIVE


def spans(joist: Joist, live_load: Number, dead_load: Number, limit: Number = CODE_LIMIT) -> tuple[Fraction, Fraction]:
    """The span in inches that live deflection allows, and the span that bending under the total load allows."""
    spacing = over_nothing(_number(joist.spacing), "a joist spacing", AN_AMOUNT)
    live = over_nothing(_number(live_load), "a live load", AN_AMOUNT)
    dead = not_negative(_number(dead_load), "a dead load", NO_LOAD)
    stiff, strong = _holds(joist)
    by_sag = cube_root(stiff * _limit(limit) / (live * spacing))
    return by_sag, square_root(strong / ((live + dead) * spacing))
