"""What follows from sizes alone."""

from fractions import Fraction

import pytest

from validator.workings import WORKINGS, WorkingProblem


def test_a_three_by_five_floor_is_fifteen_square_feet() -> None:
    done = WORKINGS["area of the place"].work(
        {"place.greatest dimension": Fraction(60), "place.least dimension": Fraction(36)}
    )
    assert done.value == 15
    assert done.line == "15 sq ft, 5 ft by 3 ft"


# sixteen on center leaves 14-1/2 in clear, 14.5/360 = 0.0403 in of sag (trade magazine, 2011)
@pytest.mark.parametrize(("spacing", "plies", "gap"), [("16", 1, "29/2"), ("19.2", 1, "17.7"), ("24", 2, "21")])
def test_the_panel_bridges_the_spacing_less_the_joist(spacing: str, plies: int, gap: str) -> None:
    done = WORKINGS["clear gap"].work({"framing.spacing": Fraction(spacing), "framing.plies": Fraction(plies), "framing.breadth": Fraction(3, 2)})
    assert done.value == Fraction(gap)
    assert float(Fraction(29, 2) / 360) == pytest.approx(0.0403, abs=5e-5)


def test_joists_that_leave_no_gap_are_refused() -> None:
    with pytest.raises(WorkingProblem, match="joists 1 in apart leave no gap. Accepted: a spacing wider than the joist"):
        WORKINGS["clear gap"].work({"framing.spacing": Fraction(1), "framing.plies": Fraction(1), "framing.breadth": Fraction(3, 2)})
