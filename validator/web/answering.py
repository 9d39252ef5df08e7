"""Answers to a case: those given at once are one event, each written where it belongs or given back with why it was not.

An answer that meets another one, given meanwhile to the same question, is not written: both are shown, and one is chosen.
"""

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from validator.advising.asking.answers import slip
from validator.assembly.build_ups import Unchangeable
from validator.assembly.draft import Draft
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import Fact
from validator.web.bench import Bench
from validator.web.deeds import Refused, Site, fact_named, layer_at, sound, subject_of
from validator.web.questions import ANSWERED, APART, LATER, is_none, known_of
from validator.web.store import Deed, State

LEFT = ("not known", "not built yet", LATER, APART)
NOTHING = "Nothing was entered. Enter an answer, or press one of the buttons below."


class Answer(NamedTuple):
    """One answer: where it is written, what it says, what stood there when it was asked; `settled`: it was chosen knowing what stands there now."""

    site: Site
    words: str
    was: str = ""
    key: str = ""
    settled: bool = False


class Answering:
    """Writes several answers, and puts aside what was left blank. What could not be written is told once it was called."""

    def __init__(self, bench: Bench, answers: Sequence[Answer], left: Mapping[str, str] | None = None) -> None:
        self.bench, self.answers, self.left = bench, answers, dict(left or {})
        self.refused: list[tuple[Answer, str]] = []
        self.meanwhile: list[tuple[Answer, str]] = []  # with what stands there now

    def __call__(self, state: State) -> Deed | None:
        self.refused, self.meanwhile = [], []
        draft, assembly = self.bench.read(state.text)
        said, aside, text = [], {key: why for key, why in self.left.items() if state.left.get(key, "") != why}, state.text
        for answer in self.answers:
            site, subject = answer.site, subject_of(assembly, answer.site.place)
            layer = layer_at(subject, site.fact, site.layer)
            now = now_of(subject, site.fact, layer)
            try:
                _proved(self.bench, answer)
                if now not in (answer.words, answer.was) and not answer.settled:
                    self.meanwhile.append((answer, now))
                    continue
                if now != answer.words:
                    text = written(self.bench, draft, subject, answer, layer).text()
                    draft, assembly = sound(self.bench, text)
            except Refused as refused:
                self.refused.append((answer, str(refused)))
                continue
            if now != answer.words or answer.key:
                said.append({"place": site.place, "fact": site.fact, "layer": site.layer, "was": now, "is": answer.words})
            if answer.key:
                aside[answer.key] = ANSWERED
        return _event(said, self.left, aside, text)


def _event(said: list[dict[str, object]], left: Mapping[str, str], aside: dict[str, str], text: str) -> Deed | None:
    """One event of what was said and what was put aside; None where nothing was."""
    if len(said) == 1:
        return Deed("said", said[0], text, left=aside)
    if said:
        return Deed("said together", {"answers": said}, text, left=aside)
    return Deed("left open", {"questions": list(aside), "why": next(iter(left.values()), "")}, text, left=aside) if aside else None


def now_of(subject: Subject, name: str, layer: Layer | None) -> str:
    """What is written of a fact; nothing where it is not stated."""
    known = known_of(subject, name, layer)
    return known.text if known is not None and known.where is not None else ""


def written(bench: Bench, draft: Draft, subject: Subject, answer: Answer, layer: Layer | None) -> Draft:
    """The description with an answer, not read yet."""
    fact, words = fact_named(bench, answer.site.fact), answer.words
    none = is_none(words) and not (fact.role and fact.concluded) and fact.thing != "job"
    name = fact.thing if none and not _is_word(fact, words) else fact.name
    return draft.said(subject, name, words, layer)


def _proved(bench: Bench, answer: Answer) -> None:
    """Raises Refused where an answer says nothing of what was asked."""
    problem = _problem(bench, fact_named(bench, answer.site.fact), answer.words)
    if problem:
        raise Refused(problem)


def _problem(bench: Bench, fact: Fact, words: str) -> str:
    if not words:
        return NOTHING
    if is_none(words) and not bench.vocabulary.things[fact.thing].always:
        return ""
    if fact.role and fact.concluded:
        plays = [thing.name for thing in bench.vocabulary.things.values() if thing.role == fact.role]
        return "" if words in plays else f"`{words}` is none of them. Accepted: {', '.join(['none', *plays])}"
    accepted = ", ".join((*fact.words, *fact.also_said)) if fact.words else "an amount with its unit" if fact.is_amount else "a few words"
    return slip(fact, words, accepted)


def _is_word(fact: Fact, words: str) -> bool:
    """Whether `none` is a word of the fact itself: `edges: none`."""
    return words in fact.words or fact.kind == "presence"


def left_open(keys: Sequence[str], why: str) -> Callable[[State], Deed | None]:
    """Questions left open, and why; `asked again` takes that back. Raises Unchangeable."""
    if why not in (*LEFT, "asked again"):
        raise Unchangeable("that button is not one of ours")

    def deed(state: State) -> Deed | None:
        now = "" if why == "asked again" else why
        aside = {key: now for key in keys if state.left.get(key, "") != now}
        return Deed("left open", {"questions": list(aside), "why": why}, state.text, left=aside) if aside else None

    return deed
