"""A whole shower, a bathroom, two of them alike, options that differ by a layer: each reads as the places written out one by one."""

import pytest
from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.possible import NOT_STATED
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
FRAMING = "framing: {floor: {joist: 2x10, spacing: 16 in}, studs: {material: wood}}\n"


def read(text: str):
    return read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE)


def said(assembly) -> dict:
    """Every place by name: its kind, and what is stated of it and of its layers."""
    told = {}
    for subject in assembly.subjects:
        if subject.sort == "place":
            layers = {
                thing: [{n: k.text for n, k in layer.known.items() if k.text} for layer in of] for thing, of in subject.layers.items()
            }
            known = {n: (k.value, k.origin) for n, k in subject.known.items() if k.origin != NOT_STATED}
            told[subject.name] = (subject.kind, layers, known)
    return told


def complaints(text: str) -> str:
    with pytest.raises(BadAssembly) as bad:
        read(text)
    return "\n".join(str(each) for each in bad.value.complaints)


SHOWER = """\
places:
  guest shower:
    kind: curbless shower
    size: 3 x 5 ft
    drain: {kind: clamping ring}
    flood test: {held: 24 h}
    stage: tile set
    floor: {on: floor, built up: [mud bed: 2 in, PVC liner]}
    walls:
      - cement board: 1/2 in
      - membrane: liquid
    tile: 12 x 24 in porcelain
"""
WRITTEN_OUT = """\
places:
  guest shower floor:
    kind: shower floor
    room: guest shower
    size: 3 x 5 ft
    drain: {kind: clamping ring}
    flood test: {held: 24 h}
    stage: tile set
    curbless: yes
    on: floor
    built up: [mud bed: 2 in, PVC liner, tile: 12 x 24 in porcelain]
  guest shower walls:
    kind: shower wall
    room: guest shower
    stage: tile set
    built up: [cement board: 1/2 in, membrane: liquid, tile: 12 x 24 in porcelain]
"""


def test_a_whole_shower_is_its_floor_and_its_walls():
    assert said(read(FRAMING + SHOWER)) == said(read(FRAMING + WRITTEN_OUT))


def test_a_place_named_shower_with_its_floor_inside_needs_no_kind():
    named = SHOWER.replace("    kind: curbless shower\n", "").replace("tile set\n", "tile set\n    curbless: yes\n")
    assert said(read(FRAMING + named)) == said(read(FRAMING + WRITTEN_OUT))


def test_what_a_shower_surely_has_is_judged_though_nobody_writes_it():
    found = said(read("places:\n  shower: {kind: shower, tile: porcelain}\n"))
    assert {name: kind for name, (kind, _, _) in found.items()} == {"shower floor": "shower floor", "shower wall": "shower wall"}
    assert all(layers["tile"] == [{"tile.body": "porcelain"}] for _, layers, _ in found.values())


@pytest.mark.parametrize("whole", ["shower", "bathroom"])
def test_what_is_said_not_to_be_there_is_no_place(whole):
    assert set(said(read(f"places: {{bath: {{kind: {whole}, floor: [tile], walls: none}}}}"))) == {"bath floor"}


def test_two_showers_alike_are_said_once_and_differ_where_they_say_so():
    found = said(read(FRAMING + SHOWER + "  master shower:\n    kind: shower\n    like: guest shower\n    walls: {niche: foam}\n    tile: slate\n"))
    assert list(found) == ["guest shower floor", "guest shower walls", "master shower walls", "master shower floor"]
    for part in ("floor", "walls"):
        mine, theirs = found[f"master shower {part}"], found[f"guest shower {part}"]
        assert mine[0] == theirs[0]
        assert {k: v for k, v in mine[1].items() if k != "tile"} == {k: v for k, v in theirs[1].items() if k != "tile"}
        assert [tile["tile.stone kind"] for tile in mine[1]["tile"]] == ["slate"]


def test_a_bathroom_holds_its_floor_its_shower_and_its_tub():
    text = """\
places:
  upstairs bath:
    kind: bathroom
    floor: [plywood: 3/4 in, tile]
    shower: {floor: [foam pan, tile], back wall: [foam board, tile], side walls: [foam board, tile]}
    tub surround: {walls: [cement board, tile]}
"""
    found = {name: kind for name, (kind, _, _) in said(read(text)).items()}
    assert found == {
        "upstairs bath floor": "room floor", "upstairs bath shower floor": "shower floor", "upstairs bath shower back wall": "shower wall",
        "upstairs bath shower side walls": "shower wall", "upstairs bath tub surround walls": "tub surround wall",
    }  # fmt: skip


@pytest.mark.parametrize(("line", "told"), [
    ("niche: foam", "`niche` could be in more than one of back wall, side walls. Accepted: the line under the one that has it"),
    ("height: 7 ft", "`height` is not said of a whole shower: which part of it is meant is not known"),
    ("built up: [cement board]", "which part of the shower has `cement board` is not said"),
    ("on: floor", "`on` is not said of a whole shower"),
    ("like: nothing here", "`nothing here` is no shower that is described here"),
    ("pool: 3", "`pool` is not said of a whole shower")])  # fmt: skip
def test_what_could_be_of_more_than_one_part_is_asked_back(line, told):
    assert told in complaints(f"places:\n  shower:\n    kind: shower\n    back wall: [tile]\n    side walls: [tile]\n    {line}\n")


@pytest.mark.parametrize("kind", ["tub surround", "tub surround wall"])
def test_a_tub_surround_with_one_build_up_is_its_walls(kind):
    assert {name: of for name, (of, _, _) in said(read(f"places: {{tub: {{kind: {kind}, built up: [tile]}}}}")).items()} == {"tub": "tub surround wall"}


def test_a_whole_of_which_nothing_is_written_is_refused_in_words():
    assert "nothing of the bathroom `bath` is written. Accepted: what it is of" in complaints("places: {bath: {kind: bathroom}}")


def test_a_steam_shower_is_one_in_every_part():
    found = said(read("places: {bath: {kind: steam shower, floor: [tile], walls: [tile], ceiling: [tile]}}"))
    used = VOCABULARY.facts["place.used as"]
    for _, _, known in found.values():
        assert known["place.used as"][0][0] >> used.words.index("steam room") & 1


OPTIONS = """\
places:
  back wall:
    kind: shower wall
    built up: [cement board: {thickness: 1/2 in}, membrane: {kind: liquid, coats: 2}, tile: porcelain]
options:
  A: {places: {back wall: {built up: %s}}}
"""


@pytest.mark.parametrize(("option", "written"), [
    ("{membrane: sheet}", "[cement board: {thickness: 1/2 in}, membrane: sheet, tile: porcelain]"),
    ("{membrane: {coats: 1}}", "[cement board: {thickness: 1/2 in}, membrane: {kind: liquid, coats: 1}, tile: porcelain]"),
    ("{membrane: none}", "[cement board: {thickness: 1/2 in}, membrane: none, tile: porcelain]"),
    ("{foam board: 1/2 in}", "[foam board: 1/2 in, membrane: {kind: liquid, coats: 2}, tile: porcelain]"),
    ("{screws: 1-5/8 in}", "[cement board: {thickness: 1/2 in}, membrane: {kind: liquid, coats: 2}, screws: 1-5/8 in, tile: porcelain]"),
    ("{grout: epoxy}", "[cement board: {thickness: 1/2 in}, membrane: {kind: liquid, coats: 2}, tile: porcelain, grout: epoxy]"),
    ("[foam board, tile]", "[foam board, tile]")])  # fmt: skip
def test_an_option_may_differ_by_one_layer_without_the_rest(option, written):
    (of_option,) = read(OPTIONS % option).options
    assert said(of_option) == said(read(f"places:\n  back wall:\n    kind: shower wall\n    built up: {written}\n"))


def test_a_layer_that_there_are_two_of_is_not_changed_by_its_name_alone():
    two = OPTIONS.replace("[cement board: {thickness: 1/2 in},", "[cement board: {thickness: 1/2 in}, board: foam,")
    assert "2 layers are `board`: which of them differs is not known" in complaints(two % "{board: glass mat}")


TWO = """
framing: {joist: 2x10, spacing: 16 in, span: 12 ft}
places:
  building A:
    kind: building
    deck: [slab, membrane, thinset, porcelain tile]
    hall bath:
      floor: [3/4 in plywood, uncoupling mat, thinset, porcelain tile]
      shower:
        floor: {drain: clamping drain, built up: [pre-slope, PVC liner, mud bed: 2 in, thinset, mosaic tile]}
        walls: [cement board, liquid membrane, thinset, ceramic tile]
  building B:
    like: building A
    hall bath: {like: building A hall bath, shower: {like: building A hall bath shower, walls: [foam board, thinset, glass tile]}}
"""


def test_a_building_like_another_has_its_rooms_with_all_that_is_in_them_and_says_only_what_differs(loaded):
    assembly = read_assembly(TWO, "two.yaml", loaded.vocabulary, loaded.catalogue)
    places = {subject.name: subject for subject in assembly.subjects if subject.sort == "place"}
    ours = {name.removeprefix("building A ") for name in places if name.startswith("building A")}
    assert ours == {name.removeprefix("building B ") for name in places if name.startswith("building B")}
    assert ours == {"deck", "hall bath floor", "hall bath shower floor", "hall bath shower walls"}
    for name in ours:
        one, other = places[f"building A {name}"], places[f"building B {name}"]
        assert (one.kind, list(one.layers)) == (other.kind, list(other.layers)) or name.endswith("walls")
    assert places["building B hall bath shower floor"].known["drain"].value == 2
    walls = places["building B hall bath shower walls"].layers
    assert [thing for thing in walls if thing != "framing"] == ["board", "tile mortar", "tile"]
    rooms = {name: place.known["place.room"].text for name, place in places.items()}
    assert rooms["building A hall bath shower floor"] == "building A hall bath" != rooms["building B hall bath shower floor"]


def test_a_shower_like_another_with_other_tile_has_that_tile_on_the_layers_it_copies():
    text = """\
places:
  bath A:
    kind: shower
    floor: [{tile mortar: modified}, {tile: porcelain 2 x 2 in}]
    walls: [{board: cement}, {tile mortar: modified}, {tile: porcelain 12 x 24 in}]
  bath B: {kind: shower, like: bath A, tile: glass}
"""
    tiles = {place: layers["tile"][0] for place, (_, layers, _) in said(read(text)).items()}
    assert {place: (tile["tile.body"], tile["tile.size"]) for place, tile in tiles.items()} == {
        "bath A floor": ("porcelain", "2 x 2 in"), "bath A walls": ("porcelain", "12 x 24 in"),
        "bath B floor": ("glass", "2 x 2 in"), "bath B walls": ("glass", "12 x 24 in"),
    }  # fmt: skip
