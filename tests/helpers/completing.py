"""Half-known places of any book, made up at random, and the ways in which they could turn out.

A place is made of the book's own things: several layers of a kind, silent ones among them, layers that may not be there, ranges
and choices of words. The texts are those of the book's own cases, so that its limits and schedules are met on both sides.
A completion says more of the same place: it settles what was open, and contradicts nothing that was said.

What is *meant* to change when more is said, and is no fault, has a name here: see `MEANT`.
"""

from collections.abc import Iterator
from random import Random

from validator.engines.deriving import DerivedPlace, Vector
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts import possible
from validator.facts.possible import PRESUMED, STATED, Known, NotPossible
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.dependencies import Dependencies
from validator.rulebook.formulas import Formula, Term, compiled
from validator.workings import WORKINGS
from validator.workings.working import Working

MOST_LAYERS = 3
AS_STATED = " as stated"  # what was said of a fact before anything followed for it; nobody says it
CLEAN = frozenset((Outcome.PASS, Outcome.BY_EXCEPTION, Outcome.NOTHING, Outcome.NOT_APPLICABLE))
MEANT = {
    "taken as usual": "a sum says with its result what it took as usual, and another value of that gives another result",
    "stated over worked out": "what is stated stands over what could be worked out, so a completion states no such fact anew",
    "two names of one amount": "two names of one amount that say different things contradict each other",
    "two ways": "what is stated and what follows contradict each other, and the report says so",
    "a sum that refuses": "what a sum is given cannot be, and it says so",
}


class Completing:
    """Half-known places of one book, and their completions."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        order = loaded.engine.deriver.order
        self.derived = {each.fact.name for each in order}
        self.usual = {name for working in WORKINGS.values() for name in _taken(working)}
        self.same = [
            (each.fact.name, [compiled(part, each.fact.thing) for part in term.parts])
            for each in order if each.formula for term in _same_as(each.formula)
        ]  # fmt: skip
        self.facts: dict[str, list[Fact]] = {}
        for name in loaded.engine.deriver.slots:
            fact = self.vocabulary.fact(name)
            if fact.kind != "presence" and (fact.is_amount or fact.is_word or fact.is_together) and fact.stated and not fact.aggregate and not name.endswith(AS_STATED):
                self.facts.setdefault(fact.thing, []).append(fact)
        self.dependencies = Dependencies(loaded.book)
        # What is taken as usual may itself be worked out once what it follows from is said.
        self.usual |= frozenset().union(*(self.dependencies.upstream_of(name) for name in self.usual & self.derived))
        self.topics = [*sorted(self.derived), *sorted(loaded.book.rules)]
        self.kinds = [str(word) for word in self.vocabulary.fact("place.kind").words]
        self.values: dict[str, list[object]] = self._values()

    def _values(self) -> dict[str, list[object]]:
        """Of each fact, what the book's own cases say of it; of one that they are silent of, what they say of others of its kind."""
        found: dict[str, list[object]] = {}
        by_kind: dict[str, list[object]] = {}
        for rule in self.loaded.book.rules.values():
            for case in rule.cases:
                for name, text in case.facts.items():
                    fact = self.vocabulary.fact(name)
                    if fact is None or fact.kind in ("presence", "size", "name"):
                        continue
                    try:
                        value = possible.read(fact, text).value
                    except NotPossible:
                        continue
                    if value != fact.anything and value is not None:
                        found.setdefault(name, []).append(value)
                        by_kind.setdefault(fact.kind, []).append(value)
        for facts in self.facts.values():
            for fact in facts:
                own = found.setdefault(fact.name, [])
                if fact.is_amount:
                    own += [cut for value in by_kind.get(fact.kind, ())[:200] if (cut := possible.both(fact, value, fact.always))]
                else:
                    own += [1 << bit for bit in range(len(fact.words))] if fact.is_word else [(1 << bit, 1 << bit) for bit in range(len(fact.words))]
        return found

    # -- half-known ---------------------------------------------------------------------------------------------------------

    def half(self, chance: Random) -> Subject:
        """A half-known place that a rule or two, and a sum or two, are about."""
        kind = chance.choice(self.kinds)
        about = frozenset().union(*(self._upstream(chance.choice(self.topics)) for _ in range(chance.randint(2, 8))))
        known: dict[str, Known] = {"place.kind": possible.read(self.vocabulary.fact("place.kind"), kind)}
        layers: dict[str, list[Layer]] = {}
        for thing in self.vocabulary.things.values():
            if thing.name not in self.loaded.engine.deriver.slots or thing.sort == "junction":
                continue
            presence = THERE if thing.always else chance.choice((THERE, THERE, THERE, MAYBE)) if thing.name in about else NONE
            known[thing.name] = Known(presence, PRESUMED)
            if presence == NONE:
                continue
            if thing.sort in ("layer", "framing") and presence == THERE:
                layers[thing.name] = [self._layer(thing.name, n, about, chance) for n in range(chance.randint(1, MOST_LAYERS))]
            elif presence == THERE:
                known |= self._some(thing.name, about, chance)
        return Subject("a place", "place", kind, known, layers)

    def _upstream(self, topic: str) -> frozenset[str]:
        """Everything that a rule or a fact leans on."""
        depends = self.dependencies
        return depends.of_rule(topic) if topic in self.loaded.book.rules else depends.upstream_of(topic)

    def _layer(self, thing: str, number: int, about: frozenset[str], chance: Random) -> Layer:
        """A layer that says a little or nothing, and may not be there."""
        known = {} if chance.random() < 0.25 else self._some(thing, about, chance)
        may_be_missing = self.vocabulary.things[thing].sort == "layer" and chance.random() < 0.25
        return Layer(thing, f"{thing} {number}", known, MAYBE if may_be_missing else THERE, None, number)

    def _some(self, thing: str, about: frozenset[str], chance: Random) -> dict[str, Known]:
        said: dict[str, Known] = {}
        for fact in self.facts.get(thing, ()):
            if fact.name not in about or fact.name == "place.kind" or chance.random() < 0.4 or not self.values[fact.name]:
                continue
            if fact.name in self.derived and chance.random() < 0.7:
                continue
            value = chance.choice(self.values[fact.name])
            if chance.random() < 0.4:
                value = possible.either(fact, value, chance.choice(self.values[fact.name]))
            if value != fact.anything:
                said[fact.name] = Known(value, STATED)
        return said

    # -- completed ----------------------------------------------------------------------------------------------------------

    def whole(self, half: Subject, chance: Random) -> Subject:
        """One way in which a half-known place could turn out; some of it may still be open."""
        known = dict(half.known)
        layers: dict[str, list[Layer]] = {}
        for thing in self.vocabulary.things:
            if thing not in known:
                continue
            if known[thing].value == MAYBE and chance.random() < 0.8:
                known[thing] = Known(chance.choice((THERE, NONE)), STATED)
            if known[thing].value == NONE:
                known = {name: each for name, each in known.items() if name == thing or not name.startswith(f"{thing}.")}
            elif thing in half.layers:
                layers[thing] = list(self._layers(half.layers[thing], chance))
                if not layers[thing]:
                    del layers[thing]
                    known[thing] = Known(NONE, STATED)
            elif known[thing].value == THERE:
                known |= self._more(thing, known, chance)
        return Subject(half.name, half.sort, half.kind, known, layers)

    def _layers(self, layers: list[Layer], chance: Random) -> Iterator[Layer]:
        for layer in layers:
            presence = layer.presence if layer.presence == THERE or chance.random() < 0.2 else chance.choice((THERE, NONE))
            if presence != NONE:
                known = layer.known | self._more(layer.thing, layer.known, chance)
                yield Layer(layer.thing, layer.name, known, presence, None, layer.number)

    def _more(self, thing: str, known: dict[str, Known], chance: Random) -> dict[str, Known]:
        """More of what one thing says: nothing that its ranges and words rule out."""
        more: dict[str, Known] = {}
        for fact in self.facts.get(thing, ()):
            was = known[fact.name].value if fact.name in known else fact.anything
            if fact.name == "place.kind" or chance.random() < 0.2:
                continue
            if fact.name not in known and (fact.name in self.derived or fact.name in self.usual):
                continue
            agreed = [each for value in self.values[fact.name] if (each := possible.both(fact, was, value)) is not None]
            if agreed:
                value = chance.choice(agreed)
                if fact.is_amount and value[0] != value[1] and NO_LEAST < value[0] and value[1] < NO_GREATEST:
                    value = (point := chance.randint(*value), point)
                more[fact.name] = Known(value, STATED)
        return more

    # -- compared -----------------------------------------------------------------------------------------------------------

    def meant(self, half: DerivedPlace, whole: DerivedPlace) -> dict[str, str]:
        """The facts that are meant to differ from what was said before, and why; whatever follows from them may differ too."""
        found: dict[str, str] = {}
        for place in (half, whole):
            found |= {each.fact: "two ways" for each in place.disagreements}
            for vector in place.vectors():
                found |= {name: "two names of one amount" for name, terms in self.same if not _agree([term(vector) for term in terms])}
        deriver = self.loaded.engine.deriver
        for derived in deriver.order:
            working = WORKINGS.get(derived.working)
            if working is None:
                continue
            if any(self._newly_said(name, half, whole) for name in _taken(working)):
                found[derived.fact.name] = "taken as usual"
            if any(_refuses(deriver.worked(derived, vector).why_not) for vector in whole.vectors()):
                found[derived.fact.name] = "a sum that refuses"
        return found

    def _newly_said(self, name: str, half: DerivedPlace, whole: DerivedPlace) -> bool:
        """Whether a fact of which anything was possible, of the place or of one layer, is known in the whole place."""
        slot, anything = self.loaded.engine.deriver.slots[name], self.vocabulary.fact(name).anything
        before, after = (_by_layer(each) for each in (half, whole))
        return any(vector[slot] == anything and layer in after and after[layer][slot] != anything for layer, vector in before.items())

    def wider(self, half: DerivedPlace, whole: DerivedPlace) -> list[str]:
        """The facts of which the whole place holds what the half-known one had ruled out, though nobody meant it."""
        meant = set(self.meant(half, whole))
        return [f"{name}: {said}" for name, said in self.ruled_out(half, whole).items() if not meant & self._upstream(name)]

    def ruled_out(self, half: DerivedPlace, whole: DerivedPlace) -> dict[str, str]:
        """The facts of which the whole place holds what the half-known one had ruled out, and what they come to."""
        found: dict[str, str] = {}
        for name, slot in self.loaded.engine.deriver.slots.items():
            fact = self.vocabulary.fact(name)
            if not (fact.is_amount or fact.is_word or fact.is_together):
                continue
            if whole.vector[self.vocabulary.slot(fact.thing)] == NONE and name != fact.thing:
                continue  # of what is not there nothing is said
            if possible.either(fact, half.vector[slot], whole.vector[slot]) != half.vector[slot]:
                found[name] = f"{possible.in_words(fact, half.vector[slot])} -> {possible.in_words(fact, whole.vector[slot])}"
        return found

    def settled(self, place: DerivedPlace) -> int:
        """How many rules apply and are settled."""
        outcomes = [judgement.outcome for judgement in self.loaded.engine.judge(place)]
        return sum(outcome not in OPEN_OUTCOMES and outcome != Outcome.NOT_APPLICABLE for outcome in outcomes)

    def changed(self, half: DerivedPlace, whole: DerivedPlace) -> list[str]:
        """The rules whose settled outcome is another once more is said, though nobody meant it."""
        meant = set(self.meant(half, whole))
        before, after = ({j.compiled.rule.name: j for j in self.loaded.engine.judge(each)} for each in (half, whole))
        return [
            f"{name}: {was.outcome} -> {after[name].outcome}"
            for name, was in before.items()
            if was.outcome not in OPEN_OUTCOMES and not _stands(was.outcome, after[name].outcome) and not meant & self._upstream(name)
        ]


def _by_layer(place: DerivedPlace) -> dict[tuple[str, int], Vector]:
    """What is possible of the place itself, and of each layer by its kind and number."""
    layers = {(thing, layer.number): vector for thing, pairs in place.layers.items() for layer, vector in pairs}
    return {("place", 0): place.vector} | layers


def _taken(working: Working) -> Iterator[str]:
    """The facts of which a sum takes the usual where nobody says them."""
    return (each.fact for each in working.inputs if each.usual is not None)


def _stands(was: Outcome, now: Outcome) -> bool:
    return was == now or (was in CLEAN and now in CLEAN)


def _same_as(term: Term) -> Iterator[Formula]:
    if isinstance(term, Formula):
        if term.how == "same as":
            yield term
        for part in term.parts:
            yield from _same_as(part)


def _refuses(why: str) -> bool:
    """Whether a sum was given what cannot be, or what it does not reach; not where it lacks something."""
    return bool(why) and "would need" not in why and "is not stated" not in why


def _agree(spans: list[tuple[int, int]]) -> bool:
    return max(s[0] for s in spans) <= min(s[1] for s in spans)
