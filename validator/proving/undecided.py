"""Finds rules that stay open although every possible answer agrees, and tells their author.

Facts are judged pair by pair, which is exact for the rules people write and not for every rule that could be written. So
each rule is tried with some of its facts left open: if every way to fill them in comes to the same, and the rule still
asks, the author is told what it asks for nothing.
"""

from collections.abc import Iterator
from itertools import product
from random import Random

from validator.engines.deciding import CompiledRule, outcome_of
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts import possible
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.proving.grid import cells_of
from validator.rulebook.fusing import IsStatedTest

TRIES = 100  # openings of each rule, the same every time
MOST_FILLED = 200
ANSWERS = {
    Outcome.PASS: "met", Outcome.BY_EXCEPTION: "met", Outcome.NOTHING: "met", Outcome.BREACH: "breach",
    Outcome.NOT_APPLICABLE: "met",
}  # fmt: skip


def prove_decided(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every rule that asks although all its answers agree, with what was left open."""
    blank = _blank(loaded)
    facts = {slot: loaded.vocabulary.fact(name) for name, slot in loaded.vocabulary.slots.items()}
    for compiled in loaded.engine.rules:
        if book in ("", compiled.rule.book) and not any(_asks_if_stated(t) for t in compiled.trees.every()):
            opening = next(_undecided(compiled, cells_of(compiled.trees.every(), loaded.vocabulary), facts, blank), "")
            if opening:
                yield f"{compiled.rule.where}: {compiled.rule.name}: stays open although every answer agrees, with {opening}"


def _blank(loaded: LoadedBook) -> list:
    return [0, *(fact.anything for fact in loaded.vocabulary.facts.values())]


def _asks_if_stated(test: object) -> bool:
    """Whether something is stated has no answer to agree on."""
    return isinstance(test, IsStatedTest) or any(_asks_if_stated(member) for member in getattr(test, "members", ()))


def _undecided(
    compiled: CompiledRule, cells: dict[int, list[object]], facts: dict[int, Fact], blank: list
) -> Iterator[str]:
    chance = Random(compiled.rule.name)
    for _ in range(TRIES if cells else 0):
        filled = _opening(chance, cells, facts)
        open_slots = [slot for slot, values in filled.items() if len(values) > 1]
        if not open_slots or _size(filled) > MOST_FILLED:
            continue
        vector = _set(blank, {slot: _all_of(facts[slot], values) for slot, values in filled.items()})
        if outcome_of(compiled, vector) not in OPEN_OUTCOMES:
            continue
        came = {
            ANSWERS.get(outcome_of(compiled, _set(blank, dict(zip(filled, each))))) for each in product(*filled.values())
        }
        if len(came) == 1 and None not in came:
            yield " and ".join(
                f"{facts[slot].name} {possible.in_words(facts[slot], vector[slot])}" for slot in open_slots
            )


def _opening(chance: Random, cells: dict[int, list[object]], facts: dict[int, Fact]) -> dict[int, list[object]]:
    """What is left possible of each fact; nothing is known of a thing that may not be there."""
    filled = {slot: _left(chance, facts[slot], values) for slot, values in cells.items()}
    unsure = {facts[slot].thing for slot, values in filled.items() if facts[slot].kind == "presence" and len(values) > 1}
    return {slot: cells[slot] if facts[slot].thing in unsure else values for slot, values in filled.items()}


def _left(chance: Random, fact: Fact, values: list[object]) -> list[object]:
    """What is left possible of one fact: one value, or a stretch of an amount, or some of its words."""
    if fact.is_together or len(values) == 1 or chance.random() < 0.5:
        return [chance.choice(values)]
    if not fact.is_amount:
        return sorted(chance.sample(values, chance.randint(2, len(values))))
    first, last = sorted(chance.sample(range(len(values)), 2))
    return values[first : last + 1]


def _size(filled: dict[int, list[object]]) -> int:
    size = 1
    for values in filled.values():
        size *= len(values)
    return size


def _all_of(fact: Fact, values: list[object]) -> object:
    whole = values[0]
    for value in values[1:]:
        whole = possible.either(fact, whole, value)
    return whole


def _set(blank: list, values: dict[int, object]) -> list:
    vector = blank[:]
    for slot, value in values.items():
        vector[slot] = value
    return vector
