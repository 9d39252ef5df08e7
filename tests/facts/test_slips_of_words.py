"""A slip of a word is never answered with another word alone, over every word that the vocabulary has.

Another hazard is any word that the vocabulary gives another meaning: `soft flooring` for `hard flooring` turns what every rule on the
two comes to. Where two meanings are about as near, both are offered, each with what it means; so it is enough that the one that was
meant is among what is offered, and wrong only that others are offered without it.
"""

import random

import pytest
from test_opposites import WORDED, misspelt, written

from validator.facts.possible import can_read, word_mask
from validator.facts.vocabulary import Fact
from validator.language.slips import near_ones

SHORTEST = 4  # of a word of three letters nobody can tell what a slip of it was


def misled(fact: Fact, slips_of: dict[str, list[str]]) -> list[tuple[str, str, tuple[str, ...]]]:
    """Each word with a slip of it for which only words of another meaning are offered."""
    words, found = written(fact), []
    for word, slips in slips_of.items():
        for slip in (each for each in slips if each == each.strip() and not can_read(fact, each)):
            near = near_ones(slip, words)
            if near and not any(word_mask(fact, (each,)) & word_mask(fact, (word,)) for each in near):
                found.append((word, slip, near))
    return found


@pytest.mark.parametrize("fact", WORDED, ids=lambda fact: fact.name)
def test_one_slip_of_each_word_is_not_answered_with_another_hazard(fact: Fact) -> None:
    drawn = random.Random(fact.name)
    slips = {word: [drawn.choice(every)] for word in written(fact) if len(word) >= SHORTEST and (every := sorted(misspelt(word)))}
    assert misled(fact, slips) == []


@pytest.mark.thorough
@pytest.mark.parametrize("fact", WORDED, ids=lambda fact: fact.name)
def test_no_slip_of_a_word_is_answered_with_another_hazard(fact: Fact) -> None:
    assert misled(fact, {word: sorted(misspelt(word)) for word in written(fact) if len(word) >= SHORTEST}) == []


def test_a_word_of_another_meaning_alone_would_be_noticed() -> None:
    fact = next(each for each in WORDED if each.name == "slab.cracks")
    assert [word for word, _, _ in misled(fact, {"uncracked": ["moving crack s"]})] == ["uncracked"]
