"""Sawn joists as they are sold: true sizes, and the bending strength and stiffness each grade is given.

Units: inches, psi. Raises `WorkingProblem` for a size nobody saws, a species or grade not in the tables, a grade that
is not sold in that species, and members whose strength only their maker knows.
Sources: dressed sizes, national design specification for wood construction (NDS) supplement, table 1B. Design values,
NDS supplement tables 4A (Douglas fir-larch, hem-fir, spruce-pine-fir) and 4B (southern pine), from memory, then held
against the published span tables that were made from them; which cells, tests/workings/published/joist_spans.csv says.
Wet service: 0.85 on bending strength where it is over 1150 psi and 0.90 on stiffness, a building handbook's table 10.6.
"""

from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from .working import WorkingProblem, inches

DEPTHS: dict[str, Fraction] = {
    "4": Fraction(7, 2), "6": Fraction(11, 2), "8": Fraction(29, 4), "10": Fraction(37, 4), "12": Fraction(45, 4),
}  # fmt: skip
BREADTHS: dict[str, Fraction] = {"2": Fraction(3, 2), "3": Fraction(5, 2), "4": Fraction(7, 2)}
JOISTS = ("2x4", "2x6", "2x8", "2x10", "2x12")
BEAMS = ("3x6", "3x8", "3x10", "3x12", "4x4", "4x6", "4x8", "4x10", "4x12")
SIZES = (*JOISTS, *BEAMS)

# Bending design values are for a joist two inches wide nominal; the size factor C_F raises the shallow ones. Between two
# sizes that are sawn it is taken between theirs. Southern pine is published size by size, so its factor is 1. What the
# tables give a beam four inches wide on top of this is left out.
SIZE_FACTORS: tuple[tuple[Fraction, Fraction], ...] = (
    (Fraction(7, 2), Fraction(3, 2)), (Fraction(11, 2), Fraction(13, 10)), (Fraction(29, 4), Fraction(6, 5)),
    (Fraction(37, 4), Fraction(11, 10)), (Fraction(45, 4), Fraction(1)), (Fraction(53, 4), Fraction(9, 10)),
)  # fmt: skip
PAST_12 = Fraction(9, 10)  # southern pine deeper than a 2x12, table 4B
WET_BENDING, WET_STIFFNESS, DRY_TO = Fraction(85, 100), Fraction(9, 10), 1150  # C_M; not on strength up to 1150 psi
REPETITIVE = Fraction(23, 20)  # C_r, three or more joists not over 24 in apart, NDS 4.3.9

SPECIES = ("Douglas fir-larch", "hem-fir", "spruce-pine-fir", "southern pine")
GRADES = ("select structural", "no. 1", "no. 2", "no. 3")
ENGINEERED = ("i-joist", "floor truss", "open-web truss", "truss", "steel joist", "laminated veneer lumber", "lvl", "glulam", "engineered joist")
MAKERS_FIGURE = "the deflection or the greatest span that the maker's table gives for it"
ALSO_SAID = {
    "douglas fir-larch": "Douglas fir-larch", "df-l": "Douglas fir-larch", "dfl": "Douglas fir-larch",
    "douglas fir": "Douglas fir-larch",
    "douglas-fir-larch": "Douglas fir-larch", "hf": "hem-fir", "hem fir": "hem-fir", "spf": "spruce-pine-fir",
    "spruce pine fir": "spruce-pine-fir", "sp": "southern pine", "syp": "southern pine",
    "southern yellow pine": "southern pine", "ss": "select structural", "1": "no. 1", "2": "no. 2", "3": "no. 3",
    "no.1": "no. 1", "no.2": "no. 2", "no.3": "no. 3", "no 1": "no. 1", "no 2": "no. 2", "no 3": "no. 3",
    "#1": "no. 1", "#2": "no. 2", "#3": "no. 3",
}  # fmt: skip


class DesignValues(NamedTuple):
    """What a grade of a species is given: bending strength before factors, size factor, stiffness (all psi)."""

    bending: Fraction
    size_factor: Fraction
    stiffness: int


# species -> grade -> (Fb, E), table 4A
_BY_GRADE: dict[str, dict[str, dict[str, tuple[int, int]]]] = {
    "current": {
        "Douglas fir-larch": {
            "select structural": (1500, 1_900_000),
            "no. 1 and better": (1200, 1_800_000),
            "no. 1": (1000, 1_700_000),
            "no. 2": (900, 1_600_000),
            "no. 3": (525, 1_400_000),
        },
        "hem-fir": {
            "select structural": (1400, 1_600_000),
            "no. 1 and better": (1100, 1_500_000),
            "no. 1": (975, 1_500_000),
            "no. 2": (850, 1_300_000),
            "no. 3": (500, 1_200_000),
        },
        "spruce-pine-fir": {
            "select structural": (1250, 1_500_000),
            "no. 1": (875, 1_400_000),
            "no. 2": (875, 1_400_000),
            "no. 3": (500, 1_200_000),
        },
    },
    "2012": {"Douglas fir-larch": {"no. 2": (875, 1_600_000)}},
    "1990s": {"hem-fir": {"no. 1": (950, 1_500_000)}},
}
# grade -> Fb of 2x4, 2x6, 2x8, 2x10, 2x12, then E, table 4B
_SOUTHERN_PINE: dict[str, dict[str, tuple[tuple[int, ...], int]]] = {
    "current": {
        "select structural": ((2350, 2100, 1950, 1700, 1600), 1_800_000),
        "no. 1": ((1500, 1350, 1250, 1050, 1000), 1_600_000),
        "no. 2": ((1100, 1000, 925, 800, 750), 1_400_000),
        "no. 3": ((650, 575, 525, 475, 450), 1_300_000),
    },
    "2012": {
        "select structural": ((2850, 2550, 2300, 2050, 1900), 1_800_000),
        "no. 1": ((1850, 1650, 1500, 1300, 1250), 1_700_000),
        "no. 2": ((1500, 1250, 1200, 1050, 975), 1_600_000),
        "no. 3": ((850, 750, 700, 600, 575), 1_400_000),
    },
}
# current: design values in force since 1 June 2013, in the span tables from the 2015 code on
# 2012: design values behind the 2012 span tables, before southern pine was lowered on 1 June 2013
# 1990s: design values behind the span tables of the 1990s
# an edition that does not list a grade keeps the value of the edition after it
_FALLS_BACK = {"current": ("current",), "2012": ("2012", "current"), "1990s": ("1990s", "2012", "current")}


def usual_word(word: str) -> str:
    """The vocabulary's word for a species or grade written short (`SPF`, `#2`)."""
    low = word.strip().lower()
    return ALSO_SAID.get(low, low)


def true_size(size: str) -> tuple[Fraction, Fraction]:
    """True breadth and depth in inches of a joist named by its nominal size."""
    low = size.strip().lower().replace(" ", "")
    if low in SIZES:
        breadth, _, depth = low.partition("x")
        return BREADTHS[breadth], DEPTHS[depth]
    if size.strip().lower() in ENGINEERED:
        raise WorkingProblem(
            f"the strength of an engineered member ({size}) is known only to its maker",
            MAKERS_FIGURE,
            "beyond the sum",
        )
    raise WorkingProblem(f"no joist is sawn as {size}", ", ".join(SIZES))


def named(breadth: Fraction, depth: Fraction) -> str:
    """The nominal size of a dressed joist; else both sides as a tape reads them."""
    known = {true_size(size): size for size in SIZES}
    return known.get((breadth, depth)) or f"{inches(breadth)} x {inches(depth)} in joist"


def _between(depth: Fraction, table: tuple[tuple[Fraction, Fraction], ...]) -> Fraction:
    """The value for a depth: of the next depths that are listed, in proportion; at the ends, that of the end."""
    for (low, at_low), (high, at_high) in pairwise(table):
        if depth <= high:
            return at_low + (max(depth, low) - low) / (high - low) * (at_high - at_low)
    return table[-1][1]


@lru_cache(maxsize=512)
def design_values(species: str, grade: str, depth: Fraction, edition: str = "current") -> DesignValues:
    """Strength and stiffness of one grade of one species at one true depth, by edition of the tables."""
    species, grade = usual_word(species), usual_word(grade)
    editions = _FALLS_BACK.get(edition)
    if editions is None:
        raise WorkingProblem(f"no design values are kept for the edition {edition}", ", ".join(_FALLS_BACK))
    if species not in SPECIES:
        raise WorkingProblem(f"no design values are kept for the species {species}", ", ".join(SPECIES))
    sold: list[str] = []
    for each in editions:
        if species == "southern pine":
            by_size = _SOUTHERN_PINE.get(each, {})
            if grade in by_size:
                strengths, modulus = by_size[grade]
                table = [(d, Fraction(s)) for d, s in zip(DEPTHS.values(), strengths, strict=True)]
                table.append((SIZE_FACTORS[-1][0], table[-1][1] * PAST_12))
                return DesignValues(_between(depth, tuple(table)), Fraction(1), modulus)
            sold.extend(by_size)
        else:
            by_grade = _BY_GRADE.get(each, {}).get(species, {})
            if grade in by_grade:
                strength, modulus = by_grade[grade]
                return DesignValues(Fraction(strength), _between(depth, SIZE_FACTORS), modulus)
            sold.extend(by_grade)
    raise WorkingProblem(f"{species} is not sold as {grade}", ", ".join(dict.fromkeys(sold)), "never together")
