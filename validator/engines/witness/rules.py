"""Takes a rule's fused trees, returns the rule as the witness can read it: plain lists of comparisons between numbers.

Each rule becomes up to three verdicts, `met`, `breached` and `does not apply`; each verdict is a choice of several ways
to show it, and each way an `and` of comparisons of one field with a number or with another field. Where no way is
shown, the rule is open. Only the kinds of test named here are said; anything else is declined with its reason.

What is possible of a fact is fed as numbers: an amount as its two ends, a word as 1 or 0 for each word that it could
be. Sums, workings, consequences and the answers of schedules are fed finished; the comparison with them is the
witness's own. A schedule that could answer by several rows is fed once for each, and what is shown is what is shown
of all of them.
"""

from dataclasses import dataclass, field
from itertools import product

from validator.facts.vocabulary import MOST_WORDS, Vocabulary
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import All, Always, AmountIn, Any, ByRow, IsStatedTest, Test, TogetherHas, TwoFacts, WordIn
from validator.rulebook.schedules import NO_ROW
from validator.rulebook.sets import OPPOSITE, Ranges, outside
from validator.rulebook.trees import RuleTrees

MET, BREACHED, NOT_APPLICABLE, OPEN = "met", "breached", "does not apply", "open"
NO_END = 9 * 10**15  # stands for no end: beyond it a whole number is no longer exact, or is written with an exponent
MOST_WAYS = 59  # ways of one rule; with the rule that always fires, sixty to a ruleset
MOST_FIELDS = 240  # the library takes 251, two of them its own
MOST_ANSWERS = 256  # ways in which the schedules of one rule could answer together

Key = tuple  # what a field holds: (slot, which part of the value, ...) or (schedule's place in the rule, ...)
Compared = tuple[str, Key, object]  # comparison, field, and a number or another field
Way = frozenset[Compared]
Ways = list[Way]


class Declined(Exception):
    """Why a rule cannot be witnessed, in words."""


class NotFed(Exception):
    """Why one place cannot be shown to the witness, in words."""


@dataclass(slots=True)
class WitnessRule:
    """One rule in the witness's words, with the fields it reads."""

    name: str
    ways: dict[str, Ways]
    schedules: list["_Answer"]
    fields: tuple[Key, ...] = ()

    def __post_init__(self) -> None:
        seen: dict[Key, None] = {}
        for ways in self.ways.values():
            for way in ways:
                for _, left, right in sorted(way, key=repr):
                    seen[left] = None
                    if isinstance(right, tuple):
                        seen[right] = None
        self.fields = tuple(seen)

    @property
    def size(self) -> int:
        return sum(len(ways) for ways in self.ways.values())

    def facts(self, vector: list) -> list[dict[Key, float]]:
        """A judged vector as the witness is fed it, once for each way in which the schedules could answer."""
        plain = {key: _number(key, vector) for key in self.fields if not isinstance(key[0], str)}
        reachable = [answer.rows(vector) for answer in self.schedules]
        count = 1
        for rows in reachable:
            count *= len(rows)
        if count > MOST_ANSWERS:
            raise NotFed("its schedules could answer in too many ways")
        wanted = set(self.fields)
        facts = []
        for rows in product(*reachable):
            fact = dict(plain)
            for answer, row in zip(self.schedules, rows):
                fact.update((key, value) for key, value in answer.fields_of(row).items() if key in wanted)
            facts.append(fact)
        return facts


def witness_rule(trees: RuleTrees, vocabulary: Vocabulary) -> WitnessRule:
    """A rule in the witness's words. Raises Declined."""
    saying = _Saying(vocabulary)
    applies = saying.shown(trees.applies, True)
    met = [saying.shown(test, True) for test in (trees.requires, *trees.exceptions)]
    if trees.met is not None:
        met.append(saying.shown(trees.met, True))
    if trees.breached is not None:
        met.append(saying.shown(trees.breached, False))
    breached = applies
    for test in (trees.requires, *trees.exceptions):
        breached = _both(breached, saying.shown(test, False))
    ways = {
        MET: _both(applies, _either(*met)), BREACHED: breached, NOT_APPLICABLE: saying.shown(trees.applies, False),
    }  # fmt: skip
    found = WitnessRule(trees.name, ways, saying.schedules)
    if found.size > MOST_WAYS:
        raise Declined(f"it has {found.size} ways to come out, and {MOST_WAYS} can be told at once")
    if len(found.fields) > MOST_FIELDS:
        raise Declined(f"it reads {len(found.fields)} fields, and {MOST_FIELDS} can be told at once")
    return found


# -- and, or --------------------------------------------------------------------------------------------------------------


def _either(*choices: Ways) -> Ways:
    """Any of some choices; a way that asks for more than another adds nothing."""
    ways = sorted({way for ways in choices for way in ways}, key=lambda way: (len(way), sorted(map(repr, way))))
    kept: Ways = []
    for way in ways:
        if not any(less <= way for less in kept):
            kept.append(way)
    return kept


def _both(first: Ways, second: Ways) -> Ways:
    if len(first) * len(second) > MOST_WAYS**2:
        raise Declined("it has too many ways to come out")
    return _either([one | other for one in first for other in second if not _contrary(one | other)])


def _contrary(way: Way) -> bool:
    """One field asked to be two numbers at once."""
    equal = [left for compare, left, _ in way if compare == "=="]
    return len(equal) > len(set(equal))


# -- the tests ------------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Saying:
    vocabulary: Vocabulary
    schedules: list["_Answer"] = field(default_factory=list)

    def shown(self, test: Test, holds: bool) -> Ways:
        """The ways to show that a test surely holds, or surely does not."""
        match test:
            case Always(answer):
                return [frozenset()] if answer == holds else []
            case AmountIn(slot, ranges):
                return [_inside(slot, *span) for span in (ranges if holds else outside(ranges))]
            case WordIn(slot, mask):
                # Surely a word inside is surely none outside, and the other way round.
                return [frozenset(("==", (slot, "word", bit), 0.0) for bit in self._bits(slot, mask, not holds))]
            case TogetherHas():
                return self._together(test, holds)
            case TwoFacts(slot, compare, other, amounts):
                compare = compare if holds else OPPOSITE[compare]
                return _two_amounts(slot, compare, other) if amounts else self._two_words(slot, compare, other)
            case ByRow():
                return self._by_row(test, holds)
            case IsStatedTest(slot):
                return [frozenset((("==", (slot, "stated"), 1.0),))] if holds else []
            case All(members) | Any(members):
                ways = [self.shown(member, holds) for member in members]
                if isinstance(test, All) != holds:
                    return _either(*ways)
                together = ways[0]
                for each in ways[1:]:
                    together = _both(together, each)
                return together
        raise Declined(f"it holds a test that cannot be told: {type(test).__name__}")

    def _bits(self, slot: int, mask: int, inside: bool) -> list[int]:
        """The words of a fact inside a mask, or outside it."""
        name = next(name for name, number in self.vocabulary.slots.items() if number == slot)
        words = self.vocabulary.fact(name).words
        return [bit for bit in range(len(words)) if bool(mask >> bit & 1) == inside]

    def _together(self, test: TogetherHas, holds: bool) -> Ways:
        has_none = test.compare == "has none of"
        positive = (holds != test.negated) != has_none
        bits, slot = self._bits(test.slot, test.mask, True), test.slot
        each = [("==", (slot, "surely", b), 1.0) if positive else ("==", (slot, "possibly", b), 0.0) for b in bits]
        every_one = positive != (has_none or test.compare == "has at least one of")
        return [frozenset(each)] if every_one else [frozenset((one,)) for one in each]

    def _two_words(self, slot: int, compare: str, other: int) -> Ways:
        match compare:
            case "is not" | "none of":
                bits = self._bits(slot, 0, False)
                return [frozenset(("<=", (slot, "word", b), (other, "not word", b)) for b in bits)]
            case "is" | "one of":
                compare = "is"
        return _two_ends((slot, "lowest"), (slot, "highest"), compare, (other, "lowest"), (other, "highest"))

    def _by_row(self, test: ByRow, holds: bool) -> Ways:
        answer = next((each for each in self.schedules if each.same(test, holds)), None)
        if answer is None:
            answer = _Answer(len(self.schedules), test, holds)
            self.schedules.append(answer)
        return answer.ways(self._bits(test.slot, 0, False))


def _inside(slot: int, least: int, greatest: int) -> Way:
    way = set()
    if least > NO_LEAST:
        way.add((">=", (slot, "least"), _whole(least)))
    if greatest < NO_GREATEST:
        way.add(("<=", (slot, "greatest"), _whole(greatest)))
    return frozenset(way)


def _two_amounts(slot: int, compare: str, other: int) -> Ways:
    return _two_ends((slot, "least"), (slot, "greatest"), compare, (other, "least"), (other, "greatest"))


def _two_ends(least: Key, greatest: Key, compare: str, other_least: Key, other_greatest: Key) -> Ways:
    above, below = (">", least, other_greatest), ("<", greatest, other_least)
    match compare:
        case "at least":
            return [frozenset(((">=", least, other_greatest),))]
        case "at most":
            return [frozenset((("<=", greatest, other_least),))]
        case "more than":
            return [frozenset((above,))]
        case "less than":
            return [frozenset((below,))]
        case "is":
            return [frozenset(((">=", least, other_greatest), ("<=", greatest, other_least)))]
        case "is not":
            return [frozenset((above,)), frozenset((below,))]
    raise Declined(f"it compares two facts by `{compare}`")


def _whole(steps: int) -> float:
    if abs(steps) >= NO_END:
        raise Declined("it has a limit too far out to be told exactly")
    return float(steps)


# -- schedules ------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Answer:
    """A comparison with a schedule: the answer of one row at a time is fed as fields of its own."""

    number: int
    test: ByRow
    holds: bool

    def same(self, test: ByRow, holds: bool) -> bool:
        """Whether a comparison elsewhere in the rule is this one again, so that one answer does for both."""
        own = self.test
        return holds == self.holds and (test.slot, test.schedule.name, test.tests) == (own.slot, own.schedule.name, own.tests)

    def rows(self, vector: list) -> tuple[int, ...]:
        """The rows that could answer; those that answer alike count as one."""
        alike: dict[object, int] = {}
        for row in self.test.schedule.rows_for(tuple(vector[key] for key in self.test.keys)):
            alike.setdefault(NO_ROW if row == NO_ROW else self.test.tests[row], row)
        return tuple(alike.values())

    def ways(self, every_bit: list[int]) -> Ways:
        match self.test.tests[0]:
            case AmountIn():
                return self._amount_ways()
            case WordIn(slot):
                return [frozenset(("<=", (slot, "word", b), self._field("word", b)) for b in every_bit)]
            case TogetherHas():
                return self._together_ways(every_bit)
        raise Declined("it is compared with a schedule in a way that cannot be told")

    def fields_of(self, row: int) -> dict[Key, float]:
        """The fields that one row's answer fills; none at all where no row answers."""
        if row == NO_ROW:
            return {}
        match self.test.tests[row]:
            case AmountIn() as test:
                return {
                    self._field(number, end): float(value)
                    for number, span in enumerate(self._spans(test))
                    for end, value in zip(("least", "greatest"), span)
                }
            case WordIn(_, mask):
                told = {True: 1.0, False: 0.0}
                return {self._field("word", b): told[bool(mask >> b & 1) == self.holds] for b in range(MOST_WORDS)}
            case TogetherHas(_, _, mask):
                asked = {self._field("asked", b): float(mask >> b & 1) for b in range(MOST_WORDS)}
                return asked | {self._field("not asked", b): float(not mask >> b & 1) for b in range(MOST_WORDS)}
        return {}

    def _field(self, *which: object) -> Key:
        return (f"answer {self.number}", *which)

    def _spans(self, test: AmountIn) -> Ranges:
        return test.ranges if self.holds else outside(test.ranges)

    def _amount_ways(self) -> Ways:
        shapes = {
            tuple((low > NO_LEAST, high < NO_GREATEST) for low, high in self._spans(test)) for test in self.test.tests
        }
        if len(shapes) > 1:
            raise Declined("the rows of its schedule answer in unlike ways")
        for test in self.test.tests:
            for low, high in self._spans(test):
                _inside(self.test.slot, low, high)  # declines what is too far out
        slot = self.test.slot
        ways = []
        for number, (has_least, has_greatest) in enumerate(shapes.pop()):
            way = [(">=", (slot, "least"), self._field(number, "least"))] if has_least else []
            way += [("<=", (slot, "greatest"), self._field(number, "greatest"))] if has_greatest else []
            ways.append(frozenset(way))
        return ways

    def _together_ways(self, every_bit: list[int]) -> Ways:
        first, slot = self.test.tests[0], self.test.slot
        has_none = first.compare == "has none of"
        positive = (self.holds != first.negated) != has_none
        if has_none or first.compare == "has at least one of":
            if positive:
                named = [b for b in every_bit if any(test.mask >> b & 1 for test in self.test.tests)]
                return [frozenset((("==", self._field("asked", b), 1.0), ("==", (slot, "surely", b), 1.0))) for b in named]
            return [frozenset(("<=", (slot, "possibly", b), self._field("not asked", b)) for b in every_bit)]
        if positive:
            return [frozenset(("<=", self._field("asked", b), (slot, "surely", b)) for b in every_bit)]
        return [frozenset((("==", self._field("asked", b), 1.0), ("==", (slot, "possibly", b), 0.0))) for b in every_bit]


# -- what is fed ----------------------------------------------------------------------------------------------------------


def _number(key: Key, vector: list) -> float:
    slot, part, *bit = key
    value = vector[slot]
    match part:
        case "least" | "greatest":
            return _end(value[part == "greatest"])
        case "word":
            return float(value >> bit[0] & 1)
        case "not word":
            return 1.0 - float(value >> bit[0] & 1)
        case "surely" | "possibly":
            return float(value[part == "possibly"] >> bit[0] & 1)
        case "lowest":
            return float((value & -value).bit_length())
        case "highest":
            return float(value.bit_length())
        case "stated":
            return float(vector[0] >> slot & 1)
    raise NotFed(f"there is no part `{part}` of a fact")


def _end(steps: int) -> float:
    if steps <= NO_LEAST:
        return -float(NO_END)
    if steps >= NO_GREATEST:
        return float(NO_END)
    if abs(steps) >= NO_END:
        raise NotFed("an amount is too far out to be told exactly")
    return float(steps)
