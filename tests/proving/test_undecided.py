"""A rule that asks although all its answers agree is told to its author, and a rule that asks for cause is not."""

import pytest
from books import rule, table, write_book

from validator.judging.loading import LoadedBook
from validator.proving import prove_decided
from validator.rulebook.reading import read_book

ROWS = table("depth", "place.depth", ["place.kind"], "place.kind,answer\nshower wall,2 in\nroom wall,1 in\n")


def told(folder, **keys) -> list[str]:
    book = write_book(folder, rules={"all/deep-enough": rule(**keys)}, schedules=ROWS)
    return list(prove_decided(LoadedBook(read_book(book))))


def test_a_schedule_asked_by_what_the_rule_applies_to_is_told(tmp_path):
    book = write_book(tmp_path, rules={"all/deep-enough": rule(**{
        "applies when": {"place.kind": "room wall"}, "requires": {"place.depth": {"at least": {"schedule": "depth"}}},
    })}, schedules=ROWS)  # fmt: skip
    (line,) = prove_decided(LoadedBook(read_book(book)))
    assert "deep-enough: stays open although every answer agrees, with " in line and "place.kind not stated" in line


@pytest.mark.parametrize(
    "keys",
    [
        {"requires": {"place.depth": {"at least": "2 in", "at most": "4 in"}}},
        {"requires": {"any of": [{"place.depth": {"at most": "2 in"}}, {"place.depth": {"more than": "2 in"}}]},
         "applies when": {"place.kind": "room wall"}},
        {"requires": {"tape.width": {"at least": "2 in"}}, "applies when": {"tape": "there", "tape.kind": "mesh"}},
        {"requires": {"place.depth": {"at least": {"schedule": "depth"}}}},
        {"requires": {"place.depth": "stated"}},
    ],
)  # fmt: skip
def test_a_rule_that_asks_for_cause_is_not_told(tmp_path, keys):
    assert told(tmp_path, **keys) == []


def test_what_applies_when_names_is_there_for_the_requirement_too(tmp_path):
    keys = {
        "applies when": {"tape.kind": "mesh"},
        "requires": {"any of": [{"tape.width": {"at least": "2 in"}}, {"place.kind": "room wall"}]},
    }
    assert told(tmp_path, **keys) == []
