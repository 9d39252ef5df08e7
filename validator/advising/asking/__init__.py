"""What is still to be asked of an assembly, grouped by what is looked at, and a new assembly begun by asking."""

from validator.advising.asking.choices import Choice
from validator.advising.asking.grouping import QuestionGroup, groups_of, merged_alike, most_settling_first
from validator.advising.asking.questions import Question, effects_of, questions_of, questions_to_prove

__all__ = [
    "Choice", "Question", "QuestionGroup", "effects_of", "groups_of", "merged_alike", "most_settling_first", "questions_of",
    "questions_to_prove",
]  # fmt: skip
