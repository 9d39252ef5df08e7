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
NEAR = (-20, 20)  # beside a limit, as one part of it in so many
GRAINS = (25_400_000, 6_350_000, 1_587_500, 396_875)  # an inch, and its fourth, sixteenth and sixty-fourth, in steps of a length
THOUSANDTH = 25_400
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
        on = as_printed(fact, value[0])
        if on == value[0]:  # a step past a limit is no amount that anybody writes
            yield shown(fact, on)
        for part in NEAR:
            yield shown(fact, _as_measured(fact, on, on // part))
    elif fact.is_word:
        yield next(word for bit, word in enumerate(fact.words) if value >> bit & 1)


def text_of_cell(fact: Fact, cell: Cell) -> str:
    """A value inside one band of a table's key, as a case would write it; on its end where that is soon written."""
    if isinstance(cell, int):
        return next(word for bit, word in enumerate(fact.words) if cell >> bit & 1)
    (least, greatest), *_ = cell
    ends = [as_printed(fact, end) for end in (greatest, least) if amounts.NO_LEAST < end < amounts.NO_GREATEST]
    beside = (_as_measured(fact, end, part) for end in ends for part in (0, -(abs(end) // 10), abs(end) // 10))
    return min((shown(fact, value) for value in beside if least <= value <= greatest), key=len, default="")


def as_printed(fact: Fact, end: int) -> int:
    """An end of a range as its table prints it: `over 24 in` begins a step past 24 in."""
    return min((end, end - 1, end + 1), key=lambda value: len(shown(fact, value)))


def shown(fact: Fact, value: int) -> str:
    """An amount as a case would write it."""
    return amounts.show(value, fact.kind, fact.shown_in or None, both=False)


def beside(fact: Fact, on: int, step: int) -> int:
    """An amount between a printed end and where it was moved to, a step away."""
    near = _as_measured(fact, on, abs(on) // 20 if step > 0 else -(abs(on) // 20))
    return near if 0 < abs(near - on) < abs(step) else on + int(step / 2)


def _as_measured(fact: Fact, on: int, moved: int) -> int:
    """An amount about so far from another as a tape or a gauge shows it, where the fact is measured in inches."""
    value = on + moved
    if not moved or fact.kind != "length" or not shown(fact, value).endswith(" in"):
        return value
    grain = next((each for each in GRAINS if 2 * each <= abs(moved)), THOUSANDTH)
    return round(value / grain) * grain


def _as_written(rule: Rule, facts: Facts, change: Facts, word: str) -> str:
    """The line to paste, without what all cases of the rule say."""
    usual = [case.facts for case in rule.cases]
    own = {name: text for name, text in facts.items() if any(each.get(name) != text for each in usual)}
    name = " and ".join(f"{key.partition('.')[2] or key} {text}" for key, text in change.items())
    said = ", ".join(f"{key}: {_quoted(text)}" for key, text in own.items())
    return f"{{name: {_quoted(name)}, with: {{{said}}}, expect: {word}}}"


def _quoted(text: str) -> str:
    return f'"{text}"' if any(mark in text for mark in ":,{}[]#") else text
