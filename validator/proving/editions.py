"""Compares two editions of a book: what was added, taken out, loosened, tightened or reworded, rule by rule.

Which way a rule changed is found by judging: every case of either edition, and all that lies near them, is judged by both, and
of the assemblies on which they differ the smallest is told. Text alone decides nothing but that a rule was reworded.
"""

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import NamedTuple

from validator.engines.deciding import CompiledRule
from validator.facts import possible
from validator.judging.loading import LoadedBook
from validator.language.source import Where
from validator.proving.case_to_add import Facts, changes_near
from validator.proving.coming import derive_case, expected_word
from validator.proving.loosening import GRAVITY, changed_tables
from validator.rulebook import english
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.dependencies import condition_reads, reads_of
from validator.rulebook.rule import Case, Consequence, Rule
from validator.rulebook.schedules import Limit, Schedule

MOST_TRIED = 400
OTHERWISE = "judged otherwise"
NOWHERE = Where("two editions", 0, 1)
TEXTS = {"title": "title", "because": "because", "put_right": "put right", "note": "note"}


class Difference(NamedTuple):
    """One assembly on which two editions of a rule differ, with nothing in it that could be left out."""

    facts: Facts
    was: str
    now: str


class RuleChange(NamedTuple):
    """What became of one rule: how it changed, and where that shows."""

    rule: Rule
    how: str  # added, taken out, tightened, loosened, judged otherwise, reworded
    shown: Difference | None = None
    texts: tuple[str, ...] = ()


class Editions(NamedTuple):
    """Everything that is another between two editions."""

    rules: tuple[RuleChange, ...]
    tables: tuple[str, ...]
    consequences: tuple[str, ...]


def compare_editions(before: LoadedBook, after: LoadedBook) -> Editions:
    """What a later edition, or a book laid on another, changes."""
    rules = tuple(_rules(before, after))
    return Editions(rules, tuple(changed_tables(before.book, after.book)), tuple(_consequences(before.book, after.book)))


def _rules(before: LoadedBook, after: LoadedBook) -> Iterator[RuleChange]:
    old, new = ({each.name: each for each in loaded.engine.rules} for loaded in (before, after))
    heirs = {former: rule.name for rule in after.book.rules.values() for former in (*rule.formerly, rule.replaces) if former}
    carried = {name: name if name in new else heirs.get(name, "") for name in old}
    changed = _changed_facts(before.book, after.book)
    for name, compiled in old.items():
        if not carried[name]:
            yield RuleChange(compiled.rule, "taken out")
        else:
            yield from _compared(before, compiled, after, new[carried[name]], changed)
    for name in new.keys() - set(carried.values()):
        yield RuleChange(new[name].rule, "added")


def _compared(before: LoadedBook, old: CompiledRule, after: LoadedBook, new: CompiledRule, changed: set[str]) -> Iterator[RuleChange]:
    was, now = old.rule, new.rule
    if _meaning(was, before.book) != _meaning(now, after.book) or changed & _reads(now, after.book):
        found: dict[str, Difference] = {}
        for each in _differences(before, old, after, new):
            found[_way(each)] = min(found.get(_way(each), each), each, key=_length)
        if len(found) > 1:
            found.pop(OTHERWISE, None)
        for how, shown in sorted(found.items(), reverse=True):
            yield RuleChange(now, how, _smallest(before, old, after, new, shown))
        if found:
            return
    texts = tuple(word for part, word in TEXTS.items() if getattr(was, part) != getattr(now, part))
    if texts:
        yield RuleChange(now, "reworded", texts=texts)


def _length(shown: Difference) -> int:
    return sum(map(len, shown.facts.values()))  # what is soon written is soon understood


def _way(shown: Difference) -> str:
    turn = GRAVITY.get(shown.now, 0) - GRAVITY.get(shown.was, 0)
    return "tightened" if turn > 0 else "loosened" if turn < 0 else OTHERWISE


def _meaning(rule: Rule, book: Book) -> tuple[object, ...]:
    """What two editions of a rule share when no assembly can tell them apart by the rule's own lines and tables."""
    said = tuple(english.condition(each, book) for each in rule.conditions())
    return (rule.severity, rule.own_authority, rule.for_each, said, tuple(_table(each) for each in tables_compared(book, rule)))


def _table(table: Limit | Schedule) -> tuple[object, ...]:
    schedule = table.by if isinstance(table, Limit) else table
    if schedule is None:
        return (table.least, table.greatest, table.firm)
    return tuple((row.cells, row.answers, row.firm) for row in schedule.rows)


# -- where two editions differ ----------------------------------------------------------------------------------------------------


def _differences(before: LoadedBook, old: CompiledRule, after: LoadedBook, new: CompiledRule) -> Iterator[Difference]:
    bases = [case.facts for rule in (new.rule, old.rule) for case in rule.cases]
    tests = ((*loaded.trees.every(),) for loaded in (old, new))
    changes = [change for each, loaded in zip(tests, (before, after)) for change in changes_near(each, loaded.vocabulary)]
    tried = (*bases, *islice(({**facts, **change} for change in changes for facts in bases), MOST_TRIED))
    for facts in tried:
        if difference := _differ(before, old, after, new, facts):
            yield difference


def _differ(before: LoadedBook, old: CompiledRule, after: LoadedBook, new: CompiledRule, facts: Facts) -> Difference | None:
    words = [_came_to(before, old, facts), _came_to(after, new, facts)]
    if None in words or words[0] == words[1] or not {*words} & {"fail", "warn", "advice", "pass"}:
        return None
    return Difference(dict(facts), *words)


def _came_to(loaded: LoadedBook, compiled: CompiledRule, facts: Facts) -> str | None:
    """What an assembly comes to; None where it says what an edition has no words for."""
    if any(loaded.vocabulary.fact(name) is None for name in facts):
        return None
    try:
        place = derive_case(loaded, compiled, Case(name="", facts=facts, expect="pass", where=NOWHERE))
    except possible.NotPossible:
        return None
    return expected_word(loaded.engine.judge_rule(compiled, place))


def _smallest(before: LoadedBook, old: CompiledRule, after: LoadedBook, new: CompiledRule, shown: Difference) -> Difference:
    """The same difference on an assembly from which nothing more can be left out."""
    for name in list(shown.facts):
        fewer = {key: said for key, said in shown.facts.items() if key != name}
        again = _differ(before, old, after, new, fewer)
        if again and (again.was, again.now) == (shown.was, shown.now):
            shown = again
    return shown


# -- what follows otherwise -------------------------------------------------------------------------------------------------------


def _consequences(before: Book, after: Book) -> Iterator[str]:
    for name in dict.fromkeys((*before.consequences, *after.consequences)):
        was, now = before.consequences.get(name), after.consequences.get(name)
        if was is None and now is not None:
            yield f"{name}, added: {_follows(now, after)}"
        elif was is not None and now is None:
            yield f"{name}, taken out: {_follows(was, before)}"
        elif was is not None and now is not None and _follows(was, before) != _follows(now, after):
            yield f"{name}: {_follows(now, after)}; it was: {_follows(was, before)}"


def _follows(consequence: Consequence, book: Book) -> str:
    gives = " and ".join(f"{fact} {words}" for fact, _, words in consequence.gives)
    return f"{gives} wherever {english.condition(consequence.when, book)}"


def _changed_facts(before: Book, after: Book) -> set[str]:
    """The facts that could follow otherwise, and all that is made from them."""
    changed: set[str] = set()
    for name in {*before.consequences, *after.consequences}:
        both = [(book, book.consequences[name]) for book in (before, after) if name in book.consequences]
        if len({_follows(each, book) for book, each in both}) > 1 or len(both) == 1:
            changed |= {fact for _, each in both for fact, _, _ in each.gives}
    for book in (before, after) if changed else ():
        for derived in book.order:
            if changed & {name.removesuffix(" as stated") for name in reads_of(book, derived)}:
                changed.add(derived.fact.name)
    return changed


def _reads(rule: Rule, book: Book) -> set[str]:
    return {name for condition in rule.conditions() for name in condition_reads(book, condition)}


def said_of(facts: Mapping[str, str]) -> str:
    """An assembly in a line."""
    return ", ".join(f"{name} {text}" for name, text in facts.items()) or "any assembly"
