"""What is judged: a place or a junction, with everything that is known of it.

An assembly is flattened to these; engines read nothing else.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from validator.facts.observing import Observation
from validator.facts.possible import CARD, STATED, Known, either
from validator.facts.vocabulary import MAYBE, NONE, THERE, Vocabulary
from validator.language.source import Where


@dataclass(slots=True, eq=False, repr=False)
class Layer:
    """One layer of a kind, or one framing run, with what is known of it. `presence` is THERE or MAYBE."""

    thing: str
    name: str = ""
    known: dict[str, Known] = field(default_factory=dict)
    presence: int = THERE
    where: Where | None = None
    number: int = 0  # its turn in the build-up, from the structure outwards


class Disagreement(NamedTuple):
    """A fact of which a statement, its card or a consequence say different things."""

    fact: str
    said: tuple[tuple[str, str], ...]  # who says, and what
    place: str
    where: Where | None = None


class Product(NamedTuple):
    """A layer, part or seal as somebody bought it. `name` is empty where none is named; `card` where its card was read."""

    thing: str
    name: str = ""
    card: bool = False


@dataclass(slots=True, eq=False, repr=False)
class Subject:
    """A place, a junction, or the job itself."""

    name: str
    sort: str  # "place", "junction" or "job"
    kind: str = ""
    known: dict[str, Known] = field(default_factory=dict)  # facts of single things, and presence by thing
    layers: dict[str, list[Layer]] = field(default_factory=dict)  # layers and framing runs by kind
    presumed: tuple[str, ...] = ()  # things taken as not there because not written
    disagreements: list[Disagreement] = field(default_factory=list)
    at: tuple[str, ...] = ()  # of a junction: the places that meet there
    where: Where | None = None  # the line it is written under; of a junction that the shape makes, none
    products: tuple[Product, ...] = ()  # what is written there, by the product named; judged by nothing
    unread: frozenset[str] = frozenset()  # facts and things of which somebody said what could not be read
    observed: tuple[Observation, ...] = ()  # what is seen to be wrong there; judged by no rule
    formerly: str = ""  # what the place was called in an older submission; judged by nothing
    taken_out: tuple[Layer, ...] = ()  # layers to be removed: not there when the work is done, and judged by nothing

    def shown_by(self, name: str, layer: Layer | None = None) -> tuple[str, ...]:
        """What is offered to show a fact here: of one layer, or of every layer that says it."""
        thing = name.partition(".")[0]
        layers = [layer] if layer is not None and layer.thing == thing else self.layers.get(thing, ())
        said = [known[name] for known in (*(each.known for each in layers), self.known) if name in known]
        return tuple(dict.fromkeys(text for each in said for text in each.shown_by or ()))

    def anything_shown(self) -> bool:
        """Whether anything at all is offered to show what is known here."""
        every = (self.known, *(layer.known for layers in self.layers.values() for layer in layers))
        return any(each.shown_by for known in every for each in known.values())

    def written(self, thing: str) -> list[Layer]:
        """The layers of a kind as somebody wrote them, those to be removed among them, from the structure outwards."""
        gone = [layer for layer in self.taken_out if layer.thing == thing]
        return sorted([*self.layers.get(thing, ()), *gone], key=lambda layer: layer.number)

    def several(self) -> list[str]:
        """The kinds of which there is more than one layer."""
        return [thing for thing, layers in self.layers.items() if len(layers) > 1]


def any_one_of(layers: list[Layer], vocabulary: Vocabulary) -> dict[str, Known]:
    """One of some layers, not known which: for each fact what any of them could be."""
    names = dict.fromkeys(name for layer in layers for name in layer.known)
    merged: dict[str, Known] = {}
    for name in names:
        fact = vocabulary.fact(name)
        known = [layer.known.get(name, Known(fact.anything, "not stated")) for layer in layers]
        first = known[0]
        value = first.value
        for other in known[1:]:
            value = either(fact, value, other.value) if value is not None and other.value is not None else None
        same = all(k.value == first.value for k in known)
        # Only what is said of every one of them is said of whichever it is.
        least = next((k for k in known if k.origin not in (STATED, CARD)), first)
        merged[name] = Known(value, least.origin, first.text if same else "", first.where, first.unit)
    return merged


def presence_of(layers: list[Layer]) -> int:
    """Whether any of some layers is there."""
    return THERE if any(layer.presence == THERE for layer in layers) else MAYBE


# -- a place described again ------------------------------------------------------------------------------------------------------


def facts_told_otherwise(one: Subject, other: Subject) -> frozenset[str] | None:
    """The facts of which two descriptions of a place do not say the same, wherever they are written and whatever shows them.

    None where the two cannot be compared fact by fact: they are no same place, or have other layers.
    """
    if (one.name, one.sort, one.kind, one.at) != (other.name, other.sort, other.kind, other.at):
        return None
    if one.disagreements or other.disagreements or list(one.layers) != list(other.layers):
        return None
    changed = _told_otherwise(one.known, other.known)
    for thing, layers in one.layers.items():
        others = other.layers[thing]
        if layers is others:
            continue
        if [_head_of(each) for each in layers] != [_head_of(each) for each in others]:
            return None
        for layer, before in zip(layers, others):
            changed |= _told_otherwise(layer.known, before.known)
    return frozenset(changed)


def layers_alike(some: list[Layer], others: list[Layer]) -> bool:
    """Whether layers of one kind, and others, are the same in their turn."""
    return some is others or [_head_of(each) for each in some] == [_head_of(each) for each in others] and not any(
        _told_otherwise(one.known, other.known) for one, other in zip(some, others)
    )  # fmt: skip


def _head_of(layer: Layer) -> tuple[str, int, int, bool]:
    """What a layer is, and whether it stands for any number that a gap hides."""
    return layer.name, layer.presence, layer.number, bool(layer.known)


def _told_otherwise(some: dict[str, Known], others: dict[str, Known]) -> set[str]:
    """The facts that are not known alike, or of which only one side knows anything."""
    if some is others:
        return set()
    return {name for name, one in some.items() if (other := others.get(name)) is None or one is not other and not one.says_the_same(other)} | (others.keys() - some.keys())


# -- a place with one thing known otherwise --------------------------------------------------------------------------------------


def varies(subject: Subject) -> bool:
    """Whether anything at a place is said to vary."""
    return any(known.varies for known in subject.known.values()) or any(
        known.varies for layers in subject.layers.values() for layer in layers for known in layer.known.values()
    )


def with_fact(subject: Subject, name: str, known: Known, thing: str, layers: Iterable[Layer] = ()) -> Subject:
    """The place with one fact known; of a thing with layers, said of those given, or of every one."""
    own = subject.layers.get(thing)
    if not own or name == thing:
        return copied_with(subject, {**subject.known, name: known}, subject.layers)
    wanted = {layer.where for layer in layers}
    changed = [layer_with_fact(each, name, known) if not wanted or each.where in wanted else each for each in own]
    return copied_with(subject, subject.known, {**subject.layers, thing: changed})


def with_presence(subject: Subject, thing: str, there: bool) -> Subject:
    """The place with a thing surely there, or surely not."""
    known = {**subject.known, thing: Known(THERE if there else NONE, STATED, "there" if there else "none")}
    layers = dict(subject.layers)
    own = [layer for layer in layers.get(thing, ()) if layer.known]
    if not there:
        layers.pop(thing, None)
    elif own:
        layers[thing] = [Layer(e.thing, e.name, e.known, THERE, e.where, e.number) for e in own]
    return copied_with(subject, known, layers)


def layer_with_fact(layer: Layer, name: str, known: Known) -> Layer:
    """The layer with one fact known."""
    return Layer(layer.thing, layer.name, {**layer.known, name: known}, layer.presence, layer.where, layer.number)


def copied_with(subject: Subject, known: dict[str, Known], layers: dict[str, list[Layer]]) -> Subject:
    """The place with other facts and layers."""
    return replace(subject, known=known, layers=layers)
