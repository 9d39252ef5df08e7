"""Finds what a book laid upon others loosens: every case that was judged more strictly without it, and what it takes out.

An author of a local book sees here, before anybody leans on it, whose outcome it changes.
"""

from collections.abc import Iterator

from validator.engines.deciding import CompiledRule
from validator.engines.outcomes import OPEN_OUTCOMES
from validator.judging.loading import LoadedBook
from validator.proving.coming import derive_case, expected_word
from validator.proving.reach import reached
from validator.rulebook.book import tables_compared
from validator.rulebook.rule import SEVERITIES, BookLayer, Case, Rule

GRAVITY = {"fail": 3, "warn": 2, "open": 1}  # what is no finding, or only advice, weighs nothing


def loosened(layer: BookLayer, beneath: LoadedBook, with_it: LoadedBook) -> Iterator[str]:
    """A line for everything that is judged less strictly with a layer than without it."""
    heirs = {rule.replaces: rule.name for rule in with_it.book.rules.values() if rule.book == layer.name and rule.replaces}
    for out in layer.takes_out:
        yield f"{out.where}: takes out {out.rule} ({beneath.book.rules[out.rule].severity}): {out.because}"
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
            if GRAVITY.get(came, 0) < GRAVITY.get(was, 0):
                yield f"{_because_of(layer, now, with_it, case)}{name}, {case.name}: {came} where it was {was}"


def _because_of(layer: BookLayer, now: Rule, with_it: LoadedBook, case: Case) -> str:
    """The line of the layer that decides: its own limit or schedule, where a rule of another book is compared with one."""
    if now.book != layer.name:
        for table in tables_compared(with_it.book, now):
            if table.book == layer.name:
                return f"{table.where}: `{table.name}` decides {now.where.file}: "
    return f"{case.where}: "


def _replaced(rule: Rule, now: Rule) -> Iterator[str]:
    """What the new rule's own lines give away, whatever its cases show."""
    if SEVERITIES.index(now.severity) < SEVERITIES.index(rule.severity):
        yield f"{now.where}: replaces {rule.name}: {now.severity} where it was {rule.severity}"
    reasons = {way.because for way in now.other_ways} - {way.because for way in rule.other_ways}
    for because in sorted(reasons):
        yield f"{now.where}: replaces {rule.name}: met another way too: {because}"


def _by_name(loaded: LoadedBook) -> dict[str, CompiledRule]:
    return {compiled.rule.name: compiled for compiled in loaded.engine.rules}


def _came_to(loaded: LoadedBook, compiled: CompiledRule, case: Case) -> str:
    judgement = loaded.engine.judge_rule(compiled, derive_case(loaded, compiled, case))
    if judgement.outcome in OPEN_OUTCOMES:
        return "open" if judgement.severity in GRAVITY else "advice"
    return expected_word(judgement)
