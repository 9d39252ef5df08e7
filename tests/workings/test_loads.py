"""Weights of floors and of water, against published loads."""

from fractions import Fraction

import pytest

from validator.language import amounts
from validator.workings import WORKINGS, WorkingProblem
from validator.workings.loads import WATER_PER_INCH, build_up, tile_weight


def test_water_weighs_what_the_flood_test_standard_says() -> None:
    # ASTM D5957 note 1: 62.3 lb per cubic foot, 5.19 psf for each inch
    assert Fraction(519, 100) == WATER_PER_INCH
    assert float(WATER_PER_INCH) == pytest.approx(62.3 / 12, rel=1e-3)


@pytest.mark.parametrize(("depth", "load"), [(2, 10.4), (4, 20.8)])
def test_a_flood_test_loads_the_floor_by_its_depth(depth: int, load: float) -> None:
    done = WORKINGS["flood load"].work({"flood test.depth at drain": Fraction(depth)})
    assert float(done.value) == pytest.approx(load, abs=0.05)


def test_two_inches_in_a_three_by_five_pan_weigh_156_lb() -> None:
    # 36 x 60 in at 2 in is 2.5 cubic feet, 18.7 gal, 155.8 lb
    area = Fraction(36 * 60, 144)
    load = WORKINGS["flood load"].work({"flood test.depth at drain": Fraction(2)}).value
    assert float(load * area) == pytest.approx(155.8, abs=0.15)


def test_the_drain_is_deeper_by_the_fall() -> None:
    # 1/4 in per ft over 36 in is 3/4 in more
    done = WORKINGS["flood depth at drain"].work(
        {"flood test.depth": Fraction(2), "drain.longest run": Fraction(36), "place.fall": Fraction(1, 48)}
    )
    assert done.value == Fraction(11, 4)
    assert done.line == "2-3/4 in of water at the drain, 2 in at the threshold"


def test_a_published_load_in_kilonewtons_is_23_psf() -> None:
    # ASCE 7-16 table C3.1-1, 3/4 in tile on a 1 in bed: 1.10 kN/m2, printed 23 psf
    assert float(amounts.exact("1.10 kN/m2", "load")) / 1e6 == pytest.approx(22.97, abs=0.005)


def test_tile_on_a_one_inch_bed_is_near_the_published_load() -> None:
    # the same table, 23 psf for 3/4 in tile on 1 in of bed; ours from separate densities is within a tenth of it
    bed, _ = build_up((("bed", Fraction(1), Fraction(12)),))
    assert float(bed + tile_weight(Fraction(3, 4), Fraction(150))) == pytest.approx(23.0, rel=0.1)


def test_tile_weighs_its_thickness_times_its_density() -> None:
    done = WORKINGS["tile weight"].work({"tile.thickness": Fraction(3, 8), "tile.body": "porcelain"})
    assert float(done.value) == pytest.approx(4.69, abs=0.005)


FLOOR: dict[str, Fraction | str] = {
    "framing.material": "wood", "framing.plies": Fraction(1), "framing.breadth": Fraction(3, 2), "framing.depth": Fraction(37, 4),
    "framing.spacing": Fraction(16), "tile.weight": Fraction(47, 10), "mortar bed.total thickness": Fraction(0),
    "tile mortar.bed thickness": Fraction(1, 4), "self-leveling underlayment.total thickness": Fraction(0),
    "slab.total thickness": Fraction(0), "place.subfloor thickness": Fraction(3, 4), "board.total load": Fraction(0),
    "pre-slope.total load": Fraction(0), "existing finish.total load": Fraction(0), "membrane": "none",
    "isolation membrane": "none", "liner": "none", "foam pan": "none", "heat": "none",
}  # fmt: skip


# 10 bare, 1-1/2 in of bed 18, 1/4 in of mortar 3, tile 4.7; a pour of 1-1/2 in at 120 lb per cubic foot, 15
@pytest.mark.parametrize(
    ("bed", "pour", "total", "sum_"),
    [("3/2", "0", "35.7", "10 + 18 + 3 + 0 + 0 + 0 + 4.7 = 35.7 psf"), ("0", "3/2", "32.7", "10 + 0 + 3 + 15 + 0 + 0 + 4.7 = 32.7 psf")],
)
def test_a_floor_is_added_up_layer_by_layer(bed: str, pour: str, total: str, sum_: str) -> None:
    done = WORKINGS["floor dead load"].work(
        {**FLOOR, "mortar bed.total thickness": Fraction(bed), "self-leveling underlayment.total thickness": Fraction(pour)}
    )
    assert done.value == Fraction(total)
    assert str(done.steps[-1]) == f"dead load = bare floor + layers + tile = {sum_}"


@pytest.mark.parametrize(
    ("name", "facts", "what"),
    [
        ("flood load", {"flood test.depth at drain": Fraction(-1)}, "a depth of water of -1 cannot be"),
        ("tile weight", {"tile.thickness": Fraction(1), "tile.body": "cheese"}, "no weight is kept for tile of cheese"),
    ],
)
def test_a_weight_that_cannot_be_is_refused(name: str, facts: dict[str, Fraction | str], what: str) -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS[name].work(facts)
    assert refused.value.what == what


# What each written layer adds to the bare 17.7 psf, by hand: boards and old floors by their own sums, films 1 psf, a second
# 2x10 at 16 in 2.53 psf (1.5 x 9.25 / 144 x 35 lb / 1.333 ft), a half inch of panel past the first 1.6, an inch of concrete 12.
@pytest.mark.parametrize(
    ("fact", "written", "adds"),
    [
        ("board.total load", Fraction("4.5"), "4.5"), ("existing finish.total load", Fraction(6), "6"), ("pre-slope.total load", Fraction(8), "8"),
        ("membrane", "there", "1"), ("isolation membrane", "there", "1"), ("liner", "there", "1"), ("foam pan", "there", "2.5"),
        ("heat", "there", "3"), ("place.subfloor thickness", Fraction("1.25"), "1.6"), ("slab.total thickness", Fraction(1), "12"),
        ("framing.plies", Fraction(2), "2.529"),
    ],
)  # fmt: skip
def test_every_written_layer_adds_to_the_dead_load(fact: str, written: Fraction | str, adds: str) -> None:
    bare, more = (WORKINGS["floor dead load"].work({**FLOOR, **change}).value for change in ({}, {fact: written}))
    assert float(more - bare) == pytest.approx(float(adds), abs=1e-3)


# minimum design loads, table C3-1: gypsum board 0.55 psf and plywood 0.4 psf for each 1/8 in, hardwood floor 7/8 in 4 psf
@pytest.mark.parametrize(
    ("material", "thickness", "load"), [("plain gypsum", "1/2", 2.2), ("plywood", "1/2", 1.6), ("cement", "1/2", 3.0), ("fiber cement", "1/4", 1.875)]
)
def test_a_board_weighs_what_the_table_of_loads_says_and_the_mortar_under_it(material: str, thickness: str, load: float) -> None:
    done = WORKINGS["board on a floor"].work({"board.material": material, "board.thickness": Fraction(thickness)})
    assert float(done.value) == pytest.approx(load + 1.5, abs=0.01)


def test_an_old_floor_weighs_what_lies_there() -> None:
    work = WORKINGS["old finish on a floor"].work
    plank = work({"existing finish.material": "wood plank", "existing finish.thickness": Fraction(7, 8), "existing finish.lies over": "wood"})
    assert float(plank.value) == pytest.approx(4.0, abs=0.05)  # the same table: 7/8 in of hardwood, 4 psf
    tile = {"existing finish.material": "ceramic tile", "existing finish.thickness": Fraction(0), "existing finish.lies over": "wood"}
    assert work({**tile, "existing finish.lies over": "mortar bed"}).value - work(tile).value == 15  # 1-1/4 in of bed


def test_a_slope_under_a_liner_weighs_as_the_bed_it_is() -> None:
    # a 66 in run at 1/4 in per ft rises 1.375 in; two thirds of it on average, 0.917 in, and 11.25 psf at 12 psf an inch
    mean = WORKINGS["mean of a slope under a liner"].work({"drain.longest run": Fraction(66), "pre-slope.fall": Fraction(1, 48)})
    assert mean.value == Fraction(15, 16)
    load = WORKINGS["slope under a liner"].work({"pre-slope.mean thickness": mean.value, "pre-slope.material": "mortar"})
    assert load.value == Fraction(45, 4)
