"""The joists of a described floor: do they hold it straight enough, and strong enough, for tile or stone.

Shapes: the facts of `framing`; lengths in inches, loads in psf, deflection as sag over span. Raises `WorkingProblem`
for a span, spacing, load, size or grade that cannot be; an engineered member or a cut of unknown depth is beyond
these sums.
Sources: as in `validator.workings.joists`.
"""

from collections.abc import Mapping
from fractions import Fraction
from math import floor

from .joists import AN_AMOUNT, A_SPAN, CODE_LIMIT, NO_LOAD, Joist, allowed_stress, bending_stress, sag, spans
from .lumber import GRADES, MAKERS_FIGURE, SIZES, SPECIES, design_values, usual_word
from .working import (
    FLOORS,
    Input,
    Step,
    Worked,
    Working,
    WorkingProblem,
    feet_and_inches,
    inches,
    not_negative,
    over_nothing,
    plain,
    stiffness,
)  # fmt: skip

KINDS_OF_MEMBER = ("sawn lumber", "I-joist", "floor truss", "beam and plank", "stud")
SAWN, OTHERS = "sawn lumber", ("beam and plank", "stud")


def _said(joist: Joist) -> str:
    if joist.plies == 1:
        return joist.size
    return f"doubled {joist.size}" if joist.plies == 2 else f"{plain(joist.plies)} x {joist.size}"


def _assumed(joist: Joist) -> tuple[str, ...]:
    told = ["simply supported over the clear span, evenly loaded, three or more joists side by side, dry and sound"]
    if joist.plies > 1:
        told.append("the added joists are as deep, as long and of the same grade, bear at both ends and act together")
    if joist.notch > 0:
        told.append("the depth left at the notch is taken over the whole length, so the truth is stiffer")
    else:
        told.append("no notch or large hole cuts the joist")
    return tuple(told)


def _section_steps(joist: Joist) -> Step:
    width, left, second, _ = joist.section()
    wide = f"{plain(joist.plies)} x 1.5" if joist.plies != 1 else plain(width)
    return Step("I = b x d^3 / 12", f"{wide} x {plain(left)}^3 / 12", f"{plain(second)} in4")


def _line_load(load: Fraction, spacing: Fraction, what: str, formula: str) -> tuple[Fraction, Step]:
    line = load * spacing / 144
    return line, Step(f"{formula} x spacing / 144", f"{what} x {plain(spacing)} / 144", f"{plain(line)} lb/in")


def _joist(facts: Mapping[str, Fraction | str]) -> Joist:
    """The joists of a described floor, sawn and known to be whole or how cut."""
    if facts["framing.kind"] in OTHERS:
        raise WorkingProblem(f"a {facts['framing.kind']} is not worked as a floor joist", SAWN, "beyond the sum")
    if facts["framing.kind"] != SAWN:
        raise WorkingProblem(
            f"the strength of an engineered member ({facts['framing.kind']}) is known only to its maker",
            MAKERS_FIGURE,
            "beyond the sum",
        )
    notch = Fraction(facts["framing.notch depth"])
    if facts["framing.cut or notched"] == "yes" and not notch:
        raise WorkingProblem(
            "a joist that is cut is worked only when the depth of the cut is known",
            "how deep the notch is, or an engineer's figure",
            "beyond the sum",
        )
    spacing = over_nothing(facts["framing.spacing"], "a joist spacing", AN_AMOUNT)
    return Joist(
        str(facts["framing.species"]), str(facts["framing.grade"]), str(facts["framing.joist"]), spacing,
        plies=Fraction(facts["framing.plies"]), notch=notch,
    )  # fmt: skip


def _loads(facts: Mapping[str, Fraction | str], total: bool) -> tuple[Fraction, Fraction]:
    live = over_nothing(facts["framing.live load"], "a live load", AN_AMOUNT)
    dead = not_negative(facts["framing.dead load"], "a dead load", NO_LOAD) if total else Fraction(0)
    return live, dead


def _sag_value(facts: Mapping[str, Fraction | str], total: bool) -> tuple[Fraction, Fraction]:
    """Sag in inches and the span it is over."""
    joist = _joist(facts)
    live, dead = _loads(facts, total)
    span = over_nothing(facts["framing.span"], "a span", A_SPAN)
    return sag(joist, span, live + dead), span


def _deflection_worked(facts: Mapping[str, Fraction | str], total: bool) -> Worked:
    down, span = _sag_value(facts, total)
    joist = _joist(facts)
    live, dead = _loads(facts, total)
    *_, second, _ = joist.section()
    stiff = design_values(joist.species, joist.grade, joist.size).stiffness
    load = live + dead
    what = f"({plain(live)} + {plain(dead)})" if total else plain(live)
    line_load, load_step = _line_load(load, joist.spacing, what, "w = (live + dead load)" if total else "w = live load")
    ratio = down / span
    steps = (
        _section_steps(joist),
        load_step,
        Step(
            "sag = 5 x w x span^4 / (384 x E x I)",
            f"5 x {plain(line_load)} x {plain(span)}^4 / (384 x {stiff} x {plain(second)})",
            f"{plain(down)} in",
        ),
        Step("deflection = sag / span", f"{plain(down)} / {plain(span)}", f"L/{plain(1 / ratio)}"),
    )
    line = (
        f"{stiffness(ratio)}, from {_said(joist)} at {inches(joist.spacing)} in over {feet_and_inches(span)}, "
        f"{usual_word(joist.species)} {usual_word(joist.grade)}, {plain(load)} psf"
    )
    return Worked(ratio, steps, line, _assumed(joist))


def _live(facts: Mapping[str, Fraction | str]) -> Worked:
    return _deflection_worked(facts, total=False)


def _total(facts: Mapping[str, Fraction | str]) -> Worked:
    return _deflection_worked(facts, total=True)


def _live_value(facts: Mapping[str, Fraction | str]) -> Fraction:
    down, span = _sag_value(facts, total=False)
    return down / span


def _total_value(facts: Mapping[str, Fraction | str]) -> Fraction:
    down, span = _sag_value(facts, total=True)
    return down / span


def _total_sag_value(facts: Mapping[str, Fraction | str]) -> Fraction:
    return _sag_value(facts, total=True)[0]


def _total_sag(facts: Mapping[str, Fraction | str]) -> Worked:
    whole = _deflection_worked(facts, total=True)
    down = whole.value * Fraction(facts["framing.span"])
    return Worked(down, whole.steps[:-1], f"{plain(down, 3)} in of sag: {whole.line}", whole.assumed)


def _span(facts: Mapping[str, Fraction | str]) -> Worked:
    joist = _joist(facts)
    live, dead = _loads(facts, total=True)
    width, left, second, modulus = joist.section()
    given = design_values(joist.species, joist.grade, joist.size)
    strength = allowed_stress(joist)
    part = 1 / CODE_LIMIT
    live_line, live_step = _line_load(live, joist.spacing, plain(live), "w live = live load")
    whole_line, whole_step = _line_load(
        live + dead, joist.spacing, f"({plain(live)} + {plain(dead)})", "w total = (live + dead load)"
    )
    by_sag, by_strength = spans(joist, live, dead)
    value = min(by_sag, by_strength)
    factor = plain(given.size_factor)
    steps = (
        _section_steps(joist),
        Step("S = b x d^2 / 6", f"{plain(width)} x {plain(left)}^2 / 6", f"{plain(modulus)} in3"),
        live_step,
        whole_step,
        Step("F = Fb x C_F x C_r", f"{given.bending} x {factor} x 1.15", f"{plain(strength)} psi"),
        Step(
            f"span by live deflection L/{plain(part)} = (384 x E x I / (5 x {plain(part)} x w live))^(1/3)",
            f"(384 x {given.stiffness} x {plain(second)} / (5 x {plain(part)} x {plain(live_line)}))^(1/3)",
            f"{plain(by_sag)} in",
        ),
        Step(
            "span by bending = (8 x F x S / w total)^(1/2)",
            f"(8 x {plain(strength)} x {plain(modulus)} / {plain(whole_line)})^(1/2)",
            f"{plain(by_strength)} in",
        ),
    )
    governs = "deflection" if by_sag <= by_strength else "bending"
    whole_inches = Fraction(floor(value))
    line = (
        f"{feet_and_inches(whole_inches)} by {governs}, from {_said(joist)} at {inches(joist.spacing)} in, "
        f"{usual_word(joist.species)} {usual_word(joist.grade)}, {plain(live)} psf live and {plain(dead)} psf dead"
    )
    return Worked(value, steps, line, _assumed(joist))


def _longest_value(facts: Mapping[str, Fraction | str]) -> Fraction:
    joist = _joist(facts)
    return min(spans(joist, *_loads(facts, total=True)))


def _bending_value(facts: Mapping[str, Fraction | str]) -> Fraction:
    joist = _joist(facts)
    live, dead = _loads(facts, total=True)
    span = over_nothing(facts["framing.span"], "a span", A_SPAN)
    return bending_stress(joist, span, live + dead) / allowed_stress(joist)


def _bending(facts: Mapping[str, Fraction | str]) -> Worked:
    share = _bending_value(facts)
    joist = _joist(facts)
    live, dead = _loads(facts, total=True)
    span = Fraction(facts["framing.span"])
    width, left, _, modulus = joist.section()
    given = design_values(joist.species, joist.grade, joist.size)
    allowed = allowed_stress(joist)
    line_load, load_step = _line_load(
        live + dead, joist.spacing, f"({plain(live)} + {plain(dead)})", "w = (live + dead load)"
    )
    stress = share * allowed
    steps = (
        Step("S = b x d^2 / 6", f"{plain(width)} x {plain(left)}^2 / 6", f"{plain(modulus)} in3"),
        load_step,
        Step(
            "stress = w x span^2 / (8 x S)",
            f"{plain(line_load)} x {plain(span)}^2 / (8 x {plain(modulus)})",
            f"{plain(stress)} psi",
        ),
        Step("F = Fb x C_F x C_r", f"{given.bending} x {plain(given.size_factor)} x 1.15", f"{plain(allowed)} psi"),
        Step("share of the strength = stress / F", f"{plain(stress)} / {plain(allowed)}", plain(share)),
    )
    line = (
        f"{plain(100 * share, 3)} % of its bending strength, {_said(joist)} at {inches(joist.spacing)} in over "
        f"{feet_and_inches(span)}, {usual_word(joist.species)} {usual_word(joist.grade)}"
    )
    return Worked(share, steps, line, _assumed(joist))


_MEMBER = (
    Input(
        "framing.kind", "word", "words", usual=SAWN, every=KINDS_OF_MEMBER,
        because="a joist named by a nominal size is sawn",
    ),
    Input("framing.joist", "word", "words", every=SIZES),
    Input("framing.species", "word", "words", every=SPECIES),
    Input("framing.grade", "word", "words", every=GRADES),
    Input(
        "framing.cut or notched", "word", "words", usual="no", every=("no", "yes"), because="nothing is written of a cut"
    ),
)  # fmt: skip
_SPACING_WORSE = Input("framing.spacing", "in", "up")
_SPAN = Input("framing.span", "in", "up")
_DEAD = Input("framing.dead load", "psf", "up", never_below=Fraction(0))
_CODE_LIVE = "the code's floor live load for rooms other than sleeping rooms, table R301.5"
_LIVE_LOAD = Input("framing.live load", "psf", "up", usual=Fraction(40), because=_CODE_LIVE)
_PLIES = Input("framing.plies", "count", "down", usual=Fraction(1), because="nothing is written of a doubled joist")
_NOTCH = Input("framing.notch depth", "in", "up", usual=Fraction(0), because="nothing is written of a notch")
_BEAM = {
    "from": "elastic beam formulas",
    "section": "simple span, even load; stiffness and strength from NDS supplement tables 4A and 4B",
    "edition": "current values, in force since 1 June 2013",
    "known by": "seen",
}
_NOTE = "Design values are recalled and then proved against the published span cells kept with the tests."

LIVE_DEFLECTION = Working(
    "joist live deflection", "framing.live deflection", "of span",
    (*_MEMBER, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _PLIES, _NOTCH), _live, _BEAM, _NOTE, _live_value,
    FLOORS,
)  # fmt: skip
TOTAL_DEFLECTION = Working(
    "joist total deflection", "framing.total deflection", "of span",
    (*_MEMBER, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _DEAD, _PLIES, _NOTCH), _total, _BEAM, _NOTE, _total_value,
    FLOORS,
)  # fmt: skip
TOTAL_SAG = Working(
    "joist total sag", "framing.total sag", "in",
    (*_MEMBER, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _DEAD, _PLIES, _NOTCH), _total_sag, _BEAM, _NOTE, _total_sag_value,
    FLOORS,
)  # fmt: skip
BENDING = Working(
    "joist bending", "framing.bending share", "part",
    (*_MEMBER, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _DEAD, _PLIES, _NOTCH), _bending, _BEAM, _NOTE, _bending_value,
    FLOORS,
)  # fmt: skip
GREATEST_SPAN = Working(
    "joist greatest span", "framing.greatest span", "in",
    (
        *_MEMBER,
        Input("framing.spacing", "in", "down"),
        Input("framing.live load", "psf", "down", usual=Fraction(40), because=_CODE_LIVE),
        Input("framing.dead load", "psf", "down", never_below=Fraction(0)),
        Input("framing.plies", "count", "up", usual=Fraction(1), because="nothing is written of a doubled joist"),
        Input("framing.notch depth", "in", "down", usual=Fraction(0), because="nothing is written of a notch"),
    ),
    _span,
    {
        "from": "residential building code",
        "section": "span tables R502.3.1(1) and (2)",
        "edition": "2015 and later",
        "known by": "seen",
    },
    _NOTE,
    _longest_value,
    FLOORS,
)  # fmt: skip
