"""The whole book on one page: each rule under its name, every link with its end, every source with what rests on it."""

import re
from html import unescape
from pathlib import Path
from urllib.parse import unquote

import pytest
from books import rule, table, write_book
from paths import ROOT

from validator.judging.loading import load_book
from validator.papers.book_page import book_page
from validator.rulebook.reading import read_book

COUNTY = ROOT / "tests" / "rulebook" / "layers" / "harrow-county"


@pytest.fixture(scope="module")
def whole() -> str:
    return book_page(load_book(ROOT / "rulebooks" / "us", COUNTY).book)


def test_every_rule_and_every_source_has_a_place_of_its_own(whole: str) -> None:
    book = load_book(ROOT / "rulebooks" / "us", COUNTY).book
    ids = [unescape(each) for each in re.findall(r' id="([^"]+)"', whole)]
    assert len(ids) == len(set(ids))
    assert {*book.rules, *(f"source-{name.replace(' ', '-')}" for name in book.sources)} <= set(ids)
    assert not [each for each in ids if " " in each]


def test_every_link_ends_on_the_page(whole: str) -> None:
    ids = {unescape(each) for each in re.findall(r' id="([^"]+)"', whole)}
    links = re.findall(r'href="([^"]*)"', whole)
    assert len(links) > 1_000
    assert [link for link in links if unquote(link.removeprefix("#")) not in ids] == []


def test_the_page_needs_nothing_else(whole: str) -> None:
    assert not re.findall(r"(?:src|href)=\"(?!#)|https?:|@import|url\(", whole)
    assert 'type="search"' in whole


def test_a_replaced_limit_stands_in_the_texts_and_in_the_tables(whole: str) -> None:
    assert "so that 20 in stay clear" in whole
    assert "<strong>20 in</strong> (harrow-county)" in whole
    assert "Takes out accessible-floor-nearly-level" in whole


def test_a_rule_is_told_with_its_rows_its_cases_its_amendments_and_who_reads_its_facts(tmp_path: Path) -> None:
    depth = table("depth", "place.depth", ["place.kind"], "place.kind,answer\nshower wall,2 in\nall other,1 in\n")
    cases = {"each": [{"name": "deep <b>", "with": {"place.kind": "shower wall", "place.depth": "3 in"}, "expect": "pass"},
                      {"name": "shallow", "with": {"place.kind": "shower wall", "place.depth": "1 in"}, "expect": "fail"}]}  # fmt: skip
    folder = write_book(tmp_path, rules={"all/deep-enough": rule(requires={"place.depth": {"at least": {"schedule": "depth"}}}, cases=cases)}, schedules=depth)
    (folder / "AMENDMENTS.md").write_text("# Amendments\n\n## small 1\n\n- `deep-enough`: two inches, and was one.\n", encoding="utf-8")
    said = book_page(read_book(folder))
    assert "<td>place.kind shower wall</td><td>2 in</td>" in said
    assert "<td>deep &lt;b&gt;</td><td>place.depth 3 in</td><td>pass</td>" in said
    assert "<li>small 1: deep-enough: two inches, and was one.</li>" in said
    assert 'href="#fact-place.depth"' in said
    assert 'id="fact-place.kind"' in said and 'Read by <a href="#deep-enough">' in said
    assert "adopted code" in said and "nothing rests on it" in said
