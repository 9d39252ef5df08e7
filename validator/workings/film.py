"""A liquid membrane's film: how thick it dries, how wet it must go on, and what the pails bought could make of it.

Units: mil of film, square feet, US gallons; solids and loss as parts of one. Raises `WorkingProblem` for films, areas
and pails that cannot be and for solids of nothing or over the whole.
Sources: definition of volume solids; one gallon is 231 cubic inches, so it covers 1604.17 square feet one mil deep.
"""

from collections.abc import Mapping
from fractions import Fraction

from .working import Input, Step, Worked, Working, WorkingProblem, over_nothing, plain

MIL_FEET = Fraction(231 * 1000, 144)  # square feet that a gallon covers one mil deep, 1604.17
Facts = Mapping[str, Fraction | str]
A_FILM = "more than nothing, such as 30 mil"
AN_AREA = "more than nothing, such as 80 sq ft"


def solids(value: Fraction | str) -> Fraction:
    """Volume solids as a part of one, refused unless over nothing and not over the whole."""
    if isinstance(value, str) or not 0 < value <= 1:
        shown = value if isinstance(value, str) else f"{plain(100 * value)} %"
        raise WorkingProblem(f"solids of {shown} cannot be", "over 0 % and up to 100 %")
    return value


def lost(value: Fraction | str) -> Fraction:
    """What stays in the pail and the roller, as a part of one, refused unless less than all."""
    if isinstance(value, str) or not 0 <= value < 1:
        shown = value if isinstance(value, str) else f"{plain(100 * value)} %"
        raise WorkingProblem(f"a loss of {shown} cannot be", "0 % and up, less than 100 %")
    return value


def coverage(wet: Fraction, loss: Fraction = Fraction(0)) -> Fraction:
    """Square feet that a gallon covers at a wet film in mil."""
    return MIL_FEET * (1 - lost(loss)) / over_nothing(wet, "a wet film", A_FILM)


def wet_film(dry: Fraction, solid: Fraction) -> Fraction:
    """Wet film in mil that dries to the film asked for."""
    return over_nothing(dry, "a dry film", A_FILM) / solids(solid)


def gallons(area: Fraction, dry: Fraction, solid: Fraction, loss: Fraction = Fraction(0)) -> Fraction:
    """US gallons for an area in square feet to dry to a film in mil."""
    return over_nothing(area, "an area", AN_AREA) / coverage(wet_film(dry, solid), loss)


def film_from(volume: Fraction, area: Fraction, solid: Fraction, loss: Fraction = Fraction(0)) -> Fraction:
    """The mean dry film in mil that so many gallons can make over an area in square feet."""
    spread = over_nothing(volume, "a quantity", "more than nothing, such as 2 gal") * MIL_FEET * (1 - lost(loss))
    return spread * solids(solid) / over_nothing(area, "an area", AN_AREA)


def _dry(facts: Facts) -> Worked:
    wet = over_nothing(facts["membrane.wet film thickness"], "a wet film", A_FILM)
    solid = solids(facts["membrane.solids"])
    dry = wet * solid
    step = Step("dry film = wet film x solids", f"{plain(wet)} x {plain(solid)}", f"{plain(dry)} mil")
    return Worked(
        dry, (step,), f"{plain(dry, 4)} mil dry from {plain(wet, 4)} mil wet at {plain(100 * solid, 3)} % solids"
    )


def _wet_called_for(facts: Facts) -> Worked:
    dry = over_nothing(facts["membrane.dry film called for"], "a dry film", A_FILM)
    solid = solids(facts["membrane.solids"])
    wet = wet_film(dry, solid)
    step = Step("wet film = dry film / solids", f"{plain(dry)} / {plain(solid)}", f"{plain(wet)} mil")
    line = f"{plain(wet, 4)} mil wet, all coats, dries to {plain(dry, 4)} mil at {plain(100 * solid, 3)} % solids"
    return Worked(wet, (step,), line)


def _wet(facts: Facts) -> Worked:
    dry = over_nothing(facts["membrane.dry film called for"], "a dry film", A_FILM)
    solid = solids(facts["membrane.solids"])
    coats = over_nothing(facts["membrane.coats"], "a number of coats", "1 or more")
    wet = wet_film(dry, solid)
    each = wet / coats
    steps = (
        Step("wet film = dry film / solids", f"{plain(dry)} / {plain(solid)}", f"{plain(wet)} mil"),
        Step("wet film of each coat = wet film / coats", f"{plain(wet)} / {plain(coats)}", f"{plain(each)} mil"),
    )
    line = f"{plain(each, 4)} mil wet in each of {plain(coats)} coats, {plain(wet, 4)} mil in all, dries to {plain(dry, 4)}"
    return Worked(each, steps, line)


def _needed(facts: Facts) -> Worked:
    area = over_nothing(facts["place.area"], "an area", AN_AREA)
    dry = over_nothing(facts["membrane.dry film called for"], "a dry film", A_FILM)
    solid, loss = solids(facts["membrane.solids"]), lost(facts["membrane.loss"])
    wet = wet_film(dry, solid)
    cover = coverage(wet, loss)
    volume = area / cover
    steps = (
        Step("wet film = dry film / solids", f"{plain(dry)} / {plain(solid)}", f"{plain(wet)} mil"),
        Step(
            "coverage = 1604.17 x (1 - loss) / wet film",
            f"1604.17 x (1 - {plain(loss)}) / {plain(wet)}",
            f"{plain(cover)} sq ft/gal",
        ),
        Step("gallons = area / coverage", f"{plain(area)} / {plain(cover)}", f"{plain(volume)} gal"),
    )
    line = f"{plain(volume, 4)} gal for {plain(area, 4)} sq ft to dry to {plain(dry, 4)} mil"
    return Worked(volume, steps, line)


def _possible(facts: Facts) -> Worked:
    volume = over_nothing(facts["membrane.quantity"], "a quantity", "more than nothing, such as 2 gal")
    area = over_nothing(facts["place.area"], "an area", AN_AREA)
    solid, loss = solids(facts["membrane.solids"]), lost(facts["membrane.loss"])
    wet = volume * MIL_FEET * (1 - loss) / area
    dry = film_from(volume, area, solid, loss)
    steps = (
        Step(
            "wet film = gallons x 1604.17 x (1 - loss) / area",
            f"{plain(volume)} x 1604.17 x (1 - {plain(loss)}) / {plain(area)}",
            f"{plain(wet)} mil",
        ),
        Step("dry film = wet film x solids", f"{plain(wet)} x {plain(solid)}", f"{plain(dry)} mil"),
    )
    line = f"at most {plain(dry, 4)} mil dry on the whole, {plain(volume, 4)} gal over {plain(area, 4)} sq ft"
    told = ("spread evenly and all used here; a quantity bought never proves a film, a gauge does",)
    return Worked(dry, steps, line, told)


_SOLIDS_UP = Input("membrane.solids", "part", "up", never_above=Fraction(1))
_SOLIDS_DOWN = Input("membrane.solids", "part", "down", never_above=Fraction(1))
_NO_LOSS = "nothing is written of what is left in the pail"
_SUM = {"from": "coating practice", "section": "definition of volume solids", "edition": "", "known by": "read second-hand"}

DRY_FILM = Working(
    "dry film", "membrane.dry film thickness", "mil",
    (Input("membrane.wet film thickness", "mil", "up"), _SOLIDS_UP), _dry, _SUM,
)  # fmt: skip
WET_CALLED_FOR = Working(
    "wet film called for", "membrane.wet film called for", "mil",
    (Input("membrane.dry film called for", "mil", "up"), _SOLIDS_DOWN), _wet_called_for, _SUM,
)  # fmt: skip
WET_EACH_COAT = Working(
    "wet film of each coat", "membrane.wet film of each coat", "mil",
    (
        Input("membrane.dry film called for", "mil", "up"), _SOLIDS_DOWN,
        Input("membrane.coats", "count", "down", usual=Fraction(2), because="two coats are common practice, no source"),
    ),
    _wet, _SUM,
)  # fmt: skip
NEEDED = Working(
    "membrane needed", "membrane.quantity needed", "gal",
    (
        Input("place.area", "sq ft", "up"), Input("membrane.dry film called for", "mil", "up"), _SOLIDS_DOWN,
        Input("membrane.loss", "part", "up", usual=Fraction(1, 10), because="a tenth left behind, common practice"),
    ),
    _needed, _SUM,
)  # fmt: skip
POSSIBLE = Working(
    "film from the quantity", "membrane.greatest film of the quantity", "mil",
    (
        Input("membrane.quantity", "gal", "up"), Input("place.area", "sq ft", "down"), _SOLIDS_UP,
        Input("membrane.loss", "part", "down", usual=Fraction(0), because=_NO_LOSS),
    ),
    _possible, _SUM,
)  # fmt: skip
