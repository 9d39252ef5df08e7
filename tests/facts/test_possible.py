"""What a text says of a fact is what is possible of it: a range, a set of words, words that are all true."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from validator.facts.possible import (
    NOT_STATED,
    STATED,
    NotPossible,
    both,
    edges,
    either,
    in_words,
    is_settled,
    read,
    thickness_in,
    with_implied,
    without_unsupported,
)
from validator.facts.vocabulary import Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST

INCH = 25_400_000
DEPTH = Fact(name="place.depth", thing="place", what="Depth", kind="length", spread="1/4 in")
BARE = Fact(name="place.width", thing="place", what="Width", kind="length")
SPECIES = Fact(name="joist.species", thing="joist", what="Species", kind="word", words=("fir", "pine", "spruce"),
               also_said={"whitewood": ("pine", "spruce")})  # fmt: skip
MARKS = Fact(name="mortar.meets", thing="mortar", what="Standards met", kind="words together", words=("A", "B", "C"),
             implies={"C": ("B",), "B": ("A",)})  # fmt: skip
HELD = Fact(name="test.held", thing="test", what="Whether it was held", kind="yes or no", words=("no", "yes"))
SIZE = Fact(name="tile.size", thing="tile", kind="size", gives=("tile.shortest", "tile.longest"))


@pytest.mark.parametrize(
    "text, value",
    [
        ("2 in", (2 * INCH, 2 * INCH)), ("1 to 2 in", (INCH, 2 * INCH)), ("at least 1 in", (INCH, NO_GREATEST)),
        ("up to 1 in", (NO_LEAST, INCH)), ("about 1 in", (INCH - INCH // 4, INCH + INCH // 4)), ("~1 in", (INCH - INCH // 4, INCH + INCH // 4)),
        ("varies 1 to 2 in", (INCH, 2 * INCH)), ("1/3 in", (8_466_666, 8_466_667)),
    ],
)  # fmt: skip
def test_an_amount_is_a_range_and_off_the_step_it_is_rounded_outwards(text, value):
    known = read(DEPTH, text)
    assert (known.value, known.origin, known.text) == (value, STATED, text)
    assert known.varies == text.startswith("varies")


@pytest.mark.parametrize(
    "text", ["", "?", "unknown", "not stated", "considered", "n/a", "N/A", "probably 2 in", "Assumed 2 in", "tbd",
             "2 in?", "2 in, I think", "said to be 2 in", "assumed", "should be 2 in", "2 in (not sure)"]
)
def test_what_says_nothing_is_not_stated_and_keeps_its_words(text):
    known = read(DEPTH, text)
    assert (known.value, known.origin, known.text) == ((NO_LEAST, NO_GREATEST), NOT_STATED, text)


@pytest.mark.parametrize(
    ("fact", "text", "supposed"),
    [(SPECIES, "probably pine", 0b010), (SPECIES, "pine?", 0b010), (DEPTH, "2 in, I think", (2 * INCH, 2 * INCH)), (DEPTH, "assumed", None),
     (SPECIES, "probably oak", None), (SPECIES, "probably not", None)],
)  # fmt: skip
def test_a_guess_is_kept_beside_what_is_not_stated(fact, text, supposed):
    known = read(fact, text)
    assert (known.origin, known.guess) == (NOT_STATED, supposed)


@pytest.mark.parametrize(
    "fact, text, mask",
    [
        (SPECIES, "fir", 0b001), (SPECIES, "Fir", 0b001), (SPECIES, "fir or pine", 0b011), (SPECIES, "whitewood", 0b110),
        (SPECIES, "whitewood or fir", 0b111), (HELD, "yes", 0b10), (HELD, "No", 0b01), (HELD, "true", 0b10), (HELD, "not done", 0b01),
    ],
)  # fmt: skip
def test_a_word_is_a_set_and_a_loose_word_widens_it(fact, text, mask):
    assert read(fact, text).value == mask


@pytest.mark.parametrize(
    "text, complete, value",
    [
        ("A", False, (0b001, 0b111)), ("C", False, (0b111, 0b111)), ("A and C", False, (0b111, 0b111)), ("A, B", False, (0b011, 0b111)),
        ("A or B", False, (0b001, 0b111)), ("A", True, (0b001, 0b001)), ("B", True, (0b011, 0b011)), ("A or B", True, (0b001, 0b011)),
    ],
)  # fmt: skip
def test_words_together_are_at_least_these_and_on_a_card_exactly_these(text, complete, value):
    assert read(MARKS, text, complete=complete).value == value


@pytest.mark.parametrize(
    "fact, text, what, accepted",
    [
        (SPECIES, "oak", "`oak` is not a word for species", "fir, pine, spruce, whitewood"),
        (SPECIES, "pien", "`pien` is not a word for species", "did you mean `pine`? fir, pine, spruce, whitewood"),
        (SPECIES, "fir and pine", "`fir and pine` says more than one thing at once",
         "write a place or a layer for each; `or` says that it is one of them, not known which"),
        (SPECIES, "fir, pine", "`fir, pine` says more than one thing at once",
         "write a place or a layer for each; `or` says that it is one of them, not known which"),
        (SPECIES, "none", "`none` is not a word for species", "fir, pine, spruce, whitewood"),
        (MARKS, "A and D", "`D` is not a word for standards met", "A, B, C"),
    ],
)  # fmt: skip
def test_what_a_fact_cannot_be_is_refused_in_words(fact, text, what, accepted):
    with pytest.raises(NotPossible) as refused:
        read(fact, text)
    assert (refused.value.what, refused.value.accepted) == (what, accepted)


def test_about_is_wide_where_the_vocabulary_declares_no_spread():
    assert read(BARE, "about 1 in").value == (INCH * 3 // 4, INCH * 5 // 4)


def test_or_smaller_is_said_of_both_edges_and_is_no_other_size():
    assert [each.value for each in edges(SIZE, "12 x 24 in or smaller").values()] == [(NO_LEAST, 12 * INCH), (NO_LEAST, 24 * INCH)]


def test_a_third_edge_that_is_much_less_is_the_thickness_and_no_edge():
    given_edges = edges(SIZE, "24 x 24 x 3/4 in")
    assert given_edges["tile.shortest"].value == given_edges["tile.longest"].value == (24 * INCH, 24 * INCH)
    assert thickness_in(SIZE, "24 x 24 x 3/4 in").value == (INCH * 3 // 4, INCH * 3 // 4)
    assert thickness_in(SIZE, "24 x 24 in") is None
    assert set(edges(SIZE, "8 x 10 x 8 ft")) == {"tile.shortest", "tile.longest"}


@pytest.mark.parametrize(
    "text, shortest, longest", [("12 x 24 in", 12, 24), ("24 x 12 in", 12, 24), ("2 x 2 in", 2, 2), ("6 x 36 in", 6, 36)]
)
def test_a_size_gives_its_shortest_and_its_longest_edge(text, shortest, longest):
    given_edges = edges(SIZE, text)
    assert given_edges["tile.shortest"].value == (shortest * INCH, shortest * INCH)
    assert given_edges["tile.longest"].value == (longest * INCH, longest * INCH)


# -- joining what two say -------------------------------------------------------------------------------------------------------

RANGE = st.tuples(st.integers(0, 9), st.integers(0, 9)).map(lambda p: (min(p), max(p)))
MASK = st.integers(1, 7)
CLOSED = [s for s in range(8) if with_implied(MARKS, s) == s]
PAIR = st.tuples(st.sampled_from(CLOSED), st.integers(0, 7)).map(lambda p: (p[0], p[0] | p[1]))


def values(fact, value):
    """Every one thing that a value allows."""
    if fact.is_amount:
        return set(range(value[0], value[1] + 1))
    if fact.is_together:
        return {s for s in CLOSED if s & value[0] == value[0] and s | value[1] == value[1]}
    return {bit for bit in range(3) if value >> bit & 1}


@pytest.mark.parametrize("fact, strategy", [(DEPTH, RANGE), (SPECIES, MASK), (MARKS, PAIR)], ids=["amount", "word", "together"])
@settings(max_examples=100, deadline=None)
@given(chance=st.data())
def test_either_and_both_lose_nothing_that_is_possible(fact, strategy, chance):
    first, second = chance.draw(strategy), chance.draw(strategy)
    assert values(fact, either(fact, first, second)) >= values(fact, first) | values(fact, second)
    agreed = both(fact, first, second)
    common = values(fact, first) & values(fact, second)
    assert common == (values(fact, agreed) if agreed is not None else set())


def test_what_a_word_gives_is_sure_with_it_and_what_it_needs_rules_it_out():
    assert with_implied(MARKS, 0b100) == 0b111
    assert without_unsupported(MARKS, 0b110) == 0b000
    assert without_unsupported(MARKS, 0b101) == 0b001


def test_only_one_thing_possible_is_settled():
    assert is_settled(DEPTH, (3, 3)) and not is_settled(DEPTH, (3, 4))
    assert is_settled(SPECIES, 0b010) and not is_settled(SPECIES, 0b011)
    assert is_settled(MARKS, (1, 1)) and not is_settled(MARKS, (1, 3))


@pytest.mark.parametrize(
    "fact, value, said",
    [
        (DEPTH, (INCH, INCH), "1 in (25 mm)"), (DEPTH, (NO_LEAST, NO_GREATEST), "not stated"), (SPECIES, 0b011, "fir or pine"),
        (SPECIES, 0b111, "not stated"), (MARKS, (0b011, 0b111), "at least A and B"), (MARKS, (0b001, 0b001), "A"),
        (MARKS, (0, 0b111), "not stated"), (MARKS, (0, 0), "none listed"),
    ],
)  # fmt: skip
def test_what_is_possible_is_said_as_a_reader_would(fact, value, said):
    assert in_words(fact, value) == said


@pytest.mark.parametrize(
    ("words", "said", "told"),
    [
        (9, "a1 or a2", "a1 or a2"), (12, "a0 or a1 or a2 or a3 or a4 or a5 or a6 or a7 or a8 or a9", "anything but a10 or a11"),
        (30, " or ".join(f"a{n}" for n in range(12)), "one of 12, of 30 that there are"),
    ],
)  # fmt: skip
def test_many_words_that_are_possible_are_told_shortly(words: int, said: str, told: str) -> None:
    many = Fact(name="place.kind", thing="place", what="A kind", kind="word", words=tuple(f"a{n}" for n in range(words)))
    assert in_words(many, read(many, said).value) == told
