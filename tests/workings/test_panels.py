"""Subfloors between joists, against continuous beams solved from first principles and figures worked by hand."""

from fractions import Fraction

import pytest
from sympy import Rational, symbols
from sympy.physics.continuum_mechanics.beam import Beam

from validator.workings import WORKINGS, WorkingProblem
from validator.workings.panels import BY_CATEGORY, RATED, STRIP, even_sag, strip_sag

FLOOR: dict[str, Fraction | str] = {
    "framing.clear gap": Fraction(29, 2),
    "subfloor panel.span rating": "24 oc",
    "subfloor panel.category": "23/32",
    "subfloor panel.count": Fraction(1),
    "subfloor panel.strength axis across": "yes",
    "framing.live load": Fraction(40),
    "framing.dead load": Fraction(10),
}


def beam_over(spans: int) -> tuple[Beam, list[object]]:
    """A beam of EI 1 over so many spans of length 1."""
    beam = Beam(spans, 1, 1)
    reactions = list(symbols(f"r0:{spans + 1}"))
    for at, reaction in enumerate(reactions):
        beam.apply_load(reaction, at, -1)
    beam.bc_deflection = [(at, 0) for at in range(spans + 1)]
    return beam, reactions


def sag_at(beam: Beam, at: object) -> float:
    return float(beam.deflection().subs(beam.variable, at))


@pytest.mark.parametrize(("spans", "divisor"), [(1, 921.60), (2, 2215.61), (3, 1743.12)])
def test_the_even_load_divisor_is_that_of_the_beam(spans: int, divisor: float) -> None:
    beam, reactions = beam_over(spans)
    beam.apply_load(1, 0, 0, end=spans)
    beam.solve_for_reaction_loads(*reactions)
    deepest = max(sag_at(beam, Rational(step, 200)) for step in range(60, 120, 1))
    assert 12 / deepest == pytest.approx(divisor, rel=1e-4)
    assert float(even_sag(Fraction(1), Fraction(1), Fraction(1), spans)) == pytest.approx(1 / divisor, rel=1e-5)


@pytest.mark.parametrize("spans", [1, 2, 3])
def test_the_point_load_sag_is_that_of_the_beam(spans: int) -> None:
    beam, reactions = beam_over(spans)
    beam.apply_load(1, Rational(1, 2), -1)
    beam.solve_for_reaction_loads(*reactions)
    middle = beam.deflection().subs(beam.variable, Rational(1, 2))
    assert strip_sag(Fraction(1), Fraction(1), Fraction(1), spans) * STRIP == Fraction(int(middle.p), int(middle.q))


# worked by hand: load in psf that gives L/360 of the joist spacing, and sag in inches at 50 psf
@pytest.mark.parametrize(
    ("rating", "spacing", "limit_load", "sag"),
    [
        ("24/16", "16", 127.7, 0.0174),
        ("32/16", "16", 188.2, 0.0118),
        ("40/20", "20", 176.3, 0.0158),
        ("48/24", "24", 173.5, 0.0192),
        ("16 oc", "16", 245.5, 0.0091),
        ("20 oc", "19.2", 188.0, 0.0142),
        ("20 oc", "20", 164.5, 0.0169),
        ("24 oc", "16", 491.0, 0.0045),
        ("24 oc", "19.2", 268.6, 0.0099),
        ("24 oc", "24", 130.1, 0.0256),
        ("32 oc", "32", 112.6, 0.0395),
    ],
)
def test_a_rated_panel_sags_as_worked_by_hand(rating: str, spacing: str, limit_load: float, sag: float) -> None:
    centers = Fraction(spacing)
    span = centers - Fraction(3, 2) + Fraction(1, 4)
    stiff = Fraction(RATED[rating][0])
    each = even_sag(Fraction(1), span, stiff)
    assert float(centers / 360 / each) == pytest.approx(limit_load, abs=0.06)
    assert float(50 * each) == pytest.approx(sag, abs=6e-5)


def test_the_usual_panel_gives_little_under_an_even_load() -> None:
    done = WORKINGS["subfloor deflection"].work(FLOOR)
    assert float(done.value * Fraction(29, 2)) == pytest.approx(0.00453, abs=5e-6)
    assert done.line == "L/3203 between joists under 50 psf, 24 oc panel over a clear gap of 14-1/2 in"


def test_two_layers_at_sixteen_inches_give_what_was_published_for_one_heavy_foot() -> None:
    # tile association manual 2024-25, subfloors: two layers of 19/32 in over joists at 16 in, L/400 under 300 lb
    floor = {**FLOOR, "subfloor panel.span rating": "16 oc", "subfloor panel.count": Fraction(2)}
    assert float(1 / WORKINGS["subfloor under 300 lb"].work(floor).value) == pytest.approx(400, abs=1)


# a strip a foot wide by hand: 0.0468 and 0.1717 in; on 15-1/2 in
@pytest.mark.parametrize(("gap", "sag", "good"), [("29/2", 0.0468, True), ("45/2", 0.1717, False)])
def test_one_panel_holds_a_heavy_foot_at_sixteen_inches_and_not_at_twenty_four(gap: str, sag: float, good: bool) -> None:
    done = WORKINGS["subfloor under 300 lb"].work({**FLOOR, "framing.clear gap": Fraction(gap)})
    assert float(done.value * Fraction(gap)) == pytest.approx(sag * 12 / 15.5, abs=5e-5)
    assert (done.value <= Fraction(1, 360)) == good


def test_a_second_layer_halves_the_sag() -> None:
    one, two = (
        WORKINGS["subfloor deflection"].work({**FLOOR, "subfloor panel.count": Fraction(n)}).value for n in (1, 2)
    )
    assert two == one / 2


@pytest.mark.parametrize("category", sorted(BY_CATEGORY))
def test_a_panel_known_by_thickness_is_taken_as_the_weakest_rating_sold_in_it(category: str) -> None:
    by_thickness = {
        **FLOOR,
        "subfloor panel.span rating": "by its thickness category",
        "subfloor panel.category": category,
    }
    done = WORKINGS["subfloor deflection"].work(by_thickness)
    assert BY_CATEGORY[category] in done.line


@pytest.mark.parametrize(
    ("change", "what"),
    [
        ({"framing.clear gap": Fraction(0)}, "a gap between joists of 0 cannot be"),
        ({"subfloor panel.span rating": "60/60"}, "no panel is rated 60/60"),
        (
            {"subfloor panel.span rating": "by its thickness category", "subfloor panel.category": "1/4"},
            "a 1/4 panel is not a subfloor",
        ),
        (
            {"subfloor panel.span rating": "48 oc", "subfloor panel.strength axis across": "no"},
            "no stiffness is kept for a 48 oc panel laid with its weak way across the joists",
        ),
    ],
)
def test_a_subfloor_that_cannot_be_worked_is_refused(change: dict[str, Fraction | str], what: str) -> None:
    with pytest.raises(WorkingProblem) as refused:
        WORKINGS["subfloor deflection"].work({**FLOOR, **change})
    assert refused.value.what == what
