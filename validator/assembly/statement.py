"""One thing as somebody wrote it, and what its product card adds.

`product: NAME` brings a card's facts into a thing. Where a statement and the card leave nothing in common, the fact is any of
both and the disagreement is kept; half an inch against 13 mm is no disagreement.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from validator.assembly.evidence import NOT_SHOWN, Offered, Shown
from validator.facts import possible
from validator.facts.observing import Observation
from validator.facts.possible import DISAGREES, NOT_STATED, STATED, Known
from validator.facts.subjects import Product
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact
from validator.language.source import Where

# What two printed roundings of one length may differ by, and of any other weighed or measured amount, as a share.
_ROUNDED_LENGTH = 793_750  # 1/32 in
_ROUNDED_THIN = 7  # percent, so that 30 and 50 mil of film are not one thing; 1/4 in and 6 mm are
_ROUNDED_SHARE = 100
_ROUNDED_KINDS = frozenset(("area", "volume", "mass", "load", "force", "stress", "permeance", "coverage", "moisture emission"))


@dataclass(slots=True, eq=False, repr=False)
class Statement:
    """One thing as written. `presence` is NONE, THERE or MAYBE; `against` holds what its product card says otherwise.

    `product` is the name written for it, `card` whether a card of that name was read; `shown_by` is offered to show that it
    is there.
    """

    thing: str
    where: Where
    presence: int = THERE
    name: str = ""
    product: str = ""
    card: bool = False
    known: dict[str, Known] = field(default_factory=dict)
    against: list[tuple[str, tuple[tuple[str, str], ...], Where | None]] = field(default_factory=list)
    observed: tuple[Observation, ...] = ()
    shown_by: Offered = None

    def whether_there(self) -> Known:
        """Its presence, as it is written."""
        if self.presence == MAYBE:
            return Known(MAYBE, NOT_STATED, "written", self.where)
        return Known(self.presence, STATED, "written", self.where, shown_by=self.shown_by)

    def shown(self, shown: Shown) -> "Statement":
        """The thing with what is offered for it, or for what it stands in, wherever nothing nearer is."""
        if shown == NOT_SHOWN:
            return self
        shown_by = shown.at(self.where) if self.shown_by is None else self.shown_by
        return replace(self, known=shown.put_on(self.known, self.where), shown_by=shown_by)

    def elsewhere(self, *, shown: bool) -> "Statement":
        """The thing built alike in another place, where nothing is seen of it yet; without what shows it unless that is `shown` too."""
        if shown:
            return replace(self, observed=()) if self.observed else self
        return replace(self, known={n: k._replace(shown_by=None) for n, k in self.known.items()}, shown_by=None, observed=())


def products_of(said: Iterable[Statement]) -> tuple[Product, ...]:
    """What is there, or may be, by the product named; each once."""
    return tuple(dict.fromkeys(Product(each.thing, each.product, each.card) for each in said if each.presence != NONE))


def bring_in(fact: Fact, said: Statement, card: str, declared: Known) -> None:
    """Set what a card declares beside what is said; where both cannot be so, either may be, and the two are kept."""
    stated = said.known.get(fact.name)
    if stated is None or stated.origin == NOT_STATED:
        said.known[fact.name] = declared
        return
    if declared.value is None or stated.value is None:
        return
    value = possible.both(fact, stated.value, declared.value)
    origin = stated.origin
    if value is None:
        value = possible.either(fact, stated.value, declared.value)
        if not _same_but_for_rounding(fact, stated.value, declared.value):
            origin = DISAGREES
            said.against.append((fact.name, (("stated", stated.text), (card, declared.text)), stated.where))
    said.known[fact.name] = stated._replace(value=value, origin=origin)


def _same_but_for_rounding(fact: Fact, first: object, second: object) -> bool:
    if fact.kind != "length" and fact.kind not in _ROUNDED_KINDS:
        return False
    largest = max((abs(end) for end in (*first, *second) if abs(end) < 1 << 62), default=0)
    spread = min(_ROUNDED_LENGTH, largest * _ROUNDED_THIN // 100) if fact.kind == "length" else largest // _ROUNDED_SHARE
    return max(first[0], second[0]) - min(first[1], second[1]) <= spread
