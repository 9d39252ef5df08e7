"""How much a subfloor gives between the joists, under an even load and under one heavy foot.

Units: inches, psf; stiffness EI in lb-in2 for each foot of width; deflection as sag over the clear gap. Raises
`WorkingProblem` for a gap that cannot be, a panel that is not in the table, and edges or layers that the sum does not
reach.
Sources: panel design specification, table 4A (stiffness by span rating) and its span formulas, 2012, from memory; the
coefficients are those of the exact continuous beam. The width that carries one foot: tile association manual, subfloors, 2024-25.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import FLOORS, Input, Step, Worked, Working, WorkingProblem, inches, not_negative, over_nothing, plain, stiffness

# span rating -> EI with the strong way across the joists, and along them for plywood where it is known
RATED: dict[str, tuple[int, int | None]] = {
    "24/0": (60_000, None),
    "24/16": (78_000, 5_200),
    "32/16": (115_000, 8_100),
    "40/20": (225_000, 18_000),
    "48/24": (400_000, 29_500),
    "16 oc": (150_000, 11_000),
    "20 oc": (210_000, 13_000),
    "24 oc": (300_000, 26_000),
    "32 oc": (650_000, None),
    "48 oc": (1_150_000, None),
}
# the weakest rating sold in each thickness category; practice of the panel standard, seen in part
BY_CATEGORY = {
    "3/8": "24/0", "7/16": "24/16", "15/32": "32/16", "1/2": "32/16", "19/32": "16 oc", "5/8": "16 oc", "23/32": "24 oc",
    "3/4": "24 oc", "7/8": "32 oc", "1": "32 oc", "1-1/8": "48 oc",
}  # fmt: skip
CATEGORIES = ("1/4", "11/32", *BY_CATEGORY)
NOT_STAMPED = "by its thickness category"
# 12 / c, where the sag of a beam is c x w x l^4 / EI: simple 5/384, two equal spans 0.0054161, three 0.0068842
EVEN_LOAD = {1: Fraction(9216, 10), 2: Fraction(221561, 100), 3: Fraction(174312, 100)}
# P x l^3 / (EI x this), load at the middle of an end span: simple 1/48, two 23/1536, three 7/480
POINT_LOAD = {1: Fraction(48), 2: Fraction(1536, 23), 3: Fraction(480, 7)}
BEARING = Fraction(1, 4)  # added to the clear gap, for supports two inches nominal
HEAVY_FOOT = Fraction(300)  # lb, as in the floor test of ASTM C627
STRIP = Fraction(31, 24)  # ft of width that carries it: with it two 19/32 in layers at 16 in come to L/400, as published
Facts = Mapping[str, Fraction | str]
A_GAP = "more than nothing, such as 14-1/2 in"


def even_sag(load: Fraction, span: Fraction, stiff: Fraction, spans: int = 3) -> Fraction:
    """Sag in inches of a panel continuous over so many spans, under an even load in psf."""
    return load * span**4 / (EVEN_LOAD[spans] * stiff)


def strip_sag(pounds: Fraction, span: Fraction, stiff: Fraction, spans: int = 3) -> Fraction:
    """Sag in inches under one load carried by a strip of the panel alone."""
    return pounds * span**3 / (POINT_LOAD[spans] * stiff * STRIP)


def _rating(facts: Facts) -> str:
    rating = str(facts["subfloor panel.span rating"])
    if rating != NOT_STAMPED:
        if rating not in RATED:
            raise WorkingProblem(f"no panel is rated {rating}", ", ".join(RATED))
        return rating
    category = str(facts["subfloor panel.category"])
    if category not in BY_CATEGORY:
        raise WorkingProblem(f"a {category} panel is not a subfloor", ", ".join(BY_CATEGORY), "beyond the sum")
    return BY_CATEGORY[category]


def _stiff(facts: Facts) -> tuple[str, Fraction, Fraction]:
    """The rating, the number of layers, and the EI of each."""
    rating = _rating(facts)
    layers = not_negative(facts["subfloor panel.count"], "a number of panels", "1 or more")
    if not layers:
        raise WorkingProblem("no panel is written", "the panels on the joists", "beyond the sum")
    across, along = RATED[rating]
    found = along if facts["subfloor panel.strength axis across"] == "no" else across
    if found is None:
        raise WorkingProblem(
            f"no stiffness is kept for a {rating} panel laid with its weak way across the joists",
            "panels laid with the strong way across",
            "beyond the sum",
        )
    return rating, layers, Fraction(found)


def _stiff_step(layers: Fraction, each: Fraction) -> Step:
    return Step("EI = layers x EI of one panel", f"{plain(layers)} x {plain(each)}", f"{plain(layers * each)} lb-in2 per ft")


def _assumed(layers: Fraction) -> tuple[str, ...]:
    told = [
        "continuous over three spans or more, edges on blocking or tongue and groove",
        "stiffness table from memory",
    ]
    if layers > 1:
        told.append("all layers of one rating, not counted as glued into one")
    return tuple(told)


def _described(rating: str, layers: Fraction, gap: Fraction) -> str:
    count = f"{plain(layers)} layers of " if layers != 1 else ""
    return f"{count}{rating} panel over a clear gap of {inches(gap)} in"


def _even_value(facts: Facts) -> Fraction:
    gap = over_nothing(facts["framing.clear gap"], "a gap between joists", A_GAP)
    live = over_nothing(facts["framing.live load"], "a live load", "more than nothing, such as 40 psf")
    dead = not_negative(facts["framing.dead load"], "a dead load", "0 psf or more")
    _, layers, each = _stiff(facts)
    return even_sag(live + dead, gap + BEARING, layers * each) / gap


def _even(facts: Facts) -> Worked:
    ratio = _even_value(facts)
    gap, live, dead = (Fraction(facts[f"framing.{name}"]) for name in ("clear gap", "live load", "dead load"))
    rating, layers, each = _stiff(facts)
    span, stiff, sag = gap + BEARING, layers * each, ratio * gap
    steps = (
        _stiff_step(layers, each),
        Step("l = clear gap + 1/4 in", f"{inches(gap)} + 1/4", f"{inches(span)} in"),
        Step(
            "sag = w x l^4 / (1743.12 x EI)",
            f"({plain(live)} + {plain(dead)}) x {plain(span)}^4 / (1743.12 x {plain(stiff)})",
            f"{plain(sag)} in",
        ),
        Step("deflection = sag / clear gap", f"{plain(sag)} / {plain(gap)}", f"L/{plain(1 / ratio)}"),
    )
    line = f"{stiffness(ratio)} between joists under {plain(live + dead)} psf, {_described(rating, layers, gap)}"
    return Worked(ratio, steps, line, _assumed(layers))


def _heavy_value(facts: Facts) -> Fraction:
    gap = over_nothing(facts["framing.clear gap"], "a gap between joists", A_GAP)
    _, layers, each = _stiff(facts)
    return strip_sag(HEAVY_FOOT, gap + BEARING, layers * each) / gap


def _heavy(facts: Facts) -> Worked:
    ratio, gap = _heavy_value(facts), Fraction(facts["framing.clear gap"])
    rating, layers, each = _stiff(facts)
    span, stiff, sag = gap + BEARING, layers * each, ratio * gap
    steps = (
        _stiff_step(layers, each),
        Step("l = clear gap + 1/4 in", f"{inches(gap)} + 1/4", f"{inches(span)} in"),
        Step(
            "sag = 7 x P x l^3 / (480 x EI x width)",
            f"7 x 300 x {plain(span)}^3 / (480 x {plain(stiff)} x {plain(STRIP)})",
            f"{plain(sag)} in",
        ),
        Step("deflection = sag / clear gap", f"{plain(sag)} / {plain(gap)}", f"L/{plain(1 / ratio)}"),
    )
    line = f"{stiffness(ratio)} under 300 lb on one place, {_described(rating, layers, gap)}"
    bound = "a strip 15-1/2 in wide carries all of it, set so that the floor published with L/400 comes to that"
    return Worked(ratio, steps, line, (bound, *_assumed(layers)))


_PANEL = (
    Input("framing.clear gap", "in", "up"),
    Input(
        "subfloor panel.span rating", "word", "words", usual=NOT_STAMPED, every=tuple(RATED),
        because="the weakest rating sold in that thickness",
    ),
    Input("subfloor panel.category", "word", "words", every=CATEGORIES),
    Input("subfloor panel.count", "count", "down", usual=Fraction(1), because="one layer is written"),
    Input(
        "subfloor panel.strength axis across", "word", "words", usual="yes", every=("no", "yes"),
        because="the strong way across the joists is how panels are laid",
    ),
)  # fmt: skip
_TABLE = {
    "from": "panel design specification",
    "section": "table 4A and span formulas",
    "edition": "2012",
    "known by": "remembered",
}
EVEN = Working(
    "subfloor deflection", "place.deflection between joists", "of span",
    (
        *_PANEL,
        Input(
            "framing.live load", "psf", "up", usual=Fraction(40),
            because="the code's floor live load for rooms other than sleeping rooms, table R301.5",
        ),
        Input("framing.dead load", "psf", "up", usual=Fraction(10), because="floors are compared at 50 psf in all"),
    ),
    _even, _TABLE, value_only=_even_value, places=FLOORS,
)  # fmt: skip
HEAVY = Working(
    "subfloor under 300 lb", "place.deflection under 300 lb", "of span", _PANEL, _heavy, _TABLE,
    "The width that carries the load is set by one published floor: two layers of 19/32 in over joists at 16 in, L/400 (tile association manual, subfloors).",
    value_only=_heavy_value, places=FLOORS,
)  # fmt: skip
