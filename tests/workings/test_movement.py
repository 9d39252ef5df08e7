"""Soft joints, against worked examples of trade associations and the handbook's widths."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, Worked, WorkingProblem
from validator.workings.movement import exterior_width, fields, growth, width_for

CLAY = Fraction(5, 10_000)


def test_forty_feet_of_porcelain_grow_as_published() -> None:
    # trade association article, 2008: 40 ft, 50 F, 1/16 to 3/32 in; 0.096 by the sum
    assert float(growth(Fraction(480), Fraction(50), Fraction(0))) == pytest.approx(0.096, abs=1e-9)


def test_published_brick_joints_208_inches_apart_are_three_eighths_wide() -> None:
    # brick practice: 0.0005 and 4e-6 over 100 F, 3/8 in joint taking half: 17 ft 4 in, 208.33
    moved = growth(Fraction("208.33"), Fraction(100), CLAY)
    assert float(width_for(moved, Fraction(1, 2))) == pytest.approx(0.375, abs=1e-5)


@pytest.mark.parametrize(("feet", "width"), [(12, 0.518), (8, 0.346)])
def test_the_handbooks_exterior_widths_are_four_times_the_movement_of_brick(feet: int, width: float) -> None:
    moved = growth(Fraction(12 * feet), Fraction(100), CLAY)
    assert float(width_for(moved, Fraction(1, 4))) == pytest.approx(width, abs=1e-3)


# tile handbook EJ171: 3/8 in at 8 ft, 1/2 in at 12 ft, 1/16 in more for each 15 F over 100 F
@pytest.mark.parametrize(
    ("feet", "degrees", "width"),
    [(8, 100, "3/8"), (12, 100, "1/2"), (12, 115, "9/16"), (12, 116, "5/8"), (9, 90, "1/2"), (8, 101, "7/16")],
)
def test_an_exterior_joint_is_as_wide_as_the_handbook_asks(feet: int, degrees: int, width: str) -> None:
    assert exterior_width(Fraction(12 * feet), Fraction(degrees)) == Fraction(width)


def test_exterior_joints_over_twelve_feet_apart_are_refused() -> None:
    with pytest.raises(WorkingProblem, match="joints outside are not set 13 ft apart. Accepted: 12 ft or less"):
        exterior_width(Fraction(156), Fraction(100))


@pytest.mark.parametrize(
    ("feet", "most", "joints", "apart"), [(40, 12, 3, 120), (12, 12, 0, 144), (25, 25, 0, 300), (26, 25, 1, 156)]
)
def test_a_room_is_cut_into_even_fields(feet: int, most: int, joints: int, apart: int) -> None:
    assert fields(Fraction(12 * feet), Fraction(12 * most)) == (joints, apart)


def in_the_field(long: int, short: int, most: int, *, outside: str = "no", close: str = "no") -> Worked:
    return WORKINGS["movement joints in the field"].work(
        {
            "place.greatest dimension": Fraction(12 * long), "place.least dimension": Fraction(12 * short),
            "movement joint.greatest spacing": Fraction(12 * most), "place.exterior": outside,
            "place.needs close movement joints": close,
        }
    )  # fmt: skip


def test_a_room_of_forty_by_thirty_at_twelve_feet_takes_five_joints() -> None:
    done = in_the_field(40, 30, 12)
    assert done.value == 5
    assert done.line == "5 in the field, in pieces of 10 ft by 10 ft, and the edge all round"


# 25 ft indoors, 12 ft outdoors, in sun and moisture (EJ171); counted by hand
@pytest.mark.parametrize(
    ("long", "short", "where", "joints"),
    [(55, 40, {}, 3), (55, 40, {"close": "yes"}, 7), (55, 40, {"outside": "yes"}, 7), (15, 8, {}, 0), (25, 25, {}, 0), (26, 25, {}, 1)],
)
def test_a_room_takes_the_joints_that_the_methods_own_spacing_asks(long: int, short: int, where: dict[str, str], joints: int) -> None:
    assert in_the_field(long, short, 25, **where).value == joints


def test_drawings_may_ask_for_closer_joints_and_never_for_wider_ones_than_the_method() -> None:
    assert in_the_field(55, 40, 20).value == 3
    assert in_the_field(55, 40, 12).value == 7
    assert in_the_field(55, 40, 60).value == 3


@pytest.mark.parametrize(("body", "says"), [("porcelain", False), ("quarry", True)])
def test_moisture_growth_is_told_only_where_it_was_counted(body: str, says: bool) -> None:
    done = WORKINGS["movement joint width"].work(
        {
            "movement joint.spacing": Fraction(144), "place.temperature range": Fraction(100), "tile.body": body,
            "movement joint.sealant class": "25",
        }
    )  # fmt: skip
    assert any("clay brick" in told for told in done.assumed) is says


@given(st.integers(1, 2000), st.integers(1, 400))
def test_no_field_is_longer_than_the_spacing(length: int, most: int) -> None:
    joints, apart = fields(Fraction(length), Fraction(most))
    assert apart <= most
    assert apart * (joints + 1) == length


def test_tile_whose_growth_is_not_kept_is_refused() -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["movement joint width"].work(
            {
                "movement joint.spacing": Fraction(144), "place.temperature range": Fraction(100), "tile.body": "stone",
                "movement joint.sealant class": "25",
            }
        )  # fmt: skip
    assert refused.value.what == "no growth is kept for stone tile, or no movement for sealant class 25"
