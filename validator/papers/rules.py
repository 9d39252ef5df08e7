"""A rule in plain English, made from the rule itself, its cases and its sources."""

import textwrap
from collections.abc import Iterator

from validator.judging.report import books_of
from validator.rulebook import english
from validator.rulebook.book import Book
from validator.rulebook.rule import Rule
from validator.rulebook.sources import KNOWN_BY, Cited

WIDTH = 100
SEVERITY_WORDS = {
    "fail": "A breach fails.", "warn": "A breach is a warning.", "advice": "This is advice; it is shown and never counted.",
}  # fmt: skip


def explained(rule: Rule, book: Book) -> Iterator[str]:
    """The rule line by line."""
    yield f"{rule.name}  ({rule.chapter})"
    yield rule.title
    applies = english.condition(rule.applies, book)
    yield from _said("Applies", "everywhere" if applies == "always" else f"where {applies}")
    if rule.for_each:
        yield from _said("Judged", f"once for each {rule.for_each}")
    yield from _said("Requires", english.condition(rule.requires, book))
    for way in rule.other_ways:
        yield from _said("Or else", f"{english.condition(way.when, book)}. {way.because}")
    yield from _said("Because", rule.because)
    yield from _said("Put right", rule.put_right)
    yield SEVERITY_WORDS[rule.severity]
    if rule.warranty:
        yield f"Warranty matter: {rule.warranty}."
    for cited in rule.cited:
        yield from _said("Source", source_in_words(cited))
    if rule.replaces:
        yield f"Replaces {rule.replaces} of a book beneath."
    if len(book.layers) > 1:
        yield f"Decided by the book {' and '.join(book.books_behind(rule))}."
    yield f"Tried on {len(rule.cases)} cases:"
    for case in rule.cases:
        yield from _said(f"  {case.expect}", case.name)


def book_object(book: Book) -> dict[str, object]:
    """The rules of a book by chapter, for other programs; its keys are fixed."""
    return {
        "rules": [
            {"rule": rule.name, "chapter": rule.chapter, "title": rule.title, "severity": rule.severity, "book": rule.book}
            for rule in by_chapter(book)
        ],
        "counts": {"rules": len(book.rules), "schedules": len(book.schedules), "consequences": len(book.consequences)},
        "books": books_of(book),
    }  # fmt: skip


def by_chapter(book: Book) -> list[Rule]:
    """The rules in the order they are listed."""
    return sorted(book.rules.values(), key=lambda rule: (rule.chapter, rule.name))


def rule_object(rule: Rule, book: Book) -> dict[str, object]:
    """The rule for other programs; its keys are fixed."""
    return {
        "rule": rule.name, "chapter": rule.chapter, "title": rule.title, "severity": rule.severity,
        "applies": english.condition(rule.applies, book), "for_each": rule.for_each,
        "requires": english.condition(rule.requires, book),
        "other_ways": [
            {"when": english.condition(way.when, book), "because": way.because, "sources": way.cited} for way in rule.other_ways
        ],
        "because": rule.because, "put_right": rule.put_right, "warranty": rule.warranty, "sources": rule.cited,
        "replaces": rule.replaces, "book": " and ".join(book.books_behind(rule)),
        "cases": [{"name": case.name, "expect": case.expect} for case in rule.cases], "books": books_of(book),
    }  # fmt: skip


def source_in_words(cited: Cited) -> str:
    """A cited passage with its standing and how it is known."""
    parts = ", ".join(part for part in (cited.source.title, cited.section, cited.edition) if part)
    return f"{parts} ({cited.source.standing}; {KNOWN_BY[cited.known_by]})"


def _said(label: str, text: str) -> list[str]:
    return textwrap.wrap(f"{label}: {text}", WIDTH, subsequent_indent="    ")
