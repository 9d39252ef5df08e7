"""A line that is written where people write it is read where it belongs, and a length is read of nothing but what it stands beside."""

import pytest
from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.possible import NOT_STATED, in_words
from validator.facts.vocabulary import NONE, THERE
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)


def subjects(text: str):
    return {subject.name: subject for subject in read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE).subjects}


def place(lines: str, name: str = "it", kind: str = "shower wall"):
    return subjects(f"places:\n  {name}:\n    kind: {kind}\n    {lines}\n")[name]


def said(subject, thing: str, fact: str) -> str:
    known = subject.layers[thing][0].known.get(f"{thing}.{fact}") if thing in subject.layers else subject.known.get(f"{thing}.{fact}")
    return "nothing" if known is None or known.origin == NOT_STATED else in_words(VOCABULARY.facts[f"{thing}.{fact}"], known.value)


def complaints(text: str) -> list[str]:
    with pytest.raises(BadAssembly) as bad:
        read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE)
    return [str(each) for each in bad.value.complaints]


@pytest.mark.parametrize(("studs", "spacing", "material"), [
    ("studs at 16 in", "16 in", "nothing"), ('wood studs 16" oc', "16 in", "wood"), ("metal studs @ 24", "24 in", "steel"),
    ("studs: 400 mm centres", "400 mm", "nothing"), ("steel studs: 16 in oc", "16 in", "steel"),
])  # fmt: skip
def test_framing_among_the_layers_is_the_framing_of_that_place(studs, spacing, material):
    wall = place(f"built up: [{{{studs}}}, cement board, tile]" if ": " in studs else f"built up: ['{studs}', cement board, tile]")
    assert said(wall, "framing", "spacing").split(" (")[0] == spacing and said(wall, "framing", "material") == material
    assert len(wall.layers["board"]) == 1


def test_a_places_own_framing_stands_beside_that_of_the_file():
    found = subjects("framing: {joist: 2x10, spacing: 12 in}\nplaces:\n  floor: {kind: room floor, built up: [3/4 plywood, tile]}\n"
                     "  wall: {kind: shower wall, built up: [studs at 16 in, cement board, tile]}\n")  # fmt: skip
    assert said(found["floor"], "framing", "spacing").startswith("12 in") and said(found["wall"], "framing", "spacing").startswith("16 in")
    assert said(found["floor"], "framing", "joist") == "2x10" and said(found["wall"], "framing", "joist") == "nothing"


def test_a_floor_on_a_slab_lies_on_it():
    floor = place("on: slab\n    built up: [thinset, tile]", kind="room floor")
    assert floor.layers["slab"][0].presence == THERE and said(floor, "tile", "lies on") == "slab"


def test_what_is_no_layer_among_the_layers_is_read_beside_them():
    floor = place("built up: [subfloor: 3/4 plywood, foam pan, tile, {drain: bonded flange}, {fall: 1/4 in per ft}]", kind="shower floor")
    assert said(floor, "drain", "kind") == "bonded flange" and said(floor, "place", "fall").startswith("1/4 in per ft")


def test_seams_among_the_layers_are_the_seams_of_the_place():
    seams = subjects("places:\n  it: {kind: shower wall, built up: [cement board, {seams: mesh tape and thinset}, tile]}\n")["board seams, it"]
    assert seams.known["tape"].value == THERE and said(seams, "tape", "bedded in") == "mortar"


def test_a_build_up_like_another_is_that_one():
    found = subjects("places:\n  back: {kind: shower wall, built up: [foam board, tile]}\n  side: {kind: shower wall, built up: {like: back}}\n"
                     "  far: {kind: shower wall, built up: same as back}\n")  # fmt: skip
    assert [said(found[name], "board", "material") for name in ("back", "side", "far")] == ["foam"] * 3


def test_a_fact_of_one_layer_written_in_the_place_is_read_of_that_layer():
    wall = place("built up: [cement board, {membrane: liquid}, tile]\n    wet film thickness: 30 mil")
    assert said(wall, "membrane", "wet film thickness").startswith("0.03 in")


def test_a_fact_that_several_layers_have_is_asked_back():
    told = complaints("places:\n  it:\n    kind: shower wall\n    built up: [cement board, {membrane: liquid}, tile]\n    thickness: 1/2 in\n")
    assert len(told) == 1 and "`thickness` is not a key of the place `it`" in told[0]


def test_a_record_at_the_top_is_a_record():
    floor = subjects("places:\n  it: {kind: shower floor, built up: [foam pan, tile]}\nflood test: {held: 24 h, result: level held}\n")["it"]
    assert floor.known["flood test"].value == THERE and said(floor, "flood test", "result") == "level held"


def test_the_climate_of_a_place_is_that_of_the_job():
    deck = place("built up: [slab, thinset, tile]\n    climate: snow, freeze thaw", kind="exterior deck")
    assert said(deck, "job", "climate") == "at least freezing winters"


def test_how_warm_it_was_in_one_of_several_places_is_not_said_of_all():
    one = "  {}: {{kind: room floor, built up: [slab, tile]{}}}\n"
    told = complaints("places:\n" + one.format("a", ", temperature: 45 F") + one.format("b", ""))
    assert len(told) == 1 and "it belongs under `use:`" in told[0]
    assert said(place("built up: [slab, tile]\n    temperature: 45 F", kind="room floor"), "job", "surface temperature while setting").startswith("45 °F")


@pytest.mark.parametrize("words", ["sealer", "grout sealer", "paint", "epoxy grout", "the tile"])
def test_what_keeps_no_water_out_is_no_waterproofing(words):
    for lines in (f"built up: [cement board, tile]\n    waterproofing: {words}", f"built up: [cement board, {{waterproofing: {words}}}, tile]",
                  f"built up: [cement board, {words} as waterproofing, tile]"):  # fmt: skip
        wall = place(lines)
        assert wall.known["membrane"].value == NONE, lines


def test_waterproofing_by_what_it_is_is_that_layer():
    wall = place("built up: [cement board, {waterproofing: 'roll-on, two coats'}, thinset, tile]")
    assert said(wall, "membrane", "kind") == "liquid" and said(wall, "membrane", "coats") == "2"


@pytest.mark.parametrize(("layer", "thing", "fact"), [
    ("{slab: control joints 15 ft}", "slab", "thickness"), ("{slab: 'broom finish, cracks 1/16'}", "slab", "thickness"),
    ("{subfloor: 'plywood screwed 6 in'}", "subfloor panel", "thickness"), ("{tile: 'porcelain 12 x 24 in, 3/16 joint'}", "tile", "thickness"),
])  # fmt: skip
def test_a_length_is_not_read_of_what_it_does_not_stand_beside(layer, thing, fact):
    text = f"places:\n  it:\n    kind: room floor\n    built up: [{layer}, tile mortar]\n"
    with pytest.raises(BadAssembly) as bad:
        read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE)
    floor = next(subject for subject in bad.value.so_far.subjects if subject.name == "it")
    assert said(floor, thing, fact) == "nothing" and "nothing reads" in str(bad.value)


@pytest.mark.parametrize(("words", "joint"), [("none", "0 in"), ("butt", "0 in"), ("butted tight", "0 in"), ("tight", "0 in to 1/32 in")])
def test_a_joint_that_is_none_is_a_joint_of_nothing(words, joint):
    assert said(place(f"built up: [tile, {{grout: {{joint: {words}}}}}]"), "grout", "joint").startswith(joint)


@pytest.mark.parametrize(("told", "fact", "value"), [
    ("1/4 in in 10 ft", "over 10 ft", "1/4 in"), ("1/8 in over 10 feet", "over 10 ft", "1/8 in"), ("1/16 in in 2 ft", "over 2 ft", "1/16 in"),
])  # fmt: skip
def test_flatness_is_said_with_the_run_it_was_measured_over(told, fact, value):
    floor = place(f"built up: [slab, tile]\n    flatness: {told}", kind="room floor")
    assert said(floor, "flatness check", fact).startswith(value)


@pytest.mark.parametrize(("size", "edges"), [("12x24", "24 in"), ("6x6", "6 in"), ("600x600", "600 mm")])
def test_a_size_alone_among_the_layers_is_a_tile(size, edges):
    wall = place(f"built up: [greenboard, mastic, {size}]")
    assert said(wall, "tile", "longest edge").startswith(edges) and said(wall, "tile mortar", "kind") == "organic adhesive"


def test_a_size_that_joists_are_sold_in_is_no_tile():
    assert "is not a layer" in complaints("places:\n  it: {kind: room floor, built up: [2x10, 3/4 plywood, tile]}\n")[0]


@pytest.mark.parametrize("words", ["no problems so far", "nothing seen", "no issues in 5 years", "none"])
def test_no_trouble_so_far_is_nothing_seen(words):
    assert subjects(f"places:\n  it: {{kind: shower wall, built up: [tile], history: {words}}}\n")["it"].observed == ()


def test_the_building_alone_may_stand_under_use():
    assert said(subjects("use: commercial\nplaces:\n  it: {kind: room floor, built up: [tile]}\n")["it"], "job", "building") == "commercial"
