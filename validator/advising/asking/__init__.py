"""The fewest questions that settle an assembly, look by look, and a new assembly begun by asking."""

from validator.advising.asking.grouping import QuestionGroup, groups_of, merged_alike
from validator.advising.asking.questions import Choice, Question, effects_of, questions_of

__all__ = ["Choice", "QuestionGroup", "Question", "effects_of", "groups_of", "questions_of", "merged_alike"]
