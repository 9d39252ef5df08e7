"""Books as authors write them from the ten steps alone: cities', projects', counties' older editions, a warranty desk's; and their mistakes."""

import shutil
from pathlib import Path

import pytest
from mistakes import MISPLACED, MISTAKES, STRAINER, WATCHED
from paths import ROOT

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import load_book
from validator.language.source import BadBook
from validator.papers.as_told import as_told_lines
from validator.proving import (
    PROOFS,
    breaches_unsaid,
    changes_of,
    misplaced,
    titles_beside,
    typed_beside,
    unanswered_between,
    unasked_rows,
    unconfirmed,
    unheld_consequences,
    unheld_rows,
)

BOOKS = ("harbor-hotel", "ashby-county-2012", "alder-city", "cove-inn", "marsh-county-2009", "brook-warranty-desk")
US = ROOT / "rulebooks" / "us"
AUTHORS = Path(__file__).parent / "authors"


def told(folder: Path) -> list[str]:
    """Everything that `rulebook check` tells an author of a book laid on the shelf's."""
    try:
        loaded = load_book(US, folder)
    except BadBook as bad:
        return [str(each) for each in bad.complaints]
    own = loaded.book.layers[-1].name
    proofs = (*PROOFS, unconfirmed, unheld_rows, unheld_consequences, misplaced, titles_beside, unasked_rows, breaches_unsaid)
    lines = [line for prove in proofs for line in prove(loaded, own)]
    lines += unanswered_between([each for each in loaded.book.schedules.values() if each.book == own])
    return [*lines, *typed_beside(load_book(US), loaded, own)]


@pytest.mark.parametrize("book", ["linden-city", *(pytest.param(name, marks=pytest.mark.thorough) for name in BOOKS)])
def test_a_book_written_from_the_ten_steps_proves(book: str) -> None:
    assert told(AUTHORS / book) == []


@pytest.mark.thorough
def test_an_older_edition_says_what_it_loosens_and_tightens() -> None:
    upon = load_book(US, AUTHORS / "ashby-county-2012")
    changes = changes_of(upon.book.layers[-1], load_book(US), upon)
    assert [len(lines) for lines in changes] == [1, 3, 1]


def test_a_report_says_which_book_and_which_row_decided() -> None:
    loaded = load_book(US, AUTHORS / "alder-city")
    hall = "assembly: Hall\nplaces:\n  hall floor:\n    kind: room floor\n    built up: [tile: {size: 12 x 24 in}, grout: {joint: 1/8 in}]\n"
    report = check(read_assembly(hall, "a hall", loaded.vocabulary, loaded.catalogue), loaded)
    told = " ".join(" ".join(line for line, _ in as_told_lines(report, 80)).split())
    assert "needed: at least 3/16 in. Decided by the book alder-city, since tile longest edge more than 15 in to 24 in." in told


QUICK = ("a row off by one step",)


@pytest.mark.parametrize(
    ("book", "file", "right", "wrong", "said"),
    [pytest.param(*rest, id=name, marks=() if name in QUICK else pytest.mark.thorough) for name, *rest in MISTAKES],
)
def test_a_mistake_is_noticed_with_a_line_that_says_what_to_do(tmp_path: Path, book: str, file: str, right: str, wrong: str, said: str) -> None:
    folder = Path(shutil.copytree(AUTHORS / book, tmp_path / book))
    before = (folder / file).read_text(encoding="utf-8")
    assert right in before
    (folder / file).write_text(before.replace(right, wrong, 1), encoding="utf-8")
    lines = told(folder)
    assert any(said in line and line.startswith(str(folder)) for line in lines), "\n".join(lines)


@pytest.mark.thorough
@pytest.mark.parametrize(("book", "right", "wrong", "said"), [pytest.param(*rest, id=name) for name, *rest in MISPLACED])
def test_what_stands_where_nothing_reads_it_is_noticed(tmp_path: Path, book: str, right: str, wrong: str, said: str) -> None:
    folder = Path(shutil.copytree(AUTHORS / book, tmp_path / book))
    (folder / wrong).parent.mkdir(exist_ok=True)
    (folder / right).rename(folder / wrong)
    lines = told(folder)
    assert any(said in line and line.startswith(str(folder)) for line in lines), "\n".join(lines)


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("beneath", "name", "changed", "said"),
    [
        (US / "compartment" / "opening-wide-enough.yaml", "my-opening", {}, "asks what `opening-wide-enough` of the book us asks, in the same places; strike one of them"),
        (AUTHORS / "alder-city" / STRAINER, "strainers-are-fixed", {}, "asks what `the-strainer-of-the-drain-is-screwed-down` asks, in the same places"),
        (US / "compartment" / "opening-wide-enough.yaml", "opening-narrow-enough",
         {"{at least: {limit: least opening of a shower}}": "{at most: 20 in}", "opening: 22 in": "opening: 20 in", "opening: 28 in": "opening: 19 in"},
         "whatever meets it breaches `opening-wide-enough` of the book us; write `replaces: opening-wide-enough`"),
    ],
)  # fmt: skip
def test_a_rule_that_repeats_or_contradicts_one_that_stands_is_noticed(tmp_path: Path, beneath: Path, name: str, changed: dict[str, str], said: str) -> None:
    folder = Path(shutil.copytree(AUTHORS / "alder-city", tmp_path / "alder-city"))
    written = beneath.read_text(encoding="utf-8").replace(f"rule: {beneath.stem}", f"rule: {name}")
    for right, wrong in changed.items():
        assert right in written
        written = written.replace(right, wrong)
    path = folder / "more" / f"{name}.yaml"
    path.parent.mkdir()
    path.write_text(written, encoding="utf-8")
    assert any(said in line and line.startswith(str(path)) for line in told(folder)), told(folder)


@pytest.mark.thorough
def test_a_source_that_is_only_remembered_may_not_fail_where_the_book_claims_no_authority(tmp_path: Path) -> None:
    folder = Path(shutil.copytree(AUTHORS / "linden-city", tmp_path / "linden-city"))
    for file, right, wrong in (("book.yaml", "layer: local", "own authority: no\nlayer: local"), (WATCHED, "known by: read myself", "known by: remembered")):
        (folder / file).write_text((folder / file).read_text(encoding="utf-8").replace(right, wrong, 1), encoding="utf-8")
    assert any("`flood-test-is-watched` would fail on a source that is only remembered or trade practice. Accepted: `severity: warn`" in line for line in told(folder))
