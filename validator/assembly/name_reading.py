"""Which thing and which fact a word of a description names, and what to say of a word that names none."""

from collections.abc import Iterable

from validator.assembly.cards import ProductCard
from validator.assembly.phrases import COLORS, pieces_of
from validator.facts import possible
from validator.facts.vocabulary import BOOK_MISSING, MATTERS, Fact, Thing, Vocabulary
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean
from validator.language.source import Complaint, Text, Where

THERE_WORDS = frozenset(("there", "yes", "used", "present", "true"))
NONE_WORDS = frozenset(("none", "no", "not used", "not there", "nothing", "false", "without"))
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


class NameReader:
    """Knows every name of one vocabulary; keeps every complaint and every note."""

    def __init__(self, vocabulary: Vocabulary, catalogue: dict[str, ProductCard], complaints: list[Complaint]) -> None:
        self.vocabulary = vocabulary
        self.catalogue = catalogue
        self.complaints = complaints
        self.notes: list[Complaint] = []
        self.things = {normalized(name): thing for name, thing in vocabulary.things.items()}
        self.attributes: dict[str, dict[str, Fact]] = {name: {} for name in vocabulary.things}
        for fact in list(vocabulary.facts.values()):
            if fact.kind != "presence" and not fact.aggregate and not fact.name.endswith(" as stated"):
                thing, _, attribute = fact.name.partition(".")
                self.attributes[thing][normalized(attribute)] = fact
        for thing in vocabulary.things.values():
            self.things |= {joined(name): thing for name in (thing.name, *thing.also_called)}
        for fact in vocabulary.facts.values():
            self.attributes[fact.thing] |= {normalized(name): fact for name in fact.also_called}
        self.shared = _shared(vocabulary.things.values())
        self.called = {joined(name): word for thing in vocabulary.things.values() for name, word in thing.also_called.items()}
        self.roles = {each.role for each in (*vocabulary.things.values(), *vocabulary.facts.values()) if each.role}

    def note(self, where: Where, what: str, accepted: str = "") -> None:
        """Something to ask back, on which nothing is judged."""
        self.notes.append(Complaint(where, what, accepted))

    # -- which thing, which fact ------------------------------------------------------------------------------------------

    def thing_of(self, word: str, sorts: tuple[str, ...]) -> Thing | None:
        """The thing of one of some sorts that a word names, in the singular or the plural."""
        for form in singular(joined(word)):
            thing = self.things.get(form)
            if thing is not None and thing.sort in sorts and form not in self.shared:
                return thing
        return None

    def things_of_word(self, word: str, sorts: tuple[str, ...]) -> list[Thing]:
        """The things of some sorts that a word could be the kind of: `plywood`, `3/4 in plywood`, `honed limestone`."""
        return [thing for thing in self.vocabulary.things.values() if thing.sort in sorts and self.says_what_it_is(thing, word)]

    def says_what_it_is(self, thing: Thing, text: str) -> bool:
        """Whether a text says what a thing is named by, alone or among other facts of it."""
        return bool(thing.named_by) and (self.reads(thing, thing.named_by, text, ("word",)) or self._is_named_in(thing, text))

    def _is_named_in(self, thing: Thing, phrase: str) -> bool:
        """Whether a phrase says several facts of a thing, and among them what it is named by, or a word that such a name gives."""
        named_by = self.vocabulary.facts[f"{thing.name}.{thing.named_by}"]
        naming = {named_by.name, *(name for name in named_by.gives if name.partition(".")[2] in thing.alone)}
        said = pieces_of(thing, phrase, self.vocabulary)
        return any(name in naming and self.vocabulary.facts[name].kind == "word" for name, _ in said)

    def compound(self, word: str) -> tuple[Thing, str] | None:
        """`mosaic tile`, `unglazed porcelain tile` as a layer and what is said of it before its name; None when it is none."""
        words = word.split()
        for cut in range(1, len(words)):
            name, before = " ".join(words[cut:]), " ".join(words[:cut])
            thing = self.thing_of(name, ("layer",))
            if thing is None or before in NONE_WORDS or before in THERE_WORDS:
                continue
            if called := self.word_called(name):  # `polished marble tile` says both
                before = f"{before} {called}"
            if any(self.reads(thing, each, before, _BEFORE_A_NAME) for each in (thing.named_by, *thing.alone) if each):
                return thing, before
            if pieces_of(thing, before, self.vocabulary):
                return thing, before
        return None

    def without_color(self, key: Text) -> Text:
        """`red liquid membrane` as the layer it is; a color says nothing but in a name that has it, `green board`."""
        color, _, rest = normalized(key.text).partition(" ")
        if color not in COLORS or self.thing_of(key.text, ("layer",)) or self.compound(key.text):
            return key
        return Text(rest, key.where) if self.thing_of(rest, ("layer",)) or self.compound(rest) else key

    def absent(self, word: str) -> Thing | None:
        """The thing that a word says is not there: `curbless`."""
        return next((t for t in self.vocabulary.things.values() if joined(word) in map(joined, t.none_when)), None)

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
        return ""

    def word_called(self, name: str) -> str:
        """The word that a thing's other name says of it: `cement board` says cement; empty where the name says none."""
        return next((self.called[form] for form in singular(joined(name)) if form in self.called), "")

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
        missing = "" if hint else f"; {BOOK_MISSING}"
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
