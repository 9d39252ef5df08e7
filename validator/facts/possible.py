"""What is possible of a fact: a range of an amount, a set of words, or words that are all true.

Every engine uses the same three shapes:

* an amount is `(least, greatest)` in whole steps of its kind; no end is NO_LEAST or NO_GREATEST;
* a word is a bit mask over the fact's words, in their order;
* words together are two masks, `(surely, possibly)`.

Not stated is everything that is possible.
"""

import re
from collections.abc import Callable
from functools import cached_property, lru_cache
from typing import NamedTuple

from validator.facts.vocabulary import NOT_YET, Fact
from validator.language import amounts
from validator.language.forms import listed
from validator.language.slips import did_you_mean
from validator.language.source import Where

STATED, CARD, WORKED_OUT, CONCLUDED, PRESUMED, DISAGREES, NOT_STATED = (
    "stated", "product card", "worked out", "concluded", "taken as not there", "disagrees", "not stated",
)  # fmt: skip
NOT_SAID = frozenset((
    "", "?", "??", "unknown", "not known", "not stated", "considered", "n/a", "na", "not sure", "unsure", "tbd", "-",
    *NOT_YET, "don't know", "do not know", "dont know", "don’t know", "i don't know", "i don’t know", "dunno", "no idea", "skip",
))  # fmt: skip
NOTHING_LISTED = ("none", "none listed", "nothing")  # of words together: whoever looked found none
MOST_NAMED = 8  # words told one by one
LEVEL = ("flat", "level", "dead level")
_GUESS = r"probably|most likely|likely|assumed(?: to be)?|presumably|maybe|perhaps|possibly|supposedly|reportedly|allegedly|said to be|" \
    r"supposed to be|claimed to be|should be|looks like|(?:i|we) (?:think|believe|guess|assume)|guess(?:ed)?"  # fmt: skip
_GUESS_FIRST = re.compile(rf"(?:{_GUESS})\b[\s:,]*", re.IGNORECASE)
_GUESS_LAST = re.compile(rf"(?:[\s,]*[(]?\b(?:{_GUESS}|not sure|unsure)[)]?|\s*[(]?\?+[)]?)$", re.IGNORECASE)


_NO_OR_YES = ("none", "no", "n", "yes", "y")
# Whoever looked and saw none supposes that there is none.
_NOT_SEEN = re.compile(r"(?:none|nothing|not)\s+(?:visible|observed|seen|noted|found|apparent|evident|visibly present)", re.IGNORECASE)


class NotPossible(ValueError):
    """A text that says nothing this fact could be; carries what is wrong and what would be accepted."""

    def __init__(self, what: str, accepted: str | Callable[[], str] = "") -> None:
        super().__init__(what)
        self.what = what
        self._accepted = accepted

    @cached_property
    def accepted(self) -> str:
        """What would be; the nearest words are looked for once somebody is told, since many a text is only tried."""
        return self._accepted if isinstance(self._accepted, str) else self._accepted()


class Known(NamedTuple):
    """What is known of one fact, and whence. `value` is in the shape of the fact's kind.

    `shown_by` is what is offered to show it, None where nobody said, and is judged by nothing. `guess` is what a person
    supposes and does not state.
    """

    value: object
    origin: str = STATED
    text: str = ""
    where: Where | None = None
    unit: str = ""
    varies: bool = False
    shown_by: tuple[str, ...] | None = None
    guess: object = None

    def from_(self, origin: str) -> "Known":
        return self._replace(origin=origin)

    def says_the_same(self, other: "Known") -> bool:
        """Whether the two differ at most in their line, and in what shows them."""
        return self[:3] == other[:3] and self[4:6] == other[4:6] and self.guess == other.guess


@lru_cache(maxsize=16_384)
def _plain(word: str) -> str:
    return re.sub(r"[\s_-]+", " ", word.strip().casefold())


def read(fact: Fact, text: str, where: Where | None = None, *, complete: bool = False) -> Known:
    """What a text says of a fact. Raises NotPossible. `complete`: a list of words together names all of them."""
    bare = " ".join(text.split())
    low = bare.casefold()
    if low in NOT_SAID:
        return Known(fact.anything, NOT_STATED, bare, where)
    if (supposed := guessed(bare)) is not None:
        return Known(fact.anything, NOT_STATED, bare, where, guess=_read_guess(fact, supposed))
    if fact.is_amount:
        return _amount(fact, bare, where)
    if fact.is_together:
        # What the book concludes too is what is said and what follows, and nothing more.
        return Known(_together(fact, bare, complete or bool(fact.concluded)), STATED, bare, where)
    if fact.is_word:
        return Known(_words(fact, bare), STATED, bare, where)
    return Known(None, STATED, bare, where)


def guessed(text: str) -> str | None:
    """What is only supposed: `probably unmodified`, `unmodified, I think`, `said to be foam`; None where nothing is hedged."""
    if _NOT_SEEN.fullmatch(text):
        return "none"
    found = _GUESS_FIRST.match(text)
    if found:
        return text[found.end() :]
    shorter = _GUESS_LAST.sub("", text)
    return shorter if shorter != text else None


def _read_guess(fact: Fact, text: str) -> object:
    """The value that is supposed; None where the words say no such value."""
    try:
        found = read(fact, text)
    except NotPossible:
        return None
    return found.value if found.origin == STATED else None


@lru_cache(maxsize=16_384)
def _is_amount(kind: str, text: str, spread: str) -> bool:
    try:
        amounts.read(text, kind, spread=spread or None)
    except amounts.AmountProblem:
        return False
    return True


def can_read(fact: Fact, text: str) -> bool:
    """Whether a text states a fact, without the trouble of saying why where it does not."""
    bare = " ".join(text.split())
    if bare.casefold() in NOT_SAID or guessed(bare) is not None:
        return False
    if fact.is_amount:
        said = {_plain(each) for each in fact.also_said}
        return _plain(bare) in said or fact.kind == "slope" and _plain(bare) in LEVEL or _is_amount(fact.kind, bare.removeprefix("varies "), fact.spread)
    if fact.is_together:
        return all(_lookup(fact, way) or all(_lookup(fact, word) for word in re.split(r"\s+and\s+|\s*[,+]\s*", way) if word)
                   for way in re.split(r"\s+or\s+", bare.removeprefix("only ")))  # fmt: skip
    if fact.is_word:
        return all(_lookup(fact, part) for part in re.split(r"\s+or\s+", bare))
    if fact.kind == "size":
        try:
            return bool(edges(fact, bare))
        except NotPossible:
            return False
    return True


def _amount(fact: Fact, text: str, where: Where | None) -> Known:
    varies = text.startswith("varies ")
    if fact.kind == "slope" and _plain(text) in LEVEL:
        return Known((0, 0), STATED, text, where)
    meant = {_plain(said): value for said, (value,) in fact.also_said.items()}.get(_plain(text), text)
    try:
        amount = amounts.read(meant.removeprefix("varies "), fact.kind, spread=fact.spread or None)
    except amounts.AmountProblem as problem:
        raise NotPossible(problem.what, problem.accepted) from None
    return Known((amount.least, amount.greatest), STATED, text, where, amount.unit, varies)


def _words(fact: Fact, text: str) -> int:
    mask = 0
    for part in re.split(r"\s+or\s+", text):
        found = _lookup(fact, part)  # `oils and greases` is one word
        if not found and re.search(r"\band\b|,", text):
            raise NotPossible(f"`{text}` says more than one thing at once",
                              "write a place or a layer for each; `or` says that it is one of them, not known which")  # fmt: skip
        if not found:
            raise _no_such_word(fact, part)
        mask |= found
    return mask


def _lookup(fact: Fact, word: str) -> int:
    plain = _plain(word)
    if fact.kind == "yes or no":
        plain = {"true": "yes", "false": "no", "done": "yes", "not done": "no", "there": "yes", "none": "no", "y": "yes", "n": "no"}.get(plain, plain)
    for form in dict.fromkeys((plain, plain.removesuffix("s"), plain.removesuffix("es"))):
        for said, meant in fact.also_said.items():
            if _plain(said) == form:
                return sum(1 << fact.words.index(each) for each in meant)
        for bit, known in enumerate(fact.words):
            if _plain(known) == form:
                return 1 << bit
    return _of_none(fact, plain) if fact.kind == "word" and plain in _NO_OR_YES else 0


def _of_none(fact: Fact, plain: str) -> int:
    """`no` for a fact that has a word for none, and `yes` for whatever is not that."""
    said = {_plain(each) for each in fact.also_said}
    none = next((_lookup(fact, each) for each in ("none", "no") if each in said), 0)
    return fact.every_word & ~none if none and plain in ("yes", "y") else none


def _no_such_word(fact: Fact, word: str) -> NotPossible:
    def accepted() -> str:
        every = (*fact.words, *fact.also_said)
        return did_you_mean(word, every, lambda near: " or ".join(fact.also_said.get(near, ()))) + listed(every)

    return NotPossible(f"`{word}` is not a word for {fact.what[:1].lower() + fact.what[1:] or fact.name}", accepted)


def word_mask(fact: Fact, words: tuple[str, ...]) -> int:
    """The mask of some words, each written exactly or as also said. Raises NotPossible."""
    mask = 0
    for word in words:
        mask |= _words(fact, word)
    return mask


def with_implied(fact: Fact, surely: int) -> int:
    """A mask of words together with everything those words give, until nothing more follows."""
    while True:
        more = surely
        for word, also in fact.implies.items():
            if surely >> fact.words.index(word) & 1:
                for each in also:
                    more |= 1 << fact.words.index(each)
        if more == surely:
            return surely
        surely = more


def without_unsupported(fact: Fact, possibly: int) -> int:
    """A mask of possible words without those that would give an impossible one."""
    while True:
        less = possibly
        for word, also in fact.implies.items():
            if any(not possibly >> fact.words.index(each) & 1 for each in also):
                less &= ~(1 << fact.words.index(word))
        if less == possibly:
            return possibly
        possibly = less


def _together(fact: Fact, text: str, complete: bool) -> tuple[int, int]:
    if text in NOTHING_LISTED and not _lookup(fact, text):
        return (0, 0)
    complete = complete or text.startswith("only ")  # a person who read the whole label may say so
    choices = []
    for alternative in re.split(r"\s+or\s+", text.removeprefix("only ")):
        mask = 0
        whole = _lookup(fact, alternative)  # `oils and greases` is one word
        for word in (alternative,) if whole else re.split(r"\s+and\s+|\s*[,+]\s*", alternative):
            if word:
                found = _lookup(fact, word)
                if not found:
                    raise _no_such_word(fact, word)
                mask |= found
        choices.append(with_implied(fact, mask))
    surely, named = choices[0], 0
    for mask in choices:
        surely &= mask
        named |= mask
    return (surely, without_unsupported(fact, named) if complete else fact.every_word)


def is_settled(fact: Fact, value: object) -> bool:
    """True when only one thing is possible."""
    if fact.is_amount or fact.is_together:
        return value[0] == value[1]
    return fact.is_word and value.bit_count() == 1


def is_anything(fact: Fact, value: object) -> bool:
    """True when nothing at all is known."""
    return value == fact.anything


def either(fact: Fact, first: object, second: object) -> object:
    """One of two, not known which."""
    if fact.is_amount:
        return (min(first[0], second[0]), max(first[1], second[1]))
    if fact.is_together:
        return (first[0] & second[0], first[1] | second[1])
    return first | second


def both(fact: Fact, first: object, second: object) -> object | None:
    """What agrees with both; None when nothing does."""
    if fact.is_amount:
        least, greatest = max(first[0], second[0]), min(first[1], second[1])
        return (least, greatest) if least <= greatest else None
    if fact.is_together:
        surely, possibly = with_implied(fact, first[0] | second[0]), first[1] & second[1]
        return (surely, possibly) if not surely & ~possibly else None
    return (first & second) or None


def in_words(fact: Fact, value: object, unit: str = "") -> str:
    """What is possible, as a reader would say it: `13 ft to 14 ft (...)`, `hem-fir or spruce-pine-fir`, `not stated`."""
    if fact.is_amount:
        return amounts.show_range(value[0], value[1], fact.kind, unit or fact.shown_in or None)
    if fact.is_together:
        named = _named(fact, value[0], " and ")
        if value[0] == value[1]:
            return named or NOTHING_LISTED[1]
        return f"at least {named}" if named else "not stated"
    if not fact.is_word:
        return "not stated"
    if value == fact.every_word:
        return "not stated"
    if value.bit_count() > MOST_NAMED:
        rest = fact.every_word & ~value
        if rest.bit_count() < MOST_NAMED:
            return f"anything but {_named(fact, rest, ' or ')}"
        return f"one of {value.bit_count()}, of {len(fact.words)} that there are"
    return _named(fact, value, " or ")


def _named(fact: Fact, mask: int, joiner: str) -> str:
    return joiner.join(word for bit, word in enumerate(fact.words) if mask >> bit & 1)


def edges(fact: Fact, text: str) -> dict[str, Known]:
    """A size as the facts of its edges: `12 x 24 in` gives the shortest and the longest; `or` joins sizes. Raises NotPossible.

    A third figure that is much less is no edge but the thickness.
    """
    sizes = [_without_thickness(sides)[0] for sides in _sizes(fact, text)]
    ends = zip(fact.gives, ([each[0] for each in sizes], [each[-1] for each in sizes])) if sizes else ()
    return {name: _spanning(sides, text) for name, sides in ends}


def thickness_in(fact: Fact, text: str) -> Known | None:
    """What a size says of the thickness, `600 x 600 x 20 mm`; None where it says nothing of it. Raises NotPossible."""
    told = [thin for sides in _sizes(fact, text) if (thin := _without_thickness(sides)[1]) is not None]
    return _spanning(told, text) if told else None


def _sizes(fact: Fact, text: str) -> list[tuple[amounts.Amount, ...]]:
    """The sides of each size that a text joins with `or`."""
    if fact.kind != "size" or " ".join(text.split()).casefold() in NOT_SAID:
        return []
    shared = re.search(r"\d\s+([a-z]+)$", text)
    found = []
    for each in re.split(r"\s+or\s+(?=\d)", text):
        try:
            found.append(amounts.read_size(f"{each} {shared[1]}" if shared and each[-1:].isdigit() else each, by_use=fact.unit_by_use))
        except amounts.AmountProblem as problem:
            raise NotPossible(problem.what, problem.accepted) from None
    return found


def _without_thickness(sides: tuple[amounts.Amount, ...]) -> tuple[list[amounts.Amount], amounts.Amount | None]:
    """The edges of a size by length; and the side that is far less than the others, where three are told."""
    by_length = sorted(sides, key=lambda side: (side.least, side.greatest))
    if len(sides) < 3:
        return by_length, None
    if 2 * by_length[0].greatest < by_length[1].least:
        return by_length[1:], by_length[0]
    return sorted(sides[:2], key=lambda side: (side.least, side.greatest)), None


def _spanning(sides: list[amounts.Amount], text: str) -> Known:
    return Known((min(side.least for side in sides), max(side.greatest for side in sides)), STATED, text, None, sides[0].unit)
