"""A table in which exactly one row answers; asked with open keys it answers with every row it could be."""

from itertools import product

import pytest
from books import LARGEST, rule, small_books, table, write_book
from described import loaded_for, outcome, place
from hypothesis import given, settings
from oracle import everything

from validator.judging.loading import LoadedBook
from validator.proving import in_schedules, unanswered_between
from validator.rulebook.reading import read_book
from validator.rulebook.schedules import NO_ROW

KEYED = """\
place: {what: The place, sort: place}
place.span: {what: Span, kind: length}
place.depth: {what: Depth, kind: length}
place.soil: {what: Soil, kind: word, words: [clay, sand, rock]}
place.finish: {what: Finish, kind: word, words: [smooth, rough, raked]}
place.marks: {what: Marks, kind: words together, words: [A, B, C]}
"""


def ready_with(folder, requires, files) -> LoadedBook:
    text = rule(requires=requires)
    return LoadedBook(read_book(write_book(folder, vocabulary=KEYED, rules={"all/deep-enough": text}, schedules=files)))


def by_soil(rows: str, **more) -> dict[str, str]:
    return table("depth", "place.depth", ["place.soil"], "place.soil,answer\n" + rows, **more)


AT_LEAST = {"place.depth": {"at least": {"schedule": "depth"}}}


@pytest.mark.parametrize(
    "soil, depth, expected",
    [
        ("clay", "2 in", "pass"), ("clay", "1 in", "breach"), ("sand", "4 in", "pass"), ("clay or sand", "4 in", "pass"),
        ("clay or sand", "3 in", "open"), ("clay or sand", "1 in", "breach"), ("not stated", "6 in", "pass"),
        ("not stated", "5 in", "open"), ("not stated", "1 in", "breach"), ("rock", "5 to 7 in", "open"),
    ],
)  # fmt: skip
def test_yes_means_against_every_row_that_could_answer(tmp_path, soil, depth, expected):
    loaded = ready_with(tmp_path, AT_LEAST, by_soil("clay,2 in\nsand,4 in\nrock,6 in\n"))
    assert outcome(loaded, place(loaded, {"place.soil": soil, "place.depth": depth})) == expected


@pytest.mark.parametrize(
    "soil, depth, expected",
    [
        ("rock", "9 in", "open"),
        ("rock", "0 in", "open"),
        ("clay or rock", "9 in", "open"),
        ("clay", "9 in", "pass"),
        ("clay", "1 in", "breach"),
    ],
)
def test_where_no_row_answers_it_is_open_and_never_yes_or_no(tmp_path, soil, depth, expected):
    loaded = ready_with(tmp_path, AT_LEAST, by_soil("clay,2 in\nsand,4 in\n", otherwise="open"))
    assert outcome(loaded, place(loaded, {"place.soil": soil, "place.depth": depth})) == expected


def test_every_row_is_open_beyond_the_table_turned_round_too(tmp_path):
    turned = {"not both": [AT_LEAST, {"place.span": {"at least": "0 in"}}]}
    loaded = ready_with(tmp_path, turned, by_soil("clay,2 in\n", otherwise="open"))
    assert outcome(loaded, place(loaded, {"place.soil": "rock", "place.depth": "9 in", "place.span": "1 in"})) == "open"


def test_is_against_rows_of_which_none_has_the_value_is_no(tmp_path):
    """Between the least and the greatest answer, but no answer."""
    loaded = ready_with(tmp_path, {"place.depth": {"is": {"schedule": "depth"}}}, by_soil("clay,2 in\nsand,4 in\nrock,6 in\n"))
    assert outcome(loaded, place(loaded, {"place.depth": "3 in"})) == "breach"
    assert outcome(loaded, place(loaded, {"place.depth": "4 in"})) == "open"


def test_a_row_answering_with_several_words_is_judged_answer_by_answer(tmp_path):
    rows = "place.soil,answer\nclay,smooth or rough\nsand,rough or raked\nrock,rough\n"
    loaded = ready_with(
        tmp_path, {"place.finish": {"one of": {"schedule": "finish"}}}, table("finish", "place.finish", ["place.soil"], rows)
    )
    assert outcome(loaded, place(loaded, {"place.finish": "rough"})) == "pass"
    assert outcome(loaded, place(loaded, {"place.finish": "smooth"})) == "open"
    assert outcome(loaded, place(loaded, {"place.finish": "smooth", "place.soil": "sand or rock"})) == "breach"


def test_a_row_answering_with_words_together(tmp_path):
    rows = 'place.soil,answer\nclay,"A, B"\nsand,B\nrock,C\n'
    loaded = ready_with(
        tmp_path, {"place.marks": {"has at least one of": {"schedule": "marks"}}},
        table("marks", "place.marks", ["place.soil"], rows),
    )  # fmt: skip
    assert outcome(loaded, place(loaded, {"place.marks": "B", "place.soil": "clay or sand"})) == "pass"
    assert outcome(loaded, place(loaded, {"place.marks": "B"})) == "open"
    assert outcome(loaded, place(loaded, {"place.marks": "A", "place.soil": "clay"})) == "pass"


SPANS = "place.span,answer\n8 ft,1 in\n10 ft,2 in\n12 ft,3 in\n"


@pytest.mark.parametrize(
    "span, depth, expected",
    [
        ("8 ft", "1 in", "pass"), ("8 ft 1 in", "1 in", "breach"), ("7 ft", "1 in", "pass"), ("10 ft", "2 in", "pass"),
        ("10 to 12 ft", "2 in", "open"), ("10 to 12 ft", "1 in", "breach"), ("12 ft", "3 in", "pass"), ("12 ft 1 in", "9 in", "open"),
    ],
)  # fmt: skip
def test_a_published_step_answers_up_to_its_own_value(tmp_path, span, depth, expected):
    files = table("depth", "place.depth", ["place.span"], SPANS, step={"next row up": "place.span"}, otherwise="open")
    loaded = ready_with(tmp_path, AT_LEAST, files)
    assert outcome(loaded, place(loaded, {"place.span": span, "place.depth": depth})) == expected


@pytest.mark.parametrize(
    "cell, inside, outside",
    [
        ("under 15 in", ["14.999 in", "0 in"], ["15 in"]),
        ("15 in and over", ["15 in", "99 in"], ["14.999 in"]),
        ("over 15 in", ["15.001 in"], ["15 in"]),
        ("up to 15 in", ["15 in"], ["15.001 in"]),
        ("8 in to under 15 in", ["8 in", "14.999 in"], ["7.999 in", "15 in"]),
        ("over 8 in to 15 in", ["8.001 in", "15 in"], ["8 in", "15.001 in"]),
        ("8 in to 15 in", ["8 in", "15 in"], ["7.999 in", "15.001 in"]),
        ("over 8 in to under 15 in", ["8.001 in", "14.999 in"], ["8 in", "15 in"]),
        ("15 in", ["15 in"], ["14.999 in", "15.001 in"]),
        ("", ["0 in", "99 in"], []),
    ],
)
def test_a_cell_of_an_amount_holds_what_it_says(tmp_path, cell, inside, outside):
    files = table("depth", "place.depth", ["place.span"], f"place.span,answer,note\n{cell},1 in,x\nall other,5 in,x\n")
    loaded = ready_with(tmp_path, AT_LEAST, files)
    for texts, expected in ((inside, "pass"), (outside, "breach")):
        for text in texts:
            assert outcome(loaded, place(loaded, {"place.span": text, "place.depth": "2 in"})) == expected, text


@settings(max_examples=60, deadline=None)
@given(small_books(wild=True))
def test_every_question_meets_the_one_row_that_the_sheet_has_for_it(made):
    _, plain = made
    loaded = loaded_for(plain)
    for name, written in plain.schedules.items():
        schedule = loaded.book.schedules[name]
        facts = [plain.facts[key] for key in written.keys]
        for values in product(*(everything(fact) for fact in facts)):
            asked = tuple(
                (value, value) if fact.kind == "amount" else 1 << fact.words.index(value) for fact, value in zip(facts, values)
            )
            hits = [
                number
                for number, (cells, _, _) in enumerate(written.rows)
                if all(
                    cell[0] <= value and (value <= cell[1] or cell[1] == LARGEST) if isinstance(cell, tuple) else value in cell
                    for cell, value in zip(cells, values)
                )
            ]
            otherwise = len(written.rows) if written.other is not None else NO_ROW
            assert schedule.rows_for(asked) == (hits[0] if hits else otherwise,)


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("clay,up to 12 in,1 in\nclay,over 12 in,2 in\nsand or rock,,2 in\n",
         "1 schedule without overlap, none of them with questions left open on purpose (`otherwise: open`)"),
        ("clay,up to 12 in,1 in\nclay,18 in to 36 in,2 in\nsand or rock,,2 in\n",
         "1 schedule without overlap, 1 of them with questions left open on purpose (`otherwise: open`)"),
    ],
)  # fmt: skip
def test_a_schedule_is_said_to_be_without_gap_only_where_it_is(tmp_path, rows, said):
    files = table("depth", "place.depth", ["place.soil", "place.span"], "place.soil,place.span,answer\n" + rows, otherwise="open")
    assert in_schedules(list(ready_with(tmp_path, AT_LEAST, files).book.schedules.values())) == said


@pytest.mark.parametrize(
    ("rows", "gaps"),
    [
        ("clay,up to 12 in\nclay,18 in to 36 in\n", 1),
        ("clay,up to 12 in\nsand,18 in to 36 in\n", 0),
        ("clay,up to 36 in\n", 0),
        ("clay,up to 12 in\nclay,over 12 in to 36 in\n", 0),
        ("clay or sand,up to 12 in\nclay or sand,18 in to 36 in\n", 2),
    ],
)
def test_a_gap_between_two_rows_is_told_though_the_heading_leaves_it_open(tmp_path, rows, gaps):
    table_rows = "place.soil,place.span,answer\n" + rows.replace("\n", ",2 in\n")
    files = table("depth", "place.depth", ["place.soil", "place.span"], table_rows, otherwise="open")
    told = list(unanswered_between(list(ready_with(tmp_path, AT_LEAST, files).book.schedules.values())))
    assert len(told) == gaps
    assert all("the schedule `depth` has no row for place.soil" in line and "more than 12 in to less than 18 in" in line for line in told)
