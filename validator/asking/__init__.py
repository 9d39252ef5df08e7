"""The fewest questions that settle an assembly, look by look, and a new assembly begun by asking."""

from validator.asking.looks import Look, looks_of, told_once
from validator.asking.questions import Choice, Question, questions_of

__all__ = ["Choice", "Look", "Question", "looks_of", "questions_of", "told_once"]
