"""Numbers that codes and standards print, put to the rules of the real book: on the number, a little inside, a little outside.

Each expectation is worked by hand from the publication named beside it, and none from the book. Joist spans, deflection and
the other sums are held against their publications in the tests of the workings.
"""

from fractions import Fraction

import pytest

from validator.judging.loading import LoadedBook
from validator.language.source import Where
from validator.proving.case_subjects import subject_of_case
from validator.proving.coming import expected_word


def outcome(loaded: LoadedBook, rule: str, **facts: str) -> str:
    """What a rule comes to in a place of which only these facts are known; `place__fall` is `place.fall`."""
    compiled = next(each for each in loaded.engine.rules if each.rule.name == rule)
    written = {name.replace("__", ".").replace("_", " "): text for name, text in facts.items()}
    subject = subject_of_case(written, compiled.sort, loaded.vocabulary, "a place", Where("here", 1, 1))
    return expected_word(loaded.engine.judge_rule(compiled, loaded.engine.derive(subject)))


# -- the shower's numbers in the codes --------------------------------------------------------------------------------------------

FALLS = [Fraction(n, 64) for n in range(65)]  # inches in a foot, from flat to 1:12


@pytest.mark.parametrize("fall", FALLS, ids=str)
def test_a_shower_floor_falls_from_1_in_48_to_1_in_24(loaded: LoadedBook, fall: Fraction) -> None:
    """Residential code P2709.1: a quarter of an inch in a foot at least (it prints 2 percent for it), half an inch at most."""
    came = outcome(loaded, "shower-floor-falls-to-the-drain", place__kind="shower floor", place__fall=f"{fall} in per ft")
    assert came == ("pass" if Fraction(1, 48) <= fall / 12 <= Fraction(1, 24) else "fail")


@pytest.mark.parametrize(
    ("fall", "expected"),
    [("1:48", "pass"), ("1:49", "pass"), ("1:50", "pass"), ("2 %", "pass"), ("1:51", "fail"), ("1.99 %", "fail"), ("1:24", "pass"),
     ("1:23", "fail"), ("20.8 mm per m", "pass"), ("1/4 to 1/2 in per ft", "pass"), ("1/8 to 1/4 in per ft", "open")],
)  # fmt: skip
def test_the_window_is_the_same_however_the_fall_is_written(loaded: LoadedBook, fall: str, expected: str) -> None:
    """P2709.1 as above. What it prints, 1:48 and 2 percent, is one limit; between the two is on it, and nothing else is."""
    assert outcome(loaded, "shower-floor-falls-to-the-drain", place__kind="shower floor", place__fall=fall) == expected


@pytest.mark.parametrize("code", ["residential", "uniform"])
@pytest.mark.parametrize(
    ("height", "expected"), [("2 in", "pass"), ("1-63/64 in", "fail"), ("9 in", "pass"), ("9-1/32 in", "fail"), ("5 in", "pass"), ("0 in", "fail")]
)  # fmt: skip
def test_a_curb_stands_2_to_9_in_above_the_drain(loaded: LoadedBook, code: str, height: str, expected: str) -> None:
    """Residential code P2709.1 and uniform plumbing code 408.5: 2 in (51 mm) to 9 in (229 mm) above the drain's top."""
    facts = {"place__kind": "shower floor", "job__code_family": code, "curb__height_above_drain": height}
    assert outcome(loaded, "curb-high-enough-above-the-drain", **facts) == expected


@pytest.mark.parametrize("code", ["residential", "uniform"])
@pytest.mark.parametrize(("drop", "expected"), [("1 in", "pass"), ("31/32 in", "fail"), ("2 in", "pass")])
def test_a_finished_curb_is_an_inch_below_the_sides(loaded: LoadedBook, code: str, drop: str, expected: str) -> None:
    """Residential code P2709.1 and uniform plumbing code 408.5: 1 in, printed 25 mm too."""
    facts = {"place__kind": "shower floor", "job__code_family": code, "curb__below_sides": drop}
    assert outcome(loaded, "curb-lower-than-the-sides", **facts) == expected


@pytest.mark.parametrize(
    ("code", "height", "expected"),
    [
        ("residential", "3 in", "pass"), ("residential", "2-63/64 in", "fail"),  # P2709.2
        ("uniform", "3 in", "pass"), ("uniform", "2-63/64 in", "fail"),  # uniform plumbing code 408.7
        ("international", "2 in", "pass"),  # international plumbing code 421.5.2, from memory: so it only warns
        ("international", "1-63/64 in", "fail"),
        ("not stated", "3 in", "pass"), ("not stated", "2-1/2 in", "open"),
    ],
)  # fmt: skip
def test_a_liner_is_turned_up_above_the_threshold_by_the_code_in_force(loaded: LoadedBook, code: str, height: str, expected: str) -> None:
    facts = {"place__kind": "shower floor", "job__code_family": code, "liner__height_above_threshold": height}
    assert outcome(loaded, "liner-turned-up-above-the-threshold", **facts) == expected


@pytest.mark.parametrize(
    ("code", "size", "expected"),
    [
        ("residential", "30 x 30 in", "pass"),  # P2708.1: 900 sq in
        ("residential", "30 x 29-63/64 in", "fail"),
        ("international", "30 x 30 in", "pass"),  # 421.4: the same
        ("international", "25 x 35-63/64 in", "fail"),
        ("uniform", "32 x 32 in", "pass"),  # 408.6: 1024 sq in
        ("uniform", "32 x 31-63/64 in", "fail"),
    ],
)
def test_a_shower_has_the_area_that_its_code_asks_for(loaded: LoadedBook, code: str, size: str, expected: str) -> None:
    facts = {"place__kind": "shower floor", "job__code_family": code, "place__size": size}
    assert outcome(loaded, "shower-large-enough", **facts) == expected


@pytest.mark.parametrize(
    ("size", "expected"),
    [("30 x 40 in", "pass"), ("29-63/64 x 40 in", "fail"), ("25 x 52 in", "pass"), ("24-63/64 x 60 in", "fail"), ("25 x 51-63/64 in", "fail")],
)  # fmt: skip
def test_a_shower_is_30_in_wide_or_a_long_one_25(loaded: LoadedBook, size: str, expected: str) -> None:
    """Residential code P2708.1: 30 in; or 25 in where the compartment is at least 1300 sq in, which is 25 by 52."""
    facts = {"place__kind": "shower floor", "job__code_family": "residential", "place__size": size}
    assert outcome(loaded, "shower-wide-enough", **facts) == expected


# -- flatness and lippage ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "fact", "size", "stone", "gap", "expected"),
    [
        # Tile installation standard A108.02: with every edge under 15 in, 1/4 in in 10 ft and 1/16 in in 1 ft.
        ("surface-is-flat-over-10-ft", "over_10_ft", "12 x 12 in", "no", "1/4 in", "pass"),
        ("surface-is-flat-over-10-ft", "over_10_ft", "12 x 12 in", "no", "17/64 in", "fail"),
        ("surface-is-flat-over-10-ft", "over_10_ft", "14-63/64 x 12 in", "no", "1/4 in", "pass"),
        ("surface-is-flat-over-1-ft", "over_1_ft", "12 x 12 in", "no", "1/16 in", "pass"),
        ("surface-is-flat-over-1-ft", "over_1_ft", "12 x 12 in", "no", "5/64 in", "fail"),
        # The same standard with an edge of 15 in or more: 1/8 in in 10 ft and 1/16 in in 2 ft.
        ("surface-is-flat-over-10-ft", "over_10_ft", "15 x 12 in", "no", "1/8 in", "pass"),
        ("surface-is-flat-over-10-ft", "over_10_ft", "15 x 12 in", "no", "9/64 in", "fail"),
        ("surface-is-flat-over-2-ft", "over_2_ft", "12 x 24 in", "no", "1/16 in", "pass"),
        ("surface-is-flat-over-2-ft", "over_2_ft", "12 x 24 in", "no", "5/64 in", "fail"),
        # Stone design manual 3.8.4: 1/8 in in 10 ft, of any size.
        ("surface-is-flat-over-10-ft", "over_10_ft", "6 x 6 in", "yes", "1/8 in", "pass"),
        ("surface-is-flat-over-10-ft", "over_10_ft", "6 x 6 in", "yes", "9/64 in", "fail"),
    ],
)
def test_a_surface_is_as_flat_as_the_standard_asks(
    loaded: LoadedBook, rule: str, fact: str, size: str, stone: str, gap: str, expected: str
) -> None:
    facts = {"tile__size": size, "tile__is_stone": stone, f"flatness_check__{fact}": gap}
    assert outcome(loaded, rule, **facts) == expected


@pytest.mark.parametrize(
    ("joint", "warpage", "lippage", "expected"),
    [
        # Tile installation standard A108.02 4.3.7: 1/32 in at joints under 1/4 in, else 1/16 in; and the tile's own warpage.
        ("1/8 in", "0 in", "1/32 in", "pass"),
        ("1/8 in", "0 in", "3/64 in", "fail"),
        ("15/64 in", "0 in", "3/64 in", "fail"),
        ("1/4 in", "0 in", "1/16 in", "pass"),
        ("1/4 in", "0 in", "5/64 in", "fail"),
        ("1/8 in", "1/32 in", "1/16 in", "pass"),
        ("1/8 in", "1/32 in", "5/64 in", "fail"),
        ("1/4 in", "1/32 in", "3/32 in", "pass"),
        ("1/4 in", "1/32 in", "7/64 in", "fail"),
    ],
)
def test_lippage_is_what_the_joint_and_the_warpage_allow(loaded: LoadedBook, joint: str, warpage: str, lippage: str, expected: str) -> None:
    facts = {"tile__is_stone": "no", "grout__joint": joint, "tile__warpage": warpage, "lippage_check__greatest": lippage}
    assert outcome(loaded, "lippage-is-within-what-is-allowed", **facts) == expected


@pytest.mark.parametrize(("lippage", "expected"), [("1/32 in", "pass"), ("3/64 in", "fail")])
def test_stone_stands_up_by_no_more_than_a_thirty_second(loaded: LoadedBook, lippage: str, expected: str) -> None:
    """The stone institute's dimension stone design manual: 1/32 in."""
    assert outcome(loaded, "stone-lippage-is-small", tile__is_stone="yes", lippage_check__greatest=lippage) == expected


# -- mortar and its contact -------------------------------------------------------------------------------------------------------

DRY_FLOOR = {"place__exterior": "no", "place__is_floor": "yes", "place__needs_full_contact": "no"}
SHOWER = {"place__exterior": "no", "place__is_floor": "yes", "place__needs_full_contact": "yes"}
DRY_WALL = {"place__exterior": "no", "place__is_floor": "no", "place__needs_full_contact": "no"}


@pytest.mark.parametrize(
    ("place", "panel", "contact", "expected"),
    [
        # Tile installation standard A108.5: 80 percent inside, 95 in showers and outdoors.
        (DRY_FLOOR, "no", "80 %", "pass"), (DRY_FLOOR, "no", "79.9 %", "fail"),
        (SHOWER, "no", "95 %", "pass"), (SHOWER, "no", "94.9 %", "fail"),
        # A108.19, gauged panels inside: 85 percent on floors, 80 on walls.
        (DRY_FLOOR, "yes", "85 %", "pass"), (DRY_FLOOR, "yes", "84.9 %", "fail"),
        (DRY_WALL, "yes", "80 %", "pass"), (DRY_WALL, "yes", "79.9 %", "fail"),
    ],
)  # fmt: skip
@pytest.mark.parametrize("body", ["ceramic", "porcelain", "quarry"])
def test_mortar_covers_as_much_of_the_back_as_the_standard_asks(
    loaded: LoadedBook, place: dict[str, str], panel: str, contact: str, expected: str, body: str
) -> None:
    facts = {**place, "tile__body": body, "tile__is_gauged_panel": panel, "tile_mortar__contact": contact}
    assert outcome(loaded, "mortar-contact-is-enough", **facts) == expected


@pytest.mark.parametrize(("contact", "expected"), [("100 %", "pass"), ("99.9 %", "fail")])
def test_translucent_glass_is_bedded_whole(loaded: LoadedBook, contact: str, expected: str) -> None:
    """Commentary on the tile installation standard A108.14 to A108.16: 100 percent."""
    facts = {"tile__body": "glass", "tile__translucent": "yes", "tile_mortar__contact": contact}
    assert outcome(loaded, "translucent-glass-is-fully-bedded", **facts) == expected


@pytest.mark.parametrize(
    ("body", "exterior", "surface", "mortar", "expected"),
    [
        # Setting materials bulletin 5: outdoors modified mortar or epoxy; quarry tile inside on concrete modified mortar, epoxy,
        # epoxy emulsion or furan; otherwise any.
        ("porcelain", "yes", "concrete", "modified cement", "pass"),
        ("porcelain", "yes", "concrete", "unmodified cement", "fail"),
        ("ceramic", "yes", "cement board", "organic adhesive", "fail"),
        ("quarry", "no", "concrete", "modified cement", "pass"),
        ("quarry", "no", "concrete", "furan", "pass"),
        ("quarry", "no", "concrete", "unmodified cement", "fail"),
        ("quarry", "no", "mortar bed", "unmodified cement", "not applicable"),
        ("ceramic", "no", "cement board", "unmodified cement", "not applicable"),
    ],
)
def test_mortar_suits_the_tile_and_the_place(
    loaded: LoadedBook, body: str, exterior: str, surface: str, mortar: str, expected: str
) -> None:
    facts = {"tile__body": body, "place__exterior": exterior, "place__bonding_surface": surface, "tile_mortar__kind": mortar}
    assert outcome(loaded, "mortar-suits-tile-and-place", **facts) == expected
