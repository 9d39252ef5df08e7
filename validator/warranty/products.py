"""What is on the job by the products named, for the person who decides on a condition tied to one maker; judged by nothing."""

from collections.abc import Iterable

from validator.facts.vocabulary import Vocabulary
from validator.warranty.matters import Looked
from validator.warranty.report import ProductLine


def products_on(looked: Iterable[Looked], kinds: tuple[str, ...], vocabulary: Vocabulary) -> tuple[ProductLine, ...]:
    """Every layer, part and seal at places of some kinds and where they meet, once a product; no kinds are all of them."""
    subjects = {derived.subject.name: (derived.subject, derived.vector) for derived, _ in looked}
    kind, slot = vocabulary.facts["place.kind"], vocabulary.slot("place.kind")
    wanted = sum(1 << kind.words.index(word) for word in kinds)
    spoken_of = {
        name for name, (subject, vector) in subjects.items()
        if subject.sort == "place" and (not kinds or vector[slot] & wanted)
    }  # fmt: skip
    where: dict[tuple[str, str, bool], list[str]] = {}
    for name, (subject, _) in subjects.items():
        if name in spoken_of or spoken_of & set(subject.at):
            for product in subject.products:
                where.setdefault(product, []).append(name if subject.sort == "place" else subject.kind)
    return tuple(
        ProductLine(thing=thing, product=name, card=card, places=tuple(dict.fromkeys(places)))
        for (thing, name, card), places in where.items()
    )
