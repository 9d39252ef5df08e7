"""What a few words say of one thing at once: `honed limestone 18 x 18 in`, `sanded, 3/16 in joints`, `3/4 ply`.

Every word must be read by a fact that names the thing or stands alone beside its name, or with the name of its fact, and none
against another. So a phrase is taken whole or not at all.
"""

import re
from collections.abc import Iterable

from validator.facts.possible import both, can_read, read
from validator.facts.vocabulary import HAVE_A_STATE, STATE, Fact, Thing, Vocabulary
from validator.language import amounts

MOST_WORDS = 10
_BETWEEN = frozenset(("with", "and", "in", "of", "a", "an", "the", "-", "&", "+", "plus"))
COLORS = frozenset(("red", "blue", "green", "pink", "orange", "yellow", "purple", "black", "white", "gray", "grey", "brown", "cream", "beige"))
_MEASURED = {"thick": "thickness", "long": "length", "wide": "width", "apart": "spacing", "joints": "joint", "gap": "joint"}
_ON = ("over ", "under ", "above ", "below ")  # in a phrase these say what lies on what, and not how much
_FRACTION = re.compile(r"(?:[0-9]+-)?[0-9]+/[0-9]+")
_LEAST_EDGE = amounts.read("3 in", "length").least  # one figure of less than this is as often a thickness
_MOSAIC = frozenset(("mosaic", "mosaics", "hex", "penny"))
_TOKEN = re.compile(r"[^\s,;()]+")


def pieces_of(thing: Thing, text: str, vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """Each fact of a thing that a phrase states, by name, with the words that state it; nothing where some word is left."""
    tokens = _TOKEN.findall(text.casefold())
    if not 0 < len(tokens) <= MOST_WORDS or tokens[0] in _BETWEEN or tokens[-1] in _BETWEEN - {"in"}:
        return []
    return _split(tokens, _Facts(thing, vocabulary, small=not _MOSAIC.isdisjoint(tokens)), {}) or []


class _Facts:
    """The facts of one thing that a phrase may state, those that name it or stand alone first."""

    def __init__(self, thing: Thing, vocabulary: Vocabulary, *, small: bool) -> None:
        self.small = small
        own = {fact.name.partition(".")[2]: fact for fact in vocabulary.facts.values() if fact.thing == thing.name and fact.stated}
        own = {name: fact for name, fact in own.items() if name and fact.kind not in ("presence", "name") and not fact.aggregate}
        state = (STATE,) if thing.sort in HAVE_A_STATE else ()
        self.first = [own[name] for name in (thing.named_by, *thing.alone, *state) if name in own]
        self.own = own
        self.read: dict[str, tuple[str, str] | None] = {}

    def of(self, words: str) -> tuple[str, str] | None:
        """The fact that some words state, and how they are written on its line."""
        if words not in self.read:
            self.read[words] = None if words.startswith(_ON) else self._first(words) or self._named(words)
        return self.read[words]

    def with_more(self, found: tuple[str, str], used: dict[str, object]) -> object | None:
        """What a fact comes to with what the phrase said of it before; None where the two speak against each other."""
        fact = self.own[found[0].partition(".")[2]]
        value = read(fact, found[1]).value
        if fact.name not in used:
            return True if value is None else value
        return both(fact, used[fact.name], value) if fact.kind == "word" else None

    def _first(self, words: str) -> tuple[str, str] | None:
        found = next((fact for fact in self.first if can_read(fact, words)), None)
        if found is not None:
            return found.name, words
        return next(((fact.name, said) for fact in self.first for said in self._spelled(fact, words) if can_read(fact, said)), None)

    def _spelled(self, fact: Fact, words: str) -> Iterable[str]:
        """A fraction alone as inches, since nothing else is measured in them; one edge as a square."""
        if fact.kind == "length" and _FRACTION.fullmatch(words):
            yield f"{words} in"
        if fact.kind == "size" and _is_an_edge(words, self.small):
            yield f"{words} square"

    def _named(self, words: str) -> tuple[str, str] | None:
        """`3/16 in joints`, `2 coats`, `rectified`, `not rectified`: an amount before its fact's name, or a yes by the name alone."""
        head, _, last = words.rpartition(" ")
        for name in (_MEASURED.get(last, last), last.removesuffix("s")):
            fact = self.own.get(name)
            if head and fact is not None and fact.is_amount:
                said = next((each for each in (head, *self._spelled(fact, head)) if can_read(fact, each)), "")
                if said:
                    return fact.name, said
        for denied, said in (("", "yes"), ("not ", "no"), ("un", "no")):
            fact = self.own.get(words.removeprefix(denied)) if words.startswith(denied) else None
            if fact is not None and fact.kind == "yes or no":
                return fact.name, said
        return None


def _is_an_edge(words: str, small: bool) -> bool:
    """Whether a length alone is the edge of a square tile; a short one is as often a thickness, but of a mosaic."""
    try:
        return bool(re.search(r"[a-z\"']$", words)) and (small or amounts.read(words, "length").least >= _LEAST_EDGE)
    except amounts.AmountProblem:
        return False


def _split(tokens: list[str], facts: _Facts, used: dict[str, object]) -> list[tuple[str, str]] | None:
    if not tokens:
        return []
    for cut in range(len(tokens), 0, -1):
        found = facts.of(" ".join(tokens[:cut]))
        value = facts.with_more(found, used) if found is not None else None
        if value is not None:
            rest = _split(tokens[cut:], facts, {**used, found[0]: value})
            if rest is not None:
                return [found, *rest]
    if tokens[0] in _BETWEEN or tokens[0] in COLORS:  # a color says nothing, where no fact reads it
        return _split(tokens[1:], facts, used)
    return None
