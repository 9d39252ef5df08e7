"""The buying list: quantities worked by hand, waste that the user sets, and what is missing said."""

import csv
import io
import json
import math
from fractions import Fraction
from pathlib import Path

import pytest
from drawn import shelf
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.loading import LoadedBook
from validator.language.amounts import AmountProblem
from validator.planning.items import USUAL_WASTE, Item, wastes_of
from validator.planning.takeoff import takeoff_of
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
      - board: {material: cement, thickness: 1/2 in, sheet width: 60 in, sheet height: 36 in}
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
  board to pan: {sealant: {kind: silicone, bead: 3/8 in}}
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
    board = items["1/2 in cement board, sheets 60 x 36 in"]
    assert (board.least, board.greatest, board.unit) == (3, 3, "sheets")
    # studs at 0, 16, 32, 48 and 60 in: 5 lines; three courses of 36, 36 and 12 in at 12 in: 4 + 4 + 2 up each
    assert items["board screws"].least == 50
    # two level seams of 60 in; the corner's other wall has no height
    assert items["2 in alkali-resistant glass mesh tape"].least == Fraction(120 + 84, 12)


def test_mortar_tile_grout_and_membrane(loaded: LoadedBook) -> None:
    items = listed(loaded)
    # 15 sq ft at 1/8 in and 35 sq ft at 1/4 in, 231 cu in to the gallon
    assert items["tile mortar, mixed"].least == Fraction(15 * 144, 8 * 231) + Fraction(35 * 144, 4 * 231)
    assert items["mortar under pans, boards and mats"].least == Fraction(15 * 144, 4 * 231)
    assert items["porcelain tile, 12 x 24 in"].least == 35
    assert items["porcelain tile, 12 x 24 in"].packs == (18, 18)  # 35 / 2 sq ft, whole
    # 30 mil dry is 46.15 wet; a gallon covers 1604.17 sq ft at a mil
    assert float(items["membrane"].least) == pytest.approx(35 * 30 / 0.65 / 1604.1667, rel=1e-6)
    # published form: 144 x thickness x (1 - L x W / ((L + J) x (W + J))), cubic inches to gallons
    floor = 15 * 144 * 0.25 * (1 - 4 / 2.125**2)
    wall = 35 * 144 * 0.375 * (1 - 288 / (24.1875 * 12.1875))
    assert float(items["grout, 1/8 in joints"].least) == pytest.approx(floor / 231, rel=1e-6)
    assert float(items["grout, 3/16 in joints"].least) == pytest.approx(wall / 231, rel=1e-6)


def test_a_bead_is_half_a_square(loaded: LoadedBook) -> None:
    sealant = listed(loaded)["silicone sealant"]
    assert sealant.least == Fraction(60) * Fraction(9, 128)
    assert sealant.packs == (1, 1)


def test_what_is_missing_is_said_and_nothing_is_guessed(loaded: LoadedBook) -> None:
    items = listed(loaded)
    assert items["1/2 in cement board, sheets 60 x 36 in"].missing == ["side wall: needs height"]
    assert "board seams, side wall: needs its length" in items["2 in alkali-resistant glass mesh tape"].missing


def test_a_whole_wall_counts_once_its_height_is_written(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace("    width: 36 in\n", "    width: 36 in\n    height: 84 in\n"))
    assert items["1/2 in cement board, sheets 60 x 36 in"].least == 6
    assert not items["1/2 in cement board, sheets 60 x 36 in"].missing


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
    board = items["1/2 in cement board, sheets 60 x 36 in"]
    assert (board.least, board.greatest) == (3, 4)
    tile = items["porcelain tile, 12 x 24 in"]
    assert (tile.least, tile.greatest) == (Fraction(58 * 84, 144), Fraction(62 * 84, 144))


def test_a_trowel_that_is_not_written_is_said(loaded: LoadedBook) -> None:
    items = listed(loaded, SHOWER.replace(", trowel: 1/4 x 1/4 in square notch", ""))
    assert items["tile mortar, mixed"].missing == [
        "shower floor: needs tile mortar trowel", "side wall: needs height",
    ]  # fmt: skip


# -- what lies under the tile ----------------------------------------------------------------------------------------------

FLOOR = """\
assembly: A floor to buy for
framing: {{material: wood, joist: 2x10, spacing: 16 in, span: 12 ft}}
places:
  floor:
    kind: {kind}
    size: {size}
    {more}
    built up:
      - {layers}
      - tile: {{body: porcelain, size: 12 x 24 in, thickness: 3/8 in}}
      - grout: {{kind: {grout}, joint: {joint}}}
"""


def below(loaded: LoadedBook, *layers: str, kind: str = "room floor", size: str = "8 x 10 ft", more: str = "direct sun: no",
          grout: str = "modified cement", joint: str = "1/8 in") -> dict[str, Item]:  # fmt: skip
    text = FLOOR.format(kind=kind, size=size, more=more, layers="\n      - ".join(layers), grout=grout, joint=joint)
    return listed(loaded, text)


def test_new_panels_are_counted_by_the_sheet_and_old_ones_are_not(loaded: LoadedBook) -> None:
    items = below(loaded, "subfloor panel: {material: plywood, category: 23/32, state: existing}", "subfloor panel: {material: plywood, thickness: 1/2 in}")
    # 8 x 10 ft: two sheets of 4 x 8 ft, and the last 2 ft from a third
    assert (items["1/2 in plywood panels, 4 x 8 ft"].least, items["1/2 in plywood panels, 4 x 8 ft"].greatest) == (3, 3)
    assert [name for name in items if "panels" in name] == ["1/2 in plywood panels, 4 x 8 ft"]
    assert items["panel fasteners and glue"].missing and not items["panel fasteners and glue"].parts


def test_a_pour_is_its_area_times_its_thickness_in_bags(loaded: LoadedBook) -> None:
    pour = below(loaded, "self-leveling underlayment: {base: cement, thickness: 3/8 in, lath: yes}")
    # 80 sq ft x 3/8 in / 12 = 2.5 cu ft: five bags of half a cubic foot; lath 80 sq ft in sheets of 18
    assert (pour["self-leveling underlayment"].least, pour["self-leveling underlayment"].packs) == (Fraction(5, 2), (5, 5))
    assert (pour["lath in the pour"].least, pour["lath in the pour"].packs) == (80, (5, 5))
    gypsum = below(loaded, "self-leveling underlayment: {base: gypsum, thickness: 3/4 in}")["gypsum pour"]
    assert (gypsum.least, gypsum.packs) == (5, None)


def test_an_even_bed_is_a_slab_of_mortar_with_its_mesh(loaded: LoadedBook) -> None:
    items = below(loaded, "mortar bed: {thickness: 1-1/2 in, reinforced: yes}")
    assert items["mortar bed"].least == 10  # 80 sq ft x 1.5 / 12
    assert items["mesh in the bed"].least == 80


BOWL = "drain: {kind: bonded flange, position: center}"


def mean_height_of_a_bowl(half: float, rise: float, cells: int = 400) -> float:
    """By adding up columns: over a square with its drain in the middle, straight from the drain to a level edge."""
    total = 0.0
    for i in range(cells):
        for j in range(cells):
            x, y = abs((i + 0.5) / cells * 2 - 1), abs((j + 0.5) / cells * 2 - 1)
            total += rise * max(x, y)
    return total / cells**2


def test_a_bed_that_makes_the_fall_itself_is_thicker_by_two_thirds_of_its_rise(loaded: LoadedBook) -> None:
    bed = below(loaded, "mortar bed: {thickness: 1 in, fall: 1/4 in per ft}", kind="shower floor", size="48 x 48 in", more=BOWL)["mortar bed"]
    rise = 24 * 0.25 / 12  # in, from the drain 24 in to the edge
    assert float(bed.least) == pytest.approx(16 * (1 + mean_height_of_a_bowl(24, rise)) / 12, rel=1e-4)


def test_a_liner_is_turned_up_on_its_sides_and_lies_on_a_sloped_fill(loaded: LoadedBook) -> None:
    items = below(loaded, "pre-slope: {material: mortar, fall: 1/4 in per ft}", "liner: {material: PVC}", "mortar bed: {thickness: 1-1/2 in}",
                  kind="shower floor", size="42 x 42 in", more="drain: {kind: clamping ring, position: center}")  # fmt: skip
    assert items["PVC liner"].least == 25  # 42 + 2 x 9 in = 5 ft each way
    # two thirds of 21 in at 1/4 in per ft is 0.29 in, to the sixteenth above 5/16; 12.25 sq ft
    assert items["sloped fill under the liner"].least == Fraction(49, 4) * Fraction(5, 16) / 12
    assert items["mortar bed"].least == Fraction(49, 4) * Fraction(3, 2) / 12 and not items["mortar bed"].missing


def test_a_bed_whose_slope_is_not_known_says_so(loaded: LoadedBook) -> None:
    bed = below(loaded, "mortar bed: {thickness: 1 in}", kind="shower floor", size="48 x 48 in", more="nothing else: yes")["mortar bed"]
    assert bed.parts and bed.missing[0].startswith("floor: its slope, which needs")


def test_a_mat_is_counted_with_the_mortar_that_it_is_set_in(loaded: LoadedBook) -> None:
    items = below(loaded, "isolation membrane: {kind: uncoupling mat, set in: modified thinset}")
    assert items["uncoupling mat"].least == 80
    # a notch of 1/4 in and a flat of 1/4 in leave half of 1/4 in: 80 sq ft x 144 x 1/8 in, 231 cu in to the gallon
    assert items["mortar under pans, boards and mats"].least == Fraction(80 * 144, 8 * 231)
    loose = below(loaded, "isolation membrane: {kind: uncoupling mat, set in: laid loose}")
    assert "mortar under pans, boards and mats" not in loose


def test_a_strip_over_a_crack_is_not_counted_as_a_floor(loaded: LoadedBook) -> None:
    strip = below(loaded, "isolation membrane: {kind: sheet, covers: strip over the crack}")["sheet isolation membrane"]
    assert not strip.parts and strip.missing == ["floor: say whether it covers the whole floor; not counted"]


def test_a_board_on_a_floor_is_bedded_where_it_is_said_so_and_asked_about_where_it_is_not(loaded: LoadedBook) -> None:
    board = "board: {material: cement, thickness: 1/4 in, sheet width: 60 in, sheet height: 36 in%s}"
    assert below(loaded, board % ", laid in mortar: yes")["mortar under pans, boards and mats"].least == Fraction(80 * 144, 8 * 231)
    asked = below(loaded, board % "")["mortar under pans, boards and mats"]
    assert not asked.parts and asked.missing == ["floor: needs board laid in mortar"]


def test_heating_is_named_and_said_not_to_be_counted(loaded: LoadedBook) -> None:
    heat = below(loaded, "heat: {kind: electric cable}")["floor heating"]
    assert not heat.parts and "sizes it by the warmed floor" in heat.missing[0]


def test_a_primer_takes_a_gallon_for_each_hundred_and_fifty_to_three_hundred_feet(loaded: LoadedBook) -> None:
    primer = below(loaded, "primer: acrylic", size="10 x 30 ft")["acrylic primer"]
    assert (primer.least, primer.greatest, primer.packs) == (1, 2, (1, 2))


def test_movement_joints_take_their_own_sealant_and_backing(loaded: LoadedBook) -> None:
    soft = "movement joint: {at perimeter: yes, filled with: sealant, width: 1/4 in, depth: 1/8 in}"
    items = below(loaded, "subfloor panel: plywood", more=soft)
    # 36 ft round: 432 in x 1/4 x 1/8
    assert items["sealant for movement joints"].least == Fraction(432, 32)
    assert items["backing for movement joints"].least == 36


def test_grouts_of_two_joints_and_kinds_are_two_lines_in_bags_and_pails(loaded: LoadedBook) -> None:
    bags = below(loaded, "subfloor panel: plywood", size="20 x 20 ft", joint="1/4 in")["modified cement grout, 1/4 in joints"]
    by_hand = 400 * 144 * 0.375 * (1 - 288 / (24.25 * 12.25)) / 231
    assert float(bags.least) == pytest.approx(by_hand, rel=1e-6) and bags.pack[1] == "bags of 25 lb"
    # the metric form from memory, kg for each m2 = (A + B) / (A x B) x depth x joint x 1.7 in mm, close to the exact geometry
    kilos = (305 + 610) / (305 * 610) * 9.525 * 6.35 * 1.7 * 400 * 0.092903
    assert bags.packs[0] == pytest.approx(kilos / 11.34, abs=1)
    pails = below(loaded, "subfloor panel: plywood", grout="epoxy")["epoxy grout, 1/8 in joints"]
    assert pails.pack[1] == "pails or kits of 1 gal"


def test_the_note_on_the_trowels_angle_is_the_sine_of_it(loaded: LoadedBook) -> None:
    note = next(note for note in listed(loaded)["tile mortar, mixed"].notes if "degrees" in note)
    assert f"{100 * math.sin(math.radians(60)):.0f} to {100 * math.sin(math.radians(30)):.0f} %" in note


def test_a_sheet_membrane_and_a_retarder_are_areas(loaded: LoadedBook) -> None:
    text = SHOWER.replace("{kind: liquid, covers: whole face, coats: 2, solids: 65 %, dry film called for: 30 mil, loss: 0 %}", "{kind: sheet, covers: whole face}")
    items = listed(loaded, text.replace("      - board:", "      - vapour retarder: {material: polyethylene}\n      - board:", 1))
    assert items["sheet membrane"].least == 35 and items["polyethylene"].least == 35


def test_a_wall_as_high_above_the_drain_as_one_side_is_long_stands_on_the_other(loaded: LoadedBook) -> None:
    text = SHOWER.replace("    width: 60 in\n    height: 84 in\n", "    size: 84 x 60 in\n    height above drain: 84 in\n")
    assert listed(loaded, text)["board screws"].greatest == 50


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
    assert rows[0]["item"] == "23/32 in plywood panels, 4 x 8 ft"
    board = next(row for row in rows if row["item"] == "1/2 in cement board, sheets 60 x 36 in")
    assert (board["least"], board["unit"], board["missing"]) == ("3", "sheets", "side wall: needs height")


def test_the_list_as_json(tmp_path: Path) -> None:
    _, out = run(tmp_path, "--format", "json")
    items = {item["name"]: item for item in json.loads(out)["items"]}
    assert items["silicone sealant"]["packs"] == {"of": "tubes of 10.1 fl oz", "least": 1, "greatest": 1}
    assert items["board screws"]["parts"][0]["how"].startswith("50 screws for 60 x 84 in")


def test_a_bad_waste_ends_the_command_with_a_plain_line(tmp_path: Path) -> None:
    status, out = run(tmp_path, "--waste", "tyle 15 %")
    assert status == 2
    assert out.startswith("--waste: nothing on the list is called `tyle`")
