"""What is stated, what contradicts, what varies, what is true together, and what counts as exactly on a limit."""

import pytest
from books import SEEN, consequence, rule, table, write_book
from described import outcome, place

from validator.assembly import Assembly
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Disagreement
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.rulebook.reading import read_book

SPOKEN = """\
place: {what: The place, sort: place}
place.depth: {what: Depth, kind: length}
place.width: {what: Width, kind: length}
place.fall: {what: Fall, kind: slope}
place.offset: {what: Offset, kind: proportion}
place.double: {what: Twice the depth, kind: length, worked out by: {2 times: place.depth}}
place.exposure: {what: Exposure, kind: word, words: [dry, damp, wet], order: yes, concluded: greatest holds, otherwise: dry, stated: yes}
place.lined: {what: Lined, kind: yes or no, concluded: flag, stated: yes}
place.soil: {what: Soil, kind: word, words: [clay, sand, rock]}
place.marks: {what: Marks, kind: words together, words: [A, B, C], gives: {B: {also: A, source: a test}}}
place.kept marks: {what: Kept marks, kind: words together, words: [A, B, C], concluded: words, stated: yes, gives: {B: {also: A, source: a test}}}
board: {what: Board, sort: layer, body: yes}
board.thickness: {what: Thickness, kind: length}
"""


def ready_with(folder, requires, *, consequences=None, limits="", schedules=None, **keys) -> LoadedBook:
    text = rule(requires=requires, **keys)
    return LoadedBook(
        read_book(
            write_book(
                folder,
                vocabulary=SPOKEN,
                rules={"all/deep-enough": text},
                consequences=consequences,
                limits=limits,
                schedules=schedules,
            )  # fmt: skip
        )
    )


# -- stated ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said, expected",
    [
        ("2 in", "pass"), ("1 to 40 in", "pass"), ("varies 1 to 2 in", "pass"), ("not stated", "open"),
        ("probably 2 in", "open"), ("assumed 2 in", "open"), ("?", "open"),
    ],
)  # fmt: skip
def test_stated_reads_the_statement_and_not_its_range(tmp_path, said, expected):
    assert outcome(ready_with(tmp_path, {"place.depth": "stated"}), place_of(tmp_path, said)) == expected


def place_of(folder, depth):
    return place(ready_with(folder / "again", {"place.depth": "stated"}), {"place.depth": depth})


def test_what_is_worked_out_from_statements_only_is_stated(tmp_path):
    loaded = ready_with(tmp_path, {"place.double": "stated"})
    assert outcome(loaded, place(loaded, {"place.depth": "1 in"})) == "pass"
    assert outcome(loaded, place(loaded, {})) == "open"


def test_what_is_concluded_is_not_stated(tmp_path):
    deep = {"deep-is-lined": consequence("deep-is-lined", {"place.depth": {"at least": "1 in"}}, {"place.lined": "yes"})}
    loaded = ready_with(tmp_path, {"place.lined": "stated"}, consequences=deep)
    assert outcome(loaded, place(loaded, {"place.depth": "2 in"})) == "open"


# -- contradictions -------------------------------------------------------------------------------------------------------------

CLAY = {"deep-is-clay": consequence("deep-is-clay", {"place.depth": {"at least": "1 in"}}, {"place.soil": "clay"})}


def test_two_that_disagree_leave_any_of_what_was_said(tmp_path):
    loaded = ready_with(tmp_path, {"place.soil": "sand"}, consequences=CLAY)
    described = place(loaded, {"place.depth": "2 in", "place.soil": "sand"})
    found = loaded.engine.derive(described)
    assert found.vector[loaded.vocabulary.slot("place.soil")] == 0b011  # clay or sand
    assert [d.fact for d in found.disagreements] == ["place.soil"]
    assert outcome(loaded, described) == "open"


def test_what_is_contradicted_is_not_stated(tmp_path):
    loaded = ready_with(tmp_path, {"place.soil": "stated"}, consequences=CLAY)
    assert outcome(loaded, place(loaded, {"place.depth": "2 in", "place.soil": "sand"})) == "open"
    assert outcome(loaded, place(loaded, {"place.depth": "2 in", "place.soil": "clay"})) == "pass"


def test_three_that_leave_nothing_together_leave_any_of_the_three(tmp_path):
    deep = {"place.depth": {"at least": "1 in"}}
    three = {name: consequence(name, deep, {"place.soil": words}) for name, words in
             {"a": ["clay", "sand"], "b": ["sand", "rock"], "c": ["clay", "rock"]}.items()}  # fmt: skip
    loaded = ready_with(tmp_path, {"place.soil": "sand"}, consequences=three)
    found = loaded.engine.derive(place(loaded, {"place.depth": "2 in", "place.soil": "sand"}))
    assert found.vector[loaded.vocabulary.slot("place.soil")] == 0b111


@pytest.mark.parametrize("severity, expected", [("fail", "fail"), ("warn", "warn"), ("advice", "warn")])
def test_a_disagreement_is_never_a_clean_pass(tmp_path, severity, expected):
    loaded = ready_with(tmp_path, {"place.soil": ["sand", "clay"]}, consequences=CLAY, severity=severity)
    described = place(loaded, {"place.depth": "2 in", "place.soil": "sand"})
    report = check(Assembly("a place", (described,)), loaded)
    assert report.outcome == f"at least pass, open up to {expected}"
    assert [f.rule for f in report.findings if f.outcome == "open"] == ["said-two-ways"]


def test_a_fact_that_contradicts_its_card_never_passes_anything_that_hangs_on_it(tmp_path):
    loaded = ready_with(tmp_path, {"place.depth": {"at least": "2 in"}})
    described = place(loaded, {})
    described.known["place.depth"] = Known((25_400_000, 76_200_000), "said two ways")  # the card 1 in, the person 3 in
    described.disagreements.append(Disagreement("place.depth", (("card", "1 in"), ("stated", "3 in")), "a place"))
    report = check(Assembly("a place", (described,)), loaded)
    assert report.outcome == "at least pass, open up to fail"
    assert not [f for f in report.findings if f.outcome == "pass"]


def test_a_stated_word_never_lowers_a_ladder(tmp_path):
    damp = {"deep-is-damp": consequence("deep-is-damp", {"place.depth": {"at least": "1 in"}}, {"place.exposure": "damp"})}
    loaded = ready_with(tmp_path, {"place.exposure": {"at most": "damp"}}, consequences=damp)
    deep = {"place.depth": "2 in"}
    assert outcome(loaded, place(loaded, deep)) == "pass"
    assert slot(loaded, place(loaded, deep | {"place.exposure": "wet"}), "place.exposure") != 0b001


def slot(loaded, described, name):
    return loaded.engine.derive(described).vector[loaded.vocabulary.slot(name)]


@pytest.mark.parametrize(
    "said, mask, disagrees",
    [("dry", 0b011, True), ("damp", 0b010, False), ("wet", 0b100, False), ("dry or damp", 0b010, False), (None, 0b010, False)],
)
def test_a_ladder_that_is_also_stated(tmp_path, said, mask, disagrees):
    damp = {"deep-is-damp": consequence("deep-is-damp", {"place.depth": {"at least": "1 in"}}, {"place.exposure": "damp"})}
    loaded = ready_with(tmp_path, {"place.exposure": {"at most": "damp"}}, consequences=damp)
    described = place(loaded, {"place.depth": "2 in"})
    if said:
        words = sum(1 << ["dry", "damp", "wet"].index(word) for word in said.split(" or "))
        described.known["place.exposure"] = Known(words, STATED, said)
    found = loaded.engine.derive(described)
    assert found.vector[loaded.vocabulary.slot("place.exposure")] == mask
    assert bool(found.disagreements) == disagrees


@pytest.mark.parametrize(
    "depth, said, mask, disagrees",
    [
        ("2 in", None, 0b10, False), ("2 in", "yes", 0b10, False), ("2 in", "no", 0b11, True), ("1/2 in", None, 0b01, False),
        ("1/2 in", "yes", 0b10, False), ("1/2 in", "no", 0b01, False), ("1/2 to 2 in", None, 0b11, False),
    ],
)  # fmt: skip
def test_a_flag_that_is_also_stated(tmp_path, depth, said, mask, disagrees):
    deep = {"deep-is-lined": consequence("deep-is-lined", {"place.depth": {"at least": "1 in"}}, {"place.lined": "yes"})}
    loaded = ready_with(tmp_path, {"place.lined": "yes"}, consequences=deep)
    described = place(loaded, {"place.depth": depth})
    if said:
        described.known["place.lined"] = Known({"no": 1, "yes": 2}[said], STATED, said)
    found = loaded.engine.derive(described)
    assert found.vector[loaded.vocabulary.slot("place.lined")] == mask
    assert bool(found.disagreements) == disagrees


# -- words together -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "said, compare, words, expected",
    [
        ("A", "has", "A", "pass"), ("A", "has", "B", "open"), ("B", "has", "A", "pass"), ("C", "has", "A", "open"),
        ("A and C", "has all of", ["A", "C"], "pass"), ("A", "has all of", ["A", "C"], "open"),
        ("C", "has at least one of", ["A", "C"], "pass"), ("A", "has at least one of", ["B", "C"], "open"),
        ("B", "has none of", ["A"], "breach"), ("C", "has none of", ["A"], "open"), ("A or B", "has", "A", "pass"),
        ("A or C", "has", "A", "open"), ("not stated", "has", "A", "open"),
    ],
)  # fmt: skip
def test_a_person_s_list_of_words_together_is_at_least_these(tmp_path, said, compare, words, expected):
    loaded = ready_with(tmp_path, {"place.marks": {compare: words}})
    assert outcome(loaded, place(loaded, {"place.marks": said})) == expected


def test_words_that_consequences_give_bring_the_words_they_give(tmp_path):
    follows = {"deep": consequence("deep", {"place.depth": {"at least": "1 in"}}, {"place.kept marks": "B"})}
    loaded = ready_with(tmp_path, {"place.kept marks": {"has": "A"}}, consequences=follows)
    assert outcome(loaded, place(loaded, {"place.depth": "2 in"})) == "pass"
    assert outcome(loaded, place(loaded, {"place.depth": "1/2 in"})) == "breach"
    assert outcome(loaded, place(loaded, {})) == "open"


def test_a_consequence_may_add_to_words_together_that_people_state(tmp_path):
    follows = {"deep": consequence("deep", {"place.depth": {"at least": "1 in"}}, {"place.marks": "B"})}
    loaded = ready_with(tmp_path, {"place.marks": {"has": "A"}}, consequences=follows)
    assert outcome(loaded, place(loaded, {"place.depth": "2 in", "place.marks": "C"})) == "pass"
    assert outcome(loaded, place(loaded, {"place.depth": "1/2 in", "place.marks": "C"})) == "open"


# -- what varies ----------------------------------------------------------------------------------------------------------------

BAND = {"any of": [{"place.depth": {"at most": "1 in"}}, {"place.depth": {"at least": "2 in"}}]}


@pytest.mark.parametrize(
    "said, expected",
    [
        ("varies 1/2 to 3 in", "breach"),  # both ends are good, the middle is not
        ("varies 1/2 to 1 in", "pass"), ("varies 2 to 3 in", "pass"), ("varies 1 to 1-1/8 in", "breach"), ("1/2 to 3 in", "open"),
    ],
)  # fmt: skip
def test_what_varies_is_judged_between_its_ends_too(tmp_path, said, expected):
    loaded = ready_with(tmp_path, BAND)
    assert outcome(loaded, place(loaded, {"place.depth": said})) == expected


def test_what_varies_across_the_rows_of_a_schedule_meets_every_row(tmp_path):
    rows = "place.depth,answer\nunder 1 in,1 in\n1 in to under 2 in,9 in\n2 in and over,1 in\n"
    loaded = ready_with(
        tmp_path, {"place.width": {"at least": {"schedule": "width"}}},
        schedules=table("width", "place.width", ["place.depth"], rows),
    )  # fmt: skip
    assert outcome(loaded, place(loaded, {"place.width": "2 in", "place.depth": "varies 1/2 to 3 in"})) == "breach"
    assert outcome(loaded, place(loaded, {"place.width": "9 in", "place.depth": "varies 1/2 to 3 in"})) == "pass"


def test_what_varies_across_a_consequence_meets_both_its_sides(tmp_path):
    middle = {"place.depth": {"more than": "1 in", "less than": "2 in"}}
    follows = {"middle": consequence("middle", middle, {"place.lined": "yes"})}
    loaded = ready_with(tmp_path, {"place.lined": "no"}, consequences=follows)
    assert outcome(loaded, place(loaded, {"place.depth": "varies 1/2 to 3 in"})) == "breach"
    assert outcome(loaded, place(loaded, {"place.depth": "varies 2 to 3 in"})) == "pass"


def test_what_varies_into_a_contradiction_is_said_two_ways(tmp_path):
    loaded = ready_with(tmp_path, {"place.soil": ["sand", "clay"], "place.depth": {"at least": "3/4 in"}}, consequences=CLAY)
    described = place(loaded, {"place.depth": "varies 1/2 to 2 in", "place.soil": "sand"})
    report = check(Assembly("a place", (described,)), loaded)
    assert [f.rule for f in report.findings] == ["deep-enough", "said-two-ways"]


def test_a_bad_stretch_seen_only_through_a_sum_is_not_passed_over(tmp_path):
    holed = {"any of": [{"place.double": {"at most": "2 in"}}, {"place.double": {"at least": "4 in"}}]}
    loaded = ready_with(tmp_path, holed)
    assert outcome(loaded, place(loaded, {"place.depth": "varies 1/2 to 3 in"})) in ("open", "breach")
    assert outcome(loaded, place(loaded, {"place.depth": "varies 2 to 3 in"})) == "pass"


def test_two_boards_that_vary_keep_each_its_own_range(tmp_path):
    loaded = ready_with(tmp_path, {"board.thickness": {"at least": "1 in"}}, for_each="board")
    thin_and_thick = [{"board.thickness": "varies 1/2 to 3/4 in"}, {"board.thickness": "varies 2 to 3 in"}]
    assert outcome(loaded, place(loaded, {}, thin_and_thick)) == "breach"
    assert outcome(loaded, place(loaded, {}, thin_and_thick[::-1])) == "breach"
    assert outcome(loaded, place(loaded, {}, [thin_and_thick[1]] * 2)) == "pass"


# -- exactly on a limit ---------------------------------------------------------------------------------------------------------

THIRD = f'{{"most offset": {{"kind": "proportion", "value": "33 %", "printed also": ["1/3"], "source": {str(SEEN).replace(chr(39), chr(34))}}}}}'
SLOPE = f'{{"least fall": {{"kind": "slope", "value": "1:48", "printed also": ["2 %"], "source": {str(SEEN).replace(chr(39), chr(34))}}}}}'


@pytest.mark.parametrize(
    "said, expected",
    [
        ("33 %", "pass"),
        ("1/3", "pass"),
        ("33.2 %", "pass"),
        ("33.4 %", "breach"),
        ("34 %", "breach"),
        ("1/2", "breach"),
        ("0 %", "pass"),
    ],
)
def test_a_third_meets_a_limit_of_33_percent_whose_source_prints_both(tmp_path, said, expected):
    loaded = ready_with(tmp_path, {"place.offset": {"at most": {"limit": "most offset"}}}, limits=THIRD)
    assert outcome(loaded, place(loaded, {"place.offset": said})) == expected


@pytest.mark.parametrize(
    "said, expected", [("1:48", "pass"), ("2 %", "pass"), ("2.05 %", "pass"), ("1.99 %", "breach"), ("1:51", "breach")]
)
def test_everything_between_two_printed_values_is_on_the_limit(tmp_path, said, expected):
    loaded = ready_with(tmp_path, {"place.fall": {"at least": {"limit": "least fall"}}}, limits=SLOPE)
    assert outcome(loaded, place(loaded, {"place.fall": said})) == expected


@pytest.mark.parametrize("said, expected", [("33 %", "pass"), ("1/3", "breach"), ("33.01 %", "breach")])
def test_nothing_is_tolerated_that_the_source_does_not_print(tmp_path, said, expected):
    loaded = ready_with(tmp_path, {"place.offset": {"at most": "33 %"}})
    assert outcome(loaded, place(loaded, {"place.offset": said})) == expected


# -- severity -------------------------------------------------------------------------------------------------------------------

MIXED = "place.soil,answer,known by\nclay,2 in,read second-hand\nsand,2 in,remembered\nrock,1 in,remembered\n"


@pytest.mark.parametrize(
    "soil, depth, expected",
    [
        ("clay", "1 in", "fail"),
        ("sand", "1 in", "warn"),
        ("clay or sand", "1 in", "at least warn, open up to fail"),
        ("clay", "1 to 3 in", "at least pass, open up to fail"),
        ("sand", "1 to 3 in", "at least pass, open up to warn"),
        ("clay or sand", "1 to 3 in", "at least pass, open up to fail"),
        ("rock or sand", "1 to 3 in", "at least pass, open up to warn"),
        ("clay or sand", "2 in", "pass"),
    ],
)
def test_a_remembered_row_warns_and_rows_of_both_kinds_may_fail(tmp_path, soil, depth, expected):
    loaded = ready_with(
        tmp_path, {"place.depth": {"at least": {"schedule": "depth"}}},
        schedules=table("depth", "place.depth", ["place.soil"], MIXED),
    )  # fmt: skip
    described = place(loaded, {"place.soil": soil, "place.depth": depth})
    assert check(Assembly("a place", (described,)), loaded).outcome == expected


def test_a_remembered_row_that_is_met_softens_nothing_else(tmp_path):
    loaded = ready_with(
        tmp_path, {"place.depth": {"at least": {"schedule": "depth"}}, "place.width": {"at least": "1 in"}},
        schedules=table("depth", "place.depth", ["place.soil"], MIXED),
    )  # fmt: skip
    described = place(loaded, {"place.soil": "sand", "place.depth": "3 in", "place.width": "1/2 in"})
    assert check(Assembly("a place", (described,)), loaded).outcome == "fail"
