"""Takes a rule's trees, returns its boundary grid: a place for everything that its own comparisons tell apart.

A rule is a Boolean function of its comparisons, so a grid made from its limits, words and rows is exhaustive for it:
each amount a step below each limit, at it, a step above it, across it, and not stated; each word alone, and not stated;
two facts that are compared a step apart either way and equal; each row of a schedule beside its own answer. All
combinations of what the comparisons tell apart are made, and beside each of them every further value of one fact at a
time. Beyond a bound an even, repeatable choice of them is taken.

A row of the grid is a judged vector, in slots of the vocabulary; slot 0 holds the facts that are stated, as bits.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from validator.facts.vocabulary import Fact, Vocabulary
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import AmountIn, ByRow, IsStatedTest, Test, TogetherHas, TwoFacts, WordIn
from validator.rulebook.schedules import Cell

MOST_ROWS = 20_000
SEED = 1_000_000  # where two amounts meet that no limit cuts
Setting = tuple[tuple[int, object], ...]  # slots with their values; slot 0 adds bits of stated facts


@dataclass(slots=True)
class _Read:
    """What the tests of a rule read, by slot."""

    cuts: dict[int, set[int]] = field(default_factory=dict)  # the first value on the far side of each limit
    masks: dict[int, set[int]] = field(default_factory=dict)
    together: dict[int, set[int]] = field(default_factory=dict)
    said: set[int] = field(default_factory=set)
    linked: list[tuple[int, int]] = field(default_factory=list)
    by_row: list[ByRow] = field(default_factory=list)

    def read(self, test: Test) -> None:
        match test:
            case AmountIn(slot, ranges):
                self.cuts.setdefault(slot, set()).update(_cuts_of(ranges))
            case WordIn(slot, mask):
                self.masks.setdefault(slot, set()).add(mask)
            case TogetherHas(slot, _, mask):
                self.together.setdefault(slot, set()).add(mask)
            case TwoFacts(slot, _, other, amounts):
                self.linked.append((slot, other))
                for each in (slot, other):
                    (self.cuts if amounts else self.masks).setdefault(each, set())
            case IsStatedTest(slot):
                self.said.add(slot)
            case ByRow():
                self._read_by_row(test)
        for member in getattr(test, "members", ()):
            self.read(member)

    def _read_by_row(self, test: ByRow) -> None:
        if test not in self.by_row:
            self.by_row.append(test)
        for each in test.tests:
            self.read(each)
        for number, slot in enumerate(test.keys):
            for band in test.schedule.bands_of(number):
                if isinstance(band, int):
                    self.masks.setdefault(slot, set()).add(band)
                else:
                    self.cuts.setdefault(slot, set()).update(_cuts_of(band))


def _cuts_of(ranges: Iterable[tuple[int, int]]) -> Iterator[int]:
    for least, greatest in ranges:
        if least > NO_LEAST:
            yield least
        if greatest < NO_GREATEST:
            yield greatest + 1


@dataclass(frozen=True, slots=True)
class _Axis:
    """One fact of a rule: a value for each way its tests can come out, and the further values worth trying."""

    kinds: tuple[Setting, ...]
    further: tuple[Setting, ...] = ()


def boundary_rows(tests: Iterable[Test], vocabulary: Vocabulary, blank: list, most: int = MOST_ROWS) -> Iterator[list]:
    """The grid of one rule's fused trees, as vectors made from `blank`, in which nothing is stated."""
    read = _Read()
    for test in tests:
        read.read(test)
    axes = _axes(read, vocabulary)
    kinds = {slot: axis.kinds for slot, axis in axes.items()}
    blocks = [list(kinds.values())]
    for slot, axis in axes.items():
        if axis.further:
            blocks.append([axis.further, *(each for other, each in kinds.items() if other != slot)])
    for test in read.by_row:
        own = {test.slot, *test.keys}
        blocks.append([_beside_answers(test, vocabulary), *(each for slot, each in kinds.items() if slot not in own)])
    for block, share in _shares(blocks, most):
        for row in _chosen(block, share):
            yield _placed(blank, row)


def cells_of(tests: Iterable[Test], vocabulary: Vocabulary) -> dict[int, list[object]]:
    """For each slot that some tests read, one value for each way they can come out on it, in order; nothing is left open.

    Of two facts compared with each other, whose ways are not each fact's own, only the first value is given.
    """
    read = _Read()
    for test in tests:
        read.read(test)
    cells: dict[int, list[object]] = {}
    linked = {slot for pair in read.linked for slot in pair}
    for slot, axis in _axes(read, vocabulary).items():
        values = {value for setting in axis.kinds for _, value in setting}
        if slot > 0:
            settled = sorted(value for value in values if _settled(value))
            cells[slot] = settled[:1] if slot in linked else settled
    return cells


def _settled(value: object) -> bool:
    return value.bit_count() == 1 if isinstance(value, int) else value[0] == value[1]


def _axes(read: _Read, vocabulary: Vocabulary) -> dict[int, _Axis]:
    facts = {slot: vocabulary.fact(name) for name, slot in vocabulary.slots.items()}
    cuts, masks = _shared(read.cuts, read.linked, {SEED}), _shared(read.masks, read.linked, set())
    linked = {slot for pair in read.linked for slot in pair}
    axes = {slot: _amounts(slot, facts[slot], sorted(each), slot in linked) for slot, each in cuts.items()}
    axes |= {slot: _words(slot, facts[slot], each, slot in linked) for slot, each in masks.items()}
    axes |= {slot: _together(slot, facts[slot], each) for slot, each in read.together.items()}
    # Whether a fact is stated is tried apart from what it is.
    axes |= {-slot: _Axis((((0, 0),), ((0, 1 << slot),))) for slot in read.said}
    return axes


def _shared(by_slot: dict[int, set[int]], linked: list[tuple[int, int]], seed: set[int]) -> dict[int, set[int]]:
    """Facts that are compared with each other share their limits."""
    shared = {slot: set(each) for slot, each in by_slot.items()}
    for _ in linked:
        for first, second in linked:
            if first in shared and second in shared:
                both = shared[first] | shared[second] or set(seed)
                shared[first] = shared[second] = both
    return shared


def _amounts(slot: int, fact: Fact, cuts: list[int], linked: bool) -> _Axis:
    low, high = fact.always
    points = [cut + step for cut in cuts for step in (-2, -1, 0, 1)]
    inside = sorted({p for p in points if low <= p <= high})
    across = [(cut - 1, cut) for cut in cuts if low < cut <= high]
    if linked:
        return _Axis(_set_to(slot, [fact.always, *((p, p) for p in inside)]), _set_to(slot, across))
    # One value between each two limits, the one beside the lower limit; and everything below the first.
    kinds = {p for p in inside if p in cuts or p + 1 == cuts[0]}
    further = [(p, p) for p in inside if p not in kinds]
    return _Axis(_set_to(slot, [fact.always, *((p, p) for p in sorted(kinds))]), _set_to(slot, further + across))


def _words(slot: int, fact: Fact, masks: set[int], linked: bool) -> _Axis:
    alone = [1 << bit for bit in range(len(fact.words))]
    seen: dict[tuple[bool, ...], int] = {}
    for word in alone:
        seen.setdefault(tuple(bool(word & mask) for mask in sorted(masks)), word)
    kinds = alone if linked else list(seen.values())
    further = [word for word in alone if word not in kinds]
    # Two words of which it is one, not known which: each word with one of every kind.
    pairs = {word | kind for word in alone for kind in seen.values()} - {*alone, fact.every_word}
    every = [fact.every_word] if fact.every_word not in kinds else []
    return _Axis(_set_to(slot, [*every, *kinds]), _set_to(slot, [*further, *sorted(pairs)]))


def _together(slot: int, fact: Fact, masks: set[int]) -> _Axis:
    every = fact.every_word
    kinds = {(0, every), (0, 0), (every, every)}
    further: set[tuple[int, int]] = set()
    for mask in masks:
        kinds |= {(mask, mask), (0, every & ~mask), (mask, every)}
        for bit in range(len(fact.words)):
            word = 1 << bit
            further |= {(word, word), (word, every), (0, every & ~word), (mask & ~word, mask & ~word)}
    return _Axis(_set_to(slot, sorted(kinds)), _set_to(slot, sorted(further - kinds)))


def _set_to(slot: int, values: Iterable[object]) -> tuple[Setting, ...]:
    return tuple(((slot, value),) for value in values)


# -- schedules ------------------------------------------------------------------------------------------------------------


def _beside_answers(test: ByRow, vocabulary: Vocabulary) -> tuple[Setting, ...]:
    """Each row asked for by itself, with the compared fact beside the row's own answer."""
    facts = {slot: vocabulary.fact(name) for name, slot in vocabulary.slots.items()}
    settings: list[Setting] = []
    for row, own in zip(test.schedule.rows, test.tests):
        read = _Read()
        read.read(own)
        (axis,) = _axes(read, vocabulary).values()
        keys = tuple(
            (slot, _inside(cell, facts[slot])) for slot, cell in zip(test.keys, row.cells) if cell is not None
        )
        settings += [keys + value for value in (*axis.kinds, *axis.further)]
    return tuple(settings)


def _inside(cell: Cell, fact: Fact) -> object:
    """One value of a key that a row's cell holds."""
    if isinstance(cell, int):
        return cell & -cell
    least, greatest = cell[0]
    point = least if least > NO_LEAST else min(greatest, SEED)
    return (point, point)


# -- combinations ---------------------------------------------------------------------------------------------------------


def _shares(blocks: list[list[tuple[Setting, ...]]], most: int) -> Iterator[tuple[list[tuple[Setting, ...]], int]]:
    """How many rows each block of combinations may give: small ones all of theirs, the others what is left, evenly."""
    left = most
    for done, block in enumerate(sorted(blocks, key=_size)):
        share = min(_size(block), left // (len(blocks) - done))
        left -= share
        yield block, share


def _size(block: list[tuple[Setting, ...]]) -> int:
    return math.prod(len(axis) for axis in block)


def _chosen(block: list[tuple[Setting, ...]], share: int) -> Iterator[Setting]:
    """All combinations of a block, or an even choice of them that is the same every time."""
    size = _size(block)
    stride = 1
    if share < size:
        stride = round(size * 0.6180339887)
        while math.gcd(stride, size) > 1:
            stride += 1
    for number in range(share):
        index = number * stride % size
        row: list[tuple[int, object]] = []
        for axis in block:
            index, here = divmod(index, len(axis))
            row += axis[here]
        yield tuple(row)


def _placed(blank: list, row: Setting) -> list:
    vector = blank[:]
    for slot, value in row:
        vector[slot] = value if slot else vector[0] | value
    return vector
