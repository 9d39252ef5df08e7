"""`none`, `no`, `yes` and `unknown` say the same of every fact of the vocabulary, whatever its kind."""

import pytest
from paths import RULEBOOKS

from validator.facts.possible import NOT_SAID, NOT_STATED, NotPossible, guessed, read
from validator.facts.vocabulary import Fact
from validator.facts.vocabulary_reading import read_vocabulary

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
STATED = [fact for fact in VOCABULARY.facts.values() if fact.kind != "presence" and fact.stated]
WORDED = [fact for fact in STATED if fact.kind == "word"]
NONE = ("none", "no", "None", "NO", "n")


def value(fact: Fact, text: str) -> object:
    """What a text says of a fact; nothing where it says nothing that the fact could be."""
    try:
        return read(fact, text).value
    except NotPossible:
        return None


@pytest.mark.parametrize("fact", STATED, ids=lambda fact: fact.name)
def test_what_is_not_known_leaves_everything_possible(fact: Fact) -> None:
    for said in sorted(NOT_SAID):
        known = read(fact, said)
        assert (known.value, known.origin) == (fact.anything, NOT_STATED), said


@pytest.mark.parametrize("fact", [fact for fact in STATED if fact.kind == "yes or no"], ids=lambda fact: fact.name)
def test_yes_and_no_of_a_yes_or_no(fact: Fact) -> None:
    assert {value(fact, said) for said in ("yes", "Yes", "y", "true", "done", "there")} == {2}
    assert {value(fact, said) for said in (*NONE, "false", "not done")} == {1}


@pytest.mark.parametrize("fact", WORDED, ids=lambda fact: fact.name)
def test_none_and_no_are_alike_and_yes_is_whatever_is_not_none(fact: Fact) -> None:
    (none,) = {value(fact, said) for said in NONE}
    yes = {value(fact, said) for said in ("yes", "Yes", "y")}
    assert yes == ({None} if none is None else {fact.every_word & ~none})


def test_some_words_have_a_none() -> None:
    assert {"slab.cracks", "framing.bridging", "slab.surface treatment"} <= {fact.name for fact in WORDED if value(fact, "none") is not None}


@pytest.mark.parametrize("said", ["none visible", "nothing seen", "none observed"])
def test_whoever_saw_none_supposes_that_there_is_none(said: str) -> None:
    assert guessed(said) == "none"
