"""Which thing and which fact a word of a description names, and what to say of a word that names none."""

import re
from collections.abc import Callable, Iterable
from weakref import WeakKeyDictionary

from validator.assembly.cards import ProductCard
from validator.assembly.phrases import COLORS, head_of, most_of, pieces_of, turned
from validator.facts import possible
from validator.facts.vocabulary import MATTERS, Fact, Thing, Vocabulary
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean, nearest, or_a_book_is_missing
from validator.language.source import Complaint, Text, Where

THERE_WORDS = frozenset(("there", "yes", "y", "used", "present", "true"))
NONE_WORDS = frozenset(("none", "no", "n", "not used", "not there", "nothing", "false", "without", "omitted", "left out"))
_AFTER_A_FIGURE = frozenset(("in", "inch", "inches", "mm", "cm", "m", "ft", "oc", "thick", "x"))
LONGEST_NAME = 5  # words
MANY = 4  # a name that so many things have says of none of them which is meant
_BEFORE_A_NAME = ("word", "yes or no", "words together", "length", "size")


def joined(word: str) -> str:
    """The name of a thing, hyphens aside too: `pre-slope`, `pre slope`."""
    return normalized(word).replace("-", " ")


def singular(word: str) -> Iterable[str]:
    """A word and what it may be the plural of."""
    yield word
    if word.endswith("es"):
        yield word[:-2]
    if word.endswith("s"):
        yield word[:-1]


def _other(name: str, fact: Fact) -> str:
    """What another name of a fact stands for; nothing where the name is the fact's own."""
    own = fact.name.partition(".")[2]
    return own if normalized(own) != name else ""


def _shared(things: Iterable[Thing]) -> dict[str, list[Thing]]:
    """Names that more than one thing has: `mat`."""
    named: dict[str, list[Thing]] = {}
    for thing in things:
        for name in dict.fromkeys(joined(each) for each in (thing.name, *thing.also_called)):
            named.setdefault(name, []).append(thing)
    return {name: those for name, those in named.items() if len(those) > 1}


def things_of(role: str, vocabulary: Vocabulary) -> list[Thing]:
    """The things that play a role, by themselves or by a fact of theirs; those that are it by their name first."""
    named = [thing for thing in vocabulary.things.values() if thing.role == role]
    by_a_fact = [vocabulary.things[fact.thing] for fact in vocabulary.facts.values() if fact.role == role and fact.thing in vocabulary.things]
    layers = [thing for thing in dict.fromkeys(each.name for each in (*named, *by_a_fact)) if vocabulary.things[thing].sort == "layer"]
    return sorted((vocabulary.things[name] for name in layers), key=lambda thing: (not thing.falsely_called, thing not in named))


class Names:
    """Every name of one vocabulary: of its things by sort, of each thing's facts, of roles. Made once for all that is read by it."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.things = {normalized(name): thing for name, thing in vocabulary.things.items()}
        self.attributes: dict[str, dict[str, Fact]] = {name: {} for name in vocabulary.things}
        for fact in list(vocabulary.facts.values()):
            if fact.kind != "presence" and not fact.aggregate and not fact.name.endswith(" as stated"):
                thing, _, attribute = fact.name.partition(".")
                self.attributes[thing] |= {normalized(attribute): fact, joined(attribute): fact}
        for thing in vocabulary.things.values():
            self.things |= {joined(name): thing for name in (thing.name, *thing.also_called)}
        for fact in vocabulary.facts.values():
            self.attributes[fact.thing] |= {form: fact for name in fact.also_called for form in (normalized(name), joined(name))}
        self.shared = _shared(vocabulary.things.values())
        self.called = {joined(name): word for thing in vocabulary.things.values() for name, word in thing.also_called.items()}
        self.false_names = {
            role: frozenset(joined(name) for thing in things_of(role, vocabulary) for name in thing.falsely_called)
            for role in {thing.role for thing in vocabulary.things.values() if thing.falsely_called}
        }
        self.roles = {each.role for each in (*vocabulary.things.values(), *vocabulary.facts.values()) if each.role}


_names_of: WeakKeyDictionary[Vocabulary, Names] = WeakKeyDictionary()


class NameReader:
    """Knows every name of one vocabulary; keeps every complaint and every note."""

    def __init__(self, vocabulary: Vocabulary, catalogue: dict[str, ProductCard], complaints: list[Complaint]) -> None:
        self.vocabulary = vocabulary
        self.catalogue = catalogue
        self.complaints = complaints
        self.notes: list[Complaint] = []
        names = _names_of.get(vocabulary)
        if names is None:
            names = _names_of[vocabulary] = Names(vocabulary)
        self.things, self.attributes, self.shared = names.things, names.attributes, names.shared
        self.called, self.roles, self.false_names = names.called, names.roles, names.false_names

    def note(self, where: Where, what: str, accepted: str = "") -> None:
        """Something to ask back, on which nothing is judged."""
        self.notes.append(Complaint(where, what, accepted))

    # -- which thing, which fact ------------------------------------------------------------------------------------------

    def shared_name(self, phrase: str) -> list[Thing]:
        """The things that a name in a phrase may mean, where it is the name of more than one: `screed`, `screed 50 mm`."""
        words = joined(phrase).split()
        runs = (" ".join(words[start : start + length]) for length in range(len(words), 0, -1) for start in range(len(words) - length, -1, -1))
        return next((self.shared[form] for run in runs for form in singular(run) if form in self.shared), [])

    def thing_of(self, word: str, sorts: tuple[str, ...]) -> Thing | None:
        """The thing of one of some sorts that a word names, in the singular or the plural."""
        for form in singular(joined(word)):
            thing = self.things.get(form)
            if thing is not None and thing.sort in sorts and form not in self.shared:
                return thing
        return None

    def things_of_word(self, word: str, sorts: tuple[str, ...]) -> list[Thing]:
        """The things of some sorts that a word could be the kind of: `plywood`, `3/4 in plywood`, `honed limestone`."""
        of = [thing for thing in self.vocabulary.things.values() if thing.sort in sorts and thing.named_by]
        whole = [thing for thing in of if self.reads(thing, thing.named_by, word, ("word",))]  # `black mastic` is more than mastic
        return whole or [thing for thing in of if self.says_what_it_is(thing, word)]

    def says_what_it_is(self, thing: Thing, text: str) -> bool:
        """Whether a text says what a thing is named by, alone or among other facts of it."""
        return bool(thing.named_by) and (self.reads(thing, thing.named_by, text, ("word",)) or self._is_named_in(thing, text))

    def _is_named_in(self, thing: Thing, phrase: str) -> bool:
        """Whether a phrase says several facts of a thing, and among them what it is named by, or a word that such a name gives."""
        named_by = self.vocabulary.facts[f"{thing.name}.{thing.named_by}"]
        naming = {named_by.name, *(name for name in named_by.gives if name.partition(".")[2] in thing.alone)}
        said = pieces_of(thing, phrase, self.vocabulary)
        return any(name in naming and self.vocabulary.facts[name].kind == "word" for name, _ in said)

    def compound(self, word: str, sorts: tuple[str, ...] = ("layer",)) -> tuple[Thing, str] | None:
        """`mosaic tile`, `grout 1/8 joint` as a thing and what is said of it around its name; None when it is none."""
        for name, around in self._named_within(word):
            thing = self.thing_of(name, sorts)
            if thing is None or around in NONE_WORDS or around in THERE_WORDS:
                continue
            if called := self.word_called(name):  # `polished marble tile` says both
                around = f"{around} {called}"
            if any(self.reads(thing, each, around, _BEFORE_A_NAME) for each in (thing.named_by, *thing.alone) if each):
                return thing, around
            if pieces_of(thing, around, self.vocabulary):
                return thing, around
        return None

    def mostly(
        self, phrase: str, sorts: tuple[str, ...], among: Iterable[Thing], by_position: Callable[[list[Thing]], list[Thing]]
    ) -> tuple[Thing, list[tuple[str, str]], list[str]] | None:
        """The thing that a phrase speaks of although some words of it are not known: by its name, else by what it is made of.

        Returns what can be read of it, and the words that cannot; None where it names none, or more than one alike.
        """
        head, tail = head_of(phrase)
        if tail:
            tokens = tail.split()
            thing = self.thing_of(head, sorts)
            pair = self.compound(head, sorts) if thing is None else None
            if (thing or pair) and self._may_be_left(head, thing or pair[0], tokens[1:]):
                said = pair[1] if pair else self.word_called(head)
                return thing or pair[0], most_of(thing or pair[0], said, self.vocabulary)[0], tokens
        for name, around in self._named_within(phrase):
            thing = self.thing_of(name, sorts)
            if thing is None:
                continue
            said, left = most_of(thing, f"{around} {self.word_called(name)}", self.vocabulary)
            return (thing, said, left) if self._may_be_left(phrase, thing, left) else None
        found = []
        for thing in among:
            said, left = most_of(thing, phrase, self.vocabulary)
            if thing.named_by and any(name == f"{thing.name}.{thing.named_by}" for name, _ in said) and self._may_be_left(phrase, thing, left):
                found.append((thing, said, left))
        fewest = min((len(left) for _, _, left in found), default=0)
        best = by_position([thing for thing, _, left in found if len(left) == fewest])
        return next(each for each in found if each[0] is best[0]) if len(best) == 1 else None

    def _may_be_left(self, phrase: str, thing: Thing, left: list[str]) -> bool:
        """Whether a phrase is of a thing although some of its words are not known: none of them may be what it is of, which in English
        stands last, nor name another layer, nor turn what the others say.
        """
        words = [word.strip(",;()").casefold() for word in re.split(r",|\b(?:by|in|with|near|at)\b", phrase)[0].split()]
        last = next((word for word in reversed(words) if word.isalpha() and word not in _AFTER_A_FIGURE), "")
        others = (each for each in self.vocabulary.things.values() if each.sort == "layer" and each is not thing and each.named_by)
        return (
            last not in left and not turned(left)
            and not any(form in self.things for word in left for form in singular(joined(word)))
            and not any(self.reads(each, each.named_by, word, ("word",)) for each in others for word in left)
        )  # fmt: skip

    def _named_within(self, phrase: str) -> Iterable[tuple[str, str]]:
        """Each run of words of a phrase that may be a name, with the words around it: the longest first, and the last of those."""
        words = [word.strip(",;") for word in phrase.split()]
        for length in range(min(len(words) - 1, LONGEST_NAME), 0, -1):
            for start in range(len(words) - length, -1, -1):
                yield " ".join(words[start : start + length]), " ".join((*words[:start], *words[start + length :]))

    def without_color(self, key: Text) -> Text:
        """`red liquid membrane` as the layer it is; a color says nothing but in a name that has it, `green board`."""
        color, _, rest = normalized(key.text).partition(" ")
        if color not in COLORS or self.thing_of(key.text, ("layer",)) or self.compound(key.text):
            return key
        return Text(rest, key.where) if self.thing_of(rest, ("layer",)) or self.compound(rest) else key

    def is_no(self, role: str, words: str) -> bool:
        """Whether some words name what people take for a role and does not play it: `waterproofing: sealer`."""
        return any(form in self.false_names.get(role, ()) for form in singular(joined(words)))

    def playing(self, role: str, words: str) -> list[Thing]:
        """The layers of a role that some words say the kind of, wholly or in part: `roll-on, two coats`."""
        return [thing for thing in things_of(role, self.vocabulary)
                if thing.named_by and any(name == f"{thing.name}.{thing.named_by}" for name, _ in most_of(thing, words, self.vocabulary)[0])]  # fmt: skip

    def absent(self, word: str) -> Thing | None:
        """The thing that a word says is not there: `curbless`."""
        return next((t for t in self.vocabulary.things.values() if joined(word) in map(joined, t.none_when)), None)

    def part_said(self, word: str) -> tuple[Thing, Fact] | None:
        """The one part or record of which a word is a fact, `weep holes` of the drain; None where there are more, or none."""
        found = {fact.name: (self.vocabulary.things[thing], fact) for thing, facts in self.attributes.items()
                 if self.vocabulary.things[thing].sort in ("part", "record") and (fact := facts.get(word)) is not None}  # fmt: skip
        return next(iter(found.values())) if len(found) == 1 else None

    def worded(self, thing: Thing, word: str) -> Fact | None:
        """The one fact of a thing of which a word is a word, so that `painted: yes` says it; None where there are more, or none."""
        found = [fact for fact in dict.fromkeys(fact.name for fact in self.attributes[thing.name].values())
                 if (one := self.vocabulary.facts[fact]).kind == "word" and one.stated and not fact.endswith(" as stated") and possible.can_read(one, word)]  # fmt: skip
        return self.vocabulary.facts[found[0]] if len(found) == 1 else None

    def is_a_junction(self, word: str) -> bool:
        """Whether a word is a kind of junction, in the singular or the plural."""
        kind = self.vocabulary.facts["junction.kind"]
        return any(possible.can_read(kind, form) for form in (*singular(word), f"{word}s"))

    def drawer(self, word: str) -> str:
        """Where a line belongs that stands where it cannot be; nothing where that is not known."""
        if word in self.attributes["framing"] or word in ("stud", "studs", "joists", "framing", "beams"):
            return "it belongs under `framing:`, in the run that the place is `on`"
        if word in self.attributes["job"]:
            return "it belongs under `use:`"
        if self.thing_of(word, ("record",)):
            return "it belongs under `records:`"
        if self.thing_of(word, ("layer",)):
            return "it belongs in its turn under `built up:` of its place"
        if self.thing_of(word, ("part",)):
            return "it belongs under the place that it is a part of"
        of = self.said_of(word)
        return f"it is said of {' or '.join(f'`{each}`' for each in of)}, on a line under it" if 0 < len(of) < MANY else ""

    def said_of(self, word: str) -> list[str]:
        """The layers, parts and seals that have a fact of some name."""
        return [thing for thing, facts in self.attributes.items() if word in facts and self.vocabulary.things[thing].sort in ("layer", "part", "seal")]

    def word_called(self, name: str) -> str:
        """The word that a thing's other name says of it: `cement board` says cement; empty where the name says none."""
        return next((self.called[form] for form in singular(joined(name)) if form in self.called), "")

    def names_one_of(self, thing: Thing, name: str) -> bool:
        """Whether a name is of one kind of a thing and not of the thing, so that `hot mop: no` does not deny the liner."""
        return bool(self.word_called(name)) and joined(thing.name) not in singular(joined(name))

    def reads(self, thing: Thing, attribute: str, text: str, kinds: tuple[str, ...] = ()) -> bool:
        """Whether a text states a fact of a thing; of some kinds only, if they are named."""
        fact = self.vocabulary.facts[f"{thing.name}.{attribute}"]
        return (not kinds or fact.kind in kinds) and possible.can_read(fact, text)

    def split(self, word: str, sorts: tuple[str, ...]) -> tuple[Thing, Fact] | None:
        """`tape width` as the fact of a thing; None when it is none."""
        words = normalized(word).split(" ")
        for cut in range(len(words) - 1, 0, -1):
            thing = self.thing_of(" ".join(words[:cut]), sorts)
            if thing is not None:
                fact = self.attributes[thing.name].get(" ".join(words[cut:]))
                if fact is not None:
                    return thing, fact
        return None

    def unknown(self, key: Text, form: str, allowed: Iterable[str], *, placed: bool = False, about: str = "") -> None:
        """Complain of a key that a form does not have, with the drawer it belongs in (`placed`) or the nearest it has."""
        allowed = tuple(allowed)
        drawer = self.drawer(normalized(key.text)) if placed else ""
        hint = f"{drawer}; here: " if drawer else did_you_mean(key.text, allowed)
        complain(self.complaints, key, f"`{key.text}` is not a key of {form}", hint + listed(allowed), about)

    def unknown_fact(self, thing: Thing, key: Text, others: tuple[str, ...]) -> None:
        """Complain of a line that is no fact of a thing, with the nearest, or the things that it is said of."""
        own, word = self.attributes[thing.name], normalized(key.text)
        hint = did_you_mean(key.text, (*own, *others), lambda near: "" if near in others else _other(near, own[near]))
        of = [name for name, facts in self.attributes.items() if word in facts] if not hint else []
        hint = hint or (f"it is said of {listed(of, 3)}; here: " if of else "")
        missing = "" if of else or_a_book_is_missing(key.text, nearest(key.text, (*own, *others)))
        complain(self.complaints, key, f"`{key.text}` is not a key of `{thing.name}`", hint + listed((*self.statable(thing.name), *others)) + missing, thing.name)

    def names_of(self, *sorts: str) -> list[str]:
        """The things of some sorts; what most can be said of, and so most is written of, first."""
        named = [thing.name for thing in self.vocabulary.things.values() if thing.sort in sorts]
        return sorted(named, key=lambda name: -len(self.attributes[name]))

    def statable(self, thing: str) -> tuple[str, ...]:
        """The attributes of a thing that a person may state: what names it, what is asked first, and last what is worked out."""
        stated = {fact.name: fact for fact in self.attributes[thing].values() if fact.stated}
        named_by = f"{thing}.{self.vocabulary.things[thing].named_by}"
        ranked = sorted(
            stated.values(),
            key=lambda fact: (fact.name != named_by, bool(fact.worked_out_by or fact.concluded), MATTERS.index(fact.matters)),
        )
        return tuple(fact.name.partition(".")[2] for fact in ranked)
