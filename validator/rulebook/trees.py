"""Takes a rule, returns its fused trees: where it applies, what it requires, the other ways to meet it."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from validator.facts.vocabulary import Vocabulary
from validator.rulebook.conditions import Comparison, Condition, Group, IsThere, facts_read, leaves
from validator.rulebook.fusing import All, Always, AmountIn, Any, ByRow, Fuser, Test, TwoFacts, WordIn, things_required, things_there
from validator.rulebook.rule import Rule

RULES_OUT = ("is not", "none of", "has none of")


class Guard(NamedTuple):
    """What is asked of a rule before its trees: where it is judged, and words without which it does not apply.

    Of each of `slots` one of the words in its mask must be possible; all of them stand in `RuleTrees.applies` too.
    """

    name: str
    severity: str
    sort: str  # place, junction or job
    things: tuple[str, ...]
    slots: tuple[int, ...]
    masks: tuple[int, ...]


class RuleTrees(NamedTuple):
    """The trees of one rule, and where it is judged.

    `met` joins the requirement and its other ways; `breached` is the whole breach as one tree, a branch for each thing
    required, made only where one fact stands in several parts. `things` are the kinds it is judged for each of; `parts` what is required, part by part, each
    with its schedules that have a remembered row; empty where there are none. `ways` are those to meet the requirement that are
    worth a word, each with the slots of what it compares: that what is wrong is not there earns none.
    """

    name: str
    severity: str
    sort: str  # place, junction or job
    things: tuple[str, ...]
    applies: Test
    requires: Test
    exceptions: tuple[Test, ...]
    met: Test | None
    breached: Test | None
    parts: tuple[tuple[Test, tuple[ByRow, ...]], ...]
    ways: tuple[tuple[Test, tuple[int, ...]], ...] = ()

    def every(self) -> tuple[Test, ...]:
        return (self.applies, self.requires, *self.exceptions)

    @property
    def guard(self) -> Guard:
        words = [test for test in (self.applies.members if isinstance(self.applies, All) else (self.applies,)) if isinstance(test, WordIn)]
        return Guard(self.name, self.severity, self.sort, self.things, tuple(test.slot for test in words), tuple(test.mask for test in words))


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


def bits_of(bits: int) -> list[int]:
    """The slots that stand as bits."""
    found = []
    while bits:
        low = bits & -bits
        found.append(low.bit_length() - 1)
        bits ^= low
    return found


def cuts_of(tests: Iterable[Test]) -> dict[int, tuple[int, ...]]:
    """For each amount, the last value of every stretch over which no answer changes."""
    cuts: dict[int, set[int]] = {}

    def gather(test: Test) -> None:
        for member in (*getattr(test, "members", ()), *getattr(test, "tests", ())):
            gather(member)
        if isinstance(test, AmountIn):
            cuts.setdefault(test.slot, set()).update(end for low, high in test.ranges for end in (low - 1, high))
        if isinstance(test, ByRow):
            for number, (key, slot) in enumerate(zip(test.schedule.keys, test.keys)):
                if key.is_amount:
                    cuts.setdefault(slot, set()).update(band[0][1] for band in test.schedule.bands_of(number))

    for test in tests:
        gather(test)
    return {slot: tuple(sorted(own)) for slot, own in cuts.items()}


def asked_first_of(every: Iterable[RuleTrees]) -> dict[str, tuple[int, ...]]:
    """By sort, the slots that tell which of its rules apply."""
    found: dict[str, int] = {}
    for trees in every:
        found[trees.sort] = found.get(trees.sort, 0) | slots_of(trees.applies)
    return {sort: tuple(bits_of(bits)) for sort, bits in found.items()}


def trees_of(rule: Rule, fuser: Fuser) -> RuleTrees:
    """Takes a rule, returns its trees, limited to where the things are on which every branch of it depends."""
    vocabulary = fuser.vocabulary
    needed = things_required(rule.requires, vocabulary) | things_there(rule.applies, vocabulary)
    presence = [IsThere(thing, True, rule.where) for thing in sorted(needed)]
    # Where the rule applies they are there, so nothing it says has to ask again.
    fuser = fuser._replace(given=needed)
    ways = [way.when for way in rule.other_ways]
    requires = fuser.fuse(rule.requires)
    breached = None
    if _share_a_fact(rule.applies, rule.requires, *ways, presence=presence):
        # One branch for each thing required, so that what it says of a fact meets what `applies when` says of it.
        required = rule.requires
        each = required.members if isinstance(required, Group) and required.how == "all of" else (required,)
        breached = Any(tuple(fuser.all_of(rule.applies, *presence, negated=(one, *ways)) for one in each))
    things = rule.things(vocabulary)
    if rule.for_each:
        things = [rule.for_each, *(thing for thing in things if thing != rule.for_each)]
    return RuleTrees(
        name=rule.name,
        severity=rule.severity,
        sort=sort_of(rule, vocabulary),
        things=tuple(things),
        applies=fuser.all_of(rule.applies, *presence),
        requires=requires,
        exceptions=tuple(fuser.fuse(way) for way in ways),
        met=fuser.any_of(rule.requires, *ways) if ways else None,
        breached=breached,
        parts=() if rule.own_authority else _parts(requires),
        ways=tuple(_ways(rule.requires, requires, fuser)),
    )


def ways_to_meet(required: Condition) -> tuple[Condition, ...]:
    """What a requirement leaves to choose from, or the requirement itself."""
    return required.members if isinstance(required, Group) and required.how == "any of" else (required,)


def _ways(required: Condition, requires: Test, fuser: Fuser) -> Iterator[tuple[Test, tuple[int, ...]]]:
    for way in ways_to_meet(required):
        compared = [leaf for leaf in leaves(way) if isinstance(leaf, Comparison)]
        if any(not _only_rules_out(leaf, fuser.vocabulary) for leaf in compared):
            slots = dict.fromkeys(fuser.vocabulary.slot(leaf.fact) for leaf in compared)
            yield (requires if way is required else fuser.fuse(way)), tuple(slots)


def _only_rules_out(leaf: Comparison, vocabulary: Vocabulary) -> bool:
    """Whether a comparison asks of several words only which it is not: whoever keeps mastic out of a shower has done nothing yet.

    A yes or a no was said for its own sake.
    """
    return leaf.compare in RULES_OUT and vocabulary.fact(leaf.fact).kind != "yes or no" and not vocabulary.fact(leaf.fact).is_amount


def sort_of(rule: Rule, vocabulary: Vocabulary) -> str:
    """Where a rule is judged: at junctions if it names one, at places if it names any part of one, else once for the job."""
    sorts = {vocabulary.things[vocabulary.fact(name).thing].sort for name in rule.facts()}
    if sorts & {"junction", "seal"}:
        return "junction"
    return "place" if sorts & {"place", "part", "layer", "framing"} else "job"


def _share_a_fact(*conditions: Condition, presence: list[IsThere]) -> bool:
    seen: set[str] = {leaf.thing for leaf in presence}
    for number, condition in enumerate(conditions):
        names = set(facts_read(condition))
        if names & seen or (number == 0 and len(list(leaves(condition))) > len(names)):
            return True
        seen |= names
    return False


def _parts(requires: Test) -> tuple[tuple[Test, tuple[ByRow, ...]], ...]:
    members = requires.members if isinstance(requires, All) else (requires,)
    parts = tuple((member, tuple(_weak_rows(member))) for member in members)
    return parts if any(rows for _, rows in parts) else ()


def _weak_rows(test: Test) -> list[ByRow]:
    """Schedules some of whose rows are only remembered, so that a breach of them may only warn."""
    if isinstance(test, ByRow):
        return [test] if any(not row.firm for row in test.schedule.rows) else []
    return [row for member in getattr(test, "members", ()) for row in _weak_rows(member)]
