"""Takes a place with what is known of it, returns all that follows: over layers, by formulas, workings and consequences.

A place becomes a vector with one slot for each fact. Where a kind has several layers, each layer has a vector of its
own, and the place's vector holds what any of them could be.
"""

from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, field
from functools import partial
from typing import NamedTuple, Protocol

from validator.engines.closures import NOT, POSSIBLY, SURELY, Closure, closure_of
from validator.facts import possible
from validator.facts.possible import CARD, CONCLUDED, STATED, WORKED_OUT, Known
from validator.facts.subjects import Disagreement, Layer, Subject, any_one_of, presence_of
from validator.facts.vocabulary import NONE, THERE, Fact, Vocabulary
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import formulas
from validator.rulebook.book import Book
from validator.rulebook.derived import Contribution, DerivedFact

Vector = list


class WorkedFact(Protocol):
    """What a working came to: its ends in steps, its steps in words, and which facts would narrow it."""

    least: int
    greatest: int
    narrows: tuple[str, ...]
    assumed: tuple[str, ...]
    why_not: str
    firm: bool
    inputs_first: bool
    cannot_be: bool


Work = Callable[[str, Mapping[str, object]], WorkedFact]


class Provenance(NamedTuple):
    """How one fact of a place came about, for whoever explains it."""

    origin: str
    consequences: tuple[str, ...] = ()
    worked: WorkedFact | None = None
    formula: Callable[[], str] | None = None  # in words, made when somebody asks


@dataclass(slots=True, eq=False, repr=False)
class DerivedPlace:
    """What derivation returns for one place: possible values by slot (`vector`), the same for each layer where a kind has several,
    and how each fact came about.
    """

    subject: Subject
    vector: Vector
    layers: dict[str, list[tuple[Layer, Vector]]] = field(default_factory=dict)
    provenance: dict[str, Provenance] = field(default_factory=dict)
    known: dict[str, Known] = field(default_factory=dict)
    disagreements: list[Disagreement] = field(default_factory=list)

    def vectors(self) -> list[Vector]:
        return [self.vector, *(vector for pairs in self.layers.values() for _, vector in pairs)]


class Deriver:
    """Derives, for places of one book: what its rules lean on, or everything that can be worked out."""

    def __init__(self, book: Book, work: Work, *, everything: bool = False) -> None:
        self.vocabulary: Vocabulary = book.vocabulary
        self.consequences = book.consequences
        self.work = work
        self.order = [each for each in book.order if everything or each.fact.name in book.needed]
        self.by_name = {each.fact.name: each for each in self.order}
        fewer = {} if everything else book.needed_at
        self.order_at = {sort: [each for each in self.order if each.fact.name in names] for sort, names in fewer.items()}
        self.contributions = {each.fact.name: tuple((g, closure_of(g.when)) for g in each.contributions) for each in self.order}
        self.sums = {each.fact.name: formulas.compiled(each.formula, each.fact.thing) for each in self.order if each.formula}
        # A fact named later, by somebody's slip, gets no slot in a vector. What nobody states could be anything.
        self.slots = dict(self.vocabulary.slots)
        self.blank: Vector = [0] * (len(self.slots) + 1)
        self.own_slots: dict[str, list[tuple[int, object]]] = {}
        for name, slot in self.slots.items():
            fact = self.vocabulary.fact(name)
            self.blank[slot] = fact.anything
            if fact.kind != "presence":
                self.own_slots.setdefault(fact.thing, []).append((slot, fact.anything))

    # -- vectors --------------------------------------------------------------------------------------------------------

    def derive(self, subject: Subject, only: Container[str] | None = None) -> DerivedPlace:
        """Everything that follows from what is known of one place; `only` some facts, if nothing else is needed."""
        return self.followed(self.started(subject), only)

    def followed(self, place: DerivedPlace, only: Container[str] | None = None) -> DerivedPlace:
        """The place with everything derived of it, or `only` some facts, in their order."""
        for derived in self.order_at.get(place.subject.sort, self.order):
            if only is None or derived.fact.name in only:
                self._derive(derived, place)
        return place

    def started(self, subject: Subject) -> DerivedPlace:
        """A place with what is known of it written down, and nothing derived yet."""
        vector, known = self.blank[:], self.known_at(subject)
        self._write(vector, known)
        place = DerivedPlace(subject, vector, {}, {}, known, list(subject.disagreements))
        for thing in subject.several():
            place.layers[thing] = [(layer, self._layer_vector(vector, layer)) for layer in subject.layers[thing]]
        return place

    def known_at(self, subject: Subject) -> dict[str, Known]:
        """What is known of a place, of several layers of a kind what any of them could be."""
        known: dict[str, Known] = dict(subject.known)
        for thing, layers in subject.layers.items():
            known.update(layers[0].known if len(layers) == 1 else any_one_of(layers, self.vocabulary))
            if self.vocabulary.things[thing].sort == "layer" and layers:
                known[thing] = Known(presence_of(layers))
        return known

    def _layer_vector(self, vector: Vector, layer: Layer) -> Vector:
        own = vector[:]
        for slot, anything in self.own_slots.get(layer.thing, ()):
            own[slot] = anything
            own[0] &= ~(1 << slot)
        if self.vocabulary.things[layer.thing].sort == "layer":
            own[self.vocabulary.slot(layer.thing)] = layer.presence
        self._write(own, layer.known)
        return own

    def _write(self, vector: Vector, known: dict[str, Known]) -> None:
        slots, stated = self.slots, vector[0]
        for name, each in known.items():
            if name not in slots:
                continue
            if each.value is not None:
                vector[slots[name]] = each.value
            as_stated = slots.get(f"{name} as stated")
            if as_stated is not None and each.value is not None:
                vector[as_stated] = each.value
            if each.origin in (STATED, CARD):
                stated |= 1 << slots[name]
        vector[0] = stated

    # -- one derived fact -------------------------------------------------------------------------------------------------

    def _derive(self, derived: DerivedFact, place: DerivedPlace) -> None:
        fact = derived.fact
        given = place.known.get(fact.name)
        if given is not None and given.origin == CONCLUDED:
            return  # a case says what is concluded
        if fact.aggregate and not place.vector[0] >> self.slots[fact.name] & 1:
            self._aggregate(fact, place)
        if fact.name in self.sums or derived.working:
            self._work_out(derived, place)
        if derived.contributions or fact.concluded:
            self._conclude(fact, place)
        if fact.thing in place.layers and not fact.aggregate:
            self._gather(fact, self.slots[fact.name], place)

    def _places(self, fact: Fact, place: DerivedPlace) -> list[tuple[list[Vector], Vector]]:
        """The vectors to work in: for a fact of a kind with several layers each alone, else the place for all."""
        if fact.thing in place.layers:
            return [([vector], vector) for _, vector in place.layers[fact.thing]]
        return [(place.vectors(), place.vector)]

    def _gather(self, fact: Fact, slot: int, place: DerivedPlace) -> None:
        """What was derived for each of several layers is, at the place and at its other layers, what any of them could be."""
        own = [vector for _, vector in place.layers[fact.thing]]
        value = _any_of(fact, [vector[slot] for vector in own])
        stated = all(vector[0] >> slot & 1 for vector in own)  # only what is said of every one is said of whichever it is
        others = (vector for thing, pairs in place.layers.items() if thing != fact.thing for _, vector in pairs)
        for vector in (place.vector, *others):
            vector[slot] = value
            vector[0] = vector[0] | 1 << slot if stated else vector[0] & ~(1 << slot)

    def _aggregate(self, fact: Fact, place: DerivedPlace) -> None:
        how, base = fact.aggregate
        thing = base if how == "count" else self.vocabulary.fact(base).thing
        if thing in place.layers:
            members = [(layer.presence, vector) for layer, vector in place.layers[thing]]
        else:
            presence = place.vector[self.slots[thing]]
            members = [] if presence == NONE else [(presence, place.vector)]
        if how == "count":
            value = (sum(1 for p, _ in members if p == THERE), len(members))
        else:
            slot = self.slots[base]
            value = aggregate(how, [(p == THERE, v[slot]) for p, v in members])
        if members and how in ("count", "total") and self.unseen(thing, place):
            value = (value[0], NO_GREATEST)
        slot = self.vocabulary.slot(fact.name)
        for vector in place.vectors():
            vector[slot] = value
        place.provenance[fact.name] = Provenance(WORKED_OUT, formula=lambda: f"the {how} over every {thing}")

    def unseen(self, thing: str, place: DerivedPlace) -> bool:
        """Whether there may be more of a kind than is written: nothing is, or a gap stands for any number."""
        layers = place.subject.layers.get(thing)
        if layers:
            return any(not layer.known and layer.presence != THERE for layer in layers)
        return not any(self.vocabulary.facts[name].thing == thing != name for name in place.known)

    def _work_out(self, derived: DerivedFact, place: DerivedPlace) -> None:
        fact, slot = derived.fact, self.vocabulary.slot(derived.fact.name)
        for vectors, vector in self._places(fact, place):
            if vector[0] >> slot & 1:
                continue  # what somebody states stands, and the working is not asked
            if derived.formula:
                value = self.sums[fact.name](vector)
                text = partial(formulas.in_words, derived.formula, vector, self.vocabulary)
                how, inputs = Provenance(WORKED_OUT, formula=text), formulas.facts_of(derived.formula)
            else:
                inputs = derived.inputs
                worked = self.worked(derived, vector)
                value, how = (worked.least, worked.greatest), Provenance(WORKED_OUT, worked=worked)
            cut = possible.both(fact, value, fact.always)
            stated = all(vector[0] >> self.vocabulary.slot(name) & 1 for name in inputs)
            for each in vectors:
                each[slot] = cut or value
                each[0] = each[0] | 1 << slot if stated else each[0]
            if value != (NO_LEAST, NO_GREATEST) or fact.name not in place.provenance:
                place.provenance[fact.name] = how

    def worked(self, derived: DerivedFact, vector: Vector) -> WorkedFact:
        """What the working of a fact comes to on one vector."""
        return self.work(derived.working, {name: self._possible(name, vector, derived.things) for name in derived.inputs})

    def _possible(self, name: str, vector: Vector, things: tuple[str, ...]) -> object:
        """What a working is given: an amount's ends, or the words that are possible; anything, of what is not surely there."""
        fact = self.vocabulary.fact(name)
        unsure = fact.thing in things and vector[self.vocabulary.slot(fact.thing)] != THERE
        value = fact.anything if unsure and not fact.aggregate else vector[self.vocabulary.slot(name)]
        if fact.is_word:
            return tuple(word for bit, word in enumerate(fact.words) if value >> bit & 1)
        return value

    # -- consequences -----------------------------------------------------------------------------------------------------

    def _conclude(self, fact: Fact, place: DerivedPlace) -> None:
        slot = self.vocabulary.slot(fact.name)
        for vectors, vector in self._places(fact, place):
            answers = [(g, self._answer(g, holds, fact, vector, place)) for g, holds in self.contributions[fact.name]]
            self._conclude_in(fact, slot, vectors, vector, answers, place)

    def _answer(self, contribution: Contribution, holds: Closure, fact: Fact, vector: Vector, place: DerivedPlace) -> int:
        """Whether a consequence holds; what it says of a kind with several layers holds when it does of one of them."""
        kinds = [kind for kind in contribution.kinds if kind in place.layers and kind != fact.thing]
        if vector is not place.vector or not kinds:
            return holds(vector)
        answers = [(layer, holds(own)) for kind in kinds for layer, own in place.layers[kind]]
        if any(a == SURELY and layer.presence == THERE for layer, a in answers) or all(a == SURELY for _, a in answers):
            return SURELY
        # What holds only of a layer that may not be there is not sure.
        return POSSIBLY if any(a != NOT for _, a in answers) else NOT

    def _conclude_in(
        self, fact: Fact, slot: int, vectors: list[Vector], vector: Vector, answers: list[tuple[Contribution, int]],
        place: DerivedPlace,
    ) -> None:  # fmt: skip
        fired = tuple(contribution.consequence for contribution, answer in answers if answer != NOT)
        sure = tuple(contribution.consequence for contribution, answer in answers if answer == SURELY)
        surely = [contribution.mask for contribution, answer in answers if answer == SURELY]
        maybe = [contribution.mask for contribution, answer in answers if answer not in (NOT, SURELY)]
        value = self._concluded(fact, surely, maybe) if fact.concluded else None
        said: list[object] = []
        if not fact.concluded:
            said = [vector[slot], *((m, fact.every_word) if fact.is_together else m for m in surely)]
        elif vector[0] >> slot & 1:
            said, value = self._with_stated(fact, vector[slot], value)
        if said:
            value = _agreed(fact, said)
            if value is None:
                value = _any_of(fact, said)
                self._disagree(fact, slot, vectors, vector, sure, place)
        if not fact.concluded and value == vector[slot]:
            return
        for each in vectors:
            each[slot] = value
        if fired:
            place.provenance[fact.name] = Provenance(CONCLUDED, fired)

    def _concluded(self, fact: Fact, surely: list[int], maybe: list[int]) -> object:
        """What the consequences alone say of a concluded fact."""
        if fact.concluded == "flag":
            return 2 if surely else 3 if maybe else 1
        if fact.concluded == "greatest holds":
            return greatest_holds(fact, surely, maybe)
        given = possible.with_implied(fact, _any_bit(surely))
        return (given, possible.with_implied(fact, given | _any_bit(maybe)))

    def _with_stated(self, fact: Fact, given: object, value: object) -> tuple[list[object], object]:
        """A concluded fact that is stated too: what must agree, or else what the two come to together."""
        if fact.concluded == "words":
            return [], (given[0] | value[0], given[1] | value[1])
        if fact.concluded == "greatest holds":
            # What is said may raise it and never lowers it.
            above = fact.every_word & ~((value & -value) - 1)
            return [given, above if given & above else value], value
        return ([given, value], value) if value == 2 else ([], given)

    def _disagree(
        self, fact: Fact, slot: int, vectors: list[Vector], vector: Vector, sure: tuple[str, ...], place: DerivedPlace
    ) -> None:
        known = place.known.get(fact.name)
        said = possible.in_words(fact, vector[slot])
        sides = [("stated", known.text if known and known.text else said)]
        following = [self.consequences[name] for name in sure]
        sides += [(each.because, text) for each in following for name, _, text in each.gives if name == fact.name]
        place.disagreements.append(
            Disagreement(fact.name, tuple(sides), place.subject.name, known.where if known else None)
        )
        for each in vectors:
            each[0] &= ~(1 << slot)


def _agreed(fact: Fact, said: list[object]) -> object | None:
    """What agrees with everything said; None when nothing does."""
    value: object | None = said[0]
    for other in said[1:]:
        value = possible.both(fact, value, other) if value is not None else None
    return value


def _any_of(fact: Fact, said: list[object]) -> object:
    """Any of what was said, not known which."""
    value = said[0]
    for other in said[1:]:
        value = possible.either(fact, value, other)
    return value


def _any_bit(masks: list[int]) -> int:
    total = 0
    for mask in masks:
        total |= mask
    return total


def greatest_holds(fact: Fact, surely: list[int], maybe: list[int]) -> int:
    """The greatest word surely given, and every greater one possibly given; `otherwise` when none is."""
    least = 1 << fact.words.index(fact.otherwise) if fact.otherwise else 1
    floor = max([least, *surely])
    mask = floor
    for each in maybe:
        if each > floor:
            mask |= each
    return mask


def aggregate(how: str, members: list[tuple[bool, tuple[int, int]]]) -> tuple[int, int]:
    """The total, least or greatest over layers, each surely there or only possibly."""
    if not members:
        return (0, 0) if how == "total" else (NO_LEAST, NO_GREATEST)
    lows, highs = [v[0] for _, v in members], [v[1] for _, v in members]
    sure_lows, sure_highs = [v[0] for s, v in members if s], [v[1] for s, v in members if s]
    if how == "total":
        # A layer adds nothing or more, known or not, so one more never makes a total less.
        return sum(max(low, 0) for low in sure_lows), NO_GREATEST if NO_GREATEST in highs else sum(highs)
    if how == "least":
        return min(lows), min(sure_highs) if sure_highs else max(highs)
    return max(sure_lows) if sure_lows else min(lows), max(highs)


