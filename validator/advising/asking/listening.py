"""Takes the few words that a new assembly begins with, returns what they say: `mud bed, cement board, roll-on membrane`.

Every word that the vocabulary knows as a layer or a part is written at the place where it belongs, and not asked again.
"""

import re
from collections.abc import Iterable
from typing import NamedTuple

from validator.assembly.name_reading import singular
from validator.assembly.phrases import pieces_of
from validator.assembly.places import STRUCTURE, can_be
from validator.assembly.statement_reading import StatementReader
from validator.facts.possible import can_read
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE, Thing

SORTS = ("layer", "part")
LONGEST_NAME = 8  # words
# Between these a new thing is spoken of, so that no name reaches over them.
_APART = re.compile(r"\s*[,;]\s*|(?:^|\s|(?<=\s))(?:and|with|over|on|under|onto)(?=\s)")
_DENIED = frozenset(("no", "not", "without"))
_BROKEN = re.compile(r"x|by|[0-9][0-9./-]*")  # after these a phrase would begin inside a size or an amount
_SIZE_ALONE = re.compile(r"[0-9]+ ?x ?[0-9]+ ?(?:in|mm|\")?")  # between commas, as one writes a tile
_SMALL_PIECES = ("mosaic", "pebbles")  # what is laid on a shower floor where nobody says where
_OF_FRAMING = (
    # Alone, only what is sold as a joist is one: `4x4 ceramic` is a tile, and a `4x6 shower` a room.
    ("framing.joist", re.compile(r"\b(?:([0-9]x[0-9]+)s? (?:joists?|beams?)|(2x(?:6|8|10|12))s?)\b(?! ?(?:tile|ceramic|porcelain|subway|mosaic|glass|stone|marble))")),
    ("framing.spacing", re.compile(r"\b(?:at |every )?([0-9][0-9./-]* ?(?:in|inch|inches|\"|mm|cm)? ?(?:o\.?c\.?|c/c|cent(?:er|re)s|on cent(?:er|re)s?))(?=\W|$)")),
    ("framing.span", re.compile(r"\b(?:span(?:ning| of)? ([0-9][0-9./-]* ?(?:ft|feet|foot|in|m|mm|')(?: [0-9][0-9/-]* ?in)?)|([0-9][0-9./-]* ?(?:ft|feet|foot|m) ?span))(?=\W|$)")),
)  # fmt: skip


# `5x5 shower`, `10 x 12 ft kitchen`: the size of a room, never of its floor's or wall's tile.
_ROOM = re.compile(
    r"\b([0-9]+(?:\.[0-9]+)?) ?(ft|feet|'|in|\"|m)? ?(?:x|by) ?([0-9]+(?:\.[0-9]+)?) ?(ft|feet|foot|'|in|inch|\"|m|mm|cm)?"
    r"(?= (?:\w+ ){0,2}?(?:shower|stall|wet room|bath|bathroom|kitchen|laundry|room|entry|deck|patio|balcony|terrace|porch|sauna)(?! (?:floor|wall|tile|surround|pan|niche)))"
)
_MOST_FEET, _LEAST_INCHES = 20, 24  # bare figures of a room below the one are feet, from the other up inches; between, nobody knows


class Heard(NamedTuple):
    """One fact that was said: the place, or nothing for the framing, the fact, what it says, and the words that said it."""

    at: str
    fact: str
    says: str
    words: str


def heard(said: str, places: Iterable[Subject], asked_at: dict[str, str], reader: StatementReader) -> list[Heard]:
    """What some words say of the places of a new assembly; `asked_at`: for each thing, the place where it is asked about."""
    subjects = [place for place in places if place.sort == "place"]
    found, said = _of_framing(said.casefold(), reader)
    for segment in _APART.split(said):
        words = segment.split()
        named = _place_named(words, subjects)
        if (tile := asked_at.get("tile")) and _SIZE_ALONE.fullmatch(segment.strip()):
            found.append(Heard(tile, "tile.size", segment.strip(), segment.strip()))
            continue
        start = 0
        while start < len(words):
            broken = start > 0 and _BROKEN.fullmatch(words[start - 1]) is not None
            for end in range(min(len(words), start + LONGEST_NAME), start, -1) if not broken else ():
                phrase = " ".join(words[start:end])
                thing, facts = _spoken_of(phrase, subjects, asked_at, reader)
                at = _where(thing, facts, named, subjects, asked_at) if thing is not None else ""
                if thing is not None and at:
                    if start and words[start - 1] in _DENIED:
                        phrase, facts = f"{words[start - 1]} {phrase}", [(thing.name, "none")]
                    found += [Heard(at, fact, says, phrase) for fact, says in facts]
                    start = end - 1
                    break
            start += 1
    return found


def of_the_room(said: str, subjects: Iterable[Subject]) -> tuple[list[Heard], str]:
    """The size of the room or the shower, as that of its floor or deck, and the words without it."""
    places = [place for place in subjects if place.sort == "place"]
    match, floor = _ROOM.search(said), next((place.name for place in places if place.kind.endswith(("floor", "deck"))), "")
    if match is None or not floor:
        return [], said
    one, other, unit = float(match[1]), float(match[3]), match[4] or match[2] or ""
    if not unit:
        unit = "ft" if max(one, other) <= _MOST_FEET else "in" if min(one, other) >= _LEAST_INCHES else ""
    says = f"{match[1]} x {match[3]} {unit}"
    return [Heard(floor, "place.size", says, match[0])] if unit else [], f"{said[: match.start()]} {said[match.end() :]}"


def served_as(said: str, subjects: Iterable[Subject], reader: StatementReader) -> list[Heard]:
    """What a place serves as where the words say more than its kind: `sauna`, `garage`, `commercial kitchen`."""
    fact = reader.vocabulary.facts.get("place.used as")
    words = re.findall(r"[a-z-]+", said)
    runs = [words[at : at + length] for length in (3, 2, 1) for at in range(len(words) - length + 1) if at == 0 or words[at - 1] not in _DENIED]
    served = next((" ".join(run) for run in runs if fact is not None and can_read(fact, " ".join(run))), "")
    at = next((place.name for place in subjects if place.sort == "place" and place.kind), "")
    return [Heard(at, fact.name, served, served)] if served and at else []


def _of_framing(said: str, reader: StatementReader) -> tuple[list[Heard], str]:
    """What is said of joists, and the words without it."""
    found = []
    for name, pattern in _OF_FRAMING:
        match = pattern.search(said)
        says = next((group for group in match.groups() if group), "").removesuffix("span").strip() if match else ""
        if match and name in reader.vocabulary.facts and can_read(reader.vocabulary.facts[name], says):
            found.append(Heard("", name, says, match[0]))
            said = f"{said[: match.start()]} , {said[match.end() :]}"
    return found, said


def _place_named(words: list[str], subjects: list[Subject]) -> Subject | None:
    """The place that some words speak of by the last word of its name or kind: `foam board walls`."""
    for place in subjects:
        last = {form for name in (place.name, place.kind) if name for form in singular(name.split()[-1])}
        if any(form in last for word in words for form in singular(word)):
            return place
    return None


def _spoken_of(
    phrase: str, subjects: list[Subject], asked_at: dict[str, str], reader: StatementReader
) -> tuple[Thing | None, list[tuple[str, str]]]:
    """The thing that a phrase names, with each fact that it says of it: that it is there, or what it is."""
    thing = reader.thing_of(phrase, SORTS)
    if thing is not None:
        word = reader.word_called(phrase)
        return thing, [(f"{thing.name}.{thing.named_by}", word) if word and thing.named_by else (thing.name, "there")]
    words = phrase.split()
    for cut in range(1, len(words)):
        before, name = " ".join(words[:cut]), " ".join(words[cut:])
        thing = reader.thing_of(name, SORTS)
        if thing is None or before in _DENIED:
            continue
        called = reader.word_called(name)
        if called and (pieces := pieces_of(thing, f"{before} {called}", reader.vocabulary)):
            return thing, pieces
        if fact := next(iter(_facts_that_say(thing, before, reader)), ""):
            return thing, [(fact, before)]
        if pieces := pieces_of(thing, before, reader.vocabulary):
            return thing, pieces
    kinds = reader.things_of_word(phrase, SORTS)
    asked = [each for each in kinds if each.name in asked_at]
    here = [each for each in kinds if any(place.kind and can_be(each, (place.kind,)) == THERE for place in subjects)]
    structure = [each for each in here if each.name in STRUCTURE]
    for some in (kinds, asked, structure, here):
        if len(some) == 1:
            named_by = f"{some[0].name}.{some[0].named_by}"
            return some[0], pieces_of(some[0], phrase, reader.vocabulary) or [(named_by, phrase)]
    return None, []


def _facts_that_say(thing: Thing, word: str, reader: StatementReader) -> list[str]:
    """The facts of a thing of which a word before its name speaks: `roll-on membrane`, `porcelain tile`; what names it first."""
    own = [fact.name.partition(".")[2] for fact in reader.vocabulary.facts.values() if fact.thing == thing.name != fact.name and fact.stated]
    first = [name for name in (thing.named_by, *thing.alone) if name]
    return [f"{thing.name}.{name}" for name in dict.fromkeys((*first, *own)) if name in own and reader.reads(thing, name, word, ("word", "size"))]


def _where(
    thing: Thing, facts: list[tuple[str, str]], named: Subject | None, places: list[Subject], asked_at: dict[str, str]
) -> str:
    """The place where a thing belongs: the one that is named beside it, or where it is asked about, else the first that can have it."""
    can_have = [place for place in places if place.kind and can_be(thing, (place.kind,)) == THERE]
    if named is not None and any(named is place for place in can_have):
        return named.name
    if any(piece in says for _, says in facts for piece in (*_SMALL_PIECES, "pebble")):
        floor = next((place.name for place in can_have if place.kind == "shower floor"), "")
        if floor:
            return floor
    return asked_at[thing.name] if thing.name in asked_at else next((place.name for place in can_have), "")
