"""Joists against published span tables, beam theory and what anyone knows of wood."""

import csv
from fractions import Fraction
from math import floor
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sympy import Rational, symbols
from sympy.physics.continuum_mechanics.beam import Beam

from validator.workings import WorkingProblem
from validator.workings.floor_framing import LIVE_DEFLECTION, TOTAL_DEFLECTION
from validator.workings.joists import Joist, allowed_stress, bending_stress, deflection, sag, spans
from validator.workings.lumber import GRADES, SIZES, SPECIES, depth, design_values

CELLS = list(csv.DictReader((Path(__file__).parent / "published" / "joist_spans.csv").open(encoding="utf-8")))


def printed(span: str) -> int:
    feet, inches = span.split("-")
    return 12 * int(feet) + int(inches)


HEM_FIR = Joist("hem-fir", "no. 2", "2x8", 16)


def span_as_printed(joist: Joist, *loads: object) -> int:
    """The span as the published tables print it: to the nearest inch, a half going up."""
    return floor(min(spans(joist, *loads)) + Fraction(1, 2))


def worked(cell: dict[str, str]) -> int:
    joist = Joist(cell["species"], cell["grade"], cell["size"], cell["spacing in"], cell["design values"])
    return span_as_printed(joist, cell["live psf"], cell["dead psf"], cell["limit"])


def named(cell: dict[str, str]) -> str:
    return f"{cell['species']} {cell['grade']} {cell['size']} at {cell['spacing in']}, {cell['source table']}"


@pytest.mark.parametrize("cell", [cell for cell in CELLS if not cell["mark"]], ids=named)
def test_a_published_span_is_met_to_the_inch(cell: dict[str, str]) -> None:
    assert worked(cell) == printed(cell["span"])


@pytest.mark.parametrize("cell", [cell for cell in CELLS if cell["mark"]], ids=named)
def test_a_span_on_a_half_inch_or_low_in_an_old_chart_is_met_within_an_inch(cell: dict[str, str]) -> None:
    assert abs(worked(cell) - printed(cell["span"])) <= 1


def test_the_published_cells_are_all_tried() -> None:
    assert (len(CELLS), sum(not cell["mark"] for cell in CELLS)) == (225, 221)


# IRC tables R502.3.1(1) and (2), read on pages that quote them
@pytest.mark.parametrize(
    ("species", "grade", "size", "spacing", "live", "dead", "span"),
    [
        ("spruce-pine-fir", "no. 2", "2x6", 12, 40, 10, "10-3"),
        ("spruce-pine-fir", "no. 2", "2x8", 12, 40, 10, "13-6"),
        ("spruce-pine-fir", "no. 2", "2x10", 12, 40, 10, "17-3"),
        ("spruce-pine-fir", "no. 2", "2x12", 12, 40, 10, "20-7"),
        ("spruce-pine-fir", "no. 2", "2x6", 16, 40, 10, "9-4"),
        ("spruce-pine-fir", "no. 2", "2x8", 16, 40, 10, "12-3"),
        ("spruce-pine-fir", "no. 2", "2x10", 16, 40, 10, "15-5"),
        ("spruce-pine-fir", "no. 2", "2x12", 16, 40, 10, "17-10"),
        ("spruce-pine-fir", "no. 2", "2x8", "19.2", 40, 10, "11-6"),
        ("spruce-pine-fir", "no. 2", "2x10", 19.2, 40, 10, "14-1"),
        ("spruce-pine-fir", "no. 2", "2x8", 24, 40, 10, "10-3"),
        ("spruce-pine-fir", "no. 2", "2x10", 24, 40, 10, "12-7"),
        ("spruce-pine-fir", "no. 2", "2x12", 24, 40, 10, "14-7"),
        ("spruce-pine-fir", "no. 2", "2x6", 16, 40, 20, "9-1"),
        ("spruce-pine-fir", "no. 2", "2x8", 16, 40, 20, "11-6"),
        ("spruce-pine-fir", "no. 2", "2x10", 16, 40, 20, "14-1"),
        ("spruce-pine-fir", "no. 2", "2x12", 16, 40, 20, "16-3"),
        ("spruce-pine-fir", "no. 2", "2x10", 12, 40, 20, "16-3"),
        ("spruce-pine-fir", "no. 2", "2x10", 24, 40, 20, "11-6"),
        ("spruce-pine-fir", "select structural", "2x10", 16, 40, 10, "16-0"),
        ("spruce-pine-fir", "select structural", "2x12", 16, 40, 20, "19-6"),
        ("spruce-pine-fir", "select structural", "2x10", 24, 40, 20, "13-8"),
        ("spruce-pine-fir", "no. 3", "2x10", 16, 40, 10, "11-8"),
        ("spruce-pine-fir", "no. 3", "2x8", 24, 40, 10, "7-9"),
        ("Douglas fir-larch", "no. 2", "2x6", 16, 40, 10, "9-9"),
        ("Douglas fir-larch", "no. 2", "2x8", 16, 40, 10, "12-9"),
        ("Douglas fir-larch", "no. 2", "2x10", 16, 40, 10, "15-7"),
        ("Douglas fir-larch", "no. 2", "2x12", 16, 40, 10, "18-1"),
        ("southern pine", "no. 2", "2x10", 16, 40, 10, "14-0"),
        ("southern pine", "no. 2", "2x10", 16, 30, 10, "15-8"),
        ("hem-fir", "no. 2", "2x8", 16, 40, 10, "12-0"),
        ("hem-fir", "no. 2", "2x10", 16, 40, 10, "15-2"),
        ("hem-fir", "no. 2", "2x12", 16, 40, 10, "17-7"),
        ("hem-fir", "no. 2", "2x10", 24, 40, 10, "12-5"),
        ("hem-fir", "no. 2", "2x8", 12, 30, 10, "14-6"),
        ("hem-fir", "no. 2", "2x12", 16, 30, 10, "19-8"),
        ("spruce-pine-fir", "no. 2", "2x10", 12, 30, 10, "19-0"),
        ("spruce-pine-fir", "no. 2", "2x12", 12, 30, 10, "23-0"),
    ],
)
def test_the_forty_spans_often_quoted_are_met(
    species: str, grade: str, size: str, spacing: int | float | str, live: int, dead: int, span: str
) -> None:
    assert span_as_printed(Joist(species, grade, size, spacing), live, dead) == printed(span)


@pytest.mark.parametrize(("species", "span"), [("Douglas fir-larch", "15-5"), ("southern pine", "16-1")])
def test_the_two_of_the_forty_from_the_2012_tables_need_the_2012_values(species: str, span: str) -> None:
    assert span_as_printed(Joist(species, "no. 2", "2x10", 16, "2012"), 40, 10) == printed(span)
    assert span_as_printed(Joist(species, "no. 2", "2x10", 16), 40, 10) != printed(span)


def test_a_worked_joist_gives_the_sag_and_stress_that_were_worked_by_hand() -> None:
    spf = Joist("spruce-pine-fir", "no. 2", "2x10", 16)
    assert float(sag(spf, 156, 40)) == pytest.approx(0.2475, abs=5e-5)
    assert int(1 / deflection(spf, 156, 40)) == 630
    assert int(1 / deflection(spf, 156, 50)) == 504
    assert int(1 / deflection(spf, 156, 60)) == 420
    assert float(bending_stress(spf, 156, 60)) == pytest.approx(948.1, rel=1e-3)
    assert float(allowed_stress(spf)) == pytest.approx(1106.9, rel=1e-3)


# bending under the total load with live deflection at L/360, worked by hand for one joist at seven dead loads
@pytest.mark.parametrize(
    ("dead", "code", "ceramic", "stone"),
    [(10, "15-5", "14-7", "11-7"), (15, "14-8", "14-1", "11-2"), (20, "14-1", "13-8", "10-10"),
     (23, "13-8", "13-6", "10-8"), (25, "13-6", "13-4", "10-7"), (30, "13-0", "13-0", "10-4"),
     (31, "12-11", "12-11", "10-3")],
)  # fmt: skip
def test_a_heavier_floor_shortens_the_span_as_worked_by_hand(dead: int, code: str, ceramic: str, stone: str) -> None:
    joist = Joist("spruce-pine-fir", "no. 2", "2x10", 16)
    assert span_as_printed(joist, 40, dead) == printed(code)
    # total deflection at L/360 or L/720: the whole load counted as live
    assert min(span_as_printed(joist, 40 + dead, 0), printed(code)) == printed(ceramic)
    assert min(span_as_printed(joist, 40 + dead, 0, 720), printed(code)) == printed(stone)


def test_deflection_agrees_with_the_beam_solved_from_first_principles() -> None:
    stiff, second = 1_400_000, Fraction(3, 2) * Fraction(37, 4) ** 3 / 12
    line, span = Rational(40 * 16, 144), 156
    beam = Beam(span, stiff, Rational(second.numerator, second.denominator))
    left, right = symbols("left right")
    beam.apply_load(left, 0, -1)
    beam.apply_load(right, span, -1)
    beam.apply_load(line, 0, 0, end=span)
    beam.bc_deflection = [(0, 0), (span, 0)]
    beam.solve_for_reaction_loads(left, right)
    middle = beam.deflection().subs(beam.variable, span // 2)
    assert sag(Joist("spruce-pine-fir", "no. 2", "2x10", 16), span, 40) == Fraction(int(middle.p), int(middle.q))


def test_a_doubled_joist_gives_half_as_much() -> None:
    one = sag(HEM_FIR, 150, 40)
    assert sag(HEM_FIR._replace(plies=2), 150, 40) == one / 2


def test_a_notched_joist_gives_more_and_says_what_is_assumed() -> None:
    whole = sag(HEM_FIR, 150, 40)
    assert sag(HEM_FIR._replace(notch=1), 150, 40) > whole
    notched = LIVE_DEFLECTION.work({**JOIST, "framing.notch depth": Fraction(1)})
    assert "the depth left at the notch is taken over the whole length, so the truth is stiffer" in notched.assumed


JOIST: dict[str, Fraction | str] = {
    "framing.kind": "sawn lumber",
    "framing.cut or notched": "no",
    "framing.joist": "2x8",
    "framing.species": "spruce-pine-fir",
    "framing.grade": "no. 2",
    "framing.spacing": Fraction(16),
    "framing.span": Fraction(150),
    "framing.live load": Fraction(40),
    "framing.dead load": Fraction(10),
    "framing.plies": Fraction(1),
    "framing.notch depth": Fraction(0),
}


def test_the_line_reads_as_an_engineer_says_it() -> None:
    done = LIVE_DEFLECTION.work(JOIST)
    assert done.line == "L/341, from 2x8 at 16 in over 12 ft 6 in, spruce-pine-fir no. 2, 40 psf"
    assert [str(step) for step in done.steps] == [
        "I = b x d^3 / 12 = 1.5 x 7.25^3 / 12 = 47.6348 in4",
        "w = live load x spacing / 144 = 40 x 16 / 144 = 4.44444 lb/in",
        "sag = 5 x w x span^4 / (384 x E x I) = 5 x 4.44444 x 150^4 / (384 x 1400000 x 47.6348) = 0.439308 in",
        "deflection = sag / span = 0.439308 / 150 = L/341.446",
    ]


@pytest.mark.parametrize(
    ("change", "what", "accepted"),
    [
        ({"framing.span": Fraction(0)}, "a span of 0 cannot be", "more than nothing, such as 13 ft 6 in"),
        ({"framing.span": Fraction(-12)}, "a span of -12 cannot be", "more than nothing, such as 13 ft 6 in"),
        ({"framing.joist": "2x9"}, "no joist is sawn as 2x9", "2x4, 2x6, 2x8, 2x10, 2x12"),
        (
            {"framing.grade": "no. 1 and better"},
            "spruce-pine-fir is not sold as no. 1 and better",
            "select structural, no. 1, no. 2, no. 3",
        ),
        (
            {"framing.species": "balsa"},
            "no design values are kept for the species balsa",
            "Douglas fir-larch, hem-fir, spruce-pine-fir, southern pine",
        ),
        (
            {"framing.kind": "I-joist"},
            "the strength of an engineered member (I-joist) is known only to its maker",
            "the deflection or the greatest span that the maker's table gives for it",
        ),
        (
            {"framing.cut or notched": "yes"},
            "a joist that is cut is worked only when the depth of the cut is known",
            "how deep the notch is, or an engineer's figure",
        ),
        (
            {"framing.notch depth": Fraction(8)},
            "a notch of 8 in leaves nothing of a 2x8",
            "a notch less than the depth",
        ),
        ({"framing.plies": Fraction(0)}, "0 plies cannot be", "a whole number, 1 or more"),
        (
            {"framing.live load": Fraction(0)},
            "a live load of 0 cannot be",
            "more than nothing, such as 16 in or 40 psf",
        ),
    ],
)
def test_a_joist_that_cannot_be_is_refused_with_what_would_do(
    change: dict[str, Fraction | str], what: str, accepted: str
) -> None:
    with pytest.raises(WorkingProblem) as refused:
        TOTAL_DEFLECTION.work({**JOIST, **change})
    assert (refused.value.what, refused.value.accepted) == (what, accepted)


def test_short_names_for_species_and_grade_mean_the_same() -> None:
    assert span_as_printed(Joist("SPF", "#2", "2x10", 16), 40, 10, "L/360") == printed("15-5")


species, grades, sizes = st.sampled_from(SPECIES), st.sampled_from(GRADES), st.sampled_from(SIZES)
spacings, loads = st.sampled_from([12, 16, "19.2", 24]), st.integers(10, 100)


@given(species, grades, species, grades, sizes, spacings, loads, st.integers(60, 260))
def test_stiffer_wood_never_gives_more(
    one: str, one_grade: str, other: str, other_grade: str, size: str, spacing: int | str, load: int, span: int
) -> None:
    first, second = design_values(one, one_grade, size), design_values(other, other_grade, size)
    joists = Joist(one, one_grade, size, spacing), Joist(other, other_grade, size, spacing)
    sags = [sag(joist, span, load) for joist in joists]
    assert (sags[0] <= sags[1]) == (first.stiffness >= second.stiffness)


@given(species, grades, sizes, spacings, loads, st.integers(60, 260), st.integers(1, 60))
def test_a_longer_span_never_gives_less(
    wood: str, grade: str, size: str, spacing: int | str, load: int, span: int, more: int
) -> None:
    joist = Joist(wood, grade, size, spacing)
    assert deflection(joist, span + more, load) > deflection(joist, span, load)


@given(species, grades, sizes, spacings, loads, st.integers(0, 40))
def test_the_greatest_span_is_within_its_limits_and_an_inch_more_is_not(
    wood: str, grade: str, size: str, spacing: int | str, live: int, dead: int
) -> None:
    joist = Joist(wood, grade, size, spacing)
    span, strength = min(spans(joist, live, dead)), allowed_stress(joist)

    def holds(length: Fraction) -> bool:
        straight = deflection(joist, length, live) <= Fraction(1, 360)
        return straight and bending_stress(joist, length, live + dead) <= strength

    assert holds(span)
    assert not holds(span + 1)


@given(species, grades, sizes, loads, st.integers(0, 30), st.integers(0, 10))
def test_equal_total_load_gives_equal_bending(
    wood: str, grade: str, size: str, live: int, dead: int, moved: int
) -> None:
    joist = Joist(wood, grade, size, 16)
    assert bending_stress(joist, 150, live + dead) == bending_stress(joist, 150, (live - moved) + (dead + moved))


def test_a_published_depth_is_the_dressed_depth() -> None:
    # NDS supplement table 1B
    assert [float(depth(size)) for size in SIZES] == [3.5, 5.5, 7.25, 9.25, 11.25]
