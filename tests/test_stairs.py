"""A floor on the ground is asked nothing of joists, studs and screws, and one that is too slippery is told so at once."""

import pytest

from validator.assembly import read_assembly
from validator.checking import check
from validator.outcomes import Report
from validator.ready import Ready, ready_book
from validator.shelf import book_folder

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


@pytest.fixture(scope="module")
def ready() -> Ready:
    return ready_book(book_folder("us"))


def report(slab: str, ready: Ready) -> Report:
    (assembly,) = read_assembly(STAIRS.replace("{SLAB}", slab), "stairs.yaml", ready.vocabulary, ready.catalogue).to_judge()
    return check(assembly, ready)


def asked(told: Report) -> set[str]:
    return {item.fact for item in told.open_items}


def test_stairs_on_the_ground_are_asked_nothing_of_framing_or_of_what_holds_a_board(ready: Ready) -> None:
    assert {fact for fact in asked(report("on ground", ready)) if fact.partition(".")[0] in ("framing", "screw", "board")} == set()


@pytest.mark.parametrize("slab", ["on ground", "suspended", "there"])
def test_whether_a_slab_is_held_up_is_one_question(slab: str, ready: Ready) -> None:
    facts = asked(report(slab, ready))
    assert "place.above ground slab" not in facts
    assert ("slab.kind" in facts) == (slab == "there")


def test_a_wet_value_under_that_of_any_wet_floor_is_a_warning_whatever_is_declared(ready: Ready) -> None:
    """A maker may declare a tile for outdoors whatever its value, so that only common practice speaks and it warns."""
    outcomes = {finding.rule: finding.outcome for finding in report("on ground", ready).findings}
    assert outcomes["demanding-floor-grips-as-a-wet-one-does"] == "warn"
    assert outcomes["demanding-floor-has-declared-tile"] == "open"


def test_what_was_seen_below_settles_whether_the_slab_is_held_up(ready: Ready) -> None:
    """Said of the place itself, it is taken as it is said."""
    text = STAIRS.replace("{SLAB}", "there") + "    above ground slab: yes\n"
    (assembly,) = read_assembly(text, "stairs.yaml", ready.vocabulary, ready.catalogue).to_judge()
    assert "raised-slab-outdoors-has-a-membrane" in {finding.rule for finding in check(assembly, ready).findings if finding.outcome == "pass"}
