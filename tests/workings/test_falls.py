"""Falls and heights of a shower floor, against the code's numbers and a level line."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.falls import per_foot

QUARTER = Fraction(1, 48)


def value(name: str, **facts: Fraction | str) -> Fraction:
    return WORKINGS[name].work({fact.replace("__", ".").replace("_", " "): told for fact, told in facts.items()}).value


@pytest.mark.parametrize(("run", "least", "greatest"), [(36, "3/4", "3/2"), (60, "5/4", "5/2")])
def test_the_rise_at_the_wall_is_the_run_times_the_fall(run: int, least: str, greatest: str) -> None:
    # residential code P2709.1: 1/4 to 1/2 in per ft
    assert value("rise at the wall", drain__longest_run=Fraction(run), place__fall=QUARTER) == Fraction(least)
    assert value("rise at the wall", drain__longest_run=Fraction(run), place__fall=2 * QUARTER) == Fraction(greatest)


def test_the_rise_is_written_as_a_level_and_tape_give_it() -> None:
    done = WORKINGS["rise at the wall"].work({"drain.longest run": Fraction(36), "place.fall": QUARTER})
    assert str(done.steps[0]) == "rise = run x fall = 36 x 1/4 / 12 = 0.75 in"
    assert done.line == "3/4 in of rise over 36 in at 1/4 in per ft"
    assert per_foot(Fraction(1, 24)) == "1/2 in per ft"


def test_a_drain_in_the_middle_halves_the_run() -> None:
    assert value("longest run to the drain", place__greatest_dimension=Fraction(60), drain__position="center") == 30
    assert value("longest run to the drain", place__greatest_dimension=Fraction(60), drain__position="end") == 60


def test_a_drain_off_center_must_be_measured() -> None:
    with pytest.raises(WorkingProblem) as refused:
        value("longest run to the drain", place__greatest_dimension=Fraction(60), drain__position="off center")
    assert refused.value.what == "the run of a drain off center does not follow from the size of the floor"
    assert refused.value.accepted == "the longest run from the drain to a wall, measured"


def test_a_level_edge_makes_the_short_side_steeper() -> None:
    # 30 in at 1/4 in per ft rises 5/8 in; over 18 in that is 5/12 in per ft, still under 1/2 in
    steep = value(
        "steepest fall", drain__longest_run=Fraction(30), drain__shortest_run=Fraction(18), place__fall=QUARTER
    )
    assert steep == Fraction(5, 144)
    # a drain 12 in from one wall and 48 in from the other goes past 1/2 in per ft
    steep = value(
        "steepest fall", drain__longest_run=Fraction(48), drain__shortest_run=Fraction(12), place__fall=QUARTER
    )
    assert steep == Fraction(1, 12)


def test_with_a_level_edge_the_corner_is_flatter_than_the_wall() -> None:
    # 36 x 60 in, drain in the center: 30 and 18 in to the walls, root of 30 x 30 + 18 x 18 = 34.9857 in to the corner;
    # 5/8 in over that is 0.2144 in per ft, and 1/4 in per ft there asks for 0.7289 in
    runs = {"drain__longest_run": Fraction(30), "drain__shortest_run": Fraction(18), "place__fall": QUARTER}
    assert float(12 * value("fall to the corner", **runs)) == pytest.approx(0.2144, abs=1e-4)
    assert float(value("rise for the corners", **runs)) == pytest.approx(0.7289, abs=1e-4)


def test_a_corner_that_comes_out_even_is_not_rounded() -> None:
    runs = {"drain__longest_run": Fraction(48), "drain__shortest_run": Fraction(36), "place__fall": QUARTER}
    assert value("rise for the corners", **runs) == Fraction(60, 48)
    assert value("fall to the corner", **runs) == Fraction(1, 60)


def test_the_edge_stands_as_high_as_the_drain_and_the_rise() -> None:
    height = value(
        "height at the edge",
        place__thickness_at_drain=Fraction(3, 4),
        drain__longest_run=Fraction(36),
        place__fall=QUARTER,
    )
    assert height == Fraction(3, 2)


@pytest.mark.parametrize(
    ("name", "facts", "wanted"),
    [
        ("curb above drain", {"curb__top_above_structure": "5", "drain__top_above_structure": "3/2"}, "7/2"),
        ("liner above threshold", {"liner__height_above_drain": "5", "curb__height_above_drain": "2"}, "3"),
        ("membrane above threshold", {"membrane__height_above_drain": "4", "curb__height_above_drain": "2"}, "2"),
        ("threshold at the entry", {"curb__top_above_structure": "5/4", "place__room_build-up": "3/4"}, "1/2"),
        ("curbless recess", {"place__edge_height": "9/4", "place__room_build-up": "3/4"}, "3/2"),
        ("curbless recess", {"place__edge_height": "1/2", "place__room_build-up": "3/4"}, "0"),
    ],
)
def test_heights_are_taken_from_one_level_line(name: str, facts: dict[str, str], wanted: str) -> None:
    assert value(name, **{fact: Fraction(told) for fact, told in facts.items()}) == Fraction(wanted)


@given(st.integers(1, 400), st.integers(1, 400), st.integers(1, 48))
def test_the_steepest_fall_of_a_level_edge_is_never_less_than_the_fall(one: int, other: int, over: int) -> None:
    longest, shortest = Fraction(max(one, other)), Fraction(min(one, other))
    fall = Fraction(1, over)
    steep = value("steepest fall", drain__longest_run=longest, drain__shortest_run=shortest, place__fall=fall)
    assert steep >= fall


@pytest.mark.parametrize(
    ("facts", "what"),
    [
        ({"drain.longest run": Fraction(0), "place.fall": QUARTER}, "a run to the wall of 0 cannot be"),
        ({"drain.longest run": Fraction(36), "place.fall": -QUARTER}, "a fall of -0.0208333 cannot be"),
    ],
)
def test_a_run_or_fall_that_cannot_be_is_refused(facts: dict[str, Fraction], what: str) -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["rise at the wall"].work(facts)
    assert refused.value.what == what
