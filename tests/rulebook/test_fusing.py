"""One tree from several comparisons: sets of values joined, negations pushed down, things put in once."""

from itertools import product

import pytest
from books import LARGEST, made_up, rule, small_books, write_book
from described import loaded_for
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import Whole, everything, holds

from validator.engines.closures import NOT, POSSIBLY, SURELY, closure_of
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import sets
from validator.rulebook.fusing import All, Always, AmountIn, Any, WordIn, things_required
from validator.rulebook.reading import read_book

INCH = 25_400_000


def fused(folder, requires):
    book = read_book(write_book(folder, rules={"all/deep-enough": rule(requires=requires)}))
    return book, book.fuser.fuse(book.rules["deep-enough"].requires)


def depth(*comparisons):
    return [{"place.depth": {compare: value}} for compare, value in comparisons]


@pytest.mark.parametrize(
    "requires, ranges",
    [
        ({"place.depth": {"at least": "1 in", "at most": "2 in"}}, ((INCH, 2 * INCH),)),
        ({"any of": depth(("at most", "1 in"), ("more than", "1 in"))}, ((NO_LEAST, NO_GREATEST),)),
        ({"any of": depth(("less than", "1 in"), ("more than", "1 in"))}, ((NO_LEAST, INCH - 1), (INCH + 1, NO_GREATEST))),
        ({"not both": depth(("at least", "1 in"), ("at most", "2 in"))}, ((NO_LEAST, INCH - 1), (2 * INCH + 1, NO_GREATEST))),
        ({"place.depth": {"is not": "1 in", "at least": "1 in"}}, ((INCH + 1, NO_GREATEST),)),
    ],
)
def test_comparisons_of_one_amount_become_one_set_of_ranges(tmp_path, requires, ranges):
    book, tree = fused(tmp_path, requires)
    if ranges == sets.EVERYTHING:
        assert tree == Always(True)
    else:
        assert tree == AmountIn(book.vocabulary.slot("place.depth"), ranges)


def test_ranges_that_touch_are_joined():
    """3 to 6 is surely at most 4 or at least 5: no whole step lies between them."""
    either = sets.in_either(sets.ranges_for("at most", 4, 4), sets.ranges_for("at least", 5, 5))
    assert either == sets.EVERYTHING
    assert closure_of(AmountIn(0, either))([(3, 6)]) == SURELY


@pytest.mark.parametrize(
    "requires, mask",
    [
        ({"place.exposure": ["dry", "damp"]}, 0b011),
        ({"place.exposure": {"is not": "damp"}}, 0b101),
        ({"place.exposure": {"at least": "damp"}}, 0b110),
        ({"place.exposure": {"less than": "wet"}}, 0b011),
        ({"all of": [{"place.exposure": {"at least": "damp"}}, {"place.exposure": {"at most": "damp"}}]}, 0b010),
        ({"not both": [{"place.exposure": "dry"}, {"place.exposure": ["dry", "damp"]}]}, 0b110),
    ],
)
def test_comparisons_of_one_word_become_one_mask(tmp_path, requires, mask):
    book, tree = fused(tmp_path, requires)
    assert tree == WordIn(book.vocabulary.slot("place.exposure"), mask)


def test_what_nothing_can_meet_is_never(tmp_path):
    _, tree = fused(tmp_path, {"place.depth": {"less than": "1 in", "more than": "2 in"}})
    assert tree == Always(False)


def test_tests_of_one_thing_share_one_presence(tmp_path):
    book, tree = fused(tmp_path, {"any of": [{"tape.width": {"at least": "2 in"}}, {"tape.kind": "mesh"}]})
    slot = book.vocabulary.slot
    assert tree == All(
        (WordIn(slot("tape"), 2), Any((AmountIn(slot("tape.width"), ((2 * INCH, NO_GREATEST),)), WordIn(slot("tape.kind"), 1))))
    )


def test_turned_round_a_comparison_of_a_thing_says_not_there_or_not_so(tmp_path):
    book, _ = fused(tmp_path, {"tape.kind": "mesh"})
    tree = book.fuser.all_of(negated=(book.rules["deep-enough"].requires,))
    slot = book.vocabulary.slot
    assert tree == Any((WordIn(slot("tape"), 1), WordIn(slot("tape.kind"), 0b10)))


def test_a_group_within_a_group_may_hold_a_schedule(tmp_path):
    files = {"d.yaml": '{"schedule": "d", "gives": "place.depth", "keys": ["place.exposure"], "rows": "d.csv",'
                       '"sources": {"from": "big code", "known by": "read second-hand"}}',
             "d.csv": "place.exposure,answer\ndry,1 in\nall other,2 in\n"}  # fmt: skip
    by_row = {"place.depth": {"at least": {"schedule": "d"}}}
    requires = {"any of": [{"all of": [by_row, {"place.fall": "1:48"}]}, {"all of": [by_row, {"place.share": "10 %"}]}]}
    book = read_book(write_book(tmp_path, rules={"all/deep-enough": rule(requires=requires)}, schedules=files))
    assert isinstance(book.fuser.fuse(book.rules["deep-enough"].requires), Any)


@pytest.mark.parametrize(
    "requires, things",
    [
        ({"tape.kind": "mesh"}, {"tape"}),
        ({"any of": [{"tape.kind": "mesh"}, {"tape.width": "2 in"}]}, {"tape"}),
        ({"any of": [{"tape.kind": "mesh"}, {"place.depth": "2 in"}]}, set()),
        ({"any of": [{"tape.kind": "mesh"}, {"seam.width": "2 in"}]}, set()),
        ({"tape.kind": "mesh", "place.depth": "2 in"}, {"tape"}),
        ({"not both": [{"tape.kind": "mesh"}, {"place.depth": "2 in"}]}, set()),
        ({"tape": "there"}, set()),
        ({"tape": "there", "tape.kind": "mesh"}, set()),
        ({"place.depth": "2 in"}, set()),
    ],
)
def test_a_rule_is_limited_by_the_things_on_which_every_branch_depends(tmp_path, requires, things):
    book, _ = fused(tmp_path, requires)
    assert things_required(book.rules["deep-enough"].requires, book.vocabulary) == things


@settings(max_examples=40, deadline=None)
@given(small_books(wild=True), st.integers(0, 10**6))
def test_a_fused_tree_holds_exactly_when_the_author_s_does_where_everything_is_known(made, pick):
    _, plain = made
    loaded = loaded_for(plain)
    vocabulary, fuser = loaded.vocabulary, loaded.book.fuser
    facts = [f for f in plain.facts.values() if f.comes in ("stated", "narrowed")]
    values = {f.name: everything(f)[(pick >> (3 * n)) % len(everything(f))] for n, f in enumerate(facts)}
    for written in plain.rules:
        for part, condition in (("applies", written.applies), ("requires", written.requires)):
            if any(plain.facts[leaf[1]].comes not in ("stated", "narrowed") for leaf in _compared(condition)):
                continue
            author = getattr(loaded.book.rules[written.name], part)
            for tape, board in product((True, False), repeat=2):
                boards = [{"board.t": values["board.t"], "board.k": values["board.k"]}] if board else []
                whole = Whole(dict(values), tape, boards)
                rowless: list = []
                expected = holds(plain, condition, whole, boards[0] if boards else None, rowless.append)
                if rowless:
                    continue
                vector = loaded.engine.deriver.blank[:]
                vector[vocabulary.slot("tape")], vector[vocabulary.slot("board")] = (2 if tape else 1), (2 if board else 1)
                for fact in facts:
                    vector[vocabulary.slot(fact.name)] = _encoded(fact, values[fact.name])
                assert closure_of(fuser.fuse(author))(vector) == (SURELY if expected else NOT)
                assert closure_of(fuser.all_of(negated=(author,)))(vector) == (NOT if expected else SURELY)


def _compared(condition):
    if condition[0] in ("all", "any", "not both"):
        return [leaf for member in condition[1:] for leaf in _compared(member)]
    if condition[0] == "there":
        return []
    other = [("is", condition[3][1])] if condition[3][0] == "fact" else []
    return [condition, *other]


def _encoded(fact, value):
    if fact.kind == "amount":
        return (value, value)
    if fact.kind == "word":
        return 1 << fact.words.index(value)
    mask = sum(1 << fact.words.index(word) for word in value)
    return (mask, mask)


# -- sets -----------------------------------------------------------------------------------------------------------------------

RANGES = st.lists(st.tuples(st.integers(0, LARGEST), st.integers(0, LARGEST)), max_size=4).map(
    lambda pairs: sets.joined(tuple((min(p), max(p)) for p in pairs))
)


def inside(ranges, value):
    return any(low <= value <= high for low, high in ranges)


@settings(max_examples=200, deadline=None)
@given(RANGES, RANGES)
def test_sets_of_ranges_hold_the_values_they_say(first, second):
    for value in range(-1, LARGEST + 2):
        assert inside(sets.in_both(first, second), value) == (inside(first, value) and inside(second, value))
        assert inside(sets.in_either(first, second), value) == (inside(first, value) or inside(second, value))
        assert inside(sets.outside(first), value) != inside(first, value)


@settings(max_examples=100, deadline=None)
@given(RANGES, RANGES)
def test_joined_ranges_are_sorted_and_neither_overlap_nor_touch(first, second):
    ranges = sets.in_either(first, second)
    assert all(high + 1 < low for (_, high), (low, _) in zip(ranges, ranges[1:]))


@pytest.mark.parametrize("compare", list(sets.OPPOSITE)[:2] + ["at least", "at most", "more than", "less than"])
@pytest.mark.parametrize("least, greatest", [(3, 3), (3, 5)])
def test_a_comparison_and_its_opposite_part_every_value(compare, least, greatest):
    """Also where a limit prints two values, and everything between them is exactly on it."""
    for value in range(-1, 9):
        yes = inside(sets.ranges_for(compare, least, greatest), value)
        assert yes != inside(sets.ranges_for(sets.OPPOSITE[compare], least, greatest), value)


def test_the_least_of_all_of_and_the_greatest_of_any_of():
    sure, maybe, never = AmountIn(0, ((0, 9),)), AmountIn(0, ((0, 4),)), AmountIn(0, ((20, 30),))
    vector = [(2, 6)]
    for tests in product((sure, maybe, never), repeat=2):
        answers = [closure_of(test)(vector) for test in tests]
        assert closure_of(All(tests))(vector) == min(answers)
        assert closure_of(Any(tests))(vector) == max(answers)
    assert (NOT, POSSIBLY, SURELY) == (0, 1, 3)


def test_books_made_up_from_one_seed_are_the_same():
    assert made_up(7, True) == made_up(7, True)
