"""Takes what an author answers about a new rule, returns the rule's file; and says what in an answer cannot be read."""

import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from validator.facts.vocabulary import Vocabulary
from validator.language.editing import entries, text, written
from validator.language.source import Complaint, Entries, Items, Node, Where
from validator.rulebook.conditions import Names, read_condition

COMPARES = (
    "has at least one of", "has none of", "has all of", "not before", "not after", "at least", "at most", "more than", "less than",
    "none of", "one of", "is not", "is", "has",
)  # fmt: skip
NAMED = ("limit", "schedule", "fact")  # `at least limit least depth`
ANSWERED = Where("what you answered", 0, 1)
Case = tuple[str, Mapping[str, str], str, tuple[str, ...]]  # its name, what it says, what it expects, what it asks


class Answers(NamedTuple):
    """What an author says of a rule; conditions in the form `fact: what it must be; another: ...`."""

    title: str
    chapter: str
    applies: str
    requires: str
    severity: str
    because: str
    put_right: str
    source: str
    section: str
    edition: str
    known_by: str

    @property
    def name(self) -> str:
        """The rule's name for ever, made of its title."""
        return "-".join(re.findall(r"[a-z0-9]+", re.sub(r"\{[^}]*\}", "", self.title.casefold().replace("'", ""))))


def condition_of(said: str) -> Node:
    """`place.kind: shower floor; flood test.held: at least 48 h` as the lines of a file."""
    pairs = [each.partition(":") for each in said.split(";") if each.strip()]
    return entries(*((fact.strip(), _value(value.strip())) for fact, _, value in pairs))


def slips_in(said: str, vocabulary: Vocabulary, names: Names) -> list[Complaint]:
    """What in a condition cannot be read."""
    complaints: list[Complaint] = []
    read_condition(condition_of(said), vocabulary, names, complaints)
    return complaints


def _value(said: str) -> Node:
    for compare in COMPARES:
        if said.startswith(f"{compare} "):
            return entries((compare, _against(said.removeprefix(f"{compare} "))))
    return _against(said)


def _against(said: str) -> Node:
    how, _, name = said.partition(" ")
    if how in NAMED and name:
        return entries((how, text(name)))
    words = [word for word in re.split(r", | or ", said) if word]
    return Items(tuple(map(text, words)), ANSWERED) if len(words) > 1 else text(said)


def file_of(answers: Answers, usual: Mapping[str, str], cases: Iterable[Case]) -> str:
    """The file of a rule; its cases wait for somebody to confirm them."""
    applies = condition_of(answers.applies)
    parts = {"from": answers.source, "section": answers.section, "edition": answers.edition, "known by": answers.known_by}
    lines = [
        written(entries(("rule", text(answers.name)), ("title", text(answers.title)), ("severity", text(answers.severity)))),
        written(entries(("applies when", applies))) if isinstance(applies, Entries) and applies.pairs else "",
        written(entries(("requires", condition_of(answers.requires)), ("because", text(answers.because)), ("put right", text(answers.put_right)))),
        f"sources: [{_flow({key: said for key, said in parts.items() if said})}]\n",
        f"cases:\n  usual: {_flow(usual)}\n  each:\n" if usual or cases else "cases: {each: []}\n",
    ]  # fmt: skip
    for name, facts, expect, asks in cases:
        own = f", with: {_flow(facts)}" if facts else ""
        asked = f", asks: [{', '.join(map(quoted, asks))}]" if asks else ""
        lines.append(f"    - {{name: {quoted(name)}{own}, expect: {expect}{asked}, confirmed: no}}\n")
    return "".join(line if line.endswith("\n") or not line else f"{line}\n" for line in lines)


def _flow(facts: Mapping[str, str]) -> str:
    return "{" + ", ".join(f"{quoted(key)}: {quoted(said)}" for key, said in facts.items()) + "}"


def quoted(said: str) -> str:
    """A text inside braces or brackets, in quotes where it would be read as something else."""
    if said in ("yes", "no") or not said or any(mark in said for mark in ":,{}[]#\"'"):
        return '"' + said.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return said
