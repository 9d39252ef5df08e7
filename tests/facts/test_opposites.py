"""No slip is answered with the opposite of what was meant, over every word that the vocabulary has.

The vocabulary itself says what is opposite: the two sides of a yes or no, and two words of one fact of which one denies the other.
"""

import pytest
from paths import RULEBOOKS

from validator.facts.possible import can_read, word_mask
from validator.facts.vocabulary import Fact
from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.slips import near_ones

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
WORDED = [fact for fact in VOCABULARY.facts.values() if fact.kind in ("word", "yes or no", "words together") and fact.stated]
DENIALS = ("un", "non-", "not ", "no ", "never ", "without ")

DENYING = {denial.strip(" -") for denial in DENIALS}


def written(fact: Fact) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*fact.words, *fact.also_said)))


def denied_by(word: str) -> list[str]:
    """How a word is denied; of a word that begins with a denial, without it."""
    bare = [word.removeprefix(denial) for denial in DENIALS if word.startswith(denial) and len(word) > len(denial) + 2]
    return bare or [f"{denial}{word}" for denial in DENIALS if word.islower() and len(word) > 3 and not DENYING & set(word.split())]


def opposites(fact: Fact) -> list[tuple[str, str]]:
    """Each word of a fact with each of its words that says the opposite."""
    words = written(fact)
    if fact.kind == "yes or no":
        return [(one, other) for one in fact.also_said for other in words if fact.also_said[one] != fact.also_said.get(other, (other,))]
    return [(one, other) for one in words for other in words if other in denied_by(one)]


def misspelt(word: str) -> set[str]:
    """A word with one letter left out, or two that stand side by side in each other's place."""
    gone = {word[:at] + word[at + 1 :] for at in range(len(word))}
    turned = {word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in range(len(word) - 1)}
    return {each for each in gone | turned if len(each) > 3 and each != word}


WITH_OPPOSITES = [fact for fact in WORDED if opposites(fact)]


@pytest.mark.parametrize("fact", WORDED, ids=lambda fact: fact.name)
def test_a_word_is_never_offered_for_its_denial(fact: Fact) -> None:
    words = written(fact)
    offered = {
        (denied, word) for word in words for denied in denied_by(word) if not can_read(fact, denied)
        and near_ones(denied, (word,)) and word in near_ones(denied, words)  # what is not near by itself is not among many
    }  # fmt: skip
    assert offered == set()


@pytest.mark.parametrize("fact", WITH_OPPOSITES, ids=lambda fact: fact.name)
def test_the_opposite_of_a_misspelt_word_is_never_offered_alone(fact: Fact) -> None:
    words = written(fact)
    alone = {
        (slip, near) for word, opposite in opposites(fact) for slip in misspelt(word) if not can_read(fact, slip)
        if set(near := near_ones(slip, words)) and all(word_mask(fact, (each,)) == word_mask(fact, (opposite,)) for each in near)
    }  # fmt: skip
    assert alone == set()


def test_the_vocabulary_has_opposites_enough_to_try() -> None:
    """That the two above look at something: of a dry and a wet coat, of an uncracked slab, of clear and clogged weeps."""
    assert {"slab.cracks", "drain.weeps clear", "tile mortar.kind", "grout.sanded"} <= {fact.name for fact in WITH_OPPOSITES}
