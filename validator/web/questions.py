"""The next question of a case: first what is to be built, as `describe` begins; then what could still change the verdict."""

from collections.abc import Iterator
from typing import NamedTuple

from validator.advising.asking import Question
from validator.advising.asking.new_assembly import FirstQuestion, JobTemplate, first_questions, place_of
from validator.advising.asking.questions import worst_of
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.assembly.name_reading import NONE_WORDS
from validator.facts.possible import NOT_STATED, STATED
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import NONE, Fact
from validator.language.forms import normalized
from validator.papers.asking import NO_EFFECT, effect
from validator.web.bench import Bench
from validator.web.store import State

OF_THE_JOB = ("job", "record")
MOST_REASONS = 2


class Ask(NamedTuple):
    """One question as it is put: of what, where to look, who knows, what is usual, what it decides, what an answer would do."""

    key: str
    fact: Fact
    place: str  # where the answer is written
    places: tuple[str, ...]
    thing: str
    asks: str
    look: str
    who: tuple[str, ...]
    usual: str
    decides: tuple[str, ...]
    worst: str
    effects: tuple[tuple[str, str], ...]
    answers: tuple[str, ...]  # of a role: what may play it
    may_be_none: bool
    would_be: str
    question: Question | None


def next_of(bench: Bench, state: State) -> Ask | None:
    """What is asked next of a case; None where nothing is left to ask. Raises BadAssembly."""
    return bench.once(f"next of {state.begun} but {state.left}", state.text, lambda: next(asks_of(bench, state), None))


def asks_of(bench: Bench, state: State) -> Iterator[Ask]:
    """Every question that is neither answered nor left open, in its turn, each worked out when it is reached."""
    judged = bench.judged(state.text)
    yield from _firsts(bench, state, judged.draft, judged.assembly)
    later = []
    for question in bench.questions(state.text):
        ask = ask_of(bench, question)
        why = state.left.get(ask.key)
        if why is None:
            yield ask
        elif why == "later":
            later.append(ask)
    yield from later


def ask_of(bench: Bench, question: Question) -> Ask:
    """A question of the report as it is put."""
    fact, rules = question.fact, bench.loaded.book.rules
    place = question.subjects[0].name
    thing = bench.vocabulary.things[fact.thing]
    effects = tuple((choice.says, effect(choice, rules)) for choice in question.choices)
    is_role = bool(fact.role and fact.concluded)
    return Ask(
        key=_key(fact.name, "; ".join(question.places), question.once[-1]), fact=fact, place=place, places=question.places,
        thing="" if thing.always else thing.name, asks=question.asks, look=question.look, who=question.answers, usual="",
        decides=tuple(dict.fromkeys(rules[name].title for name in question.rules if name in rules))[:MOST_REASONS],
        worst=_in_words(worst_of((question,))), effects=effects if any(does != NO_EFFECT for _, does in effects) else (),
        answers=tuple(choice.says for choice in question.choices) if is_role else (),
        may_be_none=not thing.always and fact.kind != "presence" and not is_role, would_be=question.would_be, question=question,
    )  # fmt: skip


def _in_words(worst: str) -> str:
    """Which answers would fail, as somebody would say it of a thing that is there or not."""
    for answer, said in (("none ", "Where there is none, that "), ("there ", "Where there is one, that ")):
        if worst.startswith(answer):
            return said + worst.removeprefix(answer)
    return worst


def _firsts(bench: Bench, state: State, draft: Draft, assembly: Assembly) -> Iterator[Ask]:
    """The first questions of what is to be built that are neither answered nor left open."""
    template = next((each for each in bench.templates if each.name == state.begun.get("kind")), None)
    if template is None:
        return
    for each in first_questions(str(state.begun.get("words", "")), template):
        subject = _subject(draft, assembly, each)
        if subject is None or _is_said(subject, each.fact):
            continue
        ask = _first_ask(bench, each, subject, template)
        if state.left.get(ask.key) is None:
            yield ask


def _subject(draft: Draft, assembly: Assembly, question: FirstQuestion) -> Subject | None:
    if question.at and not any(each.name == question.at for each in assembly.subjects):
        return None  # the place was renamed or taken out
    return place_of(draft, question.fact.name, question.at)


def _is_said(subject: Subject, fact: Fact) -> bool:
    """Whether a fact is stated at a place, or its thing is said not to be there."""
    if known_of(subject, fact.name) is not None:
        return True
    thing = subject.known.get(fact.thing)
    return thing is not None and thing.value == NONE and thing.origin == STATED


def known_of(subject: Subject, name: str, layer: Layer | None = None):
    """What is stated of a fact, of a layer or of every layer of its kind; None where it is not."""
    thing = name.partition(".")[0]
    layers = [layer] if layer is not None else subject.layers.get(thing, ())
    if name == thing and layers:
        return next((each.known.get(name) or subject.known.get(name) for each in layers), None)
    every = [each.known.get(name) for each in layers] if layers and name != thing else [subject.known.get(name)]
    stated = [each for each in every if each is not None and each.origin != NOT_STATED]
    return stated[0] if every and len(stated) == len(every) else None


def _first_ask(bench: Bench, question: FirstQuestion, subject: Subject, template: JobTemplate) -> Ask:
    fact = question.fact
    thing = bench.vocabulary.things[fact.thing]
    where = question.at or template.name
    return Ask(
        key=_key(fact.name, where), fact=fact, place=subject.name, places=(where,), thing="" if thing.always else thing.name,
        asks=fact.ask or f"{fact.what}?", look=fact.look, who=fact.answers, usual=question.usual, decides=(), worst="", effects=(),
        answers=(), may_be_none=not thing.always and fact.kind != "presence", would_be="", question=None,
    )  # fmt: skip


def _key(fact: str, place: str, layers: int = 1) -> str:
    """What a question is put aside by; of several layers each is asked in its turn."""
    return f"{fact} @ {place}" + (f" #{layers}" if layers > 1 else "")


def of_key(key: str) -> str:
    """A question that was left open, in words."""
    fact, _, place = key.partition(" @ ")
    return f"{place}: {fact.replace('.', ' ')}"


def is_none(words: str) -> bool:
    """Whether an answer says that there is none."""
    return normalized(words) in NONE_WORDS
