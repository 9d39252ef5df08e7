"""Reads from a derived place what a buying list counts by: sides, areas, words, and what would have to be written to know them."""

from collections.abc import Iterable
from fractions import Fraction

from validator.engines.deriving import DerivedPlace, Vector
from validator.facts import possible
from validator.facts.subjects import Layer
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.english import name_of
from validator.workings import WORKINGS
from validator.workings.intervals import WorkedRange, from_steps

Span = tuple[Fraction, Fraction | None]
NOT_BOUGHT = ("existing", "to be removed")


class Measured:
    """What is known of places, by one book."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary

    def layers(self, found: DerivedPlace, thing: str) -> list[Vector]:
        """The vector of each layer of a kind that is surely there and is put in anew."""
        layers = found.layers.get(thing, [(None, found.vector)])
        return [vector for layer, vector in layers if self.is_there(vector, thing) and not self._stands_already(found, layer, thing)]

    def is_there(self, vector: Vector, thing: str) -> bool:
        return vector[self.vocabulary.slot(thing)] == THERE

    def _stands_already(self, found: DerivedPlace, layer: Layer | None, thing: str) -> bool:
        known = (layer.known if layer is not None else found.known).get(f"{thing}.state")
        if known is None:
            return False
        words = possible.in_words(self.vocabulary.fact(f"{thing}.state"), known.value).split(" or ")
        return set(words) <= set(NOT_BOUGHT)

    def span(self, vector: Vector, name: str, unit: str) -> Span | None:
        """The least and greatest of an amount, None where it has no least; no greatest is None."""
        fact = self.vocabulary.fact(name)
        least, greatest = vector[self.vocabulary.slot(name)]
        if least == NO_LEAST:
            return None
        low = from_steps(least, fact.kind, unit)
        return low, None if greatest == NO_GREATEST else from_steps(greatest, fact.kind, unit)

    def words(self, vector: Vector, name: str) -> tuple[str, ...]:
        """The words that a fact could still be."""
        fact, mask = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        return tuple(word for bit, word in enumerate(fact.words) if mask >> bit & 1)

    def surely(self, vector: Vector, name: str, *words: str) -> bool:
        """Whether a fact is one of some words, whatever it is."""
        could = self.words(vector, name)
        return bool(could) and set(could) <= set(words)

    def said(self, found: DerivedPlace | None, vector: Vector, name: str) -> str:
        """A fact in words, in the writer's unit; nothing where it is not known."""
        fact, value = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        if possible.is_anything(fact, value):
            return ""
        if fact.is_amount:
            known = found.known.get(name) if found is not None else None
            return amounts.show_range(*value, fact.kind, known.unit if known is not None and known.unit else None, False)
        return possible.in_words(fact, value)

    def sides(self, vector: Vector) -> list[tuple[Span, Span]]:
        """Width and height of a place, each way round where only its two sides are known; empty when one has no end.

        Of a wall as high above the drain as one of its sides is long, that side is its height.
        """
        for one, other in (("place.width", "place.height"), ("place.greatest dimension", "place.least dimension")):
            a, b = self.span(vector, one, "in"), self.span(vector, other, "in")
            if a is not None and b is not None and a[1] is not None and b[1] is not None:
                up = self.span(vector, "place.height above drain", "in")
                return [(a, b)] if one == "place.width" or b == up != a else [(b, a)] if a == up != b else [(a, b), (b, a)]
        return []

    def lacks_size(self, vector: Vector) -> list[str]:
        """What would give a place its two sides."""
        known = [name for name in ("place.width", "place.height") if self.span(vector, name, "in") is not None]
        return [name for name in ("place.width", "place.height") if name not in known] if known else ["place.size"]

    def worked(self, vector: Vector, working: str, **instead: object) -> WorkedRange:
        """A sum of the book by what is known of a place, some of it taken otherwise."""
        given = {each.fact: vector[self.vocabulary.slot(each.fact)] for each in WORKINGS[working].inputs}
        return self.loaded.engine.deriver.work(working, {**given, **instead})

    def named(self, lacks: Iterable[str]) -> str:
        """Facts as a reader says them, each once: `size, sheet width and sheet height`."""
        names = list(dict.fromkeys(name_of(self.vocabulary, name) for name in lacks))
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else ""


def times(span: Span, factor: Fraction) -> Span:
    """An amount and its end, so many times."""
    return span[0] * factor, None if span[1] is None else span[1] * factor


def product(one: Span, other: Span) -> Span:
    return one[0] * other[0], None if one[1] is None or other[1] is None else one[1] * other[1]


def total(one: Span, other: Span) -> Span:
    return one[0] + other[0], None if one[1] is None or other[1] is None else one[1] + other[1]


def hull(spans: list[Span]) -> Span | None:
    """From the least to the greatest of several; None of none."""
    if not spans:
        return None
    ends = [high for _, high in spans]
    return min(low for low, _ in spans), None if None in ends else max(ends)


def in_steps(span: Span) -> tuple[int, int]:
    return int(span[0] * 25_400_000), int(span[1] * 25_400_000)


def inches_of(value: Fraction) -> str:
    return amounts.show(int(value * 25_400_000), "length", "in", False).removesuffix(" in")


def feet_of(span: Span) -> str:
    low, high = span
    return amounts.show_range(int(low * 25_400_000), NO_GREATEST if high is None else int(high * 25_400_000), "length", "ft", False)
