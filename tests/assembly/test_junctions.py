"""Junctions: those the shape makes, those that are written, and what they take from their places."""


import pytest

from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts import possible
from validator.facts.vocabulary import MAYBE, NONE, THERE
from validator.facts.vocabulary_reading import read_vocabulary

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
PLACES = """\
places:
  shower floor: {built up: [subfloor panel, foam pan, tile], drain: bonded flange}
  left wall: {kind: shower wall, built up: [board: foam, tile: {body: porcelain}]}
  right wall: {kind: shower wall, built up: [board: cement, tile: {body: stone}]}
"""


def junctions(text):
    return {s.name: s for s in read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE).subjects if s.sort == "junction"}


def words(known, name):
    return possible.in_words(VOCABULARY.fact(name), known[name].value)


def test_the_shape_makes_each_junction_once():
    names = [name for name in junctions(PLACES) if not name.startswith(("pipe", "drain", "floor"))]
    assert names == [
        "board seams, left wall", "board seams, right wall", "board to pan, left wall to shower floor",
        "board to pan, right wall to shower floor", "inside corners, left wall to right wall",
    ]  # fmt: skip


def test_only_places_of_one_room_meet():
    apart = PLACES.replace("left wall: {", "left wall: {room: hall, ").replace("right wall: {", "right wall: {room: attic, ")
    assert "inside corners, left wall to right wall" not in junctions(apart)


def test_a_junction_knows_its_first_place_and_what_only_the_second_has():
    found = junctions(PLACES)["board to pan, right wall to shower floor"]
    assert found.kind == "board to pan"
    assert words(found.known, "place.kind") == "shower wall"
    assert words(found.layers["tile"][0].known, "tile.body") == "stone"
    assert "foam pan" in found.layers
    assert words(found.known, "drain.kind") == "bonded flange"
    assert found.known["junction"].value == THERE


def test_a_board_that_may_not_be_there_has_seams_that_may_not_be():
    found = junctions("places: {shower wall: {built up: [board: foam or none, tile]}}")["board seams, shower wall"]
    assert found.known["junction"].value == MAYBE


@pytest.mark.parametrize(
    ("written", "thing", "expected"),
    [
        ("", "tape", MAYBE),
        ("junctions: {board seams: {tape: none}}", "tape", NONE),
        ("junctions: {board seams: {tape width: 2 in}}", "tape", THERE),
        ("junctions: {board seams: {tape: unknown}}", "tape", MAYBE),
        ("junctions: {board seams: not known}", "tape", MAYBE),
        ("junctions: {all others: none}", "tape", NONE),
        ("junctions: {board seams: {tape: there}, all others: none}", "sealant", NONE),
        ("junctions: {board seams: {tape: paper, left wall: {coats: 2}}}", "tape", MAYBE),
    ],
)
def test_what_is_put_on_a_junction_is_written_asked_or_closed(written, thing, expected):
    assert junctions(PLACES + written)["board seams, left wall"].known[thing].value == expected


def test_a_junction_written_from_place_to_place_replaces_its_kind_whole():
    found = junctions(PLACES + "junctions: {board to pan: {coats: 2, tape: paper, left wall to shower floor: {coats: 1}}}")
    assert found["board to pan, left wall to shower floor"].known["junction.coats"].value == (1, 1)
    assert "tape.material" not in found["board to pan, left wall to shower floor"].known
    assert found["board to pan, right wall to shower floor"].known["junction.coats"].value == (2, 2)


def test_a_junction_that_is_written_not_to_be_is_not_judged():
    assert "board seams, left wall" not in junctions(PLACES + "junctions: {board seams: none}")


def test_a_junction_that_no_shape_makes_is_judged_where_it_is_written():
    found = junctions(PLACES + "junctions: {top edge: {kind: outside corners, at: left wall, sealed: yes}, pan seams: {coats: 2}}")
    assert words(found["outside corners, left wall"].known, "junction.sealed") == "yes"
    assert found["pan seams"].known["junction.coats"].value == (2, 2)


def test_a_place_is_no_junction_and_the_job_has_no_layers():
    subjects = read_assembly(PLACES, "bath.yaml", VOCABULARY, CATALOGUE).subjects
    assert {s.known["junction"].value for s in subjects if s.sort == "place"} == {NONE}
    assert subjects[-1].layers == {}
