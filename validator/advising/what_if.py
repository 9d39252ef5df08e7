"""Judges a place again after one fact is changed; derives and judges only what depends on that fact.

Asking and mending both try very many such changes.
"""

from collections.abc import Iterable

from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.varying import judge_varying
from validator.facts.subjects import Subject, varies
from validator.judging.loading import LoadedBook
from validator.rulebook.dependencies import Dependencies


class WhatIf:
    """Judges some rules at a changed place, by one book."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.engine = loaded.engine
        self.dependencies = Dependencies(loaded.book)

    def judged(self, subject: Subject, rules: Iterable[CompiledRule]) -> list[Judgement]:
        """Some rules at a place, with only what they depend on derived."""
        rules = list(rules)
        if varies(subject):
            _, every = judge_varying(self.engine, subject)
            wanted = {id(rule) for rule in rules}
            return [judgement for judgement in every if id(judgement.compiled) in wanted]
        only = frozenset().union(*(self.dependencies.of_rule(rule.name) for rule in rules))
        derived = self.engine.deriver.derive(subject, only)
        return [self.engine.judge_rule(rule, derived) for rule in rules]
