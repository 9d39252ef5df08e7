"""Takes a rule, returns it with one comparison loosened, each in turn: some case of the rule must notice.

Weakened are: at least to more than and its like; a limit moved past by a tenth (by one, for a count); a word of a list
left out; a member of a group left out; presence no longer asked.
"""

from collections.abc import Iterator
from dataclasses import replace

from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import english
from validator.rulebook.book import Book
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, Group, IsStated
from validator.rulebook.rule import Rule

STRICTER = {"at least": "more than", "more than": "at least", "at most": "less than", "less than": "at most"}
LOOSER = {"at least": -1, "more than": -1, "at most": 1, "less than": 1}


def weakened(rule: Rule, book: Book) -> Iterator[tuple[str, Rule]]:
    """Every weakened form of a rule, each with what was done to it."""
    for part in ("applies", "requires"):
        for what, condition in _weakened(getattr(rule, part), book):
            yield f"in `{'applies when' if part == 'applies' else part}`, {what}", replace(rule, **{part: condition})
    for number, way in enumerate(rule.other_ways):
        others = rule.other_ways[:number] + rule.other_ways[number + 1 :]
        yield "an exception left out", replace(rule, other_ways=others)
        for what, condition in _weakened(way.when, book):
            ways = (*rule.other_ways[:number], replace(way, when=condition), *rule.other_ways[number + 1 :])
            yield f"in `except when`, {what}", replace(rule, other_ways=ways)


def _weakened(condition: Condition, book: Book) -> Iterator[tuple[str, Condition]]:
    if isinstance(condition, Group):
        yield from _weakened_group(condition, book)
    elif isinstance(condition, Comparison):
        yield from _weakened_comparison(condition, book)


def _weakened_group(group: Group, book: Book) -> Iterator[tuple[str, Condition]]:
    for number, member in enumerate(group.members):
        others = group.members[:number] + group.members[number + 1 :]
        if group.how != "not both":
            left = others[0] if len(others) == 1 else Group(group.how, others)
            yield f"`{english.condition(member, book)}` left out", left
        for what, weaker in _weakened(member, book):
            yield what, group._replace(members=(*group.members[:number], weaker, *group.members[number + 1 :]))


def _weakened_comparison(comparison: Comparison, book: Book) -> Iterator[tuple[str, Condition]]:
    fact = book.vocabulary.fact(comparison.fact)
    said = english.condition(comparison, book)
    if comparison.compare in STRICTER:
        yield f"`{said}` as {STRICTER[comparison.compare]}", comparison._replace(compare=STRICTER[comparison.compare])
        if fact.is_amount:
            yield from _moved(comparison, book, said)
    elif isinstance(comparison.against, Constant) and not fact.is_amount:
        mask = comparison.against.value
        for bit, word in enumerate(fact.words):
            if mask >> bit & 1 and mask.bit_count() > 1:
                fewer = Constant(mask & ~(1 << bit), comparison.against.text)
                yield f"`{word}` left out of `{said}`", comparison._replace(against=fewer)


def _moved(comparison: Comparison, book: Book, said: str) -> Iterator[tuple[str, Condition]]:
    ends = _ends(comparison, book)
    if ends is None:
        return
    least, greatest = ends
    step = max(abs(greatest if comparison.compare in ("at most", "more than") else least) // 10, 1)
    moved = LOOSER[comparison.compare] * step
    value = (min(max(least + moved, NO_LEAST), NO_GREATEST), min(max(greatest + moved, NO_LEAST), NO_GREATEST))
    yield f"the limit of `{said}` moved past by a tenth", comparison._replace(against=Constant(value, ""))


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
