"""Sawn joists as they are sold: true sizes, and the bending strength and stiffness each grade is given.

Units: inches, psi. Raises `WorkingProblem` for a size nobody saws, a species or grade not in the tables, a grade that
is not sold in that species, and members whose strength only their maker knows.
Sources: dressed sizes, national design specification for wood construction (NDS) supplement, table 1B. Design values,
NDS supplement tables 4A (Douglas fir-larch, hem-fir, spruce-pine-fir) and 4B (southern pine), from memory, then held
against the published span tables that were made from them; which cells, tests/published/joist_spans.csv says.
"""

from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from .working import WorkingProblem

WIDTH = Fraction(3, 2)
DEPTHS: dict[str, Fraction] = {
    "2x4": Fraction(7, 2),
    "2x6": Fraction(11, 2),
    "2x8": Fraction(29, 4),
    "2x10": Fraction(37, 4),
    "2x12": Fraction(45, 4),
}
SIZES = tuple(DEPTHS)

# bending design values are for a joist two inches wide nominal; the size factor C_F raises the shallow ones.
# Southern pine is published size by size, so its factor is 1.
SIZE_FACTORS: dict[str, Fraction] = {
    "2x4": Fraction(3, 2),
    "2x6": Fraction(13, 10),
    "2x8": Fraction(6, 5),
    "2x10": Fraction(11, 10),
    "2x12": Fraction(1),
}
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

    bending: int
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


def depth(size: str) -> Fraction:
    """True depth in inches of a joist named by its nominal size."""
    low = size.strip().lower().replace(" ", "")
    found = DEPTHS.get(low)
    if found is not None:
        return found
    if size.strip().lower() in ENGINEERED:
        raise WorkingProblem(
            f"the strength of an engineered member ({size}) is known only to its maker",
            MAKERS_FIGURE,
            "beyond the sum",
        )
    raise WorkingProblem(f"no joist is sawn as {size}", ", ".join(SIZES))


@lru_cache(maxsize=512)
def design_values(species: str, grade: str, size: str, edition: str = "current") -> DesignValues:
    """Strength and stiffness of one grade of one species in one size, by edition of the tables."""
    species, grade, size = usual_word(species), usual_word(grade), size.strip().lower()
    editions = _FALLS_BACK.get(edition)
    if editions is None:
        raise WorkingProblem(f"no design values are kept for the edition {edition}", ", ".join(_FALLS_BACK))
    depth(size)
    if species not in SPECIES:
        raise WorkingProblem(f"no design values are kept for the species {species}", ", ".join(SPECIES))
    sold: list[str] = []
    for each in editions:
        if species == "southern pine":
            by_size = _SOUTHERN_PINE.get(each, {})
            if grade in by_size:
                strengths, modulus = by_size[grade]
                return DesignValues(strengths[SIZES.index(size)], Fraction(1), modulus)
            sold.extend(by_size)
        else:
            by_grade = _BY_GRADE.get(each, {}).get(species, {})
            if grade in by_grade:
                strength, modulus = by_grade[grade]
                return DesignValues(strength, SIZE_FACTORS[size], modulus)
            sold.extend(by_grade)
    raise WorkingProblem(f"{species} is not sold as {grade}", ", ".join(dict.fromkeys(sold)), "never together")
