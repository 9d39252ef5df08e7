"""Takes what is written under `seen:`, in a line, as facts, or as a list of either; returns the observations."""

import re
from collections.abc import Callable
from contextlib import suppress

from validator.assembly.name_reading import NameReader
from validator.facts import possible
from validator.facts.observing import KIND, OBSERVATION, Observation, observation_reader
from validator.facts.possible import NOT_SAID, STATED, Known, NotPossible
from validator.facts.vocabulary import Fact, Thing
from validator.language.forms import complain, listed, normalized
from validator.language.source import Entries, Items, Node, Text

SEEN = "seen"
ReadFact = Callable[[Fact, Text, Node, dict[str, Known]], None]
OBSERVED = ("layer", "part", "seal")  # the sorts of thing under which it may stand
_NOTHING_SEEN = re.compile(r"(?:no|nothing|never any|without)\s+(?:problems?|issues?|trouble|complaints?|wrong|seen|visible)(?:,?\s+(?:so far|yet|to date|until now|at all|in [0-9]+ years?))?", re.IGNORECASE)
_AT = ("at the", "at a")


def read_seen(reader: NameReader, read_fact: ReadFact, node: Node, of: Thing | None = None) -> tuple[Observation, ...]:
    """Everything that is seen of a place, a junction or the job, or `of` one of its layers, parts or seals."""
    if OBSERVATION not in reader.vocabulary.things:
        complain(reader.complaints, node, "these books have no words for what is seen", "`seen on site:`, which is kept as it is")
        return ()
    match node:
        case Items():
            return tuple(each for item in _with_what_follows(node, reader) for each in read_seen(reader, read_fact, item, of))
        case Entries():
            found = _as_facts(reader, read_fact, node)
        case _:
            found = _in_a_line(reader, node)
    return tuple(_of(each, of, reader) for each in found)


def _with_what_follows(node: Items, reader: NameReader) -> list[Node]:
    """The items of a list; a line that names nothing seen, `tile backs clean`, says more of the line before it."""
    heard, told = observation_reader(reader.vocabulary), []
    for item in node.items:
        before = told[-1] if told else None
        if isinstance(item, Text) and isinstance(before, Text) and heard.says_more(item.text):
            told[-1] = Text(f"{before.text}, {item.text}", before.where)
        else:
            told.append(item)
    return told


def _in_a_line(reader: NameReader, node: Text) -> tuple[Observation, ...]:
    if normalized(node.text) in (*NOT_SAID, "nothing", "none") or _NOTHING_SEEN.fullmatch(node.text.strip()):
        return ()
    try:
        return observation_reader(reader.vocabulary).line(node.text, node.where)
    except NotPossible as problem:
        complain(reader.complaints, node, problem.what, problem.accepted)
        return ()


def _as_facts(reader: NameReader, read_fact: ReadFact, node: Entries) -> tuple[Observation, ...]:
    thing, known = reader.vocabulary.things[OBSERVATION], {}
    own = reader.attributes[OBSERVATION]
    for key, value in node.pairs:
        fact = own.get(normalized(key.text))
        if fact is None:
            reader.unknown_fact(thing, key, ())
            continue
        for one in value.items if isinstance(value, Items) else (value,):
            read_fact(_meant(fact, one, reader), key, one, known)
    stated: dict[str, Known] = {name: each for name, each in known.items() if each.origin == STATED}
    if KIND not in stated:
        if not any(normalized(key.text) == "kind" for key, _ in node.pairs):
            words = reader.vocabulary.facts[KIND].words
            complain(reader.complaints, node, "nothing says what is seen", f"a line `kind:` with one of {listed(words, most=len(words))}")
        return ()
    text = ", ".join(each.text for each in (stated[KIND], *(k for name, k in stated.items() if name != KIND)))
    return (Observation(text, stated, where=node.where),)


def _meant(fact: Fact, node: Node, reader: NameReader) -> Fact:
    """The fact that a word is of: `pattern: at the curb` says where it is."""
    for each in (fact, *observation_reader(reader.vocabulary).facts):
        with suppress(NotPossible):
            if isinstance(node, Text) and each.words and possible.read(each, node.text).origin == STATED:
                return each
    return fact


def _of(seen: Observation, of: Thing | None, reader: NameReader) -> Observation:
    """What is seen of a drain or a curb is seen there, unless it says where."""
    if of is None:
        return seen
    fact = reader.vocabulary.facts.get(f"{OBSERVATION}.at")
    at = next((word for before in _AT if fact is not None and (word := f"{before} {of.name}") in fact.words), None)
    known = seen.known
    if at is not None and fact.name not in known:
        known = {**known, fact.name: Known((1 << fact.words.index(at), fact.every_word), STATED, at, seen.where)}
    return seen._replace(of=of.name, known=known)
