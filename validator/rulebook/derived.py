"""How one fact comes about that nobody need state: over layers, by a formula, by a working, by consequences."""

from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.rulebook import formulas
from validator.rulebook.fusing import Test


class Contribution(NamedTuple):
    """A consequence, by its name, as it bears on one fact: when it holds, the layer kinds it reads, and the words it gives."""

    consequence: str
    when: Test
    kinds: tuple[str, ...]
    mask: int


class DerivedFact(NamedTuple):
    """How one fact comes about: over layers, by a formula, by a working, by consequences; more than one may contribute."""

    fact: Fact
    formula: formulas.Term | None
    working: str
    inputs: tuple[str, ...]  # what the working reads
    contributions: tuple[Contribution, ...]
    things: tuple[str, ...] = ()  # what must be there, beside what the fact is said of, for its formula or working to say anything

    @property
    def consequences(self) -> tuple[str, ...]:
        return tuple(contribution.consequence for contribution in self.contributions)
