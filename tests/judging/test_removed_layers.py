"""What hangs on a layer alone is neither asked nor checked where it is to be removed; in any other state it is, or where none is said."""

import pytest

from validator.assembly import read_assembly
from validator.facts.vocabulary import NONE
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


def test_what_hangs_on_another_thing_too_is_not_asked_for_a_layer_that_goes(loaded: LoadedBook) -> None:
    """How far a screw reaches hangs on its own length and on the board that it goes through, and that comes out."""
    assert "screw.length" in asked(loaded, "board: {material: cement}")
    assert "screw.length" not in asked(loaded, "subfloor panel: {material: plywood}", "board: {material: cement, state: to be removed}")


# -- what comes out is not judged as if it stayed --------------------------------------------------------------------------------


def read(loaded: LoadedBook, *layers: str, use: str = "building: house"):
    text = FLOOR.format(layers=", ".join(("subfloor panel: {material: plywood, thickness: 3/4 in}", *layers))) + f"use: {{{use}}}\n"
    return read_assembly(text, "a floor", loaded.vocabulary, loaded.catalogue)


def told(loaded: LoadedBook, *layers: str, use: str = "building: house"):
    return check(read(loaded, *layers, use=use), loaded, passes=False).as_told


@pytest.mark.parametrize("layer", ["existing finish: {material: parquet%s}", "existing finish: {material: vinyl tile, layers: 2%s}"])
def test_an_old_floor_that_comes_out_breaches_nothing_that_it_would_breach_under_tile(loaded: LoadedBook, layer: str) -> None:
    stays, goes = ({finding.rule for finding in told(loaded, layer % state).findings} for state in ("", REMOVED))
    assert stays & {"soft-flooring-comes-out", "one-layer-of-vinyl-stays"} and not goes & {"soft-flooring-comes-out", "one-layer-of-vinyl-stays"}


def test_what_comes_out_neither_weighs_on_the_floor_nor_is_bought(loaded: LoadedBook) -> None:
    old = "mortar bed: {thickness: 2 in%s}, tile: {body: stone, thickness: 3/4 in, size: 12 x 12 in%s}"
    nothing, stays, goes = (
        loaded.engine.derive(next(each for each in read(loaded, *layers).subjects if each.name == "hall"))
        for layers in ((), (old % (", state: existing", ", state: existing"),), (old % (REMOVED, REMOVED),))
    )
    load = loaded.vocabulary.slot("framing.dead load of the layers")
    assert goes.vector[load] == nothing.vector[load] != stays.vector[load]
    bought = [[product.thing for product in each.subject.products] for each in (nothing, goes)]
    assert bought[0] == bought[1] and "mortar bed" not in bought[1]


@pytest.mark.parametrize("layers", [("vinyl tile",), ("parquet", "vinyl tile"), ("vinyl tile", "ceramic tile"), ("cutback adhesive",)])
@pytest.mark.parametrize("state", ["", REMOVED])
def test_old_flooring_that_may_hold_asbestos_is_warned_of_whether_it_stays_or_goes(loaded: LoadedBook, layers: tuple[str, ...], state: str) -> None:
    verdict = told(loaded, *(f"existing finish: {{material: {each}{state}}}" for each in layers), use="year built: 1962")
    assert any("asbestos" in caution for caution in verdict.cautions)


def test_of_old_flooring_that_comes_out_a_test_is_still_advised(loaded: LoadedBook) -> None:
    advised = [
        each for each in check(read(loaded, "existing finish: {material: vinyl tile, tested for asbestos: no, state: to be removed}", use="year built: 1962"), loaded).findings
        if each.outcome == "advice"
    ]  # fmt: skip
    assert "removed-flooring-is-tested-for-asbestos" in {each.rule for each in advised}


def test_where_the_old_backing_comes_out_what_takes_its_place_is_asked(loaded: LoadedBook) -> None:
    wall = "assembly: A wall\nplaces: {wall: {kind: shower wall, built up: [board: {material: plain gypsum, state: to be removed}, tile: porcelain]}}"
    verdict = check(read_assembly(wall, "a wall", loaded.vocabulary, {}), loaded, passes=False).as_told
    facts = {fact for each in verdict.questions for fact in each.facts}
    assert not any("gypsum" in finding.found for finding in verdict.findings)
    assert facts & {"board", "place.waterproofed", "place.bonding surface"}


def test_a_layer_that_goes_is_still_one_of_those_that_were_written(loaded: LoadedBook) -> None:
    hall = next(each for each in read(loaded, "existing finish: {material: parquet, state: to be removed}").subjects if each.name == "hall")
    assert [each.thing for each in hall.taken_out] == ["existing finish"] == [each.thing for each in hall.written("existing finish")]
    assert "existing finish" not in hall.layers and hall.known["existing finish"].value == NONE
