"""A changed answer of any row is noticed by a case, or the row is told with the case to add; so is every loosened line."""

import json
from pathlib import Path

import pytest
from books import SEEN, VOCABULARY, consequence, rule, table, write_book

from validator.judging.loading import LoadedBook
from validator.proving import prove_cases, prove_weakenings, unasked_rows, unconfirmed, unheld_consequences, unheld_rows
from validator.rulebook.reading import read_book

THREE_KINDS = VOCABULARY.replace("room wall]", "room wall, room floor]")
ROWS = "place.kind,answer\nshower wall,2 in\nroom wall,1 in\nall other,4 in\n"
HELD = [
    {"name": f"{kind} {depth}", "with": {"place.kind": kind, "place.depth": depth}, "expect": expect}
    for kind, depth, expect in [
        ("shower wall", "2 in", "pass"), ("shower wall", "1-7/8 in", "fail"), ("room wall", "1 in", "pass"),
        ("room wall", "15/16 in", "fail"), ("room floor", "4 in", "pass"), ("room floor", "3-3/4 in", "fail"),
        ("room wall", "not stated", "open"),
    ]
]  # fmt: skip


def scheduled(folder: Path, cases: list[dict[str, object]], rows: str = ROWS) -> LoadedBook:
    by_row = rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases={"each": cases})
    depth = table("depth", "place.depth", ["place.kind"], rows)
    return LoadedBook(read_book(write_book(folder, vocabulary=THREE_KINDS, rules={"all/deep-enough": by_row}, schedules=depth)))


def test_rows_whose_cases_stand_on_both_sides_are_held(tmp_path: Path) -> None:
    assert list(unheld_rows(scheduled(tmp_path, HELD))) == []


@pytest.mark.parametrize("left_out", range(6))
def test_a_row_that_no_case_holds_is_told_with_the_case_to_add(tmp_path: Path, left_out: int) -> None:
    loaded = scheduled(tmp_path / "before", [case for number, case in enumerate(HELD) if number != left_out])
    (told,) = unheld_rows(loaded)
    assert f"depth.csv:{left_out // 2 + 2}:1: the schedule `depth`, the row for" in told
    to_paste = told[told.index("{name:") :]
    name, facts = to_paste[len("{name: ") :].split(", with: {")
    facts, expect = facts.rstrip("}").split("}, expect: ")
    added = {"name": name, "with": dict(each.split(": ") for each in facts.split(", ")), "expect": expect}
    again = scheduled(tmp_path / "after", [*(case for number, case in enumerate(HELD) if number != left_out), added])
    assert list(prove_cases(again)) == [] == list(unheld_rows(again))


BY_EDGE = "tile.longest edge,answer\nup to 15 in,1 in\nover 15 in,2 in\n"
ON_EDGES = [
    {"name": f"{edge} {depth}", "with": {"tile.longest edge": edge, "place.depth": depth}, "expect": expect}
    for edge, depth, expect in [
        ("8 in", "1 in", "pass"), ("8 in", "15/16 in", "fail"), ("30 in", "2 in", "pass"), ("30 in", "1-7/8 in", "fail"),
        ("15 in", "1 in", "pass"), ("15-1/2 in", "1 in", "fail"), ("30 in", "not stated", "open"),
    ]
]  # fmt: skip


def by_edge(folder: Path, left_out: str = "", rows: str = BY_EDGE) -> LoadedBook:
    wide = THREE_KINDS + "tile: {what: Tile, sort: layer}\ntile.longest edge: {what: Its edge, kind: length}\n"
    cases = [case for case in ON_EDGES if case["name"] != left_out]
    deep = rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases={"each": cases}, applies_when={"tile": "there"})
    depth = table("depth", "place.depth", ["tile.longest edge"], rows)
    return LoadedBook(read_book(write_book(folder, vocabulary=wide, rules={"all/deep-enough": deep}, schedules=depth)))


def test_rows_whose_ends_a_case_stands_on_and_past_are_held(tmp_path: Path) -> None:
    assert list(unheld_rows(by_edge(tmp_path))) == []


@pytest.mark.parametrize(
    ("left_out", "said"),
    [("15 in 1 in", ["at 15 in turned, so that it belongs to the other row", "at 15 in a tenth lower"]), ("15-1/2 in 1 in", ["at 15 in a tenth higher"])],
)
def test_the_end_of_a_row_that_no_case_holds_is_told_with_the_case_to_add(tmp_path: Path, left_out: str, said: list[str]) -> None:
    told = list(unheld_rows(by_edge(tmp_path, left_out)))
    assert len(told) == len(said)
    for line, what in zip(told, said):
        assert f"no case notices the end of tile.longest edge {what}; add to " in line
        assert "expect: " in line


@pytest.mark.parametrize(
    "rows", [BY_EDGE.replace("15 in,", "14 in,"), BY_EDGE.replace("up to", "under").replace("over 15 in", "15 in and over"), BY_EDGE.replace("15 in,", "16 in,")]
)
def test_an_end_off_by_a_step_or_turned_is_noticed_by_the_cases_that_hold_it(tmp_path: Path, rows: str) -> None:
    assert list(prove_cases(by_edge(tmp_path, rows=rows)))


def test_a_word_of_a_row_that_no_case_holds_is_told(tmp_path: Path) -> None:
    four = VOCABULARY.replace("room wall]", "room wall, room floor, bench]")
    rows = "place.kind,answer\nshower wall or room wall,2 in\nroom floor or bench,1 in\n"
    cases = [
        {"name": f"{kind} {depth}", "with": {"place.kind": kind, "place.depth": depth}, "expect": expect}
        for kind, depth, expect in [
            ("shower wall", "2 in", "pass"), ("shower wall", "1-7/8 in", "fail"), ("bench", "1 in", "pass"), ("bench", "15/16 in", "fail"),
            ("room floor", "1 in", "pass"), ("bench", "not stated", "open"),
        ]
    ]  # fmt: skip
    by_row = rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases={"each": cases})
    depth = table("depth", "place.depth", ["place.kind"], rows)
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=four, rules={"all/deep-enough": by_row}, schedules=depth)))
    (told,) = unheld_rows(loaded)
    assert "no case notices `room wall` left out of it; add to " in told


def test_a_row_that_no_rule_asks_is_told_as_that(tmp_path: Path) -> None:
    only_walls = rule(
        requires={"place.depth": {"at least": {"schedule": "depth"}}}, applies_when={"place.kind": ["shower wall", "room wall"]},
        cases={"each": [case for case in HELD if "floor" not in case["name"]]},
    )  # fmt: skip
    rows = ROWS.replace("all other", "room floor")
    depth = table("depth", "place.depth", ["place.kind"], rows)
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=THREE_KINDS, rules={"all/deep-enough": only_walls}, schedules=depth)))
    assert list(unheld_rows(loaded)) == []
    (told,) = unasked_rows(loaded)
    assert "`depth`, the row for place.kind room floor: deep-enough applies elsewhere, so that the row is never asked" in told


@pytest.mark.parametrize("answer", ["2-1/4 in", "1-7/8 in"])
def test_a_row_off_by_a_step_is_noticed_by_the_cases_that_hold_it(tmp_path: Path, answer: str) -> None:
    assert list(prove_cases(scheduled(tmp_path, HELD, ROWS.replace("2 in", answer))))


def test_a_limit_that_changes_with_the_code_is_held_code_by_code(tmp_path: Path) -> None:
    limits = json.dumps({"least depth": {"kind": "length", "by": "place.kind", "values": {"shower wall": "2 in", "room wall": "1 in"},
                                         "otherwise": "open", "source": {**SEEN, "edition": "1"}}})  # fmt: skip
    by_limit = rule(requires={"place.depth": {"at least": {"limit": "least depth"}}}, cases={"each": HELD[:2]})
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": by_limit}, limits=limits)))
    told = list(unheld_rows(loaded))
    assert len(told) == 2
    assert all("the limit `least depth`, the row for place.kind room wall: no case notices 1 in" in line for line in told)


def test_a_weakening_says_what_to_write(tmp_path: Path) -> None:
    cases = {"each": [case for case in HELD if case["name"] != "shower wall 2 in"]}
    weak = rule(requires={"place.depth": {"at least": "2 in"}}, applies_when={"place.kind": "shower wall"}, cases=cases)
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=THREE_KINDS, rules={"all/deep-enough": weak})))
    told = [line for line in prove_weakenings(loaded) if "as more than" in line]
    assert len(told) == 1
    assert "add a case exactly on 2 in (51 mm): {name: depth 2 in, with: {place.kind: shower wall, place.depth: 2 in}, expect: pass}" in told[0]


def test_a_line_that_no_case_needs_is_to_be_struck_or_tried(tmp_path: Path) -> None:
    cases = {"usual": {"board": "there"}, "each": [HELD[0], HELD[1]]}
    loose = rule(requires={"place.depth": {"at least": "2 in"}}, applies_when={"place.kind": "shower wall", "board": "there"}, cases=cases)
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": loose})))
    assert any("`board there` left out: strike this line, or add a case where it matters" in line for line in prove_weakenings(loaded))


def test_a_consequence_without_cases_is_told(tmp_path: Path) -> None:
    lined = consequence("lined", {"place.kind": "shower wall"}, {"place.needs lining": "yes"})
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule()}, consequences={"lined": lined})))
    assert [line for line in unheld_consequences(loaded) if "has no cases; add" in line]


def test_a_case_that_nobody_confirmed_is_told(tmp_path: Path) -> None:
    loaded = scheduled(tmp_path, [*HELD[1:], {**HELD[0], "confirmed": "no"}])
    (told,) = unconfirmed(loaded)
    assert ": deep-enough: nobody has confirmed 1 of its cases, on lines " in told
    assert told.endswith("; hold each against the source, then strike its `confirmed: no`")
