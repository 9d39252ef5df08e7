"""Grout joints and edges, against the standards' sentences and exact geometry."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.grout_joints import grout_per_foot

LAID: dict[str, Fraction | str] = {
    "tile.facial size variation": Fraction(0),
    "tile.warpage": Fraction(0),
    "tile.longest edge": Fraction(24),
    "tile.pattern": "straight",
    "tile.edge": "rectified",
}


# ANSI A108.02 4.3.8 and 4.3.8.1
@pytest.mark.parametrize(
    ("change", "joint"),
    [
        ({}, "1/16"),
        ({"tile.facial size variation": Fraction(1, 16)}, "3/16"),
        ({"tile.pattern": "offset"}, "1/8"),
        ({"tile.pattern": "offset", "tile.warpage": Fraction(1, 32)}, "5/32"),
        ({"tile.pattern": "offset", "tile.edge": "calibrated", "tile.warpage": Fraction(1, 16)}, "1/4"),
        ({"tile.pattern": "offset", "tile.longest edge": Fraction(15)}, "1/16"),
        ({"tile.pattern": "offset", "tile.facial size variation": Fraction(1, 8)}, "3/8"),
    ],
)
def test_the_least_joint_follows_size_and_offset(change: dict[str, Fraction | str], joint: str) -> None:
    assert WORKINGS["least grout joint"].work({**LAID, **change}).value == Fraction(joint)


# ANSI A108.02 4.3.7
@pytest.mark.parametrize(
    ("joint", "warp", "lippage"),
    [("3/16", "0", "1/32"), ("1/4", "0", "1/16"), ("1/8", "1/32", "1/16"), ("1/4", "1/32", "3/32")],
)
def test_lippage_is_that_of_the_joint_and_the_tiles_own_warpage(joint: str, warp: str, lippage: str) -> None:
    done = WORKINGS["lippage allowed"].work({"grout.joint": Fraction(joint), "tile.warpage": Fraction(warp)})
    assert done.value == Fraction(lippage)


# ANSI A137.1: the lesser of a part of the edge and a most
@pytest.mark.parametrize(
    ("body", "edge", "longest", "inches"),
    [("ceramic", "rectified", 12, 0.048), ("ceramic", "rectified", 24, 0.05), ("ceramic", "calibrated", 8, 0.06),
     ("ceramic", "calibrated", 24, 0.08), ("porcelain", "rectified", 24, 1.3 / 25.4), ("porcelain", "calibrated", 12, 0.06),
     ("porcelain", "calibrated", 24, 2.0 / 25.4)],
)  # fmt: skip
def test_an_edge_may_bow_by_the_lesser_of_two_limits(body: str, edge: str, longest: int, inches: float) -> None:
    facts = {"tile.longest edge": Fraction(longest), "tile.body": body, "tile.edge": edge}
    assert float(WORKINGS["edge warpage allowed"].work(facts).value) == pytest.approx(inches, rel=1e-9)


# exact joint part of the face, by hand: 12 x 12 at 1/8 in and 2 x 2 at 1/8 in, tile 3/8 and 1/4 in thick
@pytest.mark.parametrize(("edge", "joint", "deep", "cubic"), [("12", "1/8", "3/8", 1.108), ("2", "1/8", "1/4", 4.11)])
def test_a_square_foot_takes_the_grout_its_joints_hold(edge: str, joint: str, deep: str, cubic: float) -> None:
    found = grout_per_foot(Fraction(edge), Fraction(edge), Fraction(joint), Fraction(deep))
    assert float(found) == pytest.approx(cubic, abs=0.006)


def test_fifty_square_feet_of_long_tile_take_62_cubic_inches() -> None:
    # 12 x 24 x 3/8 in, joint 3/16: 62.1 by hand
    done = WORKINGS["grout needed"].work(
        {
            "place.area": Fraction(50), "tile.longest edge": Fraction(24), "tile.shortest edge": Fraction(12),
            "grout.joint": Fraction(3, 16), "tile.thickness": Fraction(3, 8),
        }
    )  # fmt: skip
    assert float(done.value) == pytest.approx(62.1, abs=0.1)


def test_a_square_metre_of_metric_tile_takes_the_litres_of_the_trade_formula() -> None:
    # 300 x 300 x 10 mm, 3 mm joint: (A + B) / (A x B) x C x D = 0.20 L for each square metre, a little over the exact sum
    inch = Fraction(254, 10)
    found = grout_per_foot(Fraction(300) / inch, Fraction(300) / inch, Fraction(3) / inch, Fraction(10) / inch)
    litres = float(found) * 0.016387064 / 0.09290304
    assert litres == pytest.approx(0.2, rel=0.02)
    assert litres < 0.2


@given(st.integers(1, 48), st.integers(1, 48), st.integers(1, 32), st.integers(1, 32))
def test_the_trade_formula_never_gives_less_than_the_joints_hold(long: int, short: int, joint: int, deep: int) -> None:
    wide, thick = Fraction(joint, 32), Fraction(deep, 32)
    linear = 144 * thick * wide * (Fraction(1, long) + Fraction(1, short))
    assert grout_per_foot(Fraction(long), Fraction(short), wide, thick) <= linear


def test_tile_with_no_published_warpage_is_refused() -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["edge warpage allowed"].work(
            {"tile.longest edge": Fraction(12), "tile.body": "stone", "tile.edge": "rectified"}
        )
    assert refused.value.what == "no warpage limit was found for rectified stone tile"
