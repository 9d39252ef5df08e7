"""Takes what two submissions state, returns what was changed between them, by place and layer."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from validator.assembly import Assembly
from validator.facts.possible import CARD, STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import Vocabulary

NAMED_BY = "junction.kind"  # a junction is named by its kind
OF_A_JUNCTION = ("junction", "seal")  # sorts of things
ADDED, TAKEN_OUT, CHANGED, NOW_STATED, NO_LONGER_STATED = "added", "taken out", "changed", "now stated", "no longer stated"
RENAMED = "renamed"  # a whole place; `before` is its name in the submission before

Facts = Mapping[str, str]  # what is said of one thing, by the fact's own name
Stated = Mapping[str, Mapping[str, Facts]]  # by place, by thing: `board`, or `board 2` where there are several


class Change(NamedTuple):
    """One thing that was changed, at every place where it was changed alike. `thing` is empty for a whole place."""

    places: tuple[str, ...]
    thing: str
    way: str
    fact: str = ""
    before: str = ""
    after: str = ""


def stated_in(assembly: Assembly) -> dict[str, dict[str, dict[str, str]]]:
    """What somebody wrote of each place, or a product card declares there; what follows from it is left out.

    A junction that only the shape of the rooms makes, of which nothing is written, is left out too.
    """
    return {
        subject.name: things for subject in assembly.subjects
        if (things := _things_of(subject, assembly.vocabulary)) or subject.sort == "place"
    }  # fmt: skip


def _things_of(subject: Subject, vocabulary: Vocabulary) -> dict[str, dict[str, str]]:
    """By thing what is said of it; at a junction what the places say that meet there is theirs, and a size is told once."""
    things: dict[str, dict[str, str]] = {}
    told_elsewhere = {given for name in subject.known for given in vocabulary.fact(name).gives}
    for name, known in subject.known.items():
        thing, _, attribute = name.partition(".")
        if name in told_elsewhere or name == NAMED_BY or (subject.sort == "junction" and vocabulary.things[thing].sort not in OF_A_JUNCTION):
            continue
        if not attribute and known.origin == STATED and known.where is not None:
            things.setdefault(thing, {})
        elif attribute and thing not in subject.layers and _is_said(known):
            things.setdefault(thing, {})[attribute] = known.text
    for thing, layers in subject.layers.items() if subject.sort != "junction" else ():
        for turn, layer in enumerate(layers, 1):
            things[_called(thing, layer, turn, layers)] = {
                name.partition(".")[2]: known.text for name, known in layer.known.items() if "." in name and _is_said(known)
            }
    return things


def _called(thing: str, layer: Layer, turn: int, layers: list[Layer]) -> str:
    """The layer by its own name, else by its kind, with its turn where there are several."""
    return layer.name or (thing if len(layers) == 1 else f"{thing} {turn}")


def _is_said(known: Known) -> bool:
    return known.origin in (STATED, CARD) and bool(known.text)


def changes_between(before: Stated, after: Stated) -> tuple[Change, ...]:
    """What was changed, place by place in their order, what is new or gone last; changes alike are told once."""
    found: dict[Change, list[str]] = {}

    def note(place: str, *said: str) -> None:
        found.setdefault(Change((), *said), []).append(place)

    for place in dict.fromkeys((*after, *before)):
        if place not in before:
            note(place, "", ADDED)
        elif place not in after:
            note(place, "", TAKEN_OUT)
        else:
            for change in _within(before[place], after[place]):
                note(place, *change)
    return tuple(change._replace(places=tuple(places)) for change, places in found.items())


def _within(before: Mapping[str, Facts], after: Mapping[str, Facts]) -> Iterable[tuple[str, ...]]:
    for thing in dict.fromkeys((*after, *before)):
        if thing not in before:
            yield thing, ADDED, "", "", _together(after[thing])
        elif thing not in after:
            yield thing, TAKEN_OUT, "", _together(before[thing]), ""
        else:
            yield from _of_thing(thing, before[thing], after[thing])


def _of_thing(thing: str, before: Facts, after: Facts) -> Iterable[tuple[str, ...]]:
    for fact in dict.fromkeys((*after, *before)):
        was, now = before.get(fact, ""), after.get(fact, "")
        if was != now:
            way = CHANGED if was and now else NOW_STATED if now else NO_LONGER_STATED
            yield thing, way, fact, was, now


def _together(facts: Facts) -> str:
    return "; ".join(f"{fact} {text}" for fact, text in facts.items())
