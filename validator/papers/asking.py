"""Questions on paper, gathered by where they are answered, with what each answer would do; and as one letter that asks for all.
"""

import textwrap
from collections.abc import Iterable, Iterator

from validator.advising.asking import Choice, Question, QuestionGroup, merged_alike
from validator.papers.wrapping import Line, headed, wrapped
from validator.rulebook.rule import Rule

Rules = dict[str, Rule]
Alike = tuple[Question, ...]  # one question, asked of several places
MOST_TITLES = 2
IN = "   "
DEEPER = "      "
NOTHING_OPEN = "Nothing is open: no answer could change what was found."
LETTER = (
    "Before this assembly can be looked at to the end, some facts are missing. Nothing has been refused, and nothing has been "
    "decided; these are only the questions whose answers could still change what is found. The first settle most. A photograph "
    "or a bag label is as good as a sentence, and `not known` is an answer too."
)
CLOSING = "Please send what you can; what nobody can know any more may stay open. With thanks."
NO_EFFECT = "settles nothing by itself"


def question_lines(name: str, groups: Iterable[QuestionGroup], rules: Rules, width: int, more: int = 0) -> Iterator[Line]:
    """The questions of one assembly, each with what its answers would do; `more` looks are left out."""
    yield name, True
    groups = tuple(groups)
    if not groups:
        yield from wrapped(NOTHING_OPEN, width)
        return
    for number, group in enumerate(groups, 1):
        yield "", False
        yield from wrapped(f"{number}. {title_of(group)}", width, bold=True)
        for alike in merged_alike(group.questions, with_choices=True):
            yield from one_question(alike, rules, width, IN)
    if more:
        yield "", False
        yield from wrapped(f"{_counted(more, 'further look')} would settle less; --all prints every question.", width)


def title_of(group: QuestionGroup) -> str:
    """What is looked at, and about how much it settles."""
    settles = round(group.settles)
    asked = _counted(len(group.questions), "question")
    about = f", about {_counted(settles, 'open matter')} settled" if settles else ""
    return f"{headed(group.of)}: {asked}{about}"


def one_question(alike: Alike, rules: Rules, width: int, indent: str = "") -> Iterator[Line]:
    """One question with where, who, and what each answer would do, where any does something."""
    first, deeper = alike[0], f"{indent}{IN}"
    yield from wrapped(f"{of_what(alike)}: {first.asks}", width, indent, bold=True)
    who = f"Who knows: {', '.join(first.answers)}." if first.answers else ""
    look = f"Look: {first.look}" if first.look else ""
    if look or who:
        yield from wrapped(" ".join(filter(None, (look, who))), width, deeper)
    effects = [(choice.says, effect(choice, rules)) for choice in first.choices]
    for says, does in effects if any(does != NO_EFFECT for _, does in effects) else ():
        yield from wrapped(f"{says}: {does}.", width, deeper)


def of_what(alike: Alike) -> str:
    """The places a question is of, and the thing where its own words may leave it out."""
    places = "; ".join(dict.fromkeys(place for question in alike for place in question.places))
    question, fact = alike[0], alike[0].fact
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
        parts.append(f"{_counted(choice.still_open, 'matter')} still open" if parts else NO_EFFECT)
    return "; ".join(parts) or "changes nothing"


def _titles(names: tuple[str, ...], rules: Rules) -> str:
    titles = list(dict.fromkeys(rules[name].title for name in names))
    more = len(titles) - MOST_TITLES
    return "; ".join(titles[:MOST_TITLES]) + (f"; and {more} more" if more > 0 else "")


def _counted(number: int, noun: str) -> str:
    plural = noun[:-1] + "ies" if noun.endswith("y") else f"{noun}s"
    return f"{number} {noun if number == 1 else plural}"


def groups_object(groups: Iterable[QuestionGroup]) -> list[dict[str, object]]:
    """The looks for other programs; keys are fixed."""
    return [
        {"of": group.of, "settles": round(group.settles), "questions": [_question_object(question) for question in group.questions]}
        for group in groups
    ]


def _question_object(question: Question) -> dict[str, object]:
    return {
        "places": question.places, "fact": question.fact.name, "question": question.asks, "where_to_look": question.look,
        "answers": question.answers, "would_be": question.would_be, "accepted": question.accepted, "rules": question.rules,
        "choices": question.choices,
    }  # fmt: skip


# -- the letter ---------------------------------------------------------------------------------------------------------------


def letter_lines(name: str, groups: Iterable[QuestionGroup], width: int) -> Iterator[str]:
    """One request with every question, grouped by who can answer and by what is looked at."""
    groups = tuple(groups)
    yield f"About: {name}"
    yield ""
    if not groups:
        yield from (line for line, _ in wrapped(NOTHING_OPEN, width))
        return
    yield from textwrap.wrap(LETTER, width)
    number = 0
    for who, theirs in _by_who(groups).items():
        yield ""
        yield f"For the {who}:" if who else "For whoever knows:"
        for group in theirs:
            yield ""
            yield from textwrap.wrap(headed(group.of), width, initial_indent="  ", subsequent_indent="  ")
            for alike in merged_alike(group.questions, with_choices=False):
                number += 1
                asks = f"{number}. {of_what(alike)}: {alike[0].asks}{f' ({alike[0].look})' if alike[0].look else ''}"
                yield from (line for line, _ in wrapped(asks, width, IN))
    yield ""
    yield from textwrap.wrap(CLOSING, width)


def _by_who(groups: tuple[QuestionGroup, ...]) -> dict[str, list[QuestionGroup]]:
    """The looks of each person, each with the questions that this person can answer."""
    people = dict.fromkeys(question.answers[0] if question.answers else "" for group in groups for question in group.questions)
    grouped: dict[str, list[QuestionGroup]] = {who: [] for who in people}
    for group in groups:
        for who in people:
            theirs = tuple(q for q in group.questions if (q.answers[0] if q.answers else "") == who)
            if theirs:
                grouped[who].append(group.only(theirs))
    return grouped
