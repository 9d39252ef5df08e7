"""Takes a condition's tree, returns it in plain English, for findings and for `rulebook explain`."""

from collections.abc import Callable

from validator.facts import possible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language import amounts
from validator.rulebook.book import Book
from validator.rulebook.conditions import (
    Comparison,
    Condition,
    Constant,
    FromLimit,
    FromSchedule,
    Group,
    IsStated,
    IsThere,
    OtherFact,
)
from validator.rulebook.schedules import NO_ROW, Cell, Schedule

Values = Callable[[str], object]
PLAIN_THINGS = ("place", "job")


def name_of(vocabulary: Vocabulary, name: str) -> str:
    """A fact as a reader says it: `screw penetration`, `exposure`, `tape`."""
    thing, _, attribute = name.partition(".")
    if not attribute or thing not in PLAIN_THINGS:
        return name.replace(".", " ")
    return attribute


def condition(tree: Condition, book: Book, values: Values | None = None) -> str:
    """The whole tree as one phrase. `values` gives what is possible of a fact, so that schedules answer."""
    if isinstance(tree, Group):
        return _group(tree, book, values)
    if isinstance(tree, IsThere):
        return f"{tree.thing} there" if tree.there else f"no {tree.thing}"
    if isinstance(tree, IsStated):
        return f"{name_of(book.vocabulary, tree.fact)} stated"
    return _comparison(tree, book, values)


def _group(tree: Group, book: Book, values: Values | None, inside: bool = False) -> str:
    """A group in words that need no brackets: `A; or B with either C, or D with E`."""
    if not tree.members:
        return "always"
    if len(tree.members) == 1 and tree.how != "not both":
        return condition(tree.members[0], book, values)
    nested = any(_is_several(member) for member in tree.members)
    said = [
        _group(member, book, values, True) if _is_several(member) and isinstance(member, Group) else condition(member, book, values)
        for member in tree.members
    ]
    match tree.how:
        case "not both":
            return f"not {said[0]} at the same time as {said[1]}"
        case "all of":
            return (", and " if nested else " with " if inside else " and ").join(said)
    if not inside:
        return ("; or " if nested else " or ").join(said)
    return f"either {(', or ' if nested else ' or ').join(said)}"


def _is_several(tree: Condition) -> bool:
    return isinstance(tree, Group) and (len(tree.members) > 1 or tree.how == "not both")


def _comparison(tree: Comparison, book: Book, values: Values | None) -> str:
    fact = book.vocabulary.fact(tree.fact)
    return f"{name_of(book.vocabulary, tree.fact)} {_compare(tree, fact)}{_against(tree, fact, book, values)}"


def against(tree: Comparison, book: Book) -> str:
    """What a comparison compares with: `3 in (76 mm)`, `the screw length`."""
    return _against(tree, book.vocabulary.fact(tree.fact), book, None)


def _compare(tree: Comparison, fact: Fact) -> str:
    plain = {
        "is": "", "one of": "", "has": "", "has at least one of": "", "has all of": "all of ", "has none of": "none of ", "is not": "not ",
        "none of": "not ",
    }  # fmt: skip
    if fact.kind == "deflection" and tree.compare == "at most":
        return "no more than "
    return plain.get(tree.compare, f"{tree.compare} ")


def _against(tree: Comparison, fact: Fact, book: Book, values: Values | None) -> str:
    match tree.against:
        case Constant(value, text):
            return amounts.show(value[0], fact.kind, _unit(text, fact)) if fact.is_amount else text
        case OtherFact(name):
            return f"the {name_of(book.vocabulary, name)}"
        case FromLimit(name):
            limit = book.limits[name]
            if limit.by is not None:
                return _answers(limit.by, 0, fact, values, book) or f"the {name}"
            printed = amounts.read(limit.text, fact.kind)  # as its source prints it, whatever else counts as on it
            return amounts.show(printed.least, fact.kind, printed.unit)
        case FromSchedule(name, column):
            schedule = book.schedules[name]
            keys = " and ".join(name_of(book.vocabulary, key.name) for key in schedule.keys)
            answers = _answers(schedule, schedule.columns.index(column), fact, values, book)
            return answers or f"what the schedule `{name}` says for {keys}"
    raise TypeError(tree.against)


def _unit(text: str, fact: Fact) -> str | None:
    try:
        return amounts.read(text, fact.kind).unit
    except amounts.AmountProblem:
        return None


def _answers(schedule: Schedule, column: int, fact: Fact, values: Values | None, book: Book) -> str:
    """What the schedule answers, given what is known of its keys; nothing when nothing is known."""
    if values is None:
        return ""
    rows = schedule.rows_for(tuple(values(key.name) for key in schedule.keys))
    said: dict[str, None] = {}
    for row in rows:
        if row == NO_ROW:
            said["(the schedule has no row for this)"] = None
        else:
            said[_answer(schedule.rows[row].answers[column], schedule.rows[row].texts[column], fact)] = None
    if len(said) > 4:
        return ""
    since = row_in_words(schedule, rows[0], lambda name: name_of(book.vocabulary, name)) if len(rows) == 1 and rows[0] != NO_ROW else ""
    return ("; or " if fact.is_word else " or ").join(said) + (f", since {since}" if since else "")


def row_in_words(schedule: Schedule, number: int, named: Callable[[str], str] = str) -> str:
    """What a row answers for: `tile longest edge more than 24 in, tile pattern offset`; nothing where it answers for all."""
    return ", ".join(
        f"{named(key.name)} {' or '.join(cell_in_words(key, cell))}"
        for key, cell in zip(schedule.keys, schedule.rows[number].cells) if cell is not None
    )  # fmt: skip


def cell_in_words(key: Fact, cell: Cell) -> list[str]:
    """What a cell of a schedule answers for, each range or word."""
    if isinstance(cell, int):
        return [possible.in_words(key, cell)]
    return [amounts.show_range(least, greatest, key.kind, key.shown_in or None, both=False) for least, greatest in cell]


def _answer(answer: object, text: str, fact: Fact) -> str:
    """One answer of a schedule as its source prints it, whatever else counts as on it."""
    if fact.is_amount:
        printed = amounts.read(text, fact.kind)
        return amounts.show(printed.least, fact.kind, printed.unit)
    if fact.is_word:
        return "any" if answer == fact.every_word else possible.in_words(fact, answer)
    return text
