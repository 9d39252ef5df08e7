"""What a few words say of one thing at once: `honed limestone 18 x 18 in`, `sanded, 3/16 in joints`, `3/4 ply`.

Every word must be read by a fact that names the thing or stands alone beside its name, or with the name of its fact, and none
against another. So a phrase is taken whole or not at all; where it is not, `most_of` reads what it can and names the words left
over, which are told, since a description of which nothing is judged helps nobody.
"""

import re
from collections.abc import Iterable
from functools import lru_cache

from validator.facts.possible import both, can_read, read
from validator.facts.vocabulary import HAVE_A_STATE, STATE, Fact, Thing, Vocabulary
from validator.language import amounts

MOST_WORDS = 12
_SUM = re.compile(r"""[0-9"]\s*(?:in|mm)?\s*[+&]\s*[0-9]""")
_ONE_LAYER = re.compile(r"\b(?:one|single|1)[ -](?:layer|sheet|ply)\b(?: of)?", re.IGNORECASE)
_TAIL = re.compile(r"\s(?:from|to|at|by|for|on|in|near|around|up to)\s")  # what follows says where or whence, and not what it is
_BETWEEN = frozenset(("with", "w/", "and", "in", "of", "a", "an", "the", "-", "&", "+", "plus", "@", "at", "/", "|", "tile", "tiles", "set"))
# A word that turns what stands beside it, or brings in another thing: no part of such a phrase is read without it.
_TURNING = frozenset((
    "no", "not", "non", "none", "never", "without", "nothing", "missing", "lacking", "instead", "except", "unless", "if", "or", "removed",
    "removing", "replaced", "gone", "over", "under", "behind", "above", "below", "onto", "on", "to", "beneath", "between", "against", "failed", "from", "for",
))  # fmt: skip
COLORS = frozenset(("red", "blue", "green", "pink", "orange", "yellow", "purple", "black", "white", "gray", "grey", "brown", "cream", "beige"))
_MEASURED = {
    "thick": "thickness", "long": "length", "wide": "width", "apart": "spacing", "joints": "joint", "gap": "joint", "old": "age",
    "deep": "depth", "high": "height", "tall": "height", "hold": "held", "centers": "spacing", "centres": "spacing", "oc": "spacing",
    "o.c.": "spacing", "c/c": "spacing", "crs": "spacing",
}  # fmt: skip
_ON = ("over ", "under ", "above ", "below ")  # in a phrase these say what lies on what, and not how much
_FRACTION = re.compile(r"(?:[0-9]+-)?[0-9]+/[0-9]+")
_LEAST_EDGE = amounts.read("3 in", "length").least  # one figure of less than this is as often a thickness
_MOSAIC = frozenset(("mosaic", "mosaics", "hex", "penny"))
_CENTERS = re.compile(r"[0-9]\S*\s*(?:in\s+)?(?:oc|o\.c\.?|c/c|crs|cent(?:er|re)s)$")  # how far apart, and never how thick
_YES_OR_NO = frozenset(("yes", "no", "true", "false", "none"))
_THICK = frozenset(("paver", "pavers", "slab", "slabs", "flag", "flags", "flagstone", "flagstones", "hearth"))
_SIZED = re.compile(r"[0-9\"']\s*(?:in|mm|cm)?\s*x\s*[0-9]")
_TOKEN = re.compile(r"[^\s,;()]+")
_PARTED = re.compile(r"[,;()]")
_ALL_ROUND = re.compile(r"\b(?:each|either|both|in each|in both) (?:ways?|directions?)\b", re.IGNORECASE)
_EVERY = re.compile(r"\bevery ([0-9][0-9./-]*)\s*(in|inch|inches|\"|mm|cm)?(?=$|[\s,;)])(?!\s*(?:ft|feet|foot|m|o\.?c)\b)", re.IGNORECASE)
_FIGURE = re.compile(r"[0-9][0-9./-]*\s*(?:in|inch|inches|[\"'″”]|mm|cm|m|ft|feet)?")
_FASTENED = frozenset(("screwed", "nailed", "glued", "stapled", "fastened", "bolted", "lapped", "banded"))
# These deny or place what stands with them in their own clause, `no blocking`, `nailed above the pan`, and not what other clauses say.
_TURNING_THEIR_CLAUSE = frozenset((
    "no", "not", "non", "without", "never", "over", "under", "behind", "above", "below", "onto", "on", "to", "beneath", "between", "against", "from", "for",
))  # fmt: skip


def pieces_of(thing: Thing, text: str, vocabulary: Vocabulary) -> list[tuple[str, str]]:
    """Each fact of a thing that a phrase states, by name, with the words that state it; nothing where some word is left."""
    tokens, _ = _tokens(text)
    if not 0 < len(tokens) <= MOST_WORDS or tokens[0] in _BETWEEN or tokens[-1] in _BETWEEN - {"in"}:
        return []
    return _split(tokens, _Facts(thing, vocabulary, tokens), {}) or []


def most_of(thing: Thing, text: str, vocabulary: Vocabulary) -> tuple[list[tuple[str, str]], list[str]]:
    """What can be read of a phrase, and the words that cannot; nothing is read where one of those turns what it stands beside."""
    tokens, clauses = _tokens(text)
    facts = _Facts(thing, vocabulary, tokens)
    found: list[tuple[str, str]] = []
    used: dict[str, object] = {}
    left: list[str] = []
    for first, last in zip(clauses, (*clauses[1:], len(tokens))):
        with_it = dict(used)
        read, more = _of_clause(tokens[first:last], facts, with_it)
        if read is None or turned(more) and (len(clauses) == 1 or not _TURNING.intersection(more) <= _TURNING_THEIR_CLAUSE):
            return [], tokens
        if turned(more):
            left += tokens[first:last]
        else:
            found, used, left = [*found, *read], with_it, [*left, *more]
    return found, left


def _of_clause(tokens: list[str], facts: "_Facts", used: dict[str, object]) -> tuple[list[tuple[str, str]] | None, list[str]]:
    """What can be read of what stands between two commas, and the words left; None where it speaks against what was said before."""
    found: list[tuple[str, str]] = []
    left: list[str] = []
    at = 0
    before = ""  # what stands before: the words left, or those that were read
    while at < len(tokens):
        for cut in range(min(len(tokens), at + MOST_WORDS), at, -1):
            words = " ".join(tokens[at:cut])
            piece = facts.of(words)
            if piece is not None and (facts.is_of(before) or left[-1:] == [before] or cut < len(tokens) and facts.names(tokens[cut])):
                piece = None if facts.is_bare(piece, words) else piece
            value = facts.with_more(piece, used) if piece is not None else None
            if value is not None:
                found.append(piece)
                used[piece[0]] = value
                at, before = cut, tokens[cut - 1]
                break
        else:
            word = tokens[at]
            if (own := facts.of(word)) is not None and not facts.is_bare(own, word):
                return None, tokens  # it speaks against what was said before it
            if word not in _BETWEEN and word not in COLORS:
                left.append(word)
                before = word
                if word[0].isdigit() and tokens[at + 1 : at + 2] == ["in"]:
                    left.append("in")
                    before = "in"
            at += 1
    return found, left


def turned(words: list[str]) -> bool:
    """Whether some of the words may turn what the others say: `no`, `under`, `removed`."""
    return not _TURNING.isdisjoint(words)


def _tokens(text: str) -> tuple[list[str], list[int]]:
    """The words of a phrase, and which of them begin a clause; none of one that adds two layers up, `5/8 + 5/8`, since it is of both."""
    if _SUM.search(text):
        return [], []
    plain = _EVERY.sub(r"\1 \2 oc", _ALL_ROUND.sub("", _ONE_LAYER.sub("", text))).casefold()
    tokens, clauses, end = [], [], 0
    for found in _TOKEN.finditer(plain):
        if not tokens or _PARTED.search(plain[end : found.start()]):
            clauses.append(len(tokens))
        tokens.append(found[0])
        end = found.end()
    return tokens, clauses


def head_of(phrase: str) -> tuple[str, str]:
    """What a phrase is of, and what it says of where or whence: `liquid membrane`, and `to 1800 mm`."""
    found = _TAIL.search(phrase)
    return (phrase[: found.start()], phrase[found.start() :].strip()) if found else (phrase, "")


class _Facts:
    """The facts of one thing that a phrase may state, those that name it or stand alone first."""

    def __init__(self, thing: Thing, vocabulary: Vocabulary, tokens: list[str]) -> None:
        self.small = not _MOSAIC.isdisjoint(tokens)
        # Beside a size, or of a paver, a short length is the thickness; alone it may be an edge.
        self.thick = not self.small and (_SIZED.search(" ".join(tokens)) is not None or not _THICK.isdisjoint(tokens))
        own = {fact.name.partition(".")[2]: fact for fact in vocabulary.facts.values() if fact.thing == thing.name and fact.stated}
        own = {name: fact for name, fact in own.items() if name and not name.endswith(" as stated") and fact.kind not in ("presence", "name") and not fact.aggregate}
        self.named = {called.replace("-", " ").casefold(): fact for name, fact in own.items() for called in (name, *fact.also_called)}
        state = (STATE,) if thing.sort in HAVE_A_STATE else ()
        self.first = [own[name] for name in (thing.named_by, *thing.alone, *state) if name in own]
        self.own = own
        self.elsewhere = _names_of_facts(vocabulary)
        self.read: dict[str, tuple[str, str] | None] = {}

    def of(self, words: str) -> tuple[str, str] | None:
        """The fact that some words state, and how they are written on its line."""
        if words not in self.read:
            found = None
            if not words.startswith(_ON) and words not in _YES_OR_NO:
                found = (None if _CENTERS.search(words) else self._first(words)) or self._named(words) or self._worded(words)
            self.read[words] = found
        return self.read[words]

    def is_bare(self, found: tuple[str, str], words: str) -> bool:
        """Whether the words are a length with nothing that says of what: `15 ft`, `1/16`."""
        return self.own[found[0].partition(".")[2]].kind == "length" and _FIGURE.fullmatch(words) is not None

    def names(self, word: str) -> bool:
        """Whether a word that no fact of the thing reads is the name of something that is measured elsewhere: `3/16 joint`."""
        return self.of(word) is None and word in self.elsewhere and word not in _MEASURED

    @staticmethod
    def is_of(before: str) -> bool:
        """Whether a length belongs to what stands before it, and so is none of the thing's own: `control joints 15 ft`, `screwed 6 in`."""
        return before in _FASTENED or before.endswith("joints") or before in ("crack", "cracks")

    def _worded(self, words: str) -> tuple[str, str] | None:
        """Words that only one fact of the thing has, where they are plainly that: several, or what was done, `nailed`."""
        if not re.search(r"[ -]|[a-z]{3}ed$", words):
            return None
        found = [fact for fact in self.own.values() if fact.kind == "word" and can_read(fact, words)]
        return (found[0].name, words) if len(found) == 1 else None

    def with_more(self, found: tuple[str, str], used: dict[str, object]) -> object | None:
        """What a fact comes to with what the phrase said of it before; None where the two speak against each other."""
        fact = self.own[found[0].partition(".")[2]]
        value = read(fact, found[1]).value
        if fact.name not in used:
            return True if value is None else value
        return both(fact, used[fact.name], value) if fact.kind == "word" else None

    def _first(self, words: str) -> tuple[str, str] | None:
        # `1/2 ply` is a grade that is sold as such, where the thing has grades, and else a half inch.
        first = sorted(self.first, key=lambda fact: fact.is_amount) if _FRACTION.fullmatch(words) else self.first
        found = next((fact for fact in first if can_read(fact, words)), None)
        if found is not None:
            return found.name, words
        spelled = ((fact.name, said) for fact in self.first for said in self._spelled(fact, words) if can_read(fact, said))
        return next(spelled, None) or self._thickness(words)

    def _thickness(self, words: str) -> tuple[str, str] | None:
        fact = self.own.get("thickness") if self.thick else None
        said = (words, f"{words} in") if _FRACTION.fullmatch(words) else (words,)
        return next(((fact.name, each) for each in said if can_read(fact, each)), None) if fact is not None and words[-1:] != "%" else None

    def _spelled(self, fact: Fact, words: str) -> Iterable[str]:
        """A fraction alone as inches, since nothing else is measured in them; one edge as a square."""
        if fact.kind == "length" and _FRACTION.fullmatch(words):
            yield f"{words} in"
        if fact.kind == "size" and _is_an_edge(words, self.small):
            yield f"{words} square"

    def _named(self, words: str) -> tuple[str, str] | None:
        """`3/16 in joints`, `2 coats`, `rectified`, `not rectified`: an amount before its fact's name, or a yes by the name alone."""
        words = words.replace("-", " ") if not any(letter.isdigit() for letter in words) else words
        head, _, last = words.rpartition(" ")
        first, _, tail = words.partition(" ")
        for name, amount in ((_MEASURED.get(last, last), head), (last.removesuffix("s"), head), (f"{last}s", head), (_MEASURED.get(last, last), words), (first, tail)):
            fact = self.named.get(name)
            if amount and fact is not None and fact.is_amount:
                said = next((each for each in (amount, *self._spelled(fact, amount)) if can_read(fact, each)), "")
                if said:
                    return fact.name, said
        for name, fact in self.named.items():
            if " " in name and fact.is_amount and words.endswith(f" {name}") and can_read(fact, amount := words.removesuffix(f" {name}")):
                return fact.name, amount
        for denied, said in (("", "yes"), ("not ", "no"), ("un", "no"), ("no ", "no")):
            fact = self.named.get(words.removeprefix(denied)) if words.startswith(denied) else None
            if fact is not None and fact.kind == "yes or no":
                return fact.name, said
        return None


@lru_cache(maxsize=8)
def _names_of_facts(vocabulary: Vocabulary) -> frozenset[str]:
    """Every word that is the name of an amount of some thing."""
    return frozenset(name.casefold() for fact in vocabulary.facts.values() if fact.kind == "length" for name in (fact.name.partition(".")[2], *fact.also_called))


def _is_an_edge(words: str, small: bool) -> bool:
    """Whether a length alone is the edge of a square tile; a short one is as often a thickness, but of a mosaic."""
    try:
        return bool(re.search(r"[a-z\"']$", words)) and (small or amounts.read(words, "length").least >= _LEAST_EDGE)
    except amounts.AmountProblem:
        return False


def _split(tokens: list[str], facts: _Facts, used: dict[str, object], before: str = "") -> list[tuple[str, str]] | None:
    if not tokens:
        return []
    for cut in range(len(tokens), 0, -1):
        words = " ".join(tokens[:cut])
        found = facts.of(words)
        if found is not None and facts.is_of(before) and facts.is_bare(found, words):
            continue
        value = facts.with_more(found, used) if found is not None else None
        if value is not None:
            rest = _split(tokens[cut:], facts, {**used, found[0]: value}, tokens[cut - 1])
            if rest is not None:
                return [found, *rest]
    if tokens[0] in _BETWEEN or tokens[0] in COLORS:  # a color says nothing, where no fact reads it
        return _split(tokens[1:], facts, used, before)
    return None
