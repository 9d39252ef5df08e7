"""Takes a rule, returns it with one comparison loosened, each in turn: some case of the rule must notice.

Weakened are: at least to more than and its like; a limit moved past by a tenth (by one, for a count); a word of a list
left out; a member of a group left out; presence no longer asked.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import english
from validator.rulebook.book import Book
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, Group, IsStated
from validator.rulebook.rule import Rule

STRIKE = "strike this line, or add a case where it matters"
STRICTER = {"at least": "more than", "more than": "at least", "at most": "less than", "less than": "at most"}
LOOSER = {"at least": -1, "more than": -1, "at most": 1, "less than": 1}


class Weakening(NamedTuple):
    """A rule with one comparison loosened: what was done, what its author does about it, and the weaker rule."""

    what: str
    to_do: str
    rule: Rule


def weakened(rule: Rule, book: Book) -> Iterator[Weakening]:
    """Every weakened form of a rule."""
    for part in ("applies", "requires"):
        for what, to_do, condition in weaker_conditions(getattr(rule, part), book):
            yield Weakening(f"in `{'applies when' if part == 'applies' else part}`, {what}", to_do, replace(rule, **{part: condition}))
    for number, way in enumerate(rule.other_ways):
        others = rule.other_ways[:number] + rule.other_ways[number + 1 :]
        yield Weakening(f"the exception `{english.condition(way.when, book)}` left out", STRIKE, replace(rule, other_ways=others))
        for what, to_do, condition in weaker_conditions(way.when, book):
            ways = (*rule.other_ways[:number], replace(way, when=condition), *rule.other_ways[number + 1 :])
            yield Weakening(f"in `except when`, {what}", to_do, replace(rule, other_ways=ways))


def weaker_conditions(condition: Condition, book: Book) -> Iterator[tuple[str, str, Condition]]:
    """Every loosened form of a condition: what was done, what its author does about it, and the form."""
    if isinstance(condition, Group):
        yield from _weakened_group(condition, book)
    elif isinstance(condition, Comparison):
        yield from _weakened_comparison(condition, book)


def _weakened_group(group: Group, book: Book) -> Iterator[tuple[str, str, Condition]]:
    for number, member in enumerate(group.members):
        others = group.members[:number] + group.members[number + 1 :]
        if group.how != "not both":
            left = others[0] if len(others) == 1 else Group(group.how, others)
            yield f"`{english.condition(member, book)}` left out", STRIKE, left
        for what, to_do, weaker in weaker_conditions(member, book):
            yield what, to_do, group._replace(members=(*group.members[:number], weaker, *group.members[number + 1 :]))


def _weakened_comparison(comparison: Comparison, book: Book) -> Iterator[tuple[str, str, Condition]]:
    fact = book.vocabulary.fact(comparison.fact)
    said = english.condition(comparison, book)
    if comparison.compare in STRICTER:
        exact = english.against(comparison, book) or "it"
        yield f"`{said}` as {STRICTER[comparison.compare]}", f"add a case exactly on {exact}", comparison._replace(compare=STRICTER[comparison.compare])
        if fact.is_amount:
            yield from _moved(comparison, book, said)
    elif isinstance(comparison.against, Constant) and not fact.is_amount:
        mask = comparison.against.value
        for bit, word in enumerate(fact.words):
            if mask >> bit & 1 and mask.bit_count() > 1:
                fewer = Constant(mask & ~(1 << bit), comparison.against.text)
                yield f"`{word}` left out of `{said}`", f"strike `{word}`, or add a case with it", comparison._replace(against=fewer)


def _moved(comparison: Comparison, book: Book, said: str) -> Iterator[tuple[str, str, Condition]]:
    ends = _ends(comparison, book)
    if ends is None:
        return
    least, greatest = ends
    step = max(abs(greatest if comparison.compare in ("at most", "more than") else least) // 10, 1)
    moved = LOOSER[comparison.compare] * step
    value = (min(max(least + moved, NO_LEAST), NO_GREATEST), min(max(greatest + moved, NO_LEAST), NO_GREATEST))
    yield f"the limit of `{said}` moved past by a tenth", f"add a case just past {english.against(comparison, book)}", comparison._replace(against=Constant(value, ""))


def _ends(comparison: Comparison, book: Book) -> tuple[int, int] | None:
    match comparison.against:
        case Constant(value):
            return value
        case FromLimit(name) if book.limits[name].by is None:
            return book.limits[name].least, book.limits[name].greatest
    return None


def lacking_cases(rule: Rule) -> list[str]:
    """The compulsory cases that a rule lacks. A rule that only asks whether something is stated has no breach."""
    expected = {case.expect for case in rule.cases}
    only_stated = isinstance(rule.requires, IsStated)
    lacking = []
    if "pass" not in expected:
        lacking.append("a pass")
    if not only_stated and not expected & {"warn", "fail", "advice"}:
        lacking.append("a breach")
    if not expected & {"open", "waits"}:
        lacking.append("an open")
    limited = not (isinstance(rule.applies, Group) and not rule.applies.members)
    if limited and "not applicable" not in expected:
        lacking.append("a not applicable")
    return lacking
