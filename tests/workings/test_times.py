"""Waits and dates on site."""

from datetime import datetime
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.times import Stage, calendar, flood_wait, slowing

START = datetime(2026, 3, 2, 8, 0)


# ASTM D5957 5.4: no test within 24 h of completion, 48 h below 50 F
@pytest.mark.parametrize(
    ("called", "degrees", "hours"), [(12, 70, 24), (12, 50, 24), (12, 49, 48), (72, 49, 72), (36, 70, 36)]
)
def test_water_waits_for_the_membrane_and_longer_in_the_cold(called: int, degrees: int, hours: int) -> None:
    assert flood_wait(Fraction(called), Fraction(degrees)) == hours


# common practice, no source: twice for each 18 F under 70 F
@pytest.mark.parametrize(("degrees", "times"), [(70, "1"), (90, "1"), (52, "2"), (61, "1.42")])
def test_cement_slows_in_the_cold_and_warmth_shortens_nothing(degrees: int, times: str) -> None:
    assert slowing(Fraction(degrees)) == Fraction(times)


def usual_programme(cure: Fraction | None, between_coats: Fraction | None, fahrenheit: Fraction) -> tuple[Stage, ...]:
    """The stages of a tiled shower on a mortar bed with two coats of liquid membrane."""
    maker = "what the membrane's maker asks between coats"
    wait = None if cure is None else flood_wait(cure, fahrenheit)
    return (
        Stage("mortar bed", "", Fraction(0), "the start", "stated"),
        Stage("first coat", "mortar bed", Fraction(24), "bed 24 h old at 70 F", "read second-hand", slows_in_cold=True),
        Stage("second coat", "first coat", between_coats, maker, "stated"),
        Stage("flood test", "second coat", wait, "cure of the membrane, ASTM D5957 5.4", "read second-hand"),
        Stage("flood test over", "flood test", Fraction(24), "held a day", "practice"),
        Stage("tile", "flood test over", Fraction(0), "the pan held and is dry", "practice"),
        Stage("grout", "tile", Fraction(48), "two days for dry-set mortar", "read second-hand", slows_in_cold=True),
        Stage("light traffic", "grout", Fraction(24), "grout a day old", "practice", slows_in_cold=True),
        Stage("water", "grout", Fraction(7 * 24), "grout a week old", "practice", slows_in_cold=True),
    )


def test_cement_does_not_cure_near_freezing() -> None:
    with pytest.raises(WorkingProblem, match="cement mortar does not cure at 35 F. Accepted: 40 F or warmer"):
        slowing(Fraction(35))


def test_a_shower_begun_on_monday_morning_is_dated_step_by_step() -> None:
    days = calendar(START, usual_programme(Fraction(24), Fraction(4), Fraction(70)))
    assert [(day.name, day.earliest.strftime("%m-%d %H:%M")) for day in days] == [
        ("mortar bed", "03-02 08:00"),
        ("first coat", "03-03 08:00"),
        ("second coat", "03-03 12:00"),
        ("flood test", "03-04 12:00"),
        ("flood test over", "03-05 12:00"),
        ("tile", "03-05 12:00"),
        ("grout", "03-07 12:00"),
        ("light traffic", "03-08 12:00"),
        ("water", "03-14 12:00"),
    ]
    assert not any(day.at_least for day in days)


def test_a_wait_that_is_not_known_makes_every_later_date_a_least() -> None:
    days = calendar(START, usual_programme(None, Fraction(4), Fraction(70)))
    assert [day.name for day in days if day.at_least] == [
        "flood test", "flood test over", "tile", "grout", "light traffic", "water",
    ]  # fmt: skip


def test_the_cold_is_said_to_be_common_practice() -> None:
    days = {
        day.name: day for day in calendar(START, usual_programme(Fraction(24), Fraction(4), Fraction(52)), Fraction(52))
    }
    assert days["first coat"].earliest == datetime(2026, 3, 4, 8, 0)
    assert days["first coat"].known_by == "practice"
    assert days["first coat"].because == "bed 24 h old at 70 F, 2 times longer at 52 F"


def test_a_stage_that_follows_nothing_written_before_it_is_refused() -> None:
    stages = (Stage("bed", "", Fraction(0), "", "stated"), Stage("grout", "tile", Fraction(24), "", "read second-hand"))
    with pytest.raises(WorkingProblem) as refused:
        calendar(START, stages)
    assert (refused.value.what, refused.value.accepted) == ("grout follows tile, which is not before it", "bed")


@given(st.integers(40, 100), st.integers(0, 30), st.integers(0, 200))
def test_colder_is_never_sooner(degrees: int, colder: int, cure: int) -> None:
    low = max(40, degrees - colder)
    warm = calendar(START, usual_programme(Fraction(cure), Fraction(4), Fraction(degrees)), Fraction(degrees))
    cold = calendar(START, usual_programme(Fraction(cure), Fraction(4), Fraction(low)), Fraction(low))
    assert all(late.earliest >= early.earliest for late, early in zip(cold, warm, strict=True))


def test_a_cure_less_than_nothing_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="a cure of -1 cannot be"):
        WORKINGS["wait before the flood test"].work(
            {"membrane.cure called for": Fraction(-1), "job.surface temperature while setting": Fraction(70)}
        )
