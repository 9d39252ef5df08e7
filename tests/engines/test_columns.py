"""Columns come to what the deciding engine comes to, bit for bit.

The least counts below add to more than two million outcomes of a rule at a place, compared in a thorough run.
"""

from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import polars as pl
import pytest
from books import made_up, rule, small_books, table, write_book
from described import place, subject
from examples import examples_of
from oracle import half_known
from paths import ROOT
from planted import bare, planted
from side_by_side import ChancePlaces, decided, differences, grid_outcomes

from validator.engines.columns import Columns, NotInColumns, Places, places_of
from validator.engines.outcomes import Outcome
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.language.source import Where
from validator.proving.case_subjects import subject_of_case
from validator.proving.grid import boundary_rows
from validator.rulebook.reading import read_book

BOOK = ROOT / "rulebooks" / "us"
DEEP = {"requires": {"place.depth": {"at least": "2 in"}}}


def loaded_for(folder: Path, **texts: object) -> LoadedBook:
    return LoadedBook(read_book(write_book(folder, **texts)))


# -- the real book --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("sort", "one_of", "least"),
    [("place", 24, 30_000), pytest.param("place", 1, 800_000, marks=pytest.mark.thorough), ("junction", 1, 1_500), ("job", 1, 40)],
)
def test_every_rule_at_the_places_of_cases_agrees(loaded, sort, one_of, least):
    """At one of so many cases of all the rules, and thoroughly at each."""
    subjects = [
        subject_of_case(case.facts, sort, loaded.vocabulary, f"{compiled.rule.name}, {case.name}", case.where)
        for compiled in loaded.engine.rules
        if compiled.sort == sort
        for case in compiled.rule.cases
    ]
    compared, differ = differences(loaded, subjects[::one_of], sort)
    assert differ == []
    assert compared >= least


@pytest.mark.parametrize(("most", "least"), [(300, 80_000), pytest.param(3_000, 400_000, marks=pytest.mark.thorough)])
def test_the_boundary_grid_of_every_rule_agrees(loaded, most, least):
    compared, differ = 0, []
    for compiled in loaded.engine.rules:
        rows = list(boundary_rows(compiled.trees.every(), loaded.vocabulary, loaded.engine.deriver.blank, most))
        compared += len(rows)
        if grid_outcomes(loaded, compiled, rows) != decided(compiled, rows):
            differ.append(compiled.rule.name)
    assert differ == []
    assert compared >= least


@pytest.mark.parametrize(("seed", "number"), [(1, 50), *(pytest.param(seed, 600, marks=pytest.mark.thorough) for seed in (2, 3, 4, 6))])
def test_made_up_places_of_the_real_book_agree(loaded, seed, number):
    chance = ChancePlaces(loaded, seed)
    compared, differ = differences(loaded, [chance.place(each) for each in range(number)])
    assert differ == []
    assert compared >= 325 * number


STONE_FLOOR = {
    "place.kind": ["room floor"], "place.on joists": ["yes"], "place.carries stone": ["yes"], "framing.kind": ["sawn lumber"], "framing.material": ["wood"],
    "framing.joist": ["2x8", "2x10"], "framing.species": ["spruce-pine-fir"], "framing.grade": ["no. 2"], "framing.spacing": ["16 in", "24 in"],
    "framing.span": ["8 ft", "14 ft", "18 ft"], "tile.body": ["marble", "granite", "porcelain"], "tile.thickness": ["3/8 in", "3/4 in"],
    "tile.weight": ["5 psf", "12 psf"], "framing.dead load": ["20 psf"], "framing.total deflection": ["L/500", "L/900"],
    "mortar bed": ["there", "none"], "mortar bed.thickness": ["1-1/4 in"], "existing finish": ["there", "none"], "existing finish.material": ["vinyl"],
}  # fmt: skip
SELDOM = ("framing.dead load", "framing.total deflection", "tile.weight")  # what stands over the sums, where somebody states it


def test_a_breach_that_rests_on_a_remembered_sum_warns_in_columns_too(loaded):
    """Floors of stone on joists, whose weight is a sum with remembered densities unless somebody states it."""
    chance = Random(5)
    floors = [
        {fact: chance.choice(texts) for fact, texts in STONE_FLOOR.items() if chance.random() < (0.15 if fact in SELDOM else 0.95)}
        for _ in range(300)
    ]  # fmt: skip
    subjects = [subject_of_case(facts, "place", loaded.vocabulary, f"floor {n}", Where("a test", 1, 1)) for n, facts in enumerate(floors)]
    judged = [judgement for each in subjects for judgement in loaded.engine.judge(loaded.engine.derive(each)) if judgement.outcome == Outcome.BREACH]
    assert differences(loaded, subjects)[1] == []
    assert sum(bool(judgement.remembered) for judgement in judged) >= 20
    own = [judgement for judgement in judged if judgement.compiled.rule.name == "joists-hold-stone-with-its-weight"]
    assert {judgement.severity for judgement in own} == {"fail", "warn"}


@pytest.mark.parametrize("number", [100, pytest.param(300, marks=pytest.mark.thorough)])
def test_made_up_junctions_of_the_real_book_agree(loaded, number):
    chance = ChancePlaces(loaded, 5)
    compared, differ = differences(loaded, [chance.place(each, "junction") for each in range(number)], "junction")
    assert differ == []
    assert compared >= 10 * number


def test_columns_notice_all_of_150_planted_faults(loaded):
    chance, vocabulary = Random(150), loaded.vocabulary
    faults = [(p, kind, faulty) for p in loaded.engine.rules for kind, faulty in planted(p, vocabulary)]
    kinds = sorted({kind for _, kind, _ in faults})
    each = {kind: [fault for fault in faults if fault[1] == kind] for kind in kinds}
    missed = []
    for number in range(150):
        compiled, kind, faulty = chance.choice(each[kinds[number % len(kinds)]])
        trees = compiled.trees
        sound = bare(compiled, trees.applies, trees.requires, trees.exceptions)
        if not any(notices(loaded, sound, faulty, most) for most in (500, 4_000, 20_000)):
            missed.append((compiled.rule.name, kind))
    assert missed == []


def notices(loaded: LoadedBook, sound, faulty, most: int) -> bool:
    """Whether columns made from the fault differ from what the deciding engine says of the sound rule."""
    rows = list(boundary_rows(sound.trees.every(), loaded.vocabulary, loaded.engine.deriver.blank, most))
    return grid_outcomes(loaded, faulty, rows) != decided(sound, rows)


# -- made-up books --------------------------------------------------------------------------------------------------------------


@examples_of(small_books(wild=True), few=25, many=200)
def test_made_up_books_agree_at_half_known_places(made):
    seed, plain = made
    with TemporaryDirectory() as folder:
        loaded = plain.loaded(Path(folder))
    subjects = [subject(plain, half_known(plain, Random(f"{seed} {n}"), 10**9), loaded.vocabulary) for n in range(40)]
    assert differences(loaded, subjects)[1] == []


@pytest.mark.parametrize(("books", "least"), [(15, 3_000), pytest.param(60, 15_000, marks=pytest.mark.thorough)])
def test_the_first_made_up_books_agree_at_a_hundred_places_each(books, least):
    compared = 0
    for seed in range(books):
        plain = made_up(seed, wild=seed % 3 != 0)
        with TemporaryDirectory() as folder:
            loaded = plain.loaded(Path(folder))
        subjects = [subject(plain, half_known(plain, Random(f"{seed} {n}"), 10**9), loaded.vocabulary) for n in range(100)]
        number, differ = differences(loaded, subjects)
        assert differ == [], seed
        compared += number
    assert compared >= least


# -- what a table holds -----------------------------------------------------------------------------------------------------------


def test_a_fact_without_a_column_is_not_stated(tmp_path):
    loaded = loaded_for(tmp_path, rules={"all/deep-enough": rule(**DEEP)})
    judged = Columns(loaded.book, loaded.engine.deriver.work).judge(Places("place", pl.DataFrame({"place.kind": pl.Series([1, 2], dtype=pl.UInt8)})))
    assert judged.words()["deep-enough"].to_list() == ["open", "open"]


def test_an_amount_is_two_whole_numbers(tmp_path):
    loaded = loaded_for(tmp_path, rules={"all/deep-enough": rule(**DEEP)})
    two = 50_800_000  # nanometres in 2 in
    rows = pl.DataFrame({"place.depth:least": [two, two - 1, two - 1, NO_LEAST], "place.depth:greatest": [two, two - 1, two, NO_GREATEST]})
    judged = Columns(loaded.book, loaded.engine.deriver.work).judge(Places("place", rows))
    assert judged.words()["deep-enough"].to_list() == ["pass", "breach", "open", "open"]


def test_there_are_no_nulls(loaded):
    chance = ChancePlaces(loaded, 9)
    places = places_of(loaded.engine.deriver, [chance.place(n) for n in range(15)], "place")
    columns = Columns(loaded.book, loaded.engine.deriver.work)
    for frame in (places.rows, *places.layers.values(), columns.derive(places), columns.judge(places).outcomes):
        assert sum(frame.null_count().row(0)) == 0


def test_the_worst_layer_decides_and_a_layer_that_may_not_be_there_only_may(tmp_path):
    keys = {"requires": {"board.thickness": {"at least": "1/2 in"}}, "applies_when": {"board": "there"}}
    loaded = loaded_for(tmp_path, rules={"all/deep-enough": rule(**keys)})
    thin, thick = {"board.thickness": "3/8 in"}, {"board.thickness": "5/8 in"}
    described = [
        place(loaded, {}, [thick, thin]), place(loaded, {}, [thick, thick]),
        place(loaded, {}, [thick, thin], maybe=True), place(loaded, {}, [thick, {}]), place(loaded, {}, []),
    ]  # fmt: skip
    judged = Columns(loaded.book, loaded.engine.deriver.work).judge(places_of(loaded.engine.deriver, described, "place"))
    assert judged.words()["deep-enough"].to_list() == ["breach", "pass", "open, if", "open", "not applicable"]


def test_a_comparison_that_rules_share_is_worked_once(tmp_path):
    shared = {"place.exposure": {"at least": "damp"}, "place.depth": {"at least": "1 in"}}
    numbers = range(1, 21)
    rules = {
        f"all/rule-{n}": rule(f"rule-{n}", applies_when=shared, requires={"place.share": {"at least": f"{n} %"}})
        for n in numbers
    }
    loaded = loaded_for(tmp_path, rules=rules)
    described = [place(loaded, {"place.exposure": "damp or wet", "place.depth": "1/2 to 2 in", "place.share": "10 %"})]
    places = places_of(loaded.engine.deriver, described, "place")
    columns = Columns(loaded.book, loaded.engine.deriver.work)
    columns.judge(places)
    (compiled,) = columns._plans.values()
    comparisons = [test for test in compiled.places.pairs if not hasattr(test, "members")]
    assert len(comparisons) == 2 + len(numbers)


def test_a_question_that_no_row_answers_is_open(tmp_path):
    files = table("depth by kind", "place.depth", ["place.kind"], "place.kind,answer,known by\nshower wall,2 in,read second-hand\n", otherwise="open")
    loaded = loaded_for(
        tmp_path, schedules=files,
        rules={"all/deep-enough": rule(requires={"place.depth": {"at least": {"schedule": "depth by kind"}}})},
    )  # fmt: skip
    described = [place(loaded, {"place.kind": kind, "place.depth": "1 in"}) for kind in ("shower wall", "room wall", "shower wall or room wall")]
    judged = Columns(loaded.book, loaded.engine.deriver.work).judge(places_of(loaded.engine.deriver, described, "place"))
    assert judged.words()["deep-enough"].to_list() == ["breach", "open", "open"]


def test_a_schedule_with_more_keys_than_a_whole_number_holds_is_refused_before_any_row_is_judged(tmp_path):
    words = [f"w{n}" for n in range(40)]
    vocabulary = (
        "place: {what: The place, sort: place}\nplace.depth: {what: Depth, kind: length}\n"
        f"place.a: {{what: A, kind: word, words: {words}}}\nplace.b: {{what: B, kind: word, words: {words}}}\n"
    ).replace("'", "")
    files = table("wide", "place.depth", ["place.a", "place.b"], "place.a,place.b,answer,known by\nw0,w1,2 in,read second-hand\n", otherwise="open")
    loaded = loaded_for(
        tmp_path, vocabulary=vocabulary, schedules=files,
        rules={"all/deep-enough": rule(requires={"place.depth": {"at least": {"schedule": "wide"}}})},
    )  # fmt: skip
    with pytest.raises(NotInColumns, match="the schedule `wide` has more keys than columns can ask by"):
        Columns(loaded.book, loaded.engine.deriver.work)


def test_an_amount_beyond_any_of_the_trade_is_refused_and_named(tmp_path):
    loaded = loaded_for(tmp_path, rules={"all/deep-enough": rule(**DEEP)})
    far = place(loaded, {"place.depth": f"{10**10} in"})
    with pytest.raises(NotInColumns, match="the place depth is larger than a column holds"):
        places_of(loaded.engine.deriver, [far], "place")
