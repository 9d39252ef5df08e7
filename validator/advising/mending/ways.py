"""Takes the trade's own ways to mend a floor, returns those that a place could have, to be tried as changes like any other.

A way says several things of what is there, or puts in a layer with all that is usual of it. The ways stand in `ways.yaml`
beside the vocabulary, with what nobody changes unless asked. Raises BadBook for a file that cannot be read.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from validator.assembly.draft import Draft
from validator.engines.deriving import Vector
from validator.facts import possible
from validator.facts.possible import STATED, NotPossible
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import EFFORT_SCALE, NONE, THERE, Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.forms import complain, fields, pairs_of, text_of, texts_of
from validator.language.source import BadBook, Complaint, Node, read_file
from validator.planning.steps import USUAL_ORDER

HALF = "half"
LEFT, LEFT_IN_OLD_WORK = "left alone", "left alone in old work"
WORK, OLD_WORK = "job.work", "renovation"
KEYS = ("does", "how", "step", "when", "layer", "with", "facts", "takes", "care")
PRESENCE = {"there": THERE, "none": NONE}


class Way(NamedTuple):
    """One way of the trade: what is done, at which step, what it takes in height and work, and what to take care of."""

    name: str
    does: str
    how: str
    step: str
    takes: str
    care: str
    when: tuple[tuple[str, str], ...]
    facts: tuple[tuple[str, str], ...]
    layer: str = ""
    layer_facts: tuple[tuple[str, str], ...] = ()

    @property
    def names(self) -> frozenset[str]:
        """Every fact and thing that it changes."""
        said = {name for name, _ in self.facts} | {f"{self.layer}.{name}" for name, _ in self.layer_facts}
        return frozenset(said | {name.partition(".")[0] for name in said})

    @property
    def thing(self) -> str:
        """What it is done to, or what is put in."""
        return self.layer or self.facts[0][0].partition(".")[0]

    def written(self, draft: Draft, subject: Subject) -> Draft:
        """The page with it done at a place."""
        for name, words in self.facts:
            layer = _only_layer(subject, name)
            draft = draft.said(subject, name, _half(subject, draft.vocabulary.fact(name)) if words == HALF else words, layer)
        return draft.layer_added(subject, self.layer, self.layer_facts) if self.layer else draft


class TradeWays(NamedTuple):
    """The ways of the trade, and the facts that nobody changes unless asked."""

    ways: tuple[Way, ...] = ()
    left_alone: frozenset[str] = frozenset()
    left_in_old_work: frozenset[str] = frozenset()


def read_ways(file: Path, vocabulary: Vocabulary) -> TradeWays:
    """The ways of a file; none where there is no file. Raises BadBook with every complaint at once."""
    if not file.is_file():
        return TradeWays()
    complaints: list[Complaint] = []
    lines = fields(read_file(file, complaints), "the ways", (LEFT, LEFT_IN_OLD_WORK, "ways"), ("ways",), complaints)
    pairs = pairs_of(lines["ways"], "ways", complaints) if "ways" in lines else ()
    ways = tuple(_way(key.text, node, vocabulary, complaints) for key, node in pairs)
    left, in_old_work = (_named(lines.get(key), key, vocabulary, complaints) for key in (LEFT, LEFT_IN_OLD_WORK))
    if complaints:
        raise BadBook(complaints)
    return TradeWays(ways, left, in_old_work)


def _named(node: Node | None, key: str, vocabulary: Vocabulary, complaints: list[Complaint]) -> frozenset[str]:
    names = texts_of(node, key, complaints)
    for name in names:
        if name not in vocabulary.facts:
            complain(complaints, node, f"`{name}` is no fact of the vocabulary", vocabulary.nearest_fact(name))
    return frozenset(names)


def _way(name: str, node: Node, vocabulary: Vocabulary, complaints: list[Complaint]) -> Way:
    lines = fields(node, f"the way `{name}`", KEYS, ("does", "how", "step", "takes", "care"), complaints)
    does, how, step, layer, takes, care = (text_of(lines.get(key), key, complaints) for key in ("does", "how", "step", "layer", "takes", "care"))
    efforts = vocabulary.fact(EFFORT_SCALE).words if EFFORT_SCALE in vocabulary.facts else ()
    for said, accepted, key in ((how, efforts, "how"), (step, USUAL_ORDER, "step"), *(((layer, tuple(vocabulary.things), "layer"),) if layer else ())):
        if said not in accepted:
            complain(complaints, lines.get(key, node), f"`{said}` is no {key} of a way", ", ".join(accepted))
    when, facts = (_said(lines.get(key), key, "", vocabulary, complaints) for key in ("when", "facts"))
    with_it = _said(lines.get("with"), "with", layer, vocabulary, complaints)
    if not facts and not layer:
        complain(complaints, node, f"the way `{name}` changes nothing", "`facts`, or `layer` and `with`")
    return Way(name, does, how, step, takes, care, when, facts, layer, with_it)


def _said(node: Node | None, what: str, thing: str, vocabulary: Vocabulary, complaints: list[Complaint]) -> tuple[tuple[str, str], ...]:
    found = []
    for key, value in pairs_of(node, what, complaints) if node is not None else ():
        words, name = text_of(value, key.text, complaints), f"{thing}.{key.text}" if thing else key.text
        found.append((key.text, words))
        fact = vocabulary.facts.get(name)
        if fact is None and not (thing and key.text == "name"):
            complain(complaints, key, f"`{name}` is no fact of the vocabulary", vocabulary.nearest_fact(name))
        elif fact is not None and fact.kind != "presence" and words != HALF:
            try:
                possible.read(fact, words)
            except NotPossible as problem:
                complain(complaints, value, problem.what, problem.accepted)
    return tuple(found)


class Ways:
    """The ways that a place could have, by one book."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        self.trade = read_ways(loaded.shelf / "ways.yaml", loaded.vocabulary) if loaded.shelf is not None else TradeWays()

    def left_alone(self, subject: Subject) -> frozenset[str]:
        """What nobody changes there unless asked."""
        fact, known = self.vocabulary.facts.get(WORK), subject.known.get(WORK)
        old = fact is not None and known is not None and known.value == possible.read(fact, OLD_WORK).value
        return self.trade.left_alone | self.trade.left_in_old_work if old else self.trade.left_alone

    def of(self, subject: Subject, keep: frozenset[str]) -> Iterator[tuple[Way, Layer | None]]:
        """The ways that fit a place and leave what is to be kept, each with the layer that it is done to."""
        if subject.sort != "place" or not self.trade.ways:
            return
        vector = self.loaded.engine.derive(subject).vector
        for way in self.trade.ways:
            if not way.names & keep and self._fits(way, subject, vector):
                yield way, _only_layer(subject, way.facts[0][0]) if not way.layer else None

    def _fits(self, way: Way, subject: Subject, vector: Vector) -> bool:
        """Whether what it is done to is there, one layer of it, and not so already."""
        if not all(self._holds(vector, name, words) for name, words in way.when):
            return False
        if any(len(subject.layers.get(name.partition(".")[0], ())) > 1 for name, _ in way.facts):
            return False
        halved = [_half(subject, self.vocabulary.fact(name)) for name, words in way.facts if words == HALF]
        said = [(name, words) for name, words in way.facts if words != HALF]
        return all(halved) and bool(way.layer or halved or not all(self._holds(vector, name, words) for name, words in said))

    def _holds(self, vector: Vector, name: str, words: str) -> bool:
        """Whether a fact is surely what some words say."""
        fact, value = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        if fact.kind == "presence":
            return value == PRESENCE[words]
        return possible.both(fact, value, possible.read(fact, words).value) == value


def _only_layer(subject: Subject, name: str) -> Layer | None:
    return next(iter(subject.layers.get(name.partition(".")[0], ())), None)


def _half(subject: Subject, fact: Fact) -> str:
    """Half of an amount that is written exactly, in its own unit; nothing otherwise."""
    layer = _only_layer(subject, fact.name)
    known = (layer.known if layer is not None else subject.known).get(fact.name)
    if known is None or known.origin != STATED or known.value[0] != known.value[1]:
        return ""
    return amounts.show(known.value[0] // 2, fact.kind, known.unit, both=False)
