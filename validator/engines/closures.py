"""Compiles a fused tree into a Python function: takes a vector, returns NOT, POSSIBLY or SURELY.

Each closure answers SURELY, POSSIBLY or NOT (3, 1, 0): the pair (surely, possibly) as two bits, so that `all of` is
the least of its members and `any of` the greatest.
"""

from collections.abc import Callable, Sequence

from validator.rulebook.fusing import All, Always, AmountIn, Any, ByRow, IsStatedTest, Test, TogetherHas, TwoFacts, WordIn
from validator.rulebook.schedules import NO_ROW
from validator.rulebook.sets import Ranges

NOT, POSSIBLY, SURELY = 0, 1, 3
Closure = Callable[[list], int]


def closure_of(test: Test) -> Closure:
    """The closure of a fused tree."""
    match test:  # the commonest first
        case WordIn(slot, mask):
            return _word(slot, mask)
        case All(members):
            words = [(member.slot, member.mask) for member in members if isinstance(member, WordIn)]
            others = tuple(closure_of(member) for member in members if not isinstance(member, WordIn))
            return _all((words_closure(words), *others) if words else others)
        case AmountIn(slot, ranges):
            return _one_range(slot, *ranges[0]) if len(ranges) == 1 else _ranges(slot, ranges)
        case Any(members):
            return _any(tuple(closure_of(member) for member in members))
        case TogetherHas():
            return _together(test)
        case TwoFacts():
            return _two_amounts(test) if test.amounts else _two_words(test)
        case ByRow():
            return _by_row(test)
        case IsStatedTest(slot):
            return lambda v: SURELY if v[0] >> slot & 1 else POSSIBLY
        case Always(holds):
            answer = SURELY if holds else NOT
            return lambda v: answer
    raise TypeError(test)


def _one_range(slot: int, low: int, high: int) -> Closure:
    def one_range(v: list) -> int:
        least, greatest = v[slot]
        if least >= low and greatest <= high:
            return SURELY
        return POSSIBLY if greatest >= low and least <= high else NOT

    return one_range


def _ranges(slot: int, ranges: Ranges) -> Closure:
    def several_ranges(v: list) -> int:
        least, greatest = v[slot]
        for low, high in ranges:
            if least >= low and greatest <= high:
                return SURELY
            if greatest >= low and least <= high:
                return POSSIBLY
        return NOT

    return several_ranges


def _word(slot: int, mask: int) -> Closure:
    def word(v: list) -> int:
        possible = v[slot]
        met = possible & mask
        if met == possible:
            return SURELY
        return POSSIBLY if met else NOT

    return word


def words_closure(masks: Sequence[tuple[int, int]]) -> Closure:
    """One or more words at once, each a slot and a mask: most of what a rule asks first is of this kind."""
    if len(masks) == 1:
        return _word(*masks[0])
    if len(masks) == 2:
        (first, first_mask), (second, second_mask) = masks

        def two_words(v: list) -> int:
            a = v[first]
            met = a & first_mask
            if not met:
                return NOT
            b = v[second]
            also = b & second_mask
            if not also:
                return NOT
            return SURELY if met == a and also == b else POSSIBLY

        return two_words
    if len(masks) == 3:
        (first, first_mask), (second, second_mask), (third, third_mask) = masks

        def three_words(v: list) -> int:
            a = v[first]
            met = a & first_mask
            if not met:
                return NOT
            b = v[second]
            also = b & second_mask
            if not also:
                return NOT
            c = v[third]
            too = c & third_mask
            if not too:
                return NOT
            return SURELY if met == a and also == b and too == c else POSSIBLY

        return three_words

    def words(v: list) -> int:
        answer = SURELY
        for slot, mask in masks:
            possible = v[slot]
            met = possible & mask
            if met != possible:
                if not met:
                    return NOT
                answer = POSSIBLY
        return answer

    return words


def _together(test: TogetherHas) -> Closure:
    slot, mask = test.slot, test.mask
    match test.compare:
        case "has at least one of":

            def answer(v: list) -> int:
                surely, possibly = v[slot]
                return SURELY if surely & mask else POSSIBLY if possibly & mask else NOT

        case "has none of":

            def answer(v: list) -> int:
                surely, possibly = v[slot]
                return NOT if surely & mask else POSSIBLY if possibly & mask else SURELY

        case _:  # has, has all of

            def answer(v: list) -> int:
                surely, possibly = v[slot]
                return SURELY if surely & mask == mask else POSSIBLY if possibly & mask == mask else NOT

    if not test.negated:
        return answer
    turned = {SURELY: NOT, POSSIBLY: POSSIBLY, NOT: SURELY}
    return lambda v: turned[answer(v)]


# Two ranges compared, by their ends a to b and c to d.
_ORDERED: dict[str, Callable[[int, int, int, int], int]] = {
    "at least": lambda a, b, c, d: SURELY if a >= d else POSSIBLY if b >= c else NOT,
    "at most": lambda a, b, c, d: SURELY if b <= c else POSSIBLY if a <= d else NOT,
    "more than": lambda a, b, c, d: SURELY if a > d else POSSIBLY if b > c else NOT,
    "less than": lambda a, b, c, d: SURELY if b < c else POSSIBLY if a < d else NOT,
    "is": lambda a, b, c, d: NOT if b < c or d < a else SURELY if a == b == c == d else POSSIBLY,
    "is not": lambda a, b, c, d: SURELY if b < c or d < a else NOT if a == b == c == d else POSSIBLY,
}


def _two_amounts(test: TwoFacts) -> Closure:
    slot, other, compared = test.slot, test.other, _ORDERED[test.compare]
    return lambda v: compared(*v[slot], *v[other])


def _two_words(test: TwoFacts) -> Closure:
    """Words of one list: by rank where they are ordered, else by which could be the same."""
    slot, other = test.slot, test.other
    turned = test.compare in ("is not", "none of")
    if turned or test.compare in ("is", "one of"):

        def same(v: list) -> int:
            first, second = v[slot], v[other]
            if not first & second:
                return SURELY if turned else NOT
            exact = first == second and not first & (first - 1)
            return (NOT if turned else SURELY) if exact else POSSIBLY

        return same
    compared = _ORDERED[test.compare]

    def lowest(mask: int) -> int:
        return (mask & -mask).bit_length()

    def ranked(v: list) -> int:
        first, second = v[slot], v[other]
        return compared(lowest(first), first.bit_length(), lowest(second), second.bit_length())

    return ranked


def _by_row(test: ByRow) -> Closure:
    """Surely only against every row that could answer; a question without a row leaves it open."""
    tests = tuple(closure_of(each) for each in test.tests)
    keys, rows_for = test.keys, test.schedule.rows_for

    def by_row(v: list) -> int:
        least, greatest = SURELY, NOT
        for row in rows_for(tuple(v[key] for key in keys)):
            answer = POSSIBLY if row == NO_ROW else tests[row](v)
            least, greatest = min(least, answer), max(greatest, answer)
        return least if least == SURELY else POSSIBLY if greatest else NOT

    return by_row


def _all(members: tuple[Closure, ...]) -> Closure:
    if len(members) == 1:
        return members[0]
    if len(members) == 2:
        first, second = members

        def both(v: list) -> int:
            answer = first(v)
            if not answer:
                return NOT
            other = second(v)
            return other if other < answer else answer

        return both

    def all_of(v: list) -> int:
        least = SURELY
        for member in members:
            answer = member(v)
            if not answer:
                return NOT
            if answer < least:
                least = answer
        return least

    return all_of


def _any(members: tuple[Closure, ...]) -> Closure:
    def any_of(v: list) -> int:
        greatest = NOT
        for member in members:
            answer = member(v)
            if answer == SURELY:
                return SURELY
            if answer > greatest:
                greatest = answer
        return greatest

    return any_of
