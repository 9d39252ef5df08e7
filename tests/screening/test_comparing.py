"""Past registrations under two books: which come to something else, and by which rule."""

import polars as pl
from books import consequence, rule, write_book
from test_lanes import BOOK, lines, mapped, run_whole, write_csv
from typer.testing import CliRunner

from validator.cli import app
from validator.screening.known import Run

MAPPING = """\
registration: Number
places:
  the place:
    place.depth: Depth
    place.kind: Kind
"""


def compared(folder, old: dict[str, str], new: dict[str, str], cells: list[tuple[str, str, str]]) -> str:
    for name, rules in (("old", old), ("new", new)):
        write_book(folder / name, rules=rules)
    table, mapping = folder / "t.csv", folder / "mapping.yaml"
    table.write_text("Number,Depth,Kind\n" + "".join(",".join(each) + "\n" for each in cells))
    mapping.write_text(MAPPING)
    books = [str(folder / name / "small") for name in ("old", "new")]
    sides = ["--before", books[0], "--after", books[1]]
    done = CliRunner().invoke(app, ["rulebook", "compare", str(table), "--mapping", str(mapping), *sides])
    assert done.exit_code == 0, done.output
    return done.output


def deep(limit: str, **keys: object) -> dict[str, str]:
    return {"all/deep-enough": rule(requires={"place.depth": {"at least": limit}}, **keys)}


def test_registrations_that_change_are_listed_with_the_rule_that_changes_them(tmp_path):
    cells = [("A-1", "2 in", "shower wall"), ("A-2", "3 in", "shower wall"), ("A-3", "1 in", "room wall"), ("A-4", "", "room wall")]
    assert compared(tmp_path, deep("2 in"), deep("2-1/2 in"), cells).splitlines() == [
        "A-1: pass -> fail",
        "  the place: deep-enough: pass -> fail",
        "1 registration comes to something else. Nothing that was decided is changed by this list.",
    ]


def test_a_rule_that_is_new_and_one_that_is_milder_are_listed(tmp_path):
    new = {**deep("2 in", severity="warn"), "all/no-deeper": rule("no-deeper", requires={"place.depth": {"at most": "3 in"}})}
    output = compared(tmp_path, deep("2 in"), new, [("A-1", "1 in", "room wall"), ("A-2", "4 in", "room wall"), ("A-3", "3 in", "room wall")])
    assert output.splitlines()[:4] == [
        "A-1: fail -> warn", "  the place: deep-enough: fail -> warn",
        "A-2: pass -> fail", "  the place: no-deeper: nothing -> fail",
    ]  # fmt: skip
    assert "A-3" not in output


def test_a_book_compared_with_itself_changes_nothing(tmp_path):
    table = write_csv(tmp_path / "t.csv", lines(30))
    done = CliRunner().invoke(app, ["rulebook", "compare", str(table), "--mapping", str(mapped(tmp_path)), "--before", BOOK[0], "--after", BOOK[0]])
    assert done.output == "0 registrations come to something else. Nothing that was decided is changed by this list.\n"


def test_a_registration_that_says_one_fact_two_ways_goes_to_a_person(tmp_path):
    follows = {"it-follows": consequence("it-follows", {"tape": "there"}, {"place.exposure": "wet"})}
    wet = rule("wet-is-deep", applies_when={"place.exposure": "wet"}, requires={"place.depth": {"at least": "2 in"}})
    book = write_book(tmp_path / "two", rules={"all/wet-is-deep": wet}, consequences=follows)
    mapping, table = tmp_path / "mapping.yaml", tmp_path / "t.csv"
    mapping.write_text(MAPPING + "    tape: Tape\n    place.exposure: Wet\n")
    table.write_text("Number,Depth,Kind,Tape,Wet\nA-1,3 in,room wall,there,dry\nA-2,3 in,room wall,there,wet\n")
    run = Run(table, mapping, (str(book),), tmp_path / "out")
    results = pl.read_parquet(run_whole(run).results)
    assert results["lane"].to_list() == ["a person decides", "complete"]
    assert results["reason"].to_list() == ["the place: place exposure is said two ways, by Tape `there` and Wet `dry`", ""]


def test_a_book_laid_on_the_one_it_is_compared_with_changes_only_what_it_says(tmp_path):
    below = write_book(tmp_path, rules={**deep("2 in"), "all/no-deeper": rule("no-deeper", requires={"place.depth": {"at most": "3 in"}})})
    above = tmp_path / "office"
    (above / "all").mkdir(parents=True)
    (above / "book.yaml").write_text('book: office\ntitle: Office\nedition: "1"\nlayer: project specification\n')
    milder = rule(requires={"place.depth": {"at least": "1 in"}}, replaces="deep-enough")
    (above / "all" / "deep-enough.yaml").write_text(milder)
    mapping, cells = tmp_path / "mapping.yaml", tmp_path / "t.csv"
    mapping.write_text(MAPPING)
    cells.write_text("Number,Depth,Kind\nA-1,1 in,room wall\nA-2,4 in,room wall\n")
    sides = ["--before", str(below), "--after", str(below), "--after", str(above)]
    done = CliRunner().invoke(app, ["rulebook", "compare", str(cells), "--mapping", str(mapping), *sides])
    assert done.output.splitlines() == [
        "A-1: fail -> pass",
        "  the place: deep-enough: fail -> pass",
        "1 registration comes to something else. Nothing that was decided is changed by this list.",
    ]
