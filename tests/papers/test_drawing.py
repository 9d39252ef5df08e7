"""The drawing: to scale, in the author's units, readable without colour, its balloons keyed and apart."""

import re
from itertools import combinations, pairwise, permutations, product
from math import dist
from xml.etree import ElementTree

import pytest
from drawn import SVG, balloons, drawing, drawings, judged, lettering, points, strips
from paths import ROOT

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
FIVE = next(path for path in SAMPLES if path.stem == "five-mistakes")
FOAM_PAN = ROOT / "tests" / "whole" / "sound" / "foam-pan-shower.yaml"
WET_ROOM = next(path for path in SAMPLES if path.stem == "metric-wet-room")

WALL = """
assembly: A wall
framing: {material: wood, spacing: 16 in}
places:
  back wall:
    kind: shower wall
    built up:
      - board: {material: cement, thickness: 1/2 in, fixed with: screws}
      - screws: {length: 1-1/4 in}
      - membrane: {kind: liquid, dry film thickness: 25 mil}
      - tile mortar: {kind: modified cement, bed thickness: 1/4 in}
      - tile: {body: porcelain, thickness: 3/8 in, size: 12 x 24 in}
      - grout: {joint: 1/8 in}
"""
FLOOR = """
assembly: A floor
places:
  hall:
    kind: room floor
    size: {size}
    movement joint: {{spacing: {spacing}}}
    built up:
      - slab: {{thickness: 4 in}}
      - tile: {{body: ceramic, thickness: 5/16 in}}
"""


def across(thing: str, root) -> float:
    """How thick a layer of a wall is drawn."""
    xs = [x for x, _ in points(strips(root)[thing])]
    return max(xs) - min(xs)


def every_drawing():
    return [pytest.param(path, id=path.stem) for path in SAMPLES]


@pytest.mark.parametrize("path", every_drawing())
def test_balloons_never_overlap_and_stay_on_the_sheet(path):
    for each in drawings(path):
        root = ElementTree.fromstring(each.svg)
        _, _, wide, high = map(float, root.get("viewBox").split())
        placed = balloons(root)
        for (_, x1, y1, r1), (_, x2, y2, r2) in combinations(placed, 2):
            assert dist((x1, y1), (x2, y2)) >= r1 + r2, each.title
        for _, x, y, r in placed:
            assert r <= x <= wide - r and r <= y <= high - r, each.title


@pytest.mark.parametrize("path", every_drawing())
def test_lettering_stays_on_the_sheet(path):
    """An average letter of the face drawn with is 0.56 of its height wide."""
    for each in drawings(path):
        root = ElementTree.fromstring(each.svg)
        _, _, wide, high = map(float, root.get("viewBox").split())
        for text in root.iter(f"{SVG}text"):
            if text.get("transform") or text.get("text-anchor"):
                continue
            end = float(text.get("x")) + len(text.text) * float(text.get("font-size")) * 0.56
            assert end <= wide + 1 and 0 < float(text.get("y")) <= high, (each.title, text.text)


@pytest.mark.parametrize("path", every_drawing())
def test_every_finding_at_a_drawn_place_has_its_balloon(path):
    _, _, marks = judged(path)
    shown = drawings(path)
    places = {place for each in shown for place in each.places}
    numbers = {number for each in shown for number, *_ in balloons(ElementTree.fromstring(each.svg))}
    for mark in marks:
        if mark.finding is not None and any(place in places for place in mark.places):
            assert mark.number in numbers, mark.title


@pytest.mark.parametrize("path", every_drawing())
def test_a_drawing_needs_no_colour(path):
    for each in drawings(path):
        for colour in re.findall(r"#([0-9a-f]{6}|[0-9a-f]{3})\"", each.svg):
            thirds = {colour[at : at + len(colour) // 3] for at in range(0, len(colour), len(colour) // 3)}
            assert len(thirds) == 1, colour


@pytest.mark.parametrize("path", every_drawing())
def test_a_drawing_tells_those_who_cannot_see_it(path):
    for each in drawings(path):
        root = ElementTree.fromstring(each.svg)
        assert root.get("role") == "img"
        named = {child.get("id"): child.text for child in root if child.tag in (f"{SVG}title", f"{SVG}desc")}
        assert root.get("aria-labelledby").split() == list(named)
        assert all(named.values())


def test_layers_are_drawn_to_one_scale():
    root = drawing(WALL, "section")
    scale = across("board", root) / 12.7
    assert across("tile", root) == pytest.approx(9.525 * scale, abs=0.05)
    assert across("tile mortar", root) == pytest.approx(6.35 * scale, abs=0.05)


def test_a_thin_layer_is_drawn_a_stated_number_of_times_thicker():
    root = drawing(WALL, "section")
    scale = across("board", root) / 12.7
    said = re.search(r"drawn (\d+) times its", " ".join(lettering(root)))
    assert across("membrane", root) == pytest.approx(0.635 * scale * int(said[1]), abs=0.05)


def test_a_screw_reaches_as_far_on_the_drawing_as_on_site():
    """1-1/4 in through 1/2 in of board leaves 3/4 in in the framing."""
    root = drawing(WALL, "section")
    scale = across("board", root) / 12.7
    screw = next(each for each in root.iter(f"{SVG}line") if each.get("class") == "screw")
    face = max(x for x, _ in points(strips(root)["board"]))
    assert float(screw.get("x1")) == pytest.approx(face, abs=0.05)
    assert float(screw.get("x1")) - float(screw.get("x2")) == pytest.approx(31.75 * scale, abs=0.05)
    assert "3/4 in" in " ".join(lettering(root))


def test_what_is_not_stated_is_dashed_and_said():
    root = drawing(WALL.replace("thickness: 1/2 in, ", ""), "section")
    assert strips(root)["board"].get("stroke-dasharray") == "4 3"
    assert strips(root)["tile"].get("stroke-dasharray") is None
    assert "thickness not stated" in " ".join(lettering(root))


def test_a_layer_of_no_thickness_is_drawn_as_a_line():
    root = drawing(WALL.replace("bed thickness: 1/4 in", "bed thickness: 0 in"), "section")
    assert "drawn as a line" in " ".join(lettering(root))
    assert across("tile mortar", root) > 0


def test_metric_work_is_dimensioned_in_metric():
    said = " ".join(" ".join(lettering(ElementTree.fromstring(each.svg))) for each in drawings(WET_ROOM))
    assert "board, 12.5 mm" in said and "fall 2.2 % (1:45)" in said and "1500 mm" in said and " mil" not in said


def test_materials_are_hatched_as_a_detail_sheet_shows_them():
    root = drawing(WALL, "section")
    assert strips(root)["board"].get("fill").endswith("-board)")
    assert strips(root)["membrane"].get("fill") == "#111"
    floor = drawing(FLOOR.format(size="10 x 10 ft", spacing="8 ft"), "section")
    assert strips(floor)["slab"].get("fill").endswith("-concrete)")


@pytest.mark.parametrize(
    ("size", "spacing", "lines"), [("10 x 15 ft", "5 ft", 3), ("10 x 15 ft", "20 ft", 0), ("8 x 24 ft", "8 ft", 2)]
)
def test_movement_joints_stand_where_their_spacing_puts_them(size, spacing, lines):
    root = drawing(FLOOR.format(size=size, spacing=spacing), "plan")
    assert sum(each.get("class") == "movement-joint" for each in root.iter(f"{SVG}line")) == lines


def test_a_plan_is_to_scale_both_ways():
    root = drawing(FLOOR.format(size="10 x 15 ft", spacing="5 ft"), "plan")
    outline = next(root.iter(f"{SVG}rect"))
    assert float(outline.get("width")) / float(outline.get("height")) == pytest.approx(1.5, abs=0.01)


def test_a_detail_shows_each_coat_and_a_wet_first_coat_dotted():
    """Board seams have one coat; inside corners two; floor to wall two, the first wet."""
    sheets = [ElementTree.fromstring(each.svg) for each in drawings(FIVE) if each.sort == "junctions"]
    coats = [each for root in sheets for each in root.iter(f"{SVG}path") if each.get("class") == "coat"]
    assert len(coats) == 5
    assert sum(each.get("stroke-dasharray") == "1.5 2" for each in coats) == 1


def test_many_details_are_several_drawings_that_say_so():
    """Six things are described: seams, corners, the floor's edge, the drain, a hole and the curb; none is left out."""
    sheets = [each for each in drawings(FIVE) if each.sort == "junctions"]
    assert [each.title for each in sheets] == ["Junctions and details, 1 of 2", "Junctions and details, 2 of 2"]
    heads = [said for each in sheets for said in lettering(ElementTree.fromstring(each.svg))]
    kinds = ["board seams", "inside corners", "floor to wall", "drain", "pipe hole", "curb"]
    assert [said for said in heads if said in kinds] == kinds


def test_two_walls_built_alike_are_drawn_once():
    assert [each.places for each in drawings(FIVE) if each.sort == "section"] == [
        ("shower floor",),
        ("back wall", "side walls"),
    ]


def test_sixty_layers_are_still_drawn():
    layers = "\n".join(f"      - board: {{name: sheet {n}, material: cement, thickness: 1/2 in}}" for n in range(55))
    root = drawing(WALL.replace("      - board: {material: cement, thickness: 1/2 in, fixed with: screws}", layers), "section")
    assert sum(said.startswith("sheet") for said in lettering(root)) == 55


def test_a_gap_in_the_layers_is_said():
    root = drawing(WALL.replace("      - membrane: {kind: liquid, dry film thickness: 25 mil}", '      - "?"'), "section")
    assert "something here is not described" in lettering(root)


def test_a_drain_stands_in_the_section_with_its_flange_in_the_waterproofing():
    root = drawing(FOAM_PAN, "section")
    flange = next(each for each in root.iter(f"{SVG}line") if each.get("class") == "flange")
    pan = [y for _, y in points(strips(root)["foam pan"])]
    assert float(flange.get("y1")) == pytest.approx(pan[3], abs=0.05)


def test_a_plan_tells_the_fall_that_was_measured_beside_the_one_that_was_meant():
    said = " ".join(lettering(drawing(FIVE, "plan")))
    assert "fall 1/4 in per ft (1:48) to the drain, measured 1/8 in per ft" in said


def test_leaders_of_a_wall_run_level():
    """Each layer's words stand level with its point, so that no two leaders cross."""
    root = drawing(WALL, "section")
    for each in root.iter(f"{SVG}path"):
        ends = points(each) if each.get("stroke-width") == "0.6" else []
        if len(ends) == 2:
            assert ends[0][1] == ends[1][1]


def leaders(root) -> list[list[tuple[float, float]]]:
    """The points of each leader of a drawing."""
    return [points(each) for each in root.iter(f"{SVG}path") if each.get("stroke-width") == "0.6" and each.get("class") is None]


def cross(one, two) -> bool:
    """Whether a level and an upright piece of two leaders meet."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = two
    if ay == by and cx == dx:
        return min(ax, bx) <= cx <= max(ax, bx) and min(cy, dy) <= ay <= max(cy, dy)
    return False


@pytest.mark.parametrize("path", every_drawing())
def test_leaders_of_a_floor_run_level_and_upright_and_never_cross(path):
    for each in drawings(path):
        if each.sort == "section":
            drawn = leaders(ElementTree.fromstring(each.svg))
            pieces = [list(pairwise(leader)) for leader in drawn]
            assert all(ax == bx or ay == by for leader in pieces for (ax, ay), (bx, by) in leader)
            for one, two in permutations(pieces, 2):
                assert not any(cross(a, b) for a, b in product(one, two)), each.title


@pytest.mark.parametrize("kind", ["shower wall", "room floor"])
def test_two_hundred_layers_stay_on_the_sheet(kind):
    layers = "\n".join(f"      - board: {{name: sheet {n}, material: cement, thickness: 1/2 in}}" for n in range(200))
    text = f"assembly: Very many\nplaces:\n  place:\n    kind: {kind}\n    built up:\n{layers}\n      - tile: {{body: porcelain}}\n"
    root = drawing(text, "section")
    words_at = min(float(each.get("x")) for each in root.iter(f"{SVG}text") if each.text.startswith("sheet"))
    for each in root.iter(f"{SVG}path"):
        if each.get("data-thing"):
            assert max(x for x, _ in points(each)) < words_at
    assert sum(said.startswith("sheet") for said in lettering(root)) == 200


def test_a_figure_keeps_its_unit():
    for path in SAMPLES:
        for each in drawings(path):
            for said in lettering(ElementTree.fromstring(each.svg)):
                assert not re.match(r"(in|ft|mm|mil|%)\b", said), said
