"""Product cards: what a product's own sheet declares, so that nobody need write it again."""

from pathlib import Path
from typing import NamedTuple

from validator.facts import possible
from validator.facts.possible import CARD, Known, NotPossible
from validator.facts.vocabulary import Vocabulary
from validator.language.files import written_in
from validator.language.forms import Complaints, complain, fields, pairs_of, text_of
from validator.language.slips import nearest
from validator.language.source import BadBook, Complaint, read_file

CARD_KEYS = ("card", "thing", "declares", "about", "sheet")


class ProductCard(NamedTuple):
    """One product: its name, the thing it is, and what its sheet declares."""

    name: str
    thing: str
    about: str
    declares: dict[str, Known]


def read_catalogue(folder: Path, vocabulary: Vocabulary) -> dict[str, ProductCard]:
    """The cards of a folder by plain name. Raises BadBook with every complaint at once."""
    complaints = Complaints(BadBook)
    cards: dict[str, ProductCard] = {}
    for path in written_in(folder):
        node = read_file(path, complaints)
        if node is None:
            continue
        lines = fields(node, "a product card", CARD_KEYS, ("card", "thing", "declares"), complaints)
        name, thing = text_of(lines.get("card"), "card", complaints), text_of(lines.get("thing"), "thing", complaints)
        if "thing" in lines and (thing not in vocabulary.things or vocabulary.things[thing].sort not in ("layer", "seal", "part")):
            near = nearest(thing, vocabulary.things)
            complain(complaints, lines["thing"], f"`{thing}` is no layer, seal or part of the vocabulary",
                   f"did you mean `{near}`?" if near else "")  # fmt: skip
            continue
        if _key(name) in cards:
            complain(complaints, lines["card"], f"there are two cards named `{name}`", "a name of its own for each")
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
            complain(complaints, key, f"`{key.text}` is not a fact that a card of `{thing}` can declare",
                   vocabulary.nearest_fact(f"{thing}.{key.text}"))  # fmt: skip
            continue
        try:
            text = text_of(value, key.text, complaints)
            declared[fact.name] = possible.read(fact, text, value.where, complete=True).from_(CARD)
            for name, edge in possible.edges(fact, text).items():
                declared[name] = edge._replace(origin=CARD, where=value.where)
        except NotPossible as problem:
            complain(complaints, value, f"`{key.text}`: {problem.what}", problem.accepted)
    return declared
