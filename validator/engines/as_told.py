"""The reading as told: a described place narrowed to what an experienced reader takes it to be.

Takes a subject and what was derived strictly from it, and returns a second subject that only says more: what nobody
stated is narrowed to its usual reading. It is a description like any other, so every engine judges it alike, and whatever
the strict reading settles it settles too. Nothing that was stated is ever narrowed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

from validator.engines.closures import NOT, SURELY, Closure, closure_of
from validator.engines.deriving import DerivedPlace, Vector
from validator.engines.leaning import Leaning
from validator.facts import possible
from validator.facts.own_words import stands_in
from validator.facts.possible import CARD, NOT_STATED, STATED, Known
from validator.facts.subjects import Layer, Subject, layers_alike
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact, Vocabulary
from validator.rulebook.book import Book
from validator.rulebook.fusing import Always
from validator.rulebook.rule import UsualReading

USUAL = "taken as usual"
MISSING = "missing"
NEEDS = "place.needs {}"  # the fact that says of a role that the place needs it
YES = 2  # the mask of a yes
PRESENCE = {"usual": THERE, "not there": NONE}
PRESENCE_TEXT = {THERE: "there", NONE: "none"}
NOTHING = Known(NONE, NOT_STATED)
MOST_TRIES = 3
NOTHING_BEFORE: Mapping[int, "Before"] = {}


class Taken(NamedTuple):
    """What was taken of one fact, or of a thing's being there, because nobody said."""

    fact: str
    place: str
    text: str
    because: str


class Told(NamedTuple):
    """A place as told: the narrowed subject, what follows from it, what was taken, and the things nobody mentions."""

    subject: Subject
    derived: DerivedPlace
    taken: tuple[Taken, ...]
    not_mentioned: tuple[str, ...]
    deciding: frozenset[str] = frozenset()  # the facts without which an experienced reader commits to nothing there


class Before(NamedTuple):
    """A place as it was derived strictly, and as it was told."""

    strict: DerivedPlace
    told: Told


class _Row(NamedTuple):
    reading: UsualReading
    holds: Closure


class Usual(NamedTuple):
    """The rows of one fact, or of a thing's being there, with the slots that they narrow and hang on."""

    fact: Fact
    slot: int
    thing: int  # the slot of its thing's presence; 0 of what is always there
    rows: tuple[_Row, ...]


class _Chosen(NamedTuple):
    """What the rows of one fact come to: a value, or None for asked; with the text and the reason of the row that speaks."""

    value: object
    text: str
    because: str


NOTHING_TAKEN = _Chosen(None, "", "")


class AsTold:
    """Narrows subjects of one book by its usual readings."""

    def __init__(self, book: Book, leaning: Leaning) -> None:
        self.vocabulary: Vocabulary = book.vocabulary
        self.leaning = leaning
        self.flags = self.vocabulary.role_flags()
        # Of a junction, or of the job, only what its own rules lean on is worth narrowing.
        needed = {sort: book.needed_at.get(sort, book.needed) for sort in ("place", "junction", "job")}
        things = [self._usual(name, rows) for name, rows in book.usual.things.items()]
        facts = [self._usual(name, rows) for name, rows in book.usual.facts.items()]
        self.deciding = [(each, closure_of(each.when)) for each in book.usual.deciding]
        self.things = {sort: [each for each in things if each.fact.name in names] for sort, names in needed.items()}
        self.facts = {sort: [each for each in facts if each.fact.name in names] for sort, names in needed.items()}

    def _usual(self, name: str, rows: Iterable[UsualReading]) -> Usual:
        fact = self.vocabulary.fact(name)
        always = self.vocabulary.things[fact.thing].always or fact.kind == "presence"
        return Usual(fact, self.vocabulary.slot(name), 0 if always else self.vocabulary.slot(fact.thing),
                      tuple(_Row(row, closure_of(row.when)) for row in rows))  # fmt: skip

    def all_told(
        self, derived: Iterable[DerivedPlace], words: str, unread: frozenset[str] = frozenset(), before: Mapping[int, Before] = NOTHING_BEFORE
    ) -> tuple[Told, ...]:
        """Every subject of one description as told, from what was derived of each strictly; places come before junctions.

        `words` are the description's own, in lower case. A layer of a place that meets at a junction is one layer at both.
        Of the things and facts `unread`, and of those that a subject holds unread, somebody said what could not be read, so that
        nothing is taken of them. `before` holds, by the id of a subject, what stood under its name in another description of the same
        words, of which the same is unread.
        """
        layers: dict[int, list[Layer]] = {}
        found = []
        for strict in derived:
            was = before.get(id(strict.subject))
            told = self._told_again(strict, was, layers) if was is not None else None
            told = told or self._told(strict, words, layers, unread | strict.subject.unread, was.told.derived if was is not None else None)
            layers |= {id(own): told.subject.layers[thing] for thing, own in strict.subject.layers.items()}
            found.append(told)
        return tuple(found)

    def _told_again(self, strict: DerivedPlace, before: Before, of_places: Mapping[int, list[Layer]]) -> Told | None:
        """A subject as it was told before; None where it says otherwise now, or a layer that it shares with a place is told otherwise."""
        own, was, told = strict.subject, before.strict.subject, before.told
        if strict.vector is not before.strict.vector or own.unread != was.unread or told.derived.disagreements:
            return None
        if told.subject is was:
            return told._replace(subject=own, derived=strict)
        layers: dict[str, list[Layer]] = {}
        for thing, written in own.layers.items():
            narrowed, shared = told.subject.layers[thing], of_places.get(id(written))
            if shared is not None and not layers_alike(shared, narrowed):
                return None
            layers[thing] = shared or [
                replace(layer, known=_with_taken(layer.known, old.known, new.known)) for layer, old, new in zip(written, was.layers[thing], narrowed)
            ]  # fmt: skip
        subject = replace(own, known=_with_taken(own.known, was.known, told.subject.known), layers=layers)
        return told._replace(subject=subject, derived=self.leaning.derived_from(subject, told.derived))

    def _told(
        self, strict: DerivedPlace, words: str, layers: Mapping[int, list[Layer]], unread: frozenset[str], before: DerivedPlace | None
    ) -> Told:
        refused: set[str] = set()
        for _ in range(MOST_TRIES):
            told = self._narrowed(strict, words, layers, refused, unread, before)
            against = {each.fact for each in told.derived.disagreements} - {each.fact for each in strict.disagreements}
            if not against:
                return told
            # What follows from the description speaks against something taken for granted: it is not taken.
            named = against & {each.fact for each in told.taken}
            refused |= named or {each.fact for each in told.taken}
        return Told(strict.subject, strict, (), told.not_mentioned, told.deciding)

    def _narrowed(
        self, strict: DerivedPlace, words: str, layers: Mapping[int, list[Layer]], refused: set[str], unread: frozenset[str],
        before: DerivedPlace | None,
    ) -> Told:  # fmt: skip
        narrowing = _Narrowing(self, strict, words, refused, unread)
        narrowing.things()
        narrowing.facts(layers)
        subject = narrowing.subject
        derived = strict if subject is strict.subject else self.leaning.derived_from(subject, before or strict)
        deciding = (name for each, holds in self.deciding if holds(narrowing.first) != NOT for name in each.facts)
        return Told(subject, derived, tuple(narrowing.taken), tuple(narrowing.missing), frozenset(deciding))


class _Narrowing:
    """One place while it is narrowed."""

    def __init__(self, of: AsTold, strict: DerivedPlace, words: str, refused: set[str], unread: frozenset[str]) -> None:
        self.strict, self.words, self.refused, self.unread = strict, words, refused, unread
        self.vocabulary, self.flags = of.vocabulary, of.flags
        self.subject = strict.subject
        self.of_things = of.things[self.subject.sort]
        self.of_facts = of.facts[self.subject.sort]
        self.taken: list[Taken] = []
        self.missing: list[str] = []
        self.first = self._with_own_readings(strict.vector)

    def _with_own_readings(self, vector: Vector) -> Vector:
        """The vector that `when:` is judged on: what is written, else the reading that follows from what is written alone.

        A thing that nobody wrote is `none` there, unless a title or a name speaks of it: whether it is taken to be there may itself
        hang on another's being there.
        """
        written = vector[:]
        for each in self.of_things:
            if vector[each.slot] == MAYBE and self._unwritten(each.fact.name):
                written[each.slot] = spoken_of(each, self.words)
        narrowed = written[:]
        for each in self.of_facts:
            if vector[0] >> each.slot & 1 or each.fact.name in self.unread or each.thing and vector[each.thing] == NONE:
                continue
            value = _chosen(each, written, self.words).value
            if value is not None:
                narrowed[each.slot] = possible.both(each.fact, vector[each.slot], value) or vector[each.slot]
        return narrowed

    def _unwritten(self, thing: str) -> bool:
        known = self.strict.known.get(thing)
        return thing not in self.subject.layers and thing not in self.unread and (known is None or known.origin == NOT_STATED and not known.text)

    def things(self) -> None:
        """Whether what nobody mentions is there."""
        changed: dict[str, Known] = {}
        for each in self.of_things:
            name = each.fact.name
            known = self.subject.known.get(name)
            if known is None or known.value != MAYBE or self.strict.vector[each.slot] != MAYBE or not self._unwritten(name):
                continue
            chosen = _chosen(each, self.first, self.words)
            if chosen.text == MISSING or PRESENCE.get(chosen.text) == NONE and self._is_needed(name):
                self.missing.append(name)
            elif chosen.text in PRESENCE and name not in self.refused:
                there = PRESENCE[chosen.text]
                changed[name] = Known(there, USUAL, PRESENCE_TEXT[there])
                self.taken.append(Taken(name, self.subject.name, PRESENCE_TEXT[there], chosen.because))
        if changed:
            self.subject = replace(self.subject, known={**self.subject.known, **changed})

    def _is_needed(self, thing: str) -> bool:
        """Whether a thing could fill a role that the place surely needs filled and that nothing written fills.

        Such a thing is missed, never taken as not there: silence about waterproofing is a question, and no failure.
        """
        role = self.vocabulary.things[thing].role
        needs, filled = self.vocabulary.slots.get(NEEDS.format(role)), self.vocabulary.slots.get(self.flags.get(role, ""))
        return bool(role and needs and filled) and self.strict.vector[needs] == YES != self.strict.vector[filled]

    def facts(self, of_places: Mapping[int, list[Layer]]) -> None:
        """The facts of what is there, or may be; of several layers each alone, and of a place's layers as in the place."""
        known: dict[str, Known] = {}
        layers = {thing: of_places[id(own)] for thing, own in self.subject.layers.items() if id(own) in of_places}
        settled = frozenset(layers)
        first: dict[int, Vector] = {id(self.strict.vector): self.first}
        for each in self.of_facts:
            own = layers.get(each.fact.thing) or self.subject.layers.get(each.fact.thing)
            if each.fact.thing in settled:
                continue
            if not own:
                if not each.thing or self.subject.known.get(each.fact.thing, NOTHING).value != NONE:
                    read = self._read(each, self.subject.known, self.strict.vector, self.first)
                    known |= {each.fact.name: read} if read is not None else {}
                continue
            several = self.strict.layers.get(each.fact.thing)
            vectors = [vector for _, vector in several] if several else [self.strict.vector]
            narrowed = list(own)
            for number, (layer, vector) in enumerate(zip(own, vectors)):
                if not layer.known:
                    continue  # it stands for any number that a gap hides
                if id(vector) not in first:
                    first[id(vector)] = self._with_own_readings(vector)
                read = self._read(each, layer.known, vector, first[id(vector)])
                if read is not None:
                    narrowed[number] = replace(layer, known={**layer.known, each.fact.name: read})
            if narrowed != own:
                layers[each.fact.thing] = narrowed
        if known or layers:
            self.subject = replace(
                self.subject, known={**self.subject.known, **known}, layers={**self.subject.layers, **layers}
            )

    def _read(self, each: Usual, known: Mapping[str, Known], vector: Vector, first: Vector) -> Known | None:
        """What one fact is narrowed to; None where it was stated, or where nothing is taken of it."""
        name, said = each.fact.name, known.get(each.fact.name)
        stated = said is not None and said.origin in (STATED, CARD) or vector[0] >> each.slot & 1
        if stated or name in self.refused or name in self.unread or each.fact.worked_out_by is not None:
            return None
        chosen = _chosen(each, first, self.words)
        if said is not None and said.guess is not None and chosen.value is not None:  # what a person supposes is likelier than what is usual
            chosen = _Chosen(said.guess, said.text, "It was written as a guess.")
        value = possible.both(each.fact, vector[each.slot], chosen.value) if chosen.value is not None else None
        if value is None or value == vector[each.slot]:
            return None
        self.taken.append(Taken(name, self.subject.name, chosen.text, chosen.because))
        return Known(value, USUAL, chosen.text)


def _with_taken(known: dict[str, Known], was: Mapping[str, Known], told: Mapping[str, Known]) -> dict[str, Known]:
    """What is known, with what was taken before."""
    return {**known, **{name: each for name, each in told.items() if each is not was.get(name)}}


def spoken_of(usual: Usual, words: str) -> int:
    """Whether the words of a description alone, wherever it is, say that a thing which nobody wrote is there."""
    spoken = (row.reading for row in usual.rows if any(stands_in(word, words) for word in row.reading.said))
    first = next(spoken, None)
    return THERE if first is not None and first.when == Always(True) and PRESENCE.get(first.text) == THERE else NONE


def _chosen(usual: Usual, vector: Vector, words: str) -> _Chosen:
    """What the rows come to: the first that surely holds speaks; one that only may hold adds what it gives, or asks."""
    found: list[UsualReading] = []
    for reading, holds in usual.rows:
        if reading.said and not any(stands_in(word, words) for word in reading.said):
            continue
        answer = holds(vector)
        if answer == NOT:
            continue
        found.append(reading)
        if answer == SURELY:
            break
    else:
        return NOTHING_TAKEN
    if usual.fact.kind == "presence":
        return _Chosen(None, found[0].text if len({each.text for each in found}) == 1 else "", found[0].because)
    value = found[0].value
    for each in found[1:]:
        value = possible.either(usual.fact, value, each.value) if value is not None and each.value is not None else None
    return _Chosen(value, " or ".join(dict.fromkeys(each.text for each in found)), found[0].because)
