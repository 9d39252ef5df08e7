"""A history proves what was written when: whatever is altered, left out or put in is found."""

import pytest
from at_desk import Desk
from hypothesis import given, strategies as some
from sqlalchemy import text as sql

from validator.web.chain import before_it, change_between, changed_by
from validator.web.store import Wanted
from validator.web.words_of import asked_words, words_of

LINES = some.lists(some.sampled_from(["a: b", "c:", "  d: e", "", "é: 漢"]), max_size=6).map("\n".join)


@given(LINES, LINES)
def test_a_change_leads_from_one_description_to_the_other_and_back(before: str, after: str) -> None:
    change = change_between(before, after)
    assert changed_by(change, before) == after and before_it(change, after) == before


def case_with_three_events(desk: Desk) -> str:
    public = desk.begin(kind="shower")
    desk.answer(pressed="house")
    desk.answer(pressed="new")
    assert [why for *_, why in desk.store.verified()] == [""]
    return public


@pytest.mark.parametrize(
    ("harm", "found"),
    [
        ("update event set line = replace(line, 'house', 'hotel') where seq = 2", "event 2: its line was altered"),
        ("update event set hash = 'x' where seq = 2", "event 2: its line was altered"),
        ("delete from event where seq = 2", "event 2: it is missing"),
        ("delete from event where seq = 3", "the newest events are missing"),
        ("update tile_case set text = replace(text, 'house', 'hotel')", "the description is not what its events make it"),
        ("update event set seq = seq + 10 where seq = 3", "event 3: it is missing"),
    ],
)
def test_whatever_is_altered_beside_the_program_is_found(desk: Desk, harm: str, found: str) -> None:
    case_with_three_events(desk)
    with desk.store.writing() as link:
        link.execute(sql(harm))
    ((*_, why),) = desk.store.verified()
    assert found in why


def test_a_line_that_is_hashed_anew_no_longer_follows_the_one_before(desk: Desk) -> None:
    from validator.web.chain import hash_of

    public = case_with_three_events(desk)
    line = desk.store.events(public)[1].line.replace('"house"', '"hotel"').replace("house", "hotel")
    with desk.store.writing() as link:
        link.execute(sql("update event set line = :line, hash = :hash where seq = 2"), {"line": line, "hash": hash_of(line)})
    ((*_, why),) = desk.store.verified()
    assert "event 3: it does not follow the event before it" in why


@pytest.mark.parametrize(
    ("asked", "found"),
    [("hall", True), ("HALL oak", True), ("wr-001", True), ("WR-123", True), ("Bäder", True), ("bader", True), ("1-5/8", True), ("12x24", False),
     ("hal oak", False), ("harrow", True), ("' or 1=1 --", False), ('"hall" OR nope', False), ("nope*", False)],
)  # fmt: skip
def test_cases_are_found_by_names_numbers_and_products(desk: Desk, asked: str, found: bool) -> None:
    desk.open("assembly: Hall bath, Oak St, WR-00123, Bäder\nplaces:\n  walls:\n    kind: shower wall\n    built up:\n"
              "      - board: {product: Harrow foam board}\n      - screws: {length: 1-5/8 in}\n")  # fmt: skip
    assert bool(desk.store.cases(Wanted(asked))) == found


def test_what_is_asked_for_is_among_the_words_that_are_kept() -> None:
    for said in ("WR-00123", "1-5/8", "A118.11", "Müller", "12 x 24"):
        assert set(asked_words(said)) <= set(words_of(said))
