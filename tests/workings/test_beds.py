"""Combed mortar beds, against the geometry of the notch."""

from fractions import Fraction
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.beds import TROWELS, mean_bed, notch_area


def bed(trowel: str) -> float:
    return float(WORKINGS["mean mortar bed"].work({"tile mortar.trowel": trowel}).value)


# geometry, by hand: square w d / (w + flat), V half of it, U with a half-round foot
@pytest.mark.parametrize(
    ("trowel", "inches"),
    [
        ("1/4 x 1/4 in square notch", 0.125),
        ("1/4 x 3/8 in square notch", 0.1875),
        ("1/2 x 1/2 in square notch", 0.25),
        ("3/16 in V notch", 0.078125),
    ],
)
def test_a_trowel_leaves_the_bed_its_notch_holds(trowel: str, inches: float) -> None:
    assert bed(trowel) == inches


def test_a_u_notch_leaves_less_than_a_square_one() -> None:
    # 1/4 x 3/8 x 1/4 U: 0.174 in by hand
    quarter = Fraction(1, 4)
    assert float(mean_bed("U", quarter, Fraction(3, 8), quarter)) == pytest.approx(0.174, abs=5e-4)
    exact = (0.25 * (0.375 - 0.125) + pi * 0.25**2 / 8) / 0.5
    assert float(mean_bed("U", quarter, Fraction(3, 8), quarter)) == pytest.approx(exact, rel=1e-6)


@pytest.mark.parametrize(
    ("thickness", "cubic_feet", "gallons"), [("1/8", 1.042, 7.79), ("3/16", 1.562, 11.69), ("1/4", 2.083, 15.58)]
)
def test_a_hundred_square_feet_take_the_mortar_worked_by_hand(
    thickness: str, cubic_feet: float, gallons: float
) -> None:
    done = WORKINGS["mortar needed"].work(
        {"place.area": Fraction(100), "tile mortar.mean bed": Fraction(thickness)}
    )
    assert float(done.value) == pytest.approx(gallons, abs=0.006)
    assert float(done.value * 231 / 1728) == pytest.approx(cubic_feet, abs=6e-4)


@given(st.sampled_from(sorted(TROWELS)))
def test_a_bed_is_never_deeper_than_half_a_square_notch(trowel: str) -> None:
    assert bed(trowel) <= 0.75 * float(TROWELS[trowel][2])


def test_a_trowel_whose_notch_is_not_known_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="the bed of a flat trowel is not known"):
        WORKINGS["mean mortar bed"].work({"tile mortar.trowel": "flat"})


@pytest.mark.parametrize(
    ("shape", "width", "deep", "what"),
    [("square", 0, 1, "a notch width of 0 cannot be"), ("U", 1, "1/4", "a U notch 1 in wide cannot be 1/4 in deep"),
     ("star", 1, 1, "no notch is called star")],
)  # fmt: skip
def test_a_notch_that_cannot_be_is_refused(shape: str, width: int, deep: int | str, what: str) -> None:
    with pytest.raises(WorkingProblem) as refused:
        notch_area(shape, Fraction(width), Fraction(deep))
    assert refused.value.what == what
