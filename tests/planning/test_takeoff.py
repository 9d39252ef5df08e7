"""The buying list: quantities worked by hand, waste that the user sets, and what is missing said."""

import csv
import io
import json
from fractions import Fraction
from pathlib import Path

import pytest
from drawn import shelf
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.loading import LoadedBook
from validator.language.amounts import AmountProblem
from validator.planning.takeoff import USUAL_WASTE, Item, takeoff_of, wastes_of
from validator.workings import WorkingProblem
from validator.workings.cutting import cut

SHOWER = """\
assembly: A shower to buy for
framing:
  floor: {material: wood, joist: 2x8, spacing: 16 in, span: 10 ft}
  walls: {material: wood, spacing: 16 in}
places:
  shower floor:
    on: floor
    size: 36 x 60 in
    drain: {kind: bonded flange, position: center}
    built up:
      - subfloor panel: {material: plywood, category: 23/32}
      - bedding mortar: {trowel: 1/2 x 1/2 in square notch}
      - foam pan: {fall: 1/4 in per ft, waterproof: yes}
      - tile mortar: {kind: modified cement, trowel: 1/4 x 1/4 in square notch}
      - tile: {body: porcelain, size: 2 x 2 in, thickness: 1/4 in}
      - grout: {joint: 1/8 in}
  back wall:
    kind: shower wall
    on: walls
    width: 60 in
    height: 84 in
    built up:
      - board: {material: foam, thickness: 1/2 in, sheet width: 60 in, sheet height: 36 in}
      - screws: {length: 1-5/8 in, spacing: 12 in}
      - membrane: {kind: liquid, covers: whole face, coats: 2, solids: 65 %, dry film called for: 30 mil, loss: 0 %}
      - tile mortar: {kind: modified cement, trowel: 1/2 x 1/2 in square notch}
      - tile: {body: porcelain, size: 12 x 24 in, thickness: 3/8 in}
      - grout: {joint: 3/16 in}
  side wall:
    like: back wall
    width: 36 in
junctions:
  board seams: {tape: {material: alkali-resistant glass mesh, width: 2 in}}
  inside corners: {tape: {material: alkali-resistant glass mesh, width: 2 in}}
  board to pan: {sealant: {kind: hybrid, bead: 3/8 in}}
"""
NO_WASTE = dict.fromkeys(USUAL_WASTE, Fraction(0))


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return shelf()


def listed(loaded: LoadedBook, text: str = SHOWER, **wastes: Fraction) -> dict[str, Item]:
    assembly = read_assembly(text, "a test", loaded.vocabulary, loaded.catalogue)
    return {item.name: item for item in takeoff_of(assembly, loaded, {**NO_WASTE, **wastes})}


# -- cutting ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("width", "height", "sheets", "seams"),
    [
        (60, 36, 1, 0),  # one sheet
        (60, 72, 2, 60),  # two courses
        (60, 84, 3, 120),  # two courses, and a foot of a third
        (36, 84, 3, 72),  # the offcut, 24 in wide, joins nothing; the strip is cut from a third sheet
        (30, 72, 1, 30),  # one sheet cut in two
        (72, 72, 3, 144),  # two sheets and both 12 in pieces from a third
        (120, 36, 2, 36),  # two side by side
        (20, 108, 1, 40),  # three pieces from one sheet
        (61, 36, 2, 36),  # an inch more than a sheet
    ],
)
def test_sheets_are_counted_as_they_are_cut(width: int, height: int, sheets: int, seams: int) -> None:
    done = cut(Fraction(width), Fraction(height), Fraction(60), Fraction(36))
    assert (done.sheets, done.seams) == (sheets, seams)


@pytest.mark.parametrize("height", [36, 50, 84, 96])
def test_a_wider_wall_never_takes_fewer_sheets(height: int) -> None:
    counts = [cut(Fraction(w), Fraction(height), Fraction(60), Fraction(36)).sheets for w in range(6, 200)]
    assert counts == sorted(counts)


@pytest.mark.parametrize("width", [20, 36, 60, 90])
def test_a_higher_wall_never_takes_fewer_sheets(width: int) -> None:
    counts = [cut(Fraction(width), Fraction(h), Fraction(60), Fraction(36)).sheets for h in range(6, 200)]
    assert counts == sorted(counts)


def test_sheets_never_cover_less_than_the_wall() -> None:
    for width in range(10, 150, 7):
        for height in range(10, 150, 11):
            sheets = cut(Fraction(width), Fraction(height), Fraction(60), Fraction(36)).sheets
            assert sheets * 60 * 36 >= width * height


def test_a_sheet_of_no_width_is_refused() -> None:
    with pytest.raises(WorkingProblem, match="a sheet width of 0 cannot be"):
        cut(Fraction(60), Fraction(84), Fraction(0), Fraction(36))


# -- quantities, by hand ---------------------------------------------------------------------------------------------------


def test_boards_screws_and_tape_of_one_wall(loaded: LoadedBook) -> None:
    items = listed(loaded)
    board = items["1/2 in foam board, sheets 60 x 36 in"]
    assert (board.least, board.greatest, board.unit) == (3, 3, "sheets")
    # studs at 0, 16, 32, 48 and 60 in: 5 lines; three courses of 36, 36 and 12 in at 12 in: 4 + 4 + 2 up each
    assert items["board screws"].least == 50
    # two level seams of 60 in; the corner's other wall has no height
    assert items["2 in alkali-resistant glass mesh tape"].least == Fraction(120 + 84, 12)


def test_mortar_tile_grout_and_membrane(loaded: LoadedBook) -> None:
    items = listed(loaded)
    # 15 sq ft at 1/8 in and 35 sq ft at 1/4 in, 231 cu in to the gallon
    assert items["tile mortar, mixed"].least == Fraction(15 * 144, 8 * 231) + Fraction(35 * 144, 4 * 231)
    assert items["mortar under pans and boards"].least == Fraction(15 * 144, 4 * 231)
    assert items["porcelain tile, 12 x 24 in"].least == 35
    assert items["porcelain tile, 12 x 24 in"].packs == (18, 18)  # 35 / 2 sq ft, whole
    # 30 mil dry is 46.15 wet; a gallon covers 1604.17 sq ft at a mil
    assert float(items["membrane"].least) == pytest.approx(35 * 30 / 0.65 / 1604.1667, rel=1e-6)
    # published form: 144 x thickness x (1 - L x W / ((L + J) x (W + J))), cubic inches to gallons
    floor = 15 * 144 * 0.25 * (1 - 4 / 2.125**2)
    wall = 35 * 144 * 0.375 * (1 - 288 / (24.1875 * 12.1875))
    assert float(items["grout, mixed"].least) == pytest.approx((floor + wall) / 231, rel=1e-6)


def test_a_bead_is_half_a_square(loaded: LoadedBook) -> None:
    sealant = listed(loaded)["hybrid sealant"]
    assert sealant.least == Fraction(60) * Fraction(9, 128)
    assert sealant.packs == (1, 1)


def test_what_is_missing_is_said_and_nothing_is_guessed(loaded: LoadedBook) -> None:
    items = listed(loaded)
    assert items["1/2 in foam board, sheets 60 x 36 in"].missing == ["side wall: needs height"]
    assert "board seams, side wall: needs its length" in items["2 in alkali-resistant glass mesh tape"].missing


def test_a_whole_wall_counts_once_its_height_is_written(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace("    width: 36 in\n", "    width: 36 in\n    height: 84 in\n"))
    assert items["1/2 in foam board, sheets 60 x 36 in"].least == 6
    assert not items["1/2 in foam board, sheets 60 x 36 in"].missing


def test_a_membrane_on_seams_only_is_not_counted_as_a_face(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace("covers: whole face", "covers: seams"))
    assert not items["membrane"].parts
    assert items["membrane"].missing == ["back wall: covers seams or a part only; not counted",
                                         "side wall: covers seams or a part only; not counted"]  # fmt: skip


def test_a_membrane_of_which_nobody_says_what_it_covers_is_asked_about(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace("covers: whole face", "covers: unknown"))
    assert not items["membrane"].parts
    assert items["membrane"].missing[0] == "back wall: say whether the membrane covers the whole face; not counted"


def test_a_size_known_only_as_a_range_gives_a_range(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace("    width: 60 in\n", "    width: 58 to 62 in\n"))
    board = items["1/2 in foam board, sheets 60 x 36 in"]
    assert (board.least, board.greatest) == (3, 4)
    tile = items["porcelain tile, 12 x 24 in"]
    assert (tile.least, tile.greatest) == (Fraction(58 * 84, 144), Fraction(62 * 84, 144))


def test_a_trowel_that_is_not_written_is_said(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace(", trowel: 1/4 x 1/4 in square notch", ""))
    assert items["tile mortar, mixed"].missing == [
        "shower floor: needs tile mortar trowel", "side wall: needs height",
    ]  # fmt: skip


# -- waste -----------------------------------------------------------------------------------------------------------------


def test_waste_for_everything_or_for_one_item() -> None:
    assert wastes_of(["12 %"]) == dict.fromkeys(USUAL_WASTE, Fraction(12, 100))
    assert wastes_of(["5 %", "tile 15 %"])["tile"] == Fraction(15, 100)
    assert wastes_of(["tile=15%"])["tile"] == Fraction(15, 100)
    assert wastes_of(["tile 15 %"])["grout"] == USUAL_WASTE["grout"]
    assert wastes_of([]) == USUAL_WASTE


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("tyle 15 %", "nothing on the list is called `tyle`. Accepted: did you mean `tile`?"),
        ("-3 %", "`-3 %` is less than nothing"),
        ("10 in", "`10 in`: a length is not a proportion"),
        ("much", "nothing on the list is called `much`"),
    ],
)
def test_a_waste_that_is_none_is_refused(text: str, says: str) -> None:
    with pytest.raises(AmountProblem) as refused:
        wastes_of([text])
    assert str(refused.value).startswith(says)


def test_more_waste_never_buys_less(loaded: LoadedBook) -> None:
    less, more = listed(loaded), listed(loaded, **dict.fromkeys(USUAL_WASTE, Fraction(1, 5)))
    for name in less:
        assert more[name].least >= less[name].least


# -- the command -----------------------------------------------------------------------------------------------------------


def run(tmp_path: Path, *args: str) -> tuple[int, str]:
    file = tmp_path / "shower.yaml"
    file.write_text(SHOWER)
    done = CliRunner().invoke(app, ["takeoff", str(file), *args])
    return done.exit_code, done.output


def test_the_list_is_printed_with_waste_bags_and_what_is_missing(tmp_path: Path) -> None:
    status, out = run(tmp_path, "--waste", "tile 15 %", "--width", "200")
    assert status == 0
    assert "porcelain tile, 12 x 24 in: 40.25 sq ft, 21 pieces, joints not counted, 15 % waste counted" in out
    assert "Not counted. side wall: needs height" in out
    assert "a 50 lb bag taken to make 3-1/2 gal: common practice, no source; the bag says" in out


def test_the_list_opens_in_a_spreadsheet(tmp_path: Path) -> None:
    _, out = run(tmp_path, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    assert rows[0]["item"] == "1/2 in foam board, sheets 60 x 36 in"
    assert (rows[0]["least"], rows[0]["unit"], rows[0]["missing"]) == ("3", "sheets", "side wall: needs height")


def test_the_list_as_json(tmp_path: Path) -> None:
    _, out = run(tmp_path, "--format", "json")
    items = {item["name"]: item for item in json.loads(out)["items"]}
    assert items["hybrid sealant"]["packs"] == {"of": "tubes of 10.1 fl oz", "least": 1, "greatest": 1}
    assert items["board screws"]["parts"][0]["how"].startswith("50 screws for 60 x 84 in")


def test_a_bad_waste_ends_the_command_with_a_plain_line(tmp_path: Path) -> None:
    status, out = run(tmp_path, "--waste", "tyle 15 %")
    assert status == 2
    assert out.startswith("--waste: nothing on the list is called `tyle`")
