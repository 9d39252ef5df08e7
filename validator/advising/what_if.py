"""What if: places judged again with one thing known otherwise, and only the rules that could notice.

Asking and mending both try very many what-ifs; neither derives nor judges more of a place than what leans on the change.
"""

from collections.abc import Iterable
from dataclasses import replace

from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.varying import judge_varying
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import NONE, THERE
from validator.judging.loading import LoadedBook
from validator.rulebook.dependencies import condition_reads, reads_of


class WhatIf:
    """Which facts a rule leans on, through everything it follows from; kept as they are found."""

    def __init__(self, loaded: LoadedBook) -> None:
        self.loaded, self.book, self.engine = loaded, loaded.book, loaded.engine
        self.vocabulary = loaded.vocabulary
        self._derived = {each.fact.name: each for each in loaded.book.order}
        self._reads: dict[str, frozenset[str]] = {}
        self._behind: dict[str, frozenset[str]] = {}

    def leans_on(self, rule: str) -> frozenset[str]:
        """Every fact that could bear on a rule, with the things those facts are said of."""
        known = self._reads.get(rule)
        if known is None:
            names = {n for condition in self.book.rules[rule].conditions() for n in condition_reads(self.book, condition)}
            known = self._reads[rule] = frozenset(names).union(*(self.behind(name) for name in names))
        return known

    def behind(self, name: str) -> frozenset[str]:
        """Every fact that one follows from, with the things they are said of."""
        known = self._behind.get(name)
        if known is None:
            waiting, seen = [name], {name}
            while waiting:
                each = waiting.pop()
                fact = self.vocabulary.fact(each)
                names = set(reads_of(self.book, self._derived[each])) if each in self._derived else set()
                if each.endswith(" as stated"):
                    names.add(each.removesuffix(" as stated"))
                names.add(fact.thing)
                waiting += names - seen
                seen |= names
            known = self._behind[name] = frozenset(seen)
        return known

    def judged(self, subject: Subject, rules: Iterable[CompiledRule]) -> list[Judgement]:
        """Some rules at a place, with only what they lean on derived."""
        rules = list(rules)
        if varies(subject):
            _, every = judge_varying(self.engine, subject)
            wanted = {id(rule) for rule in rules}
            return [judgement for judgement in every if id(judgement.compiled) in wanted]
        only = frozenset().union(*(self.leans_on(rule.name) for rule in rules))
        found = self.engine.deriver.derive(subject, only)
        return [self.engine.judge_rule(rule, found) for rule in rules]


def varies(subject: Subject) -> bool:
    """Whether anything at a place is said to vary."""
    return any(known.varies for known in subject.known.values()) or any(
        known.varies for layers in subject.layers.values() for layer in layers for known in layer.known.values()
    )


def with_fact(subject: Subject, name: str, known: Known, thing: str, layers: Iterable[Layer] = ()) -> Subject:
    """The place with one fact known; of a thing with layers, said of those given, or of every one."""
    own = subject.layers.get(thing)
    if not own or name == thing:
        return copied_with(subject, {**subject.known, name: known}, subject.layers)
    wanted = {layer.where for layer in layers}
    changed = [layer_with_fact(each, name, known) if not wanted or each.where in wanted else each for each in own]
    return copied_with(subject, subject.known, {**subject.layers, thing: changed})


def with_presence(subject: Subject, thing: str, there: bool) -> Subject:
    """The place with a thing surely there, or surely not."""
    known = {**subject.known, thing: Known(THERE if there else NONE, STATED, "there" if there else "none")}
    layers = dict(subject.layers)
    own = [layer for layer in layers.get(thing, ()) if layer.known]
    if not there:
        layers.pop(thing, None)
    elif own:
        layers[thing] = [Layer(e.thing, e.name, e.known, THERE, e.where, e.number) for e in own]
    return copied_with(subject, known, layers)


def layer_with_fact(layer: Layer, name: str, known: Known) -> Layer:
    return Layer(layer.thing, layer.name, {**layer.known, name: known}, layer.presence, layer.where, layer.number)


def copied_with(subject: Subject, known: dict[str, Known], layers: dict[str, list[Layer]]) -> Subject:
    return replace(subject, known=known, layers=layers)
