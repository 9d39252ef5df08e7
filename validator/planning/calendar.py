"""Takes an assembly and a start, returns the earliest date of each step that must wait.

The steps are those of what is described: a bed, a pan, coats of membrane, the flood test, tile, grout, and use. Where
places differ the longest wait counts, and what is not known of a wait makes its date, and every one after it, `at
least`. Raises AmountProblem for a start that is no date, WorkingProblem where it is too cold for cement to cure.
"""

from datetime import datetime, timedelta
from fractions import Fraction
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.deriving import Vector
from validator.facts.vocabulary import NONE, THERE
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.workings.intervals import from_steps
from validator.workings.times import USUAL_TEMPERATURE, Day, Stage, calendar, flood_wait

EPOCH = datetime(1970, 1, 1)
A_DAY = 86_400
MORNING = timedelta(hours=8)
BED = Fraction(24)
HELD = Fraction(24)
USUAL_GROUT = Fraction(48)
TRAFFIC, WATER = Fraction(24), Fraction(7 * 24)
PRACTICE = "practice"
READ = "read second-hand"
COVERED = "24 h at 70 °F before it is covered"


class Dates(NamedTuple):
    """A calendar: its days, the temperature it was made for, and what was taken as read."""

    begins: datetime
    days: tuple[Day, ...]
    assumed: tuple[str, ...]


class Wait(NamedTuple):
    """Hours to wait, none where they are not known, or the least of them; and how they are known."""

    hours: Fraction | None
    because: str
    known_by: str
    or_longer: bool = False


def start_of(text: str) -> tuple[datetime, bool]:
    """When work begins, and whether an hour was given; a date alone begins at 8 in the morning. Raises AmountProblem."""
    moment = amounts.read(text, "moment")
    begins = EPOCH + timedelta(seconds=moment.least)
    given = moment.greatest - moment.least < A_DAY - 1
    return (begins, True) if given else (begins + MORNING, False)


def calendar_of(assembly: Assembly, loaded: LoadedBook, begins: tuple[datetime, bool]) -> Dates:
    """The calendar of a described assembly. `loaded` works everything out."""
    places = [loaded.engine.derive(s).vector for s in assembly.subjects if s.sort == "place"]
    site = _Site(loaded, places)
    assumed = [] if begins[1] else ["work begins at 8 in the morning; no hour was given"]
    coldest = site.coldest()
    if coldest is None:
        assumed.append("a room at 70 °F; its temperature is not stated")
    days = calendar(begins[0], site.stages(), USUAL_TEMPERATURE if coldest is None else coldest)
    return Dates(begins[0], days, tuple(assumed))


class _Steps:
    """The steps so far, and the wait before the next; cement waits longer in the cold."""

    def __init__(self) -> None:
        self.stages: list[Stage] = []
        self.then(Wait(Fraction(0), "the start", "stated"))

    def then(self, wait: Wait, *, cement: bool = False) -> None:
        """What the next step waits for."""
        self.wait, self.cement = wait, cement

    def add(self, name: str, *, after: str = "") -> None:
        """The next step, after the last one or after the one named."""
        follows = after or (self.stages[-1].name if self.stages else "")
        wait = self.wait
        self.stages.append(Stage(name, follows, wait.hours, wait.because, wait.known_by, self.cement, wait.or_longer))


class _Site:
    """Every place of a job at once."""

    def __init__(self, loaded: LoadedBook, places: list[Vector]) -> None:
        self.loaded, self.places = loaded, places
        self.vocabulary = loaded.vocabulary

    def _there(self, thing: str) -> list[Vector]:
        slot = self.vocabulary.slot(thing)
        return [vector for vector in self.places if vector[slot] == THERE]

    def _words(self, vector: Vector, name: str) -> tuple[str, ...]:
        fact, mask = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        return tuple(word for bit, word in enumerate(fact.words) if mask >> bit & 1)

    def _hours(self, name: str, places: list[Vector]) -> Fraction | None:
        """The longest that a wait could be over the places; none when one of them does not say."""
        ends = [vector[self.vocabulary.slot(name)][1] for vector in places]
        if not ends or NO_GREATEST in ends:
            return None
        return from_steps(max(ends), "duration", "h")

    def coldest(self) -> Fraction | None:
        """The coldest it could be while work sets, in degrees Fahrenheit."""
        name = "job.surface temperature while setting"
        lows = [vector[self.vocabulary.slot(name)][0] for vector in self.places]
        if not lows or min(lows) == NO_LEAST:
            return None
        return from_steps(min(lows), "temperature", "°F")

    def stages(self) -> tuple[Stage, ...]:
        """The steps of this job in their order, each after the one it waits for."""
        steps = _Steps()
        tests = self._tested()
        if self._there("liner"):
            # a liner lies under the bed, so it is tested before the bed hides it
            self._liner(steps, tests)
            tests = []
        for thing, name, known_by in (("mortar bed", "mortar bed placed", READ), ("foam pan", "pan set in mortar", PRACTICE)):
            if self._there(thing):
                steps.add(name)
                steps.then(Wait(BED, COVERED, known_by), cement=True)
        self._membrane(steps, tests)
        if self._there("tile"):
            self._tile(steps)
        return tuple(steps.stages)

    def _liner(self, steps: "_Steps", tests: list[Vector]) -> None:
        if any("mortar" in self._words(v, "pre-slope.material") for v in self._there("pre-slope")):
            steps.add("sloped fill placed")
            steps.then(Wait(BED, COVERED, PRACTICE), cement=True)
        steps.add("liner laid")
        steps.then(Wait(Fraction(0), "once it is clamped and dry", PRACTICE))
        self._test(steps, tests)

    def _membrane(self, steps: "_Steps", tests: list[Vector]) -> None:
        membranes = self._there("membrane")
        liquid = [v for v in membranes if "liquid" in self._words(v, "membrane.kind")]
        if membranes:
            steps.add("membrane, first coat" if liquid else "membrane on")
            for number in range(2, self._coats(liquid) + 1):
                steps.then(self._between(liquid))
                steps.add(f"membrane, coat {number}")
            steps.then(self._before_water(liquid) if tests else self._cure(liquid))
        self._test(steps, tests)

    def _test(self, steps: "_Steps", tests: list[Vector]) -> None:
        if tests:
            steps.add("flood test begins")
            steps.then(self._held(tests))
            steps.add("flood test over")
            steps.then(Wait(Fraction(0), "once the pan has held and is dry", PRACTICE))

    def _tile(self, steps: "_Steps") -> None:
        steps.add("tile set")
        steps.then(self._before_grout(), cement=True)
        steps.add("grout")
        for name, wait in (("light traffic", Wait(TRAFFIC, "grout a day old", PRACTICE)),
                           ("water", Wait(WATER, "grout a week old", PRACTICE))):  # fmt: skip
            steps.then(wait, cement=True)
            steps.add(name, after="grout")

    def _coats(self, liquid: list[Vector]) -> int:
        ends = [vector[self.vocabulary.slot("membrane.coats")][0] for vector in liquid]
        known = [int(end) for end in ends if end != NO_LEAST]
        return max(known) if known else 2 if liquid else 1

    def _between(self, liquid: list[Vector]) -> Wait:
        hours = self._hours("membrane.dry between coats called for", liquid)
        return Wait(hours, "what the membrane's maker asks between coats", "stated" if hours is not None else "not stated")

    def _cure(self, liquid: list[Vector]) -> Wait:
        if not liquid:
            return Wait(Fraction(0), "a sheet needs no cure", PRACTICE)
        hours = self._hours("membrane.cure called for", liquid)
        return Wait(hours, "the cure the membrane's maker asks", "stated" if hours is not None else "not stated")

    def _before_water(self, liquid: list[Vector]) -> Wait:
        coldest = self.coldest()
        cure = self._hours("membrane.cure called for", liquid) if liquid else Fraction(0)
        wait = flood_wait(cure or Fraction(0), USUAL_TEMPERATURE if coldest is None else coldest)
        because = "cure of the membrane, never under 24 h, 48 h below 50 °F, ASTM D5957 5.4"
        return Wait(wait, because, READ, or_longer=cure is None)

    def _tested(self) -> list[Vector]:
        """The shower floors that are tested, or should be."""
        test = self.vocabulary.slot("flood test")
        return [v for v in self.places if self._words(v, "place.kind") == ("shower floor",) and v[test] != NONE]

    def _held(self, tests: list[Vector]) -> Wait:
        stated = [v for v in tests if v[self.vocabulary.slot("flood test")] == THERE]
        hours = self._hours("flood test.held", stated) if stated else None
        if hours is not None:
            return Wait(hours, "as long as the test is written to stand", "stated")
        return Wait(HELD, "held a day", PRACTICE)

    def _before_grout(self) -> Wait:
        tiled = self._there("tile")
        hours = self._hours("tile mortar.cure called for", tiled)
        if hours is not None:
            return Wait(hours, "what the mortar's maker asks", "stated")
        return Wait(USUAL_GROUT, "two days for dry-set mortar, a mortar association's bulletin", READ)
