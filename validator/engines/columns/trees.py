"""Compiles fused trees to pairs of expressions (surely, possibly); a comparison that rules share is worked once."""

from collections import Counter
from collections.abc import Iterable, Iterator

import polars as pl

from validator.engines.columns.bits import NO, YES, Bit, Number, Pair, all_of, any_of, both, either, no
from validator.engines.columns.plan import Sheet
from validator.engines.columns.schedules import Reach
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import All, Always, AmountIn, Any, ByRow, IsStatedTest, Test, TogetherHas, TwoFacts, WordIn


def answers(sheet: Sheet, tests: Iterable[Test]) -> list[Pair]:
    """The pair of each tree, its comparisons and the groups that several share added to the frame first."""
    tests = list(tests)
    _add_leaves(sheet, dict.fromkeys(leaf for test in tests for leaf in _leaves(test) if leaf not in sheet.pairs))
    _add_rows(sheet, dict.fromkeys(leaf for test in tests for leaf in _leaves(test) if leaf not in sheet.pairs))
    times = Counter(group for test in tests for group in _groups(test))
    new: dict[str, pl.Expr] = {}
    for group, number in times.items():
        if number > 1 and group not in sheet.pairs:
            sheet.pairs[group] = sheet.kept(_tree(sheet, group), new)
    sheet.add(new)
    return [_tree(sheet, test) for test in tests]


def _leaves(test: Test) -> Iterator[Test]:
    if isinstance(test, (All, Any)):
        for member in test.members:
            yield from _leaves(member)
    else:
        yield test


def _groups(test: Test) -> Iterator[Test]:
    if isinstance(test, (All, Any)):
        yield test
        for member in test.members:
            yield from _groups(member)


def _tree(sheet: Sheet, test: Test) -> Pair:
    # A group that stands in another's columns of this very step cannot be read yet; only finished ones are looked up.
    if isinstance(test, (All, Any)):
        known = sheet.pairs.get(test)
        if known is not None and all(_ready(sheet, bit) for bit in known):
            return known
        pairs = [_tree(sheet, member) for member in test.members]
        return all_of(pairs) if isinstance(test, All) else any_of(pairs)
    return sheet.pairs[test]


def _ready(sheet: Sheet, bit: Bit) -> bool:
    return isinstance(bit, bool) or bit.meta.output_name() in sheet.columns


def _add_leaves(sheet: Sheet, leaves: Iterable[Test]) -> None:
    new: dict[str, pl.Expr] = {}
    for leaf in leaves:
        if isinstance(leaf, ByRow):
            _add_leaves(sheet, [row for row in dict.fromkeys(leaf.tests) if row not in sheet.pairs])
        elif leaf not in sheet.pairs:
            sheet.pairs[leaf] = sheet.kept(_leaf(sheet, leaf), new)
    sheet.add(new)


def _add_rows(sheet: Sheet, leaves: Iterable[Test]) -> None:
    """Comparisons with schedules: surely against every row that could answer, possibly against some."""
    new: dict[str, pl.Expr] = {}
    for leaf in leaves:
        sheet.pairs[leaf] = sheet.kept(_by_row(sheet, leaf), new)
    sheet.add(new)


def _by_row(sheet: Sheet, test: ByRow) -> Pair:
    reach = Reach.of(sheet, test)
    surely, possibly = [no(reach.without_row)], [reach.without_row]
    for row, reached in reach.reached():
        sure, maybe = sheet.pairs[row]
        surely.append(either(no(reached), sure))
        possibly.append(both(reached, maybe))
    return both(*surely), either(*possibly)


def _leaf(sheet: Sheet, test: Test) -> Pair:
    match test:
        case Always(holds):
            return YES if holds else NO
        case AmountIn(slot, ranges):
            return any_of([_in_range(sheet.parts(slot), low, high) for low, high in ranges])
        case WordIn(slot, mask):
            (value,) = sheet.parts(slot)
            every = sheet.facts[slot].every_word
            return (value & (every & ~mask)) == 0, (value & mask) != 0
        case TogetherHas(slot, compare, mask, negated):
            surely, possibly = _together(*sheet.parts(slot), compare, mask)
            return (no(possibly), no(surely)) if negated else (surely, possibly)
        case IsStatedTest(slot):
            return sheet.stated(slot), True
        case TwoFacts(slot, compare, other, amounts):
            if amounts:
                return _two_amounts(*sheet.parts(slot), *sheet.parts(other), compare)
            return _two_words(sheet, slot, other, compare)
    raise TypeError(test)


def _in_range(ends: tuple[Number, ...], low: int, high: int) -> Pair:
    least, greatest = ends
    above, below = low == NO_LEAST, high == NO_GREATEST
    return (
        both(above or least >= low, below or greatest <= high),
        both(above or greatest >= low, below or least <= high),
    )


def _together(surely: Number, possibly: Number, compare: str, mask: int) -> Pair:
    if compare == "has at least one of":
        return (surely & mask) != 0, (possibly & mask) != 0
    if compare == "has none of":
        return (possibly & mask) == 0, (surely & mask) == 0
    return (surely & mask) == mask, (possibly & mask) == mask


def _two_amounts(a: Number, b: Number, c: Number, d: Number, compare: str) -> Pair:
    match compare:
        case "at least":
            return a >= d, b >= c
        case "at most":
            return b <= c, a <= d
        case "more than":
            return a > d, b > c
        case "less than":
            return b < c, a < d
    apart = either(b < c, d < a)
    same = both(a == b, b == c, c == d)
    return (same, no(apart)) if compare == "is" else (apart, no(same))


def _two_words(sheet: Sheet, slot: int, other: int, compare: str) -> Pair:
    (first,), (second,) = sheet.parts(slot), sheet.parts(other)
    if compare in ("is", "one of", "is not", "none of"):
        apart = (first & second) == 0
        same = both(first == second, (first & (first - 1)) == 0)
        return (same, no(apart)) if compare in ("is", "one of") else (apart, no(same))
    return _two_amounts(_lowest(first), _highest(first), _lowest(second), _highest(second), compare)


def _lowest(mask: Number) -> Number:
    """The place of the least word that is possible."""
    return (mask & -mask).bit_length() if isinstance(mask, int) else mask.bitwise_trailing_zeros().cast(pl.Int16) + 1


def _highest(mask: Number) -> Number:
    if isinstance(mask, int):
        return mask.bit_length()
    return 64 - mask.cast(pl.UInt64).bitwise_leading_zeros().cast(pl.Int16)


