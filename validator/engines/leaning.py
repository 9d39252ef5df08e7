"""Derives a place from what it was before something there was said otherwise: only what leans on that is derived."""

from collections.abc import Iterable

from validator.engines.deriving import DerivedPlace, Deriver
from validator.facts.subjects import Subject, facts_told_otherwise
from validator.rulebook.book import Book
from validator.rulebook.dependencies import Dependencies


class Leaning:
    """Which facts lean on which, in the order of one book; kept as they are found."""

    def __init__(self, deriver: Deriver, book: Book) -> None:
        self.deriver, self.vocabulary = deriver, book.vocabulary
        self._dependencies = Dependencies(book)
        self._on: dict[str, frozenset[str]] = {}

    def on(self, name: str) -> frozenset[str]:
        """Every fact that follows from a fact, or is what was stated of it."""
        known = self._on.get(name)
        if known is None:
            upstream = self._dependencies.upstream_of
            following = (each.fact.name for each in self.deriver.order if name in upstream(each.fact.name))
            known = self._on[name] = frozenset([f"{name} as stated", *following])
        return known

    def derived_from(self, subject: Subject, before: DerivedPlace, only: frozenset[str] | None = None) -> DerivedPlace:
        """Everything that follows, where `before` was derived of the same place while it said something else, or the same on other lines.

        `only` some facts, if nothing else is needed.
        """
        deriver = self.deriver
        changed = None if before.disagreements else facts_told_otherwise(subject, before.subject)
        if changed is None:
            return deriver.derive(subject, only)
        if not changed:
            return self._on_its_layers(subject, before)
        place = deriver.started(subject)
        changed |= self._counted(name for name in changed if (name in place.known) != (name in before.known))
        leaning = changed.union(*map(self.on, changed))
        slots = [deriver.slots[name] for name in leaning if name in deriver.slots]
        bits = sum(1 << slot for slot in slots)
        for now, was in zip(place.vectors(), before.vectors()):
            stated, said = was[0] & ~bits | now[0] & bits, [now[slot] for slot in slots]
            now[:] = was
            for slot, value in zip(slots, said):
                now[slot] = value
            now[0] = stated
        place.provenance |= {name: how for name, how in before.provenance.items() if name not in leaning}
        return deriver.followed(place, leaning if only is None else leaning & only)

    def _counted(self, names: Iterable[str]) -> set[str]:
        """The things of some facts that may be there or not: how many of a thing there are may hang on whether anything is said of it."""
        things = {self.vocabulary.fact(name).thing for name in names}
        return {each for each in things if not self.vocabulary.things[each].always}

    def _on_its_layers(self, subject: Subject, before: DerivedPlace) -> DerivedPlace:
        """What was derived before, with the place and its layers as they are written now."""
        layers = {
            thing: [(layer, vector) for layer, (_, vector) in zip(subject.layers[thing], pairs)] for thing, pairs in before.layers.items()
        }  # fmt: skip
        return DerivedPlace(subject, before.vector, layers, before.provenance, self.deriver.known_at(subject), [])
