"""A sum done for what is only partly known holds every answer that could be true, and says what would narrow it."""

from collections.abc import Mapping
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.workings import WORKINGS, Input, Step, Worked, Working, WorkingProblem
from validator.workings.intervals import from_steps, to_steps, work_over
from validator.workings.lumber import GRADES, SPECIES

INCH = 25_400_000
KINDS = {
    "framing.breadth": "length", "framing.depth": "length", "framing.species": "word", "framing.grade": "word", "framing.spacing": "length",
    "framing.span": "length", "framing.live load": "load", "framing.dead load": "load",
    "framing.live deflection": "deflection", "framing.total deflection": "deflection",
    "framing.greatest span": "length", "screw.length": "length", "board.thickness": "length",
    "screw.passes through": "length", "screw.penetration": "length", "framing.material": "word",
    "screw.shortest stock length": "length",
}  # fmt: skip


def whole_inches(least: int, greatest: int | None = None) -> tuple[int, int]:
    return least * INCH, (least if greatest is None else greatest) * INCH


FLOOR: dict[str, tuple[int, int] | tuple[str, ...]] = {
    "framing.breadth": (INCH * 3 // 2, INCH * 3 // 2),
    "framing.depth": (INCH * 37 // 4, INCH * 37 // 4),
    "place.wet framing": ("no",),
    "framing.species": ("spruce-pine-fir",),
    "framing.grade": ("no. 2",),
    "framing.spacing": whole_inches(16),
    "framing.span": whole_inches(156),
}


def test_an_exact_floor_is_worked_once_and_the_code_load_is_said_as_assumed() -> None:
    found = work_over(WORKINGS["joist live deflection"], FLOOR, KINDS)
    assert found.exact
    assert found.at_least is not None
    assert found.at_least.line == "L/630, from 2x10 at 16 in over 13 ft, spruce-pine-fir no. 2, 40 psf"
    assert found.greatest - found.least == 1
    assert found.narrows == ()
    assert found.assumed == (
        "framing kind taken as sawn lumber: a joist named by a nominal size is sawn",
        "framing cut or notched taken as no: nothing is written of a cut",
        "framing live load taken as 40 psf: the code's floor live load for rooms other than sleeping rooms, table R301.5",
        "framing plies taken as 1: nothing is written of a doubled joist",
        "framing notch depth taken as 0 in: nothing is written of a notch",
    )


def test_unknown_lumber_is_worked_from_the_strongest_to_the_weakest() -> None:
    open_floor = {**FLOOR, "framing.species": SPECIES, "framing.grade": GRADES}
    found = work_over(WORKINGS["joist live deflection"], open_floor, KINDS)
    assert found.at_least is not None
    assert found.at_greatest is not None
    assert "Douglas fir-larch select structural" in found.at_least.line
    assert "hem-fir no. 3" in found.at_greatest.line
    assert found.narrows == ("framing.species", "framing.grade")


def test_a_span_not_stated_leaves_the_deflection_open_and_says_so() -> None:
    stated = {name: value for name, value in FLOOR.items() if name != "framing.span"}
    found = work_over(WORKINGS["joist live deflection"], stated, KINDS)
    assert not found.known
    assert found.narrows == ("framing.span",)
    assert found.why_not == "joist live deflection: would need framing.span"


def test_a_span_with_only_a_greatest_end_bounds_the_deflection_on_that_side() -> None:
    found = work_over(WORKINGS["joist live deflection"], {**FLOOR, "framing.span": (NO_LEAST, 156 * INCH)}, KINDS)
    assert found.least == NO_LEAST
    assert found.at_greatest is not None
    assert found.at_greatest.line.startswith("L/630")


def test_a_dead_load_not_stated_leaves_no_least_span() -> None:
    found = work_over(WORKINGS["joist greatest span"], FLOOR, KINDS)
    assert found.least == NO_LEAST
    assert found.at_greatest is not None
    assert "0 psf dead" in found.at_greatest.line


def test_a_board_of_unknown_thickness_still_bounds_the_reach_of_a_screw() -> None:
    found = work_over(WORKINGS["fastener penetration"], {"screw.length": whole_inches(2)}, KINDS)
    assert (found.least, found.greatest) == (NO_LEAST, 2 * INCH)
    assert found.narrows == ("board.thickness",)


def test_too_many_ways_it_could_be_is_not_known() -> None:
    either = ("no", "yes")
    anything = {
        **FLOOR, "framing.species": SPECIES, "framing.grade": GRADES, "place.wet framing": either,
        "framing.kind": ("sawn lumber", "beam and plank"), "framing.span": whole_inches(150, 156),
    }  # fmt: skip
    found = work_over(WORKINGS["joist live deflection"], anything, KINDS)
    assert not found.known
    assert found.why_not == (
        "joist live deflection: too many ways it could be; narrow framing.kind or framing.species or framing.grade or place.wet framing or framing.span"
    )


def test_a_grade_not_sold_in_one_of_the_possible_species_is_left_out() -> None:
    mixed = {**FLOOR, "framing.species": ("hem-fir", "spruce-pine-fir"), "framing.grade": ("no. 1 and better",)}
    found = work_over(WORKINGS["joist live deflection"], mixed, KINDS)
    assert found.at_greatest is not None
    assert "hem-fir no. 1 and better" in found.at_greatest.line


def test_a_grade_not_sold_in_the_species_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="spruce-pine-fir is not sold as no. 1 and better"):
        work_over(WORKINGS["joist live deflection"], {**FLOOR, "framing.grade": ("no. 1 and better",)}, KINDS)


def test_a_joist_that_may_be_engineered_needs_its_makers_figure() -> None:
    found = work_over(WORKINGS["joist live deflection"], {**FLOOR, "framing.kind": ("sawn lumber", "I-joist")}, KINDS)
    assert not found.known
    assert found.why_not == (
        "joist live deflection: the strength of an engineered member (I-joist) is known only to its maker. "
        "Accepted: the deflection or the greatest span that the maker's table gives for it"
    )


def test_a_word_that_could_be_any_of_its_words_is_not_stated() -> None:
    every = ("no", "yes")
    found = work_over(WORKINGS["joist live deflection"], {**FLOOR, "framing.cut or notched": every}, KINDS)
    assert found == work_over(WORKINGS["joist live deflection"], FLOOR, KINDS)


def test_species_and_grade_left_out_are_every_species_and_grade() -> None:
    bare = {name: value for name, value in FLOOR.items() if name not in ("framing.species", "framing.grade")}
    found = work_over(WORKINGS["joist live deflection"], bare, KINDS)
    every = {**FLOOR, "framing.species": SPECIES, "framing.grade": GRADES}
    assert found == work_over(WORKINGS["joist live deflection"], every, KINDS)


def _bowl(facts: Mapping[str, Fraction | str]) -> Worked:
    value = abs(Fraction(facts["a.x"]) - 3) * Fraction(facts["a.y"])
    return Worked(value, (Step("|x - 3| x y", "", str(value)),), str(value))


BOWL = Working(
    "bowl", "a.answer", "in",
    (Input("a.x", "in", "turns at", turns_at=Fraction(3)), Input("a.y", "in", "either way")), _bowl,
)  # fmt: skip
BOWL_KINDS = {"a.x": "length", "a.y": "length", "a.answer": "length"}


def test_a_sum_that_turns_is_worked_at_its_turning_point_too() -> None:
    found = work_over(BOWL, {"a.x": whole_inches(1, 6), "a.y": whole_inches(2)}, BOWL_KINDS)
    assert (found.least, found.greatest) == (0, 6 * INCH)


def test_an_open_end_of_a_sum_that_may_move_either_way_opens_both_ends() -> None:
    found = work_over(BOWL, {"a.x": whole_inches(1, 6), "a.y": (2 * INCH, NO_GREATEST)}, BOWL_KINDS)
    assert (found.least, found.greatest) == (NO_LEAST, NO_GREATEST)


ends = st.tuples(st.integers(0, 10), st.integers(0, 10)).map(sorted)


@given(ends, ends, st.fractions(0, 1), st.fractions(0, 1))
def test_the_answer_of_a_range_holds_every_point_tried_inside_it(
    x: list[int], y: list[int], along_x: Fraction, along_y: Fraction
) -> None:
    found = work_over(BOWL, {"a.x": whole_inches(*x), "a.y": whole_inches(*y)}, BOWL_KINDS)
    point = {"a.x": x[0] + (x[1] - x[0]) * along_x, "a.y": y[0] + (y[1] - y[0]) * along_y}
    assert found.least <= _bowl(point).value * INCH <= found.greatest


@given(ends, ends, st.fractions(0, 1), st.fractions(0, 1), st.sampled_from(SPECIES), st.sampled_from(GRADES))
def test_a_floor_partly_known_holds_every_floor_it_could_be(
    span: list[int], spacing: list[int], along: Fraction, across: Fraction, species: str, grade: str
) -> None:
    partly = {
        **FLOOR, "framing.species": SPECIES, "framing.grade": GRADES,
        "framing.span": whole_inches(100 + span[0], 100 + span[1]),
        "framing.spacing": whole_inches(12 + spacing[0], 12 + spacing[1]),
    }  # fmt: skip
    working = WORKINGS["joist live deflection"]
    found = work_over(working, partly, KINDS)
    floor = {
        "framing.breadth": Fraction(3, 2), "framing.depth": Fraction(37, 4), "framing.species": species, "framing.grade": grade,
        "framing.material": "wood", "slab.kind": "topping", "framing.sister": "none", "framing.wet in service": "no",
        "place.wet framing": "no",
        "framing.span": 100 + span[0] + (span[1] - span[0]) * along,
        "framing.spacing": 12 + spacing[0] + (spacing[1] - spacing[0]) * across,
        "framing.kind": "sawn lumber", "framing.cut or notched": "no",
        "framing.live load": Fraction(40), "framing.plies": Fraction(1), "framing.notch depth": Fraction(0),
    }  # fmt: skip
    assert found.least <= to_steps(working.work(floor).value, "deflection", "of span") <= found.greatest


@given(
    st.integers(1, 10**10),
    st.sampled_from([("length", "in"), ("length", "mm"), ("load", "psf"), ("temperature", "°F")]),
)
def test_steps_to_a_unit_and_back_are_the_same_steps(steps: int, measure: tuple[str, str]) -> None:
    assert to_steps(from_steps(steps, *measure), *measure) == steps


def read(text: str, kind: str) -> tuple[int, int]:
    amount = amounts.read(text, kind)
    return amount.least, amount.greatest


@pytest.mark.parametrize(
    ("span", "spacing"),
    [("13 ft", "16 in"), ("156 in", "1 ft 4 in"), ("3962.4 mm", "406.4 mm"), ("3.9624 m", "40.64 cm")],
)
def test_metric_and_inches_give_the_same_answer_exactly(span: str, spacing: str) -> None:
    written = {**FLOOR, "framing.span": read(span, "length"), "framing.spacing": read(spacing, "length")}
    working = WORKINGS["joist live deflection"]
    assert work_over(working, written, KINDS) == work_over(working, FLOOR, KINDS)
