"""Takes a book, returns which facts could bear on each rule, through everything they follow from, as bits by slot.

Made from the fused trees, so that no rule of a kept book is unpacked for it.
"""

from collections.abc import Iterable
from functools import cached_property

from validator.rulebook.book import Book
from validator.rulebook.conditions import Condition
from validator.rulebook.dependencies import condition_reads, reads_of
from validator.rulebook.trees import bits_of, slots_of


class Reads:
    """What bears on each rule of a book: on whether it applies, and on whether it is met."""

    def __init__(self, book: Book) -> None:
        self.book, self.vocabulary = book, book.vocabulary
        self._of: dict[int, tuple[Condition, int]] = {}  # by the condition's id, with the condition, so that the id stays its own
        self._applying_at: dict[str, int] = {}
        self._applying: dict[str, int] = {}
        self._meeting: dict[str, int] = {}

    @cached_property
    def behind(self) -> dict[int, int]:
        """For each derived fact's slot, every slot that it follows from, its own among them."""
        found: dict[int, int] = {}
        slots = self.vocabulary.slots
        for derived in self.book.order:
            own = self.vocabulary.slot(derived.fact.name)
            read = {slots[name] for name in reads_of(self.book, derived._replace(contributions=())) if name in slots}
            for contribution in derived.contributions:
                compared = bits_of(slots_of(contribution.when))
                read.update(compared, filter(None, map(self.things.get, compared)))
            bits = 1 << own
            for slot in read:
                bits |= found.get(slot, 1 << slot)
            found[own] = bits
        return found

    @cached_property
    def things(self) -> dict[int, int]:
        """For each fact's slot that of the thing it is said of."""
        slots = self.vocabulary.slots
        return {slot: slots[thing] for name, slot in slots.items() if (thing := self.vocabulary.facts[name].thing) in slots}

    def upstream(self, bits: int) -> int:
        """Some slots with everything that they follow from."""
        every = bits
        for slot in bits_of(bits):
            every |= self.behind.get(slot, 0)
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

    def applying_at(self, sort: str) -> int:
        """What bears on whether any of the rules apply that are judged at places of a sort."""
        if sort not in self._applying_at:
            self._applying_at[sort] = self.upstream(sum(1 << slot for slot in self.book.asked_first.get(sort, ())))
        return self._applying_at[sort]

    def applying(self, rule: str) -> int:
        """What bears on whether a rule applies."""
        if rule not in self._applying:
            self._applying[rule] = self.upstream(slots_of(self.book.trees[rule].applies))
        return self._applying[rule]

    def meeting(self, rule: str) -> int:
        """What bears on whether a rule is met, its exceptions among it."""
        if rule not in self._meeting:
            trees, bits = self.book.trees[rule], 0
            for test in (trees.requires, *trees.exceptions):
                bits |= slots_of(test)
            self._meeting[rule] = self.upstream(bits)
        return self._meeting[rule]
