"""Proves that what is seen can be explained: every kind of observation by some rule, and every harm that shows by its rule."""

from collections.abc import Iterator

from validator.facts.observing import KIND, observation_reader
from validator.judging.loading import LoadedBook
from validator.rulebook.book import Book
from validator.rulebook.rule import USERS_OWN
from validator.rulebook.showing import HARMS_THAT_SHOW


def prove_shown(upon: LoadedBook, book: str) -> Iterator[str]:
    """What a book of codes or practice leaves unsaid of its breaches, and what can be seen that none of its rules explains.

    Nothing of a book that does not speak of it at all.
    """
    if _speaks_of_it(upon.book, book) and not _is_users_own(upon, book):
        yield from _unsaid(upon, book)
        if KIND in upon.vocabulary.facts and upon.book.layers[0].name == book:
            yield from _unexplained(upon.book)


def breaches_unsaid(upon: LoadedBook, book: str) -> Iterator[str]:
    """The same of a user's own book, whose author may know no more than the requirement."""
    if _speaks_of_it(upon.book, book) and _is_users_own(upon, book):
        yield from _unsaid(upon, book)


def _speaks_of_it(stack: Book, book: str) -> bool:
    return any(rule.book == book and rule.breach.is_said for rule in stack.rules.values())


def _is_users_own(upon: LoadedBook, book: str) -> bool:
    return next(layer.standing for layer in upon.book.layers if layer.name == book) in USERS_OWN


def _unsaid(upon: LoadedBook, book: str) -> Iterator[str]:
    for rule in upon.book.rules.values():
        if rule.book == book and rule.warranty in HARMS_THAT_SHOW and not rule.breach.is_said:
            yield (f"{rule.where.file}: `{rule.name}` is of the harm `{rule.warranty}` and does not say what its breach shows as. "
                   "Accepted: `shows as:` with troubles and observations, or `nothing, because ...`")  # fmt: skip


def _unexplained(book: Book) -> Iterator[str]:
    """The kinds of observation that no rule's breach brings."""
    reader, fact, explained = observation_reader(book.vocabulary), book.vocabulary.facts[KIND], 0
    for rule in book.rules.values():
        for showing, _ in book.shown_by(rule):
            for seen in reader.line(showing.seen):
                explained |= seen.kinds
    for bit, word in enumerate(fact.words):
        if not explained >> bit & 1:
            yield f"`{word}` can be seen, and no rule's breach shows as it. Accepted: a rule with it under `shows as:`, or one word less"
