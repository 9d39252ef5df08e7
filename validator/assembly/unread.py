"""What a file leaves unsaid where some of its lines could not be read, so that what could be read is judged without them.

Of what a line may have said nothing is taken as usual, nothing is taken as not there, and no `nothing else: yes` closes a place:
the line may have been that very thing. A layer that is not read leaves a gap in its turn.
"""

from collections.abc import Iterable

from validator.assembly.evidence import SHOWN_BY
from validator.assembly.layer_reading import LAYER
from validator.assembly.written import WrittenAssembly
from validator.facts.vocabulary import Vocabulary
from validator.language.source import Complaint

# What a line may have been, by what it stands under: a line of a place may be a fact of it, what it is on, a part, a record or a seal.
MAY_BE = {"place": ("place", "part", "record", "junction", "seal", "framing"), "junction": ("junction", "seal"), LAYER: (), SHOWN_BY: ()}


def unread_of(complaints: Iterable[Complaint], described: WrittenAssembly, vocabulary: Vocabulary) -> frozenset[str]:
    """The facts and things that what was complained of may have said; every one, where nothing is known of what it was about.

    A layer that was not read may be any that its place does not have.
    """
    unread: set[str] = set()
    abouts = {complaint.about for complaint in complaints}
    if LAYER in abouts:
        gaps = [{layer.thing for layer in place.layers if layer is not None} for place in described.places.values() if None in (place.layers or ())]
        layers = {thing.name for thing in vocabulary.things.values() if thing.sort == "layer"}
        unread |= {fact.name for fact in vocabulary.facts.values() if any(fact.thing in layers - written for written in gaps)}
    for about in abouts:
        if about in vocabulary.facts and about not in vocabulary.things:
            unread.add(about)
            continue
        sorts = MAY_BE.get(about, (about,))
        things = {
            thing.name for thing in vocabulary.things.values() if not about or about in (thing.name, thing.role) or thing.sort in sorts
        }
        unread |= things | {fact.name for fact in vocabulary.facts.values() if fact.thing in things}
    return frozenset(unread)


def open_again(described: WrittenAssembly) -> None:
    """Takes back whatever closes a list: what could not be read may have been in it."""
    described.closed = described.other_seals = None
    for place in described.places.values():
        place.closed = None
