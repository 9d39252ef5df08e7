"""How far a sawn floor joist may span and how much it gives, from its stamp, its size and its spacing.

Shapes: lengths in inches, loads in psf, stress in psi, deflection as sag over span. A joist is taken as simply
supported over its clear span and evenly loaded; up to 24 in apart it is helped by its neighbors. Shear and bearing are
not checked. A number may be whole, a fraction, or a decimal as typed ("19.2", 19.2). Raises `WorkingProblem` for what
cannot be, and for lumber not in the tables.
Sources: elastic beam formulas; NDS 4.3 for the factors; the residential code's span tables R502.3.1(1) and (2), which
limit the live deflection to L/360 and the bending stress under the total load, and print spans to the nearest inch.
"""

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from .lumber import DRY_TO, REPETITIVE, WET_BENDING, WET_STIFFNESS, DesignValues, design_values, named, true_size
from .working import WorkingProblem, cube_root, inches, not_negative, over_nothing, plain, square_root

Number = int | float | Fraction | str
CODE_LIMIT = Fraction(1, 360)
HELPED_UP_TO = Fraction(24)  # in between joists, NDS 4.3.9
AN_AMOUNT = "more than nothing, such as 16 in or 40 psf"
A_SPAN = "more than nothing, such as 13 ft 6 in"
NO_LOAD = "0 psf or more"


class Joist(NamedTuple):
    """A sawn joist of true breadth and depth, its plies, what is cut out of it, and a joist of another size beside it."""

    species: str
    grade: str
    breadth: Fraction
    depth: Fraction
    plies: Fraction = Fraction(1)
    notch: Fraction = Fraction(0)
    beside: str = ""  # nominal size of the joist fixed beside it
    wet: bool = False
    edition: str = "current"


class Section(NamedTuple):
    """Of all that stands together: breadth of the plies, depth left, I, and S at the face that is farthest from the middle."""

    breadth: Fraction
    depth: Fraction
    second: Fraction
    modulus: Fraction


def sawn(species: str, grade: str, size: str, plies: Number = 1, notch: Number = 0, **more: object) -> Joist:
    """A joist by its nominal size."""
    return Joist(species, grade, *true_size(size), number(plies), number(notch), **more)


@lru_cache(maxsize=256)
def section(joist: Joist) -> Section:
    """Breadth, depth, I and S of the joist, of all its plies and what is fixed beside it together."""
    if joist.plies < 1 or joist.plies.denominator != 1:
        raise WorkingProblem(f"{plain(joist.plies)} plies cannot be", "a whole number, 1 or more")
    left = joist.depth - not_negative(joist.notch, "a notch", "0 in or more")
    if left <= 0:
        whole = named(joist.breadth, joist.depth)
        raise WorkingProblem(f"a notch of {inches(joist.notch)} in leaves nothing of a {whole}", "a notch less than the depth")
    breadth = joist.breadth * joist.plies
    second, farthest = breadth * left**3 / 12, left / 2
    if joist.beside:
        more, deep = true_size(joist.beside)
        second, farthest = second + more * deep**3 / 12, max(farthest, deep / 2)
    return Section(breadth, left, second, second / farthest)


def number(value: Number) -> Fraction:
    if isinstance(value, Fraction):
        return value
    # a float such as 19.2 means the decimal that was typed, not its nearest binary fraction
    return Fraction(str(value)) if isinstance(value, float) else Fraction(value)


def _limit(limit: Number) -> Fraction:
    """The deflection limit as sag over span, written 360, 1/360 or L/360."""
    given = Fraction(limit.upper().replace("L/", "1/")) if isinstance(limit, str) else number(limit)
    over_nothing(given, "a deflection limit", "a part of the span, such as L/360")
    return given if given < 1 else 1 / given


def values(joist: Joist) -> DesignValues:
    """The design values of the joist's stamp at its depth."""
    return design_values(joist.species, joist.grade, joist.depth, joist.edition)


def stiffness(joist: Joist) -> Fraction:
    """E in psi, less where the joist is wet in service."""
    return values(joist).stiffness * (WET_STIFFNESS if joist.wet else Fraction(1))


@lru_cache(maxsize=512)
def allowed_stress(joist: Joist, spacing: Fraction = HELPED_UP_TO) -> Fraction:
    """Bending stress in psi that the grade is given as a floor joist: Fb x C_F x C_M x C_r, normal duration of load."""
    given = values(joist)
    strength = given.bending * given.size_factor
    wet = WET_BENDING if joist.wet and strength > DRY_TO else Fraction(1)
    return strength * wet * (REPETITIVE if spacing <= HELPED_UP_TO else 1)


@lru_cache(maxsize=512)
def _give(joist: Joist) -> Fraction:
    """Sag in inches for each psf, inch of spacing and inch^4 of span: 5 / (144 x 384 x E x I)."""
    return 5 / (144 * 384 * stiffness(joist) * section(joist).second)


def sag(joist: Joist, spacing: Number, span: Number, load: Number) -> Fraction:
    """How many inches the middle of a joist goes down under an even load in psf."""
    spacing, span = number(spacing), number(span)
    over_nothing(span, "a span", A_SPAN)
    over_nothing(spacing, "a joist spacing", AN_AMOUNT)
    return not_negative(number(load), "a load", NO_LOAD) * spacing * span**4 * _give(joist)


def deflection(joist: Joist, spacing: Number, span: Number, load: Number) -> Fraction:
    """Sag over span under an even load in psf: 1/360 for a joist that just meets L/360."""
    return sag(joist, spacing, span, load) / number(span)


def bending_stress(joist: Joist, spacing: Number, span: Number, load: Number) -> Fraction:
    """Bending stress in psi at the middle of a joist under an even load in psf."""
    return number(load) * number(spacing) / 144 * number(span) ** 2 / (8 * section(joist).modulus)


def spans(
    joist: Joist, spacing: Number, live_load: Number, dead_load: Number, limit: Number = CODE_LIMIT
) -> tuple[Fraction, Fraction]:
    """The span in inches that live deflection allows, and the span that bending under the total load allows."""
    spacing = over_nothing(number(spacing), "a joist spacing", AN_AMOUNT)
    live = over_nothing(number(live_load), "a live load", AN_AMOUNT)
    dead = not_negative(number(dead_load), "a dead load", NO_LOAD)
    whole = section(joist)
    by_sag = cube_root(Fraction(384 * 144, 5) * stiffness(joist) * whole.second * _limit(limit) / (live * spacing))
    return by_sag, square_root(8 * 144 * allowed_stress(joist, spacing) * whole.modulus / ((live + dead) * spacing))
