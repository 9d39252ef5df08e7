"""A floor on the ground is asked nothing of joists, studs and screws, and one that is too slippery is told so at once."""

import pytest

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report

STAIRS = """\
assembly: stairs in the garden
use: {building: house}
places:
  exterior stairs:
    built up:
      - slab: {SLAB}
      - membrane: liquid
      - thinset: A118.4
      - tile: {body: porcelain, size: 12 x 24 in, wet DCOF: 0.30, pattern: straight}
      - grout: {joint: 3/16 in}
"""


def report(slab: str, loaded: LoadedBook) -> Report:
    (assembly,) = read_assembly(STAIRS.replace("{SLAB}", slab), "stairs.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    return check(assembly, loaded)


def asked(told: Report) -> set[str]:
    return {item.fact for item in told.open_items}


def test_stairs_on_the_ground_are_asked_nothing_of_framing_or_of_what_holds_a_board(loaded: LoadedBook) -> None:
    could = {item.fact for item in report("on ground", loaded).open_items if item.would_be}
    assert {fact for fact in could if fact.partition(".")[0] in ("framing", "screw", "board")} == set()


@pytest.mark.parametrize("slab", ["on ground", "suspended", "there"])
def test_whether_a_slab_is_held_up_is_one_question(slab: str, loaded: LoadedBook) -> None:
    facts = asked(report(slab, loaded))
    assert "place.above ground slab" not in facts
    assert ("slab.kind" in facts) == (slab == "there")


def test_a_wet_value_under_that_of_any_wet_floor_is_a_warning_whatever_is_declared(loaded: LoadedBook) -> None:
    """A maker may declare a tile for outdoors whatever its value, so that only common practice speaks and it warns."""
    outcomes = {finding.rule: finding.outcome for finding in report("on ground", loaded).findings}
    assert outcomes["demanding-floor-grips-as-a-wet-one-does"] == "warn"
    assert "demanding-floor-has-declared-tile" not in outcomes  # the standard has no value for stairs


def test_what_was_seen_below_settles_whether_the_slab_is_held_up(loaded: LoadedBook) -> None:
    """Said of the place itself, it is taken as it is said."""
    text = STAIRS.replace("{SLAB}", "there") + "    above ground slab: yes\n    below: open air\n"
    (assembly,) = read_assembly(text, "stairs.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    assert "raised-slab-outdoors-has-a-membrane" in {finding.rule for finding in check(assembly, loaded).findings if finding.outcome == "pass"}
