"""A layer in a few words says the same as its facts on lines of their own; a phrase is taken whole or not at all."""

import pytest
from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.assembly.phrases import pieces_of
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)


def layers(item: str, kind: str = "room floor") -> dict:
    (place, *_) = read_assembly(f"places: {{it: {{kind: {kind}, built up: [{item}]}}}}", "it.yaml", VOCABULARY, CATALOGUE).subjects
    return {
        thing: [{name: known.value for name, known in layer.known.items() if known.value != VOCABULARY.facts[name].anything} for layer in of] for thing, of in place.layers.items()
    }


@pytest.mark.parametrize(("loose", "plain"), [
    ("honed limestone: 18 x 18 in", "tile: {body: limestone, face: honed, size: 18 x 18 in}"),
    ("unglazed porcelain mosaic", "tile: {body: porcelain, face: unglazed, format: mosaic}"),
    ("polished marble tile: 12 in", "tile: {body: marble, face: polished, size: 12 x 12 in}"),
    ("tile: hex mosaic 2 in", "tile: {format: hex mosaic, size: 2 x 2 in}"),
    ("tile: 300 mm porcelain", "tile: {body: porcelain, size: 300 x 300 mm}"),
    ("ledger stone: 2 in thick", "tile: {body: ledger stone, thickness: 2 in}"),
    ("tile: white ceramic 3 x 6 in", "tile: {body: ceramic, size: 3 x 6 in}"),
    ("wood look porcelain plank: 8 x 48 in", "tile: {body: porcelain, format: plank, size: 8 x 48 in}"),
    ("honed granite: 600 x 600 x 20 mm", "tile: {body: granite, face: honed, size: 600 x 600 mm, thickness: 20 mm}"),
    ("12x24 porcelain", "tile: {body: porcelain, size: 12 x 24 in}"), ("tile: 600x600", "tile: {size: 600 x 600 mm}"),
    ("travertine paver: '16 x 16, 1-1/4'", "tile: {body: travertine, format: paver, size: 16 x 16 in, thickness: 1-1/4 in}"),
    ("grout 1/8 joint", "grout: {joint: 1/8 in}"), ("tile 3x6 in ceramic", "tile: {body: ceramic, size: 3 x 6 in}"), ("no grout", "grout: none"), ("black mastic, tile", "existing finish: black mastic, tile"),
    ("slab 4 in, 3 months old", "slab: {thickness: 4 in, age: 3 months}"), ("steel troweled slab", "slab: {finish: steel trowel}"),
    ("slab: {painted: yes}", "slab: {surface treatment: paint}"), ("2 layers of 3/4 in plywood", "3/4 in plywood, 3/4 in plywood"),
    ("adhesive: C2TE S1", "tile mortar: {kind: modified cement}"), ("mortar: A136.1 type II", "tile mortar: {kind: mortar, meets: A136.1 Type II}"),
    ("rapid set adhesive: C1", "tile mortar: {kind: C1, rapid: yes}"), ("CBU 1/2", "board: {material: CBU, thickness: 1/2 in}"),
    ("rectified porcelain tile", "tile: {body: porcelain, edge: rectified}"),
    ("3/4 in tongue and groove plywood", "subfloor panel: {material: plywood, thickness: 3/4 in, edges: tongue and groove}"),
    ("1-1/8 in plywood", "subfloor panel: {material: plywood, thickness: 1-1/8 in}"),
    ("subfloor: 1/2 ply", "subfloor panel: {material: plywood, category: 1/2}"),
    ("floorboards: 3/4 in", "subfloor panel: {material: floorboards, thickness: 3/4 in}"),
    ("underlayment: 3/8 in plywood", "subfloor panel: {material: plywood, thickness: 3/8 in}"),
    ("existing suspended slab: 6 in", "slab: {state: existing, kind: suspended, thickness: 6 in}"),
    ("leveler: 1/4 in", "self-leveling underlayment: {thickness: 1/4 in}"),
    ("anhydrite screed: 50 mm", "self-leveling underlayment: {base: gypsum, thickness: 50 mm}"),
    ("grout: 'sanded, 3/16 in joints'", "grout: {sanded: yes, joint: 3/16 in}"),
    ("grout: white", "grout: there"), ("flexible grout: 3 mm", "grout: {kind: modified cement, joint: 3 mm}"),
    ("thinset + additive", "tile mortar: {kind: modified cement}"), ("premixed mastic", "tile mortar: {kind: organic adhesive}"),
    ("primer: PVA", "primer: {kind: PVA}"), ("electric heat mat", "heat: {kind: electric mat}"), ("LVT", "existing finish: vinyl tile")])  # fmt: skip
def test_a_few_words_say_the_same_as_lines_of_their_own(loose, plain):
    assert layers(loose) == layers(plain)


@pytest.mark.parametrize(("loose", "plain"), [
    ("moisture resistant plasterboard: 12.5 mm", "board: {material: water-resistant gypsum, thickness: 12.5 mm}"),
    ("green board", "board: greenboard"), ("cement board: 1/2", "board: {material: cement, thickness: 1/2 in}"), ("drywall: 1/2 in", "board: {material: drywall, thickness: 1/2 in}"),
    ("screws and washers", "screw: {kind: screw, washers: yes}"), ("tanking slurry", "membrane: trowel-on cement"),
    ("fleece membrane", "membrane: sheet"), ("liquid membrane 1 coat", "membrane: {kind: liquid, coats: 1}"),
    ("screws 8 oc", "screw: {kind: screw, spacing: 8 in}"), ("liquid membrane: 2 coats", "membrane: {kind: liquid, coats: 2}")])  # fmt: skip
def test_a_few_words_say_the_same_on_a_wall(loose, plain):
    assert layers(loose, "shower wall") == layers(plain, "shower wall")


@pytest.mark.parametrize(("thing", "phrase"), [
    ("tile", "woodlook porcelain"), ("tile", "porcelain over mastic"), ("tile", "1 in"), ("board", "foam insulation"),
    ("board", "cement behind"), ("grout", "sanded unsanded"), ("membrane", "no liquid"), ("subfloor panel", "plywood 5/8 + 5/8"), ("tile", ""), ("tile", "and porcelain")])  # fmt: skip
def test_a_phrase_with_a_word_that_is_not_known_or_speaks_against_another_says_nothing(thing, phrase):
    assert pieces_of(VOCABULARY.things[thing], phrase, VOCABULARY) == []


@pytest.mark.parametrize(("item", "told"), [
    ("tile: 60 x 80", "`60 x 80` says no unit. Accepted: 60 x 80 in or 60 x 80 mm"),
    ("bluestone: 1 in", "`bluestone: 1 in` may be its size or its thickness. Accepted: `size: 1 in square` or `thickness: 1 in`"),
    ("screed: 65 mm", "`screed` can be more than one layer. Accepted: `self-leveling underlayment` (a poured or troweled underlayment) or `mortar bed`"),
    ("60 x 80 porcelain", "`60 x 80` says no unit. Accepted: `60 x 80 in porcelain`, or mm"),
    ("porcelain tile: 20 x 20, grout: 3 mm", "`20 x 20` says no unit, and the rest is in metric. Accepted: `20 x 20 cm` or `20 x 20 in`"),
    ("cement board 8 oc", "of `cement board 8 oc` nothing reads `8 oc`"), ("membrane by others", "of `membrane by others` nothing reads `by others`"), ("vermiculite membrane", "of `vermiculite membrane` nothing reads `vermiculite`"),
    ("scrim", "`scrim` is not a layer. Accepted: write it under `junctions:`")])  # fmt: skip
def test_what_is_not_taken_is_told_with_what_to_write(item, told):
    with pytest.raises(BadAssembly) as bad:
        layers(item)
    assert told in str(bad.value)


@pytest.mark.parametrize(("name", "lines", "kind"), [
    ("kitchen", "kind: floor", "room floor"), ("laundry floor", "note: x", "room floor"), ("shower", "kind: floor", "shower floor"),
    ("wet room", "kind: floor", "shower floor"), ("downstairs", "kind: floor, curb: {height above drain: 4 in}", "shower floor"),
    ("downstairs", "kind: floor, built up: [PVC liner, mud bed, tile]", "shower floor"),
    ("bath", "kind: floor, curb: none", "room floor"), ("bath", "kind: room floor or shower floor", "")])  # fmt: skip
def test_a_floor_is_a_showers_where_something_of_a_shower_is_written_else_a_rooms(name, lines, kind):
    assembly = read_assembly(f"places: {{{name}: {{{lines}}}}}", "it.yaml", VOCABULARY, CATALOGUE)
    assert assembly.subjects[0].kind == kind
    assert bool(assembly.notes) == (lines.startswith("kind: floor") and name != "kitchen")


@pytest.mark.parametrize(("items", "thing"), [
    ("slab, mastic, slate: 12 in", "tile mortar"), ("slab, mastic, tile", "tile mortar"), ("slab, mastic, thinset, tile", "existing finish")])
def test_mastic_straight_under_the_tile_holds_it_and_under_a_mortar_is_an_old_finish(items, thing):
    assert set(layers(items)) >= {thing} and {"tile mortar", "existing finish"} & set(layers(items)) - {thing} <= {"tile mortar"}


def test_a_curb_is_made_of_what_it_is_made_of():
    text = "places: {it: {kind: shower floor, curb: {made of: foam}, bench: {built of: wood}}}"
    known = read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE).subjects[0].known
    assert (known["curb.material"].text, known["bench.material"].text) == ("foam", "wood")


def test_a_place_may_be_its_build_up_alone():
    assembly = read_assembly("places: {hall floor: [plywood: 3/4 in, tile]}", "it.yaml", VOCABULARY, CATALOGUE)
    assert list(assembly.subjects[0].layers) == ["subfloor panel", "tile"]
