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

from validator.workings import WORKINGS, WorkingProblem, joists
from validator.workings.floor_framing import BENDING, GREATEST_SPAN, LIVE_DEFLECTION
from validator.workings.joists import Joist, sawn
from validator.workings.lumber import GRADES, JOISTS, SPECIES, design_values, true_size

CELLS = list(csv.DictReader((Path(__file__).parent / "published" / "joist_spans.csv").open(encoding="utf-8")))


def sag(*stamp: object, **more: object) -> Fraction:
    species, grade, size, *loaded = stamp
    return joists.sag(sawn(species, grade, size, **more), *loaded)


def deflection(species: str, grade: str, size: str, *loaded: object) -> Fraction:
    return joists.deflection(sawn(species, grade, size), *loaded)


def spans(species: str, grade: str, size: str, *loaded: object, edition: str = "current") -> tuple[Fraction, Fraction]:
    return joists.spans(sawn(species, grade, size, edition=edition), *loaded)


def bending_stress(size: str, *loaded: object) -> Fraction:
    return joists.bending_stress(sawn("hem-fir", "no. 2", size), *loaded)


def allowed_stress(*stamp: object) -> Fraction:
    return joists.allowed_stress(sawn(*stamp))


def printed(span: str) -> int:
    feet, inches = span.split("-")
    return 12 * int(feet) + int(inches)


def span_as_printed(*joist: object, **more: object) -> int:
    """The span as the published tables print it: to the nearest inch, a half going up."""
    return floor(min(spans(*joist, **more)) + Fraction(1, 2))


def worked(cell: dict[str, str]) -> int:
    return span_as_printed(
        cell["species"], cell["grade"], cell["size"], cell["spacing in"], cell["live psf"], cell["dead psf"],
        cell["limit"], edition=cell["design values"],
    )  # fmt: skip


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
    assert span_as_printed(species, grade, size, spacing, live, dead) == printed(span)


@pytest.mark.parametrize(("species", "span"), [("Douglas fir-larch", "15-5"), ("southern pine", "16-1")])
def test_the_two_of_the_forty_from_the_2012_tables_need_the_2012_values(species: str, span: str) -> None:
    assert span_as_printed(species, "no. 2", "2x10", 16, 40, 10, edition="2012") == printed(span)
    assert span_as_printed(species, "no. 2", "2x10", 16, 40, 10) != printed(span)


def test_a_worked_joist_gives_the_sag_and_stress_that_were_worked_by_hand() -> None:
    spf = ("spruce-pine-fir", "no. 2", "2x10", 16, 156)
    assert float(sag(*spf, 40)) == pytest.approx(0.2475, abs=5e-5)
    assert int(1 / deflection(*spf, 40)) == 630
    assert int(1 / deflection(*spf, 50)) == 504
    assert int(1 / deflection(*spf, 60)) == 420
    assert float(bending_stress("2x10", 16, 156, 60)) == pytest.approx(948.1, rel=1e-3)
    assert float(allowed_stress("spruce-pine-fir", "no. 2", "2x10")) == pytest.approx(1106.9, rel=1e-3)


# bending under the total load with live deflection at L/360, worked by hand for one joist at seven dead loads
@pytest.mark.parametrize(
    ("dead", "code", "ceramic", "stone"),
    [(10, "15-5", "14-7", "11-7"), (15, "14-8", "14-1", "11-2"), (20, "14-1", "13-8", "10-10"),
     (23, "13-8", "13-6", "10-8"), (25, "13-6", "13-4", "10-7"), (30, "13-0", "13-0", "10-4"),
     (31, "12-11", "12-11", "10-3")],
)  # fmt: skip
def test_a_heavier_floor_shortens_the_span_as_worked_by_hand(dead: int, code: str, ceramic: str, stone: str) -> None:
    joist = ("spruce-pine-fir", "no. 2", "2x10", 16)
    assert span_as_printed(*joist, 40, dead) == printed(code)
    # total deflection at L/360 or L/720: the whole load counted as live
    assert min(span_as_printed(*joist, 40 + dead, 0), printed(code)) == printed(ceramic)
    assert min(span_as_printed(*joist, 40 + dead, 0, 720), printed(code)) == printed(stone)


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
    assert sag("spruce-pine-fir", "no. 2", "2x10", 16, span, 40) == Fraction(int(middle.p), int(middle.q))


def test_a_doubled_joist_gives_half_as_much() -> None:
    one = sag("hem-fir", "no. 2", "2x8", 16, 150, 40)
    assert sag("hem-fir", "no. 2", "2x8", 16, 150, 40, plies=2) == one / 2


def test_a_notched_joist_gives_more_and_says_what_is_assumed() -> None:
    whole = sag("hem-fir", "no. 2", "2x8", 16, 150, 40)
    assert sag("hem-fir", "no. 2", "2x8", 16, 150, 40, notch=1) > whole
    notched = LIVE_DEFLECTION.work({**JOIST, "framing.notch depth": Fraction(1)})
    assert "the depth left at the notch is taken over the whole length, so the truth is stiffer" in notched.assumed


JOIST: dict[str, Fraction | str] = {
    "framing.kind": "sawn lumber",
    "framing.cut or notched": "no",
    "framing.breadth": Fraction(3, 2),
    "framing.depth": Fraction(29, 4),
    "framing.material": "wood",
    "framing.sister": "none",
    "framing.wet in service": "no",
    "place.wet framing": "no",
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
        ({"framing.depth": Fraction(0)}, "a joist depth of 0 cannot be", "more than nothing, such as 9-1/4 in"),
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
        LIVE_DEFLECTION.work({**JOIST, **change})
    assert (refused.value.what, refused.value.accepted) == (what, accepted)


def test_short_names_for_species_and_grade_mean_the_same() -> None:
    assert span_as_printed("SPF", "#2", "2x10", 16, 40, 10, "L/360") == printed("15-5")


species, grades, sizes = st.sampled_from(SPECIES), st.sampled_from(GRADES), st.sampled_from(JOISTS)
spacings, loads = st.sampled_from([12, 16, "19.2", 24]), st.integers(10, 100)


@given(species, grades, species, grades, sizes, spacings, loads, st.integers(60, 260))
def test_stiffer_wood_never_gives_more(
    one: str, one_grade: str, other: str, other_grade: str, size: str, spacing: int | str, load: int, span: int
) -> None:
    deep = true_size(size)[1]
    first, second = design_values(one, one_grade, deep), design_values(other, other_grade, deep)
    sags = [sag(one, one_grade, size, spacing, span, load), sag(other, other_grade, size, spacing, span, load)]
    assert (sags[0] <= sags[1]) == (first.stiffness >= second.stiffness)


@given(species, grades, sizes, spacings, loads, st.integers(60, 260), st.integers(1, 60))
def test_a_longer_span_never_gives_less(
    wood: str, grade: str, size: str, spacing: int | str, load: int, span: int, more: int
) -> None:
    assert deflection(wood, grade, size, spacing, span + more, load) > deflection(
        wood, grade, size, spacing, span, load
    )


@given(species, grades, sizes, spacings, loads, st.integers(0, 40))
def test_the_greatest_span_is_within_its_limits_and_an_inch_more_is_not(
    wood: str, grade: str, size: str, spacing: int | str, live: int, dead: int
) -> None:
    span = min(spans(wood, grade, size, spacing, live, dead))
    strength = allowed_stress(wood, grade, size)

    def holds(length: Fraction) -> bool:
        straight = deflection(wood, grade, size, spacing, length, live) <= Fraction(1, 360)
        return straight and bending_stress(size, spacing, length, live + dead) <= strength

    assert holds(span)
    assert not holds(span + 1)


@given(species, grades, sizes, loads, st.integers(0, 30), st.integers(0, 10))
def test_equal_total_load_gives_equal_bending(
    wood: str, grade: str, size: str, live: int, dead: int, moved: int
) -> None:
    assert bending_stress(size, 16, 150, live + dead) == bending_stress(size, 16, 150, (live - moved) + (dead + moved))


def test_a_published_depth_is_the_dressed_depth() -> None:
    # NDS supplement table 1B
    assert [tuple(map(float, true_size(size))) for size in JOISTS] == [(1.5, 3.5), (1.5, 5.5), (1.5, 7.25), (1.5, 9.25), (1.5, 11.25)]
    assert [tuple(map(float, true_size(size))) for size in ("3x8", "4x6", "4x12")] == [(2.5, 7.25), (3.5, 5.5), (3.5, 11.25)]


def test_a_name_that_nobody_saws_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="no joist is sawn as 2x9. Accepted: 2x4, 2x6"):
        true_size("2x9")


def test_a_joist_measured_with_a_tape_is_worked_by_its_own_depth() -> None:
    # full-sawn 2 x 8: I = 2 x 8^3 / 12 = 85.3 in4 against 47.6 of a dressed 2x8
    old = Joist("hem-fir", "no. 2", Fraction(2), Fraction(8))
    assert float(joists.section(old).second) == pytest.approx(85.333, abs=1e-3)
    assert joists.sag(old, 16, 150, 40) / sag("hem-fir", "no. 2", "2x8", 16, 150, 40) == Fraction(29, 4) ** 3 * Fraction(3, 2) / (2 * 8**3)
    done = LIVE_DEFLECTION.work({**JOIST, "framing.breadth": Fraction(2), "framing.depth": Fraction(8)})
    assert "from 2 x 8 in joist at 16 in" in done.line


@given(st.fractions(2, 16, max_denominator=8), st.fractions(2, 16, max_denominator=8), species, grades)
def test_a_deeper_joist_is_never_weaker(one: Fraction, other: Fraction, wood: str, grade: str) -> None:
    shallow, deep = sorted((one, other))
    strengths = [
        joists.allowed_stress(joist) * joists.section(joist).modulus
        for joist in (Joist(wood, grade, Fraction(3, 2), depth) for depth in (shallow, deep))
    ]
    assert strengths[0] <= strengths[1]


def test_a_joist_of_another_size_beside_the_first_adds_its_own_stiffness() -> None:
    # a 2x10 (98.93 in4) with a 2x8 (47.63) beside it: 146.57 in4, and the 2x10 is strained first
    both = joists.section(sawn("hem-fir", "no. 2", "2x10", beside="2x8"))
    assert float(both.second) == pytest.approx(146.57, abs=0.01)
    assert both.modulus == both.second / Fraction(37, 8)


def test_wet_service_takes_what_the_handbook_takes() -> None:
    # a building handbook's table 10.6: 0.90 on stiffness; 0.85 on bending strength, and 1 up to 1150 psi
    dry, wet = sawn("Douglas fir-larch", "no. 2", "2x10"), sawn("Douglas fir-larch", "no. 2", "2x10", wet=True)
    assert joists.stiffness(wet) == Fraction(9, 10) * joists.stiffness(dry)
    assert joists.allowed_stress(wet) == joists.allowed_stress(dry)  # 900 x 1.1 = 990 psi
    strong = [sawn("Douglas fir-larch", "select structural", "2x10", wet=each) for each in (False, True)]
    assert joists.allowed_stress(strong[1]) == Fraction(85, 100) * joists.allowed_stress(strong[0])  # 1650 psi
    assert "wet in service" in LIVE_DEFLECTION.work({**JOIST, "place.wet framing": "yes", "framing.wet in service": "as the place is"}).line


def test_beams_far_apart_are_not_helped_by_their_neighbors() -> None:
    near, far = (joists.allowed_stress(sawn("hem-fir", "no. 2", "4x6"), Fraction(apart)) for apart in (24, 48))
    assert near / far == Fraction(115, 100)


def test_the_greatest_span_reads_as_the_table_prints_it() -> None:
    # IRC table R502.3.1(2): spruce-pine-fir no. 2, 2x10 at 16 in, 20 psf of dead load: 14-1, and 168.56 in by the sum
    facts = {**JOIST, "framing.depth": Fraction(37, 4), "framing.dead load": Fraction(20)}
    assert GREATEST_SPAN.work(facts).line.startswith("14 ft 1 in by bending")


def test_the_whole_load_bends_the_joist_in_proportion() -> None:
    # the 2x10 worked by hand above: L/630 under 40 psf, L/504 under 50 and L/420 under 60
    live = Fraction(1, 630)
    for dead, whole in ((10, 504), (20, 420)):
        done = WORKINGS["joist total deflection"].work(
            {"slab.kind": "topping", "framing.live deflection": live, "framing.live load": Fraction(40), "framing.dead load": Fraction(dead)}
        )
        assert done.value == Fraction(1, whole)


def test_the_share_of_the_strength_is_that_worked_by_hand() -> None:
    # 948.1 of 1106.9 psi
    facts = {**JOIST, "framing.depth": Fraction(37, 4), "framing.span": Fraction(156), "framing.dead load": Fraction(20)}
    assert float(BENDING.work(facts).value) == pytest.approx(948.1 / 1106.9, rel=1e-3)
