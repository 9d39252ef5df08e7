"""Takes an assembly, returns its sheet of sums: for each place every sum that could be done, with its steps and what it was
given.

A sum is shown when something of it was stated at that place and what it is about is there. What somebody states stands
in the judging; its sum is shown beside it all the same. Places whose sums are the same are told once.
"""

from collections.abc import Iterable
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.deriving import DerivedPlace, Vector
from validator.facts import possible
from validator.facts.possible import CARD, CONCLUDED, NOT_STATED, STATED, WORKED_OUT
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import NONE
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import formulas
from validator.rulebook.derived import DerivedFact
from validator.rulebook.english import name_of
from validator.rulebook.sources import Cited
from validator.workings import WORKINGS, Worked, Working
from validator.workings.intervals import WorkedRange

ASSUMED = "assumed"
SAID = (STATED, CARD)
LISTED = {name: number for number, name in enumerate(WORKINGS)}


class Given(NamedTuple):
    """One fact that a sum was given: its value in words, and whence it is known."""

    fact: str
    value: str
    origin: str


class WorkedSum(NamedTuple):
    """One sum at one place. `ends` are the sums at its least and greatest, one where both are the same."""

    fact: str
    name: str
    of: str  # which of several layers
    working: str
    value: str
    least: int | None
    greatest: int | None
    kind: str
    stated: str
    ends: tuple[Worked, ...]
    formula: str  # in words
    given: tuple[Given, ...]
    assumed: tuple[str, ...]
    narrows: tuple[str, ...]
    why_not: str
    cited: Cited | None

    @property
    def known(self) -> bool:
        return self.least is not None or self.greatest is not None

    @property
    def lines(self) -> tuple[str, ...]:
        """The one-line result of each end."""
        return tuple(dict.fromkeys(end.line for end in self.ends))


class PlaceSums(NamedTuple):
    """The sums of one place, or of several places alike."""

    places: tuple[str, ...]
    sums: tuple[WorkedSum, ...]


def sheet_of(assembly: Assembly, loaded: LoadedBook) -> tuple[PlaceSums, ...]:
    """The sums of every place, in the order the places are described. `loaded` works everything out."""
    alike: dict[tuple[WorkedSum, ...], list[str]] = {}
    for subject in assembly.subjects:
        if subject.sort == "place":
            alike.setdefault(tuple(_sums(subject, loaded)), []).append(subject.name)
    return tuple(PlaceSums(tuple(names), each) for each, names in alike.items())


def of_place(sheet: tuple[PlaceSums, ...], place: str) -> tuple[PlaceSums, ...]:
    """The sums of one place alone."""
    return tuple(PlaceSums((place,), each.sums) for each in sheet if place in each.places)


def _sums(subject: Subject, loaded: LoadedBook) -> Iterable[WorkedSum]:
    found = loaded.engine.derive(subject)
    worked = [each for each in loaded.engine.deriver.order if each.working or each.formula]
    for derived in sorted(worked, key=_as_listed):
        for layer, vector in found.layers.get(derived.fact.thing, [(None, found.vector)]):
            here = _Here(loaded, found, layer, vector)
            done = here.worked(derived) if derived.working else here.small(derived)
            if done is not None:
                yield done


def _as_listed(derived: DerivedFact) -> int:
    """Workings in the order their list has, from the framing up; formulas after them."""
    return LISTED.get(derived.working, len(LISTED))


class _Here(NamedTuple):
    """One layer of a place, or the place itself, where a sum is done."""

    loaded: LoadedBook
    found: DerivedPlace
    layer: Layer | None
    vector: Vector

    def worked(self, derived: DerivedFact) -> WorkedSum | None:
        working = WORKINGS[derived.working]
        names = [each.fact for each in working.inputs]
        needed = [each.fact for each in working.inputs if each.usual is None and each.moves != "instead"]
        if not self._means_something(working) or not self._there([derived.fact.name, *needed]):
            return None
        result = self.loaded.engine.deriver.work(derived.working, {name: self._possible(name) for name in names})
        if result.greatest == NO_GREATEST and result.least <= 0:
            result = WorkedRange(NO_LEAST, NO_GREATEST, narrows=result.narrows, why_not=result.why_not)
        said = [name for name in names if self._origin(name) in SAID and not self._of_the_job(name)]
        if not result.known and not said:
            return None
        ends = tuple(dict.fromkeys(end for end in (result.at_least, result.at_greatest) if end is not None))
        return self._sum(derived, working, result, ends, "")

    def _sum(
        self, derived: DerivedFact, working: Working, result: WorkedRange, ends: tuple[Worked, ...], formula: str
    ) -> WorkedSum:
        fact = derived.fact
        told = dict.fromkeys(text for end in ends for text in end.assumed)
        return WorkedSum(
            fact.name, name_of(self.loaded.vocabulary, fact.name), self._of(), working.name,
            possible.in_words(fact, (result.least, result.greatest), fact.shown_in),
            *_ends(result.least, result.greatest), fact.kind, self._stated(fact.name), ends, formula,
            tuple(self._given(each.fact, each.usual is not None) for each in working.inputs),
            (*result.assumed, *told), result.narrows, result.why_not, self.loaded.cited(working.name),
        )  # fmt: skip

    def small(self, derived: DerivedFact) -> WorkedSum | None:
        fact = derived.fact
        names = formulas.facts_of(derived.formula)
        if not self._there([fact.name, *names]) or not any(self._origin(name) in SAID for name in names):
            return None
        vector = self.vector[:]
        for name in names:
            vector[self.loaded.vocabulary.slot(name)] = self._without_bounds(name, self._value(name))
        least, greatest = self.loaded.engine.deriver.sums[fact.name](vector)
        if greatest == NO_GREATEST and least <= 0:
            return None
        return WorkedSum(
            fact.name, name_of(self.loaded.vocabulary, fact.name), self._of(), "",
            possible.in_words(fact, (least, greatest), fact.shown_in), *_ends(least, greatest), fact.kind,
            self._stated(fact.name), (), formulas.in_words(derived.formula, vector, self.loaded.vocabulary),
            tuple(self._given(name, False) for name in dict.fromkeys(names)), (), (), "", None,
        )  # fmt: skip

    # -- what is known here -----------------------------------------------------------------------------------------------

    def _of(self) -> str:
        return (self.layer.name or self.layer.thing) if self.layer is not None else ""

    def _value(self, name: str) -> object:
        return self.vector[self.loaded.vocabulary.slot(name)]

    def _possible(self, name: str) -> object:
        """What a working is given: an amount's ends, or the words that are possible."""
        fact = self.loaded.vocabulary.fact(name)
        value = self._value(name)
        if fact.is_word:
            return tuple(w for bit, w in enumerate(fact.words) if value >> bit & 1)
        return self._without_bounds(name, value)

    def _without_bounds(self, name: str, value: object) -> object:
        """What is known of an amount: how great it could be at all, as the vocabulary has it, is no result of a sum."""
        fact = self.loaded.vocabulary.fact(name)
        return (value[0], NO_GREATEST) if fact.is_amount and value == fact.anything else value

    def _means_something(self, working: Working) -> bool:
        if not working.places:
            return True
        return any(kind in working.places for kind in self._possible("place.kind"))

    def _there(self, names: list[str]) -> bool:
        """Whether everything these facts are said of is there, or may be."""
        things = {self.loaded.vocabulary.fact(name).thing for name in names}
        return all(thing not in self.loaded.vocabulary.slots or self._value(thing) != NONE for thing in things)

    def _of_the_job(self, name: str) -> bool:
        return self.loaded.vocabulary.fact(name).thing == "job"

    def _known(self, name: str) -> possible.Known | None:
        own = self.layer is not None and self.loaded.vocabulary.fact(name).thing == self.layer.thing
        return self.layer.known.get(name) if own else self.found.known.get(name)

    def _origin(self, name: str) -> str:
        known, how = self._known(name), self.found.provenance.get(name)
        if known is not None and known.origin in SAID:
            return known.origin
        if possible.is_anything(self.loaded.vocabulary.fact(name), self._value(name)):
            return NOT_STATED
        return how.origin if how is not None and how.origin in (CONCLUDED, WORKED_OUT) else WORKED_OUT

    def _given(self, name: str, has_usual: bool) -> Given:
        fact, known, origin = self.loaded.vocabulary.fact(name), self._known(name), self._origin(name)
        if origin == NOT_STATED:
            return Given(name, "", ASSUMED if has_usual else NOT_STATED)
        unit = known.unit if known is not None and known.unit else fact.shown_in
        return Given(name, possible.in_words(fact, self._value(name), unit), origin)

    def _stated(self, name: str) -> str:
        known = self._known(name)
        return known.text if known is not None and known.origin in SAID else ""


def _ends(least: int, greatest: int) -> tuple[int | None, int | None]:
    return (None if least == NO_LEAST else least), (None if greatest == NO_GREATEST else greatest)
