"""Every thing and fact that may be written, with its words, its kind and an example, for whoever looks for a word."""

import re
from collections.abc import Iterable, Iterator

from validator.facts.vocabulary import Fact, Thing, Vocabulary
from validator.language import amounts
from validator.language.forms import normalized
from validator.language.slips import did_you_mean
from validator.papers.wrapping import Line, wrapped

# Sorts in the order of a file, each with where its lines stand.
WRITTEN = {
    "job": "under `use:`", "framing": "under `framing:`", "place": "in a place", "layer": "a layer under `built up:`",
    "part": "a part, in its place", "junction": "under its kind in `junctions:`", "seal": "under a kind of junction",
    "record": "under `records:`, or in a place", "observation": "under `seen:`",
}  # fmt: skip
_NAME_WIDTH = 22
_LENGTHS = ("1/2 in", "4 in", "1/8 in", "20 mil", "8 ft")
_PLAIN = re.compile("^a (?:whole|plain) number such as ")
_EXAMPLES = {"size": "12 x 24 in", "yes or no": "yes", "name": "in your own words"}


def words_found(vocabulary: Vocabulary, said: str) -> list[tuple[Thing, tuple[Fact, ...]]]:
    """The things that a word is about, each with the facts that it is about: all of them where it names the thing.

    Things that it names come first; with nothing said, every thing in the order of a file.
    """
    word = normalized(said)
    named, facts = [], []
    for thing in sorted(vocabulary.things.values(), key=lambda thing: list(WRITTEN).index(thing.sort)):
        own = facts_of(vocabulary, thing)
        about = tuple(fact for fact in own if _speaks_of(word, _names_of(fact)))
        if _speaks_of(word, (thing.name, *thing.also_called)):
            named.append((thing, own))
        elif about:
            facts.append((thing, about))
    return [*sorted(named, key=lambda each: normalized(each[0].name) != word), *facts]


def facts_of(vocabulary: Vocabulary, thing: Thing) -> tuple[Fact, ...]:
    """The facts of a thing that a person may state: what names it first, what is else worked out last."""
    own = [
        fact for fact in vocabulary.facts.values()
        if fact.thing == thing.name and fact.kind != "presence" and fact.stated and not fact.aggregate and not fact.name.endswith(" as stated")
    ]  # fmt: skip
    worked_out = [bool(fact.worked_out_by or fact.concluded) for fact in own]
    ranked = sorted(zip(own, worked_out), key=lambda each: (each[0].name != f"{thing.name}.{thing.named_by}", each[1]))
    return tuple(fact for fact, _ in ranked)


def nothing_found(vocabulary: Vocabulary, said: str) -> str:
    """What to say where no thing and no fact has a word."""
    every = (name for thing in vocabulary.things.values()
             for name in (thing.name, *thing.also_called, *(each for fact in facts_of(vocabulary, thing) for each in _names_of(fact))))  # fmt: skip
    hint = did_you_mean(said, dict.fromkeys(every))
    return f"no thing and no fact has the word `{said}`. Accepted: {hint or 'part of a word, such as '}screw, grout or thickness"


def _names_of(fact: Fact) -> tuple[str, ...]:
    own = fact.name.partition(".")[2]
    return (own, fact.name.replace(".", " "), *fact.also_called, *fact.words, *fact.also_said)


def _speaks_of(word: str, names: Iterable[str]) -> bool:
    """Whether a word begins a word of some name: `screw` is in `board screws`, `crew` is not."""
    return any(f" {word}" in f" {normalized(name).replace('-', ' ')}" or f" {word}" in f" {normalized(name)}" for name in names)


def example_of(fact: Fact) -> str:
    """A value of a fact as a person would write it."""
    if fact.words:
        return " and ".join(fact.words[:2]) if fact.is_together else fact.words[-1] if fact.kind == "yes or no" else fact.words[0]
    if fact.is_amount:
        named = [*_LENGTHS] if fact.kind == "length" else []
        named += [_PLAIN.sub("", each) for each in re.split(r", | or ", amounts.KINDS[fact.kind].examples)]
        return next((text for text in named if _is_usual(fact, text)), fact.slip_below or fact.slip_above or named[0])
    return _EXAMPLES.get(fact.kind, "in your own words")


def _is_usual(fact: Fact, text: str) -> bool:
    amount = amounts.read(text, fact.kind)
    over = not fact.slip_below or amount.least >= amounts.read(fact.slip_below, fact.kind).least
    return over and (not fact.slip_above or amount.greatest <= amounts.read(fact.slip_above, fact.kind).greatest)


def line_of(vocabulary: Vocabulary, thing: Thing) -> str:
    """How a thing is written in a file, by an example."""
    own = facts_of(vocabulary, thing)
    if not own:
        return f"{thing.name}: none"
    fact = own[0]
    said = f"{{{fact.name.partition('.')[2]}: {example_of(fact)}}}"
    match thing.sort:
        case "job":
            return f"use: {said}"
        case "place":
            return f"kitchen floor: {said}"
        case "junction":
            return f"inside corners: {said}"
        case "observation":
            return f"seen: {said}"
        case "layer":
            return f"- {thing.name}: {said}"
    return f"{thing.name}: {said}"


def word_lines(vocabulary: Vocabulary, found: Iterable[tuple[Thing, tuple[Fact, ...]]], width: int) -> Iterator[Line]:
    """Each thing with its names and the facts that were looked for."""
    for number, (thing, facts) in enumerate(found):
        if number:
            yield "", False
        yield from wrapped(f"{thing.name}: {WRITTEN[thing.sort]}", width, bold=True)
        yield from wrapped(f"{thing.what}, as in `{line_of(vocabulary, thing)}`", width, "  ")
        if thing.also_called:
            yield from wrapped(f"also {', '.join(thing.also_called)}", width, "  ")
        for fact in facts:
            yield from _fact_lines(fact, width)


def _fact_lines(fact: Fact, width: int) -> Iterator[Line]:
    name = fact.name.partition(".")[2]
    yield from wrapped(f"{name:{_NAME_WIDTH}} {_said(fact)}", width, "  ")
    other = [f"{said} ({' or '.join(meant)})" if meant else said for said, meant in fact.also_said.items()]
    if fact.also_called:
        yield from wrapped(f"also written {', '.join(fact.also_called)}", width, "      ")
    if other:
        yield from wrapped(f"also said {', '.join(other)}", width, "      ")


def _said(fact: Fact) -> str:
    if fact.kind == "yes or no":
        return f"yes or no. {fact.what}"
    if fact.words:
        return f"{fact.what}: {', '.join(fact.words)}{' (several may be true at once)' if fact.is_together else ''}"
    return f"{'a' if fact.kind[0] not in 'aeiou' else 'an'} {fact.kind}, {example_of(fact)}. {fact.what}"


def words_object(vocabulary: Vocabulary, found: Iterable[tuple[Thing, tuple[Fact, ...]]]) -> dict[str, object]:
    """The same for another program; its keys are fixed."""
    return {
        "things": [
            {
                "thing": thing.name, "sort": thing.sort, "what": thing.what, "written": WRITTEN[thing.sort],
                "example": line_of(vocabulary, thing), "also_called": list(thing.also_called),
                "facts": [
                    {
                        "fact": fact.name, "what": fact.what, "kind": fact.kind, "words": list(fact.words), "example": example_of(fact),
                        "also_said": {said: list(meant) for said, meant in fact.also_said.items()}, "also_called": list(fact.also_called),
                    }
                    for fact in facts
                ],
            }
            for thing, facts in found
        ],
    }  # fmt: skip
