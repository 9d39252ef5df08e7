"""A warranty document's stated conditions as data: what each term gives, and what it asks to be shown.

A programme is one revision of one document. Every condition says what it needs, of what kind it is, and how it is to be
judged; a condition tied to one maker or to a named service holds nothing that could judge it, so that it goes to a person.
"""

from dataclasses import dataclass
from typing import NamedTuple

from validator.language.amounts import Amount
from validator.rulebook.rule import Rule

STANDARD, QUALIFICATION, ADMINISTRATIVE, EVIDENCE, SCOPE = (
    "by standard", "by general qualification", "administrative", "evidence", "scope",
)  # fmt: skip
ONE_MAKER, NAMED_SERVICE = "tied to one maker", "tied to a named service"
TIED = (ONE_MAKER, NAMED_SERVICE)
KINDS = (STANDARD, QUALIFICATION, *TIED, ADMINISTRATIVE, EVIDENCE, SCOPE)


class Clear(NamedTuple):
    """No failed and no open matter among these warranty matters."""

    matters: tuple[str, ...]


class Within(NamedTuple):
    """One day at most so many days after another."""

    days: int
    start: str
    end: str


class Enough(NamedTuple):
    """What was bought against the area it has to do: `one` of it does from the least to the greatest of `does`.

    Above `asks_above` times what the area takes at most, the document asks whether it went to another job; 0 never asks.
    """

    bought: str
    one: Amount
    does: Amount
    places: tuple[str, ...]
    asks_above: int = 0


class EarlierTerm(NamedTuple):
    """Everything another term of the same document asks."""

    term: str


Test = Clear | Rule | Within | Enough | EarlierTerm


@dataclass(frozen=True, slots=True)
class Stated:
    """One condition as the document states it, in the author's own few words; without a test only a person may judge it."""

    needs: str
    kind: str
    test: Test | None
    clause: str = ""
    shown_by: str = ""


@dataclass(frozen=True, slots=True)
class Term:
    """What is given for how long, and every condition it stands on. Either `years` or `life_of` says how long."""

    name: str
    gives: str
    starts: str
    years: int = 0
    life_of: str = ""
    conditions: tuple[Stated, ...] = ()

    @property
    def is_tied(self) -> bool:
        return any(condition.kind in TIED for condition in self.conditions)

    @property
    def depends_on(self) -> tuple[str, ...]:
        return tuple(condition.test.term for condition in self.conditions if isinstance(condition.test, EarlierTerm))


@dataclass(frozen=True, slots=True)
class Document:
    """The one revision that is read. `first` and `last` are days since 1970-01-01; `on` is the fact that must fall there."""

    title: str
    revision: str
    headed: str
    on: str
    first: int
    last: int | None = None


@dataclass(frozen=True, slots=True)
class Programme:
    """A document's terms with their conditions. `places` are the kinds of place that it speaks of."""

    name: str
    about: str
    document: Document
    holder: str
    places: tuple[str, ...]
    every_term: tuple[Stated, ...]
    terms: tuple[Term, ...]
    fingerprint: str = ""
