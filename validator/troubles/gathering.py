"""Takes an assembly and a loaded book, returns what could explain what is seen, in order.

Each requirement whose breach would show as something seen is laid beside it. Only what is surely met by what is stated rules
one out; a pattern that does not fit puts it later and never away. Nothing in the order hangs on the order of the file.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

from validator.assembly import Assembly
from validator.troubles.fitting import Fit, Fitting
from validator.troubles.report import NOT_MET_IF, OPEN, STANDINGS, Asked, Cause, Causes, LookLine, NoFaultLine, OutsideLine, Requirement, RuledOut, SeenLine
from validator.troubles.standing import Standings, Stood
from validator.engines.closures import NOT
from validator.engines.deriving import DerivedPlace
from validator.facts.observing import KIND, Observation, observation_reader
from validator.facts.possible import in_words
from validator.facts.subjects import Subject
from validator.judging.findings import place_of, source_line
from validator.judging.loading import LoadedBook
from validator.judging.report import SourceLine, books_of, fingerprint_of
from validator.rulebook.conditions import Condition
from validator.rulebook.english import name_of
from validator.rulebook.rule import MATTERS, SEVERITIES, Rule
from validator.rulebook.showing import TYPICAL, Showing
from validator.rulebook.sources import Cited

TRAVELS = "water escapes"  # of such a harm what is seen may be far from where it began
AT = "observation.at"
ELSEWHERE = ("in the room below", "in the next room")
MOST_ASKED = 4
ALWAYS_THERE = ("job", "place")


class Seen(NamedTuple):
    """An observation with the subject it is said of, and the names of what it may be seen at."""

    observation: Observation
    place: str
    near: frozenset[str]  # the subject, the junctions at it or the places it joins, and the job
    is_elsewhere: bool = False  # in the room below or the next one, where only what water does can have come from here


class _Ranked(NamedTuple):
    """A requirement with what puts it in its place."""

    key: tuple[object, ...]
    group: str  # the trouble with which it explains, or its own name
    requirement: Requirement
    explains: tuple[str, ...]


def causes_of(assembly: Assembly, loaded: LoadedBook) -> Causes:
    """What could explain what is seen of an assembly, with the looks that would tell."""
    return _Gathering(assembly, loaded).causes()


@dataclass(eq=False, repr=False)
class _Gathering:
    assembly: Assembly
    loaded: LoadedBook
    best: dict[tuple[str, int], Fit | None] = field(default_factory=dict)
    shown: dict[str, int] = field(default_factory=dict)  # by trouble, how much of what is seen it shows as

    @cached_property
    def fitting(self) -> Fitting:
        return Fitting(observation_reader(self.loaded.vocabulary))

    @cached_property
    def seen(self) -> list[Seen]:
        """What is seen, each once; what is said of a kind of junction is said of all of them."""
        found: dict[tuple[object, ...], Seen] = {}
        for subject in self.assembly.subjects:
            for each in subject.observed:
                key = (each.text, each.kinds, each.where)
                near = _near(subject, self.assembly.subjects) | (found[key].near if key in found else frozenset())
                found[key] = Seen(each, found[key].place if key in found else subject.name, near, self._is_elsewhere(each))
        return list(found.values())

    def _is_elsewhere(self, seen: Observation) -> bool:
        fact = self.loaded.vocabulary.facts.get(AT)
        words = seen.known[AT].value[0] if fact is not None and AT in seen.known else 0
        return any(words >> fact.words.index(word) & 1 for word in ELSEWHERE if word in fact.words) if words else False

    def causes(self) -> Causes:
        ranked, ruled_out = self._requirements()
        causes = _grouped(ranked, self.loaded)
        outside = self._outside()
        explained = {text for each in (*causes, *outside) for text in each.explains}
        looks = self._looks(causes, outside)
        return Causes(
            assembly=self.assembly.name,
            seen=tuple(self._seen_line(each, explained) for each in self.seen),
            causes=causes,
            outside=outside,
            no_faults=self._no_faults(),
            ruled_out=tuple(sorted(ruled_out, key=lambda each: (each.rule, each.place))),
            looks=looks,
            cautions=tuple(dict.fromkeys((*self.loaded.book.opening.get("take care", ()), *(each.care for each in looks if each.care)))),
            books=books_of(self.loaded.book),
            fingerprint=fingerprint_of(self.assembly, self.loaded.book),
        )

    def _seen_line(self, seen: Seen, explained: set[str]) -> SeenLine:
        each = seen.observation
        return SeenLine(
            text=each.text, place=seen.place, kind=in_words(self.loaded.vocabulary.facts[KIND], each.kinds), seen=each.seen,
            line=each.where.line if each.where else 0, unread=each.unread, explained=each.text in explained,
        )  # fmt: skip

    # -- requirements -----------------------------------------------------------------------------------------------------

    def _requirements(self) -> tuple[list[_Ranked], list[RuledOut]]:
        """Each requirement that could explain something seen, once for each standing, and what is ruled out where."""
        told: dict[tuple[str, str], list[tuple[_Ranked, Stood]]] = {}
        ruled_out: dict[tuple[str, str], RuledOut] = {}
        for derived, stood in Standings(self.assembly, self.loaded).at if any(each.observation.seen for each in self.seen) else ():
            for each in stood:
                fits = self._fits(each.rule, derived.subject)
                if not fits:
                    continue
                if each.standing:
                    ranked = self._ranked(each, fits, derived.subject)
                    told.setdefault((each.rule.name, each.standing), []).append((ranked, each))
                else:
                    found, _ = self.loaded.explainer.found_and_needed(each.rule, each.judgement.vector, each.derived)
                    place = derived.subject.name
                    ruled_out[each.rule.name, place] = RuledOut(rule=each.rule.name, title=each.rule.title, place=place, found=found)
        return [self._everywhere(same) for same in told.values()], list(ruled_out.values())

    def _fits(self, rule: Rule, at: Subject) -> list[Fit]:
        """How what is seen fits a rule's breach at one place, each observation that can be seen from there."""
        found = []
        for number, seen in enumerate(self.seen):
            fit = self._best(rule, number) if seen.observation.seen else None
            here = (at.name in seen.near or at.sort == "job") and not seen.is_elsewhere
            if fit is not None and (here or rule.warranty == TRAVELS or any(word in fit.showing.seen for word in ELSEWHERE)):
                found.append(fit)
        return found

    def _best(self, rule: Rule, number: int) -> Fit | None:
        key = (rule.name, number)
        if key not in self.best:
            shown = self.loaded.book.shown_by(rule)
            self.best[key] = self.fitting.best(number, self.seen[number].observation, shown)
        return self.best[key]

    def _ranked(self, stood: Stood, fits: list[Fit], at: Subject) -> _Ranked:
        rule, judgement = stood.rule, stood.judgement
        missed = [seen.observation for number, seen in enumerate(self.seen) if self._is_missed(rule, number)]
        closest = min(fits, key=lambda fit: (*fit.rank, self.seen[fit.observation].observation.text))
        near = any(at.name in self.seen[fit.observation].near for fit in fits)
        group = max(rule.breach.troubles, key=self._points_of, default="")
        group = group if group and self._points_of(group) else rule.name
        explains = [fit for fit in fits if fit.net >= 0]
        points = sum(fit.points for fit in explains) - len(missed)
        key = (
            not explains,
            stood.standing in (NOT_MET_IF, OPEN),
            -points - stood.applies - 2 * (stood.standing == NOT_MET_IF),
            STANDINGS.index(stood.standing),
            not stood.applies,
            -self._written(stood),
            -SEVERITIES.index(judgement.severity),
            not near,
            bool(closest.trouble),
            MATTERS.index(rule.warranty) if rule.warranty else len(MATTERS),
            rule.name,
        )
        texts = tuple(self.seen[fit.observation].observation.text for fit in explains or fits)
        return _Ranked(key, group, self._requirement(stood, fits, missed), texts)

    def _written(self, stood: Stood) -> int:
        """How many of the facts that it reads were stated: people speak of what matters to them."""
        facts = (self.loaded.vocabulary.fact(name) for name in stood.rule.facts())
        return sum(stood.derived.vector[0] >> self.loaded.vocabulary.slot(each.name) & 1 for each in facts if each.thing not in ALWAYS_THERE)

    def _is_missed(self, rule: Rule, number: int) -> bool:
        """Whether this was looked for and not seen, though the rule's breach usually brings it."""
        fit = self._best(rule, number) if not self.seen[number].observation.seen else None
        return fit is not None and fit.showing.typical == TYPICAL[0] and fit.net >= 0

    def _points_of(self, trouble: str) -> int:
        """How much of what is seen a trouble shows as, and how closely."""
        if trouble not in self.shown:
            showings = [(showing, trouble) for showing in self.loaded.book.troubles[trouble].shows]
            fits = (self.fitting.best(number, each.observation, showings) for number, each in enumerate(self.seen) if each.observation.seen)
            self.shown[trouble] = sum(fit.points for fit in fits if fit is not None and fit.net >= 0)
        return self.shown[trouble]

    def _requirement(self, stood: Stood, fits: list[Fit], missed: list[Observation]) -> Requirement:
        rule, judgement, explainer = stood.rule, stood.judgement, self.loaded.explainer
        found = needed = ""
        asks: tuple[Asked, ...] = ()
        if stood.standing in (OPEN, NOT_MET_IF):
            asks = self._asks(stood)
        if stood.standing != OPEN:
            found, needed = explainer.found_and_needed(rule, judgement.vector, stood.derived)
        return Requirement(
            rule=rule.name,
            title=rule.title,
            place=place_of(judgement, stood.derived),
            standing=stood.standing,
            severity=judgement.severity,
            harm=rule.warranty,
            speaks_for=tuple(self._for(fit) for fit in fits),
            speaks_against=(*self._against(fits), *(f"looked for and not seen: {each.text.removeprefix('no ')}" for each in missed)),
            found=found,
            needed=needed,
            put_right=rule.put_right,
            asks=asks,
            told_by=self.loaded.book.told_by(rule),
            sources=_sources(fits),
        )

    def _asks(self, stood: Stood) -> tuple[Asked, ...]:
        asked = self.loaded.explainer.asks(stood.rule.conditions(), stood.judgement.vector, stood.derived)
        facts = [fact for name in asked if (fact := self.loaded.vocabulary.fact(name)).ask][:MOST_ASKED]
        return tuple(Asked(fact=fact.name, asks=fact.ask, written=name_of(self.loaded.vocabulary, fact.name)) for fact in facts)

    def _for(self, fit: Fit) -> str:
        """What of an observation speaks for it: how typical it is, and what fits."""
        text = self.seen[fit.observation].observation.text
        fits = f", and fits: {'; '.join(fit.fits)}" if fit.fits else ""
        return f"{text}: {'usual' if fit.showing.typical == TYPICAL[0] else 'seen sometimes'}{fits}"

    def _against(self, fits: Iterable[Fit]) -> Iterator[str]:
        for fit in fits:
            if fit.differs:
                yield f"{self.seen[fit.observation].observation.text}: more often {'; '.join(fit.differs)}"

    def _everywhere(self, same: list[tuple[_Ranked, Stood]]) -> _Ranked:
        """One requirement at several places, by the one that ranks first."""
        first, _ = min(same, key=lambda each: (each[0].key, each[0].requirement.place))
        places = sorted({ranked.requirement.place for ranked, _ in same if ranked.key[:3] == first.key[:3]})
        requirement = first.requirement
        if len(places) > 1:
            requirement = replace(requirement, place="; ".join(places))
        return first._replace(requirement=requirement)

    # -- outside the book -------------------------------------------------------------------------------------------------

    def _outside(self) -> tuple[OutsideLine, ...]:
        """The causes that no rule asks about, where the pattern points to one."""
        ranked = []
        for cause in self.loaded.book.beyond.values():
            shown = [(showing, "") for showing in cause.shows]
            fits = [
                fit for number, seen in enumerate(self.seen)
                if seen.observation.seen and self._can_be(cause.where, seen)
                and (fit := self.fitting.best(number, seen.observation, shown, self._points)) is not None
            ]  # fmt: skip
            if fits:
                key = (-len(fits), -sum(fit.net for fit in fits), cause.name)
                line = OutsideLine(
                    name=cause.name, what=cause.what, who=cause.who, told_by=cause.told_by,
                    explains=tuple(self.seen[fit.observation].observation.text for fit in fits),
                    speaks_for=tuple(map(self._for, fits)), speaks_against=tuple(self._against(fits)), sources=_sources(fits),
                )  # fmt: skip
                ranked.append((key, line))
        return tuple(line for _, line in sorted(ranked, key=lambda each: each[0]))

    @cached_property
    def places(self) -> list[DerivedPlace]:
        return [self.loaded.engine.derive(subject) for subject in self.assembly.subjects if subject.sort == "place"]

    def _can_be(self, where: Condition, seen: Seen) -> bool:
        """Whether a condition may hold at a place near to what is seen."""
        near = [place for place in self.places if place.subject.name in seen.near]
        return any(self.loaded.explainer.holds(where, place.vector) != NOT for place in near or self.places)

    def _no_faults(self) -> tuple[NoFaultLine, ...]:
        """What is seen that is often taken for a failure and is none."""
        found: dict[str, NoFaultLine] = {}
        for each in self.loaded.book.no_faults.values():
            shown = [(Showing(seen=each.seen, typical=TYPICAL[0]), "")]
            for number, seen in enumerate(self.seen):
                fit = self.fitting.best(number, seen.observation, shown) if seen.observation.seen and self._can_be(each.where, seen) else None
                if fit is not None and not fit.differs:
                    sources = tuple(source_line(cited) for cited in each.cited)
                    text = seen.observation.text
                    found.setdefault(each.name, NoFaultLine(name=each.name, seen=text, why=each.why, unless=each.unless, sources=sources))
        return tuple(found.values())

    def _points(self, fit: Fit) -> bool:
        """Whether a pattern points there: something of it fits, or it brings nothing but the kind."""
        only_the_kind = all(len(each.known) == 1 for each in self.fitting.read(fit.showing))
        return fit.net > 0 or (only_the_kind and not fit.differs)

    # -- looks ------------------------------------------------------------------------------------------------------------

    def _looks(self, causes: tuple[Cause, ...], outside: tuple[OutsideLine, ...]) -> tuple[LookLine, ...]:
        """The looks that tell of what remains, the least destructive and cheapest first, each with all that it tells of."""
        tells: dict[str, dict[str, None]] = {}
        for cause in (*causes, *outside):
            for look in cause.told_by:
                tells.setdefault(look, {})[cause.name] = None
        looks = self.loaded.book.looks
        order = list(looks)
        return tuple(
            LookLine(
                name=name, what=looks[name].what, how=looks[name].how, tells=looks[name].tells, against=looks[name].against,
                opens=looks[name].opens, takes=looks[name].takes, care=looks[name].care, causes=tuple(tells[name]),
            )
            for name in sorted(tells, key=lambda name: (*looks[name].rank, order.index(name)))
        )  # fmt: skip


def _near(subject: Subject, every: Iterable[Subject]) -> frozenset[str]:
    """Where what is seen of a subject may have its cause: there, at what it joins, and in what holds for the whole job."""
    if subject.sort == "job":
        return frozenset(each.name for each in every)
    joins = {each.name for each in every if subject.name in each.at}
    return frozenset({subject.name, *subject.at, *joins, *(each.name for each in every if each.sort == "job")})


def _grouped(ranked: list[_Ranked], loaded: LoadedBook) -> tuple[Cause, ...]:
    """Requirements that explain together in one cause, by the one that ranks first in each."""
    groups: dict[str, list[_Ranked]] = {}
    for each in sorted(ranked, key=lambda each: each.key):
        groups.setdefault(each.group, []).append(each)
    return tuple(_cause(name, same, loaded) for name, same in groups.items())


def _cause(name: str, same: list[_Ranked], loaded: LoadedBook) -> Cause:
    book, requirements = loaded.book, tuple(each.requirement for each in same)
    trouble = book.troubles.get(name)
    looks = dict.fromkeys(look for each in requirements for look in each.told_by)
    return Cause(
        name=name if trouble else requirements[0].title,
        what=trouble.what if trouble else book.rules[name].because,
        explains=tuple(dict.fromkeys(text for each in same for text in each.explains)),
        requirements=requirements,
        told_by=tuple(sorted(looks, key=lambda look: book.looks[look].rank)),
    )


def _sources(fits: Iterable[Fit]) -> tuple[SourceLine, ...]:
    cited: dict[Cited, None] = dict.fromkeys(each for fit in fits for each in fit.showing.cited)
    return tuple(source_line(each) for each in cited)
