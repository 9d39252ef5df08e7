"""A whole book to read and print: one sheet of HTML, by chapter, that needs nothing else and can be searched where it lies.

Each rule stands under its own name, so that any other paper may point at it: `book.html#flood-test-deep-enough`.
"""

import re
from collections.abc import Iterable, Iterator
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.papers.page import rendered
from validator.papers.rules import SEVERITY_WORDS, answer_of, by_chapter, source_in_words
from validator.rulebook import english
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.dependencies import condition_reads
from validator.rulebook.rule import BookLayer, Consequence, Rule
from validator.rulebook.schedules import Limit, Schedule
from validator.rulebook.sources import Cited, Source

AMENDMENTS = "AMENDMENTS.md"
EDITION = re.compile(r"^## (.+)$", re.MULTILINE)
NAMED = re.compile(r"`([^`]+)`")


class RowTold(NamedTuple):
    """One row of a table: what it answers for, what it answers, and on whose word."""

    asked: str
    answers: str
    sources: tuple[str, ...]


class TableTold(NamedTuple):
    """A limit or a schedule: its name, its one value or its rows, and the book that gave it."""

    name: str
    what: str
    value: str
    rows: tuple[RowTold, ...]
    sources: tuple[str, ...]
    book: str
    used_by: tuple[str, ...]


class RuleTold(NamedTuple):
    """Everything that is told of one rule."""

    rule: Rule
    applies: str
    requires: str
    ways: tuple[tuple[str, str], ...]
    breach: str
    tables: tuple[TableTold, ...]
    sources: tuple[str, ...]
    cases: tuple[tuple[str, str, str], ...]  # what it expects, its name, what it says otherwise than the others
    amendments: tuple[tuple[str, str], ...]  # an edition, what it changed
    reads: tuple[str, ...]
    books: str
    shows: tuple[tuple[str, str], ...]  # how often, what its breach is seen as


class FactTold(NamedTuple):
    """A fact with the question that asks for it, and the rules that read it."""

    fact: Fact
    rules: tuple[str, ...]


class SourceTold(NamedTuple):
    """A source with the rules, limits, tables and consequences that rest on it."""

    source: Source
    known: tuple[str, ...]
    rests: tuple[str, ...]  # rules
    tables: tuple[str, ...]
    consequences: tuple[str, ...]


class ConsequenceTold(NamedTuple):
    """A consequence in English."""

    consequence: Consequence
    when: str
    gives: str
    sources: tuple[str, ...]


def book_page(book: Book) -> str:
    """The page of a book, or of several laid upon each other."""
    changes = dict(_changes(book.layers))
    used = _used(book)
    tables = {table.name: _table(table, book, used) for table in (*book.limits.values(), *book.schedules.values())}
    told = [_rule(rule, book, tables, changes) for rule in by_chapter(book)]
    chapters = [(name, list(rules)) for name, rules in groupby(told, key=lambda each: each.rule.chapter)]
    return rendered(
        "book.html", title=book.layers[-1].title, book=book, chapters=chapters, tables=sorted(tables.values()), several=len(book.layers) > 1,
        consequences=[_consequence(each, book) for each in book.consequences.values()], facts=_facts(book), sources=_sources(book),
    )  # fmt: skip


def _used(book: Book) -> dict[str, tuple[str, ...]]:
    used: dict[str, dict[str, None]] = {}
    for rule in book.rules.values():
        for table in tables_compared(book, rule):
            used.setdefault(table.name, {})[rule.name] = None
    return {name: tuple(rules) for name, rules in used.items()}


def _rule(rule: Rule, book: Book, tables: dict[str, TableTold], changes: dict[str, tuple[tuple[str, str], ...]]) -> RuleTold:
    applies = english.condition(rule.applies, book)
    names = (rule.name, *rule.formerly)
    return RuleTold(
        rule=rule, applies="everywhere" if applies == "always" else f"where {applies}", requires=english.condition(rule.requires, book),
        ways=tuple((english.condition(way.when, book), way.because) for way in rule.other_ways), breach=SEVERITY_WORDS[rule.severity],
        tables=tuple(tables[name] for name in dict.fromkeys(table.name for table in tables_compared(book, rule))),
        sources=_in_words(rule.cited), cases=tuple(_cases(rule)), amendments=tuple(each for name in names for each in changes.get(name, ())),
        reads=tuple(dict.fromkeys(rule.facts())), books=" and ".join(book.books_behind(rule)),
        shows=tuple(dict.fromkeys((showing.typical, showing.seen) for showing, _ in book.shown_by(rule))),
    )  # fmt: skip


def _cases(rule: Rule) -> Iterator[tuple[str, str, str]]:
    facts = [case.facts for case in rule.cases]
    for case in rule.cases:
        own = (f"{name} {text}" for name, text in case.facts.items() if any(each.get(name) != text for each in facts))
        yield case.expect, case.name, ", ".join(own)


def _table(table: Limit | Schedule, book: Book, used: dict[str, tuple[str, ...]]) -> TableTold:
    schedule = table.by if isinstance(table, Limit) else table
    rows = tuple(
        RowTold(english.row_in_words(schedule, number) or "all other", answer_of(schedule, number), _in_words(row.cited))
        for number, row in enumerate(schedule.rows)
    ) if schedule is not None else ()  # fmt: skip
    cited = table.cited if isinstance(table, Limit) and schedule is None else ()
    what = f"{table.what}: {table.gives.name}" if isinstance(table, Schedule) else ""
    value = table.text if schedule is None else ""
    return TableTold(table.name, what, value, rows, _in_words(cited), table.book, used.get(table.name, ()))


def _consequence(consequence: Consequence, book: Book) -> ConsequenceTold:
    gives = " and ".join(f"{english.name_of(book.vocabulary, fact)} {words}" for fact, _, words in consequence.gives)
    return ConsequenceTold(consequence, english.condition(consequence.when, book), gives, _in_words(consequence.cited))


def _in_words(cited: Iterable[Cited]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(source_in_words(each) for each in cited))


# -- registers ------------------------------------------------------------------------------------------------------------------


def _facts(book: Book) -> list[FactTold]:
    """Every fact that a rule reads, with the rules that read it."""
    read: dict[str, dict[str, None]] = {}
    for rule in book.rules.values():
        for condition in rule.conditions():
            for name in condition_reads(book, condition):
                read.setdefault(name, {})[rule.name] = None
    return [FactTold(book.vocabulary.fact(name), tuple(rules)) for name, rules in sorted(read.items())]


def _sources(book: Book) -> list[SourceTold]:
    """Every source of the registers, with what rests on it; one on which nothing rests says so."""
    rests: dict[str, tuple[dict[str, None], ...]] = {name: ({}, {}, {}, {}) for name in book.sources}

    def note(cited: Iterable[Cited], part: int, name: str) -> None:
        for each in cited:
            rests[each.source.name][0][each.known_by] = None
            rests[each.source.name][part][name] = None

    for rule in book.rules.values():
        note((*rule.cited, *(cited for way in rule.other_ways for cited in way.cited)), 1, rule.name)
    for table in (*book.limits.values(), *book.schedules.values()):
        schedule = table.by if isinstance(table, Limit) else table
        note(table.cited if schedule is None else (each for row in schedule.rows for each in row.cited), 2, table.name)
    for consequence in book.consequences.values():
        note(consequence.cited, 3, consequence.name)
    return [SourceTold(book.sources[name], *(tuple(part) for part in parts)) for name, parts in rests.items()]


def _changes(layers: Iterable[BookLayer]) -> Iterator[tuple[str, tuple[tuple[str, str], ...]]]:
    """For each name that an amendment speaks of, the edition and what it changed."""
    found: dict[str, list[tuple[str, str]]] = {}
    for layer in layers:
        for path in (layer.folder / AMENDMENTS, layer.folder.parent / AMENDMENTS):
            for edition, item in _items(path):
                for name in dict.fromkeys(NAMED.findall(item)):
                    found.setdefault(name, []).append((edition, item.replace("`", "")))
    yield from ((name, tuple(dict.fromkeys(each))) for name, each in found.items())


def _items(path: Path) -> Iterator[tuple[str, str]]:
    if not path.is_file():
        return
    parts = EDITION.split(path.read_text(encoding="utf-8"))
    for edition, text in zip(parts[1::2], parts[2::2]):
        if any(letter.isdigit() for letter in edition):
            for item in re.split(r"\n(?=- )", text):
                if item.strip().startswith("- "):
                    yield edition, " ".join(item.strip()[2:].split())
