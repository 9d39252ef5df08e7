"""Groups questions that are answered at one spot (drain, liner and curb), as `asked with:` of the vocabulary says.

A vocabulary says what is asked together (`asked with:`); whether all that is there is written is asked by itself.
"""

from collections.abc import Iterable
from typing import NamedTuple

from validator.advising.asking.questions import ALL_WRITTEN, Question
from validator.facts.vocabulary import Vocabulary

EVERYTHING = "everything that is there"


class QuestionGroup(NamedTuple):
    """The questions that are answered at one spot: of a thing and of what is seen with it, those that settle most first."""

    name: str
    of: tuple[str, ...]  # the things that are asked about
    questions: tuple[Question, ...]

    @property
    def settles(self) -> float:
        """How many open matters it settles, more or less: what one answer settles another may settle too."""
        return sum(question.settles for question in self.questions)

    def only(self, questions: tuple[Question, ...]) -> "QuestionGroup":
        """The same group with some of its questions."""
        asked = {question.fact.thing for question in questions}
        return self._replace(of=tuple(thing for thing in self.of if thing in asked) or self.of, questions=questions)


def groups_of(questions: Iterable[Question], vocabulary: Vocabulary) -> tuple[QuestionGroup, ...]:
    """Takes questions, returns them grouped by where they are answered, in their order."""
    grouped: dict[str, list[Question]] = {}
    for question in questions:
        head = EVERYTHING if question.fact is ALL_WRITTEN else vocabulary.asked_with(question.fact.thing)
        grouped.setdefault(head, []).append(question)
    groups = [
        QuestionGroup(head, (head,) if head == EVERYTHING else vocabulary.head_first(each.fact.thing for each in asked), tuple(asked))
        for head, asked in grouped.items()
    ]
    return tuple(groups)


def most_settling_first(groups: Iterable[QuestionGroup]) -> tuple[QuestionGroup, ...]:
    """The groups, the one that settles most first."""
    return tuple(sorted(groups, key=lambda group: -group.settles))


def merged_alike(questions: Iterable[Question], *, with_choices: bool) -> tuple[tuple[Question, ...], ...]:
    """Questions that ask the same of several places put together; with their choices, only where those are the same too."""
    alike: dict[object, list[Question]] = {}
    for question in questions:
        key = (question.asks, question.look, question.answers, question.choices if with_choices else ())
        alike.setdefault(key, []).append(question)
    return tuple(tuple(each) for each in alike.values())
