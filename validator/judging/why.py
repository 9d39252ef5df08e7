"""Takes an assembly and a rule, returns one judgement with everything behind it: the comparison that decided, the facts, whence
each came.

A `JudgementTree` is a tree of `Branch` (the author's tree, each part with its answer) and of `FactTree` (a fact, and the facts it
follows from). Nothing here decides; it is read back from what the deciding engine left.
"""

from pathlib import Path
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.closures import NOT, POSSIBLY, SURELY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace, Vector
from validator.engines.explaining import inputs_of
from validator.engines.outcomes import Outcome
from validator.engines.varying import judge_varying
from validator.facts import possible
from validator.facts.possible import CARD, NOT_STATED, Known
from validator.facts.vocabulary import MAYBE, NONE
from validator.judging.loading import LoadedBook
from validator.rulebook import english
from validator.rulebook.conditions import Comparison, Condition, FromLimit, FromSchedule, Group, facts_read, leaves
from validator.rulebook.schedules import NO_ROW, Schedule
from validator.rulebook.sources import Cited

AS_TOLD, STRICT = "as told", "strict"  # which reading is explained
YES, MAY, NO = "yes", "not known", "no"
ANSWERS = {SURELY: YES, POSSIBLY: MAY, NOT: NO}


class Branch(NamedTuple):
    """A part of the author's tree: what it says, whether it holds here, and whether the outcome hung on it."""

    says: str
    answer: str
    members: tuple["Branch", ...] = ()
    decided: bool = False


class FactTree(NamedTuple):
    """A fact: its value, whence it is known, what worked it out or concluded it, and the facts behind it."""

    fact: str
    value: str
    origin: str
    where: str = ""
    shown_by: tuple[str, ...] = ()  # what is offered to show it, where it is said
    steps: tuple[str, ...] = ()
    sources: tuple[Cited, ...] = ()
    facts: tuple["Behind", ...] = ()


class JudgementTree(NamedTuple):
    """One rule at one place, with the whole of why. `sources` are the rule's own and those of the rows it leant on."""

    rule: str
    title: str
    place: str
    layer: str
    outcome: str
    severity: str
    applies: Branch
    requires: Branch
    other_ways: tuple[tuple[str, Branch], ...]
    facts: tuple[FactTree, ...]
    sources: tuple[Cited, ...]
    because: str
    put_right: str
    varies: bool = False

    @property
    def at(self) -> str:
        """The place, and the layer where one of several was judged, as a finding names them."""
        return f"{self.place}, {self.layer}" if self.layer else self.place


def traced(assembly: Assembly, loaded: LoadedBook, rule: str, place: str = "") -> list[JudgementTree]:
    """The judgement of one rule wherever it is judged, or at the places a word names; empty where it is judged nowhere."""
    sort = loaded.book.guards[rule].sort
    found: list[JudgementTree] = []
    for subject in assembly.subjects:
        if subject.sort != sort or place and not _named(place, subject):
            continue
        derived, judgements = judge_varying(loaded.engine, subject)
        judgement = next(each for each in judgements if each.compiled.name == rule)
        found.append(_Tracer(loaded, derived, judgement).judged())
    return found


def _named(place: str, subject) -> bool:
    wanted = place.casefold()
    return wanted == subject.name.casefold() or any(wanted == end.casefold() for end in subject.at)


class _Tracer:
    def __init__(self, loaded: LoadedBook, derived: DerivedPlace, judgement: Judgement) -> None:
        self.loaded, self.book, self.vocabulary = loaded, loaded.book, loaded.vocabulary
        self.explainer = loaded.explainer
        self.derived, self.judgement = derived, judgement
        self.vector: Vector = judgement.vector

    def judged(self) -> JudgementTree:
        judgement, rule = self.judgement, self.judgement.compiled.rule
        names = dict.fromkeys(name for condition in rule.conditions() for name in self._read_by(condition))
        layer = judgement.layer
        whole = (self.derived.vector, *(vector for pairs in self.derived.layers.values() for _, vector in pairs))
        return JudgementTree(
            rule=rule.name,
            title=rule.title,
            place=self.derived.subject.name,
            layer=(layer.name or layer.thing) if layer is not None else "",
            outcome=str(judgement.outcome),
            severity=judgement.severity,
            applies=self._branch(rule.applies, self._decides_whether(judgement.outcome)),
            requires=self._branch(rule.requires, self._decides_how(judgement.outcome)),
            other_ways=tuple((way.because, self._branch(way.when, ())) for way in rule.other_ways),
            facts=tuple(self._behind(name, frozenset()) for name in names),
            sources=tuple(dict.fromkeys((*rule.cited, *self._rows_leant_on(rule.requires)))),
            because=rule.because,
            put_right=rule.put_right,
            varies=not any(judgement.vector is each for each in whole),
        )

    # -- the author's tree ------------------------------------------------------------------------------------------------

    @staticmethod
    def _decides_whether(outcome: Outcome) -> tuple[str, ...]:
        """The answers of a comparison under `applies when` that make the outcome what it is."""
        if outcome is Outcome.NOT_APPLICABLE:
            return (NO,)
        return (MAY,) if outcome in (Outcome.FAILS_IF, Outcome.FAILS_IF_UNLESS, Outcome.WAITS) else ()

    @staticmethod
    def _decides_how(outcome: Outcome) -> tuple[str, ...]:
        if outcome in (Outcome.NOT_APPLICABLE, Outcome.NOTHING):
            return ()
        if outcome in (Outcome.PASS, Outcome.BY_EXCEPTION):
            return (YES,)
        return (MAY,) if outcome in (Outcome.OPEN, Outcome.WAITS) else (NO,)

    def _branch(self, condition: Condition, deciding: tuple[str, ...]) -> Branch:
        answer = ANSWERS[self.explainer.holds(condition, self.vector)]
        if isinstance(condition, Group):
            members = tuple(self._branch(member, deciding if answer in deciding else ()) for member in condition.members)
            return Branch(condition.how if members else "everywhere", answer, members)
        says = english.condition(condition, self.book, lambda name: self.vector[self.vocabulary.slot(name)])
        return Branch(says, answer, (), answer in deciding)

    def _read_by(self, condition: Condition) -> list[str]:
        """The facts a condition reads, with the keys of the schedules and limits it is compared with."""
        names = dict.fromkeys(facts_read(condition))
        for leaf in leaves(condition):
            schedule = self._schedule_of(leaf)
            names.update(dict.fromkeys(key.name for key in schedule.keys) if schedule else {})
        return list(names)

    def _schedule_of(self, leaf) -> Schedule | None:
        if isinstance(leaf, Comparison):
            match leaf.against:
                case FromLimit(name):
                    return self.book.limits[name].by
                case FromSchedule(name):
                    return self.book.schedules[name]
        return None

    def _rows_leant_on(self, condition: Condition) -> list[Cited]:
        cited: list[Cited] = []
        for leaf in leaves(condition):
            schedule = self._schedule_of(leaf)
            if schedule is not None:
                keys = tuple(self.vector[self.vocabulary.slot(key.name)] for key in schedule.keys)
                cited += [c for row in schedule.rows_for(keys) if row != NO_ROW for c in schedule.rows[row].cited]
            elif isinstance(leaf, Comparison) and isinstance(leaf.against, FromLimit):
                cited += self.book.limits[leaf.against.name].cited
        return cited

    # -- facts, and what is behind them -------------------------------------------------------------------------------------

    def _known(self, name: str) -> Known | None:
        layer = self.judgement.layer
        if layer is not None and name in layer.known:
            return layer.known[name]
        return self.derived.known.get(name)

    def _value(self, name: str) -> str:
        fact, value, known = self.vocabulary.fact(name), self.vector[self.vocabulary.slot(name)], self._known(name)
        if fact.kind == "presence":
            return {NONE: "none", MAYBE: "not known to be there"}.get(value, "there")
        if not fact.is_amount and not fact.is_word and not fact.is_together:
            return known.text if known else NOT_STATED
        return possible.in_words(fact, value, known.unit if known else "")

    def _behind(self, name: str, above: frozenset[str]) -> FactTree:
        """A fact and what it follows from; `above` are the facts that already follow from it."""
        known, how = self._known(name), self.derived.provenance.get(name)
        shown_by = self.derived.subject.shown_by(name, self.judgement.layer)
        if how is None:
            where = _where(known) if known and known.where else ""
            said = f", written `{known.text}`" if known and known.text and known.origin == NOT_STATED else ""
            return FactTree(name, self._value(name), (known.origin if known else NOT_STATED) + said, where, shown_by)
        steps: list[str] = []
        sources: list[Cited] = []
        read: dict[str, None] = {}
        for consequence in map(self.book.consequences.__getitem__, how.consequences):
            answer = self.explainer.holds(consequence.when, self.vector)
            if answer == NOT:
                continue
            surely = "" if answer == SURELY else "perhaps, "
            given = next(text for fact, _, text in consequence.gives if fact == name)
            when = english.condition(consequence.when, self.book, lambda each: self.vector[self.vocabulary.slot(each)])
            steps.append(f"{surely}{given}, since {when}: {consequence.because}")
            sources += consequence.cited
            read.update(dict.fromkeys(self._read_by(consequence.when)))
        self._work(name, how, steps, sources, read)
        inner = tuple(self._behind(each, above | {name}) for each in read if each not in above and each != name)
        return FactTree(
            name, self._value(name), how.origin, "", shown_by, tuple(dict.fromkeys(steps)), tuple(dict.fromkeys(sources)), inner
        )

    def _work(self, name: str, how, steps: list[str], sources: list[Cited], read: dict[str, None]) -> None:
        """The steps of a working or a formula, and what went into it."""
        derived = self.explainer.derived.get(name)
        if how.worked is not None:
            worked = how.worked
            if worked.why_not:
                steps.append(f"not worked out: {worked.why_not}")
            for end in dict.fromkeys(end for end in (worked.at_least, worked.at_greatest) if end is not None):
                steps += [end.line, *(str(step) for step in end.steps)]
            steps += [f"taken as usual: {assumed}" for assumed in worked.assumed]
            sources.append(self.loaded.cited(derived.working))
        elif how.formula is not None:
            steps.append(how.formula())
        if how.worked is not None or how.formula is not None:
            read.update(dict.fromkeys(each for each in inputs_of(self.book, derived) if self.vocabulary.fact(each) is not None))


def _where(known: Known) -> str:
    """The line that says so; of a product card, whose folder is nobody's business, its file's own name."""
    where = known.where
    return f"{Path(where.file).name}:{where.line}" if known.origin == CARD else f"{where.file}:{where.line}"
