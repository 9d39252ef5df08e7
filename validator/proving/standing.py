"""Finds what an author of a book laid upon others may have overlooked: a rule in a chapter of other matters, a title that says another
amount than its rule, and a value that is replaced in one line and stands typed in another.
"""

import re
from collections.abc import Iterator
from difflib import get_close_matches

from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.conditions import Comparison, Constant, FromLimit, IsThere, facts_read, leaves
from validator.rulebook.rule import Rule
from validator.rulebook.schedules import Limit

AT_HOME = 3  # rules of one chapter that require something of a thing
SAME_BUT_A_SLIP = 0.8
AMOUNT = re.compile(r"(?<![\w/.,-])\d[\d,.]*(?:-\d+)?(?:/\d+)? ?(?:in per ft|in|ft|mm|cm|m|h|min|days?|%|psf|°F|psi|lb)\b")
EVERYWHERE = ("place", "job")


def misplaced(upon: LoadedBook, book: str) -> Iterator[str]:
    """A line for every rule of a user's own book that stands where no other rule speaks of what it requires."""
    chapters: dict[str, list[Rule]] = {}
    for rule in upon.book.rules.values():
        chapters.setdefault(rule.chapter, []).append(rule)
    for rule in upon.book.rules.values():
        if rule.book != book:
            continue
        others = [each for each in chapters[rule.chapter] if each is not rule]
        meant = get_close_matches(rule.chapter, [name for name in chapters if name != rule.chapter], 1, SAME_BUT_A_SLIP) if not others else []
        if meant:
            yield f"{rule.where}: {rule.name}: no other rule stands in the chapter `{rule.chapter}`; did you mean `{meant[0]}`?"
        required = _things(rule)
        if others and required and not any(required & _things(each) for each in others):
            there, home = max((sum(bool(required & _things(each)) for each in rules), name) for name, rules in chapters.items())
            if there >= AT_HOME:
                yield (f"{rule.where}: {rule.name}: stands in the chapter `{rule.chapter}`, where no other rule requires anything of "
                       f"{' or '.join(sorted(required))}; {there} do in `{home}`")  # fmt: skip


def _things(rule: Rule) -> set[str]:
    """The things of which a rule requires something."""
    things = {fact.partition(".")[0] for fact in facts_read(rule.requires)}
    things |= {leaf.thing for leaf in leaves(rule.requires) if isinstance(leaf, IsThere)}
    return things.difference(EVERYWHERE)


def titles_beside(upon: LoadedBook, book: str) -> Iterator[str]:
    """A line for every title of a user's own book that types an amount which is none of the rule's own."""
    for rule in upon.book.rules.values():
        own = list(_amounts(upon.book, rule)) if rule.book == book else []
        for typed in AMOUNT.findall(rule.title) if own else ():
            read = [each for kind in dict.fromkeys(kind for kind, _, _ in own) if (each := _read(typed, kind))]
            if read and not any(least <= each.least <= greatest for each in read for kind, least, greatest in own if kind == each.kind):
                yield f"{rule.where}: {rule.name}: its title says {typed}, and nothing that it asks is {typed}; mend the one or the other"


def _read(typed: str, kind: str) -> amounts.Amount | None:
    try:
        return amounts.read(typed, kind)
    except amounts.AmountProblem:
        return None


def _amounts(book: Book, rule: Rule) -> Iterator[tuple[str, int, int]]:
    """The amounts that a rule is compared with, by kind, each as it is printed."""
    for comparison in (leaf for condition in rule.conditions() for leaf in leaves(condition) if isinstance(leaf, Comparison)):
        fact = book.vocabulary.fact(comparison.fact)
        if fact.is_amount and isinstance(comparison.against, Constant):
            yield (fact.kind, *comparison.against.value)
    for table in tables_compared(book, rule):
        if isinstance(table, Limit):
            yield table.kind, table.least, table.greatest
        elif table.gives.is_amount:
            yield from ((table.gives.kind, *answer) for row in table.rows for answer in row.answers)


def typed_beside(beneath: LoadedBook, upon: LoadedBook, book: str) -> Iterator[str]:
    """A line for every row and every rule beneath that types the value of a limit which a book replaces, of the same fact."""
    for name, limit in upon.book.limits.items():
        was = beneath.book.limits.get(name)
        if limit.book != book or was is None or was.by is not None or (was.least, was.greatest) == (limit.least, limit.greatest):
            continue
        facts = set(_compared(upon.book, name))
        for schedule in upon.book.schedules.values():
            for row in schedule.rows if schedule.gives.name in facts and schedule.book != book else ():
                if any(was.least <= least and greatest <= was.greatest for least, greatest in row.answers):
                    yield _says_still(limit, f"the schedule `{schedule.name}`", str(row.where), was)
        for rule in upon.book.rules.values():
            if rule.book != book and any(_types(leaf, facts, was) for condition in rule.conditions() for leaf in leaves(condition)):
                yield _says_still(limit, f"`{rule.name}`", str(rule.where), was)


def _says_still(limit: Limit, what: str, where: str, was: Limit) -> str:
    return f"{limit.where}: `{limit.name}` is {limit.text} here, and {what} says {was.text} of the same ({where}); replace it too if that is meant"


def _compared(book: Book, limit: str) -> Iterator[str]:
    for rule in book.rules.values():
        for condition in rule.conditions():
            yield from (leaf.fact for leaf in leaves(condition) if isinstance(leaf, Comparison) and leaf.against == FromLimit(limit))


def _types(leaf: object, facts: set[str], was: Limit) -> bool:
    return isinstance(leaf, Comparison) and leaf.fact in facts and isinstance(leaf.against, Constant) and leaf.against.value == (was.least, was.least)
