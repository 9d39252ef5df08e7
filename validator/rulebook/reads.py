"""Takes a book, returns which facts could bear on each rule, through everything they follow from, as bits by slot.

Made from the fused trees, so that no rule of a kept book is unpacked for it.
"""

from collections.abc import Iterable, Mapping
from functools import cached_property

from validator.rulebook.book import Book
from validator.rulebook.conditions import Condition
from validator.rulebook.dependencies import condition_reads, reads_of
from validator.rulebook.fusing import Always, ByRow, Test, TwoFacts
from validator.rulebook.trees import RuleTrees


def slots_of(test: Test) -> int:
    """The slots that a fused tree reads, as bits."""
    match test:
        case Always():
            return 0
        case ByRow(slot, _, keys):
            bits = 1 << slot
            for key in keys:
                bits |= 1 << key
            return bits
        case TwoFacts(slot, _, other):
            return 1 << slot | 1 << other
    if hasattr(test, "members"):
        bits = 0
        for member in test.members:
            bits |= slots_of(member)
        return bits
    return 1 << test.slot


class Reads:
    """What bears on each rule of a book: on whether it applies, and on whether it is met."""

    def __init__(self, book: Book) -> None:
        self.book, self.vocabulary = book, book.vocabulary
        self._of: dict[int, tuple[Condition, int]] = {}  # by the condition's id, with the condition, so that the id stays its own

    @cached_property
    def behind(self) -> dict[int, int]:
        """For each derived fact's slot, every slot that it follows from, its own among them."""
        found: dict[int, int] = {}
        for derived in self.book.order:
            own = self.vocabulary.slot(derived.fact.name)
            bits = 1 << own
            for name in reads_of(self.book, derived):
                slot = self.vocabulary.slots.get(name)
                if slot is not None:
                    bits |= found.get(slot, 1 << slot)
            found[own] = bits
        return found

    def upstream(self, bits: int) -> int:
        """Some slots with everything that they follow from."""
        every, left = bits, bits
        while left:
            low = left & -left
            every |= self.behind.get(low.bit_length() - 1, 0)
            left ^= low
        return every

    def followed_from(self, names: Iterable[str]) -> frozenset[str]:
        """Some facts with everything that is derived from any of them."""
        slots = self.vocabulary.slots
        bits = sum(1 << slots[name] for name in names if name in slots)
        derived = {each.fact.name for each in self.book.order if bits and self.behind[self.vocabulary.slot(each.fact.name)] & bits}
        return frozenset((*names, *derived))

    def of(self, condition: Condition) -> int:
        """What bears on a condition that is no rule's."""
        if id(condition) not in self._of:
            slots = self.vocabulary.slots
            self._of[id(condition)] = condition, self.upstream(sum(1 << slots[name] for name in condition_reads(self.book, condition) if name in slots))
        return self._of[id(condition)][1]

    @cached_property
    def applying_at(self) -> Mapping[str, int]:
        """By the sort of what is judged, what bears on whether any rule applies there."""
        bits: dict[str, int] = {}
        for trees in self.book.trees.values():
            bits[trees.sort] = bits.get(trees.sort, 0) | self.applies[trees.name]
        return bits

    @cached_property
    def applies(self) -> Mapping[str, int]:
        """By rule, what bears on whether it applies."""
        return {trees.name: self.upstream(slots_of(trees.applies)) for trees in self.book.trees.values()}

    @cached_property
    def met(self) -> Mapping[str, int]:
        """By rule, what bears on whether it is met, its exceptions among it."""
        return {trees.name: self.upstream(_of_meeting(trees)) for trees in self.book.trees.values()}


def _of_meeting(trees: RuleTrees) -> int:
    bits = slots_of(trees.requires)
    for exception in trees.exceptions:
        bits |= slots_of(exception)
    return bits
