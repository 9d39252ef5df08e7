"""Several layers of a kind: judged for each, the worst kept; their order, and the units they are written in, never matter."""

from fractions import Fraction
from itertools import permutations
from random import Random

import pytest
from books import consequence, rule, small_books, write_book
from described import judged, loaded_for, outcome, place, subject
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import Half, half_known, rule_things

from validator.engines.outcomes import WORST_FIRST
from validator.judging.loading import LoadedBook
from validator.rulebook.reading import read_book

RANK = {outcome: rank for rank, outcome in enumerate(WORST_FIRST)}
THICK = {"board.thickness": {"at least": "1/2 in"}}


def ready_with(folder, requires, **keys) -> LoadedBook:
    text = rule(requires=requires, **keys)
    return LoadedBook(read_book(write_book(folder, rules={"all/deep-enough": text})))


@settings(max_examples=30, deadline=None)
@given(small_books(wild=True))
def test_the_order_in_which_layers_are_given_never_matters(made):
    seed, plain = made
    loaded = loaded_for(plain)
    for number in range(6):
        half = half_known(plain, Random(f"{seed} {number}"), 10**9)
        if not isinstance(half.boards, list):
            continue
        boards = half.boards
        said = set()
        for order in permutations(boards):
            half.boards = list(order)
            said.add(tuple((n, j.outcome, j.severity) for n, j in judged(loaded, plain, half).items()))
        assert len(said) == 1, (seed, half)


@settings(max_examples=30, deadline=None)
@given(small_books(wild=True))
def test_a_faulty_layer_more_never_makes_a_rule_come_out_better(made):
    """Of rules that read single layers, without what is folded over all of them."""
    seed, plain = made
    loaded = loaded_for(plain)
    chance = Random(seed)
    before = half_known(plain, chance, 10**9)
    before.boards = [p for p in before.boards if p.sure] if isinstance(before.boards, list) else []
    if not before.boards:
        return
    for rule_ in plain.rules:
        reads = {name for name, fact in plain.facts.items() if fact.comes not in ("stated", "narrowed")}
        if "board" not in rule_things(plain, rule_) or reads & set(loaded.book.rules[rule_.name].facts()):
            continue
        for piece in before.boards:
            alone = subject(plain, Half(before.known, before.tape, [piece]), loaded.vocabulary)
            whole = judged(loaded, plain, before)[rule_.name].outcome
            assert RANK[whole] <= RANK[ready_outcome(loaded, alone, rule_.name)] or whole.startswith("open"), (seed, rule_)


def ready_outcome(loaded, described, name):
    found = loaded.engine.derive(described)
    return next(j.outcome for j in loaded.engine.judge(found) if j.compiled.rule.name == name)


@pytest.mark.parametrize(
    "boards, expected",
    [
        ([{"board.thickness": "1/2 in"}, {"board.thickness": "1 in"}], "pass"),
        ([{"board.thickness": "1/2 in"}, {"board.thickness": "3/8 in"}], "breach"),
        ([{"board.thickness": "1/2 in"}, {}], "open"),
        ([{"board.thickness": "3/8 in"}, {}], "breach"),
        ([{"board.thickness": "1/2 in"}, None], "waits"),
        ([{"board.thickness": "3/8 in"}, None], "breach"),
        ([], "not applicable"),
    ],
)
def test_a_rule_about_boards_is_judged_for_each_of_them(tmp_path, boards, expected):
    loaded = ready_with(tmp_path, THICK)
    assert outcome(loaded, place(loaded, {}, boards)) == expected


def test_a_layer_that_may_not_be_there_breaches_nothing_surely(tmp_path):
    loaded = ready_with(
        tmp_path, {"any of": [{"board.material": "foam"}, {"place.depth": {"at least": "2 in"}}]}, for_each="board"
    )
    boards = [{"board.material": "foam"}, {"board.material": "cement"}]
    shallow = place(loaded, {"place.depth": "1 in"}, boards)
    assert outcome(loaded, shallow) == "breach"
    shallow.layers["board"][1].presence = 3  # maybe there
    assert outcome(loaded, shallow) == "open, if"


@pytest.mark.parametrize(
    "fold, boards, least, greatest",
    [
        ("board.count", [{"board.thickness": "1/2 in"}, {"board.thickness": "1/4 in"}], 2, 2),
        ("board.count", [{"board.thickness": "1/2 in"}, None], 1, None),
        ("board.count", [], 0, 0),
        ("board.total thickness", [{"board.thickness": "1/2 in"}, {"board.thickness": "1/4 in to 3/8 in"}], 19_050_000, 22_225_000),
        ("board.total thickness", [{"board.thickness": "1/2 in"}, {}], 12_700_000, None),
        ("board.total thickness", [{"board.thickness": "1/2 in"}, None], 12_700_000, None),
        ("board.total thickness", [], 0, 0),
        ("board.least thickness", [{"board.thickness": "1/2 in"}, {"board.thickness": "1/4 in to 3/8 in"}], 6_350_000, 9_525_000),
        ("board.least thickness", [{"board.thickness": "1/2 in"}, None], None, 12_700_000),
        ("board.greatest thickness", [{"board.thickness": "1/2 in"}, {"board.thickness": "1/4 in"}], 12_700_000, 12_700_000),
        ("board.greatest thickness", [{"board.thickness": "1/2 in"}, None], 12_700_000, None),
    ],
)  # fmt: skip
def test_counts_totals_leasts_and_greatests_span_what_may_be_there(tmp_path, fold, boards, least, greatest):
    loaded = ready_with(tmp_path, {fold: {"at least": "1" if fold == "board.count" else "1 in"}})
    found = loaded.engine.derive(place(loaded, {}, boards))
    came = found.vector[loaded.vocabulary.slot(fold)]
    assert came == (-(1 << 62) if least is None else least, 1 << 62 if greatest is None else greatest)


def test_of_a_kind_that_nobody_wrote_there_may_be_any_number(tmp_path):
    loaded = ready_with(tmp_path, {"board.count": {"at least": "2"}})
    assert outcome(loaded, place(loaded, {})) == "open"


def test_a_case_may_give_a_total_directly(tmp_path):
    loaded = ready_with(tmp_path, {"board.total thickness": {"at least": "1 in"}})
    assert outcome(loaded, place(loaded, {"board.total thickness": "1-1/8 in"})) == "pass"
    assert outcome(loaded, place(loaded, {"board.total thickness": "7/8 in"})) == "breach"


def test_a_fact_named_only_after_the_book_was_made_ready_harms_nothing(tmp_path):
    loaded = ready_with(tmp_path, THICK)
    assert loaded.vocabulary.fact("board.greatest thickness") is not None
    boards = [{"board.thickness": "1 in"}, {"board.thickness": "3/4 in"}]
    assert outcome(loaded, place(loaded, {}, boards)) == "pass"


def test_stated_of_one_board_is_not_stated_of_every_board(tmp_path):
    loaded = ready_with(tmp_path, {"board.thickness": "stated"}, for_each="tape", applies_when={"tape": "there"})
    both = [{"board.thickness": "1 in"}, {"board.thickness": "1 in"}]
    one = [{"board.thickness": "1 in"}, {}]
    assert outcome(loaded, place(loaded, {"tape": "there"}, both)) == "pass"
    assert outcome(loaded, place(loaded, {"tape": "there"}, one)) == "open"
    assert outcome(loaded, place(loaded, {"tape": "there"}, one[::-1])) == "open"


SIXTY_FOURTHS = st.integers(1, 512)


@pytest.fixture(scope="module")
def in_inches_and_metric(tmp_path_factory) -> list[LoadedBook]:
    """The same book written in inches, and in exact millimetres."""
    readies = []
    for name, two, half in (("inches", "2 in", "1/2 in"), ("metric", "50.8 mm", "12.7 mm")):
        folder = tmp_path_factory.mktemp(name)
        rules = {
            "all/deep-enough": rule(requires={"place.depth": {"at least": two}}),
            "all/not-thick": rule("not-thick", requires={"board.total thickness": {"less than": two}}),
            "all/thick": rule("thick", requires={"board.thickness": {"more than": half}}),
        }
        readies.append(LoadedBook(read_book(write_book(folder, rules=rules))))
    return readies


@settings(max_examples=80, deadline=None)
@given(SIXTY_FOURTHS, SIXTY_FOURTHS, SIXTY_FOURTHS)
def test_units_never_matter(in_inches_and_metric, depth, first, second):
    said = set()
    for loaded in in_inches_and_metric:
        for write in (inches, millimetres):
            boards = [{"board.thickness": write(first)}, {"board.thickness": write(second)}]
            described = place(loaded, {"place.depth": write(depth)}, boards)
            said.add(tuple(outcome(loaded, described, name) for name in ("deep-enough", "not-thick", "thick")))
    assert len(said) == 1
    assert said.pop()[0] == ("pass" if depth >= 128 else "breach")


def inches(sixty_fourths: int) -> str:
    whole, part = divmod(Fraction(sixty_fourths, 64), 1)
    return f"{whole}-{part} in" if whole and part else f"{part or whole} in"


def millimetres(sixty_fourths: int) -> str:
    nanometres = sixty_fourths * 396_875
    return f"{nanometres // 1_000_000}.{nanometres % 1_000_000:06d} mm"


def test_a_consequence_about_boards_holds_when_it_holds_of_one_of_them(tmp_path):
    follows = consequence("foam-needs-a-lining", {"board.material": "foam"}, {"place.needs lining": "yes"})
    folder = write_book(
        tmp_path, consequences={"foam-needs-a-lining": follows},
        rules={"all/deep-enough": rule(applies_when={"place.needs lining": "yes"})},
    )  # fmt: skip
    loaded = LoadedBook(read_book(folder))
    shallow = {"place.depth": "1 in"}
    foam, cement = {"board.material": "foam"}, {"board.material": "cement"}
    assert outcome(loaded, place(loaded, shallow, [cement, foam])) == "breach"
    assert outcome(loaded, place(loaded, shallow, [cement, cement])) == "not applicable"
    assert outcome(loaded, place(loaded, shallow, [cement, {}])) == "open, if"
    assert outcome(loaded, place(loaded, shallow, [cement, None])) == "open, if"


def test_what_holds_only_of_a_board_that_may_not_be_there_does_not_surely_follow(tmp_path):
    when = {"not both": [{"board.material": "foam"}, {"place.depth": {"at least": "0.1 in"}}]}
    follows = consequence("foam-needs-a-lining", when, {"place.needs lining": "yes"})
    folder = write_book(
        tmp_path, consequences={"foam-needs-a-lining": follows},
        rules={"all/deep-enough": rule(applies_when={"place.needs lining": "yes"})},
    )  # fmt: skip
    loaded = LoadedBook(read_book(folder))
    described = place(loaded, {"place.depth": "1 in"}, [{"board.material": "foam"}, {"board.material": "cement"}])
    assert outcome(loaded, described) == "breach"
    described.layers["board"][1].presence = 3  # maybe there
    assert outcome(loaded, described) == "open, if"
