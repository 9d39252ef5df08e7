"""Sets of values: sorted, disjoint ranges of an amount's steps, and masks of words.

A comparison with a constant is membership in such a set, so several comparisons of one fact become one set.
"""

from validator.facts.vocabulary import Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST

Ranges = tuple[tuple[int, int], ...]
EVERYTHING: Ranges = ((NO_LEAST, NO_GREATEST),)


def joined(ranges: Ranges) -> Ranges:
    """The same values as sorted ranges that neither overlap nor touch; a range turned round is empty."""
    result: list[tuple[int, int]] = []
    for least, greatest in sorted(r for r in ranges if r[0] <= r[1]):
        if result and least <= result[-1][1] + 1:
            result[-1] = (result[-1][0], max(result[-1][1], greatest))
        else:
            result.append((least, greatest))
    return tuple(result)


def in_both(first: Ranges, second: Ranges) -> Ranges:
    return joined(tuple((max(a, c), min(b, d)) for a, b in first for c, d in second))


def in_either(first: Ranges, second: Ranges) -> Ranges:
    return joined(first + second)


def outside(ranges: Ranges) -> Ranges:
    """Every value that the ranges leave out."""
    gaps: list[tuple[int, int]] = []
    start = NO_LEAST
    for least, greatest in joined(ranges):
        if start < least:
            gaps.append((start, least - 1))
        start = greatest + 1
    if start <= NO_GREATEST:
        gaps.append((start, NO_GREATEST))
    return tuple(gaps)


def ranges_for(compare: str, least: int, greatest: int) -> Ranges:
    """The values for which a comparison with a limit holds; anything from least to greatest is exactly on the limit."""
    match compare:
        case "at least":
            return joined(((least, NO_GREATEST),))
        case "at most":
            return joined(((NO_LEAST, greatest),))
        case "more than":
            return joined(((greatest + 1, NO_GREATEST),))
        case "less than":
            return joined(((NO_LEAST, least - 1),))
        case "is":
            return joined(((least, greatest),))
        case "is not":
            return outside(((least, greatest),))
    raise ValueError(compare)


def mask_for(fact: Fact, compare: str, mask: int) -> int:
    """The words for which a comparison with some words holds."""
    every = fact.every_word
    lowest, highest = mask & -mask, 1 << (mask.bit_length() - 1)
    match compare:
        case "is" | "one of":
            return mask
        case "is not" | "none of":
            return every & ~mask
        case "at least":
            return every & ~(lowest - 1)
        case "more than":
            return every & ~((highest << 1) - 1)
        case "at most":
            return every & ((highest << 1) - 1)
        case "less than":
            return every & (lowest - 1)
    raise ValueError(compare)


OPPOSITE = {
    "is": "is not", "is not": "is", "one of": "none of", "none of": "one of", "at least": "less than",
    "less than": "at least", "at most": "more than", "more than": "at most",
}  # fmt: skip
