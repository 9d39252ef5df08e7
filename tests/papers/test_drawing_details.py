"""Details: only what is written is drawn, what nobody stated is dashed or asked, and the falls go where they are stated to."""

from xml.etree import ElementTree

import pytest
from drawn import SVG, drawing, drawings, judged, lettering, points

SHOWER = """
assembly: A shower
places:
  floor:
    kind: shower floor
    {floor}
    built up:
      - mortar bed: {{thickness: 1-1/2 in}}
      - membrane: {{kind: sheet}}
      - tile mortar: {{kind: modified cement}}
      - tile: {{body: porcelain}}
  walls:
    kind: shower wall
    {walls}
    built up:
      - board: {{material: cement, thickness: 1/2 in}}
      - membrane: {{kind: liquid}}
      - tile mortar: {{kind: modified cement}}
      - tile: {{body: porcelain}}
junctions:
  {junction}
"""


def shower(floor: str = "walked on when wet: yes", walls: str = "nothing else: no", junction: str = "all others: none") -> str:
    return SHOWER.format(floor=floor, walls=walls, junction=junction)


def detail(described: str):
    return drawing(described, "junctions")


def of_class(root, name: str):
    return [each for each in root.iter() if each.get("class") == name]


def asks(root) -> int:
    return lettering(root).count("?")


def test_nothing_is_drawn_of_what_nobody_wrote():
    assert not [each for each in drawings(shower()) if each.sort == "junctions"]


@pytest.mark.parametrize(("floor", "walls", "head"), [
    ("curb: {material: wood}", "nothing else: no", "curb"), ("bench: {material: board}", "nothing else: no", "bench"),
    ("drain: {kind: bonded flange}", "nothing else: no", "drain"), ("nothing else: no", "niche: {material: foam}", "niche"),
])  # fmt: skip
def test_what_is_written_of_a_part_has_its_detail(floor, walls, head):
    assert head in lettering(detail(shower(floor, walls)))


def test_a_curb_that_is_not_there_has_no_detail():
    assert not [each for each in drawings(shower("curb: none")) if each.sort == "junctions"]


@pytest.mark.parametrize(("covered", "dashed", "asked", "words"), [
    ("covered whole: yes", False, 0, "waterproofing covers all"),
    ("covered whole: no", True, 0, "waterproofing does not"),
    ("material: wood", True, 1, "not stated whether the"),
])  # fmt: skip
def test_the_waterproofing_of_a_curb_is_whole_dashed_or_asked(covered, dashed, asked, words):
    root = detail(shower(f"curb: {{{covered}, fall: 1/4 in per ft}}"))
    (line,) = of_class(root, "waterproofing")
    assert (line.get("stroke-dasharray") is not None) == dashed
    assert asks(root) == asked
    assert any(each.startswith(words) for each in lettering(root))


def arrows(root):
    """Lines with a head, from their tail to it, of a drawing of one detail."""
    return [each for each in root.iter(f"{SVG}line") if each.get("class") is None and each.get("stroke-width") == "0.8"]


@pytest.mark.parametrize(("floor", "walls", "to_the_right"), [
    ("curb: {fall: 1/4 in per ft, covered whole: yes}", "nothing else: no", False),  # to the shower, which lies to the left
    ("bench: {fall: 1/4 in per ft, covered whole: yes}", "nothing else: no", True),  # away from the wall
    ("nothing else: no", "niche: {fall: 1/4 in per ft, covered whole: yes}", True),  # out of the recess
])  # fmt: skip
def test_a_stated_fall_goes_down_to_the_shower(floor, walls, to_the_right):
    root = detail(shower(floor, walls))
    (arrow,) = arrows(root)
    assert (float(arrow.get("x2")) > float(arrow.get("x1"))) == to_the_right
    assert float(arrow.get("y2")) > float(arrow.get("y1"))
    assert asks(root) == 0


def test_a_fall_that_nobody_stated_is_asked():
    root = detail(shower("bench: {covered whole: yes}"))
    assert asks(root) == 1 and len(of_class(root, "unsure")) == 2


@pytest.mark.parametrize(("said", "fill", "asked"), [
    ("filled with: sealant, coats: 1", "#111", 0), ("filled with: left open, coats: 1", "none", 0), ("coats: 1", "none", 1),
])  # fmt: skip
def test_the_joint_of_the_tile_is_filled_as_stated_or_asked(said, fill, asked):
    root = detail(shower(junction=f"floor to wall: {{{said}}}"))
    boxes = [each for each in root.iter(f"{SVG}path") if each.get("fill") != "#fff" and len(points(each)) == 4]
    joints = [each for each in boxes if abs(points(each)[0][1] - points(each)[2][1]) == 5]
    assert [each.get("fill") for each in joints] == [fill]
    assert (joints[0].get("stroke-dasharray") is not None) == bool(asked)
    assert asks(root) == asked


def test_how_the_membrane_turns_a_corner_is_dashed_until_it_is_stated():
    told = detail(shower(junction="floor to wall: {filled with: sealant, tape: {width: 6 in}}"))
    silent = detail(shower(junction="floor to wall: {filled with: sealant}"))
    assert (asks(told), asks(silent)) == (0, 1)
    assert len(of_class(told, "tape")) == 1 and not of_class(silent, "tape")


def length(path) -> float:
    return sum(abs(x2 - x1) + abs(y2 - y1) for (x1, y1), (x2, y2) in zip(points(path), points(path)[1:]))


def test_a_wider_tape_is_drawn_wider():
    narrow, wide = (of_class(detail(shower(junction=f"board seams: {{tape: {{width: {w}}}}}")), "tape")[0] for w in ("2 in", "4 in"))
    assert length(wide) == pytest.approx(2 * length(narrow))


def test_a_clamping_drain_shows_its_ring_and_a_bonded_one_none():
    assert len(of_class(detail(shower("drain: {kind: clamping ring}")), "ring")) == 2
    assert not of_class(detail(shower("drain: {kind: bonded flange}")), "ring")


def test_a_drain_of_no_stated_kind_is_dashed_and_asked():
    root = detail(shower("drain: {position: center, shape: point}"))
    assert all(each.get("stroke-dasharray") for each in of_class(root, "flange"))
    assert asks(root) == 1


def test_a_drain_is_drawn_once_where_its_junction_is_described_too():
    said = lettering(detail(shower("drain: {kind: bonded flange}", junction="drain: {sealed: yes, lap: 2 in}")))
    assert said.count("drain") == 1 and "lap 2 in" in said and "bonded flange" in said


def test_a_deck_asks_for_its_edge():
    deck = "assembly: Deck\nplaces:\n  deck:\n    kind: {}\n    built up:\n      - slab: {{thickness: 6 in}}\n      - tile: {{body: porcelain}}\n"
    root = detail(deck.format("exterior deck"))
    assert "deck edge" in lettering(root) and "not stated" in " ".join(lettering(root)) and asks(root) == 1
    assert not [each for each in drawings(deck.format("room floor")) if each.sort == "junctions"]


def test_a_wall_that_nobody_described_is_only_an_outline():
    """The floor is tiled, so its edge is drawn; of the wall nothing is known."""
    floor = "assembly: F\nplaces:\n  f:\n    kind: room floor\n    built up:\n      - slab: {thickness: 6 in}\n      - tile: {body: porcelain}\n"
    root = detail(floor + "junctions:\n  floor to wall: {filled with: sealant}\n")
    dashed = [each for each in root.iter(f"{SVG}path") if each.get("stroke-dasharray") == "4 3" and each.get("fill") == "none"]
    assert dashed
    tiles = [each for each in root.iter(f"{SVG}path") if (each.get("fill") or "").endswith("-tile)")]
    assert len(tiles) == 1


def test_a_detail_tells_its_findings_in_words():
    described = shower("curb: {material: wood, covered whole: no}")
    desc = next(detail(described).iter(f"{SVG}desc")).text
    about = [mark for mark in judged(described)[2] if mark.things[:1] == ("curb",) and mark.outcome in ("fail", "warn")]
    assert about and all(f"{mark.number}, {mark.title}" in desc for mark in about)
    assert "curb: wood" in desc


def test_details_stay_in_their_own_half():
    for each in drawings(shower("curb: {material: wood}\n    bench: {material: board}", "niche: {material: foam}")):
        if each.sort == "junctions":
            root = ElementTree.fromstring(each.svg)
            for path in root.iter(f"{SVG}path"):
                if path.get("d").count("L") and "C" not in path.get("d") and "Q" not in path.get("d"):
                    assert all(0 <= x <= 360 for x, _ in points(path))


SOFT = """
assembly: Soft joints
places:
  hall:
    kind: room floor
    movement joint: {{{said}}}
    built up:
      - slab: {{thickness: 4 in}}
      - tile: {{body: porcelain}}
"""


@pytest.mark.parametrize(("said", "rod", "asked"), [
    ("width: 3/8 in, filled with: sealant, backing: foam rod, to substrate: yes", 1, 0),
    ("width: 3/8 in, filled with: sealant, backing: bond-breaker tape", 0, 0), ("spacing: 10 ft", 0, 1),
])  # fmt: skip
def test_a_movement_joint_shows_its_filling_and_what_is_behind_it(said, rod, asked):
    root = detail(SOFT.format(said=said))
    assert len(of_class(root, "rod")) == rod and asks(root) == asked
    assert any(each.get("fill") == "#111" and len(points(each)) == 4 for each in root.iter(f"{SVG}path")) == (not asked)


DECK = """
assembly: Deck
places:
  deck:
    kind: exterior deck
    built up: {layers}
"""


@pytest.mark.parametrize(("layers", "above"), [
    ("[slab, mortar bed, membrane, tile]", True), ("[slab, membrane, mortar bed, tile]", False),
])  # fmt: skip
def test_the_waterproofing_of_a_deck_stands_where_it_is_written(layers, above):
    root = detail(DECK.format(layers=layers))
    (line,) = of_class(root, "waterproofing")
    bed = next(each for each in root.iter(f"{SVG}path") if (each.get("fill") or "").endswith("-mortar)"))
    middle = sum(y for _, y in points(bed)) / 4
    assert (points(line)[0][1] < middle) == above


@pytest.mark.parametrize(("said", "asked"), [("filled with: sealant", 1), ("filled with: sealant, sealed: yes", 0)])
def test_how_a_liner_turns_up_the_wall_is_asked_until_it_is_stated(said, asked):
    described = DECK.format(layers="[slab, membrane, mortar bed, tile]") + f"junctions:\n  floor to wall: {{{said}}}\n"
    root = detail(described)
    (upturn,) = of_class(root, "upturn")
    assert (upturn.get("stroke-dasharray") is not None) == bool(asked)
    assert asks(root) == 1 + asked  # the deck's edge is asked too


def test_glass_stands_on_the_curb_where_there_is_one_and_else_on_the_floor():
    curb = lettering(detail(shower("curb: {material: wood}\n    shower glass: {door: outward}")))
    assert "shower glass" not in curb and "glass stands on it" in curb and "door: outward" in curb
    floor = lettering(detail(shower("curb: none\n    shower glass: {door: outward}")))
    assert "shower glass" in floor and "curb" not in floor


LINED = """
assembly: A liner
places:
  floor:
    kind: shower floor
    curb: {{material: wood}}
    built up:
      - subfloor panel
      - liner: {{over curb: {over}}}
      - mortar bed: {{thickness: 1-1/2 in}}
      - tile
"""


@pytest.mark.parametrize(("over", "comes_down"), [("over and down outside", True), ("over the top", False), ("cut short", False)])
def test_a_liner_ends_on_the_curb_where_it_is_written_to(over, comes_down):
    root = detail(LINED.format(over=over))
    line = of_class(root, "waterproofing")[0]
    drawn = points(line)
    top = min(y for _, y in drawn)
    assert line.get("stroke-dasharray") is None
    assert (drawn[-1][1] > top + 20) == comes_down
    assert over == "cut short" or max(x for x, _ in drawn) - min(x for x, _ in drawn) > 90
    assert any(each.startswith("liner ") for each in lettering(root))
