"""Two editions of a book are compared by judging: each rule that changed is shown on the smallest assembly that tells them apart."""

import json
from pathlib import Path

import pytest
from books import SEEN, rule, table, write_book
from typer.testing import CliRunner

from validator.cli import app
from validator.judging.loading import LoadedBook
from validator.papers.editions import edition_lines
from validator.proving import compare_editions
from validator.rulebook.reading import read_book

CASES = {"each": [
    {"name": "deep", "with": {"place.kind": "shower wall", "place.depth": "3 in"}, "expect": "pass"},
    {"name": "shallow", "with": {"place.kind": "shower wall", "place.depth": "1 in"}, "expect": "fail"},
]}  # fmt: skip
SHOWERS = {"place.kind": "shower wall"}
LIMIT = {"kind": "length", "value": "2 in", "source": {**SEEN, "edition": "1"}}
BY_LIMIT = {"place.depth": {"at least": {"limit": "least depth"}}}


def deep(**keys: object) -> str:
    return rule(**{"applies_when": SHOWERS, "requires": BY_LIMIT, "cases": CASES, **keys})


def compared(folder: Path, new: dict[str, str], value: str = "2 in", old: str = "") -> list[str]:
    sides = []
    for name, rules, limit in (("old", {"all/deep-enough": old or deep()}, "2 in"), ("new", new, value)):
        written = write_book(folder / name, rules=rules, limits=json.dumps({"least depth": {**LIMIT, "value": limit}}))
        sides.append(LoadedBook(read_book(written)))
    lines = "\n".join(edition_lines(compare_editions(*sides), sides[0].book, sides[1].book)).partition("\nLimits and rows")[0]
    return [" ".join(line.split()) for line in lines.splitlines() if line][1:]


@pytest.mark.parametrize(
    ("new", "value", "said"),
    [
        ({"all/deep-enough": deep()}, "2 in", ["Nothing is another."]),
        ({"all/deep-enough": deep()}, "3 in",
         ["Tightened: 1", "deep-enough (all, fail): Deep enough", "fail where it was pass, with place.kind shower wall, place.depth 2 in"]),
        ({"all/deep-enough": deep(severity="warn")}, "2 in",
         ["Loosened: 1", "deep-enough (all, warn): Deep enough", "warn where it was fail, with place.kind shower wall, place.depth 1 in"]),
        ({"all/deep-enough": deep(applies_when=None)}, "2 in",
         ["Tightened: 1", "deep-enough (all, fail): Deep enough", "fail where it was not applicable, with place.kind room wall, place.depth 1 in"]),
        ({"all/deep-enough": deep(title="As deep as needed")}, "2 in",
         ["Reworded: 1", "deep-enough (all, fail): As deep as needed", "in its title"]),
        ({"all/deep-enough": deep(), "all/swept": rule("swept", title="Swept", requires={"place.exposure": "dry"})}, "2 in",
         ["Added: 1", "swept (all, fail): Swept"]),
        ({"all/swept": rule("swept", title="Swept", requires={"place.exposure": "dry"})}, "2 in",
         ["Added: 1", "swept (all, fail): Swept", "Taken out: 1", "deep-enough (all, fail): Deep enough"]),
        ({"all/deep-as-asked": deep(name="deep-as-asked", formerly=["deep-enough"])}, "2 in", ["Nothing is another."]),
    ],
)  # fmt: skip
def test_what_became_of_a_rule_is_said_and_shown(tmp_path: Path, new: dict[str, str], value: str, said: list[str]) -> None:
    assert compared(tmp_path, new, value) == said


def test_a_row_that_is_another_is_shown_on_its_own_place(tmp_path: Path) -> None:
    sides = []
    for name, depth in (("old", "2 in"), ("new", "1 in")):
        rows = table("depth", "place.depth", ["place.kind"], f"place.kind,answer\nshower wall,{depth}\nall other,1 in\n")
        by_row = rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases=CASES)
        sides.append(LoadedBook(read_book(write_book(tmp_path / name, rules={"all/deep-enough": by_row}, schedules=rows))))
    editions = compare_editions(*sides)
    ((change,), (row,)) = editions.rules, editions.tables
    assert (change.how, change.shown.facts, change.shown.was, change.shown.now) == (
        "loosened", {"place.kind": "shower wall", "place.depth": "1 in"}, "fail", "pass",
    )  # fmt: skip
    assert row.endswith("the row for place.kind shower wall: 1 in where it was 2 in")


def test_the_command_compares_books_where_no_table_is_named(tmp_path: Path) -> None:
    old, new = (write_book(tmp_path / name, rules={"all/deep-enough": rule(title=name, cases=CASES)}) for name in ("old", "new"))
    done = CliRunner().invoke(app, ["rulebook", "compare", "--before", str(old), "--after", str(new)])
    assert done.exit_code == 0 and "Reworded: 1" in done.output
    done = CliRunner().invoke(app, ["rulebook", "compare", str(old), "--after", str(new)])
    assert done.exit_code == 2 and "a table is read by its mapping. Accepted: --mapping FILE" in done.output
