"""Has judgements made again by durable-rules, and says whether it agrees; it never decides.

That library shares no code with the deciding engine, so its agreement is evidence; its faults decide how it is kept:
in processes of its own, fed finished values only, and ended when they misbehave. A witness that is missing, killed,
hung, refusing or out of memory costs one line and nothing else.
"""

import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from itertools import islice

from validator.engines.deciding import Engine, Judgement
from validator.engines.outcomes import Outcome
from validator.engines.varying import judge_varying
from validator.engines.witness.process import ANSWER_WITHIN, MEMORY, START_WITHIN, NoWitness, WitnessProcess
from validator.engines.witness.rule_sets import RuleSet, packed
from validator.engines.witness.rules import BREACHED, MET, NOT_APPLICABLE, OPEN, Declined, NotFed, WitnessRule, witness_rule
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE

AT_ONCE = 2_000  # judgements held at a time, so that memory stays flat however many are compared
OURS = {
    Outcome.PASS: MET, Outcome.BY_EXCEPTION: MET, Outcome.BREACH: BREACHED, Outcome.NOT_APPLICABLE: NOT_APPLICABLE,
}  # fmt: skip


@dataclass(slots=True)
class Verdict:
    """What the witness came to: `disagreements` as (rule, place, ours, the witness's)."""

    compared: int = 0
    not_fed: int = 0  # judgements whose values it cannot be told
    declined: int = 0  # judgements by rules it cannot be told
    disagreements: list[tuple[str, str, str, str]] = field(default_factory=list)
    no_witness: str = ""

    @property
    def agrees(self) -> bool:
        """True when something was compared, nothing was left unheard, and nothing differed."""
        return bool(self.compared) and not self.disagreements and not self.no_witness

    @property
    def line(self) -> str:
        """The one line that a person is told."""
        if self.disagreements:
            rule, place, ours, theirs = self.disagreements[0]
            more = len(self.disagreements) - 1
            also = f", and {more} more" if more else ""
            return (f"The witness disagrees: {rule} at {place} is {ours}, and the witness says {theirs}{also}. "
                    "Please report this line with the file that was checked.")  # fmt: skip
        if self.no_witness:
            return f"No witness: {self.no_witness}."
        unheard = self.declined + self.not_fed
        also = f"; {unheard} it cannot judge" if unheard else ""
        number = f"{self.compared} judgement{'' if self.compared == 1 else 's'}"
        return f"The witness agrees on {number}{also}."


class Witness:
    """The rules of a book told to the witness; `declined` names those it cannot be told, with the reason."""

    def __init__(
        self, engine: Engine, python: tuple[str, ...], answer_within: float, start_within: float, memory: int
    ) -> None:  # fmt: skip
        self.declined: dict[str, str] = {}
        told: list[WitnessRule] = []
        for compiled in engine.rules:
            try:
                told.append(witness_rule(compiled.trees, engine.vocabulary))
            except Declined as declined:
                self.declined[compiled.name] = str(declined)
        self.witnessed = len(told)
        self.sets = packed(told)
        self.processes = [
            WitnessProcess(each.told(), python, answer_within, start_within, memory) for each in self.sets
        ]
        self.home = {
            rule.name: (number, rule) for number, each in enumerate(self.sets) for rule in each.rules
        }

    def compare(self, judged: Iterable[tuple[str, Judgement]]) -> Verdict:
        """The witness's view of judgements, each with the name of its place."""
        verdict, left = Verdict(), iter(judged)
        while some := list(islice(left, AT_ONCE)):
            self._compare_some(some, verdict)
            if verdict.no_witness:
                break
        return verdict

    def _compare_some(self, judged: list[tuple[str, Judgement]], verdict: Verdict) -> None:
        batches: dict[int, _Batch] = {}
        for place, judgement in judged:
            name = judgement.compiled.name
            if name not in self.home:
                verdict.declined += 1
                continue
            number, rule = self.home[name]
            batch = batches.setdefault(number, _Batch(self.sets[number]))
            try:
                batch.add(place, judgement, rule)
            except NotFed:
                verdict.not_fed += 1
        order = list(batches)
        try:
            for number, following in zip(order, [*order[1:], order[-1]] if order else []):
                # The next process starts while this one works.
                self.processes[number].launch()
                self.processes[following].launch()
                batch = batches[number]
                batch.judge(self.processes[number].ask(batch.facts), verdict)
        except NoWitness as reason:
            verdict.no_witness = str(reason)

    def close(self) -> None:
        for process in self.processes:
            process.close()


@dataclass(slots=True)
class _Batch:
    """What one ruleset is asked: facts, and which of them each judgement hangs on."""

    ruleset: RuleSet
    facts: list[dict[str, float]] = field(default_factory=list)
    asked: list[tuple[str, str, str, bool, tuple[int, ...]]] = field(default_factory=list)
    shared: dict[int, int] = field(default_factory=dict)  # a vector's place among the facts

    def add(self, place: str, judgement: Judgement, rule: WitnessRule) -> None:
        facts = [
            {self.ruleset.named(rule, key): value for key, value in fact.items()}
            for fact in rule.facts(judgement.vector)
        ]
        if len(facts) == 1:
            # The rules of a set that judge one vector are asked together.
            number = self.shared.setdefault(id(judgement.vector), len(self.facts))
            if number == len(self.facts):
                self.facts.append({})
            self.facts[number].update(facts[0])
            numbers = (number,)
        else:
            numbers = tuple(range(len(self.facts), len(self.facts) + len(facts)))
            self.facts += facts
        perhaps = judgement.layer is not None and judgement.layer.presence != THERE
        self.asked.append((rule.name, place, OURS.get(judgement.outcome, OPEN), perhaps, numbers))

    def judge(self, fired: list[list[str]], verdict: Verdict) -> None:
        said = [{self.ruleset.verdicts[name] for name in names} for names in fired]
        for rule, place, ours, perhaps, numbers in self.asked:
            # What is shown of every answer that a schedule could give is shown.
            shown = [v for v in (MET, BREACHED, NOT_APPLICABLE) if all((rule, v) in said[n] for n in numbers)]
            # Of a layer that may not be there, what is shown is so only if it is.
            theirs = OPEN if perhaps and shown != [NOT_APPLICABLE] else " and ".join(shown) or OPEN
            verdict.compared += 1
            if theirs != ours:
                verdict.disagreements.append((rule, place, ours, theirs))


@contextmanager
def witness_book(
    engine: Engine, *, python: tuple[str, ...] = (sys.executable,), answer_within: float = ANSWER_WITHIN,
    start_within: float = START_WITHIN, memory: int = MEMORY,
) -> Iterator[Witness]:  # fmt: skip
    """A book's witness, whose processes end with the block. `python` is the command that starts an interpreter."""
    witness = Witness(engine, python, answer_within, start_within, memory)
    try:
        yield witness
    finally:
        witness.close()


def witness_subjects(engine: Engine, subjects: Iterable[Subject]) -> str:
    """The line that `check --witness` adds: every rule at every place, judged again by the witness."""
    with witness_book(engine) as witness:
        return witness.compare(
            (subject.name, judgement)
            for subject in subjects
            for judgement in judge_varying(engine, subject)[1]
        ).line
