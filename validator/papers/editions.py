"""What a later edition changes, in English: rule by rule, with the smallest assembly on which the two come apart."""

import textwrap
from collections.abc import Iterator

from validator.proving.editions import Editions, RuleChange, said_of
from validator.rulebook.book import Book

WIDTH = 100
HOWS = {"added": "Added", "taken out": "Taken out", "tightened": "Tightened", "loosened": "Loosened", "judged otherwise": "Judged otherwise",
        "reworded": "Reworded"}  # fmt: skip


def edition_lines(editions: Editions, before: Book, after: Book) -> Iterator[str]:
    """The comparison line by line."""
    yield f"{_named(after)}, compared with {_named(before)}."
    for how, head in HOWS.items():
        changes = sorted((each for each in editions.rules if each.how == how), key=lambda each: (each.rule.chapter, each.rule.name))
        if changes:
            yield ""
            yield f"{head}: {len(changes)}"
            for change in changes:
                yield from _told(change)
    for head, lines in (("Limits and rows", editions.tables), ("Consequences", editions.consequences)):
        if lines:
            yield ""
            yield f"{head}: {len(lines)}"
            for line in lines:
                yield from textwrap.wrap(line, WIDTH, initial_indent="  ", subsequent_indent="      ", break_long_words=False, break_on_hyphens=False)
    if not any(editions):
        yield "Nothing is another."


def _told(change: RuleChange) -> Iterator[str]:
    rule = change.rule
    yield from textwrap.wrap(f"{rule.name} ({rule.chapter}, {rule.severity}): {rule.title}", WIDTH, initial_indent="  ", subsequent_indent="      ")
    if change.shown is not None:
        said = f"{change.shown.now} where it was {change.shown.was}, with {said_of(change.shown.facts)}"
        yield from textwrap.wrap(said, WIDTH, initial_indent="      ", subsequent_indent="      ")
    if change.texts:
        yield f"      in its {', '.join(change.texts)}"


def _named(book: Book) -> str:
    return " + ".join(f"{layer.name} {layer.edition}" for layer in book.layers)
