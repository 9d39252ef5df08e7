"""Finds what a book says and nothing uses: limits and tables that nothing is compared with, papers on which nothing rests, facts that
nothing reads or gives. Such a line judges nothing, and its author most likely believes that it does.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.language.files import written_in
from validator.language.source import Entries, Where, read_file
from validator.rulebook.book import Book
from validator.rulebook.dependencies import condition_reads, reads_of
from validator.rulebook.rule import BookLayer

SOURCES, VOCABULARY = "sources.yaml", "vocabulary"
SAID = r"(?:\"([^\"\n]+)\"|'([^'\n]+)'|([^\"{},\n]+?)) *(?=[,}\n])"
TABLE = re.compile(r"\b(limit|schedule): *" + SAID)
IN_A_TEXT = re.compile(r"\{([^{}:]+)\}")
FROM = re.compile(r"\bfrom: *" + SAID)
BEGINS = re.compile(r"(?:#.*\n|\s)*(rule|schedule|consequence):")
CELL = re.compile(r"(?:^|,)\"?([^\",\n]+)\"?(?=,|$)", re.MULTILINE)  # of a sheet of rows


def prove_used(upon: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for everything of a book that nothing uses. `book`: only of one of several laid upon each other."""
    named = _Named(*(path.read_text(encoding="utf-8") for path in _files(upon)))
    for layer in upon.book.layers:
        if book in ("", layer.name):
            yield from _tables(upon.book, layer, named)
            yield from _sources(layer, named)
            yield from _facts(upon.book, layer)
            yield from _files_unread(layer)


def _files(upon: LoadedBook) -> Iterator[Path]:
    for layer in upon.book.layers:
        yield from (path for path in sorted(layer.folder.rglob("*")) if path.suffix in (".yaml", ".csv"))
    if upon.shelf is not None:
        yield from written_in(upon.shelf / VOCABULARY)


class _Named:
    """What the files of a stack name: limits and tables, and papers."""

    def __init__(self, *written: str) -> None:
        self.tables: set[tuple[str, str]] = set()
        self.sources: set[str] = set()
        for text in written:
            self.tables.update((kind, "".join(said)) for kind, *said in TABLE.findall(text))
            self.tables.update(("limit", part) for said in IN_A_TEXT.findall(text) for part in (said, said.rpartition(", ")[0]))
            self.sources.update("".join(said) for said in FROM.findall(text))
            self.sources.update(CELL.findall(text))


def _tables(book: Book, layer: BookLayer, named: _Named) -> Iterator[str]:
    for kind, tables in (("limit", book.limits), ("schedule", book.schedules)):
        for name, table in tables.items():
            if table.book == layer.name and (kind, name) not in named.tables:
                yield (f"{table.where}: no rule is compared with the {kind} `{name}`, and no text names it; "
                       f"write {{{kind}: {name}}} in a rule, or strike it")  # fmt: skip


def _sources(layer: BookLayer, named: _Named) -> Iterator[str]:
    for name, where in _names(layer.folder / SOURCES):
        if name not in named.sources:
            yield f"{where}: nothing rests on the source `{name}`; cite it where it is what you know from, or strike it"


def _facts(book: Book, layer: BookLayer) -> Iterator[str]:
    own = [pair for path in written_in(layer.folder / VOCABULARY) for pair in _names(path) if "." in pair[0]]
    if not own:
        return
    given = {fact for consequence in book.consequences.values() for fact, _, _ in consequence.gives}
    read = _read(book)
    for name, where in own:
        fact = book.vocabulary.facts[name]
        if fact.concluded and name not in given:
            yield f"{where}: nothing gives `{name}`, and nobody may state it; write a consequence that gives it, or strike `concluded:`"
        elif _is_asked(fact) and not fact.ask:
            yield f"{where}: nobody is asked for `{name}`; write the question under `ask:`, and under `look:` where the answer is found"
        elif name not in read and not _shows_itself(fact):
            yield (f"{where}: no rule reads `{name}`, so that stating it changes nothing; "
                   "write a rule that requires it, say under `kept for:` what it is kept for, or strike it")  # fmt: skip


def _files_unread(layer: BookLayer) -> Iterator[str]:
    """Files that begin as a rule, a table or a consequence does, and stand where none is read."""
    for path in sorted(path for path in layer.folder.rglob("*") if path.suffix in (".yaml", ".yml")):
        kind = BEGINS.match(path.read_text(encoding="utf-8", errors="replace"))
        if kind and path.suffix == ".yml":
            yield f"{path}:1:1: nothing reads this file; give it a name that ends in .yaml"
        elif kind and len(path.relative_to(layer.folder).parts) != 2:
            yield f"{path}:1:1: nothing reads this file; move it into {'its chapter, a folder' if kind[1] == 'rule' else f'the folder {kind[1]}s'} of the book"


def _is_asked(fact: Fact) -> bool:
    return fact.stated and not fact.concluded and not _shows_itself(fact)


def _shows_itself(fact: Fact) -> bool:
    return bool(fact.kept_for or fact.gives or fact.aggregate or fact.worked_out_by is not None)


def _read(book: Book) -> set[str]:
    conditions = [condition for rule in book.rules.values() for condition in rule.conditions()]
    conditions += [each.when for each in (*book.consequences.values(), *book.cautions, *book.outside)]
    read = {name for condition in conditions for name in condition_reads(book, condition)}
    read |= {name for derived in book.order for name in reads_of(book, derived)}
    return {name.removesuffix(" as stated") for name in read}


def _names(path: Path) -> Iterator[tuple[str, Where]]:
    """What a file of the author's own names declares, each with its line."""
    node = read_file(path, []) if path.is_file() else None
    yield from ((key.text, key.where) for key, _ in node.pairs) if isinstance(node, Entries) else ()
