"""Takes an answer to a question, returns what is wrong with it and what would be accepted; nothing where nothing is."""

from validator.advising.asking.questions import Question
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS
from validator.facts.possible import NotPossible, edges, read
from validator.facts.vocabulary import Fact
from validator.language.forms import normalized


def what_is_wrong(question: Question, said: str) -> str:
    """Why an answer says nothing of the fact, with what would be accepted; nothing where it does."""
    fact = question.fact
    if fact.role and fact.concluded:
        words = [choice.says for choice in question.choices]
        known = normalized(said) in words or normalized(said) in NONE_WORDS
        return "" if known else f"`{said}` is none of them. Accepted: {', '.join(words)}"
    return slip(fact, said, question.accepted)


def slip(fact: Fact, said: str, accepted: str) -> str:
    """What is wrong with the text of a fact, with what would be accepted; nothing where nothing is."""
    if fact.kind == "presence":
        known = normalized(said) in NONE_WORDS or normalized(said) in THERE_WORDS
        return "" if known else f"`{said}` does not say whether it is there. Accepted: there, none"
    try:
        read(fact, said)
        edges(fact, said)
    except NotPossible as problem:
        return f"{problem.what[:1].upper()}{problem.what[1:]}. Accepted: {problem.accepted or accepted}"
    return ""
