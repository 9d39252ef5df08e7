"""The drawing as the trade reads it: flat things lie, studs and joists show what they are, nothing is drawn that nobody said."""

import re
from fractions import Fraction
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from drawn import SVG, drawing, drawings, judged, lettering, points, shelf, strips

from validator.papers.drawing import DARK, alone, drawings_of

FLAT = """
assembly: Flat
framing: {{material: {framing}}}
places:
  it:
    kind: {kind}
    {facts}
    built up:
      - board: {{material: cement, thickness: 1/2 in, fixed with: screws}}
      - screws: {{length: {screw}}}
      - membrane: {{kind: liquid, dry film thickness: 25 mil}}
      - tile: {{body: porcelain, thickness: 3/8 in}}
"""
BED = """
assembly: A deck
places:
  deck:
    kind: {kind}
    size: 20 x 10 ft
    {facts}
    built up:
      - slab: {slab}
      - mortar bed: {{thickness: 1-1/4 in, {bed}}}
      - tile: {{body: porcelain, thickness: 3/8 in}}
"""


def flat(kind: str, framing: str = "wood", facts: str = "free at edges: no", screw: str = "1-1/4 in"):
    described = FLAT if kind != "room ceiling" else "".join(each for each in FLAT.splitlines(True) if "membrane" not in each)
    return described.format(kind=kind, framing=framing, facts=facts, screw=screw)


def bed(kind: str = "pool deck", facts: str = "open to sky: yes", slab: str = "{kind: suspended}", more: str = "reinforced: no"):
    return BED.format(kind=kind, facts=facts, slab=slab, bed=more)


def middle(root, thing: str) -> tuple[float, float]:
    corners = points(strips(root)[thing])
    return sum(x for x, _ in corners) / 4, sum(y for _, y in corners) / 4


def of_class(root, name: str):
    return [each for each in root.iter() if each.get("class") == name]


@pytest.mark.parametrize("kind", ["exterior deck", "pool deck", "bench", "counter", "tub deck", "curb", "room floor", "floor"])
def test_flat_things_lie_with_their_structure_below(kind):
    """`pool deck` and `floor` may be either of two floors."""
    root = drawing(flat(kind), "section")
    (board_x, board_y), (tile_x, tile_y) = middle(root, "board"), middle(root, "tile")
    assert board_y > tile_y and board_x == pytest.approx(tile_x, abs=0.01)


@pytest.mark.parametrize("kind", ["shower ceiling", "room ceiling", "ceiling"])
def test_a_ceiling_hangs_with_its_finish_at_the_bottom(kind):
    root = drawing(flat(kind), "section")
    assert middle(root, "board")[1] < middle(root, "tile")[1]
    said = lettering(root)
    assert said.index("framing") < next(turn for turn, each in enumerate(said) if each.startswith("tile"))


@pytest.mark.parametrize("kind", ["shower wall", "wall", "exterior wall", "niche"])
def test_a_wall_stands_with_its_structure_to_the_left(kind):
    root = drawing(flat(kind), "section")
    assert middle(root, "board")[0] < middle(root, "tile")[0]


@pytest.mark.parametrize(("framing", "drawn"), [("steel", "channel"), ("wood", "sawn")])
def test_a_stud_shows_what_it_is_and_its_screw_goes_into_it(framing, drawn):
    root = drawing(flat("shower wall", framing), "section")
    (member,) = of_class(root, drawn)
    (screw,) = of_class(root, "screw")
    if drawn == "sawn":
        top, high = float(member.get("y")), float(member.get("height"))
        right = float(member.get("x")) + float(member.get("width"))
    else:
        top, high = min(y for _, y in points(member)), max(y for _, y in points(member)) - min(y for _, y in points(member))
        right = max(x for x, _ in points(member))
    assert top < float(screw.get("y1")) < top + high
    assert float(screw.get("x2")) < right < float(screw.get("x1"))


def test_a_screw_too_short_stops_before_the_stud():
    root = drawing(flat("shower wall", "steel", screw="3/8 in"), "section")
    (member,), (screw,) = of_class(root, "channel"), of_class(root, "screw")
    assert float(screw.get("x2")) > max(x for x, _ in points(member))


def test_framing_of_no_stated_material_is_only_an_outline():
    root = drawing(flat("shower wall").replace("{material: wood}", "{spacing: 16 in}"), "section")
    assert not of_class(root, "sawn") and not of_class(root, "channel")


@pytest.mark.parametrize("slab", ["{kind: suspended}", "{thickness: 6 in}"])
def test_a_slab_is_thicker_than_its_bed_and_is_broken(slab):
    root = drawing(bed(slab=slab), "section")
    high = {thing: max(y for _, y in points(each)) - min(y for _, y in points(each)) for thing, each in strips(root).items()}
    assert high["slab"] > high["mortar bed"]
    top, foot = min(y for _, y in points(strips(root)["slab"])), max(y for _, y in points(strips(root)["slab"]))
    breaks = [each for each in root.iter(f"{SVG}path") if each.get("stroke-width") == "0.9" and len(points(each)) == 6]
    assert any(top < points(each)[0][1] < foot for each in breaks)


def test_an_unknown_slab_is_dashed_and_said():
    root = drawing(bed(), "section")
    assert strips(root)["slab"].get("stroke-dasharray") == "4 3"
    assert "thickness not stated" in " ".join(lettering(root)).replace("suspended, thickness not", "thickness not")


@pytest.mark.parametrize(("bed_says", "mesh", "lath"), [
    ("reinforced: yes", 1, 0), ("reinforced: no", 0, 0), ("method: bonded to concrete", 0, 0), ("method: on lath", 0, 1),
])  # fmt: skip
def test_wire_and_lath_are_drawn_where_they_are_written(bed_says, mesh, lath):
    root = drawing(bed(more=bed_says), "section")
    assert (len(of_class(root, "mesh")), len(of_class(root, "lath"))) == (mesh, lath)
    for each in of_class(root, "mesh"):
        top, foot = (f(y for _, y in points(strips(root)["mortar bed"])) for f in (min, max))
        assert top < float(each.get("y1")) < foot


def way(line) -> tuple[float, float]:
    return float(line.get("x2")) - float(line.get("x1")), float(line.get("y2")) - float(line.get("y1"))


@pytest.mark.parametrize("drain", ["position: along a wall, shape: linear", "position: end", "position: center", "shape: point"])
def test_the_fall_goes_the_same_way_in_plan_and_section(drain):
    """The plan's cut runs level; along it, on the side of the drain that the section shows, water runs to the left."""
    described = bed("shower floor", f"fall: 1/4 in per ft\n    drain: {{{drain}}}")
    (section,) = of_class(drawing(described, "section"), "fall")
    assert way(section)[0] < 0
    plan = drawing(described, "plan")
    assert of_class(plan, "cut")
    level = [way(each) for each in of_class(plan, "fall") if abs(way(each)[1]) < 0.01]
    assert any(across < 0 for across, _ in level)
    letter = of_class(plan, "cut")
    assert len(letter) == 2 and "cut at A, as on the plan" in lettering(drawing(described, "section"))


@pytest.mark.parametrize("sort", ["section", "plan"])
def test_a_fall_to_nowhere_stated_has_no_direction(sort):
    root = drawing(bed("exterior deck", "fall: 1/4 in per ft"), sort)
    assert not of_class(root, "fall") and not of_class(root, "cut")
    there, back = of_class(root, "unsure")
    assert way(there) == pytest.approx(tuple(-each for each in way(back)), abs=0.02)
    said = " ".join(lettering(root))
    assert "?" in said and "fall 1/4 in per ft (1:48), which way not stated" in said


def test_a_floor_is_drawn_level_where_nobody_says_which_way_it_falls():
    root = drawing(bed("exterior deck", "fall: 1/4 in per ft"), "section")
    for each in strips(root).values():
        corners = points(each)
        assert corners[0][1] == corners[1][1] and corners[2][1] == corners[3][1]


@pytest.mark.parametrize("metric", [False, True])
def test_scale_bars_stand_in_both_systems_and_agree(metric):
    described = bed().replace("1-1/4 in", "32 mm").replace("3/8 in", "10 mm").replace("20 x 10 ft", "6 x 3 m") if metric else bed()
    root = drawing(described, "section")
    rects = [each for each in root.iter(f"{SVG}rect") if each.get("height") == "4"]
    halves = [float(each.get("width")) for each in rects if each.get("fill") == "#111"]
    said = [each for each in lettering(root) if re.fullmatch(r"[\d/]+ (in|mm|ft|m)", each)]
    assert len(halves) == len(said) == 2
    by_unit = {each.split()[1]: (float(Fraction(each.split()[0])), half) for each, half in zip(said, halves)}
    assert list(by_unit) == (["mm", "in"] if metric else ["in", "mm"])
    assert by_unit["in"][1] / (by_unit["in"][0] * 25.4) == pytest.approx(by_unit["mm"][1] / by_unit["mm"][0], rel=0.01)


def test_layers_are_told_in_order_with_what_was_found_at_them():
    described = flat("shower wall", screw="5/8 in")
    _, _, marks = judged(described)
    short = next(mark for mark in marks if mark.outcome == "fail" and "screw" in mark.things)
    desc = next(drawing(described, "section").iter(f"{SVG}desc")).text
    order = [desc.index(each) for each in ("framing, wood", "board, cement, 1/2 in", "membrane, liquid", "tile, porcelain, 3/8 in")]
    assert all(before < after for before, after in pairwise(order))
    assert f"Fail {short.number}, {short.title}" in desc


def test_a_mark_of_one_of_two_panels_stands_at_that_one():
    described = """
assembly: Two panels
framing: {material: wood}
places:
  hall:
    kind: room floor
    built up:
      - subfloor panel: {name: first, material: plywood, thickness: 23/32 in}
      - subfloor panel: {name: second, material: luan, thickness: 1/4 in}
      - tile: {body: porcelain}
"""
    _, _, marks = judged(described)
    luan = [mark for mark in marks if mark.places == ("hall, second",)]
    assert luan
    desc = next(drawing(described, "section").iter(f"{SVG}desc")).text
    first, second = desc.index("first (subfloor panel)"), desc.index("second (subfloor panel)")
    for mark in luan:
        if f" {mark.number}" in desc and mark.outcome != "open":
            assert first < second < desc.index(f"{mark.number}, {mark.title}")


def test_a_balloon_leads_to_what_it_stands_for():
    described = flat("shower wall", screw="5/8 in")
    read, _, marks = judged(described)
    for each in drawings_of(read, shelf(), marks, "part1", leads_to="part1"):
        root = ElementTree.fromstring(each.svg)
        links = of_class(root, "balloon")
        assert {link.get("data-number") for link in links} == set(each.numbers)
        assert root.get("role") == ("group" if links else "img")
        for link in links:
            assert link.get("href") == f"#part1-{link.get('data-number')}" and link.get("aria-label")
        assert {link.get("id") for link in links} - {None} == {f"{each.name}-at-{number}" for number in each.numbers}
    assert not [link for each in drawings(described) for link in ElementTree.fromstring(each.svg).iter(f"{SVG}a")]


def luminance(color: str) -> float:
    """Relative luminance, WCAG 2.1."""
    parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def test_a_drawing_alone_turns_dark_where_dark_is_asked_for():
    svg = alone(drawings(flat("shower wall"))[0].svg)
    style = next(ElementTree.fromstring(svg).iter(f"{SVG}style")).text
    assert "prefers-color-scheme:dark" in style
    used = set(re.findall(r'(?:fill|stroke)="(#[0-9a-f]+)"', svg))
    assert used <= set(DARK)  # whatever is black or white has a dark of its own
    for color in used - {"#fff"}:
        assert f'[fill="{color}"]{{fill:{DARK[color]}}}' in style
        lighter, darker = sorted((luminance(DARK[color]), luminance(DARK["#fff"])), reverse=True)
        assert (lighter + 0.05) / (darker + 0.05) >= 4.5


def at_the_face(described) -> list[tuple[float, float]]:
    roots = [ElementTree.fromstring(each.svg) for each in drawings(described) if each.sort == "fasteners"]
    return [(float(each.get("cx")), float(each.get("cy"))) for root in roots for each in of_class(root, "fastener")]


@pytest.mark.parametrize(("framing", "apart"), [(16, 8), (24, 6), (12, 12)])
def test_fasteners_stand_at_their_spacing_on_framing_at_its_own(framing, apart):
    described = flat("shower wall", screw=f"1-1/4 in, spacing: {apart} in").replace("{material: wood}", f"{{material: wood, spacing: {framing} in}}")
    dots = at_the_face(described)
    xs, ys = sorted({x for x, _ in dots}), sorted({y for _, y in dots})
    assert len(dots) == len(xs) * len(ys) > 4
    assert (xs[1] - xs[0]) / (ys[1] - ys[0]) == pytest.approx(framing / apart, rel=0.01)
    said = lettering(drawing(described, "fasteners"))
    assert f"{framing} in" in said and f"{apart} in" in said


@pytest.mark.parametrize("described", [
    flat("shower wall"), flat("shower wall", screw="1-1/4 in, spacing: 8 in"),
    flat("shower wall").replace("{material: wood}", "{material: wood, spacing: 16 in}"),
    flat("shower wall", "masonry", screw="1-1/4 in, spacing: 8 in").replace("{material: masonry}", "{material: masonry, spacing: 16 in}"),
])  # fmt: skip
def test_fasteners_are_seen_from_the_face_only_where_both_spacings_are_written(described):
    assert at_the_face(described) == []


TWICE = """
assembly: Two kinds of screws
framing: {{material: wood, spacing: 16 in}}
places:
  it:
    kind: {kind}
    built up:
      - {under}: {{material: plywood, thickness: 23/32 in}}
      - screws: {{kind: wood screw, length: 2 in}}
      - board: {{material: cement, thickness: 1/2 in, fixed with: screws}}
      - screws: {{kind: board screw, length: 1-1/4 in}}
      - tile: {{body: porcelain}}
"""


def test_each_kind_of_screw_holds_the_layer_written_before_it():
    root = drawing(TWICE.format(kind="room floor", under="subfloor panel"), "section")
    upper, lower = sorted(of_class(root, "screw"), key=lambda each: float(each.get("y1")))
    assert float(upper.get("y1")) == pytest.approx(min(y for _, y in points(strips(root)["board"])), abs=0.02)
    assert float(lower.get("y1")) == pytest.approx(min(y for _, y in points(strips(root)["subfloor panel"])), abs=0.02)
    assert upper.get("x1") != lower.get("x1")
    assert (float(lower.get("y2")) - float(lower.get("y1"))) / (float(upper.get("y2")) - float(upper.get("y1"))) == pytest.approx(1.6)


def test_two_kinds_of_screws_go_into_one_stud():
    described = TWICE.format(kind="shower wall", under="board").replace("plywood", "foam")
    root = drawing(described, "section")
    (member,) = of_class(root, "sawn")
    top, foot = float(member.get("y")), float(member.get("y")) + float(member.get("height"))
    screws = of_class(root, "screw")
    assert len(screws) == 2 and all(top < float(each.get("y1")) < foot for each in screws)


def test_a_drawing_tells_itself_in_words():
    (section,) = drawings(flat("shower wall"))
    assert section.told.startswith("Cross-section, from the structure outwards. framing, wood")
