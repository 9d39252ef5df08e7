"""`shown by:` names the photograph or the page that shows a thing; what stands nearest speaks, and nobody judges it."""


import jsonschema
import pytest
import yaml

from paths import RULEBOOKS

from validator.assembly import read_assembly, read_catalogue
from validator.assembly.draft import Draft
from validator.assembly.evidence import SHOWN_BY
from validator.assembly.schema import schema_of
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.forms import normalized
from validator.language.source import BadAssembly, read_source

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)
EDITOR = jsonschema.Draft202012Validator(schema_of(VOCABULARY))

WALL = "places:\n  back wall:\n    kind: shower wall\n"
TEST = "records: {flood test: {held: 24 h, depth: 2 in, shown by: %s}}\n"


def subjects(text: str) -> dict:
    (read,) = read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE).to_judge()
    return {each.name: each for each in read.subjects}


def shown_by(text: str, fact: str, place: str = "back wall") -> tuple[str, ...]:
    return subjects(text)[place].shown_by(fact)


# -- the forms ----------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("written", "held", "depth"),
    [
        ("photo 14", ("photo 14",), ("photo 14",)),
        ('"dated note, photo 14"', ("dated note, photo 14",), ("dated note, photo 14",)),
        ("[dated note, photo 14, dated note]", ("dated note", "photo 14"), ("dated note", "photo 14")),
        ("{depth: photo 14}", (), ("photo 14",)),
        ("{depth: [photo 14, photo 15], all others: dated note}", ("dated note",), ("photo 14", "photo 15")),
        ("{depth: none, all others: dated note}", ("dated note",), ()),
        ("none", (), ()),
        ("not known", (), ()),
        ("[]", (), ()),
        ("", (), ()),
    ],
)
def test_a_text_a_list_or_the_names_of_lines_say_what_shows_a_record(written, held, depth):
    text = WALL + TEST % written
    assert shown_by(text, "flood test.held", "the job") == held
    assert shown_by(text, "flood test.depth", "the job") == depth


@pytest.mark.parametrize("word", ["shown by", "Shown by", "shown_by", "shown  by"])
def test_it_may_be_written_as_people_vary_a_word(word):
    assert shown_by(f"{WALL}    {word}: photo 1\n", "place.kind") == ("photo 1",)


@pytest.mark.parametrize(
    ("text", "place", "fact"),
    [
        ("use: {building: house, shown by: photo 1}\n" + WALL, "the job", "job.building"),
        ("framing: {material: wood, shown by: photo 1}\n" + WALL, "back wall", "framing.material"),
        ("framing: {walls: {material: wood, shown by: photo 1}}\n" + WALL + "    on: walls\n", "back wall", "framing.material"),
        ("framing: {walls: {material: wood}, shown by: photo 1}\n" + WALL + "    on: walls\n", "back wall", "framing.material"),
        (WALL + "    height above drain: 84 in\n    shown by: photo 1\n", "back wall", "place.height above drain"),
        (WALL + "    waterproofing: none\n    shown by: photo 1\n", "back wall", "membrane"),
        (WALL + "    niche: {material: foam, shown by: photo 1}\n", "back wall", "niche.material"),
        (WALL + "    niche: foam\n    shown by: {niche: photo 1}\n", "back wall", "niche.material"),
        (WALL + "    niche: foam\n    shown by: {niche: photo 1}\n", "back wall", "niche"),
        (WALL + "    built up: [board: {material: foam, shown by: photo 1}]\n", "back wall", "board.material"),
        (WALL + "    built up: [board: {shown by: photo 1}]\n", "back wall", "board"),
        (WALL + "    built up: [tile: {size: 12 x 24 in, shown by: {size: photo 1}}]\n", "back wall", "tile.longest edge"),
        (WALL + "    built up:\n      - board: foam\n        shown by: photo 1\n", "back wall", "board.material"),
        (WALL + "    built up:\n      - cement board: 1/2 in\n        shown by: photo 1\n", "back wall", "board.material"),
        (WALL + "    built up: [board: foam]\n    shown by: photo 1\n", "back wall", "board.material"),
        (WALL + "junctions: {board seams: {coats: 2, shown by: photo 1}}\n", "board seams", "junction.coats"),
        (WALL + "junctions: {board seams: {tape: {width: 2 in, shown by: photo 1}}}\n", "board seams", "tape.width"),
        (WALL + "junctions: {board seams: {tape width: 2 in, shown by: {tape width: photo 1}}}\n", "board seams", "tape.width"),
        (WALL + "junctions: {board seams: {tape: {width: 2 in}, shown by: {tape: photo 1}}}\n", "board seams", "tape.width"),
        (WALL + "junctions: {board seams: {tape: none, shown by: photo 1}}\n", "board seams", "tape"),
        (WALL + "junctions: {board seams: {coats: 2}, shown by: photo 1}\n", "board seams", "junction.coats"),
        (WALL + "records: {flood test: {held: 24 h}, shown by: photo 1}\n", "the job", "flood test.held"),
        (WALL + "records: {flood test: {held: 24 h}, shown by: {flood test: photo 1}}\n", "the job", "flood test"),
        ("shown by: photo 1\nuse: {building: house}\n" + WALL, "the job", "job.building"),
        ("shown by: photo 1\nwritten out in full: yes\n" + WALL, "back wall", "membrane"),
    ],
)  # fmt: skip
def test_whatever_holds_facts_can_say_what_shows_them(text, place, fact):
    found = subjects(text)
    name = next(each for each in found if each.startswith(place))
    assert found[name].shown_by(fact) == ("photo 1",)


def test_a_junction_between_two_places_says_it_before_its_kind_does():
    text = (
        "places:\n  back wall: {kind: shower wall}\n  shower floor: {}\n"
        "junctions:\n  floor to wall:\n    shown by: photo 1\n"
        "    shower floor to back wall: {sealed: yes, shown by: photo 2}\n"
    )
    assert shown_by(text, "junction.sealed", "floor to wall, shower floor to back wall") == ("photo 2",)
    assert shown_by(text.replace(", shown by: photo 2", ""), "junction.sealed", "floor to wall, shower floor to back wall") == ("photo 1",)


# -- what stands nearest ------------------------------------------------------------------------------------------------------

NESTED = """\
shown by: submittal 3
places:
  back wall:
    kind: shower wall
    shown by: photos 1 to 6
    built up:
      - membrane:
          kind: liquid
          coats: 2
          shown by: {coats: photo 12, all others: pail label}
"""


@pytest.mark.parametrize(
    ("left_out", "speaks"),
    [
        ((), "photo 12"),
        (("coats: photo 12, ",), "pail label"),
        (("          shown by: {coats: photo 12, all others: pail label}\n",), "photos 1 to 6"),
        (("          shown by: {coats: photo 12, all others: pail label}\n", "    shown by: photos 1 to 6\n"), "submittal 3"),
    ],
)
def test_the_fact_speaks_before_the_thing_the_place_and_the_file(left_out, speaks):
    text = NESTED
    for part in left_out:
        assert part in text
        text = text.replace(part, "")
    assert shown_by(text, "membrane.coats") == (speaks,)


def test_none_nearer_by_says_that_nothing_is_offered():
    assert shown_by(NESTED.replace("{coats: photo 12, all others: pail label}", "none"), "membrane.coats") == ()
    assert shown_by(NESTED.replace("{coats: photo 12, all others: pail label}", "unknown"), "membrane.coats") == ("photos 1 to 6",)


def test_what_is_not_stated_is_shown_by_nothing():
    text = WALL + "    shown by: photo 1\n    height above drain: not known\n    built up: [board: {thickness: unknown}]\n"
    assert shown_by(text, "place.height above drain") == ()
    assert shown_by(text, "board.thickness") == ()
    assert shown_by(text, "membrane") == ()


def test_what_shows_the_product_shows_what_its_card_declares():
    layer = "    built up: [board: {product: Harrow foam board, fixed with: screws, shown by: %s}]\n"
    whole, by_line = WALL + layer % "photo 5", WALL + layer % "{product: submittal 2, fixed with: photo 5}"
    assert shown_by(whole, "board.material") == ("photo 5",)
    assert shown_by(by_line, "board.material") == ("submittal 2",)
    assert shown_by(by_line, "board.fixed with") == ("photo 5",)


def test_each_of_two_layers_of_a_kind_is_shown_by_its_own():
    text = WALL + (
        "    built up:\n      - board: {material: foam, shown by: photo 1}\n      - board: {material: foam, shown by: photo 2}\n"
    )
    place = subjects(text)["back wall"]
    first, second = place.layers["board"]
    assert place.shown_by("board.material", first) == ("photo 1",)
    assert place.shown_by("board.material", second) == ("photo 2",)
    assert place.shown_by("board.material") == ("photo 1", "photo 2")


# -- copies -------------------------------------------------------------------------------------------------------------------

TWO_WALLS = WALL + (
    "    shown by: photos 1 to 6\n    built up:\n      - board: {material: foam, shown by: submittal 2}\n      - tile: porcelain\n"
    "  left wall:\n    like: back wall\n"
)


def test_a_copied_build_up_brings_what_shows_its_layers_and_not_what_shows_the_other_place():
    assert shown_by(TWO_WALLS, "board.material", "left wall") == ("submittal 2",)
    assert shown_by(TWO_WALLS, "tile.body", "back wall") == ("photos 1 to 6",)
    assert shown_by(TWO_WALLS, "tile.body", "left wall") == ()


def test_a_place_that_says_what_shows_it_says_so_of_what_it_copies():
    text = TWO_WALLS + "    shown by: photos 7 to 9\n"
    assert shown_by(text, "board.material", "left wall") == ("photos 7 to 9",)
    assert shown_by(text, "board.material", "back wall") == ("submittal 2",)


def test_a_piece_of_a_place_is_shown_by_what_shows_the_whole():
    text = TWO_WALLS.replace("  left wall:\n    like: back wall\n", "    parts: {above window: {height above drain: 84 in}}\n")
    assert shown_by(text, "place.height above drain", "back wall, above window") == ("photos 1 to 6",)
    assert shown_by(text, "board.material", "back wall, above window") == ("submittal 2",)


def test_a_layer_written_once_for_a_room_brings_what_shows_it():
    text = WALL + (
        "    built up: [tile: {body: porcelain, shown by: photo 4}]\n"
        "everywhere in: {shower: [tile: {size: 2 x 2 in, shown by: submittal 5}, grout: {joint: 1/8 in, shown by: photo 8}]}\n"
    )
    assert shown_by(text, "tile.body") == ("photo 4",)
    assert shown_by(text, "tile.size") == ("submittal 5",)
    assert shown_by(text, "grout.joint") == ("photo 8",)


def test_each_option_may_be_shown_by_its_own():
    text = WALL + "    options: {A: {shown by: photo 3}, B: {shown by: photo 4}}\n"
    options = read_assembly(text, "bath.yaml", VOCABULARY, CATALOGUE).to_judge()
    assert [each.subjects[0].shown_by("place.kind") for each in options] == [("photo 3",), ("photo 4",)]


# -- refusals -----------------------------------------------------------------------------------------------------------------

FORMS = "`photo 12`, `submittal 3, page 2`, a dated note, or a list of such"
ELSEWHERE = "under the thing or the place that it shows, or once at the top of the file"


@pytest.mark.parametrize(
    ("text", "told"),
    [
        (TEST % "yes", f"4:59: `yes` does not name what shows it. Accepted: {FORMS}"),
        (TEST % "12", f"4:59: `12` does not name what shows it. Accepted: {FORMS}"),
        (TEST % "dated note, photo 14",
         '4:71: `photo 14` has no value: a comma inside braces starts a new fact. Accepted: quotes around it all, '
         'shown by: "dated note, photo 14"'),
        (TEST % "{photo: 12}",
         f"4:60: no line `photo` stands beside this `shown by`. Accepted: the name of a line: held, depth, all others; "
         f"or for all of it {FORMS}"),
        (TEST % "{heldd: photo 12}",
         f"4:60: no line `heldd` stands beside this `shown by`. Accepted: did you mean `held`? the name of a line: held, depth, "
         f"all others; or for all of it {FORMS}"),
        (TEST % "[{photo: 12}]", f"4:60: what stands under `shown by` is one text, or a list of texts. Accepted: {FORMS}"),
        ("records: {flood test: {held: 24 h, showed by: photo 12}}",
         "4:36: `showed by` is not a key of `flood test`. Accepted: did you mean `shown by`? result, held, depth, "
         "cured before, dammed, plug below flange, before tile, load checked, state, load, depth at drain, shown by"),
        ("    shown by: {built up: photo 12}\n    built up: [board: foam]",
         f"4:16: no line `built up` stands beside this `shown by`. Accepted: the name of a line: kind, all others; or for all of it "
         f"{FORMS}"),
        ("    built up: [board: foam, shown by: photo 12]", f"4:29: `shown by` shows nothing here. Accepted: {ELSEWHERE}"),
        ("  shown by: photo 12", f"4:3: `shown by` shows nothing here. Accepted: {ELSEWHERE}"),
        ("everywhere in: {shown by: photo 12}", f"4:17: `shown by` shows nothing here. Accepted: {ELSEWHERE}"),
        ("    shown by: photo 1\n    Shown by: photo 2",
         "5:5: `shown by` is written twice. Accepted: one list of all that shows it"),
        ("shown by: {use: permit}",
         f"4:11: `shown by` names single lines, which stand further down. Accepted: here a text or a list for the whole file; by "
         f"name under the thing: {FORMS}"),
    ],
)  # fmt: skip
def test_a_slip_is_told_with_what_would_be_accepted(text, told):
    with pytest.raises(BadAssembly) as bad:
        subjects(WALL + text)
    assert str(bad.value) == f"bath.yaml:{told}"


def test_no_thing_and_no_fact_of_the_vocabulary_is_called_so():
    names = [*VOCABULARY.things, *(fact.partition(".")[2] for fact in VOCABULARY.facts)]
    names += [name for each in (*VOCABULARY.things.values(), *VOCABULARY.facts.values()) for name in each.also_called]
    assert [name for name in names if normalized(name) == SHOWN_BY or normalized(name).startswith("shown ")] == []


# -- the file and what is written from it -------------------------------------------------------------------------------------


def test_what_shows_a_thing_is_part_of_the_files_fingerprint():
    prints = {read_assembly(WALL + line, "f", VOCABULARY, CATALOGUE).fingerprint
              for line in ("", "    shown by: photo 1\n", "    shown by: photo 2\n")}  # fmt: skip
    assert len(prints) == 3


def draft(text: str) -> Draft:
    return Draft(read_source(text, "bath.yaml", []), "bath.yaml", VOCABULARY, CATALOGUE)


def every_fact_shown(read) -> dict[tuple, tuple | None]:
    found = {(subject.name, name): known.shown_by for subject in read.subjects for name, known in subject.known.items()}
    return found | {
        (subject.name, thing, number, name): known.shown_by
        for subject in read.subjects for thing, layers in subject.layers.items()
        for number, layer in enumerate(layers) for name, known in layer.known.items()
    }  # fmt: skip


SAMPLES = [(RULEBOOKS.parent / "samples" / f"{name}.yaml").read_text() for name in ("registered-shower", "metric-wet-room")]


@pytest.mark.parametrize("text", [NESTED, TWO_WALLS, WALL + TEST % "[dated note, photo 14]", WALL + TEST % '"a: b, c #4"', *SAMPLES])
def test_a_draft_written_out_again_keeps_what_shows_it(text):
    before = draft(text)
    after = draft(before.text())
    assert every_fact_shown(after.assembly()) == every_fact_shown(before.assembly())
    assert after.text() == before.text()
    assert any(every_fact_shown(after.assembly()).values())


@pytest.mark.parametrize(
    ("written", "kind", "coats"),
    [("photo 12", ("photo 12",), ()), ("{coats: photo 12, kind: label}", ("label",), ()), ("[a, b]", ("a", "b"), ())],
)
def test_what_showed_a_line_does_not_show_it_said_otherwise(written, kind, coats):
    before = draft(WALL + f"    built up: [membrane: {{kind: liquid, coats: 1, shown by: {written}}}]\n")
    place = before.assembly().subjects[0]
    after = draft(before.said(place, "membrane.coats", "2", place.layers["membrane"][0]).text()).assembly().subjects[0]
    assert after.layers["membrane"][0].known["membrane.coats"].value == (2, 2)
    assert (after.shown_by("membrane.kind"), after.shown_by("membrane.coats")) == (kind, coats)


def test_an_answer_to_what_was_not_stated_is_shown_by_what_shows_the_thing():
    before = draft(WALL + "    built up: [membrane: {kind: liquid, shown by: photo 12}]\n")
    place = before.assembly().subjects[0]
    after = before.said(place, "membrane.coats", "2", place.layers["membrane"][0]).assembly().subjects[0]
    assert after.shown_by("membrane.coats") == ("photo 12",)


def test_what_showed_a_product_does_not_show_the_one_that_takes_its_place():
    before = draft("shown by: submittal 3\n" + WALL + "    built up: [board: {material: cement, fixed with: screws, shown by: photo 5}]\n")
    place = before.assembly().subjects[0]
    after = before.with_product(place, "board", "Harrow foam board").assembly().subjects[0]
    assert (after.shown_by("board.material"), after.shown_by("place.kind")) == ((), ("submittal 3",))


# -- the editor's schema ------------------------------------------------------------------------------------------------------


def read_by_both(text: str) -> tuple[bool, bool]:
    try:
        subjects(text)
        reader = True
    except BadAssembly:
        reader = False
    return reader, EDITOR.is_valid(yaml.safe_load(text))


@pytest.mark.parametrize(
    "text",
    [
        WALL + TEST % "photo 14", WALL + TEST % "[dated note, photo 14]", WALL + TEST % "{held: [photo 1, photo 2], all others: none}",
        WALL + TEST % "", NESTED, TWO_WALLS, "use: {shown by: permit}\n" + WALL,
        "framing: {walls: {material: wood, shown by: photo 1}, shown by: plan S-2}\n" + WALL,
        WALL + "    built up:\n      - board: foam\n        shown by: photo 1\n",
        WALL + "    niche: {material: foam, shown by: photo 1}\n",
        WALL + "junctions: {board seams: {tape: {width: 2 in, shown by: photo 1}, shown by: photo 2}, shown by: photo 3}\n",
        WALL + "records: {flood test: {held: 24 h}, shown by: {flood test: photo 1}}\n",
    ],
)  # fmt: skip
def test_what_the_reader_takes_the_schema_takes(text):
    assert read_by_both(text) == (True, True)


@pytest.mark.parametrize(
    "text",
    [
        WALL + TEST % "[{photo: 12}]", WALL + TEST % "{held: {photo: 12}}", "shown by: {use: permit}\n" + WALL,
        WALL + "    built up: [board: {material: foam, shownby: photo 1}]\n", WALL + TEST % "12",
        WALL + "    built up:\n      - board: foam\n        tile: stone\n        shown by: photo 1\n",
    ],
)  # fmt: skip
def test_what_the_reader_refuses_the_schema_underlines(text):
    assert read_by_both(text) == (False, False)
