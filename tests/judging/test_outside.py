"""What stands outside a book is said at the head of the report, and nothing of it is praised."""

from dataclasses import replace

import pytest
from books import BOOK, write_book

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.judging.report import Report
from validator.language.source import BadBook
from validator.papers.as_json import object_of
from validator.papers.as_told import as_told_lines
from validator.papers.report import report_lines
from validator.rulebook.cache_format import decoded, encoded
from validator.rulebook.reading import read_book
from validator.rulebook.shelf import book_folder

POOL = """\
assembly: A basin
places:
  basin:
    kind: {kind}
    built up:
      - tile mortar: {{kind: modified cement, meets: A118.15, contact: {contact}}}
      - tile: {{body: porcelain, size: 2 x 2 in, format: mosaic}}
      - grout: {{kind: epoxy, joint: 1/8 in}}
"""
OUTSIDE = """
outside this book:
  - when: {board: there}
    what: boards
    not judged: whatever boards are.
    whole: yes
"""


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return load_book(book_folder("us"))


def report(loaded: LoadedBook, kind: str, contact: str = "98 %", *, used_as: str = "") -> Report:
    text = POOL.format(kind=kind, contact=contact) + (f"    used as: {used_as}\n" if used_as else "")
    (assembly,) = read_assembly(text, "basin.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    return check(assembly, loaded)


def said(told: Report) -> str:
    return " ".join(line for line, _ in report_lines(told, 200))


@pytest.mark.parametrize("kind", ["pool", "swimming pool", "waterline", "spillway", "hot tub", "fountain"])
def test_work_under_water_is_named_by_what_it_is_and_never_passes(loaded, kind):
    told = report(loaded, kind)
    (line,) = told.outside
    assert (line.places, line.whole) == (("basin",), True)
    assert told.outcome == "at least pass, open up to fail"
    assert told.exit_status == told.as_told.exit_status == 3
    assert told.as_told.could_become == "fail"


def test_nothing_is_praised_where_nothing_is_judged(loaded):
    pool, floor = report(loaded, "pool"), report(loaded, "room floor")
    assert [f.rule for f in pool.findings if f.outcome == "pass"] == []
    assert (pool.counts.passed, pool.as_told.sound) == (0, ())
    assert floor.counts.passed > 0 < len(floor.as_told.sound)


def test_what_surely_fails_is_still_said_of_it(loaded):
    assert "mortar-contact-is-enough" in {f.rule for f in report(loaded, "pool", "50 %").findings if f.outcome == "fail"}


@pytest.mark.parametrize(
    ("kind", "what"),
    [
        ("fireplace surround", "the fire"), ("hearth", "the fire"), ("exterior stairs", "slip"), ("ramp", "slip"),
        ("balcony", "railings"), ("elevator cab floor", "elevator cab"), ("exterior wall", "wind"),
    ],
)  # fmt: skip
def test_a_place_of_which_a_part_stands_outside_says_which_and_is_judged_for_the_rest(loaded, kind, what):
    told = report(loaded, kind)
    assert [line.whole for line in told.outside] == [False]
    assert what in told.outside[0].text
    assert told.counts.passed > 0


def test_what_a_place_serves_as_may_stand_on_a_line_of_its_own(loaded):
    assert report(loaded, "room wall", used_as="fireplace surround").outside == report(loaded, "fireplace surround").outside
    assert report(loaded, "room wall").outside == ()


def test_it_heads_the_paper_the_short_report_and_the_object(loaded):
    told = report(loaded, "pool")
    lines = [line for line, _ in report_lines(told, 80)]
    assert next(n for n, line in enumerate(lines) if line.startswith("Outside this book: basin")) < lines.index(
        next(line for line in lines if line.startswith("OPEN"))
    )
    assert any(line.startswith("Outside this book: basin") for line, _ in as_told_lines(told, 80))
    (line,) = object_of(told)["outside"]
    assert line["places"] == ["basin"] and line["whole"] is True and line["not_judged"]


def test_a_place_that_is_only_perhaps_outside_is_not_said_to_be(loaded):
    assert report(loaded, "counter or pool").outside == ()


def test_a_book_of_one_s_own_says_what_it_leaves_out(tmp_path):
    book = read_book(write_book(tmp_path, book=BOOK + OUTSIDE))
    assert [(each.what, each.not_judged, each.whole) for each in book.outside] == [("boards", "whatever boards are.", True)]
    assert [replace(each, when=None) for each in decoded(encoded(book)).outside] == [replace(each, when=None) for each in book.outside]


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("whole: yes", "whole: perhaps"), ("what: boards", "which: boards"), ("when: {board: there}", "when: {borad: there}"),
    ],
)  # fmt: skip
def test_a_slip_in_what_is_left_out_is_refused(tmp_path, line, what):
    with pytest.raises(BadBook):
        read_book(write_book(tmp_path, book=BOOK + OUTSIDE.replace(line, what)))
