"""Takes the author's tree of a condition, returns its normal form, the fused tree, which every engine reads.

Negations are pushed down to the comparisons, groups of the same kind are flattened, and inside one group all
comparisons of one fact with constants become one test: membership in a set. Without this, `at most 4` or `at least 5`
over something from 3 to 6 would stay open although one of them must hold.

A comparison on a fact of a thing means: the thing is there, and ... Turned round it means: not there, or not ...
"""

from collections.abc import Mapping
from typing import NamedTuple

from validator.facts.vocabulary import NONE, THERE, Fact, Vocabulary
from validator.rulebook import sets
from validator.rulebook.conditions import (
    Comparison,
    Condition,
    Constant,
    FromLimit,
    FromSchedule,
    Group,
    IsStated,
    IsThere,
    OtherFact,
    leaves,
)
from validator.rulebook.schedules import Limit, Schedule


def apart(kind: type) -> type:
    """Tests of two kinds are never the same, even where they hold the same."""
    kind.__eq__ = lambda self, other: type(self) is type(other) and tuple.__eq__(self, other)
    kind.__ne__ = lambda self, other: type(self) is not type(other) or tuple.__ne__(self, other)
    kind.__hash__ = tuple.__hash__
    return kind


@apart
class Always(NamedTuple):
    """Holds, or does not, whatever the place is like."""

    holds: bool


@apart
class AmountIn(NamedTuple):
    """An amount lies in one of some ranges."""

    slot: int
    ranges: sets.Ranges


@apart
class WordIn(NamedTuple):
    """A word is one of a mask."""

    slot: int
    mask: int


@apart
class TogetherHas(NamedTuple):
    """Words together compared with a mask; `negated` turns the answer round."""

    slot: int
    compare: str
    mask: int
    negated: bool


@apart
class TwoFacts(NamedTuple):
    """One fact compared with another of its kind; `amounts` says whether they are amounts or words."""

    slot: int
    compare: str
    other: int
    amounts: bool


@apart
class ByRow(NamedTuple):
    """A fact compared with the answer of a schedule: one test for each row."""

    slot: int
    schedule: Schedule
    keys: tuple[int, ...]
    tests: tuple["AmountIn | WordIn | TogetherHas", ...]
    column: int


@apart
class IsStatedTest(NamedTuple):
    """Somebody stated the fact; never surely not."""

    slot: int


@apart
class All(NamedTuple):
    members: tuple["Test", ...]


@apart
class Any(NamedTuple):
    members: tuple["Test", ...]


@apart
class _OfThing(NamedTuple):
    """While fusing: a test on a fact of a thing that may be absent. Positive: there, and; negative: not there, or."""

    thing: str
    test: "Test"
    positive: bool


Test = Always | AmountIn | WordIn | TogetherHas | TwoFacts | ByRow | IsStatedTest | All | Any
YES, NO = Always(True), Always(False)


class Fuser(NamedTuple):
    """Makes fused trees from authors' trees, over one vocabulary with its limits and schedules.

    `given`: things that are there wherever the tree is read, so that their facts stand alone.
    """

    vocabulary: Vocabulary
    limits: Mapping[str, Limit]
    schedules: Mapping[str, Schedule]
    given: frozenset[str] = frozenset()

    def fuse(self, condition: Condition) -> Test:
        """The tree that holds exactly when the author's does."""
        return self._settled(self._built(condition, negate=False))

    def all_of(self, *conditions: Condition, negated: tuple[Condition, ...] = ()) -> Test:
        """One fused tree for several conditions, some of them turned round."""
        built = [self._built(c, negate=False) for c in conditions]
        built += [self._built(c, negate=True) for c in negated]
        return self._settled(self._combined(All, built))

    def any_of(self, *conditions: Condition) -> Test:
        return self._settled(self._combined(Any, [self._built(c, negate=False) for c in conditions]))

    def there(self, thing: str) -> WordIn:
        return WordIn(self.vocabulary.slot(thing), THERE)

    # -- building, negations pushed down -----------------------------------------------------------------------------

    def _built(self, condition: Condition, negate: bool) -> Test | _OfThing:
        match condition:
            case Group("not both", members):
                return self._built(Group("all of", members), not negate)
            case Group(how, members):
                kind = All if (how == "all of") != negate else Any
                return self._combined(kind, [self._built(m, negate) for m in members])
            case IsThere(thing, there):
                return WordIn(self.vocabulary.slot(thing), THERE if there != negate else NONE)
            case IsStated(fact):
                return self._of_thing(fact, IsStatedTest(self.vocabulary.slot(fact)), negate)
            case Comparison(fact):
                return self._of_thing(fact, self._compared(condition, negate), negate)

    def _of_thing(self, fact: str, test: Test, negate: bool) -> Test | _OfThing:
        thing = self.vocabulary.things[self.vocabulary.fact(fact).thing]
        return test if thing.always or thing.name in self.given else _OfThing(thing.name, test, not negate)

    def _compared(self, comparison: Comparison, negate: bool) -> Test:
        fact = self.vocabulary.fact(comparison.fact)
        slot = self.vocabulary.slot(comparison.fact)
        compare = comparison.compare
        match comparison.against:
            case Constant(value):
                return self._constant(fact, slot, compare, value, negate)
            case FromLimit(name):
                limit = self.limits[name]
                if limit.by is not None:
                    return self._by_row(fact, slot, compare, limit.by, 0, negate)
                return self._constant(fact, slot, compare, (limit.least, limit.greatest), negate)
            case FromSchedule(name, column):
                schedule = self.schedules[name]
                return self._by_row(fact, slot, compare, schedule, schedule.columns.index(column), negate)
            case OtherFact(name):
                compare = sets.OPPOSITE[compare] if negate else compare
                return TwoFacts(slot, compare, self.vocabulary.slot(name), fact.is_amount)

    def _constant(
        self, fact: Fact, slot: int, compare: str, value: object, negate: bool
    ) -> AmountIn | WordIn | TogetherHas:
        if fact.is_together:
            return TogetherHas(slot, compare, value, negate)
        compare = sets.OPPOSITE[compare] if negate else compare
        if fact.is_amount:
            return AmountIn(slot, sets.ranges_for(compare, *value))
        return WordIn(slot, sets.mask_for(fact, compare, value))

    def _by_row(
        self, fact: Fact, slot: int, compare: str, schedule: Schedule, column: int, negate: bool
    ) -> ByRow:
        tests = tuple(self._constant(fact, slot, compare, row.answers[column], negate) for row in schedule.rows)
        keys = tuple(self.vocabulary.slot(key.name) for key in schedule.keys)
        return ByRow(slot, schedule, keys, tests, column)

    # -- combining: flatten, and make one test of several on one fact -------------------------------------------------

    def _combined(self, kind: type, members: list) -> Test | _OfThing:
        flat: list = []
        for member in members:
            flat += member.members if isinstance(member, kind) else (member,)
        flat = self._merged(kind, flat)
        decides = NO if kind is All else YES
        if decides in flat:
            return decides
        flat = [member for member in flat if not isinstance(member, Always)]
        if not flat:
            return YES if kind is All else NO
        return flat[0] if len(flat) == 1 else kind(tuple(flat))

    def _merged(self, kind: type, members: list) -> list:
        merged: dict[object, object] = {}
        for member in members:
            key = _sameness(member)
            merged[key] = _one_test(kind, merged[key], member) if key in merged else member
        return [_folded(member) for member in merged.values()]

    # -- settling: the things put in ----------------------------------------------------------------------------------

    def _settled(self, node: Test | _OfThing) -> Test:
        match node:
            case All(members) | Any(members):
                return self._with_things(type(node), members)
            case _OfThing():
                return self._with_things(All, (node,))
        return node

    def _with_things(self, kind: type, members: tuple) -> Test:
        """Tests of one thing share one presence test: `there, and any of ...` rather than any of `there, and ...`."""
        plain: list[Test] = []
        grouped: dict[tuple[str, bool], list[Test]] = {}
        for member in members:
            if isinstance(member, _OfThing):
                grouped.setdefault((member.thing, member.positive), []).append(member.test)
            else:
                plain.append(self._settled(member))
        for (thing, positive), tests in grouped.items():
            together = self._combined(kind, tests)
            presence = self.there(thing) if positive else WordIn(self.vocabulary.slot(thing), NONE)
            plain.append(self._combined(All if positive else Any, [presence, together]))
        return self._combined(kind, plain)


def _sameness(member: object) -> object:
    """What two tests must share to become one."""
    inner, outer = (member.test, (member.thing, member.positive)) if isinstance(member, _OfThing) else (member, None)
    if isinstance(inner, (AmountIn, WordIn)):
        return (type(inner), inner.slot, outer)
    # The same comparison written twice is one; a schedule is known by its tests and column.
    return (inner.slot, inner.schedule.name, inner.tests, outer) if isinstance(inner, ByRow) else (inner, outer)


def _one_test(kind: type, first: object, second: object) -> object:
    if isinstance(first, _OfThing):
        return _OfThing(first.thing, _one_test(kind, first.test, second.test), first.positive)
    if isinstance(first, AmountIn):
        join = sets.in_both if kind is All else sets.in_either
        return AmountIn(first.slot, join(first.ranges, second.ranges))
    if isinstance(first, WordIn):
        return WordIn(first.slot, first.mask & second.mask if kind is All else first.mask | second.mask)
    return first


def _folded(member: object) -> object:
    """A test that nothing, or everything, meets is no test."""
    match member:
        case AmountIn(_, ()) | WordIn(_, 0):
            return NO
        case AmountIn(_, sets.EVERYTHING):
            return YES
        case _OfThing(_, test, positive) if _folded(test) is (NO if positive else YES):
            return NO if positive else YES
    return member


def things_required(condition: Condition, vocabulary: Vocabulary) -> frozenset[str]:
    """The things on which every branch depends, and which therefore limit a rule to places where they are.

    A thing that is itself required to be there limits nothing: its absence is what the rule is about.
    """
    match condition:
        case Group("all of", members):
            asked = {member.thing for member in members if isinstance(member, IsThere) and member.there}
            return frozenset().union(*(things_required(m, vocabulary) for m in members)) - asked
        case Group("any of", members):
            return frozenset.intersection(*(things_required(m, vocabulary) for m in members))
        case Comparison(fact) | IsStated(fact):
            thing = vocabulary.things[vocabulary.fact(fact).thing]
            return frozenset() if thing.always else frozenset((thing.name,))
    return frozenset()


def things_there(condition: Condition, vocabulary: Vocabulary) -> frozenset[str]:
    """The things that are there wherever a condition holds, said outright or by a fact of theirs."""
    match condition:
        case Group("all of", members):
            return frozenset().union(*(things_there(member, vocabulary) for member in members))
        case Group("any of", members):
            return frozenset.intersection(*(things_there(member, vocabulary) for member in members))
        case IsThere(thing, True):
            return frozenset((thing,))
        case Comparison():
            return things_required(condition, vocabulary)
    return frozenset()


def things_named(condition: Condition, vocabulary: Vocabulary) -> list[str]:
    """Every thing whose facts a condition names, in the author's order; those that are always there are left out."""
    names: dict[str, None] = {}
    for leaf in leaves(condition):
        if isinstance(leaf, IsThere):
            continue
        others = (leaf.against.name,) if isinstance(leaf, Comparison) and isinstance(leaf.against, OtherFact) else ()
        for fact in (leaf.fact, *others):
            thing = vocabulary.things[vocabulary.fact(fact).thing]
            if not thing.always:
                names[thing.name] = None
    return list(names)
