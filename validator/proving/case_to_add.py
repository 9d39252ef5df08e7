"""Finds the case that a book lacks: an assembly near one of a rule's own cases on which two forms of the rule differ, as a line to paste."""

from collections.abc import Iterable, Iterator
from itertools import combinations, islice

from validator.engines.deciding import CompiledRule
from validator.facts.vocabulary import Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.proving.case_subjects import PRESENCES
from validator.proving.coming import derive_case, expected_word
from validator.proving.grid import cells_of
from validator.rulebook.fusing import Test
from validator.rulebook.rule import Case, Rule
from validator.rulebook.schedules import Cell

MOST_TRIED = 300
SETTLED = ("pass", "fail", "warn", "advice", "not applicable")
NEAR = (0, -20, 20)  # beside a limit, as one part of it in so many
Facts = dict[str, str]


def case_to_add(loaded: LoadedBook, before: CompiledRule, after: CompiledRule, also: Iterable[Facts] = ()) -> str:
    """A case as its author would write it, on which two forms of a rule come to different outcomes; nothing where none is near.

    `also`: changes to the rule's cases that are tried first. What it expects is what the rule comes to as it stands, one that is
    settled before one that is open.
    """
    bases = sorted(before.rule.cases, key=lambda case: case.expect != "pass")
    changes = (*also, *changes_near((*before.trees.every(), *after.trees.every()), loaded.vocabulary))
    tried, left_open = ((case, change) for change in _with_pairs(changes) for case in bases), ""
    for case, change in islice(tried, MOST_TRIED):
        facts = {**case.facts, **change}
        found = derive_case(loaded, before, Case(name="", facts=facts, expect="pass", where=case.where))
        word = expected_word(loaded.engine.judge_rule(before, found))
        if word != expected_word(loaded.engine.judge_rule(after, found)):
            written = _as_written(before.rule, facts, change, word)
            if word in SETTLED:
                return written
            left_open = left_open or written
    return left_open


def _with_pairs(changes: tuple[Facts, ...]) -> Iterator[Facts]:
    yield from changes
    for first, second in combinations(changes, 2):
        if not first.keys() & second.keys():
            yield {**first, **second}


def changes_near(tests: Iterable[Test], vocabulary: Vocabulary) -> Iterator[Facts]:
    """What a case could say otherwise: one fact on each limit, near it, or each of its words."""
    names = {slot: name for name, slot in vocabulary.slots.items()}
    for slot, values in cells_of(tests, vocabulary).items():
        fact = vocabulary.fact(names[slot])
        for text in dict.fromkeys(text for value in values for text in texts_near(fact, value)):
            yield {fact.name: text}


def texts_near(fact: Fact, value: object) -> Iterator[str]:
    """How a case would write a value: an amount with those near it, a word, or whether a thing is there."""
    if fact.kind == "presence":
        yield from (word for word, mask in PRESENCES.items() if mask == value and word in ("there", "none"))
    elif fact.is_amount:
        on = min((value[0], value[0] - 1), key=lambda step: len(amounts.show(step, fact.kind, fact.shown_in or None, both=False)))
        for part in NEAR if on == value[0] else NEAR[1:]:  # a step past a limit is no amount that anybody writes
            yield amounts.show(on + (on // part if part else 0), fact.kind, fact.shown_in or None, both=False)
    elif fact.is_word:
        yield next(word for bit, word in enumerate(fact.words) if value >> bit & 1)


def text_of_cell(fact: Fact, cell: Cell) -> str:
    """A value inside one band of a table's key, as a case would write it; on its end where that is soon written."""
    if isinstance(cell, int):
        return next(word for bit, word in enumerate(fact.words) if cell >> bit & 1)
    (least, greatest), *_ = cell
    ends = [end for end in (greatest, least) if amounts.NO_LEAST < end < amounts.NO_GREATEST]
    values = [end + part for end in ends for part in (0, -(abs(end) // 10), abs(end) // 10) if least <= end + part <= greatest]
    texts = [amounts.show(value, fact.kind, fact.shown_in or None, both=False) for value in values]
    return min(texts, key=len, default="")


def _as_written(rule: Rule, facts: Facts, change: Facts, word: str) -> str:
    """The line to paste, without what all cases of the rule say."""
    usual = [case.facts for case in rule.cases]
    own = {name: text for name, text in facts.items() if any(each.get(name) != text for each in usual)}
    name = " and ".join(f"{key.partition('.')[2] or key} {text}" for key, text in change.items())
    said = ", ".join(f"{key}: {_quoted(text)}" for key, text in own.items())
    return f"{{name: {_quoted(name)}, with: {{{said}}}, expect: {word}}}"


def _quoted(text: str) -> str:
    return f'"{text}"' if any(mark in text for mark in ":,{}[]#") else text
