"""Takes the few words that a new assembly begins with, returns what they say: `mud bed, cement board, roll-on membrane`.

Every word that the vocabulary knows as a layer or a part is written at the place where it belongs, and not asked again.
"""

import re
from collections.abc import Iterable
from typing import NamedTuple

from validator.assembly.places import can_be
from validator.assembly.statement_reading import StatementReader
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE, Thing

SORTS = ("layer", "part")
LONGEST_NAME = 4  # words
# Between these a new thing is spoken of, so that no name reaches over them.
_APART = re.compile(r"\s*[,;]\s*|(?:^|\s|(?<=\s))(?:and|with|over|on|under|onto)(?=\s)")
_DENIED = frozenset(("no", "not", "without"))


class Heard(NamedTuple):
    """One thing that was said: the place, the fact, what it says, and the words that said it."""

    at: str
    fact: str
    says: str
    words: str


def heard(said: str, places: Iterable[Subject], asked_at: dict[str, str], reader: StatementReader) -> list[Heard]:
    """What some words say of the places of a new assembly; `asked_at`: for each thing, the place where it is asked about."""
    found: list[Heard] = []
    subjects = [place for place in places if place.sort == "place"]
    for segment in _APART.split(said.casefold()):
        words = segment.split()
        start = 0
        while start < len(words):
            for end in range(min(len(words), start + LONGEST_NAME), start, -1):
                phrase = " ".join(words[start:end])
                thing, fact, says = _spoken_of(phrase, asked_at, reader)
                at = _where(thing, subjects, asked_at) if thing is not None else ""
                if at:
                    if start and words[start - 1] in _DENIED:
                        phrase, fact, says = f"{words[start - 1]} {phrase}", thing.name, "none"
                    found.append(Heard(at, fact, says, phrase))
                    start = end - 1
                    break
            start += 1
    return found


def _spoken_of(phrase: str, asked_at: dict[str, str], reader: StatementReader) -> tuple[Thing | None, str, str]:
    """The thing that a phrase names, with the fact that it says of it: that it is there, or what it is."""
    thing = reader.thing_of(phrase, SORTS)
    if thing is not None:
        word = reader.word_called(phrase)
        return (thing, f"{thing.name}.{thing.named_by}", word) if word and thing.named_by else (thing, thing.name, "there")
    words = phrase.split()
    for cut in range(1, len(words)):
        before, thing = " ".join(words[:cut]), reader.thing_of(" ".join(words[cut:]), SORTS)
        facts = [] if thing is None or before in _DENIED else _facts_that_say(thing, before, reader)
        if facts:
            return thing, facts[0], before
    kinds = [thing for thing in reader.things_of_word(phrase, SORTS) if thing.name in asked_at]
    return (kinds[0], f"{kinds[0].name}.{kinds[0].named_by}", phrase) if len(kinds) == 1 else (None, "", "")


def _facts_that_say(thing: Thing, word: str, reader: StatementReader) -> list[str]:
    """The facts of a thing of which a word before its name speaks: `roll-on membrane`, `porcelain tile`; what names it first."""
    own = [fact.name.partition(".")[2] for fact in reader.vocabulary.facts.values() if fact.thing == thing.name != fact.name and fact.stated]
    first = [name for name in (thing.named_by, *thing.alone) if name]
    return [f"{thing.name}.{name}" for name in dict.fromkeys((*first, *own)) if name in own and reader.reads(thing, name, word, ("word", "size"))]


def _where(thing: Thing, places: list[Subject], asked_at: dict[str, str]) -> str:
    """The place where a thing belongs: where the template asks about it, else the first that surely can have it."""
    if thing.name in asked_at:
        return asked_at[thing.name]
    return next((place.name for place in places if place.kind and can_be(thing, (place.kind,)) == THERE), "")
