"""Finds the rules that a book laid upon others can change: its own, and those that its tables or consequences bear on.

What it does not reach comes to the same with it and without it, and need not be proved again.
"""

from collections.abc import Iterable

from validator.rulebook.book import Book
from validator.rulebook.conditions import Condition, FromLimit, FromSchedule, facts_read, leaves
from validator.rulebook.dependencies import condition_reads, reads_of


def reached(book: Book, layer: str) -> frozenset[str]:
    """The rules of a stack that one of its books decides, alone or with others."""
    changed = _changed_facts(book, layer)
    return frozenset(
        name for name, rule in book.rules.items()
        if rule.book == layer
        or any(_compared_with_tables_of(book, layer, each) or changed & _reads(book, each) for each in rule.conditions())
    )  # fmt: skip


def _changed_facts(book: Book, layer: str) -> set[str]:
    """What follows otherwise because of a book, and all that is made from it."""
    changed = {
        fact for consequence in book.consequences.values()
        if consequence.book == layer or _compared_with_tables_of(book, layer, consequence.when)
        for fact, _, _ in consequence.gives
    }  # fmt: skip
    for derived in book.order if changed else ():
        if changed & _as_said(reads_of(book, derived)):
            changed.add(derived.fact.name)
    return changed


def _reads(book: Book, condition: Condition) -> set[str]:
    return _as_said(condition_reads(book, condition) | set(facts_read(condition)))


def _as_said(names: Iterable[str]) -> set[str]:
    return {name.removesuffix(" as stated") for name in names}


def _compared_with_tables_of(book: Book, layer: str, condition: Condition) -> bool:
    for leaf in leaves(condition):
        match getattr(leaf, "against", None):
            case FromLimit(name) if book.limits[name].book == layer:
                return True
            case FromSchedule(name) if book.schedules[name].book == layer:
                return True
    return False
