"""Lays an observation beside what a breach shows as: whether it is the same, what of its pattern fits, and what does not."""

from collections.abc import Callable, Iterable
from typing import NamedTuple

from validator.facts import possible
from validator.facts.observing import KIND, Observation, ObservationReader
from validator.facts.possible import Known
from validator.facts.vocabulary import Fact
from validator.rulebook.showing import TYPICAL, Showing



class Fit(NamedTuple):
    """How one observation and one showing agree. `trouble` is the trouble that the showing is of, empty where it is the rule's own."""

    observation: int  # its number among what is seen
    showing: Showing
    trouble: str
    fits: tuple[str, ...] = ()
    differs: tuple[str, ...] = ()

    @property
    def net(self) -> int:
        """How much more of it fits than does not."""
        return len(self.fits) - len(self.differs)

    @property
    def points(self) -> int:
        """One for what it explains, one more where it is usual, and one for each part of the pattern that fits, less those that do not."""
        return 1 + (self.showing.typical == TYPICAL[0]) + self.net

    @property
    def rank(self) -> tuple[object, ...]:
        """The closest first: what fits, then the usual, then what the rule itself says; and never by turn."""
        return (-self.net, TYPICAL.index(self.showing.typical), bool(self.trouble), self.trouble, self.showing.seen)


class Fitting:
    """Compares by one vocabulary."""

    def __init__(self, reader: ObservationReader) -> None:
        self.reader = reader
        self.facts = [fact for fact in reader.facts if fact.name != KIND]
        self.expected: dict[str, tuple[Observation, ...]] = {}

    def best(
        self, number: int, seen: Observation, shown: Iterable[tuple[Showing, str]], counts: Callable[[Fit], bool] = lambda fit: True
    ) -> Fit | None:
        """The showing that an observation fits most closely, of those that count; None where none is of its kind."""
        found = (self._fit(number, seen, expected, showing, trouble) for showing, trouble in shown for expected in self.read(showing))
        return min((fit for fit in found if fit is not None and counts(fit)), key=lambda fit: fit.rank, default=None)

    def read(self, showing: Showing) -> tuple[Observation, ...]:
        """What a showing says, read once: many rules share a trouble."""
        if showing.seen not in self.expected:
            self.expected[showing.seen] = self.reader.line(showing.seen)
        return self.expected[showing.seen]

    def _fit(self, number: int, seen: Observation, expected: Observation, showing: Showing, trouble: str) -> Fit | None:
        if not seen.kinds & expected.kinds:
            return None
        fits, differs = [], []
        for fact in self.facts:
            mine, theirs = seen.known.get(fact.name), expected.known.get(fact.name)
            if mine is not None and theirs is not None:
                (fits if _agree(fact, mine, theirs) else differs).append(_told(fact, mine, theirs))
        return Fit(number, showing, trouble, tuple(fits), tuple(differs))


def _agree(fact: Fact, mine: Known, theirs: Known) -> bool:
    """Whether the two have something in common: of words together, a word that both surely have."""
    if fact.is_together:
        return bool(mine.value[0] & theirs.value[0])
    return possible.both(fact, mine.value, theirs.value) is not None


def _told(fact: Fact, mine: Known, theirs: Known) -> str:
    """What both say of a fact where they agree, and what is usual where they do not."""
    if fact.is_together and (common := mine.value[0] & theirs.value[0]):
        return possible.in_words(fact, (common, common))
    if fact.is_together:
        return possible.in_words(fact, (theirs.value[0], theirs.value[0]))
    return possible.in_words(fact, theirs.value)
