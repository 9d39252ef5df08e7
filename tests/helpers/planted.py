"""One-step faults planted in fused trees, each such that it must show somewhere.

A fault is planted only in a comparison whose fact the rule reads nowhere else; such a comparison decides on its own in
some place, so a fault in it that changes it at all changes the rule.
"""

from collections import Counter
from collections.abc import Iterator

from validator.engines.deciding import CompiledRule
from validator.facts.vocabulary import Vocabulary
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import sets
from validator.rulebook.fusing import All, AmountIn, Any, ByRow, IsStatedTest, Test, TogetherHas, TwoFacts, WordIn

TWO_FACTS = ("at least", "at most", "more than", "less than", "is", "is not")


def planted(compiled: CompiledRule, vocabulary: Vocabulary) -> Iterator[tuple[str, CompiledRule]]:
    """The rule with one fault at a time: a step, an operator, a bit of a mask, the kind of a group."""
    trees = compiled.trees
    words = {slot: len(vocabulary.fact(name).words) for name, slot in vocabulary.slots.items()}
    times = Counter(slot for test in trees.every() for slot in _slots(test))
    parts = trees.every()
    for number, part in enumerate(parts):
        for kind, faulty in _faults(part, words, times):
            applies, requires, *exceptions = (*parts[:number], faulty, *parts[number + 1 :])
            yield kind, bare(compiled, applies, requires, tuple(exceptions))


def bare(compiled: CompiledRule, applies: Test, requires: Test, exceptions: tuple[Test, ...]) -> CompiledRule:
    """The rule by the table of outcomes alone, so that a tree without the fault cannot hide it."""
    return CompiledRule.of(
        compiled.trees._replace(applies=applies, requires=requires, exceptions=exceptions, met=None, breached=None), compiled.rule
    )


def _slots(test: Test) -> Iterator[int]:
    match test:
        case All(members) | Any(members):
            for member in members:
                yield from _slots(member)
        case TwoFacts(slot, _, other):
            yield from (slot, other)
        case ByRow(slot, _, keys):
            yield from (slot, *keys)
        case AmountIn(slot) | WordIn(slot) | TogetherHas(slot) | IsStatedTest(slot):
            yield slot


def _faults(test: Test, words: dict[int, int], times: Counter) -> Iterator[tuple[str, Test]]:
    if isinstance(test, (All, Any)):
        if all(times[slot] == 1 for slot in _slots(test)):
            yield "group", (Any if isinstance(test, All) else All)(test.members)
        for number, member in enumerate(test.members):
            for kind, faulty in _faults(member, words, times):
                yield kind, type(test)((*test.members[:number], faulty, *test.members[number + 1 :]))
    elif all(times[slot] == 1 for slot in _slots(test)):
        yield from _one(test, words)


def _one(test: Test, words: dict[int, int]) -> Iterator[tuple[str, Test]]:
    match test:
        case AmountIn(slot, ranges):
            for number, (low, high) in enumerate(ranges):
                ends = [(low - 1, high), (low + 1, high)] if low > NO_LEAST else []
                ends += [(low, high - 1), (low, high + 1)] if high < NO_GREATEST else []
                for end in ends:
                    yield "step", AmountIn(slot, sets.joined((*ranges[:number], end, *ranges[number + 1 :])))
            yield "operator", AmountIn(slot, sets.outside(ranges))
            if len(ranges) == 1:
                low, high = ranges[0]
                if low == NO_LEAST:
                    yield "operator", AmountIn(slot, ((high, high),))
                if high == NO_GREATEST:
                    yield "operator", AmountIn(slot, ((low, low),))
        case WordIn(slot, mask):
            for bit in range(words[slot]):
                yield "bit", WordIn(slot, mask ^ 1 << bit)
        case TogetherHas(slot, compare, mask, negated):
            for bit in range(words[slot]):
                yield "bit", TogetherHas(slot, compare, mask ^ 1 << bit, negated)
            yield "operator", TogetherHas(slot, compare, mask, not negated)
        case TwoFacts(slot, compare, other, amounts):
            for another in TWO_FACTS if amounts else ():
                if another != compare:
                    yield "operator", TwoFacts(slot, another, other, amounts)
        case ByRow():
            for number, own in enumerate(test.tests):
                for kind, faulty in _one(own, words):
                    rows = (*test.tests[:number], faulty, *test.tests[number + 1 :])
                    yield f"{kind} in a row", test._replace(tests=rows)
