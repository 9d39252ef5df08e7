"""Praise is only for what was stated, could have been otherwise, and is met; that what is wrong is not there earns no word."""

import pytest

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook

WALL = """\
assembly: A wall
places:
  wall:
    kind: {kind}
    built up:
      - board: {{material: cement, thickness: 1/2 in}}
      - membrane: {{kind: liquid, coats: 2}}
      - tile mortar: {{kind: {mortar}}}
      - tile: {{body: porcelain, format: tile, size: 12 x 24 in}}
      - grout: {{joint: 1/8 in}}
"""


def praised(loaded: LoadedBook, text: str) -> dict[str, str]:
    report = check(read_assembly(text, "a.yaml", loaded.vocabulary, loaded.catalogue), loaded, passes=False)
    return {each.rule: each.found for each in report.as_told.sound}


@pytest.mark.parametrize("rule", ["ledger-stone-stays-out-of-the-wet", "mastic-stays-dry", "wet-walls-are-not-old-panels"])
def test_nobody_is_praised_for_what_nobody_thought_of(loaded: LoadedBook, rule: str) -> None:
    text = WALL.format(kind="shower wall", mortar="modified cement")
    assert rule not in praised(loaded, text)


def test_what_was_chosen_rightly_is_praised(loaded: LoadedBook) -> None:
    sound = praised(loaded, WALL.format(kind="shower wall", mortar="modified cement"))
    assert sound["wet-wall-backer-is-made-for-water"] == "board material cement"
    assert sound["liquid-membrane-has-two-coats"] == "membrane coats 2"
    assert sound["joint-is-never-under-a-sixteenth"] == "grout joint 1/8 in (3.2 mm)"


def test_a_no_that_was_said_for_its_own_sake_is_praised(loaded: LoadedBook) -> None:
    floor = "assembly: A floor\nplaces: {floor: {kind: shower floor, curb: {material: masonry, pierced: no}}}"
    assert "curb-waterproofing-not-pierced" in praised(loaded, floor)
    assert "curb-waterproofing-not-pierced" not in praised(loaded, floor.replace(", pierced: no", ""))


def test_what_is_only_taken_as_usual_is_never_praised(loaded: LoadedBook) -> None:
    text = WALL.format(kind="shower wall", mortar="modified cement").replace("coats: 2", "coats: unknown").replace("joint: 1/8 in", "joint: unknown")
    assert not {"liquid-membrane-has-two-coats", "joint-is-never-under-a-sixteenth"} & praised(loaded, text).keys()


def test_no_rule_of_the_shelf_is_praised_for_ruling_out_alone(loaded: LoadedBook) -> None:
    """Of each rule that has a way worth a word, that way asks more than that one of several words is not the one."""
    ruling_out = {name for name, trees in loaded.book.trees.items() if not trees.ways and trees.severity != "advice"}
    assert {"mastic-stays-dry", "ledger-stone-stays-out-of-the-wet", "soft-flooring-comes-out"} <= ruling_out
    assert not {"board-screw-reaches-framing", "liquid-membrane-has-two-coats", "drain-clamps-the-liner"} & ruling_out


def test_what_would_do_the_gravest_harm_is_praised_first(loaded: LoadedBook) -> None:
    report = check(read_assembly(WALL.format(kind="shower wall", mortar="modified cement"), "a.yaml", loaded.vocabulary, {}), loaded, passes=False)
    severities = [loaded.book.rules[each.rule].severity for each in report.as_told.sound]
    assert severities == sorted(severities, key=("fail", "warn").index)
