"""What decides is asked first, and heads the verdict; it never decides an outcome itself."""

from pathlib import Path

import pytest
from books import write_book
from paths import ROOT

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadBook
from validator.papers.as_told import verdict_line
from validator.rulebook.reading import read_book

SHOWER = """
assembly: Shower
use: {building: house, work: new}
places:
  shower floor:
    built up:
      - mortar bed: {fall: 1/4 in per ft, thickness: 1-1/2 in, method: under a bonded membrane}
      - membrane: {kind: sheet, covers: whole face}
      - tile: {body: porcelain, size: 2 x 2 in}
    drain: DRAIN
"""
BARE = """
assembly: Shower
places:
  walls: {kind: shower wall, built up: [cement board, tile]}
"""
FLOOR = """
assembly: Kitchen
places:
  kitchen: {kind: room floor, built up: [slab, tile mortar, tile]}
"""


def reported(text: str, loaded: LoadedBook) -> Report:
    return check(read_assembly(text, "a job", loaded.vocabulary, loaded.catalogue), loaded)


def test_what_is_needed_and_not_mentioned_decides(loaded: LoadedBook) -> None:
    told = reported(BARE, loaded).as_told
    first = told.questions[0]
    assert (told.outcome, told.could_become, first.not_mentioned, first.decides) == ("pass", "fail", True, True)
    assert verdict_line(told).startswith(f"As told: not to be said yet.  {told.deciding} question")


def test_the_drain_decides_while_nobody_says_how_it_takes_the_membrane(loaded: LoadedBook) -> None:
    unsaid, said = (reported(SHOWER.replace("DRAIN", drain), loaded).as_told for drain in ("there", "bonded flange"))
    assert ["drain.kind" in each.facts for each in unsaid.questions if each.decides] == [True]
    assert [each for each in said.questions if each.decides] == []


def test_of_a_membrane_that_is_told_its_extent_is_asked_and_not_what_stops_the_water(loaded: LoadedBook) -> None:
    tub = "places: {tub: {kind: tub surround wall, built up: [greenboard, membrane: {kind: liquid, coats: 2}, tile]}}"
    asked = [name for each in reported(tub, loaded).as_told.questions for name in each.facts if each.would_be == "fail"]
    assert "membrane.covers" in asked and "place.waterproofed" not in asked


def test_of_a_board_that_may_be_waterproof_that_is_asked(loaded: LoadedBook) -> None:
    walls = "places: {walls: {kind: shower wall, built up: [foam board: 1/2 in, tile]}}"
    first = reported(walls, loaded).as_told.questions[0]
    assert (first.facts, first.decides) == (("board.waterproof",), True)


def test_a_board_said_to_be_waterproof_is_spoken_of_and_its_seams_are_asked(loaded: LoadedBook) -> None:
    walls = "places: {walls: {kind: shower wall, built up: [foam board: {thickness: 1/2 in, waterproof: yes}, tile]}}"
    first = reported(walls, loaded).as_told.questions[0]
    assert (first.facts, first.not_mentioned, first.decides) == (("board.seams filled",), False, True)


def test_the_edges_of_one_size_are_one_question(loaded: LoadedBook) -> None:
    floor = "places: {floor: {kind: shower floor, fall: 1/4 in per ft, built up: [mortar bed: 2 in, tile]}}"
    asked = [each for each in reported(floor, loaded).as_told.questions if "place.least dimension" in each.facts]
    assert [(set(each.facts), each.asks) for each in asked] == [
        ({"place.least dimension", "place.greatest dimension"}, "What size is the tiled place, finished?")
    ]


def test_a_floor_on_a_slab_leaves_only_details_open(loaded: LoadedBook) -> None:
    told = reported(FLOOR, loaded).as_told
    assert (told.deciding, told.could_become, told.exit_status) == (0, "fail", 3)
    assert verdict_line(told).startswith("As told: no fault found in what is told.")


def test_stone_on_joists_decides_by_the_joists_and_ceramic_does_not(loaded: LoadedBook) -> None:
    floor = "places: {hall: {kind: room floor, on: floor, built up: [3/4 in plywood, isolation membrane, tile: {body: BODY}]}}\nframing: {floor: {material: wood}}"
    stone, ceramic = (reported(floor.replace("BODY", body), loaded).as_told for body in ("stone", "ceramic"))
    assert any(name.startswith("framing.") for each in stone.questions if each.decides for name in each.facts)
    assert not any(name.startswith("framing.") for each in ceramic.questions if each.decides for name in each.facts)


@pytest.mark.parametrize("path", sorted((ROOT / "samples").glob("*.yaml")), ids=lambda path: path.stem)
def test_what_decides_changes_the_order_of_questions_alone(path: Path, loaded: LoadedBook) -> None:
    if "places:" not in path.read_text(encoding="utf-8"):
        return
    without = LoadedBook(loaded.book)
    without.as_told.deciding = []
    for one, other in zip(*(read_assembly_file(path, loaded.vocabulary, loaded.catalogue).to_judge() for _ in range(2))):
        told, plain = check(one, loaded).as_told, check(other, without).as_told
        assert {frozenset(each.facts) for each in told.questions} == {frozenset(each.facts) for each in plain.questions}
        same = {"outcome", "could_become", "findings", "checks", "usual", "failed", "warned", "proved", "applying", "exit_status"}
        assert [getattr(told, name) for name in same] == [getattr(plain, name) for name in same]
        decide = [each.decides for each in told.questions]
        assert decide == sorted(decide, reverse=True)


def test_a_question_that_only_waits_or_warns_is_not_counted_as_deciding(loaded: LoadedBook) -> None:
    for text in (BARE, FLOOR, SHOWER.replace("DRAIN", "there")):
        told = reported(text, loaded).as_told
        assert told.deciding == sum(each.decides and each.would_be == "fail" for each in told.questions)


@pytest.mark.parametrize(
    ("written", "complaint"),
    [
        ("- {when: {place.kind: shower wall}, known first: [place.deth], because: B.}", "`place.deth` is no fact of the vocabulary"),
        ("- {when: {place.kind: shower wal}, known first: [place.depth], because: B.}", "shower wal"),
        ("- {when: {place.kind: shower wall}, known first: [place.depth]}", "because"),
        ("when: {place.kind: shower wall}", "deciding.yaml is a list"),
    ],
)  # fmt: skip
def test_a_slip_in_what_decides_is_told_where_it_stands(written: str, complaint: str, tmp_path: Path) -> None:
    folder = write_book(tmp_path)
    (folder / "deciding.yaml").write_text(written, encoding="utf-8")
    with pytest.raises(BadBook) as raised:
        read_book(folder)
    assert complaint in str(raised.value) and "deciding.yaml:1" in str(raised.value)
