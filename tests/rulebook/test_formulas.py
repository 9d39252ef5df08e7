"""Small sums: every end exact, what falls between two steps rounded outwards, nothing too narrow and nothing too wide."""

from itertools import product

import pytest
from books import rule, write_book
from described import place
from hypothesis import given, settings
from hypothesis import strategies as st

from validator.facts import possible
from validator.facts.possible import Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.language.source import BadBook
from validator.rulebook.formulas import OPERATIONS, SLOPE_STEPS
from validator.rulebook.reading import read_book

INCH = 25_400_000
SLOPE = 2_882_880_000

WORKED = """\
place: {{what: The place, sort: place}}
place.depth: {{what: Depth, kind: length}}
place.width: {{what: Width, kind: length}}
place.start: {{what: Start, kind: moment}}
place.end: {{what: End, kind: moment}}
place.swing: {{what: Swing of temperature, kind: temperature difference}}
place.heat: {{what: Heat, kind: temperature}}
place.answer: {{what: Answer, kind: {kind}, worked out by: {sum}}}
"""


def worked(folder, kind, sum_, facts):
    text = rule(requires={"place.answer": "stated"})
    book = read_book(write_book(folder, vocabulary=WORKED.format(kind=kind, sum=sum_), rules={"all/deep-enough": text}))
    loaded = LoadedBook(book)
    return loaded.engine.derive(place(loaded, facts)).vector[loaded.vocabulary.slot("place.answer")]


@pytest.mark.parametrize(
    "kind, sum_, facts, least, greatest",
    [
        ("length", "{sum of: [place.depth, 1/2 in]}", {"place.depth": "1 to 2 in"}, 1.5 * INCH, 2.5 * INCH),
        ("length", "{sum of: [place.depth, place.width]}", {"place.depth": "1 in"}, None, None),
        ("length", "{less: [place.depth, place.width]}", {"place.depth": "3 to 4 in", "place.width": "1 to 2 in"}, INCH, 3 * INCH),
        ("length", "{less: [place.depth, place.width]}", {"place.depth": "3 in", "place.width": "at least 1 in"}, None, 2 * INCH),
        ("length", "{3 times: place.depth}", {"place.depth": "1/32 in"}, 3 * 793_750, 3 * 793_750),
        ("length", "{1/3 times: place.depth}", {"place.depth": "1 in"}, 8_466_666, 8_466_667),
        ("length", "{1.5 times: place.depth}", {"place.depth": "2 in"}, 3 * INCH, 3 * INCH),
        ("length", "{greatest of: [1/16 in, {3 times: place.depth}]}", {"place.depth": "1/64 in"}, 1_587_500, 1_587_500),
        ("length", "{greatest of: [1/16 in, {3 times: place.depth}]}", {}, 1_587_500, None),
        ("length", "{least of: [place.depth, place.width]}", {"place.depth": "1 in"}, None, INCH),
        ("length", "{least of: [place.depth, place.width]}", {"place.depth": "1 in", "place.width": "2 to 3 in"}, INCH, INCH),
        ("length", "{same as: [place.depth, place.width]}", {"place.depth": "1 to 3 in", "place.width": "2 to 4 in"}, 2 * INCH, 3 * INCH),
        ("length", "{same as: [place.depth, place.width]}", {"place.depth": "1 in", "place.width": "4 in"}, INCH, 4 * INCH),
        ("slope", "{rise over run: [place.depth, place.width]}", {"place.depth": "1/4 in", "place.width": "1 ft"}, SLOPE // 48, SLOPE // 48),
        ("slope", "{rise over run: [place.depth, place.width]}", {"place.depth": "1 to 2 in", "place.width": "10 to 20 in"}, SLOPE // 20, SLOPE // 5),
        ("slope", "{rise over run: [place.depth, place.width]}", {"place.depth": "1 in", "place.width": "0 to 20 in"}, None, None),
        ("slope", "{rise over run: [place.depth, place.width]}", {"place.depth": "1 in"}, None, None),
        ("duration", "{hours between: [place.start, place.end]}", {"place.start": "2026-03-01 08:00", "place.end": "2026-03-02 09:30"}, 91_800, 91_800),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 15 degF, adds: 1/16 in}}", {"place.swing": "100 degF"}, 0, 0),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 15 degF, adds: 1/16 in}}", {"place.swing": "101 degF"}, 1_587_500, 1_587_500),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 15 degF, adds: 1/16 in}}", {"place.swing": "115 to 116 degF"}, 1_587_500, 3_175_000),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 15 degF, adds: 1/16 in}}", {}, 0, None),
        ("length", "{part steps of: {what: place.heat, over: 100 degF, each: 15 degF, adds: 1/16 in}}", {"place.heat": "130 degF"}, 3_175_000, 3_175_000),
    ],
)  # fmt: skip
def test_a_sum_has_exact_ends(tmp_path, kind, sum_, facts, least, greatest):
    assert worked(tmp_path, kind, sum_, facts) == (
        NO_LEAST if least is None else least, NO_GREATEST if greatest is None else greatest
    )  # fmt: skip


PANS = """\
place: {what: The place, sort: place}
place.fall: {what: Fall, kind: slope, worked out by: {either of: [pan.fall, bed.fall]}}
pan: {what: Pan, sort: layer, when not written: ask}
pan.fall: {what: Fall of the pan, kind: slope}
bed: {what: Bed, sort: layer, when not written: ask}
bed.fall: {what: Fall of the bed, kind: slope}
"""


@pytest.mark.parametrize(
    ("pans", "beds", "least", "greatest"),
    [
        (["1/4 in per ft"], [], SLOPE // 48, SLOPE // 48),
        ([], ["1/4 in per ft"], SLOPE // 48, SLOPE // 48),
        (["1/4 in per ft"], [""], None, None),
        ([""], ["1/4 in per ft"], None, None),
        (["1/4 in per ft"], ["1/2 in per ft"], SLOPE // 48, SLOPE // 24),
        (["1/4 in per ft"], ["1/2 in per ft", "1/8 in per ft"], SLOPE // 96, SLOPE // 24),
        ([], ["1/2 in per ft", ""], None, None),
        ([], [], None, None),
    ],
)
def test_either_of_is_that_of_any_layer_that_is_there_and_a_silent_one_leaves_it_open(tmp_path, pans, beds, least, greatest):
    text = rule(requires={"place.fall": "stated"})
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=PANS, rules={"all/deep-enough": text})))
    slope = {said: possible.read(loaded.vocabulary.fact("bed.fall"), said) for said in (*pans, *beds)}
    layers = {
        thing: [Layer(thing, known={f"{thing}.fall": slope[said]} if said else {}) for said in written]
        for thing, written in (("pan", pans), ("bed", beds))
    }
    nones = {thing: Known(NONE) for thing, written in layers.items() if not written}
    found = loaded.engine.derive(Subject("a floor", "place", known=nones, layers={t: w for t, w in layers.items() if w}))
    assert found.vector[loaded.vocabulary.slot("place.fall")] == (
        NO_LEAST if least is None else least, NO_GREATEST if greatest is None else greatest
    )  # fmt: skip


@pytest.mark.parametrize(("pan", "bed", "known"), [(THERE, NONE, True), (THERE, MAYBE, True), (MAYBE, NONE, False), (MAYBE, MAYBE, False)])
def test_either_of_things_that_may_all_be_missing_is_not_known(tmp_path, pan, bed, known):
    text = rule(requires={"place.fall": "stated"})
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=PANS, rules={"all/deep-enough": text})))
    slope = possible.read(loaded.vocabulary.fact("pan.fall"), "1/4 in per ft")
    layers = {thing: [Layer(thing, known={f"{thing}.fall": slope}, presence=there)] for thing, there in (("pan", pan), ("bed", bed)) if there != NONE}
    nones = {thing: Known(NONE) for thing in ("pan", "bed") if thing not in layers}
    found = loaded.engine.derive(Subject("a floor", "place", known=nones, layers=layers)).vector[loaded.vocabulary.slot("place.fall")]
    assert found == ((SLOPE // 48, SLOPE // 48) if known else (NO_LEAST, NO_GREATEST))


def test_a_day_without_an_hour_is_a_range_of_a_day(tmp_path):
    least, greatest = worked(
        tmp_path,
        "duration",
        "{hours between: [place.start, place.end]}",
        {"place.start": "2026-03-01", "place.end": "2026-03-03"},
    )
    assert 86_400 <= least <= 86_401 and 3 * 86_400 - 1 <= greatest <= 3 * 86_400


def test_what_somebody_states_stands_before_the_sum(tmp_path):
    facts = {"place.depth": "1 in", "place.answer": "9 in"}
    assert worked(tmp_path, "length", "{2 times: place.depth}", facts) == (9 * INCH, 9 * INCH)


SPAN = st.tuples(st.integers(-9, 9), st.integers(-9, 9)).map(lambda pair: (min(pair), max(pair)))
EXACT = {"sum of": lambda a, b: a + b, "less": lambda a, b: a - b, "greatest of": max, "least of": min}


@pytest.mark.parametrize("how", list(EXACT))
@settings(max_examples=60, deadline=None)
@given(SPAN, SPAN)
def test_a_sum_is_neither_too_narrow_nor_too_wide(how, first, second):
    came = [EXACT[how](a, b) for a, b in product(range(first[0], first[1] + 1), range(second[0], second[1] + 1))]
    assert OPERATIONS[how]([first, second]) == (min(came), max(came))


@settings(max_examples=100, deadline=None)
@given(SPAN, st.tuples(st.integers(1, 9), st.integers(1, 9)).map(lambda pair: (min(pair), max(pair))))
def test_rise_over_run_holds_every_slope_and_rounds_outwards(rise, run):
    least, greatest = OPERATIONS["rise over run"]([rise, run])
    came = [a * SLOPE_STEPS / b for a, b in product(range(rise[0], rise[1] + 1), range(run[0], run[1] + 1))]
    assert least <= min(came) < least + 1 and greatest - 1 < max(came) <= greatest


@pytest.mark.parametrize(
    "kind, sum_, said",
    [
        ("length", "{twice: place.depth}", "`twice` is not an operation of a small sum"),
        ("length", "{1/0 times: place.depth}", "`1/0` is not a number of times"),
        ("length", "{1.2.3 times: place.depth}", "`1.2.3` is not a number of times"),
        ("length", "{sum of: [place.depth]}", "`sum of` takes two or more parts"),
        ("length", "{less: [place.depth, place.width, 1 in]}", "`less` takes two parts"),
        ("slope", "{sum of: [place.depth, place.width]}", "`place.answer` is a slope and this sum a length"),
        ("length", "{sum of: [place.depth, place.start]}", "`sum of` joins a length with another kind"),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 15 degF}}", "`part steps of` takes what, over, each, adds"),
        ("length", "{part steps of: {what: place.swing, over: 100 degF, each: 0 degF, adds: 1 in}}",
         "over, each and adds are exact amounts, and a step is more than nothing"),
        ("length", "{part steps of: {what: place.swing, over: 90 to 100 degF, each: 15 degF, adds: 1 in}}",
         "over, each and adds are exact amounts, and a step is more than nothing"),
    ],
)  # fmt: skip
def test_a_bad_sum_is_refused_in_words(tmp_path, kind, sum_, said):
    with pytest.raises(BadBook) as refused:
        worked(tmp_path, kind, sum_, {})
    assert [c.what for c in refused.value.complaints] == [said]
