"""Finds what a book laid upon others changes: every case judged more or less strictly with it, and the limits and rows it replaces.

An author of a local book sees here, before anybody leans on it, whose outcome it changes, and which way.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.engines.deciding import CompiledRule
from validator.engines.outcomes import OPEN_OUTCOMES
from validator.judging.loading import LoadedBook
from validator.proving.coming import derive_case, expected_word
from validator.proving.reach import reached
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.english import row_in_words
from validator.rulebook.rule import SEVERITIES, BookLayer, Case, Rule
from validator.rulebook.schedules import Limit, Schedule

GRAVITY = {"fail": 3, "warn": 2, "open": 1}  # what is no finding, or only advice, weighs nothing


class Changes(NamedTuple):
    """What a layer changes in the books beneath it, a line for each."""

    replaces: tuple[str, ...]  # limits and rows that are another
    loosens: tuple[str, ...]
    tightens: tuple[str, ...]


def changes_of(layer: BookLayer, beneath: LoadedBook, with_it: LoadedBook) -> Changes:
    """Everything that a layer judges otherwise than the books beneath it do without it."""
    told = list(_told(layer, beneath, with_it))
    loosens, tightens = (tuple(line for turn, line in told if turn == way) for way in (-1, 1))
    return Changes(tuple(changed_tables(beneath.book, with_it.book)), loosens, tightens)


def _told(layer: BookLayer, beneath: LoadedBook, with_it: LoadedBook) -> Iterator[tuple[int, str]]:
    """A line for everything that is judged otherwise, with -1 where less strictly and 1 where more."""
    heirs = {rule.replaces: rule.name for rule in with_it.book.rules.values() if rule.book == layer.name and rule.replaces}
    for out in layer.takes_out:
        yield -1, f"{out.where}: takes out {out.rule} ({beneath.book.rules[out.rule].severity}): {out.because}"
    before, after, touched = _by_name(beneath), _by_name(with_it), reached(with_it.book, layer.name)
    for name, rule in beneath.book.rules.items():
        heir = heirs.get(name, name)
        if heir not in touched:
            continue
        now = with_it.book.rules[heir]
        if now.book == layer.name:
            yield from _replaced(rule, now)
        for case in rule.cases:
            was, came = _came_to(beneath, before[name], case), _came_to(with_it, after[heir], case)
            if turn := GRAVITY.get(came, 0) - GRAVITY.get(was, 0):
                yield (turn > 0) - (turn < 0), f"{_because_of(layer, now, with_it, case)}{name}, {case.name}: {came} where it was {was}"
    for name, rule in with_it.book.rules.items():
        if rule.book == layer.name and not rule.replaces:
            yield 1, f"{rule.where}: adds {name} ({rule.severity}): {rule.title}"


def _because_of(layer: BookLayer, now: Rule, with_it: LoadedBook, case: Case) -> str:
    """The line of the layer that decides: its own limit or schedule, where a rule of another book is compared with one."""
    if now.book != layer.name:
        for table in tables_compared(with_it.book, now):
            if table.book == layer.name:
                return f"{table.where}: `{table.name}` decides {now.where.file}: "
    return f"{case.where}: "


def _replaced(rule: Rule, now: Rule) -> Iterator[tuple[int, str]]:
    """What the new rule's own lines give away, whatever its cases show."""
    if turn := SEVERITIES.index(now.severity) - SEVERITIES.index(rule.severity):
        yield (turn > 0) - (turn < 0), f"{now.where}: replaces {rule.name}: {now.severity} where it was {rule.severity}"
    reasons = {way.because for way in now.other_ways} - {way.because for way in rule.other_ways}
    for because in sorted(reasons):
        yield -1, f"{now.where}: replaces {rule.name}: met another way too: {because}"


# -- limits and rows ----------------------------------------------------------------------------------------------------------


def changed_tables(before: Book, after: Book) -> Iterator[str]:
    """A line for every limit, and every row of a schedule, that says something else."""
    for name, limit in after.limits.items():
        was = before.limits.get(name)
        if was is not None and _values(was) != _values(limit):
            yield f"{limit.where}: the limit `{name}` is {_values(limit)} where it was {_values(was)}"
    for name, schedule in after.schedules.items():
        if name in before.schedules:
            yield from (f"{where}: the schedule `{name}`, {what}" for where, what in _rows(schedule, before.schedules[name]))


def _values(limit: Limit) -> str:
    return " or ".join(f"{row.texts[0]} ({row_in_words(limit.by, n)})" for n, row in enumerate(limit.by.rows)) if limit.by else limit.text


def _rows(now: Schedule, was: Schedule) -> Iterator[tuple[object, str]]:
    before = {row_in_words(was, number) or "all other": row for number, row in enumerate(was.rows)}
    after = {row_in_words(now, number) or "all other": row for number, row in enumerate(now.rows)}
    for said, row in after.items():
        if said not in before:
            yield row.where, f"a row for {said}: {', '.join(row.texts)}"
        elif row.answers != before[said].answers:
            yield row.where, f"the row for {said}: {', '.join(row.texts)} where it was {', '.join(before[said].texts)}"
    for said in before.keys() - after.keys():
        yield now.where, f"no row for {said}, which was {', '.join(before[said].texts)}"


def _by_name(loaded: LoadedBook) -> dict[str, CompiledRule]:
    return {compiled.rule.name: compiled for compiled in loaded.engine.rules}


def _came_to(loaded: LoadedBook, compiled: CompiledRule, case: Case) -> str:
    judgement = loaded.engine.judge_rule(compiled, derive_case(loaded, compiled, case))
    if judgement.outcome in OPEN_OUTCOMES:
        return "open" if judgement.severity in GRAVITY else "advice"
    return expected_word(judgement)
