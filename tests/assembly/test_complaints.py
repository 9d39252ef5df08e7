"""Each slip in an assembly is told word for word: where, what, and what would be accepted."""

import pytest

from validator.assembly import read_assembly, read_catalogue
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadAssembly, BadBook

VOCABULARY = """\
job: {what: The job, sort: job}
job.building: {what: The building, kind: word, words: [house, hotel]}
framing: {what: Framing, sort: framing}
framing.spacing: {what: Spacing, kind: length, from: 8 in, to: 8 ft}
place: {what: A place, sort: place}
place.kind: {what: Kind of place, kind: word, words: [shower wall, shower floor]}
place.room: {what: Room, kind: name}
place.wet: {what: It gets wet, kind: yes or no, concluded: flag}
board: {what: Board, sort: layer, body: yes, when not written: ask, named by: material}
board.material: {what: What the board is made of, kind: word, words: [foam, cement]}
board.thickness: {what: Thickness of the board, kind: length, from: 1/4 in, to: 3 in}
tile: {what: Tile, sort: layer, body: yes, named by: body}
tile.body: {what: What the tile is made of, kind: word, words: [porcelain, stone]}
tile.size: {what: Size of the tile, kind: size, gives: [tile.shortest edge, tile.longest edge]}
tile.shortest edge: {what: Shorter edge, kind: length}
tile.longest edge: {what: Longer edge, kind: length}
liner: {what: Liner, sort: layer, when not written: ask, role: waterproofing, in places: [shower floor]}
drain: {what: Drain, sort: part, in places: [shower floor], named by: kind}
drain.kind: {what: Kind of drain, kind: word, words: [flange, ring]}
junction:
  what: A junction
  sort: junction
  shapes: {seams: {in: [shower wall], having: board}}
junction.kind: {what: Kind of junction, kind: word, words: [seams, corners]}
junction.coats: {what: Coats, kind: count}
tape: {what: Tape, sort: seal, when not written: ask, named by: material}
tape.material: {what: What the tape is, kind: word, words: [mesh, paper]}
tape.width: {what: Width of the tape, kind: length}
flood test: {what: Flood test, sort: record, when not written: ask}
flood test.held: {what: How long it was held, kind: duration}
"""
CARD = "card: Harrow board\nthing: board\ndeclares: {material: foam, thickness: 1/2 in}\n"
WALL = "places:\n  back wall:\n    kind: shower wall\n"


@pytest.fixture(scope="module")
def book(tmp_path_factory):
    folder = tmp_path_factory.mktemp("rulebooks")
    (folder / "vocabulary").mkdir()
    (folder / "catalogue").mkdir()
    (folder / "vocabulary" / "all.yaml").write_text(VOCABULARY)
    (folder / "catalogue" / "board.yaml").write_text(CARD)
    vocabulary = read_vocabulary(folder / "vocabulary")
    return vocabulary, read_catalogue(folder / "catalogue", vocabulary)


def complaints(book, text):
    with pytest.raises(BadAssembly) as bad:
        read_assembly(text, "bath.yaml", *book)
    return [str(each) for each in bad.value.complaints]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("asembly: x\n" + WALL, "1:1: `asembly` is not a key of an assembly. Accepted: did you mean `assembly`? assembly, use, framing, "
         "places, junctions, records, everywhere in, seen on site, seen, written out in full, options, shown by, ..."),
        ("use: {bilding: house}\n" + WALL, "1:7: `bilding` is not a key of `use`. Accepted: did you mean `building`? building, shown by"),
        ("use: {building: hose}\n" + WALL,
         "1:17: `building`: `hose` is not a word for the building. Accepted: did you mean `house`? house, hotel"),
        ("assembly: x\n", "1:1: no place is described. Accepted: `places:` with the name of each place under it"),
        ("places:\n", "1:8: no place is described. Accepted: the name of each place under `places:`"),
        (WALL + "  Back wall: {}\n", "4:3: there are two places named `Back wall`. Accepted: a name of its own for each"),
        (WALL + "    on: wals\nframing:\n  walls: {spacing: 16 in}\n",
         "4:9: no framing run is named `wals`. Accepted: did you mean `walls`? walls"),
        ("framing: {spacing: 16}\n" + WALL, "1:20: `spacing`: `16` says no unit. Accepted: 16 in or 16 mm"),
        ("framing: {spacing: 16 psf}\n" + WALL,
         "1:20: `spacing`: `16 psf`: a load is not a length. Accepted: 1-5/8 in, 13 ft 6 in, 20 mil or 41 mm"),
        (WALL + "    built up:\n      - bord: foam\n", "5:9: `bord` is not a layer of the vocabulary. Accepted: did you mean `board`? "
         "tile, board, liner"),
        (WALL + "    built up:\n      - board: {thicknes: 1/2 in}\n",
         "5:17: `thicknes` is not a key of `board`. Accepted: did you mean `thickness`? material, thickness, state, covers, name, product, shown by"),
        (WALL + "    built up:\n      - board: {lies on: nothing}\n",
         "5:17: `lies on` is not written: it follows from the order of the layers. Accepted: leave the line out"),
        (WALL + "    wet: yes\n", "4:5: `wet` is not written: it follows from other facts. Accepted: leave the line out"),
        (WALL + "    built up:\n      - board: foam\n        thickness: 1/2 in\n",
         "6:9: `thickness` stands beside `board`, not under it. Accepted: four spaces more before `thickness`"),
        (WALL + "    built up:\n      - board: foam\n        tile: stone\n",
         "6:9: `tile` stands in the same item as `board`. Accepted: a `-` before each layer"),
        (WALL + "    built up:\n      - drain: flange\n", "5:9: `drain` is not written in a shower wall, whether or not there is one. "
         "Accepted: a place where it is judged: shower floor"),
        (WALL + "    built up:\n      - tape: mesh\n", "5:9: `tape` is not a layer. Accepted: write it under `junctions:`, "
         "such as `junctions: {seams: {tape: there}}`"),
        (WALL + "    built up:\n      - liner\n", "5:9: `liner` is not written in a shower wall, whether or not there is one. "
         "Accepted: a place where it is judged: shower floor"),
        (WALL + "    drain: flange\n", "4:5: `drain` is not written in a shower wall, whether or not there is one. "
         "Accepted: a place where it is judged: shower floor"),
        (WALL + "    built up: [tile]\n    board: foam\n", "5:5: the layer `board` is written beside the build-up. Accepted: `- board:` in its turn under "
         "`built up:`; beside it only `board: none`"),
        (WALL + "    built up: foam\n",
         "4:15: `built up` is a list of layers. Accepted: a line `- layer:` for each, from the structure outwards"),
        (WALL + "    built up:\n      - board: {name: a}\n      - board: {name: A}\n",
         "6:9: two layers of board are named `A`. Accepted: a name of its own for each"),
        (WALL + "    built up:\n      - board: foam\n      - board: none\n",
         "6:9: the board is written and said not to be there. Accepted: one of the two"),
        (WALL + "    built up:\n      - tile: {size: 12 x 24 in, shortest edge: 10 in}\n",
         "5:34: `shortest edge` says 10 in, but above it is 12 x 24 in. Accepted: say it once"),
        (WALL + "    waterproofing: yes\n", "4:20: `waterproofing` is not a layer: write what it is. Accepted: `waterproofing: none`, or one "
         "of liner under `built up:`"),
        (WALL + "    built up:\n      - board: {material: [foam, cement]}\n",
         "5:27: `material` is one value, not a list. Accepted: `or` between words when it is one of them, not known which"),
        (WALL + "    like: bak wall\n", "4:11: no place is named `bak wall`. Accepted: did you mean `back wall`? back wall"),
        (WALL + "    like: back wall\n",
         "4:11: `like: back wall` comes round to itself. Accepted: one place of them with a build-up of its own"),
        (WALL + "    nothing else: maybe\n", "4:19: `nothing else` is yes or no. Accepted: yes, no"),
        (WALL + "    built up:\n      - tile: {product: Harrow board}\n",
         "5:9: `Harrow board` is a board, not a tile. Accepted: `board:` with that product"),
        (WALL + "junctions: {seems: {tape: none}}\n",
         "4:13: `seems` is not a kind of junction. Accepted: did you mean `seams`? seams, corners"),
        (WALL + "junctions: {seams: {tap width: 2 in}}\n", "4:21: `tap width` is not a key of the junction `seams`. Accepted: did you mean "
         "`tape width`? coats, tape, tape material, tape width, seen, shown by"),
        (WALL + "junctions: {corners: {back wall to floor: {coats: 2}}}\n", "4:23: no place is named `floor`. Accepted: back wall"),
        (WALL + "junctions: {seams: taped}\n",
         "4:20: `taped` does not say how `seams` is made. Accepted: its facts on lines under it, or none"),
        (WALL + "junctions: {all others: yes}\n", "4:25: `all others` is none, or is left out. Accepted: none"),
        (WALL + "records: {flod test: yes}\n",
         "4:11: `flod test` is not a key of `records`. Accepted: did you mean `flood test`? flood test, shown by"),
        (WALL + "records: {flood test: wet}\n", "4:23: `wet` does not say what the flood test is. Accepted: none, there, or its facts on "
         "lines under it: held, state"),
        (WALL + "everywhere in: {pool: [tile]}\n", "4:17: no place is in `pool`. Accepted: back wall"),
        (WALL + "options: A\n",
         "4:1: `options` are written as `name:` with what differs under it. Accepted: `options: {A: {...}, B: {...}}`"),
    ],
)  # fmt: skip
def test_a_slip_is_told_where_it_stands(book, text, told):
    assert complaints(book, text) == [f"bath.yaml:{told}"]


def test_every_slip_of_a_file_is_told_at_once_and_in_order(book):
    text = "use: {bilding: house}\nplaces:\n  shower wall:\n    built up: [bord, {tile: {size: 12 in}}]\njunctions: {seems: none}\n"
    assert [told.split(": ")[0] for told in complaints(book, text)] == ["bath.yaml:1:7", "bath.yaml:4:16", "bath.yaml:4:36", "bath.yaml:5:13"]


def test_a_file_of_too_many_places_is_refused(book):
    text = "places: {" + ", ".join(f"p{n}: {{kind: shower wall}}" for n in range(501)) + "}"
    assert complaints(book, text) == ["bath.yaml:1:9: 501 places are described. Accepted: at most 500 in one file"]


def test_a_place_of_too_many_layers_is_refused(book):
    text = "places: {shower wall: {built up: [" + ", ".join(["tile"] * 251) + "]}}"
    assert complaints(book, text) == ["bath.yaml:1:34: 251 layers are written in one place. Accepted: at most 250"]


@pytest.mark.parametrize(
    ("card", "told"),
    [
        ("card: X\nthing: bord\ndeclares: {}\n", "2:8: `bord` is no layer, seal or part of the vocabulary. Accepted: did you mean `board`?"),
        ("card: X\nthing: board\ndeclares: {thicknes: 1 in}\n",
         "3:12: `thicknes` is not a fact that a card of `board` can declare. Accepted: did you mean `board.thickness`?"),
        ("card: X\nthing: board\ndeclares: {thickness: 1}\n", "3:23: `thickness`: `1` says no unit. Accepted: 1 in or 1 mm"),
        ("card: X\nthing: board\n", "1:1: a product card lacks `declares`. Accepted: a line `declares: ...`"),
        (CARD, "1:7: there are two cards named `Harrow board`. Accepted: a name of its own for each"),
    ],
)  # fmt: skip
def test_a_slip_in_a_product_card_is_told(book, tmp_path, card, told):
    (tmp_path / "a.yaml").write_text(CARD)
    (tmp_path / "b.yaml").write_text(card)
    with pytest.raises(BadBook) as bad:
        read_catalogue(tmp_path, book[0])
    assert [str(each) for each in bad.value.complaints] == [f"{tmp_path / 'b.yaml'}:{told}"]
