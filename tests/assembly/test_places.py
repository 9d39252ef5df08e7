"""A described assembly becomes places: what is there, what may be, what is taken as not there, what lies on what."""


import pytest

from paths import RULEBOOKS

from validator.assembly import read_assembly, read_assembly_file, read_catalogue
from validator.facts import possible
from validator.facts.vocabulary import MAYBE, NONE, THERE
from validator.facts.vocabulary_reading import read_vocabulary

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
IN = 25_400_000

GUEST_BATH = """\
assembly: Guest bath shower, second floor
use: {building: house, room below: dining room, code family: residential}
framing:
  bath floor: {joist: 2x10, species: spruce-pine-fir or hem-fir, grade: no. 2, spacing: 16 in, span: 13 to 14 ft}
  bath walls: {material: wood, spacing: 16 in}
places:
  shower floor:
    on: bath floor
    size: 36 x 60 in
    drain: {kind: bonded flange, position: center}
    built up:                                  # from the structure outwards
      - subfloor panel: {material: plywood, bond: exterior glue, category: 23/32}
      - bedding mortar: {product: Harrow bedding mortar, trowel: 1/2 x 1/2 in square notch, back skim-coated: yes}
      - foam pan: {fall: 1/4 in per ft, bedded: fully, weighted: 30 min}
      - tile mortar: {meets: A118.4 and A118.11, contact: 95 %}
      - tile: {body: porcelain, size: 2 x 2 in}
      - grout: {meets: A118.7, joint: 1/8 in}
  back wall:
    kind: shower wall
    on: bath walls
    height above drain: 84 in
    built up:
      - board: {material: foam, thickness: 1/2 in, fixed with: screws}
      - screws: {length: 1-5/8 in, spacing: 12 in, both sides of seams: yes}
      - membrane: {kind: liquid, meets: A118.10, covers: seams and screw heads}
      - tile mortar: {meets: A118.4}
      - tile: {body: porcelain, size: 12 x 24 in, facial size variation: 1/32 in}
  side walls:
    like: back wall
junctions:
  board seams: {tape: alkali-resistant glass mesh, tape width: 2 in, coats: 2, first coat: dry}
  board to pan: {sealant bead: 3/8 in, tape: alkali-resistant glass mesh, tape width: 2 in, coats: 1 or 2}
  pan to curb: {sealant bead: 3/8 in}
records:
  flood test: {held: 24 h, depth: 2 in, before tile: yes}
"""


def read(text):
    return read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE)


def subject(text, name):
    return next(each for each in read(text).subjects if each.name == name)


def layer(place, thing, number=0):
    return place.layers[thing][number]


def words(known, name):
    return possible.in_words(VOCABULARY.fact(name), known[name].value)


def wall(lines, build_up="[board: cement, tile mortar, tile]"):
    return f"places:\n  shower wall:\n    built up: {build_up}\n" + "".join(f"    {line}\n" for line in lines)


def presence(text, thing, name="shower wall"):
    place = subject(text, name)
    return place.known[thing].value


def test_an_assembly_as_an_installer_writes_it_becomes_places_and_junctions():
    assembly = read(GUEST_BATH)
    assert assembly.name == "Guest bath shower, second floor"
    assert [s.name for s in assembly.subjects if s.sort == "place"] == ["shower floor", "back wall", "side walls"]
    assert [s.kind for s in assembly.subjects if s.sort == "place"] == ["shower floor", "shower wall", "shower wall"]
    assert [s.name for s in assembly.subjects if s.kind in ("board seams", "board to pan", "pan to curb")] == [
        "board seams, back wall", "board seams, side walls", "board to pan, back wall to shower floor",
        "board to pan, side walls to shower floor", "pan to curb, shower floor",
    ]  # fmt: skip
    assert assembly.subjects[-1].sort == "job"
    assert assembly.notes == ()


def test_facts_keep_their_ranges_and_their_sets():
    floor = subject(GUEST_BATH, "shower floor")
    framing = layer(floor, "framing").known
    assert framing["framing.span"].value == (156 * IN, 168 * IN)
    assert words(framing, "framing.species") == "hem-fir or spruce-pine-fir"
    assert floor.known["place.least dimension"].value == (36 * IN, 36 * IN)
    assert layer(floor, "tile").known["tile.longest edge"].value == (2 * IN, 2 * IN)
    assert subject(GUEST_BATH, "board to pan, back wall to shower floor").known["junction.coats"].value == (1, 2)


def test_facts_of_the_job_and_its_records_are_known_everywhere():
    for each in read(GUEST_BATH).subjects:
        assert words(each.known, "job.code family") == "residential"
    assert words(subject(GUEST_BATH, "shower floor").known, "flood test.before tile") == "yes"


@pytest.mark.parametrize(
    ("place", "thing", "lies_on", "covered_by"),
    [
        ("shower floor", "subfloor panel", "nothing", "foam pan"),
        ("shower floor", "bedding mortar", "subfloor panel", "foam pan"),
        ("shower floor", "foam pan", "subfloor panel", "tile"),
        ("shower floor", "tile mortar", "foam pan", "tile"),
        ("shower floor", "tile", "foam pan", "nothing"),
        ("shower floor", "grout", "tile", "nothing"),
        ("back wall", "membrane", "board", "tile"),
    ],
)
def test_a_layer_lies_on_the_nearest_body_and_films_hide_between(place, thing, lies_on, covered_by):
    known = layer(subject(GUEST_BATH, place), thing).known
    assert words(known, f"{thing}.lies on") == lies_on
    assert words(known, f"{thing}.covered by") == covered_by


def test_a_place_like_another_has_its_build_up_but_not_its_measures():
    sides = subject(GUEST_BATH, "side walls")
    assert layer(sides, "board").known["board.thickness"].value == (IN // 2, IN // 2)
    assert layer(sides, "framing").name == "bath walls"
    assert "place.height above drain" not in sides.known


@pytest.mark.parametrize(
    ("lines", "thing", "expected"),
    [
        ([], "membrane", MAYBE),                       # asked
        ([], "steam", NONE),                           # taken as not there
        ([], "drain", NONE),                           # cannot be in a wall
        ([], "grout", THERE),                          # cannot be otherwise
        ([], "mortar bed", NONE),                      # no body hides between written layers
        (["membrane: none"], "membrane", NONE),
        (["membrane: considered"], "membrane", MAYBE),
        (["steam:"], "steam", MAYBE),
        (["niche: foam or none"], "niche", MAYBE),
        (["niche: foam"], "niche", THERE),
        (["nothing else: yes"], "membrane", NONE),
        (["nothing else: yes"], "photographs", MAYBE),  # closes the build-up, not the records
        (["waterproofing: none"], "vapour retarder", NONE),
        (["waterproofing: none"], "primer", MAYBE),
        (["waterproofing: unknown"], "membrane", MAYBE),
    ],
)  # fmt: skip
def test_what_is_not_written_is_as_the_vocabulary_says(lines, thing, expected):
    assert presence(wall(lines), thing) == expected


def test_only_what_could_be_there_is_listed_as_taken_not_to_be():
    place = subject(wall([]), "shower wall")
    assert "niche" in place.presumed
    assert "steam" in place.presumed
    assert not {"drain", "bench", "membrane", "grout"} & set(place.presumed)


def test_without_a_body_under_the_tile_each_is_asked_about():
    assert presence(wall([], "[tile mortar, tile]"), "board") == MAYBE
    tile = layer(subject(wall([], "[tile mortar, tile]"), "shower wall"), "tile").known
    assert "board" in words(tile, "tile.lies on").split(" or ")


def test_a_file_written_out_in_full_leaves_nothing_to_ask():
    text = wall([]) + "written out in full: yes\n"
    assert presence(text, "membrane") == presence(text, "photographs") == NONE
    assert subject(text, "board seams, shower wall").known["tape"].value == NONE


def test_no_waterproofing_makes_every_silent_part_of_it_a_no():
    none = layer(subject(wall(["waterproofing: none"]), "shower wall"), "board").known
    assert words(none, "board.waterproof") == "no"
    said = wall(["waterproofing: none"], "[board: {material: foam, waterproof: yes}, tile]")
    assert words(layer(subject(said, "shower wall"), "board").known, "board.waterproof") == "yes"


def test_a_gap_in_a_list_may_hide_a_body():
    place = subject(wall([], "[board: cement, not known, tile]"), "shower wall")
    assert place.known["mortar bed"].value == place.known["existing finish"].value == MAYBE
    assert [(each.name, each.presence) for each in place.layers["board"]] == [("", THERE), ("not described", MAYBE)]
    on = words(layer(place, "tile").known, "tile.lies on").split(" or ")
    assert {"board", "mortar bed", "existing finish"} <= set(on)
    assert "nothing" not in on
    assert len(place.layers["tile"]) == 1


def test_a_layer_to_be_removed_carries_nothing():
    place = subject(wall([], "[board: cement, existing finish: {material: ceramic tile, state: to be removed}, tile]"), "shower wall")
    assert words(layer(place, "tile").known, "tile.lies on") == "board"


def test_two_layers_of_a_kind_are_the_first_and_the_second():
    place = subject("places: {room floor: {built up: [subfloor panel: OSB, subfloor panel: {name: new, material: plywood}, tile]}}", "room floor")
    assert [each.name for each in place.layers["subfloor panel"]] == ["first", "new"]
    assert words(layer(place, "subfloor panel", 1).known, "subfloor panel.lies on") == "subfloor panel"


def test_presence_may_be_open_while_the_kind_is_known():
    board = layer(subject(wall([], "[board: foam or none, tile]"), "shower wall"), "board")
    assert board.presence == MAYBE
    assert words(board.known, "board.material") == "foam"


def test_a_kind_is_taken_from_a_name_that_is_one():
    kinds = {"Shower walls": "shower wall", "north wall": "room wall or shower wall or tub surround wall", "upstairs room floor": "room floor"}
    for name, kind in kinds.items():
        known = subject(f"places: {{{name}: {{built up: [tile]}}}}", name).known
        assert set(words(known, "place.kind").split(" or ")) == set(kind.split(" or "))


def test_one_framing_run_without_a_name_carries_every_place():
    place = subject("framing: {material: steel}\n" + wall([]), "shower wall")
    assert words(layer(place, "framing").known, "framing.material") == "steel"


def test_a_place_on_two_runs_has_both():
    text = "framing: {kitchen: {span: 10 ft}, addition: {span: 14 ft}}\nplaces: {room floor: {on: 'kitchen, addition', built up: [tile]}}"
    assert [run.name for run in subject(text, "room floor").layers["framing"]] == ["kitchen", "addition"]


RUNS = "framing: {bath floor: {joist: 2x10}, walls: {material: steel}}\n"


@pytest.mark.parametrize(
    ("kind", "layers", "run"),
    [
        ("room floor", "tile", ["bath floor"]), ("shower floor", "tile", ["bath floor"]), ("room wall", "tile", ["walls"]), ("room floor", "slab, tile", []),
        ("exterior deck", "tile", []), ("room floor or shower wall", "tile", []),
    ],
)  # fmt: skip
def test_a_place_that_names_no_run_sits_on_the_one_whose_name_says_it(kind, layers, run):
    place = subject(f"{RUNS}places: {{here: {{kind: {kind}, built up: [{layers}]}}}}", "here")
    assert [each.name for each in place.layers.get("framing", [])] == run


def test_of_two_floors_of_joists_neither_is_taken():
    text = "framing: {old floor: {span: 10 ft}, new floor: {span: 14 ft}}\nplaces: {room floor: {built up: [tile]}}"
    assert "framing" not in subject(text, "room floor").layers


def test_a_curb_that_is_a_place_is_a_part_of_the_shower_floor_too():
    text = "places: {shower floor: {built up: [tile]}, curb: {height above drain: 4 in}}"
    floor = subject(text, "shower floor").known
    assert floor["curb"].value == THERE
    assert floor["curb.height above drain"].value == (4 * IN, 4 * IN)


def test_a_piece_of_a_place_has_its_own_build_up_and_else_that_of_the_whole():
    text = wall(["room: bath", "parts: {over the window: {nothing else: yes}, sill: {built up: [board: foam, tile]}}"])
    assert words(layer(subject(text, "shower wall, over the window"), "board").known, "board.material") == "cement"
    assert words(layer(subject(text, "shower wall, sill"), "board").known, "board.material") == "foam"


def test_a_layer_written_once_for_a_room_is_in_every_place_of_it():
    text = """\
places:
  shower wall: {room: Bath, built up: [board, tile: {body: glass}]}
  shower floor: {room: Bath, built up: [tile mortar: {meets: A118.15}, tile]}
everywhere in:
  bath: [tile mortar: {meets: A118.4, contact: 95 %}]
"""
    one, other = layer(subject(text, "shower wall"), "tile mortar"), layer(subject(text, "shower floor"), "tile mortar")
    assert words(one.known, "tile mortar.lies on") == "board"
    assert words(one.known, "tile mortar.meets") == "at least A118.4"
    assert words(other.known, "tile mortar.meets") == "at least A118.4 and A118.15"
    assert words(other.known, "tile mortar.contact") == "95 %"


def test_options_are_read_side_by_side():
    text = wall(["options: {thin: {height above drain: 72 in}, thick: {built up: [board: foam, tile]}}"])
    assembly = read(text)
    assert assembly.subjects == ()
    assert [each.option for each in assembly.to_judge()] == ["thin", "thick"]
    thin, thick = (each.subjects[0] for each in assembly.options)
    assert words(layer(thin, "board").known, "board.material") == "cement"
    assert words(layer(thick, "board").known, "board.material") == "foam"
    assert "place.height above drain" not in thick.known


def test_what_varies_is_marked_and_what_is_guessed_is_not_stated():
    text = wall([], "[board: {thickness: varies 1/2 to 5/8 in, material: probably foam}, tile]")
    board = layer(subject(text, "shower wall"), "board").known
    assert board["board.thickness"].varies
    assert words(board, "board.material") == "not stated"
    assert [note.what for note in read(text).notes] == ["`material: probably foam` is a guess, and is taken as not stated"]


def test_an_unusual_value_is_asked_about_and_still_counts():
    text = wall([], "[board: {thickness: 16 in}, tile]")
    assert [str(note) for note in read(text).notes] == [
        "bath.yaml:3:35: `thickness: 16 in` is unusual and may be a slip. Accepted: usually 3/16 in to 3 in"
    ]
    assert layer(subject(text, "shower wall"), "board").known["board.thickness"].value == (16 * IN, 16 * IN)


@pytest.mark.parametrize(
    ("line", "expected"),
    [("used as: steam room", THERE), ("used as: outside wall", NONE), ("steam: none", NONE)],
)
def test_what_a_place_is_used_as_says_what_is_there(line, expected):
    assert presence(wall([line]), "steam") == expected


@pytest.mark.parametrize(
    ("kind", "line", "expected"),
    [
        ("shower floor", "size: 3 x 5 ft", THERE),
        ("room floor", "size: 3 x 5 ft", NONE),
        ("room floor", "drain: {kind: plain strainer}", THERE),
        ("exterior deck", "size: 3 x 5 ft", NONE),
        ("room floor or shower floor", "size: 3 x 5 ft", MAYBE),
    ],
)
def test_a_drain_is_in_every_shower_floor_and_elsewhere_where_it_is_written(kind, line, expected):
    text = f"places:\n  floor:\n    kind: {kind}\n    {line}\n    built up: [slab, tile mortar, tile]\n"
    assert presence(text, "drain", "floor") == expected


def test_what_was_seen_on_site_is_kept_and_judged_by_nothing():
    assert read(wall(["seen on site: hollow sound"]) + "seen on site: [a crack, {leak: below}]\n").seen == (
        "a crack", "leak: below", "shower wall: hollow sound",
    )  # fmt: skip


def test_spaces_and_comments_do_not_change_the_fingerprint_and_words_do():
    text = wall([])
    assert read(text).fingerprint == read("# a remark\n" + text.replace("[board", "[ board")).fingerprint
    assert read(text).fingerprint != read(text.replace("cement", "foam")).fingerprint


def test_an_assembly_is_read_from_its_file(tmp_path):
    (tmp_path / "bath.yaml").write_text(GUEST_BATH)
    assert read_assembly_file(tmp_path / "bath.yaml", VOCABULARY, CATALOGUE).name == "Guest bath shower, second floor"
