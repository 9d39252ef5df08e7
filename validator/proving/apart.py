"""Finds rules that are not rules of their own: one that says what another says, one that no place can meet together with another, one
that applies nowhere; and cases that say what another case says.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from validator.engines.deciding import CompiledRule
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.judging.loading import LoadedBook
from validator.proving.case_to_add import changes_near
from validator.proving.coming import derive_case, expected_word
from validator.rulebook.conditions import facts_read
from validator.rulebook.fusing import NO
from validator.rulebook.rule import Rule

MOST_TRIED = 200


def prove_apart(upon: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every rule of a book that repeats or contradicts one of the stack, or never applies, and for every repeated case."""
    required: dict[str, list[CompiledRule]] = {}
    for compiled in upon.engine.rules:
        for fact in dict.fromkeys(facts_read(compiled.rule.requires)):
            required.setdefault(fact, []).append(compiled)
    for compiled in upon.engine.rules:
        if book not in ("", compiled.rule.book):
            continue
        yield from _repeated_cases(compiled.rule, book)
        if compiled.trees.applies == NO:
            yield f"{compiled.rule.where}: {compiled.name}: no place is what `applies when` asks all at once; strike what contradicts the rest"
            continue
        others = dict.fromkeys(other for fact in dict.fromkeys(facts_read(compiled.rule.requires)) for other in required[fact])
        others.pop(compiled)
        met = [derive_case(upon, compiled, case) for case in compiled.rule.cases if case.expect == "pass"] if others else []
        for other in others:
            yield from _beside(upon, compiled, other, met)


def _repeated_cases(rule: Rule, book: str) -> Iterator[str]:
    told: dict[tuple[tuple[str, str], ...], str] = {}
    for case in rule.cases:
        said = tuple(sorted(case.facts.items()))
        if said in told and book in ("", case.book):
            yield f"{case.where}: {rule.name}, {case.name}: says what the case `{told[said]}` says, and proves nothing more; change it or strike it"
        told.setdefault(said, case.name)


def _beside(upon: LoadedBook, compiled: CompiledRule, other: CompiledRule, met: list[DerivedPlace]) -> Iterator[str]:
    rule, beneath = compiled.rule, other.rule
    of = f" of the book {beneath.book}" if beneath.book != rule.book else ""
    if _meaning(compiled) == _meaning(other):
        if beneath.book != rule.book or beneath.name > rule.name:  # of two in one book the one is told
            yield (f"{rule.where}: {rule.name}: asks what `{beneath.name}`{of} asks, in the same places; "
                   f"strike one of them, or write `replaces: {beneath.name}`")  # fmt: skip
    elif _contradict(upon, compiled, other, met):
        yield (f"{rule.where}: {rule.name}: whatever meets it breaches `{beneath.name}`{of}; "
               f"write `replaces: {beneath.name}` if it takes its place, mend the one that is wrong, or add a case that meets both")  # fmt: skip


def _meaning(compiled: CompiledRule) -> tuple[object, ...]:
    trees = compiled.trees
    return (trees.things[:1] if compiled.rule.for_each else (), trees.applies, trees.requires, trees.exceptions)


def _contradict(upon: LoadedBook, compiled: CompiledRule, other: CompiledRule, met: list[DerivedPlace]) -> bool:
    """Whether every case that meets a rule breaches another which requires something of the same fact, whatever that fact is."""
    if not met or not all(_breaches(upon, other, place) for place in met):
        return False
    cases = [case for case in compiled.rule.cases if case.expect == "pass"]
    shared = {*facts_read(compiled.rule.requires)} & {*facts_read(other.rule.requires)}
    changes = (each for each in changes_near((*compiled.trees.every(), *other.trees.every()), upon.vocabulary) if shared & each.keys())
    for change, case in islice(((change, case) for change in changes for case in cases), MOST_TRIED):
        place = derive_case(upon, compiled, replace(case, name="", facts={**case.facts, **change}))
        if expected_word(upon.engine.judge_rule(compiled, place)) == "pass" and not _breaches(upon, other, place):
            return False
    return True


def _breaches(upon: LoadedBook, rule: CompiledRule, place: DerivedPlace) -> bool:
    return upon.engine.judge_rule(rule, place).outcome is Outcome.BREACH
