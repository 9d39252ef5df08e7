"""What could be changed of an assembly, and the assembly with it changed.

A change is of one written line, or of one thing added, removed or made of another product. A line that says a fact is changed
in the places that were read from it; anything else is written on the page and read anew.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator import amounts, possible
from validator.assembly.cards import Card, card_of
from validator.assembly.drafting import Draft
from validator.assembly.places import can_be
from validator.efforts import LADDER
from validator.possible import CARD, NOT_STATED, STATED, Known
from validator.reading import Where
from validator.ready import Ready
from validator.subjects import Layer, Subject
from validator.vocabulary import NONE, THERE, Fact, Thing
from validator.wondering import copied_with, layer_knowing

MOST_STEPS = 24
PRODUCT, ADDED, REMOVED = "product", "added", "removed"


class Allowed(NamedTuple):
    """What may be changed: nothing of `keep`; with `unsaid` what nobody said too; with `goods` only to goods of the catalogue."""

    keep: frozenset[str] = frozenset()  # things and facts
    unsaid: bool = False
    goods: bool = False


class Change(NamedTuple):
    """One change: of a fact from `before` to `after`, or of a thing; `rung` is how hard it is."""

    subject: Subject
    fact: str
    before: str
    after: str
    how: str
    rung: int
    way: str = ""  # of a thing: product, added or removed
    layer: Layer | None = None
    known: Known | None = None  # what would be known, of a line that says a fact
    where: Where | None = None  # the line that says it

    @property
    def spot(self) -> object:
        """What no two changes of a set may share."""
        return (self.where or self.subject.name, self.fact.partition(".")[0] if self.way else self.fact)


class State(NamedTuple):
    """An assembly with some changes made: the places as they would be read, and the page with what is not yet written on it."""

    draft: Draft
    subjects: dict[str, Subject]
    unwritten: tuple[Change, ...] = ()

    def page(self) -> Draft:
        """The page with every change written on it."""
        draft = self.draft
        for change in self.unwritten:
            draft = written(draft, change)
        return draft


def changes_for(subject: Subject, names: frozenset[str], ready: Ready, allowed: Allowed) -> Iterator[Change]:
    """Every allowed change at a place that bears on some facts, the nearest values of each fact first."""
    vocabulary, keep = ready.vocabulary, allowed.keep
    carded = {card.thing for card in ready.catalogue.values()} if allowed.goods else set()
    ladder = vocabulary.fact(LADDER).words if LADDER in vocabulary.facts else ()
    for name in sorted(names):
        fact = vocabulary.fact(name)
        if name in keep or fact.thing in keep or _there(subject, fact.thing) == NONE and fact.kind != "presence":
            continue
        if fact.mend is not None and fact.thing not in carded:
            lines = list(_said(subject, fact))
            lines += _unsaid(subject, fact, vocabulary.things[fact.thing].sort) if allowed.unsaid else ()
            for known, layer in lines:
                for text in _values(fact, known):
                    yield Change(
                        subject, name, known.text or possible.in_words(fact, known.value, known.unit), text, fact.mend.how,
                        ladder.index(fact.mend.how), "", layer,
                        possible.read(fact, text, known.where) if known.where is not None else None, known.where,
                    )  # fmt: skip
    for thing in dict.fromkeys(vocabulary.fact(name).thing for name in sorted(names)):
        if thing not in keep:
            yield from _of_thing(subject, thing, ready, ladder, () if thing in carded else ("there",))


def _there(subject: Subject, thing: str) -> int:
    known = subject.known.get(thing)
    return known.value if known is not None else THERE if thing in subject.layers else NONE


def _said(subject: Subject, fact: Fact) -> Iterator[tuple[Known, Layer | None]]:
    """The lines that say a fact at a place."""
    for layer in subject.layers.get(fact.thing, ()):
        known = layer.known.get(fact.name)
        if known is not None and known.origin == STATED and known.where is not None:
            yield known, layer
    known = subject.known.get(fact.name)
    if known is not None and known.origin == STATED and known.where is not None and not subject.layers.get(fact.thing):
        yield known, None


def _unsaid(subject: Subject, fact: Fact, sort: str) -> Iterator[tuple[Known, Layer | None]]:
    """A fact of which nothing is said, where its thing is surely there and the answer would be written."""
    sorts = {"layer": "place", "part": "place", "place": "place", "framing": "place", "seal": "junction", "junction": "junction"}
    here = sorts.get(sort, "job") == subject.sort
    layers = subject.layers.get(fact.thing, ())
    if not here or _there(subject, fact.thing) != THERE:
        return
    for layer in layers or (None,):
        known = (layer.known if layer is not None else subject.known).get(fact.name)
        if known is None or known.origin == NOT_STATED:
            yield Known(fact.anything, NOT_STATED), layer


def _values(fact: Fact, known: Known) -> Iterator[str]:
    """To what a fact may be changed, the nearest first."""
    mend = fact.mend
    if not fact.is_amount:
        for word in mend.to or fact.words:
            if fact.is_together or known.value != 1 << fact.words.index(word):
                yield word
        return
    least, greatest = known.value
    found = {text: amounts.read(text, fact.kind) for text in mend.sizes}
    if mend.step:
        found.update(_stepped(fact, amounts.read(mend.step, fact.kind).least, known))
    near = list(found.items())
    if not possible.is_anything(fact, known.value):
        near.sort(key=lambda each: _how_near(each[1].least, least, greatest))
    for text, amount in near:
        if (amount.least, amount.greatest) != known.value:
            yield text


def _how_near(value: int, least: int, greatest: int) -> tuple[int, int]:
    return min(abs(value - least), abs(value - greatest)), -value


def _stepped(fact: Fact, step: int, known: Known) -> Iterator[tuple[str, amounts.Amount]]:
    """Whole steps on either side of what is said, as far as is usual."""
    bounds = [amounts.read(text, fact.kind).least if text else None for text in (fact.slip_below, fact.slip_above)]
    unit = known.unit or amounts.read(fact.mend.step, fact.kind).unit
    for end in (bounds[0] or 0,) if possible.is_anything(fact, known.value) else known.value:
        for turn in range(-MOST_STEPS, MOST_STEPS + 1):
            steps = (end // step + turn) * step
            low, high = bounds[0] or 0, bounds[1]
            if steps >= low and (high is None or steps <= high):
                text = amounts.show(steps, fact.kind, unit, both=False)
                read = amounts.read(text, fact.kind)
                if read.least == steps == read.greatest:
                    yield text, read


def _of_thing(
    subject: Subject, thing_name: str, ready: Ready, ladder: tuple[str, ...], plain: tuple[str, ...]
) -> Iterator[Change]:
    """A thing added, removed, or made of another product of the catalogue."""
    thing, there = ready.vocabulary.things[thing_name], _there(subject, thing_name)
    cards = [card for card in ready.catalogue.values() if card.thing == thing_name]
    layers = subject.layers.get(thing_name) or [None]
    where = layers[0].where if layers[0] is not None else subject.known[thing_name].where if thing_name in subject.known else None
    ends = {"layer": "place", "part": "place", "seal": "junction", "record": "job"}
    fits = ends.get(thing.sort) == subject.sort
    if "swap" in thing.mend and there == THERE and fits:
        for layer in layers:
            line = layer.where if layer is not None else where
            for card in cards:
                how, before = thing.mend["swap"], f"the {thing_name} written"
                yield Change(subject, thing_name, before, card.name, how, ladder.index(how), PRODUCT, layer, None, line)
    if "add" in thing.mend and there != THERE and fits and _can_be(thing, subject):
        for after in [*(card.name for card in cards), *plain]:
            how = thing.mend["add"]
            yield Change(subject, thing_name, f"no {thing_name}", after, how, ladder.index(how), ADDED)
    if "remove" in thing.mend and there == THERE and fits:
        how = thing.mend["remove"]
        yield Change(subject, thing_name, thing_name, "none", how, ladder.index(how), REMOVED, None, None, where)


def _can_be(thing: Thing, subject: Subject) -> bool:
    return subject.sort != "place" or can_be(thing, (subject.kind,)) != NONE


def changed(state: State, change: Change) -> State:
    """The assembly with one change more. Raises BadAssembly where it cannot be read."""
    changes = (*state.unwritten, change)
    if change.way == PRODUCT and change.where is not None:
        card = card_of(state.draft.catalogue, change.after)
        return State(state.draft, {name: _with_card(each, change, card) for name, each in state.subjects.items()}, changes)
    if change.known is not None:
        return State(state.draft, {name: _with_line(each, change) for name, each in state.subjects.items()}, changes)
    draft = state._replace(unwritten=changes).page()
    return State(draft, {each.name: each for each in draft.assembly().subjects})


def written(draft: Draft, change: Change) -> Draft:
    """The page with one change written on it."""
    if change.way == PRODUCT or change.way == ADDED and change.after != "there":
        return draft.with_product(change.subject, change.fact, change.after, change.layer)
    return draft.said(change.subject, change.fact, change.after, change.layer)


def places_of(state: State, change: Change) -> tuple[str, ...]:
    """Every place of its sort for which the changed line speaks."""
    alike = [each for each in state.subjects.values() if each.sort == change.subject.sort and change.where is not None]
    spoken = [each.name for each in alike if each.name == change.subject.name or _reads(each, change)]
    return tuple(spoken) or (change.subject.name,)


def _reads(subject: Subject, change: Change) -> bool:
    """Whether a place was read from the line of a change."""
    thing = change.fact.partition(".")[0]
    if change.way:
        return any(layer.where == change.where for layer in subject.layers.get(thing, ()))
    known = [subject.known.get(change.fact), *(layer.known.get(change.fact) for layer in subject.layers.get(thing, ()))]
    return any(each is not None and each.where == change.where for each in known)


def _with_card(subject: Subject, change: Change, card: Card) -> Subject:
    """A place in which the thing written on one line is another product: its card speaks, and the old one no more."""
    thing = change.fact

    def spoken(known: dict[str, Known]) -> dict[str, Known]:
        own = {name for name in known if name.startswith(f"{thing}.")}
        gone = {name for name in own if known[name].origin == CARD or name in card.declares}
        return {**{name: each for name, each in known.items() if name not in gone}, **card.declares}

    own = subject.layers.get(thing, ())
    if any(layer.where == change.where for layer in own):
        layers = [
            Layer(e.thing, e.name, spoken(e.known), e.presence, e.where, e.number) if e.where == change.where else e for e in own
        ]
        return copied_with(subject, subject.known, {**subject.layers, thing: layers})
    presence = subject.known.get(thing)
    if own or presence is None or presence.where != change.where:
        return subject
    return copied_with(subject, spoken(subject.known), subject.layers)


def _with_line(subject: Subject, change: Change) -> Subject:
    """A place in which every fact that one line says is said otherwise."""

    def is_it(known: dict[str, Known]) -> bool:
        each = known.get(change.fact)
        return each is not None and each.where == change.where and each.where is not None

    thing = change.fact.partition(".")[0]
    known = {**subject.known, change.fact: change.known} if is_it(subject.known) else subject.known
    own = subject.layers.get(thing, ())
    layers = subject.layers
    if any(is_it(layer.known) for layer in own):
        changed_layers = [layer_knowing(layer, change.fact, change.known) if is_it(layer.known) else layer for layer in own]
        layers = {**layers, thing: changed_layers}
    return subject if known is subject.known and layers is subject.layers else copied_with(subject, known, layers)
