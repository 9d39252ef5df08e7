"""Takes an assembly and a start, returns the earliest date of each step that must wait.

The steps are those of what is described: a slab, a pour, heating, a bed, a pan, coats of membrane, the flood test, tile,
grout, and use. Where places differ the longest wait counts; none is shorter than the rules of the book let it be, and what
is not known of a wait makes its date, and every one after it, `at least`. Raises AmountProblem for a start that is no
date, WorkingProblem where it is too cold for cement to cure.
"""

from datetime import datetime, timedelta
from fractions import Fraction
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.deriving import Vector
from validator.facts.vocabulary import NONE, THERE
from validator.judging.loading import LoadedBook
from validator.judging.readings import places_read
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.planning import steps as trade
from validator.planning.waits import Waits
from validator.workings.intervals import from_steps
from validator.workings.times import USUAL_TEMPERATURE, Day, Stage, calendar, flood_wait, slowing

EPOCH = datetime(1970, 1, 1)
A_DAY = 86_400
MORNING = timedelta(hours=8)
NO_WAIT, DAY = Fraction(0), Fraction(24)
USUAL_GROUT = Fraction(48)
WEEK = 7 * DAY
PRACTICE, STATED, NOT_STATED = "practice", "stated", "not stated"
READ = "read second-hand"
COVERED = "24 h at 70 °F before it is covered"
IN_MORTAR = ("mortar bed", "self-leveling underlayment", "concrete")  # what covers a heating cable before the tile's mortar does


class Dates(NamedTuple):
    """A calendar: when it begins, its days, and what was taken as read."""

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
    site = _Site(assembly, loaded)
    assumed = [] if begins[1] else ["work begins at 8 in the morning; no hour was given"]
    if site.coldest is None:
        assumed.append("a room at 70 °F; its temperature is not stated")
    days = calendar(begins[0], site.stages(), site.temperature)
    return Dates(begins[0], days, (*assumed, *site.assumed))


class _Steps:
    """The stages so far, and the wait before the next; cement waits longer in the cold."""

    def __init__(self) -> None:
        self.stages: list[Stage] = []
        self.then(Wait(NO_WAIT, "the start", STATED))

    def then(self, wait: Wait, *, cement: bool = False) -> None:
        """What the next stage waits for."""
        self.wait, self.cement = wait, cement

    def add(self, step: str, name: str, *, after: str = "") -> None:
        """The next stage, after the last one or after the one named."""
        follows = after or (self.stages[-1].name if self.stages else "")
        wait = self.wait
        self.stages.append(Stage(name, follows, wait.hours, wait.because, wait.known_by, self.cement, wait.or_longer, step))


class _Site:
    """Every place of a job at once."""

    def __init__(self, assembly: Assembly, loaded: LoadedBook) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        subjects = [subject for subject in assembly.subjects if subject.sort == "place"]
        self.places: list[Vector] = [loaded.engine.derive(subject).vector for subject in subjects]
        told = [place.told.subject for place in places_read(assembly, loaded) if place.told.subject.sort == "place"]
        self.waits = Waits(loaded, told)
        self.assumed: list[str] = []
        self.coldest = self._coldest()
        self.temperature = USUAL_TEMPERATURE if self.coldest is None else self.coldest
        self.times = slowing(self.temperature)

    def _there(self, thing: str) -> list[Vector]:
        slot = self.vocabulary.slot(thing)
        return [vector for vector in self.places if vector[slot] == THERE]

    def _words(self, vector: Vector, name: str) -> tuple[str, ...]:
        fact, mask = self.vocabulary.fact(name), vector[self.vocabulary.slot(name)]
        return tuple(word for bit, word in enumerate(fact.words) if mask >> bit & 1)

    def _only(self, vector: Vector, name: str, *words: str) -> bool:
        """Whether a fact is surely one of some words."""
        could = self._words(vector, name)
        return bool(could) and set(could) <= set(words)

    def _hours(self, name: str, places: list[Vector]) -> Fraction | None:
        """The longest that a wait could be over the places; none when one of them does not say."""
        ends = [vector[self.vocabulary.slot(name)][1] for vector in places]
        if not ends or NO_GREATEST in ends:
            return None
        return from_steps(max(ends), "duration", "h")

    def _coldest(self) -> Fraction | None:
        """The coldest it could be while work sets, in degrees Fahrenheit."""
        name = "job.surface temperature while setting"
        lows = [vector[self.vocabulary.slot(name)][0] for vector in self.places]
        if not lows or min(lows) == NO_LEAST:
            return None
        return from_steps(min(lows), "temperature", "°F")

    def _asked(self, wait: Wait, fact: str, *, cement: bool = False) -> Wait:
        """The wait, or a longer one where a rule of the book asks for more of the fact that says it."""
        times = self.times if cement else 1
        least = self.waits.shortest(fact)
        if least is not None and (wait.hours is None or wait.hours * times < least.hours):
            wait = Wait(least.hours, least.because, least.known_by, or_longer=wait.hours is None or wait.or_longer)
        if wait.hours is None or wait.or_longer:
            return wait
        more = self.waits.could_ask_more(fact, wait.hours * times)
        return wait._replace(because=f"{wait.because}; longer if this applies: {more}", or_longer=True) if more else wait

    # -- the stages in their order --------------------------------------------------------------------------------------------

    def stages(self) -> tuple[Stage, ...]:
        """The stages of this job in their order, each after the one it waits for."""
        steps = _Steps()
        tests = self._tested()
        self._slab(steps)
        self._pour(steps)
        if self._there("liner"):
            # a liner lies under the bed, so it is tested before the bed hides it
            self._liner(steps, tests)
            tests = []
        for thing, name, known_by in (("mortar bed", "mortar bed placed", READ), ("foam pan", "pan set in mortar", PRACTICE)):
            if self._there(thing):
                steps.add(trade.BED, name)
                steps.then(self._asked(Wait(DAY, COVERED, known_by), "mortar bed.age", cement=True), cement=True)
        self._membrane(steps, tests)
        self._covered_heat(steps)
        if self._there("tile"):
            self._tile(steps)
        return tuple(steps.stages)

    def _slab(self, steps: _Steps) -> None:
        """New concrete waits for its age; one of which nobody says the age is counted as poured at the start."""
        least, slabs = self.waits.shortest("slab.age"), self._there("slab")
        ages = [vector[self.vocabulary.slot("slab.age")][0] for vector in slabs]
        if least is None or not ages:
            return
        stated = min(ages) != NO_LEAST
        age = from_steps(min(ages), "duration", "h") if stated else NO_WAIT
        if age >= least.hours:
            return
        steps.add(trade.STRUCTURE, "slab as old as it is written" if stated else "slab poured")
        steps.then(Wait(least.hours - age, least.because, least.known_by))
        if not stated:
            self.assumed.append("the slab is poured at the start; its age is not stated")

    def _pour(self, steps: _Steps) -> None:
        """A self-leveling pour: cement is covered after a day, gypsum when it has dried by its maker's measure."""
        pours = self._there("self-leveling underlayment")
        if not pours:
            return
        if self._heat_in(IN_MORTAR):
            steps.add(trade.BED, "heating laid and tested")
            steps.then(Wait(NO_WAIT, "once it is tested", PRACTICE))
        steps.add(trade.STRUCTURE, "floor poured level")
        if all(self._only(vector, "self-leveling underlayment.base", "cement") for vector in pours):
            steps.then(Wait(DAY, "a cement pour a day old, or as its bag says", PRACTICE, or_longer=True), cement=True)
        else:
            steps.then(Wait(WEEK, "a gypsum pour dries for a week or more, until its maker's measure is met", PRACTICE, or_longer=True))

    def _heat_in(self, what: tuple[str, ...]) -> bool:
        return any(self._only(vector, "heat.embedded in", *what) for vector in self._there("heat"))

    def _covered_heat(self, steps: _Steps) -> None:
        """A cable that the tile's own mortar does not bury is covered, and its cover hardens for a day."""
        if self._there("heat") and not self._heat_in(IN_MORTAR):
            steps.add(trade.BED, "heating laid, tested and covered")
            steps.then(Wait(DAY, "its cover hard for a day, and the cable tested again", PRACTICE), cement=True)

    def _liner(self, steps: _Steps, tests: list[Vector]) -> None:
        if any("mortar" in self._words(v, "pre-slope.material") for v in self._there("pre-slope")):
            steps.add(trade.LINER, "sloped fill placed")
            steps.then(Wait(DAY, COVERED, PRACTICE), cement=True)
        steps.add(trade.LINER, "liner laid")
        steps.then(Wait(NO_WAIT, "once it is clamped and dry", PRACTICE))
        self._test(steps, tests)

    def _membrane(self, steps: _Steps, tests: list[Vector]) -> None:
        membranes = self._there("membrane")
        liquid = [v for v in membranes if "liquid" in self._words(v, "membrane.kind")]
        if membranes:
            steps.add(trade.WATERPROOFING, "membrane, first coat" if liquid else "membrane on")
            for number in range(2, self._coats(liquid) + 1):
                steps.then(self._between(liquid))
                steps.add(trade.WATERPROOFING, f"membrane, coat {number}")
            steps.then(self._before_water(liquid) if tests else self._cure(liquid))
        self._test(steps, tests)

    def _test(self, steps: _Steps, tests: list[Vector]) -> None:
        if tests:
            steps.add(trade.FLOOD_TEST, "flood test begins")
            steps.then(self._held(tests))
            steps.add(trade.FLOOD_TEST, "flood test over")
            steps.then(Wait(NO_WAIT, "once the pan has held and is dry", PRACTICE))

    def _tile(self, steps: _Steps) -> None:
        steps.add(trade.SETTING, "tile set")
        steps.then(self._before_grout(), cement=True)
        steps.add(trade.GROUTING, "grout")
        firm = steps.stages[-1].wait or NO_WAIT
        on_it = self.waits.shortest("tile mortar.before traffic")
        if on_it is not None and on_it.hours - firm > DAY:
            # asked from the setting of the tile, and told from the grouting
            steps.then(Wait(DAY, "grout a day old", PRACTICE), cement=True)
            steps.add(trade.CURE, "light traffic", after="grout")
            steps.then(Wait(on_it.hours, on_it.because, on_it.known_by), cement=True)
            steps.add(trade.CURE, "wheels and heavy loads", after="tile set")
        else:
            steps.then(Wait(DAY, "grout a day old", PRACTICE), cement=True)
            steps.add(trade.CURE, "light traffic", after="grout")
        if self._there("movement joint"):
            steps.then(Wait(DAY, "grout a day old and the joint dry, or as the sealant's tube says", PRACTICE), cement=True)
            steps.add(trade.JOINTS, "sealant in the movement joints", after="grout")
        water = self._asked(Wait(WEEK, "grout a week old", PRACTICE), "grout.before water", cement=True)
        water = self._asked(water, "place.drying before water", cement=True)
        steps.then(water, cement=True)
        steps.add(trade.CURE, "water", after="grout")
        acid = self.waits.shortest("grout.before acid")
        if acid is not None:
            steps.then(Wait(acid.hours, acid.because, acid.known_by), cement=True)
            steps.add(trade.CURE, "cleaning with acid", after="grout")
        if self._there("heat"):
            steps.then(Wait(WEEK, "mortar and grout cured, as their bags say; then warmed slowly over days", PRACTICE, or_longer=True), cement=True)
            steps.add(trade.CURE, "heating on", after="grout")

    # -- the waits ------------------------------------------------------------------------------------------------------------

    def _coats(self, liquid: list[Vector]) -> int:
        ends = [vector[self.vocabulary.slot("membrane.coats")][0] for vector in liquid]
        known = [int(end) for end in ends if end != NO_LEAST]
        return max(known) if known else 2 if liquid else 1

    def _between(self, liquid: list[Vector]) -> Wait:
        hours = self._hours("membrane.dry between coats called for", liquid)
        return Wait(hours, "what the membrane's maker asks between coats", STATED if hours is not None else NOT_STATED)

    def _cure(self, liquid: list[Vector]) -> Wait:
        if not liquid:
            return Wait(NO_WAIT, "a sheet needs no cure", PRACTICE)
        hours = self._hours("membrane.cure called for", liquid)
        wait = Wait(hours, "the cure the membrane's maker asks", STATED if hours is not None else NOT_STATED)
        return self._asked(wait, "membrane.cure")

    def _before_water(self, liquid: list[Vector]) -> Wait:
        cure = self._hours("membrane.cure called for", liquid) if liquid else NO_WAIT
        hours = flood_wait(cure or NO_WAIT, self.temperature)
        because = "cure of the membrane, never under 24 h, 48 h below 50 °F, ASTM D5957 5.4"
        wait = Wait(hours, because, READ, or_longer=cure is None)
        return self._asked(self._asked(wait, "membrane.cure"), "flood test.cured before")

    def _tested(self) -> list[Vector]:
        """The shower floors that are tested, or should be."""
        test = self.vocabulary.slot("flood test")
        return [v for v in self.places if self._words(v, "place.kind") == ("shower floor",) and v[test] != NONE]

    def _held(self, tests: list[Vector]) -> Wait:
        stated = [v for v in tests if v[self.vocabulary.slot("flood test")] == THERE]
        hours = self._hours("flood test.held", stated) if stated else None
        wait = Wait(DAY, "held a day", PRACTICE) if hours is None else Wait(hours, "as long as the test is written to stand", STATED)
        return self._asked(wait, "flood test.held")

    def _before_grout(self) -> Wait:
        hours = self._hours("tile mortar.cure called for", self._there("tile"))
        usual = Wait(USUAL_GROUT, "two days for dry-set mortar, a mortar association's bulletin", READ)
        wait = usual if hours is None else Wait(hours, "what the mortar's maker asks", STATED)
        return self._asked(wait, "tile mortar.cure before grout", cement=True)
