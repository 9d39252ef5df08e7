"""Layers speak by their turn: mortar under a pan or a floor board beds it, and only grout lies on tile."""


import pytest

from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)

TAKEN = "this mortar lies under the {} and is taken as the bedding mortar of it, not as mortar for tile"


def read(kind, *layers):
    listed = "".join(f"      - {layer}\n" for layer in layers)
    return read_assembly(f"places:\n  here:\n    kind: {kind}\n    built up:\n{listed}", "a.yaml", VOCABULARY, CATALOGUE)


def mortars(assembly):
    """How many mortars bed something, and how many hold tile."""
    layers = assembly.subjects[0].layers
    return len(layers.get("bedding mortar", ())), len(layers.get("tile mortar", ()))


@pytest.mark.parametrize(
    "kind, layers, over",
    [
        ("shower floor", ("subfloor panel: plywood", "thinset", "foam pan", "thinset", "tile", "grout"), "foam pan"),
        ("shower floor", ("slab", "mortar", "foam pan", "membrane: liquid", "thinset", "tile"), "foam pan"),
        ("room floor", ("subfloor panel: plywood", "modified thinset", "cement board: 1/4 in", "screws", "thinset", "tile"), "board"),
        ("room floor", ("subfloor panel: plywood", "tile mortar: modified", "screws", "board: foam", "thinset", "tile"), "board"),
    ],
)
def test_the_mortar_next_under_a_pan_or_a_floor_board_beds_it_and_the_report_is_told(kind, layers, over):
    assembly = read(kind, *layers)
    assert mortars(assembly) == (1, 1)
    assert [note.what for note in assembly.notes] == [TAKEN.format(over)]


@pytest.mark.parametrize(
    "kind, layers, bedding_and_tile",
    [
        ("shower wall", ("thinset", "board: foam", "thinset", "tile"), (0, 2)),  # on a wall nothing is bedded
        ("room floor", ("thinset", "not known", "board: cement", "thinset", "tile"), (0, 2)),  # who knows what the gap hides
        ("room floor or room wall", ("thinset", "board: cement", "thinset", "tile"), (0, 2)),
        ("room floor", ("thinset", "board: cement or none", "thinset", "tile"), (0, 2)),
        ("room floor", ("slab", "thinset", "tile"), (0, 1)),
        ("room floor", ("slab", "bedding mortar", "board: cement", "thinset", "tile"), (1, 1)),  # says so itself
    ],
)
def test_where_its_turn_leaves_a_doubt_a_mortar_is_what_it_is_called(kind, layers, bedding_and_tile):
    assembly = read(kind, *layers)
    assert mortars(assembly) == bedding_and_tile
    assert assembly.notes == ()


def test_what_is_said_of_a_mortar_goes_with_it_and_what_is_not_looked_at_there_is_told():
    assembly = read("shower floor", "thinset: {meets: A118.4, contact: 95 %, spot bonded: no}", "foam pan", "thinset", "tile")
    (bed,), (tiled,) = (assembly.subjects[0].layers[name] for name in ("bedding mortar", "tile mortar"))
    assert {name: known.text for name, known in bed.known.items() if known.text} == {
        "bedding mortar.meets": "A118.4", "bedding mortar.contact": "95 %", "bedding mortar.kind": "thinset",
    }  # fmt: skip
    assert (bed.name, tiled.name) == ("", "")
    assert [note.what for note in assembly.notes] == [
        "`spot bonded: no` is not looked at in the mortar under the foam pan", TAKEN.format("foam pan"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    "kind, layers, line, over",
    [
        ("shower wall", ("tile", "thinset", "membrane: liquid", "board: cement"), 6, "tile mortar"),
        ("shower wall", ("grout", "tile", "board: cement", "membrane: sheet"), 7, "board"),
        ("shower wall", ("tile", "membrane: liquid", "board: cement"), 6, "membrane"),
        ("shower floor", ("tile", "mortar bed", "liner: PVC"), 6, "mortar bed"),
        ("room floor", ("thinset", "tile", "subfloor panel: plywood"), 7, "subfloor panel"),
    ],
)
def test_layers_from_the_face_inwards_are_refused_at_the_first_line_that_would_lie_on_the_tile(kind, layers, line, over):
    with pytest.raises(BadAssembly) as refused:
        read(kind, *layers)
    assert str(refused.value) == (
        f"a.yaml:{line}:9: in `here` the {over} is written after the tile, as if it lay on it. Accepted: "
        "layers go from the structure outwards: framing or slab, board or bed, membrane, tile mortar, tile, grout"
    )


@pytest.mark.parametrize(
    "layers",
    [
        ("slab", "tile: {state: existing}", "primer", "thinset", "tile", "grout"),  # tile over tile
        ("subfloor panel: plywood", "tile: {state: to be removed}", "board: cement"),
        ("slab", "thinset", "tile", "thinset", "tile: mosaic"),
        ("board: cement", "thinset", "tile", "screws: 1-5/8 in", "grout"),  # screws go in anywhere
    ],
)
def test_tile_under_other_work_is_read_where_that_can_be(layers):
    assert read("room floor", *layers).subjects


@pytest.mark.parametrize(
    ("layers", "fills_and_beds"),
    [
        (("plywood", "mortar bed: {fall: 1/4 in per ft}", "liner: CPE", "mortar bed", "thinset", "tile"), (1, 1)),
        (("pre-slope", "liner: CPE", "mortar bed", "thinset", "tile"), (1, 1)),
        (("mortar bed", "not known", "liner: CPE", "mortar bed", "thinset", "tile"), (0, 3)),  # who knows what the gap hides
        (("mortar bed", "membrane: liquid", "thinset", "tile"), (0, 1)),
    ],
)
def test_the_bed_next_under_a_liner_is_the_fill_that_slopes_it(layers, fills_and_beds):
    (here, *_) = (assembly := read("shower floor", *layers)).subjects
    assert (len(here.layers.get("pre-slope", ())), len(here.layers.get("mortar bed", ()))) == fills_and_beds
    told = "this mortar bed lies under the liner and is taken as the pre-slope of it, not as the bed under tile"
    assert (told in [note.what for note in assembly.notes]) is (layers[1].startswith("mortar bed: {fall"))


def test_where_no_fill_is_said_to_be_there_a_bed_under_a_liner_stays_a_bed():
    text = "places: {here: {kind: shower floor, pre-slope: none, built up: [mortar bed, {liner: CPE}, mortar bed, thinset, tile]}}"
    assert "pre-slope" not in read_assembly(text, "a.yaml", VOCABULARY, CATALOGUE).subjects[0].layers
