"""A rule in plain English, made from the rule itself, its cases and its sources."""

import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from validator.judging.report import books_of
from validator.rulebook import english
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.dependencies import condition_reads
from validator.rulebook.rule import Rule
from validator.rulebook.showing import TYPICAL
from validator.rulebook.schedules import Limit, Schedule
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
    for table in dict.fromkeys(tables_compared(book, rule)):
        yield from _table(table)
    yield from _said("Because", rule.because)
    yield from _said("Put right", rule.put_right)
    yield SEVERITY_WORDS[rule.severity]
    if rule.warranty:
        yield f"Warranty matter: {rule.warranty}."
    for cited in rule.cited:
        yield from _said("Source", source_in_words(cited))
    for typical in TYPICAL:
        seen = dict.fromkeys(showing.seen for showing, _ in book.shown_by(rule) if showing.typical == typical)
        if seen:
            yield from _said("Shows as, usually" if typical == TYPICAL[0] else "Sometimes", "; ".join(seen))
    for cited in dict.fromkeys(cited for showing, _ in book.shown_by(rule) for cited in showing.cited):
        yield from _said("On the word of", source_in_words(cited))
    if rule.breach.troubles:
        yield from _said("That is", "; ".join(rule.breach.troubles))
    if rule.breach.nothing:
        yield from _said("Shows as nothing, because", rule.breach.nothing)
    if told_by := book.told_by(rule):
        yield from _said("Told by", "; ".join(told_by))
    if rule.replaces:
        yield f"Replaces {rule.replaces} of a book beneath."
    if len(book.layers) > 1:
        yield f"Decided by the book {' and '.join(book.books_behind(rule))}."
    yield f"Tried on {len(rule.cases)} cases:"
    for case in rule.cases:
        yield from _said(f"  {case.expect}", case.name)


class Wanted(NamedTuple):
    """Which rules are looked for; what is empty asks for nothing."""

    words: tuple[str, ...] = ()
    chapter: str = ""
    source: str = ""
    severity: str = ""
    reads: str = ""

    def holds(self, rule: Rule, book: Book) -> bool:
        """Whether a rule is one of them."""
        said = " ".join((rule.name, rule.title, rule.because, rule.note)).casefold()
        read = {name for condition in rule.conditions() for name in condition_reads(book, condition)} if self.reads else ()
        return (
            all(word.casefold() in said for word in self.words)
            and (not self.chapter or rule.chapter == self.chapter)
            and (not self.severity or rule.severity == self.severity)
            and (not self.source or any(self.source.casefold() in f"{c.source.name} {c.source.title}".casefold() for c in rule.cited))
            and (not self.reads or any(self.reads.casefold() in name.casefold() for name in read))
        )


def written(rule: Rule) -> Iterator[str]:
    """The file of a rule, as its author wrote it; a file that is gone says so."""
    path = Path(rule.where.file)
    yield f"{path}:"
    try:
        yield from (f"    {line}" for line in path.read_text(encoding="utf-8").splitlines())
    except OSError as problem:
        yield f"    {problem.strerror}"


def book_object(book: Book, wanted: Wanted = Wanted()) -> dict[str, object]:
    """The rules of a book by chapter, for other programs; its keys are fixed."""
    return {
        "rules": [
            {"rule": rule.name, "chapter": rule.chapter, "title": rule.title, "severity": rule.severity, "book": rule.book}
            for rule in by_chapter(book, wanted)
        ],
        "counts": {"rules": len(book.rules), "schedules": len(book.schedules), "consequences": len(book.consequences)},
        "books": books_of(book),
    }  # fmt: skip


def by_chapter(book: Book, wanted: Wanted = Wanted()) -> list[Rule]:
    """The rules that are wanted, in the order they are listed."""
    return sorted((rule for rule in book.rules.values() if wanted.holds(rule, book)), key=lambda rule: (rule.chapter, rule.name))


def rule_object(rule: Rule, book: Book) -> dict[str, object]:
    """The rule for other programs; its keys are fixed."""
    return {
        "rule": rule.name, "chapter": rule.chapter, "title": rule.title, "severity": rule.severity, "file": rule.where.file,
        "applies": english.condition(rule.applies, book), "for_each": rule.for_each,
        "requires": english.condition(rule.requires, book),
        "other_ways": [
            {"when": english.condition(way.when, book), "because": way.because, "sources": way.cited} for way in rule.other_ways
        ],
        "because": rule.because, "put_right": rule.put_right, "warranty": rule.warranty, "sources": rule.cited,
        "shows_as": [
            {"seen": showing.seen, "typical": showing.typical, "trouble": trouble, "sources": showing.cited}
            for showing, trouble in book.shown_by(rule)
        ],
        "shows_as_nothing_because": rule.breach.nothing, "told_by": book.told_by(rule),
        "replaces": rule.replaces, "book": " and ".join(book.books_behind(rule)),
        "cases": [{"name": case.name, "expect": case.expect} for case in rule.cases], "books": books_of(book),
    }  # fmt: skip


def _table(table: Limit | Schedule) -> Iterator[str]:
    """A limit with its value, or a table row by row."""
    schedule = table.by if isinstance(table, Limit) else table
    if schedule is None:
        yield from _said("Limit", f"{table.name} is {table.text}")
        return
    for number in range(len(schedule.rows)):
        yield from _said("Row", f"{table.name} is {answer_of(schedule, number)} for {english.row_in_words(schedule, number) or 'all other'}")


def answer_of(schedule: Schedule, number: int) -> str:
    """What a row answers, column by column; what its source prints also is left out."""
    return ", ".join(schedule.rows[number].texts[: len(schedule.columns)])


def source_in_words(cited: Cited) -> str:
    """A cited passage with its standing and how it is known."""
    parts = ", ".join(part for part in (cited.source.title, cited.section, cited.edition) if part)
    return f"{parts} ({cited.source.standing}; {KNOWN_BY[cited.known_by]})"


def _said(label: str, text: str) -> list[str]:
    return textwrap.wrap(f"{label}: {text}", WIDTH, subsequent_indent="    ")
