"""The verdict as told: takes each place in both readings, returns findings, questions, checks, and what is sound."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from functools import partial
from operator import itemgetter

from validator.assembly import Assembly
from validator.engines.closures import SURELY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.facts.possible import STATED, Known
from validator.facts.vocabulary import MATTERS as IMPORTANCE, NONE, Fact, Vocabulary
from validator.judging.findings import finding_of, merge_alike, place_of
from validator.judging.loading import LoadedBook
from validator.judging.numbers import deviations_numbered, questions_numbered
from validator.judging.open_items import PlacedJudgement
from validator.judging.open_matters import OpenMatters
from validator.judging.readings import PlaceRead
from validator.judging.report import AsTold, Finding, SoundLine, UsualLine
from validator.language.record import Late
from validator.rulebook.conditions import Comparison, leaves
from validator.rulebook.english import name_of
from validator.rulebook.rule import MATTERS, SEVERITIES
from validator.rulebook.trees import ways_to_meet

PROVED = (Outcome.PASS, Outcome.BY_EXCEPTION, Outcome.BREACH)


def verdict_of(
    assembly: Assembly, places: Sequence[PlaceRead], loaded: LoadedBook, unjudged: frozenset[str] = frozenset()
) -> AsTold:
    """Takes the places of an assembly in both readings, returns the verdict as told.

    Of the places in `unjudged` the book judges nothing: nothing there is praised, and what nobody judged could fail. So could what
    could not be read.
    """
    verdict = _Verdict(loaded, unjudged, assembly)
    for place in places:
        verdict.add(place)
    return verdict.as_told()


def _kept(fact: Fact, known: Known, vocabulary: Vocabulary) -> bool:
    """What needs no rule: it is kept for something else, is read as other facts, says of a thing that it is not there, or is the
    head of what stands under it.
    """
    if fact.kind == "presence":
        return known.value == NONE or vocabulary.things[fact.thing].sort == "record"
    return bool(fact.kept_for or fact.gives or fact.kind == "name")


class _Verdict:
    """Gathers the places of one assembly."""

    def __init__(self, loaded: LoadedBook, unjudged: frozenset[str], assembly: Assembly) -> None:
        self.loaded, self.vocabulary = loaded, loaded.vocabulary
        self.unjudged, self.unread_lines = unjudged, assembly.unread_lines
        self.open = OpenMatters(loaded, assembly.unread)
        self.findings: list[Finding] = []
        self.sound: dict[str, Callable[[], SoundLine]] = {}
        self.applying: dict[str, bool] = {}  # rules that apply somewhere, and whether what was stated settles them
        self.taken: list[tuple[int, UsualLine]] = []  # what would fail without it first, then what matters more
        self.cautions: dict[str, None] = {}
        self.said: dict[tuple[str, str, int], bool] = {}  # what was stated, by its line, and whether anything reads it

    def _finding(self, judgement: Judgement, derived: DerivedPlace, outcome: Outcome) -> Finding:
        """One judgement as told; where a way out fell away its heading still names that way."""
        finding = finding_of(PlacedJudgement(judgement._replace(outcome=outcome), derived, ()), self.loaded)
        if outcome is judgement.outcome:
            return finding
        return replace(finding, heading=finding_of(PlacedJudgement(judgement, derived, ()), self.loaded).heading)

    def add(self, place: PlaceRead) -> None:
        """One place in both readings."""
        self._caution(place.told.derived)
        derived, reads = place.told.derived, self.loaded.reads
        self.open.add(place.told, place.judged)
        leans, leans_to_fail, nowhere = 0, 0, Outcome.NOT_APPLICABLE
        applying = [pair for pair in zip(place.strictly, place.judged) if pair[1].outcome is not nowhere]  # few of a book's rules do
        for strictly, judged in applying:
            if judged.severity == "advice":
                continue
            name, outcome = judged.compiled.name, self.open.outcome(judged, derived)
            if outcome is Outcome.NOTHING:
                continue
            proved = strictly.outcome in PROVED
            self.applying[name] = self.applying.get(name, True) and proved
            if not proved and outcome in PROVED:
                bits = reads.applying(name) | reads.meeting(name)
                leans, leans_to_fail = leans | bits, leans_to_fail | (bits if judged.severity == "fail" else 0)
            if outcome is Outcome.BREACH:
                self.findings.append(self._finding(judged, derived, outcome))
            elif strictly.outcome is Outcome.PASS and derived.subject.name not in self.unjudged:
                self._sound(strictly, place.strict)
        for each in place.told.taken:
            slot = self.vocabulary.slot(each.fact)
            if leans >> slot & 1:
                importance = IMPORTANCE.index(self.vocabulary.fact(each.fact).matters) + (0 if leans_to_fail >> slot & 1 else len(IMPORTANCE))
                self.taken.append((importance, UsualLine(fact=each.fact, place=each.place, text=each.text, because=each.because)))
        self._unread(place, [judged for _, judged in applying])

    def _caution(self, derived: DerivedPlace) -> None:
        holds, vectors = self.loaded.explainer.holds, derived.vectors()
        self.cautions |= {each.in_short: None for each in self.loaded.book.cautions if any(holds(each.when, v) == SURELY for v in vectors)}

    def _sound(self, judgement: Judgement, derived: DerivedPlace) -> None:
        """Praise is only for what is surely met by what was stated, or worked out from it, and could have been otherwise."""
        compiled, vector = judgement.compiled, judgement.vector
        if compiled.name in self.sound:
            return
        stated = vector[0]
        if any(all(stated >> slot & 1 for slot in slots) and holds(vector) == SURELY for holds, slots in compiled.ways):
            self.sound[compiled.name] = partial(self._sound_line, judgement, derived)

    def _sound_line(self, judgement: Judgement, derived: DerivedPlace) -> SoundLine:
        """What was found of the way in which the rule is met, without what that was compared with."""
        rule, explainer, vector = judgement.compiled.rule, self.loaded.explainer, judgement.vector
        way = next((each for each in ways_to_meet(rule.requires) if explainer.holds(each, vector) == SURELY), rule.requires)
        compared = dict.fromkeys(leaf.fact for leaf in leaves(way) if isinstance(leaf, Comparison))
        found = "; ".join(f"{name_of(self.vocabulary, name)} {explainer.value_in_words(name, vector, derived)}" for name in compared)
        _, needed = explainer.found_and_needed(rule, vector, derived)
        measured = any(self.vocabulary.fact(name).is_amount for name in compared)
        return SoundLine(rule=rule.name, title=rule.title, place=place_of(judgement, derived), found=found, needed=needed,
                         measured=measured)  # fmt: skip

    def _praised(self) -> Late[SoundLine]:
        """What is sound, what would do the gravest harm first."""
        rules = self.loaded.book.rules

        def harm(name: str) -> tuple[int, int]:
            rule = rules[name]
            return -SEVERITIES.index(rule.severity), MATTERS.index(rule.warranty) if rule.warranty else len(MATTERS)

        return Late(tuple(self.sound[name] for name in sorted(self.sound, key=harm)))

    def _unread(self, place: PlaceRead, applying: Iterable[Judgement]) -> None:
        """What was stated here and bears on nothing that could apply here: no rule, no caution, no line of what stands outside."""
        reads, subject = self.loaded.reads, place.strict.subject
        bits = reads.applying_at(subject.sort)
        for judged in applying:
            bits |= reads.meeting(judged.compiled.name)
        holds, vector = self.loaded.explainer.holds, place.told.derived.vector
        for each in (*self.loaded.book.cautions, *self.loaded.book.outside):
            if holds(each.when, vector) == SURELY:
                bits |= reads.of(each.when)
        for known in (subject.known, *(layer.known for layers in subject.layers.values() for layer in layers)):
            for name, each in known.items():
                if each.origin != STATED or not each.text or each.where is None:
                    continue
                slot, fact = self.vocabulary.slots.get(name), self.vocabulary.fact(name)
                if slot is not None and not _kept(fact, each, self.vocabulary):
                    key = (name, each.text, each.where.line)
                    self.said[key] = self.said.get(key, False) or bool(bits >> slot & 1)

    def as_told(self) -> AsTold:
        """The verdict on all places together."""
        questions = questions_numbered(self.open.questions())
        failed = {each.rule for each in self.findings if each.outcome == "fail"}
        warned = {each.rule for each in self.findings if each.outcome == "warn"}
        outcome = "fail" if failed else "warn" if warned else "pass"
        gravest = "fail" if self.unjudged or self.unread_lines else self.open.gravest()
        could_become = gravest if gravest in ("warn", "fail") and SEVERITIES.index(gravest) > ("pass", "warn", "fail").index(outcome) else ""
        return AsTold(
            deciding=sum(each.decides and each.would_be == "fail" for each in questions) if outcome != "fail" else 0,
            outcome=outcome, could_become=could_become, findings=deviations_numbered(sorted(merge_alike(self.findings), key=lambda each: SEVERITIES.index(each.outcome), reverse=True)), questions=questions,
            checks=tuple(self.open.checks()), sound=self._praised(), usual=tuple(dict.fromkeys(line for _, line in sorted(self.taken, key=itemgetter(0)))),
            not_mentioned=tuple(self.open.missing), judged_by_nothing=tuple(f"{name_of(self.vocabulary, fact)} {text}" for (fact, text, _), read in self.said.items() if not read),
            cautions=tuple(self.cautions), failed=len(failed), warned=len(warned),
            proved=sum(self.applying.values()), applying=len(self.applying),
            unread_lines=self.unread_lines, exit_status=1 if failed else 3 if gravest == "fail" else 0,
        )  # fmt: skip
