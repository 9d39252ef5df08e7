"""The joists of a described floor: do they hold it straight enough, and strong enough, for tile or stone.

Shapes: the facts of `framing`; lengths in inches, loads in psf, deflection as sag over span. Raises `WorkingProblem`
for a span, spacing, load, size or grade that cannot be; an engineered member or a cut of unknown depth is beyond
these sums.
Sources: as in `validator.workings.joists`.
"""

from collections.abc import Callable, Mapping
from fractions import Fraction
from math import floor

from .joists import (
    A_SPAN,
    AN_AMOUNT,
    CODE_LIMIT,
    HELPED_UP_TO,
    NO_LOAD,
    Joist,
    Section,
    allowed_stress,
    bending_stress,
    sag,
    section,
    spans,
    stiffness,
    values,
)  # fmt: skip
from .lumber import GRADES, JOISTS, MAKERS_FIGURE, SIZES, SPECIES, named, true_size, usual_word
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
)
from .working import stiffness as as_ratio

FRAMINGS = ("wood", "steel", "masonry", "concrete")
KINDS_OF_MEMBER = ("sawn lumber", "I-joist", "floor truss", "beam and plank", "stud")
WORKED_KINDS, SAWN = ("sawn lumber", "beam and plank"), "sawn lumber"
NO_SISTER, BY_PLACE = "none", "as the place is"
Facts = Mapping[str, Fraction | str]


def _said(joist: Joist) -> str:
    name = named(joist.breadth, joist.depth)
    if joist.plies != 1:
        name = f"doubled {name}" if joist.plies == 2 else f"{plain(joist.plies)} x {name}"
    return f"{name} with a {joist.beside} beside it" if joist.beside else name


def _stamp(joist: Joist) -> str:
    return f"{usual_word(joist.species)} {usual_word(joist.grade)}{', wet in service' if joist.wet else ''}"


def _assumed(joist: Joist, spacing: Fraction) -> tuple[str, ...]:
    many = ", three or more side by side" if spacing <= HELPED_UP_TO else ""
    told = [f"simply supported over the clear span, evenly loaded{many}, sound{'' if joist.wet else ' and dry'}"]
    if joist.plies > 1:
        told.append("the added joists are as deep, as long and of the same grade, bear at both ends and act together")
    if joist.beside:
        told.append("the joist beside it is as long and as stiff, bears at both ends and acts together with it")
    if joist.notch > 0:
        told.append("the depth left at the notch is taken over the whole length, so the truth is stiffer")
    else:
        told.append("no notch or large hole cuts the joist")
    return tuple(told)


def _section_step(joist: Joist, whole: Section) -> Step:
    wide = f"{plain(joist.plies)} x {plain(joist.breadth)}" if joist.plies != 1 else plain(joist.breadth)
    numbers = f"{wide} x {plain(whole.depth)}^3 / 12"
    if joist.beside:
        more, deep = true_size(joist.beside)
        numbers += f" + {plain(more)} x {plain(deep)}^3 / 12"
    return Step("I = b x d^3 / 12", numbers, f"{plain(whole.second)} in4")


def _modulus_step(joist: Joist, whole: Section) -> Step:
    if joist.beside:
        farthest = whole.second / whole.modulus
        return Step("S = I / half the greater depth", f"{plain(whole.second)} / {plain(farthest)}", f"{plain(whole.modulus)} in3")
    return Step("S = b x d^2 / 6", f"{plain(whole.breadth)} x {plain(whole.depth)}^2 / 6", f"{plain(whole.modulus)} in3")


def _strength_step(joist: Joist, spacing: Fraction) -> Step:
    given, allowed = values(joist), allowed_stress(joist, spacing)
    helped = allowed / (given.bending * given.size_factor)
    formula, numbers = "F = Fb x C_F x C_r", f"{plain(given.bending)} x {plain(given.size_factor)}"
    if joist.wet or spacing > HELPED_UP_TO:
        formula = "F = Fb x C_F x C_M x C_r"
    return Step(formula, f"{numbers} x {plain(helped)}", f"{plain(allowed)} psi")


def _line_load(load: Fraction, spacing: Fraction, what: str, formula: str) -> tuple[Fraction, Step]:
    line = load * spacing / 144
    return line, Step(f"{formula} x spacing / 144", f"{what} x {plain(spacing)} / 144", f"{plain(line)} lb/in")


def _joist(facts: Facts) -> Joist:
    """The joist of a described floor, sawn and known to be whole or how cut."""
    if facts["framing.kind"] not in WORKED_KINDS:
        if facts["framing.kind"] == "stud":
            raise WorkingProblem("a stud is not worked as a floor joist", SAWN, "beyond the sum")
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
    sister = str(facts["framing.sister"])
    return Joist(
        str(facts["framing.species"]), str(facts["framing.grade"]),
        over_nothing(facts["framing.breadth"], "a joist breadth", "more than nothing, such as 1-1/2 in"),
        over_nothing(facts["framing.depth"], "a joist depth", "more than nothing, such as 9-1/4 in"),
        Fraction(facts["framing.plies"]), notch, "" if sister == NO_SISTER else sister, _wet(facts),
    )  # fmt: skip


def _wet(facts: Facts) -> bool:
    if facts["framing.wet in service"] != BY_PLACE:
        return facts["framing.wet in service"] == "yes"
    return facts["place.wet framing"] == "yes"


def _loads(facts: Facts, total: bool) -> tuple[Fraction, Fraction, Fraction]:
    spacing = over_nothing(facts["framing.spacing"], "a joist spacing", AN_AMOUNT)
    live = over_nothing(facts["framing.live load"], "a live load", AN_AMOUNT)
    dead = not_negative(facts["framing.dead load"], "a dead load", NO_LOAD) if total else Fraction(0)
    return spacing, live, dead


def _live_value(facts: Facts) -> Fraction:
    joist = _joist(facts)
    spacing, live, _ = _loads(facts, total=False)
    span = over_nothing(facts["framing.span"], "a span", A_SPAN)
    return sag(joist, spacing, span, live) / span


def _live(facts: Facts) -> Worked:
    ratio = _live_value(facts)
    joist, span = _joist(facts), Fraction(facts["framing.span"])
    spacing, live, _ = _loads(facts, total=False)
    whole = section(joist)
    line_load, load_step = _line_load(live, spacing, plain(live), "w = live load")
    down = ratio * span
    steps = (
        _section_step(joist, whole),
        load_step,
        Step(
            "sag = 5 x w x span^4 / (384 x E x I)",
            f"5 x {plain(line_load)} x {plain(span)}^4 / (384 x {plain(stiffness(joist))} x {plain(whole.second)})",
            f"{plain(down)} in",
        ),
        Step("deflection = sag / span", f"{plain(down)} / {plain(span)}", f"L/{plain(1 / ratio)}"),
    )
    line = (
        f"{as_ratio(ratio)}, from {_said(joist)} at {inches(spacing)} in over {feet_and_inches(span)}, "
        f"{_stamp(joist)}, {plain(live)} psf"
    )
    return Worked(ratio, steps, line, _assumed(joist, spacing))


def _total(facts: Facts) -> Worked:
    by_live = over_nothing(facts["framing.live deflection"], "a deflection", "a part of the span, such as L/480")
    live = over_nothing(facts["framing.live load"], "a live load", AN_AMOUNT)
    dead = not_negative(facts["framing.dead load"], "a dead load", NO_LOAD)
    ratio = by_live * (live + dead) / live
    step = Step(
        "total deflection = live deflection x (live + dead load) / live load",
        f"1/{plain(1 / by_live)} x ({plain(live)} + {plain(dead)}) / {plain(live)}",
        f"L/{plain(1 / ratio)}",
    )
    line = f"{as_ratio(ratio)} under {plain(live + dead)} psf in all, {as_ratio(by_live)} of it under {plain(live)} psf of live load"
    return Worked(ratio, (step,), line, ("the floor gives in proportion to its load; what wood gives more with the years is not counted",))


def _total_sag(facts: Facts) -> Worked:
    ratio = over_nothing(facts["framing.total deflection"], "a deflection", "a part of the span, such as L/480")
    span = over_nothing(facts["framing.span"], "a span", A_SPAN)
    down = ratio * span
    step = Step("sag = total deflection x span", f"1/{plain(1 / ratio)} x {plain(span)}", f"{plain(down)} in")
    return Worked(down, (step,), f"{plain(down, 3)} in of sag: {as_ratio(ratio)} over {feet_and_inches(span)}")


def _longest_value(facts: Facts) -> Fraction:
    return min(spans(_joist(facts), *_loads(facts, total=True)))


def _span(facts: Facts) -> Worked:
    joist = _joist(facts)
    spacing, live, dead = _loads(facts, total=True)
    whole, strength, part = section(joist), allowed_stress(joist, spacing), 1 / CODE_LIMIT
    live_line, live_step = _line_load(live, spacing, plain(live), "w live = live load")
    whole_line, whole_step = _line_load(
        live + dead, spacing, f"({plain(live)} + {plain(dead)})", "w total = (live + dead load)"
    )
    by_sag, by_strength = spans(joist, spacing, live, dead)
    value = min(by_sag, by_strength)
    steps = (
        _section_step(joist, whole),
        _modulus_step(joist, whole),
        live_step,
        whole_step,
        _strength_step(joist, spacing),
        Step(
            f"span by live deflection L/{plain(part)} = (384 x E x I / (5 x {plain(part)} x w live))^(1/3)",
            f"(384 x {plain(stiffness(joist))} x {plain(whole.second)} / (5 x {plain(part)} x {plain(live_line)}))^(1/3)",
            f"{plain(by_sag)} in",
        ),
        Step(
            "span by bending = (8 x F x S / w total)^(1/2)",
            f"(8 x {plain(strength)} x {plain(whole.modulus)} / {plain(whole_line)})^(1/2)",
            f"{plain(by_strength)} in",
        ),
    )
    governs = "deflection" if by_sag <= by_strength else "bending"
    line = (
        f"{feet_and_inches(to_the_inch(value))} by {governs}, from {_said(joist)} at {inches(spacing)} in, "
        f"{_stamp(joist)}, {plain(live)} psf live and {plain(dead)} psf dead"
    )
    return Worked(value, steps, line, _assumed(joist, spacing))


def to_the_inch(value: Fraction) -> Fraction:
    """To the nearest inch, a half going up, as the span tables print it."""
    return Fraction(floor(value + Fraction(1, 2)))


def _bending_value(facts: Facts) -> Fraction:
    joist = _joist(facts)
    spacing, live, dead = _loads(facts, total=True)
    span = over_nothing(facts["framing.span"], "a span", A_SPAN)
    return bending_stress(joist, spacing, span, live + dead) / allowed_stress(joist, spacing)


def _bending(facts: Facts) -> Worked:
    share = _bending_value(facts)
    joist, span = _joist(facts), Fraction(facts["framing.span"])
    spacing, live, dead = _loads(facts, total=True)
    whole, allowed = section(joist), allowed_stress(joist, spacing)
    line_load, load_step = _line_load(
        live + dead, spacing, f"({plain(live)} + {plain(dead)})", "w = (live + dead load)"
    )
    stress = share * allowed
    steps = (
        _section_step(joist, whole),
        _modulus_step(joist, whole),
        load_step,
        Step(
            "stress = w x span^2 / (8 x S)",
            f"{plain(line_load)} x {plain(span)}^2 / (8 x {plain(whole.modulus)})",
            f"{plain(stress)} psi",
        ),
        _strength_step(joist, spacing),
        Step("share of the strength = stress / F", f"{plain(stress)} / {plain(allowed)}", plain(share)),
    )
    line = (
        f"{plain(100 * share, 3)} % of its bending strength, {_said(joist)} at {inches(spacing)} in over "
        f"{feet_and_inches(span)}, {_stamp(joist)}"
    )
    return Worked(share, steps, line, _assumed(joist, spacing))


def _side(which: int, what: str) -> Callable[[Facts], Worked]:
    def side(facts: Facts) -> Worked:
        size = str(facts["framing.joist"])
        value = true_size(size)[which]
        return Worked(value, (Step(f"true {what}", f"a {size}, dressed", f"{inches(value)} in"),), f"{inches(value)} in, the true {what} of a {size}")

    return side


_DRESSED = {"from": "national design specification for wood construction", "section": "table 1B", "edition": "2018", "known by": "read second-hand"}
_NAMED = (Input("framing.joist", "word", "words", every=JOISTS),)
BREADTH = Working("joist breadth", "framing.breadth", "in", _NAMED, _side(0, "breadth"), _DRESSED)
DEPTH = Working("joist depth", "framing.depth", "in", _NAMED, _side(1, "depth"), _DRESSED)

_SLAB = Input(
    "slab.kind", "word", "words", usual="topping", every=("on ground", "suspended", "topping"), beyond=("on ground", "suspended"),
    told=False,
)  # fmt: skip
_MEMBER = (
    Input(
        "framing.kind", "word", "words", usual=SAWN, every=KINDS_OF_MEMBER, beyond=("I-joist", "floor truss", "stud"),
        because="a joist named by a nominal size is sawn",
    ),
    Input(
        "framing.material", "word", "words", usual="wood", every=FRAMINGS, beyond=("steel", "masonry", "concrete"),
        told=False,
    ),
    _SLAB,
    Input("framing.species", "word", "words", every=SPECIES),
    Input("framing.grade", "word", "words", every=GRADES),
    Input(
        "framing.cut or notched", "word", "words", usual="no", every=("no", "yes"), because="nothing is written of a cut"
    ),
    Input(
        "framing.sister", "word", "words", usual=NO_SISTER, every=SIZES,
        told=False,
    ),
    Input(
        "framing.wet in service", "word", "words", usual=BY_PLACE, every=("no", "yes"),
        told=False,
    ),
    Input("place.wet framing", "word", "words", every=("no", "yes")),
)  # fmt: skip
_BREADTH, _DEPTH = Input("framing.breadth", "in", "down"), Input("framing.depth", "in", "down")
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
    "known by": "read second-hand",
}
_NOTE = "Design values are recalled and then proved against the published span cells kept with the tests."

LIVE_DEFLECTION = Working(
    "joist live deflection", "framing.live deflection", "of span",
    (
        Input(
            "framing.deflection", "of span", "instead",
            because="the load it was figured for is not said, so it is read as that under live load",
        ),
        *_MEMBER, _BREADTH, _DEPTH, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _PLIES, _NOTCH,
    ),
    _live, _BEAM, _NOTE, _live_value, FLOORS, inputs_first=True,
)  # fmt: skip
TOTAL_DEFLECTION = Working(
    "joist total deflection", "framing.total deflection", "of span",
    (
        _SLAB, Input("framing.live deflection", "of span", "up"),
        Input("framing.live load", "psf", "down", usual=Fraction(40), because=_CODE_LIVE), _DEAD,
    ),
    _total, {"from": "elastic beam formulas", "section": "deflection in proportion to load", "edition": "", "known by": "computed"},
    places=FLOORS, inputs_first=True,
)  # fmt: skip
TOTAL_SAG = Working(
    "joist total sag", "framing.total sag", "in", (Input("framing.total deflection", "of span", "up"), _SPAN), _total_sag,
    {"from": "arithmetic", "section": "", "edition": "", "known by": "computed"}, places=FLOORS,
)  # fmt: skip
BENDING = Working(
    "joist bending", "framing.bending share", "part",
    (*_MEMBER, _BREADTH, _DEPTH, _SPACING_WORSE, _SPAN, _LIVE_LOAD, _DEAD, _PLIES, _NOTCH), _bending, _BEAM, _NOTE, _bending_value,
    FLOORS,
)  # fmt: skip
GREATEST_SPAN = Working(
    "joist greatest span", "framing.greatest span", "in",
    (
        *_MEMBER,
        Input("framing.breadth", "in", "up"),
        Input("framing.depth", "in", "up"),
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
        "known by": "read second-hand",
    },
    _NOTE,
    _longest_value,
    FLOORS,
)  # fmt: skip
