"""Membrane films, against published coverage figures and the definition of solids."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.film import MIL_FEET, coverage, film_from, gallons, wet_film


def test_a_gallon_covers_1604_square_feet_a_mil_deep() -> None:
    # coatings practice: 231 cubic inches
    assert float(MIL_FEET) == pytest.approx(1604.17, abs=0.005)


# coatings practice: 1604 over the wet film
@pytest.mark.parametrize(("wet", "feet"), [(25, 64), (30, 53), (40, 40), (50, 32), (60, 27)])
def test_coverage_is_1604_over_the_wet_film(wet: int, feet: int) -> None:
    assert round(coverage(Fraction(wet))) == feet


def test_65_percent_solids_at_5_mil_dry_cover_the_published_208_feet() -> None:
    # published coatings example: 208.52 square feet a gallon
    assert float(coverage(wet_film(Fraction(5), Fraction(65, 100)))) == pytest.approx(208.52, abs=0.03)


def test_a_published_example_with_loss_covers_167_feet() -> None:
    # published coatings example: 52 % solids, 30 % transfer, 1.5 mil: 167 square feet
    assert float(coverage(wet_film(Fraction(3, 2), Fraction(52, 100)), Fraction(70, 100))) == pytest.approx(
        166.8, abs=0.05
    )


def test_a_litre_at_65_percent_and_125_microns_covers_5_2_square_metres() -> None:
    # published coatings example, in metric: a litre is 1 square metre a millimetre deep
    wet = wet_film(Fraction(125, 1000) / Fraction(254, 10000), Fraction(65, 100))
    square_metres = coverage(wet) * Fraction(9290304, 100_000_000) / Fraction(3785411784, 1_000_000_000)
    assert float(square_metres) == pytest.approx(5.2, rel=1e-6)


def test_a_shower_takes_the_gallons_worked_by_hand() -> None:
    # 80 sq ft, 30 mil dry, 65 % solids: 46.15 mil wet, 23.08 in each of two coats, 2.302 gal, with a tenth lost 2.557
    assert float(gallons(Fraction(80), Fraction(30), Fraction(65, 100))) == pytest.approx(2.302, abs=5e-4)
    assert float(gallons(Fraction(80), Fraction(30), Fraction(65, 100), Fraction(1, 10))) == pytest.approx(
        2.557, abs=1e-3
    )
    each = WORKINGS["wet film of each coat"].work(
        {
            "membrane.dry film called for": Fraction(30),
            "membrane.solids": Fraction(65, 100),
            "membrane.coats": Fraction(2),
        }
    )
    assert float(each.value) == pytest.approx(23.08, abs=5e-3)


def test_a_film_is_thinner_dry_than_wet_by_its_solids() -> None:
    # trade article: 30 mil wet at 50 % is 15 mil dry
    done = WORKINGS["dry film"].work({"membrane.wet film thickness": Fraction(30), "membrane.solids": Fraction(1, 2)})
    assert done.value == 15
    assert done.line == "15 mil dry from 30 mil wet at 50 % solids"


@given(st.integers(1, 200), st.integers(1, 60), st.integers(1, 100), st.integers(0, 99))
def test_the_quantity_needed_makes_just_the_film_asked(area: int, dry: int, solid: int, loss: int) -> None:
    solid_part, lost_part = Fraction(solid, 100), Fraction(loss, 100)
    bought = gallons(Fraction(area), Fraction(dry), solid_part, lost_part)
    assert film_from(bought, Fraction(area), solid_part, lost_part) == dry


@given(st.integers(1, 100), st.integers(1, 6), st.integers(1, 100))
def test_adding_a_coat_never_thins_the_film(wet_each: int, coats: int, solid: int) -> None:
    def film(number: int) -> Fraction:
        facts = {"membrane.wet film thickness": Fraction(wet_each * number), "membrane.solids": Fraction(solid, 100)}
        return WORKINGS["dry film"].work(facts).value

    assert film(coats + 1) > film(coats)


@pytest.mark.parametrize(
    ("facts", "what", "accepted"),
    [
        ({"membrane.solids": Fraction(140, 100)}, "solids of 140 % cannot be", "over 0 % and up to 100 %"),
        ({"membrane.solids": Fraction(0)}, "solids of 0 % cannot be", "over 0 % and up to 100 %"),
        ({"membrane.loss": Fraction(1)}, "a loss of 100 % cannot be", "0 % and up, less than 100 %"),
        ({"place.area": Fraction(0)}, "an area of 0 cannot be", "more than nothing, such as 80 sq ft"),
    ],
)
def test_solids_losses_and_areas_that_cannot_be_are_refused(
    facts: dict[str, Fraction], what: str, accepted: str
) -> None:
    usual = {
        "place.area": Fraction(80), "membrane.dry film called for": Fraction(30), "membrane.solids": Fraction(65, 100),
        "membrane.loss": Fraction(0),
    }  # fmt: skip
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["membrane needed"].work({**usual, **facts})
    assert (refused.value.what, refused.value.accepted) == (what, accepted)
