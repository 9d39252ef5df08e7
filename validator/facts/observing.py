"""Takes a line that tells what is seen, `cracks along a line across the room, first winter`, returns the observations in it.

The same reader reads what a description reports and what a rule says its breach shows as, so that both speak one language.
The longest words of the vocabulary are found first; what is said after `no` or `without` is what was looked for and not seen.
"""

import re
from collections.abc import Iterator
from functools import cached_property, lru_cache
from typing import NamedTuple

from validator.facts import possible
from validator.facts.possible import STATED, Known, NotPossible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language.forms import listed
from validator.language.slips import did_you_mean
from validator.language.source import Where

OBSERVATION = "observation"
KIND = "observation.kind"
LIFTED, LOOSE = "observation.lifted", "loose"  # a piece whose back is seen came off
_DENIED = frozenset(("no", "not", "without", "never", "neither", "nor"))
_APART = re.compile(r"\s*[,;]\s*|\s+but\s+")
_WORD = re.compile(r"[\w%/.°\"'-]+")
_ARTICLES = frozenset(("a", "an", "the"))
_FILLERS = frozenset(
    "of in at on to and or is are was were it its with from by for that this there only some one all tile tiles floor floors "
    "wall walls room stone shower grout mortar surface after before when while where which has have had very again sound sounding seen "
    "water still about most mostly came come appeared since within up down they them their".split()
)
_MOST_WORDS = 7  # of a phrase
_LEAST_STEM = 3  # letters
_GAP, _WIDEST_GAP = "...", 4  # stands for a few words of anything


class Observation(NamedTuple):
    """One thing that is seen, or was looked for and not seen. `known` holds facts of `observation`; `unread` the words that nothing
    reads."""

    text: str
    known: dict[str, Known]
    seen: bool = True
    of: str = ""  # the layer, part or seal that it is of; empty for the place itself
    unread: tuple[str, ...] = ()
    where: Where | None = None

    @property
    def kinds(self) -> int:
        """The kinds that it may be, as a mask."""
        return self.known[KIND].value


@lru_cache(maxsize=4096)
def _stem(word: str) -> str:
    """A word without what English hangs on it, so that `crack`, `cracks`, `cracked` and `cracking` are one."""
    word = word.strip("'\".")
    if len(word) > 3 and word.endswith("s") and not word.endswith("ss"):
        word = word[:-1]
    for ending in ("ing", "ed", "e"):
        if word.endswith(ending) and len(word) - len(ending) >= _LEAST_STEM:
            word = word.removesuffix(ending)
            break
    return word[:-1] if len(word) > _LEAST_STEM and word[-1] == word[-2] and word[-1] not in "aeiouy" else word


def _words(text: str) -> list[str]:
    """The words of a text in lower case, hyphens and articles aside."""
    return [word for each in _WORD.findall(text.casefold()) for word in each.replace("-", " ").split() if word not in _ARTICLES]


class ObservationReader:
    """Reads lines of one vocabulary."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.vocabulary = vocabulary
        named = f"{OBSERVATION}."
        self.facts: list[Fact] = [fact for name, fact in vocabulary.facts.items() if name.startswith(named)]

    @cached_property
    def phrases(self) -> dict[tuple[str, ...], tuple[Fact, int]]:
        """What each phrase says: of which fact, and which of its words; as it is written, and by its stems where that is free."""
        written: dict[tuple[str, ...], tuple[Fact, int]] = {}
        for fact in self.facts:
            for phrase in (*fact.words, *fact.also_said):
                written.setdefault(tuple(_words(phrase)), (fact, possible.word_mask(fact, (phrase,))))
        stemmed: dict[tuple[str, ...], tuple[Fact, int]] = {}
        for words, says in written.items():
            stems = tuple(map(_stem, words))
            if len(stems) > 1 or stems[0] not in _FILLERS:  # `showering` is use, and `shower` is not
                stemmed.setdefault(stems, says)
        return stemmed | written

    @cached_property
    def apart(self) -> list[tuple[tuple[str, ...], tuple[str, ...], tuple[Fact, int]]]:
        """The phrases whose two halves may stand a little apart, `grout ... crack`, by their stems."""
        found = []
        for words, says in self.phrases.items():
            if _GAP in words:
                cut = words.index(_GAP)
                found.append((tuple(map(_stem, words[:cut])), tuple(map(_stem, words[cut + 1 :])), says))
        return found

    def line(self, text: str, where: Where | None = None) -> tuple[Observation, ...]:
        """What a line tells. Raises NotPossible where it names nothing that can be seen."""
        heard = [_Heard()]
        for part in _APART.split(text):
            self._part(part, heard)
        for each in heard:
            if not each.kinds and LIFTED in each.words:
                each.kinds.append(possible.word_mask(self.vocabulary.facts[KIND], (LOOSE,)))
        told = [each for each in heard if each.kinds]
        if not told:
            raise self._nothing_named(text)
        own = {id(each): text if len(told) == 1 else ", ".join(each.parts) for each in told}
        return tuple(each.observation(mask, self.vocabulary, own[id(each)], where) for each in told for mask in dict.fromkeys(each.kinds))

    def says_more(self, text: str) -> bool:
        """Whether a line says something of what is seen, and not what it is."""
        said = [fact for part in _APART.split(text) for fact, _ in self._said_in(part) if fact is not None]
        return bool(said) and all(fact.name != KIND for fact in said)

    def _part(self, part: str, heard: "list[_Heard]") -> None:
        """One part of a line between commas: it says a kind of its own, or more of the kind before it (`noise underfoot, crunch`)."""
        denied = False
        said = list(self._said_in(part))
        here = heard[-1]
        kinds = [value for fact, value in said if fact is not None and fact.name == KIND]
        denies = any(fact is None and value in _DENIED for fact, value in said)
        if here.kinds and kinds and (denies != here.denied or any(value not in here.kinds for value in kinds)):
            heard.append(here := _Heard())
        here.parts.append(part.strip())
        for fact, value in said:
            if fact is None:
                denied = denied or value in _DENIED
                if value not in _DENIED and value not in _FILLERS:
                    here.unread.append(value)
            elif fact.name == KIND:
                here.denied = denied
                here.kinds.append(value)
            else:
                here.say(fact, value, denied and not kinds)

    def _said_in(self, part: str) -> Iterator[tuple[Fact | None, object]]:
        """The phrases and amounts of a part in their order; a word that nothing reads stands with no fact."""
        amount = self._amount(part)
        if amount is not None:
            fact, known, part = amount
            yield fact, known
        words = _words(part)
        stems = list(map(_stem, words))
        at = 0
        for first, second, says in self.apart:
            spots = _apart_in(stems, first, second)
            if spots:
                yield says
                words, stems = ([each for n, each in enumerate(those) if n not in spots] for those in (words, stems))
        while at < len(words):
            for size in range(min(_MOST_WORDS, len(words) - at), 0, -1):
                found = self.phrases.get(tuple(words[at : at + size])) or self.phrases.get(tuple(stems[at : at + size]))
                if found is not None:
                    yield found
                    break
            else:
                size = 1
                yield None, words[at]
            at += size

    def _amount(self, part: str) -> tuple[Fact, Known, str] | None:
        """An amount with its unit in a part, said by its name, `1/16 in wide`, or the only one that it can be, `30 %`."""
        found = re.search(r"\d[\d\s/.-]*(?:%|[a-z]+\b|\")", part, re.IGNORECASE)
        if found is None:
            return None
        rest = part[: found.start()] + part[found.end() :]
        amounts = [fact for fact in self.facts if fact.is_amount]
        named = {f.name: next((n for n in (*f.also_called, f.name.partition(".")[2]) if re.search(rf"\b{n}\b", rest)), "") for f in amounts}
        for fact in sorted(amounts, key=lambda fact: not named[fact.name]):
            try:
                return fact, possible.read(fact, found[0].strip()), rest.replace(named[fact.name], "")
            except NotPossible:
                continue
        return None

    def _nothing_named(self, text: str) -> NotPossible:
        fact = self.vocabulary.facts[KIND]
        words = [word for word in _words(text) if word not in _FILLERS]
        hint = next((near for word in words if (near := did_you_mean(word, (*fact.words, *fact.also_said)))), "")
        return NotPossible(f"`{text}` names nothing that is seen", hint + listed(fact.words, most=len(fact.words)))


def _apart_in(stems: list[str], first: tuple[str, ...], second: tuple[str, ...]) -> frozenset[int]:
    """Where two halves of a phrase stand, the second at most a few words after the first; nowhere is nothing."""
    for at in range(len(stems) - len(first)):
        if tuple(stems[at : at + len(first)]) == first:
            after = at + len(first)
            for then in range(after, min(after + _WIDEST_GAP + 1, len(stems) - len(second) + 1)):
                if tuple(stems[then : then + len(second)]) == second:
                    return frozenset((*range(at, after), *range(then, then + len(second))))
    return frozenset()


class _Heard:
    """What has been heard of one observation so far, or of several of one pattern."""

    def __init__(self) -> None:
        self.parts: list[str] = []  # of the line, as they were written
        self.kinds: list[int] = []
        self.denied = False
        self.words: dict[str, int] = {}
        self.not_so: dict[str, int] = {}
        self.amounts: dict[str, Known] = {}
        self.unread: list[str] = []

    def say(self, fact: Fact, value: object, denied: bool) -> None:
        if fact.is_amount:
            self.amounts[fact.name] = value
        else:
            said = self.not_so if denied else self.words
            said[fact.name] = said.get(fact.name, 0) | value

    def observation(self, kind: int, vocabulary: Vocabulary, text: str, where: Where | None) -> Observation:
        known = {KIND: Known(kind, STATED, possible.in_words(vocabulary.facts[KIND], kind), where), **self.amounts}
        for name in dict.fromkeys((*self.words, *self.not_so)):
            fact, yes, no = vocabulary.facts[name], self.words.get(name, 0), self.not_so.get(name, 0)
            if fact.is_together:
                value: object = (possible.with_implied(fact, yes), fact.every_word & ~no)
            else:
                value = yes or fact.every_word & ~no
            known[name] = Known(value, STATED, possible.in_words(fact, value), where)
        return Observation(text, known, not self.denied, unread=tuple(self.unread), where=where)


@lru_cache(maxsize=4)
def observation_reader(vocabulary: Vocabulary) -> ObservationReader:
    """The reader of a vocabulary, made once."""
    return ObservationReader(vocabulary)
