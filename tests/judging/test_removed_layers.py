"""What hangs on a layer alone is neither asked nor checked where it is to be removed; in any other state it is, or where none is said."""

import pytest

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook

FLOOR = """\
assembly: A floor
framing: {{material: wood}}
places:
  hall:
    kind: room floor
    built up: [{layers}, membrane: {{kind: sheet}}, tile mortar, tile: {{body: porcelain, state: planned}}, grout]
"""
# Of each layer what is asked of one that stays, and what is checked of it, with nothing said but its material.
ASKED = {
    "subfloor panel: {material: plywood%s}": {"subfloor panel.edges", "subfloor panel.span rating"},
    "existing finish: {material: ceramic tile%s}": {"existing finish.cracked", "existing finish.well bonded", "existing finish.cleaned"},
    "board: {material: cement%s}": {"board.laid in mortar", "board.joints staggered"},
}
STATES = {"unsaid": "", **{word: f", state: {word}" for word in ("existing", "damaged", "planned", "new", "existing or to be removed")}}
REMOVED = ", state: to be removed"


def asked(loaded: LoadedBook, *layers: str) -> set[str]:
    """The facts of every question and every check."""
    assembly = read_assembly(FLOOR.format(layers=", ".join(layers)), "a floor", loaded.vocabulary, loaded.catalogue)
    report = check(assembly, loaded, passes=False).as_told
    return {fact for each in (*report.questions, *report.checks) for fact in each.facts}


@pytest.mark.parametrize("layer", ASKED)
def test_of_a_layer_to_be_removed_none_of_that_is_asked(loaded: LoadedBook, layer: str) -> None:
    assert not ASKED[layer] & asked(loaded, layer % REMOVED)


@pytest.mark.parametrize("state", STATES.values(), ids=STATES)
@pytest.mark.parametrize("layer", ASKED)
def test_of_a_layer_that_stays_or_may_stay_it_is(loaded: LoadedBook, layer: str, state: str) -> None:
    assert ASKED[layer] <= asked(loaded, layer % state)


@pytest.mark.parametrize("layer", ASKED)
def test_of_two_layers_of_a_kind_one_that_goes_does_not_silence_what_is_asked_of_the_other(loaded: LoadedBook, layer: str) -> None:
    assert ASKED[layer] & asked(loaded, layer % REMOVED, layer % ", state: existing")


def test_what_is_asked_of_other_layers_is_still_asked(loaded: LoadedBook) -> None:
    gone, stays = list(ASKED)[:2]
    assert ASKED[stays] <= asked(loaded, gone % REMOVED, stays % ", state: existing")


def test_what_hangs_on_another_thing_too_is_still_asked(loaded: LoadedBook) -> None:
    """How far a screw reaches hangs on its own length and on the board that it goes through."""
    assert "screw.length" in asked(loaded, "board: {material: cement, state: to be removed}")
