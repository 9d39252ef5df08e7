"""Takes an assembly, returns the questions that could still change the verdict as told, each with what its answers would do.

An amount is split where the outcome changes. What is written once for
several places is asked once.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from validator.advising.asking.choices import Came, Choice, choice_of, grouped, in_stretches
from validator.advising.breakpoints import in_words, ranges_of
from validator.assembly import Assembly
from validator.assembly.draft import WHOLE_FILE
from validator.assembly.places import can_be
from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts import possible
from validator.facts.possible import NOT_STATED, STATED, Known
from validator.facts.subjects import Subject, with_fact, with_presence
from validator.facts.vocabulary import MAYBE, NONE, Fact
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import OpenQuestion
from validator.judging.readings import Readings, places_read
from validator.judging.what_if import WhatIf
from validator.language import amounts

NO_THING = "none"
ALL_WRITTEN = Fact(
    name=WHOLE_FILE, thing="job", what="Whether everything that is there is written", kind="yes or no", words=("no", "yes"),
    ask="Is everything that is there written down, so that what is not written is not there?",
    look="Go through the places one by one: membrane, tape, sealant, primer, curb, tests.", answers=("installer",),
)  # fmt: skip


class Question(NamedTuple):
    """One fact to ask, with the places it is asked of; `settles` is how many open matters an answer settles on average."""

    fact: Fact
    subjects: tuple[Subject, ...]
    asks: str
    look: str
    answers: tuple[str, ...]
    would_be: str
    rules: tuple[str, ...]
    choices: tuple[Choice, ...]
    settles: float
    open: int  # how many open matters lean on it

    @property
    def places(self) -> tuple[str, ...]:
        return tuple(subject.name for subject in self.subjects)

    @property
    def once(self) -> tuple[str, tuple[str, ...], int]:
        """What tells a question from every other, so that it is asked once."""
        return _once(self.fact, self.subjects)

    @property
    def accepted(self) -> str:
        """What may be answered."""
        fact = self.fact
        if fact.role and fact.concluded:
            return ", ".join(choice.says for choice in self.choices) or NO_THING
        if fact.is_amount:
            return f"an amount, such as {_example(fact)}, or a range"
        return ", ".join((*fact.words, *fact.also_said)) if fact.words else "a few words"


def questions_of(assembly: Assembly, loaded: LoadedBook) -> tuple[Question, ...]:
    """Every question that could still change the verdict as told, in the order of the report, with what each answer would do."""
    return tuple(asker_as_told(assembly, loaded).questions(check(assembly, loaded, passes=False).as_told.questions))


def questions_to_prove(assembly: Assembly, loaded: LoadedBook) -> tuple[Question, ...]:
    """Every question that stands open strictly, so that with all of them answered everything is proved; what settles most first."""
    items = check(assembly, loaded, passes=False).open_items
    asked = [
        OpenQuestion(facts=(item.fact,), place=item.place, asks=item.asks, look=item.where_to_look, answers=item.answers,
                     would_be=item.would_be, rules=item.rules)
        for item in items
    ]  # fmt: skip
    weight = {"fail": 2, "warn": 1}
    strictly = [(place.strict, place.strictly) for place in places_read(assembly, loaded)]
    return tuple(sorted(Asker(assembly, strictly, loaded).questions(asked), key=lambda q: (-q.settles, -weight.get(q.would_be, 0), -q.open)))


def effects_of(asked: Sequence[OpenQuestion], assembly: Assembly, loaded: LoadedBook) -> tuple[str, ...]:
    """Of each question as told, which answers would fail, or else warn: `under 1-1/8 in fails`; empty where none does alone."""
    asker = asker_as_told(assembly, loaded)
    return tuple(worst_of(asker.questions_on(each)) for each in asked)


def asker_as_told(assembly: Assembly, loaded: LoadedBook) -> "Asker":
    """What asks of an assembly as told; what the answers to a question would do is tried only when it is asked for."""
    return asker_of(Readings(assembly, places_read(assembly, loaded)), loaded)


def asker_of(readings: Readings, loaded: LoadedBook) -> "Asker":
    """What asks of a description as told that was judged."""
    told = [(place.told.derived, place.judged) for place in readings.places]
    return Asker(readings.assembly._replace(subjects=tuple(derived.subject for derived, _ in told)), told, loaded)


def worst_of(questions: Sequence[Question]) -> str:
    """Which answers would fail, or else warn: `under 1-1/8 in fails`; empty where none does alone."""
    for verb, rules in (("fails", "fails"), ("warns", "warns")):
        says = dict.fromkeys(text for each in questions for text in _that_come_to(each, rules, several=len({q.fact.name for q in questions}) > 1))
        if says and any(not getattr(choice, rules) for each in questions for choice in each.choices):
            return f"{' or '.join(says)} {verb}."
    return ""


def _that_come_to(question: Question, rules: str, *, several: bool) -> Iterator[str]:
    """The answers that fail or warn; stretches of an amount that meet are one, and of several questions each is named."""
    named = f"{question.fact.name.partition('.')[2]} " if several and not question.fact.is_amount else ""
    says: list[str] = []
    start = end = None
    for choice in question.choices:
        if not getattr(choice, rules):
            continue
        if choice.stretch is None:
            says.append(choice.says)
        elif end is not None and choice.stretch[0] == end + 1:
            end = choice.stretch[1]
            says[-1] = in_words(question.fact, start, end)
        else:
            start, end = choice.stretch
            says.append(choice.says)
    return (f"{named}{text}" for text in ([" or ".join(says)] if named and says else says))


class Pending(NamedTuple):
    """One answer that is wanted: of which question of the report, of which fact, and the places that its line speaks of."""

    item: OpenQuestion
    fact: Fact
    subjects: tuple[Subject, ...]

    @property
    def places(self) -> tuple[str, ...]:
        return tuple(subject.name for subject in self.subjects)

    @property
    def once(self) -> tuple[str, tuple[str, ...], int]:
        """What tells it from every other; the question made of it is told by the same."""
        return _once(self.fact, self.subjects)


class Asker:
    """Asks of an assembly in one reading, from its places as they were judged in it."""

    def __init__(self, assembly: Assembly, judged: Iterable[tuple[DerivedPlace, Sequence[Judgement]]], loaded: LoadedBook) -> None:
        self.assembly, self.loaded = assembly, loaded
        self.vocabulary = loaded.vocabulary
        self.what_if = WhatIf(loaded)
        self.subjects = {subject.name: subject for subject in assembly.subjects}
        self.open: dict[str, list[Judgement]] = {}
        self.found: dict[str, DerivedPlace] = {}
        for subject, (found, judgements) in zip(assembly.subjects, judged):
            self.found[subject.name] = found
            self.open[subject.name] = [
                each for each in judgements if each.outcome in OPEN_OUTCOMES and each.compiled.severity != "advice"
            ]

    def questions(self, asked: Sequence[OpenQuestion]) -> list[Question]:
        """What is asked as told, and last whether everything is written."""
        return [*(question for each in asked for question in self.questions_on(each)), *self.closing()]

    def questions_on(self, asked: OpenQuestion) -> list[Question]:
        """The questions that one of the report stands for: one for each of its facts, and for each line to write."""
        return [self.question(each) for each in self.pending(asked)]

    def pending(self, asked: OpenQuestion) -> list[Pending]:
        """The answers that a question of the report wants, nothing tried yet."""
        return [Pending(asked, self.vocabulary.fact(name), subjects) for name in asked.facts for subjects in self._lines_of(name, asked)]

    # -- where an answer is written -------------------------------------------------------------------------------------------

    def _lines_of(self, name: str, item: OpenQuestion) -> list[tuple[Subject, ...]]:
        """The places of each line that would hold the answer."""
        fact = self.vocabulary.fact(name)
        sort = self.vocabulary.things[fact.thing].sort
        grouped: dict[object, dict[str, Subject]] = {}
        for name in item.place.split("; "):
            subject = self.subjects.get(name)
            for each in self._speaks_of(subject, fact) if subject is not None else ():
                grouped.setdefault(_line_of(each, fact, sort), {})[each.name] = each
        return [tuple(group.values()) for group in grouped.values()]

    def _speaks_of(self, subject: Subject, fact: Fact) -> list[Subject]:
        """The place whose own fact is asked: of a junction, the place that has the thing."""
        sort = self.vocabulary.things[fact.thing].sort
        if subject.sort != "junction" or sort in ("junction", "seal") or not subject.at:
            return [subject]
        ends = [self.subjects[name] for name in subject.at]
        layered = [end for end in ends if fact.thing in end.layers and end.layers[fact.thing] is subject.layers.get(fact.thing)]
        return layered or [next((end for end in ends if end.known.get(fact.thing) == subject.known.get(fact.thing)), ends[0])]

    def _touched(self, site: Pending) -> Iterator[Subject]:
        """Every place and junction that an answer speaks of."""
        sort = self.vocabulary.things[site.fact.thing].sort
        if sort in ("job", "record") and any(subject.sort == "job" for subject in site.subjects):
            yield from self.assembly.subjects
            return
        own = {subject.name for subject in site.subjects}
        for subject in self.assembly.subjects:
            if subject.name in own:
                yield subject
            elif subject.sort == "junction" and sort not in ("junction", "seal") and own.intersection(subject.at):
                end = next(self.subjects[name] for name in subject.at if name in own)
                if subject.at[0] == end.name or subject.layers.get(site.fact.thing) is end.layers.get(site.fact.thing, ()):
                    yield subject

    # -- what each answer would do --------------------------------------------------------------------------------------------

    def wanted(self, site: Pending) -> Question:
        """What is wanted, with nothing tried; of a role, what could play it."""
        fact = site.fact
        players = self._players(fact.role, site) if fact.role and fact.concluded else ()
        return Question(
            fact=fact,
            subjects=site.subjects,
            asks=site.item.asks if len(site.item.facts) == 1 else fact.ask,
            look=fact.look or site.item.look,
            answers=fact.answers or site.item.answers,
            would_be=site.item.would_be,
            rules=site.item.rules,
            choices=tuple(map(Choice, players)),
            settles=0,
            open=0,
        )

    def question(self, site: Pending) -> Question:
        """What is wanted, with what each answer would do."""
        fact = site.fact
        touched = [(subject, self._leaning(subject, fact)) for subject in self._touched(site)]
        touched = [(subject, rules) for subject, rules in touched if rules]
        choices = tuple(self._choices(fact, site, touched))
        tried = len(choices) or 1
        leaning = sum(len(rules) for _, rules in touched)
        return self.wanted(site)._replace(choices=choices, settles=sum(choice.settles for choice in choices) / tried, open=leaning)

    def closing(self) -> list[Question]:
        """Whether all that is there is written: one answer that says of everything else that it is not there."""
        came: list[tuple[str, Outcome, str]] = []
        for subject in self.assembly.subjects:
            closed, rules = self._closed(subject), [each.compiled for each in self.open[subject.name]]
            if closed is not subject and rules:
                came += [(j.compiled.name, j.outcome, j.severity) for j in self.what_if.judged(closed, rules, self.found[subject.name])]
        yes, no = choice_of("yes", tuple(came)), Choice("no", still_open=len(came))
        job = next(subject for subject in self.assembly.subjects if subject.sort == "job")
        if not yes.settles:
            return []
        settled = dict.fromkeys((*yes.fails, *yes.warns, *yes.passes, *yes.falls_away))
        return [Question(ALL_WRITTEN, (job,), ALL_WRITTEN.ask, ALL_WRITTEN.look, ALL_WRITTEN.answers, "fail" if yes.fails else "",
                         tuple(settled), (yes, no), yes.settles / 2, len(came))]  # fmt: skip

    def _closed(self, subject: Subject) -> Subject:
        """The place with nothing there but what is surely there."""
        for thing in self.vocabulary.things.values():
            known = subject.known.get(thing.name)
            if thing.when_not_written != "ask" or known is None or thing.name in subject.layers:
                continue
            if known.value == MAYBE and known.origin == NOT_STATED and known.where is None:
                subject = with_presence(subject, thing.name, False)
        return subject

    def _leaning(self, subject: Subject, fact: Fact) -> list[CompiledRule]:
        """The open rules at a place that lean on a fact; on a role, those that lean on any thing that plays it."""
        names = {fact.name}
        if fact.role and fact.concluded:
            names |= {thing.name for thing in self.vocabulary.things.values() if thing.role == fact.role}
        leaning = self.what_if.dependencies.of_rule
        return [each.compiled for each in self.open[subject.name] if names & leaning(each.compiled.name)]

    def _choices(self, fact: Fact, site: Pending, touched: list[tuple[Subject, list[CompiledRule]]]) -> Iterator[Choice]:
        def effect(known: Known | bool | str) -> Came:
            came: list[tuple[str, Outcome, str]] = []
            for subject, rules in touched:
                there = self._answered(subject, fact, known, site)
                came += [(j.compiled.name, j.outcome, j.severity) for j in self.what_if.judged(there, rules, self.found[subject.name])]
            return tuple(came)

        if fact.role and fact.concluded:
            for thing in self._players(fact.role, site):
                yield choice_of(thing, effect(thing))
        elif fact.kind == "presence":
            for says, there in ((NO_THING, False), ("there", True)):
                yield choice_of(says, effect(there))
        elif fact.is_amount:
            held = self._held(site.subjects[0], fact)
            tried = ranges_of(fact, held, self.loaded, lambda span: effect(Known(span, STATED, "an answer")))
            yield from in_stretches(fact, tried)
        elif fact.is_word:
            yield from grouped((fact.words[bit], effect(Known(1 << bit, STATED, fact.words[bit])))
                                for bit in _bits(self._held(site.subjects[0], fact)))  # fmt: skip
        elif fact.is_together:
            every = fact.every_word
            yield from grouped((word, effect(Known((possible.with_implied(fact, 1 << bit), every), STATED, word)))
                                for bit, word in enumerate(fact.words))  # fmt: skip
        else:
            yield choice_of("once it is written", effect(Known(None, STATED, "written")))

    def _players(self, role: str, site: Pending) -> list[str]:
        """`none`, and each layer that could play a role in these places."""
        kinds = tuple(dict.fromkeys(subject.kind for subject in site.subjects))
        things = [t.name for t in self.vocabulary.things.values() if t.role == role and can_be(t, kinds) != NONE]
        return [NO_THING, *things]

    def _held(self, subject: Subject, fact: Fact) -> object:
        """What is possible of a fact before it is answered."""
        found, slot = self.found[subject.name], self.vocabulary.slot(fact.name)
        layers = [vector[slot] for layer, vector in found.layers.get(fact.thing, ()) if _unsaid(layer.known, fact)]
        value = layers[0] if layers else found.vector[slot]
        return fact.anything if possible.is_settled(fact, value) else value

    def _answered(self, subject: Subject, fact: Fact, answer: Known | bool | str, site: Pending) -> Subject:
        if isinstance(answer, bool):
            return with_presence(subject, fact.thing, answer)
        if isinstance(answer, str):
            return self._played(subject, fact.role, answer)
        layers = [layer for each in site.subjects for layer in each.layers.get(fact.thing, ()) if _unsaid(layer.known, fact)]
        return with_fact(subject, fact.name, answer, fact.thing, layers)

    def _played(self, subject: Subject, role: str, thing: str) -> Subject:
        if thing != NO_THING:
            return with_presence(subject, thing, True)
        for each in self.vocabulary.things.values():
            known = subject.known.get(each.name)
            if each.role == role and known is not None and known.value == MAYBE:
                subject = with_presence(subject, each.name, False)
        return subject


def _once(fact: Fact, subjects: tuple[Subject, ...]) -> tuple[str, tuple[str, ...], int]:
    """A fact, its places, and how many of their layers do not say it, since of several layers each is asked in its turn."""
    layers = subjects[0].layers.get(fact.thing, ())
    return fact.name, tuple(subject.name for subject in subjects), sum(1 for layer in layers if _unsaid(layer.known, fact))


def _unsaid(known: dict[str, Known], fact: Fact) -> bool:
    each = known.get(fact.name)
    return each is None or each.origin == NOT_STATED or not possible.is_settled(fact, each.value)


def _line_of(subject: Subject, fact: Fact, sort: str) -> object:
    """What tells apart the lines on which an answer would be written."""
    if sort == "job" or subject.sort == "job":
        return "the job"
    if sort == "framing":
        return tuple(layer.where for layer in subject.layers.get("framing", ()))
    if sort in ("junction", "seal"):
        return subject.where or subject.kind
    if sort == "layer" and subject.layers.get(fact.thing):
        return tuple(layer.where for layer in subject.layers[fact.thing])
    return subject.name


def _bits(mask: object) -> Iterable[int]:
    return [bit for bit in range(mask.bit_length()) if mask >> bit & 1]


def _example(fact: Fact) -> str:
    if fact.slip_below and fact.slip_above:
        low, high = (amounts.read(text, fact.kind) for text in (fact.slip_below, fact.slip_above))
        return amounts.show((low.least + high.greatest) // 2 if low.least else high.greatest // 4, fact.kind, high.unit)
    return {"slope": "1/4 in per ft", "proportion": "95 %", "duration": "24 h", "deflection": "L/360"}.get(fact.kind, fact.kind)
