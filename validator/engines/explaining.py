"""Takes a rule and the vector it was judged on, returns why: what was found, needed and followed, and what is still to ask.

Read back from the author's tree over the vector that was judged; nothing here decides.
"""

from dataclasses import dataclass, field

from validator.engines.closures import NOT, SURELY, Closure, closure_of
from validator.engines.deriving import DerivedPlace, Vector, WorkedFact
from validator.facts import possible
from validator.facts.possible import CARD, CONCLUDED, NOT_STATED, STATED, WORKED_OUT, Known
from validator.facts.subjects import Layer
from validator.facts.vocabulary import MAYBE, NONE, Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import english, requirement
from validator.rulebook.book import Book
from validator.rulebook.conditions import (
    Comparison,
    Condition,
    FromLimit,
    FromSchedule,
    Group,
    IsStated,
    IsThere,
    OtherFact,
    facts_read,
    leaves,
)
from validator.rulebook.dependencies import reads_of
from validator.rulebook.derived import DerivedFact
from validator.rulebook.formulas import facts_of
from validator.rulebook.rule import Consequence, Rule
from validator.rulebook.schedules import NO_ROW, Schedule
from validator.rulebook.sources import Cited

Leaf = Comparison | IsThere | IsStated


@dataclass(slots=True, eq=False, repr=False)
class Explanation:
    """What a paper says of one judgement, in words."""

    found: str = ""
    needed: str = ""
    chain: list[str] = field(default_factory=list)
    worked_out: list[str] = field(default_factory=list)
    facts: list[tuple[str, str, str, str]] = field(default_factory=list)
    asks: list[str] = field(default_factory=list)
    cited: list[Cited] = field(default_factory=list)
    assumed: list[str] = field(default_factory=list)


class Explainer:
    """Explains judgements of one book."""

    def __init__(self, book: Book) -> None:
        self.book = book
        self.derived = {each.fact.name: each for each in book.order}
        self.vocabulary = book.vocabulary
        self._closures: dict[int, tuple[Leaf, Closure]] = {}

    def explain(self, rule: Rule, vector: Vector, place: DerivedPlace) -> Explanation:
        """Takes a rule and the vector it was judged on, returns why it came out so."""
        explanation = Explanation()
        explanation.found, explanation.needed = self.found_and_needed(rule, vector, place)
        read: dict[str, None] = {}
        for condition in rule.conditions():
            for leaf in leaves(condition):
                read.update(dict.fromkeys(self._facts_of_leaf(leaf)))
        for name in read:
            self._say_fact(name, vector, place, explanation)
            self._follow(name, vector, place, explanation, set())
        explanation.asks = self.asks(rule.conditions(), vector, place)
        explanation.cited += self._row_sources(rule.requires, vector)
        return explanation

    # -- found and needed -------------------------------------------------------------------------------------------------

    def found_and_needed(self, rule: Rule, vector: Vector, place: DerivedPlace) -> tuple[str, str]:
        """What was found of the comparisons that decide a requirement, and what they need."""
        deciding = [leaf for leaf in self._unmet(rule.requires, vector)] or list(leaves(rule.requires))
        said: dict[str, str] = {}
        for leaf in deciding:
            for name in self._facts_of_leaf(leaf, keys=False):
                said[name] = self.value_in_words(name, vector, place)
        told = "; ".join(f"{english.name_of(self.vocabulary, name)} {value}" for name, value in said.items())
        needed = rule.requires
        if isinstance(needed, Group) and needed.how == "all of" and len(deciding) < len(needed.members):
            needed = Group("all of", tuple(deciding)) if len(deciding) > 1 else deciding[0]
        needed = self._as_it_is(needed, vector, place)
        return told, requirement.in_words(needed, self.book, lambda name: vector[self.vocabulary.slot(name)], lambda name: self._unit(name, place))

    def _as_it_is(self, condition: Condition, vector: Vector, place: DerivedPlace, *, a_way: bool = False) -> Condition:
        """What a requirement comes to here: of ways told apart by what the place or the tile is, those that are open to it.

        Left out is a way that is for another case, where the case that holds has a way of its own; then a way that asks for another
        word than the one stated, where a way that asks for none is left. What is met of a way that is left is not said again.
        """
        if not isinstance(condition, Group) or condition.how not in ("any of", "all of"):
            return condition
        members = list(condition.members)
        if condition.how == "any of":
            members = self._open_ways(members, vector, place)
        elif a_way:
            members = [each for each in members if self.holds(each, vector) != SURELY] or members
        left = tuple(self._as_it_is(each, vector, place, a_way=condition.how == "any of") for each in members)
        return left[0] if len(left) == 1 else Group(condition.how, left)

    def _open_ways(self, ways: list[Condition], vector: Vector, place: DerivedPlace) -> list[Condition]:
        words = [{leaf.fact: self.holds(leaf, vector) for leaf in _together(way) if self._is_a_word(leaf)} for way in ways]
        held = {fact for said in words for fact, holds in said.items() if holds == SURELY}
        against = [{fact for fact, holds in said.items() if holds == NOT} for said in words]
        of_the_case = [(way, facts) for way, facts in zip(ways, against) if not facts & held] or list(zip(ways, against))
        if all(facts for _, facts in of_the_case):
            return [way for way, _ in of_the_case]
        return [way for way, facts in of_the_case if not any(self._is_stated(fact, place) for fact in facts)]

    def _is_stated(self, fact: str, place: DerivedPlace) -> bool:
        known = self._known(fact, place)
        return known is not None and known.origin in (STATED, CARD)

    def _is_a_word(self, leaf: Leaf) -> bool:
        return isinstance(leaf, Comparison) and self.vocabulary.fact(leaf.fact).is_word

    def _unit(self, name: str, place: DerivedPlace) -> str:
        known = self._known(name, place)
        return known.unit if known is not None else ""

    def _unmet(self, condition: Condition, vector: Vector) -> list[Leaf]:
        """The comparisons of a requirement that are not surely met."""
        if isinstance(condition, Group) and condition.how == "all of":
            return [leaf for member in condition.members for leaf in self._unmet(member, vector)]
        if isinstance(condition, Group):
            return [] if self.holds(condition, vector) == SURELY else list(leaves(condition))
        return [] if self.holds(condition, vector) == SURELY else [condition]

    def holds(self, condition: Condition, vector: Vector) -> int:
        """Whether a part of the author's tree holds, as the engines see it."""
        known = self._closures.get(id(condition))
        if known is None:
            known = (condition, closure_of(self.book.fuser.fuse(condition)))
            self._closures[id(condition)] = known
        return known[1](vector)

    def value_in_words(self, name: str, vector: Vector, place: DerivedPlace) -> str:
        """What is known of a fact, in the author's own unit."""
        fact = self.vocabulary.fact(name)
        known = self._known(name, place)
        value = vector[self.vocabulary.slot(name)]
        if fact.kind == "presence":
            return {NONE: "none", MAYBE: "not known to be there"}.get(value, "there")
        if not fact.is_amount and not fact.is_word and not fact.is_together:
            return known.text if known else NOT_STATED
        if fact.is_amount and value[1] < NO_GREATEST and self._leans_on_the_unknown(name, vector, place):
            value = value[0], NO_GREATEST  # how far it may go is nothing that anybody measured
        return possible.in_words(fact, value, known.unit if known else "")

    def _leans_on_the_unknown(self, name: str, vector: Vector, place: DerivedPlace) -> bool:
        """Whether a formula adds up something of which nothing at all is known."""
        how, derived = place.provenance.get(name), self.derived.get(name)
        if how is None or how.formula is None or derived is None or not derived.formula:
            return False
        slots = self.vocabulary.slots
        read = [(self.vocabulary.fact(each), vector[slots[each]]) for each in facts_of(derived.formula) if each in slots]
        return any(fact.is_amount and possible.is_anything(fact, value) for fact, value in read)

    def _known(self, name: str, place: DerivedPlace) -> Known | None:
        return place.known.get(name)

    def facts_of_leaf(self, leaf: Leaf) -> list[str]:
        """The facts that a comparison is about, without the keys of its schedule or limit."""
        return self._facts_of_leaf(leaf, keys=False)

    def _facts_of_leaf(self, leaf: Leaf, keys: bool = True) -> list[str]:
        if isinstance(leaf, IsThere):
            return [leaf.thing]
        names = [leaf.fact]
        if isinstance(leaf, Comparison):
            match leaf.against:
                case OtherFact(name):
                    names.append(name)
                case FromSchedule(name) if keys:
                    names += [key.name for key in self.book.schedules[name].keys]
                case FromLimit(name) if keys and self.book.limits[name].by:
                    names += [key.name for key in self.book.limits[name].by.keys]
        return names

    def _row_sources(self, condition: Condition, vector: Vector) -> list[Cited]:
        """The sources of the limits and the schedule rows that a requirement leant on."""
        cited: list[Cited] = []
        for leaf in leaves(condition):
            if not isinstance(leaf, Comparison):
                continue
            match leaf.against:
                case FromLimit(name) if self.book.limits[name].by is None:
                    cited += self.book.limits[name].cited
                case FromLimit(name):
                    cited += self._cited_by_rows(self.book.limits[name].by, vector)
                case FromSchedule(name):
                    cited += self._cited_by_rows(self.book.schedules[name], vector)
        return cited

    def _cited_by_rows(self, schedule: Schedule, vector: Vector) -> list[Cited]:
        keys = tuple(vector[self.vocabulary.slot(key.name)] for key in schedule.keys)
        return [each for row in schedule.rows_for(keys) if row != NO_ROW for each in schedule.rows[row].cited]

    # -- facts, and what they follow from -----------------------------------------------------------------------------------

    def _say_fact(self, name: str, vector: Vector, place: DerivedPlace, explanation: Explanation) -> None:
        known = self._known(name, place)
        how = place.provenance.get(name)
        origin = how.origin if how else known.origin if known else NOT_STATED
        where = f"line {known.where.line}" if known and known.where and origin not in (CONCLUDED, WORKED_OUT) else ""
        fact = self.vocabulary.fact(name)
        if fact.kind == "presence" and vector[self.vocabulary.slot(name)] == MAYBE:
            origin = NOT_STATED
        explanation.facts.append((name, self.value_in_words(name, vector, place), origin, where))

    def shown_by(self, name: str, vector: Vector, place: DerivedPlace, layer: Layer | None = None) -> tuple[str, ...]:
        """What is offered to show a fact; of one that follows from others, what is offered for those."""
        return tuple(self._offered(name, vector, place, layer, set()))

    def _offered(
        self, name: str, vector: Vector, place: DerivedPlace, layer: Layer | None, seen: set[str]
    ) -> dict[str, None]:
        offered = dict.fromkeys(place.subject.shown_by(name, layer))
        how = place.provenance.get(name)
        if how is None or name in seen:
            return offered
        seen.add(name)
        consequences = map(self.book.consequences.__getitem__, how.consequences)
        held = [each for each in consequences if self.holds(each.when, vector) != NOT]
        behind = dict.fromkeys(fact for each in held for fact in facts_read(each.when))
        if how.worked is not None or how.formula is not None:
            behind |= dict.fromkeys(inputs_of(self.book, self.derived[name]))
        for fact in behind:
            offered |= self._offered(fact, vector, place, layer, seen)
        return offered

    def _follow(self, name: str, vector: Vector, place: DerivedPlace, explanation: Explanation, seen: set[str]) -> None:
        how = place.provenance.get(name)
        if how is None or name in seen:
            return
        seen.add(name)
        value = self.value_in_words(name, vector, place)
        consequences = map(self.book.consequences.__getitem__, how.consequences)
        held = [(self.holds(each.when, vector), each) for each in consequences]
        sure = [each for answer, each in held if answer == SURELY]
        for consequence in sure[:1] or [each for answer, each in held if answer != NOT]:
            self._say_followed(name, consequence, bool(sure), vector, place, explanation)
            for fact in facts_read(consequence.when):
                self._follow(fact, vector, place, explanation, seen)
        if how.worked is not None:
            self._say_worked(name, value, how.worked, explanation)
        elif how.formula is not None:
            explanation.worked_out.append(f"{english.name_of(self.vocabulary, name)} {value}: {how.formula()}")

    def _say_followed(
        self, name: str, consequence: Consequence, sure: bool, vector: Vector, place: DerivedPlace, explanation: Explanation
    ) -> None:
        """One link of the chain: what was concluded, or may be, from which facts, and why."""
        given = next(text for fact, _, text in consequence.gives if fact == name)
        since = ", ".join(
            f"{english.name_of(self.vocabulary, fact)} {self.value_in_words(fact, vector, place)}"
            for fact in facts_read(consequence.when)
            if not possible.is_anything(self.vocabulary.fact(fact), vector[self.vocabulary.slot(fact)])
        )
        subject = english.name_of(self.vocabulary, name)
        given = given if sure else f"perhaps {given}"
        line = f"{subject} {given}, since {since or 'nothing written speaks against it'}: {consequence.because}"
        if line not in explanation.chain:
            explanation.chain.append(line)

    def _say_worked(self, name: str, value: str, worked: object, explanation: Explanation) -> None:
        subject = english.name_of(self.vocabulary, name)
        if worked.why_not:
            explanation.worked_out.append(f"{subject} not worked out: {worked.why_not}")
            return
        ends = [end for end in (worked.at_least, worked.at_greatest) if end is not None]
        lines = list(dict.fromkeys(end.line for end in ends))
        told = "; or ".join(lines)
        already = len(lines) == 1 and told.startswith(value.partition(" (")[0])
        explanation.worked_out.append(f"{subject} {told}" if already else f"{subject} {value}: {told}")
        for end in ends[: len(lines)]:
            explanation.worked_out += [f"  {step}" for step in end.steps if f"  {step}" not in explanation.worked_out]
        explanation.assumed += worked.assumed

    # -- what is still to ask -----------------------------------------------------------------------------------------------

    def asks(self, conditions: tuple[Condition, ...], vector: Vector, place: DerivedPlace) -> list[str]:
        """The facts whose statement could still settle these conditions, in the author's order."""
        asked: dict[str, None] = {}
        self._ask_conditions(conditions, vector, place, asked, set())
        return list(asked)

    def _ask_conditions(
        self, conditions: tuple[Condition, ...], vector: Vector, place: DerivedPlace, asked: dict[str, None],
        seen: set[str],
    ) -> None:  # fmt: skip
        for condition in conditions:
            for leaf in self.open_leaves(condition, vector):
                for name in self._asked_of_leaf(leaf, vector):
                    thing = self.vocabulary.fact(name).thing
                    if thing in self.vocabulary.slots and vector[self.vocabulary.slot(thing)] == MAYBE:
                        asked[thing] = None  # whether it is there comes before what it is like
                    else:
                        self._ask(name, vector, place, asked, seen)

    def _asked_of_leaf(self, leaf: Leaf, vector: Vector) -> list[str]:
        """The facts of a comparison, without those keys of a schedule on which every row it could be agrees."""
        if not isinstance(leaf, Comparison) or not isinstance(leaf.against, FromSchedule):
            return self._facts_of_leaf(leaf)
        schedule = self.book.schedules[leaf.against.name]
        possible_rows = schedule.rows_for(tuple(vector[self.vocabulary.slot(key.name)] for key in schedule.keys))
        if NO_ROW in possible_rows or len(possible_rows) > 1 and schedule.all_other in possible_rows:
            return self._facts_of_leaf(leaf)
        cells = zip(*(schedule.rows[row].cells for row in possible_rows))
        return [leaf.fact, *(key.name for key, of_rows in zip(schedule.keys, cells) if len(set(of_rows)) > 1)]

    def open_leaves(self, condition: Condition, vector: Vector) -> list[Leaf]:
        answer = self.holds(condition, vector)
        if answer in (SURELY, NOT):
            return []
        if isinstance(condition, Group):
            return [leaf for member in condition.members for leaf in self.open_leaves(member, vector)]
        return [condition]

    def _ask(
        self, name: str, vector: Vector, place: DerivedPlace, asked: dict[str, None], seen: set[str]
    ) -> None:
        fact = self.vocabulary.fact(name)
        if name in seen or possible.is_settled(fact, vector[self.vocabulary.slot(name)]):
            return
        seen.add(name)
        derived, how = self.derived.get(name), place.provenance.get(name)
        if fact.thing in self.vocabulary.slots and vector[self.vocabulary.slot(fact.thing)] == MAYBE:
            asked[fact.thing] = None
            return
        if how is not None and how.worked is not None and how.worked.narrows and _narrows_more(fact, how.worked):
            inner: list[str] = list(how.worked.narrows)
        elif derived is not None and derived.formula and _is_half_known(fact, vector[self.vocabulary.slot(name)]):
            # What is left open of a sum is what goes into it; where nothing of that can be asked, the sum itself is.
            left: dict[str, None] = {}
            for each in facts_of(derived.formula):
                self._ask(each, vector, place, left, seen)
            asked |= left or {name: None}
            return
        elif derived is None or fact.stated and not fact.aggregate and (fact.ask or not (derived.formula or fact.concluded)):
            asked[name] = None
            return
        elif fact.aggregate:
            inner = [fact.aggregate[1]]
        elif derived.formula:
            inner = facts_of(derived.formula)
        else:
            whens = tuple(self.book.consequences[name].when for name in derived.consequences)
            self._ask_conditions(whens, vector, place, asked, seen)
            return
        for each in inner:
            self._ask(each, vector, place, asked, seen)


def inputs_of(book: Book, derived: DerivedFact) -> list[str]:
    """The facts that a working or a formula reads."""
    return list(derived.inputs) if derived.working else sorted(reads_of(book, derived._replace(contributions=(), things=())))


def _is_half_known(fact: Fact, value: object) -> bool:
    """Whether both ends of an amount are known, if not which."""
    return fact.is_amount and NO_LEAST < value[0] and value[1] < NO_GREATEST and value != fact.anything


def _narrows_more(fact: Fact, worked: WorkedFact) -> bool:
    """Whether to ask what a sum still lacks: when it is half done, asks so, or nobody could be asked for its result."""
    return worked.inputs_first or not fact.ask or (worked.least, worked.greatest) != (NO_LEAST, NO_GREATEST)


def _together(way: Condition) -> list[Leaf]:
    """The comparisons that must all hold for a way to be met."""
    if isinstance(way, Group):
        return [leaf for member in way.members for leaf in _together(member)] if way.how == "all of" else []
    return [way]
