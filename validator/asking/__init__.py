"""The fewest questions that settle an assembly, and a new assembly begun by asking."""

from validator.asking.questions import Choice, Question, questions_of

__all__ = ["Choice", "Question", "questions_of"]
