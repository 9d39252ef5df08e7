"""Vapour, against printed ASHRAE values and another reader of the same equations."""

from fractions import Fraction

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.language import amounts
from validator.workings import WORKINGS, WorkingProblem
from validator.workings.vapour import flow, pressure, saturation

psychrolib.SetUnitSystem(psychrolib.IP)
STEAM: dict[str, Fraction | str] = {
    "membrane.permeance": Fraction(1, 2),
    "steam.air temperature": Fraction(110),
    "steam.air humidity": Fraction(1),
    "steam.far side temperature": Fraction(75),
    "steam.far side humidity": Fraction(1, 2),
}


# ASHRAE Fundamentals 2017 chapter 1 table 3, psia, to 300 parts in a million
@pytest.mark.parametrize(
    ("fahrenheit", "psia"),
    [(23, 0.058268), (41, 0.12656), (77, 0.45973), (122, 1.79140), (212, 14.7094), (300, 67.0206)],
)
def test_saturation_is_that_of_the_printed_table(fahrenheit: int, psia: float) -> None:
    assert float(saturation(Fraction(fahrenheit))) == pytest.approx(psia, rel=3e-4)


@given(st.integers(-140, 390))
def test_saturation_is_that_of_another_reader_of_the_equations(fahrenheit: int) -> None:
    # psychrolib takes the triple point 32.018 F as the turn from ice to water, this the printed 32 F
    assert float(saturation(Fraction(fahrenheit))) == pytest.approx(
        psychrolib.GetSatVapPres(fahrenheit), rel=1e-4, abs=1e-8
    )


@given(st.integers(-140, 380), st.integers(1, 10))
def test_warmer_air_holds_more(fahrenheit: int, more: int) -> None:
    assert saturation(Fraction(fahrenheit + more)) > saturation(Fraction(fahrenheit))


def test_a_steam_room_pushes_as_worked_by_hand() -> None:
    # 110 F full and 75 F half: 2.5988, 0.4378 and 2.161 inHg
    inside, outside = pressure(Fraction(110), Fraction(1)), pressure(Fraction(75), Fraction(1, 2))
    assert float(inside) == pytest.approx(2.5988, abs=2e-4)
    assert float(outside) == pytest.approx(0.4378, abs=1e-4)
    assert float(flow(Fraction(1, 2), inside - outside)) == pytest.approx(1.0805, rel=1e-3)


@pytest.mark.parametrize(
    ("perms", "warm", "grains"), [("1/10", 110, 0.216), ("1", 110, 2.161), ("5", 110, 10.81), ("1/2", 120, 1.506)]
)
def test_the_flow_is_as_worked_by_hand(perms: str, warm: int, grains: float) -> None:
    done = WORKINGS["vapour flow"].work(
        {**STEAM, "membrane.permeance": Fraction(perms), "steam.air temperature": Fraction(warm)}
    )
    # a pound is 7000 grains: lb for each 1000 square feet and day to grains for each hour and square foot
    assert float(done.value * 7000 / 24000) == pytest.approx(grains, rel=1e-3)


def test_half_a_perm_lets_by_a_third_of_a_pound_a_day_over_a_hundred_feet() -> None:
    # 0.3705 lb a day and 100 sq ft by hand
    assert float(WORKINGS["vapour flow"].work(STEAM).value / 10) == pytest.approx(0.3705, rel=1e-3)


def test_the_metric_sum_gives_the_same_flow() -> None:
    # 18.09 g/(m2 day): perm in ng/(s m2 Pa) x Pa x 86400 s
    drive = float(saturation(Fraction(110)) - saturation(Fraction(75)) / 2) * 6894.757
    metric = 0.5 * 57.2135e-12 * drive * 86400 * 1000
    done = float(WORKINGS["vapour flow"].work(STEAM).value)
    assert done * 453.59237 / 92.90304 == pytest.approx(metric, rel=1e-4)
    assert metric == pytest.approx(18.09, abs=0.02)


def test_a_perm_is_57_2135_metric() -> None:
    assert float(amounts.exact("57.2135 ng/(s m2 Pa)", "permeance")) == pytest.approx(1e6, rel=1e-9)


def test_a_tight_layer_behind_a_looser_membrane_traps_water() -> None:
    trapped = WORKINGS["humidity between retarders"].work({**STEAM, "vapour retarder.permeance": Fraction(1, 10)})
    dry = WORKINGS["humidity between retarders"].work({**STEAM, "vapour retarder.permeance": Fraction(20)})
    assert trapped.value > 1 > dry.value
    assert "water gathers" in trapped.line


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"steam.air humidity": Fraction(6, 5)}, "a humidity of 120 % cannot be"),
        ({"steam.air temperature": Fraction(500)}, "500 F is outside the formula"),
        ({"membrane.permeance": Fraction(-1)}, "a permeance of -1 cannot be"),
    ],
)
def test_air_and_membranes_that_cannot_be_are_refused(change: dict[str, Fraction | str], what: str) -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["vapour flow"].work({**STEAM, **change})
    assert refused.value.what == what
