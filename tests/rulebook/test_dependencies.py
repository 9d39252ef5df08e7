"""Facts that follow from each other: each is final before anything reads it."""

import json
from itertools import permutations

import pytest
from books import consequence, rule, small_books, write_book
from described import loaded_for, outcome, place
from hypothesis import given, settings

from validator.judging.loading import LoadedBook
from validator.language.source import BadBook
from validator.rulebook.reading import read_book

CHAIN = """\
place: {what: The place, sort: place}
place.kind: {what: Kind, kind: word, words: [steam shower, shower, room]}
place.depth: {what: Depth, kind: length}
place.half: {what: Half the depth, kind: length, worked out by: {1/2 times: place.depth}}
place.quarter: {what: A quarter of the depth, kind: length, worked out by: {1/2 times: place.half}}
place.exposure: {what: Exposure, kind: word, words: [dry, damp, wet], order: yes, concluded: greatest holds, otherwise: dry}
place.needs lining: {what: Needs a lining, kind: yes or no, concluded: flag}
place.needs a test: {what: Needs a test, kind: yes or no, concluded: flag}
"""
FOLLOWS = {
    "a-steam-is-wet": ({"place.kind": "steam shower"}, {"place.exposure": "wet"}),
    "b-shower-is-damp": ({"place.kind": "shower"}, {"place.exposure": "damp"}),
    "c-deep-is-damp": ({"place.quarter": {"at least": "1 in"}}, {"place.exposure": "damp"}),
    "d-damp-needs-a-lining": ({"place.exposure": {"at least": "damp"}}, {"place.needs lining": "yes"}),
    "e-a-lining-needs-a-test": ({"place.needs lining": "yes"}, {"place.needs a test": "yes"}),
}


def chained(folder, names=tuple(FOLLOWS)) -> LoadedBook:
    written = {f"{n:02d}-{name}": consequence(f"{n:02d}-{name}", *FOLLOWS[name]) for n, name in enumerate(names)}
    book = write_book(
        folder, vocabulary=CHAIN, consequences=written, rules={"all/deep-enough": rule(requires={"place.needs a test": "no"})}
    )
    return LoadedBook(read_book(book))


@pytest.mark.parametrize(
    "facts, expected",
    [
        ({"place.kind": "steam shower"}, "breach"),
        ({"place.kind": "shower"}, "breach"),
        ({"place.kind": "room", "place.depth": "4 in"}, "breach"),
        ({"place.kind": "room", "place.depth": "3.9 in"}, "pass"),
        ({"place.kind": "room"}, "open"),
        # Consequences are judged one by one, so that one of two must hold is not seen: a known cost, never a wrong answer.
        ({"place.kind": "steam shower or shower"}, "open"),
        ({"place.kind": "shower or room", "place.depth": "1 in"}, "open"),
    ],
)
def test_what_follows_is_followed_to_its_end(tmp_path, facts, expected):
    loaded = chained(tmp_path)
    assert outcome(loaded, place(loaded, facts)) == expected


def test_the_order_in_which_consequences_are_filed_never_matters(tmp_path):
    orders = list(permutations(FOLLOWS))[::17]
    said = set()
    for number, names in enumerate(orders):
        loaded = chained(tmp_path / str(number), names)
        said.add(tuple(outcome(loaded, place(loaded, {"place.kind": kind})) for kind in ("steam shower", "shower", "room")))
    assert said == {("breach", "breach", "open")}


@pytest.mark.parametrize("concluded, words", [("greatest holds", "dry"), ("greatest holds", "wet")])
def test_a_ladder_is_otherwise_its_declared_word(tmp_path, concluded, words):
    vocabulary = CHAIN.replace("otherwise: dry", f"otherwise: {words}")
    book = write_book(tmp_path, vocabulary=vocabulary, rules={"all/deep-enough": rule(requires={"place.exposure": words})})
    loaded = LoadedBook(read_book(book))
    assert outcome(loaded, place(loaded, {})) == "pass"


def test_a_circle_of_sums_is_refused(tmp_path):
    vocabulary = CHAIN.replace("{1/2 times: place.depth}", "{1/2 times: place.quarter}")
    with pytest.raises(BadBook) as refused:
        read_book(write_book(tmp_path, vocabulary=vocabulary, rules={}))
    assert [c.what for c in refused.value.complaints] == [
        "facts follow from each other in a circle: place.half -> place.quarter -> place.half"
    ]


def test_a_circle_through_a_schedule_is_refused(tmp_path):
    heading = {"schedule": "lined", "gives": "place.exposure", "keys": ["place.needs lining"], "rows": "lined.csv",
               "sources": {"from": "big code", "known by": "read second-hand"}}  # fmt: skip
    book = write_book(
        tmp_path, vocabulary=CHAIN,
        schedules={"lined.yaml": json.dumps(heading), "lined.csv": "place.needs lining,answer\nyes,wet\nno,dry\n"},
        consequences={"round": consequence("round", {"place.exposure": {"at least": {"schedule": "lined"}}}, {"place.needs lining": "yes"})},
    )  # fmt: skip
    with pytest.raises(BadBook) as refused:
        LoadedBook(read_book(book))
    assert "circle: place.needs lining -> place.needs lining" in str(refused.value)


@settings(max_examples=30, deadline=None)
@given(small_books(wild=True))
def test_nothing_is_derived_before_what_it_reads(made):
    _, plain = made
    loaded = loaded_for(plain)
    done: set[str] = set()
    derived = {each.fact.name for each in loaded.engine.deriver.order}
    for each in loaded.engine.deriver.order:
        for follows in each.consequences:
            for name in _reads(loaded.book, loaded.book.consequences[follows].when):
                assert name not in derived or name in done, (each.fact.name, name)
        done.add(each.fact.name)


def _reads(book, condition) -> set[str]:
    members = getattr(condition, "members", None)
    if members is not None:
        return set().union(*(_reads(book, member) for member in members)) if members else set()
    against = getattr(condition, "against", None)
    names = {getattr(condition, "fact", getattr(condition, "thing", ""))}
    name = getattr(against, "name", "")
    if name in book.schedules:
        names |= {key.name for key in book.schedules[name].keys}
    return names | ({name} if "." in name else set())
