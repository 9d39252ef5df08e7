"""The amendments name rules that there are, and each says whose outcome changes."""

import re

import pytest
from paths import ROOT

from validator.judging.loading import load_book
from validator.rulebook.book import Book
from validator.rulebook.shelf import book_folder

AMENDMENTS = (ROOT / "rulebooks" / "AMENDMENTS.md").read_text(encoding="utf-8")
NAME = re.compile(r"`([a-z0-9]+(?:-[a-z0-9]+)+)`")  # as rules are named; keys and facts have spaces or dots
CHANGE = re.compile(r"^- `([^`]+)`: .+?\n  Whose outcome changes: .+?\n  Source: .+?$", re.MULTILINE | re.DOTALL)
EDITION = re.compile(r"^## ([a-z-]+) (\d{4}\.\d+)$", re.MULTILINE)


@pytest.fixture(scope="module")
def book() -> Book:
    return load_book(book_folder("us")).book


def known_names(book: Book) -> set[str]:
    """Every name that a line may be about: today's, and those a rule had before."""
    return {*book.rules, *(name for rule in book.rules.values() for name in rule.formerly), *book.limits, *book.schedules, *book.consequences}


def unknown(text: str, book: Book) -> list[str]:
    return [name for name in NAME.findall(text) if name not in known_names(book)]


def without_form(text: str) -> list[str]:
    """The lines about a rule, in every edition but the first, that do not take the form."""
    editions = EDITION.split(text)[1:]
    changed = [part for part in editions[2::3]][:-1]  # heading, number, text; the first edition stands last
    items = [item for part in changed for item in re.split(r"\n(?=- )", part.strip()) if item.startswith("- ")]
    return [item for item in items if not CHANGE.fullmatch(item.strip())]


def test_every_rule_named_in_the_amendments_is_in_the_book(book):
    assert "board-screw-reaches-framing" in NAME.findall(AMENDMENTS)
    assert unknown(AMENDMENTS, book) == []


def test_a_rule_that_there_is_not_would_be_noticed(book):
    assert unknown(AMENDMENTS.replace("board-screw-reaches-framing", "board-screw-reaches-moon"), book) == ["board-screw-reaches-moon"]


def test_the_newest_edition_is_the_one_the_book_has(book):
    name, edition = EDITION.findall(AMENDMENTS)[0]
    assert [(layer.name, layer.edition) for layer in book.layers] == [(name, edition)]


def test_every_change_says_whose_outcome_changes():
    assert without_form(AMENDMENTS) == []


NEWER = """
## us 2027.1

{}

## us 2026.1

The first edition.

- It judges floors.
"""
TAKES_THE_FORM = """- `a-rule`: 3/4 in is asked now, and was 5/8 in.
  Whose outcome changes: screws between the two go from pass to fail.
  Source: a code, section 1, 2027, seen."""


@pytest.mark.parametrize(
    ("lines", "missed"),
    [
        (TAKES_THE_FORM, 0),
        (f"{TAKES_THE_FORM}\n{TAKES_THE_FORM}", 0),
        ("- `a-rule`: 3/4 in is asked now.", 1),
        (f"{TAKES_THE_FORM}\n- Some things were made better.", 1),
        (TAKES_THE_FORM.replace("  Source: a code, section 1, 2027, seen.", ""), 1),
    ],
)
def test_a_change_that_does_not_say_whose_would_be_noticed(lines, missed):
    assert len(without_form(NEWER.format(lines))) == missed


def test_the_form_that_is_shown_takes_the_form():
    shown = re.search(r"```\n(.+?)\n```", AMENDMENTS, re.DOTALL).group(1)
    assert CHANGE.fullmatch(shown)
