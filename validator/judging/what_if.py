"""Judges a place again after one fact is changed; derives and judges only what depends on that fact.

Asking, mending and the calendar try very many such changes.
"""

from collections.abc import Callable, Iterable

from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.engines.varying import judge_varying
from validator.facts.subjects import Subject, varies
from validator.judging.loading import LoadedBook


OutcomeOf = Callable[[Judgement, DerivedPlace], Outcome]


class WhatIf:
    """Judges some rules at a changed place, by one book. `outcome_of` is what a judgement comes to in the reading that is judged."""

    def __init__(self, loaded: LoadedBook, outcome_of: OutcomeOf = lambda judgement, _: judgement.outcome) -> None:
        self.engine, self.outcome_of = loaded.engine, outcome_of
        self.dependencies = loaded.dependencies

    def judged(self, subject: Subject, rules: Iterable[CompiledRule], before: DerivedPlace | None = None) -> list[Judgement]:
        """Some rules at a place, with only what they depend on derived; `before` is the place as it was before it was changed."""
        rules = list(rules)
        if varies(subject):
            derived, every = judge_varying(self.engine, subject)
            wanted = {id(rule) for rule in rules}
            return [self._read(judgement, derived) for judgement in every if id(judgement.compiled) in wanted]
        only = frozenset().union(*(self.dependencies.of_rule(rule.name) for rule in rules))
        engine = self.engine
        derived = engine.deriver.derive(subject, only) if before is None else engine.leaning.derived_from(subject, before, only)
        return [self._read(self.engine.judge_rule(rule, derived), derived) for rule in rules]

    def _read(self, judgement: Judgement, derived: DerivedPlace) -> Judgement:
        outcome = self.outcome_of(judgement, derived)
        return judgement if outcome is judgement.outcome else judgement._replace(outcome=outcome)
