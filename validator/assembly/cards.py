"""Product cards: what a product's own sheet declares, so that nobody need write it again.

`product: NAME` brings a card's facts into a layer. Where a statement and the card leave nothing in common, the fact is
any of both and the disagreement is kept; half an inch against 13 mm is no disagreement.
"""

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from validator.facts import possible
from validator.facts.possible import CARD, NOT_STATED, Known, NotPossible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language.forms import fields, pairs_of, refuse, text_of
from validator.language.source import BadBook, Complaint, nearest, read_file

if TYPE_CHECKING:
    from validator.assembly.statement_reading import Statement, StatementReader

DISAGREES = "disagrees"
CARD_KEYS = ("card", "thing", "declares", "about", "sheet")

# What two printed roundings of one length may differ by, and of any other weighed or measured amount, as a share.
_ROUNDED_LENGTH = 793_750  # 1/32 in
_ROUNDED_THIN = 7  # percent, so that 30 and 50 mil of film are not one thing; 1/4 in and 6 mm are
_ROUNDED_SHARE = 100
_ROUNDED_KINDS = frozenset(("area", "volume", "mass", "load", "force", "stress", "permeance", "coverage", "moisture emission"))


class ProductCard(NamedTuple):
    """One product: its name, the thing it is, and what its sheet declares."""

    name: str
    thing: str
    about: str
    declares: dict[str, Known]


def read_catalogue(folder: Path, vocabulary: Vocabulary) -> dict[str, ProductCard]:
    """The cards of a folder by plain name. Raises BadBook with every complaint at once."""
    complaints: list[Complaint] = []
    cards: dict[str, ProductCard] = {}
    for path in sorted(folder.glob("*.yaml")):
        node = read_file(path, complaints)
        if node is None:
            continue
        lines = fields(node, "a product card", CARD_KEYS, ("card", "thing", "declares"), complaints)
        name, thing = text_of(lines.get("card"), "card", complaints), text_of(lines.get("thing"), "thing", complaints)
        if "thing" in lines and (thing not in vocabulary.things or vocabulary.things[thing].sort not in ("layer", "seal", "part")):
            near = nearest(thing, vocabulary.things)
            refuse(complaints, lines["thing"], f"`{thing}` is no layer, seal or part of the vocabulary",
                   f"did you mean `{near}`?" if near else "")  # fmt: skip
            continue
        if _key(name) in cards:
            refuse(complaints, lines["card"], f"there are two cards named `{name}`", "a name of its own for each")
        declares = _declared(lines.get("declares"), thing, vocabulary, complaints)
        cards[_key(name)] = ProductCard(name, thing, text_of(lines.get("about"), "about", complaints), declares)
    if complaints:
        raise BadBook(complaints)
    return cards


def _key(name: str) -> str:
    return " ".join(name.casefold().split())


def card_of(catalogue: dict[str, ProductCard], name: str) -> ProductCard | None:
    """The card of a product, however its capitals and spaces are written."""
    return catalogue.get(_key(name))


def _declared(node, thing: str, vocabulary: Vocabulary, complaints: list[Complaint]) -> dict[str, Known]:
    declared: dict[str, Known] = {}
    for key, value in pairs_of(node, "declares", complaints):
        fact = vocabulary.facts.get(f"{thing}.{key.text}")
        if fact is None or not fact.stated:
            refuse(complaints, key, f"`{key.text}` is not a fact that a card of `{thing}` can declare",
                   vocabulary.nearest_fact(f"{thing}.{key.text}"))  # fmt: skip
            continue
        try:
            text = text_of(value, key.text, complaints)
            declared[fact.name] = possible.read(fact, text, value.where, complete=True).from_(CARD)
            for name, edge in possible.edges(fact, text).items():
                declared[name] = edge._replace(origin=CARD, where=value.where)
        except NotPossible as problem:
            refuse(complaints, value, f"`{key.text}`: {problem.what}", problem.accepted)
    return declared


def with_card(listener: "Listener", said: "Said") -> "Statement":
    """A thing together with what the card of its product declares."""
    if not said.product:
        return said
    card = card_of(listener.catalogue, said.product)
    if card is None:
        near = nearest(said.product, [each.name for each in listener.catalogue.values()])
        listener.note(said.where, f"there is no card for `{said.product}`: only what is written here counts",
                      f"did you mean `{near}`?" if near else "")  # fmt: skip
        return said
    if card.thing != said.thing:
        listener.complaints.append(
            Complaint(said.where, f"`{card.name}` is a {card.thing}, not a {said.thing}", f"`{card.thing}:` with that product")
        )
        return said
    said.product, said.card = card.name, True
    for name, declared in card.declares.items():
        bring_in(listener.vocabulary.facts[name], said, card.name, declared)
    return said


def bring_in(fact: Fact, said: "Said", card: str, declared: Known) -> None:
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
