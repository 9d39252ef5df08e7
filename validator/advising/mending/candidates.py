"""Takes a place and the facts a rule depends on, returns the changes that could be made: of what, to what, and how hard.

The vocabulary says what may be changed on site (`mend:`). What nobody said is no work to change: it is found out, the first
rung of the ladder of effort, and may be anything that the trade writes.
"""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from validator.advising.breakpoints import candidates_of
from validator.advising.mending.changes import ADDED, DONE, PRODUCT, REMOVED, Change
from validator.advising.mending.ways import Ways
from validator.assembly.draft import WHOLE_FILE
from validator.assembly.places import can_be
from validator.facts import possible
from validator.facts.possible import NOT_STATED, STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import EFFORT_SCALE, MAYBE, NONE, THERE, Fact, Mend, Thing
from validator.judging.loading import LoadedBook
from validator.language import amounts

MOST_STEPS = 24
UNSAID = "not stated"
# Where what is said of a thing is written.
WRITTEN_AT = {"layer": "place", "part": "place", "place": "place", "framing": "place", "seal": "junction", "junction": "junction"}
Value = tuple[str, Known]  # as it is written, and what is known then


class Allowed(NamedTuple):
    """What may be changed: nothing of `keep`; with `unsaid` what nobody said too; with `goods` only to goods of the catalogue.

    `also` may be changed although nobody usually would; without `catalogue` none of its goods is offered.
    """

    keep: frozenset[str] = frozenset()
    goods: bool = False
    unsaid: bool = False
    also: frozenset[str] = frozenset()
    catalogue: bool = True


class Changes:
    """The changes that may be made, for assemblies judged by one book."""

    def __init__(self, loaded: LoadedBook, allowed: Allowed) -> None:
        self.loaded, self.vocabulary, self.allowed = loaded, loaded.vocabulary, allowed
        self.efforts = self.vocabulary.fact(EFFORT_SCALE).words if EFFORT_SCALE in self.vocabulary.facts else ()
        self.carded = {card.thing for card in loaded.catalogue.values()} if allowed.goods else set()
        self._read: dict[object, tuple[Value, ...]] = {}
        self.ways = Ways(loaded)

    def of(self, subject: Subject, names: frozenset[str], *, surely: bool = False) -> Iterator[Change]:
        """Every allowed change at a place that bears on some facts, the nearest values of each fact first.

        What fails `surely` is mended by work alone: whatever is found out, it fails.
        """
        keep, found_out = self.allowed.keep, self.allowed.unsaid and not surely
        left_alone = {name for name in self.ways.left_alone(subject) if not {name, name.partition(".")[0]} & self.allowed.also}
        for name in sorted(names):
            fact = self.vocabulary.fact(name)
            if name in keep or fact.thing in keep or _there(subject, fact.thing) == NONE and fact.kind != "presence":
                continue
            if fact.mend is not None and fact.thing not in self.carded and name not in left_alone:
                yield from self._of_lines(subject, fact, fact.mend)
            if found_out and _is_asked(fact):
                yield from self._of_silence(subject, fact)
        things = [thing for thing in dict.fromkeys(self.vocabulary.fact(name).thing for name in sorted(names)) if thing not in keep]
        if found_out:
            yield from self._of_presence(subject, [self.vocabulary.things[thing] for thing in things])
        for thing in things:
            yield from self._of_thing(subject, self.vocabulary.things[thing])
        for way, layer in self.ways.of(subject, self.allowed.keep):
            if way.names & names:
                yield Change(subject, way.thing, "", way.name, way.how, self.efforts.index(way.how), DONE, layer, done=way)

    # -- facts ----------------------------------------------------------------------------------------------------------------

    def _of_lines(self, subject: Subject, fact: Fact, mend: Mend) -> Iterator[Change]:
        """A fact that is written, written otherwise; what it may be already is found out."""
        for known, layer in _said(subject, fact):
            before = known.text or possible.in_words(fact, known.value, known.unit)
            for text, value in self.values(fact, known):
                how = self.efforts[0] if possible.both(fact, known.value, value.value) == value.value else mend.how
                again = value._replace(where=known.where)
                yield Change(subject, fact.name, before, text, how, self.efforts.index(how), "", layer, again, known.where)

    def _of_silence(self, subject: Subject, fact: Fact) -> Iterator[Change]:
        """A fact that nobody said, found out."""
        for known, layer in _unsaid(subject, fact, self.vocabulary.things[fact.thing].sort):
            for text, value in self.values(fact, known):
                yield Change(subject, fact.name, UNSAID, text, self.efforts[0], 0, "", layer, value)

    def values(self, fact: Fact, known: Known) -> tuple[Value, ...]:
        """To what a fact may be changed, the nearest first."""
        key = (fact.name, known.value, known.unit)
        if key not in self._read:
            self._read[key] = tuple((text, possible.read(fact, text)) for text in self._texts(fact, known))
        return self._read[key]

    def _texts(self, fact: Fact, known: Known) -> Iterator[str]:
        if fact.is_amount:
            sold = fact.mend is not None and (known.origin != NOT_STATED or fact.mend.sizes)
            yield from _sizes(fact, known) if sold else self._limits(fact)
        elif fact.words:
            for word in (fact.mend.to if fact.mend is not None else ()) or fact.words:
                if fact.is_together or known.value != 1 << fact.words.index(word):
                    yield f"only {word}" if fact.is_together and known.origin == NOT_STATED else word

    def _limits(self, fact: Fact) -> Iterator[str]:
        """Amounts at which a rule's answer changes, as they would be written."""
        for point in candidates_of(fact, fact.anything, self.loaded):
            text = amounts.show(max(point, 0), fact.kind, None, both=False)
            if _reads_as(text, fact.kind, point):
                yield text

    # -- things ---------------------------------------------------------------------------------------------------------------

    def _of_thing(self, subject: Subject, thing: Thing) -> Iterator[Change]:
        """A thing added, removed, or made of another product of the catalogue."""
        name, there = thing.name, _there(subject, thing.name)
        if WRITTEN_AT.get(thing.sort, "job") != subject.sort or thing.sort in ("place", "junction", "framing", "job"):
            return
        cards = [card for card in self.loaded.catalogue.values() if card.thing == name] if self.allowed.catalogue else []
        layers = subject.layers.get(name) or [None]
        where = layers[0].where if layers[0] is not None else subject.known[name].where if name in subject.known else None
        if "swap" in thing.mend and there == THERE:
            how = thing.mend["swap"]
            for layer in layers:
                line = layer.where if layer is not None else where
                for card in cards:
                    yield Change(subject, name, f"the {name} written", card.name, how, self.efforts.index(how), PRODUCT, layer, None, line)
        if "add" in thing.mend and there != THERE and _can_be(thing, subject):
            how = thing.mend["add"]
            for after in [*(card.name for card in cards), *(() if name in self.carded else ("there",))]:
                yield Change(subject, name, f"no {name}", after, how, self.efforts.index(how), ADDED)
        if "remove" in thing.mend and there == THERE:
            how = thing.mend["remove"]
            yield Change(subject, name, name, "none", how, self.efforts.index(how), REMOVED, None, None, where)

    def _of_presence(self, subject: Subject, things: Iterable[Thing]) -> Iterator[Change]:
        """A thing of which nobody says whether it is there, found out; and that all which is there is written."""
        unsaid = [thing for thing in things if _is_unsaid(subject, thing) and _can_be(thing, subject)]
        if unsaid:
            yield Change(subject, WHOLE_FILE, UNSAID, "yes", self.efforts[0], 0)
        for thing in unsaid:
            if WRITTEN_AT.get(thing.sort, "job") == subject.sort:
                # That nobody measured, tested or kept a record helps nobody.
                for after in ("there",) if thing.sort == "record" else ("none", "there"):
                    yield Change(subject, thing.name, UNSAID, after, self.efforts[0], 0)


def _is_asked(fact: Fact) -> bool:
    """Whether a fact may be found out; what fills a role is found by the things that could, and a load is not to be chosen."""
    return fact.stated and bool(fact.ask) and fact.kind not in ("presence", "load") and not (fact.role and fact.concluded)


def _there(subject: Subject, thing: str) -> int:
    known = subject.known.get(thing)
    return known.value if known is not None else THERE if thing in subject.layers else NONE


def _is_unsaid(subject: Subject, thing: Thing) -> bool:
    known = subject.known.get(thing.name)
    return known is not None and known.value == MAYBE and known.origin == NOT_STATED and thing.name not in subject.layers


def _said(subject: Subject, fact: Fact) -> Iterator[tuple[Known, Layer | None]]:
    """The lines that say a fact at a place."""
    for layer in subject.layers.get(fact.thing, ()):
        known = layer.known.get(fact.name)
        if known is not None and known.origin == STATED and known.where is not None:
            yield known, layer
    known = subject.known.get(fact.name)
    if known is not None and known.origin == STATED and known.where is not None and not subject.layers.get(fact.thing):
        yield known, None


def _unsaid(subject: Subject, fact: Fact, sort: str) -> Iterator[tuple[Known, Layer | None]]:
    """A fact of which nothing is said, where its thing is surely there and the answer would be written."""
    if WRITTEN_AT.get(sort, "job") != subject.sort or _there(subject, fact.thing) != THERE:
        return
    for layer in subject.layers.get(fact.thing) or (None,):
        known = (layer.known if layer is not None else subject.known).get(fact.name)
        if known is None or known.origin == NOT_STATED:
            yield Known(fact.anything, NOT_STATED), layer


def _sizes(fact: Fact, known: Known) -> Iterator[str]:
    """What an amount is sold in, or whole steps of it, the nearest to what is said first."""
    mend, (least, greatest) = fact.mend, known.value
    found = {text: amounts.read(text, fact.kind) for text in mend.sizes}
    if mend.step:
        found.update(_stepped(fact, amounts.read(mend.step, fact.kind).least, known))
    near = list(found.items())
    if not possible.is_anything(fact, known.value):
        near.sort(key=lambda each: (abs(2 * each[1].least - least - greatest), -each[1].least))
    for text, amount in near:
        if (amount.least, amount.greatest) != known.value:
            yield text


def _stepped(fact: Fact, step: int, known: Known) -> Iterator[tuple[str, amounts.Amount]]:
    """Whole steps on either side of what is said, as far as is usual."""
    bounds = [amounts.read(text, fact.kind).least if text else None for text in (fact.slip_below, fact.slip_above)]
    unit = known.unit or amounts.read(fact.mend.step, fact.kind).unit
    for end in (bounds[0] or 0,) if possible.is_anything(fact, known.value) else known.value:
        for turn in range(-MOST_STEPS, MOST_STEPS + 1):
            steps = (end // step + turn) * step
            low, high = bounds[0] or 0, bounds[1]
            if steps >= low and (high is None or steps <= high):
                text = amounts.show(steps, fact.kind, unit, both=False)
                if _reads_as(text, fact.kind, steps):
                    yield text, amounts.read(text, fact.kind)


def _reads_as(text: str, kind: str, steps: int) -> bool:
    try:
        read = amounts.read(text, kind)
    except amounts.AmountProblem:
        return False
    return read.least == steps == read.greatest


def _can_be(thing: Thing, subject: Subject) -> bool:
    return subject.sort != "place" or can_be(thing, (subject.kind,)) != NONE
