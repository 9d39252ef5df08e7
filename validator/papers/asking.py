"""Questions on paper: those that settle most first, with what each answer would do; and as one letter that asks for all."""

import textwrap
from collections.abc import Iterable, Iterator

from validator.asking import Choice, Question
from validator.papers.lines import Line, wrapped
from validator.rulebook.records import Rule

Rules = dict[str, Rule]
MOST_TITLES = 2
NOTHING_OPEN = "Nothing is open: no answer could change what was found."
LETTER = (
    "Before this assembly can be looked at to the end, some facts are missing. Nothing has been refused, and nothing has been "
    "decided; these are only the questions whose answers could still change what is found. The first settle most. A photograph "
    "or a bag label is as good as a sentence, and `not known` is an answer too."
)
CLOSING = "Please send what you can; what nobody can know any more may stay open. With thanks."


def question_lines(name: str, questions: Iterable[Question], rules: Rules, width: int, more: int = 0) -> Iterator[Line]:
    """The questions of one assembly, each with what its answers would do."""
    yield name, True
    questions = tuple(questions)
    if not questions:
        yield from wrapped(NOTHING_OPEN, width)
        return
    for number, question in enumerate(questions, 1):
        yield "", False
        yield from one_question(question, rules, width, f"{number}. ")
    if more:
        yield "", False
        yield from wrapped(f"{more} further questions settle less; --all prints them.", width)


def one_question(question: Question, rules: Rules, width: int, number: str = "") -> Iterator[Line]:
    """One question with where, who, and what each answer would do."""
    yield from wrapped(f"{number}{of_what(question)}: {question.asks}", width, bold=True)
    if question.look:
        yield from wrapped(f"Look: {question.look}", width, "   ")
    if question.answers:
        yield from wrapped(f"Who knows: {', '.join(question.answers)}.", width, "   ")
    for choice in question.choices:
        yield from wrapped(f"{choice.says}: {effect(choice, rules)}.", width, "   ")


def of_what(question: Question) -> str:
    """The places a question is of, and the thing where its own words may leave it out."""
    places, fact = "; ".join(question.places), question.fact
    named = fact.kind == "presence" or fact.thing in ("place", "job", "junction") or fact.thing in question.asks.casefold()
    return places if named else f"{places}, {fact.thing}"


def effect(choice: Choice, rules: Rules) -> str:
    """What one answer would do, the worst first."""
    parts = []
    for verb, names in (("fails", choice.fails), ("warns", choice.warns), ("passes", choice.passes)):
        if names:
            parts.append(f"{verb} ({_titles(names, rules)})")
    if choice.falls_away:
        parts.append(f"{_counted(len(choice.falls_away), 'open matter')} fall away" if len(choice.falls_away) > 1
                     else "one open matter falls away")  # fmt: skip
    if choice.still_open:
        parts.append(f"{_counted(choice.still_open, 'matter')} still open" if parts else "settles nothing by itself")
    return "; ".join(parts) or "changes nothing"


def _titles(names: tuple[str, ...], rules: Rules) -> str:
    titles = list(dict.fromkeys(rules[name].title for name in names))
    more = len(titles) - MOST_TITLES
    return "; ".join(titles[:MOST_TITLES]) + (f"; and {more} more" if more > 0 else "")


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


# -- the letter ---------------------------------------------------------------------------------------------------------------


def letter_lines(name: str, questions: Iterable[Question], width: int) -> Iterator[str]:
    """One request with every question, grouped by who can answer."""
    questions = tuple(questions)
    yield f"About: {name}"
    yield ""
    if not questions:
        yield from (line for line, _ in wrapped(NOTHING_OPEN, width))
        return
    yield from textwrap.wrap(LETTER, width)
    number = 0
    for who, asked in _by_who(questions).items():
        yield ""
        yield f"For the {who}:" if who else "For whoever knows:"
        for question in asked:
            number += 1
            for line, _ in wrapped(f"{number}. {of_what(question)}: {question.asks}", width, "  "):
                yield line
            for line, _ in wrapped(f"Where to look: {question.look}", width, "     ") if question.look else ():
                yield line
    yield ""
    yield from textwrap.wrap(CLOSING, width)


def _by_who(questions: tuple[Question, ...]) -> dict[str, list[Question]]:
    grouped: dict[str, list[Question]] = {}
    for question in questions:
        grouped.setdefault(question.answers[0] if question.answers else "", []).append(question)
    return grouped
