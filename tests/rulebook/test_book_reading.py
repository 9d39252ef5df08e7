"""A bad book is refused before it judges anything: where, what is wrong in the author's words, what would be accepted."""

import json

import pytest
from books import SEEN, consequence, rule, table, write_book

from validator.judging.loading import LoadedBook
from validator.language.source import BadBook
from validator.rulebook.reading import read_book

OLD_HANDS = {"from": "old hands", "known by": "practice"}
LIMIT = {"kind": "length", "value": "2 in", "source": SEEN}


def complaints_of(folder, **book) -> list[str]:
    """What is said of a book, without the names of its files."""
    with pytest.raises(BadBook) as refused:
        LoadedBook(read_book(write_book(folder, **book)))
    return [f"{c.what}. Accepted: {c.accepted}" if c.accepted else c.what for c in refused.value.complaints]


def only_rule(**keys) -> dict[str, str]:
    return {"all/deep-enough": rule(**keys)}


def test_a_sound_book_is_read(tmp_path):
    book = read_book(write_book(tmp_path, rules=only_rule(), limits=json.dumps({"deep": LIMIT})))
    assert list(book.rules) == ["deep-enough"]
    assert book.limits["deep"].least == book.limits["deep"].greatest == 50_800_000


COMPARED = "is, is not, at least, at most, more than, less than"


@pytest.mark.parametrize(
    "keys, said",
    [
        (
            {"requires": {"place.depth": {"at leest": "2 in"}}},
            f"`at leest` is not a comparison for place.depth. Accepted: did you mean `at least`? {COMPARED}",
        ),
        (
            {"requires": {"place.dephth": {"at least": "2 in"}}},
            "`place.dephth` is no fact of the vocabulary. Accepted: did you mean `place.depth`?",
        ),
        ({"requires": {"place.depth": {"at least": "2"}}}, "`2` says no unit. Accepted: 2 in or 2 mm"),
        (
            {"requires": {"place.depth": {"at least": "1 to 2 in"}}},
            "`1 to 2 in` is a range; a rule is compared with one amount. "
            "Accepted: two comparisons: `{at least: ..., at most: ...}`",
        ),
        (
            {"requires": {"place.depth": {"at least": "1/3 in"}}},
            "`1/3 in` falls between two steps of length. Accepted: a value that lies on the step",
        ),
        (
            {"requires": {"place.depth": {"at least": "not stated"}}},
            "`not stated` says no amount. Accepted: one amount with its unit",
        ),
        ({"requires": {"place.depth": {}}}, f"`place.depth` is compared with nothing. Accepted: {COMPARED}"),
        (
            {"requires": {"place.depth": {"at least": {"fact": "place.depth"}}}},
            "`place.depth` is compared with itself. Accepted: another fact, a value, a limit",
        ),
        (
            {"requires": {"place.depth": {"at least": {"fact": "place.fall"}}}},
            "`place.fall` is a slope and `place.depth` a length. Accepted: two facts of one kind",
        ),
        (
            {"requires": {"place.depth": {"at least": {"limmit": "deep"}}}},
            "`place.depth` is compared with something that is not understood. "
            "Accepted: a value, {fact: another}, {limit: name} or {schedule: name}",
        ),
        (
            {"requires": {"board.material": "none"}},
            "`none` is not a word for material of the board. Accepted: foam, cement",
        ),
        (
            {"requires": {"board.material": "foan"}},
            "`foan` is not a word for material of the board. Accepted: did you mean `foam`? foam, cement",
        ),
        ({"requires": {"tape": "yes"}}, "`tape` is a thing: it is there or it is not. Accepted: there, none"),
        (
            {"requires": {"place.marks": {"is": "A"}}},
            "`is` is not a comparison for place.marks. Accepted: has, has at least one of, has all of, has none of",
        ),
        (
            {"requires": {"board.material": {"at least": "foam"}}},
            "`at least` is not a comparison for board.material. Accepted: is, is not, one of, none of",
        ),
        (
            {"requires": {"any of": [{"place.depth": "2 in"}]}},
            "`any of` has 1 members. Accepted: two or more",
        ),
        (
            {"requires": {"not both": [{"place.depth": "2 in"}, {"place.depth": "3 in"}, {"place.depth": "4 in"}]}},
            "`not both` has 3 members. Accepted: exactly two",
        ),
        ({"requires": ""}, "`deep-enough` requires nothing. Accepted: `requires:` with what must be so"),
        (
            {"applies_when": {"place.depth": "stated"}},
            "whether `place.depth` is stated is asked where it could switch the rule off. "
            "Accepted: `stated` only in `requires` or `except when`, and not inside `not both`",
        ),
        (
            {"requires": {"not both": [{"place.depth": "stated"}, {"place.fall": "1:48"}]}},
            "whether `place.depth` is stated is asked where it could switch the rule off. "
            "Accepted: `stated` only in `requires` or `except when`, and not inside `not both`",
        ),
        (
            {"requires": {"tape.width": {"at least": "2 in"}, "seam.width": {"at least": "2 in"}}},
            "`requires` names tape and seam: two things, two rules. "
            "Accepted: one thing, or things that `applies when` already names",
        ),
        (
            {"sources": [OLD_HANDS]},
            "`deep-enough` would fail on a source that is only remembered or trade practice. "
            "Accepted: `severity: warn`, or a source with `known by:` computed, derived, read myself, read second-hand",
        ),
        (
            {"sources": [{"from": "big code", "known by": "remembered"}]},
            "`deep-enough` would fail on a source that is only remembered or trade practice. "
            "Accepted: `severity: warn`, or a source with `known by:` computed, derived, read myself, read second-hand",
        ),
        (
            {"sources": [{"from": "bigg code", "known by": "read second-hand"}], "severity": "warn"},
            "`bigg code` is no source of sources.yaml. Accepted: did you mean `big code`?",
        ),
        (
            {"sources": [{"from": "big code", "known by": "hearsay"}], "severity": "warn"},
            "known by cannot be `hearsay`. Accepted: read myself, read second-hand, sales literature, computed, derived, remembered, practice",
        ),
        ({"severity": "void"}, "severity cannot be `void`. Accepted: advice, warn, fail"),
        ({"for_each": "bored"}, "`bored` is no thing of the vocabulary"),
        (
            {"rule": "deep"},
            "the rule is called `deep` in a file called deep-enough.yaml. "
            "Accepted: `rule: deep-enough`: the file's name is its name",
        ),
        ({"because": None}, "a rule lacks `because`. Accepted: a line `because: ...`"),
        ({"except_when": {"when": {}}}, "`except when` holds a list. Accepted: - when: {...}\n  because: ...\n  source: {...}"),
        (
            {"cases": {"each": [{"name": "a", "with": {"place.depht": "1 in"}, "expect": "pass"}]}},
            "`place.depht` is no fact of the vocabulary. Accepted: did you mean `place.depth`?",
        ),
        (
            {"cases": {"each": [{"name": "a", "expect": "passes"}]}},
            "expect cannot be `passes`. Accepted: did you mean `pass`? pass, warn, fail, advice, open, not applicable, nothing, waits",
        ),
        (
            {"requires": {"place.depth": {"at least": {"limit": "deap"}}}},
            "there is no limit `deap` in this book. Accepted: did you mean `deep`?",
        ),
        (
            {"requires": {"place.fall": {"at least": {"limit": "deep"}}}},
            "the limit `deep` is a length, and `place.fall` a slope. Accepted: two of one kind and the same words",
        ),
        (
            {"requires": {"place.depth": {"at least": {"limit": "heard of"}}}},
            "the limit `heard of` is only remembered or trade practice, and may warn. "
            "Accepted: `severity: warn`, or a limit whose source was read",
        ),
    ],
)  # fmt: skip
def test_a_bad_rule_is_refused_in_words(tmp_path, keys, said):
    limits = json.dumps({"deep": LIMIT, "heard of": {**LIMIT, "source": OLD_HANDS}})
    written = rule(**keys)
    if "rule" in keys:
        written = written.replace('"rule": "deep-enough"', '"rule": "deep"')
    assert complaints_of(tmp_path, rules={"all/deep-enough": written}, limits=limits) == [said]


@pytest.mark.parametrize("written", ["our deep limit", "our deap limit"])
def test_a_limit_named_in_place_of_a_value_is_shown_how_it_is_named(tmp_path, written):
    rules = only_rule(requires={"place.depth": {"at least": written}})
    assert complaints_of(tmp_path, rules=rules, limits=json.dumps({"our deep limit": LIMIT})) == [
        f"`{written}` gives no number. Accepted: {{limit: our deep limit}}"
    ]


def test_a_schedule_named_in_place_of_a_value_is_shown_how_it_is_named(tmp_path):
    rules, rows = only_rule(requires={"place.depth": {"at least": "depth by kind"}}), "place.kind,answer\nany,2 in\n"
    files = table("depth by kind", "place.depth", ["place.kind"], rows)
    assert complaints_of(tmp_path, rules=rules, schedules=files) == [
        "`depth by kind` gives no number. Accepted: {schedule: depth by kind}"
    ]


def test_a_limit_without_its_unit_is_said_to_have_none(tmp_path):
    limits = json.dumps({"deep": {**LIMIT, "value": "14"}})
    assert complaints_of(tmp_path, rules=only_rule(), limits=limits) == ["`14` says no unit. Accepted: 14 in or 14 mm"]


@pytest.mark.parametrize("cell", ["more than 15 in", "at least 15 in", ">15 in", "< 15 in"])
def test_a_sheet_of_rows_is_told_its_own_words_for_a_range(tmp_path, cell):
    files = table("depth", "place.depth", ["place.depth"], f"place.depth,answer\n{cell},2 in\n")
    assert complaints_of(tmp_path, rules=only_rule(), schedules=files) == [
        f"`{cell}` is not how a sheet of rows says a range. "
        "Accepted: over 15 in, 15 in and over, under 15 in, up to 15 in, or `8 in to under 15 in`"
    ]


def test_an_unknown_key_of_a_rule_is_refused_with_the_nearest(tmp_path):
    written = rule().replace('"because"', '"becuase": "x", "because"')
    [said] = complaints_of(tmp_path, rules={"all/deep-enough": written})
    assert said.startswith(
        "`becuase` is not a key of a rule. Accepted: did you mean `because`? rule, title, severity, for each,"
    )


def split(name: str, compare: str, at: str, **keys) -> dict[str, str]:
    applies = {"place.exposure": "wet", "tape.width": {compare: at}}
    return {f"all/{name}": rule(name, applies_when=applies, **keys)}


def test_two_rules_that_differ_only_in_the_side_of_a_threshold_are_refused(tmp_path):
    sides = split("narrow", "less than", "15 in") | split(
        "wide", "at least", "15 in", requires={"place.depth": {"at least": "3 in"}}
    )
    assert complaints_of(tmp_path, rules=sides) == [
        "`wide` and `narrow` require the same of the two sides of one threshold of `tape.width`. Accepted: one rule against a schedule"
    ]


@pytest.mark.parametrize(
    "other",
    [
        split("wide", "at least", "16 in"),
        split("wide", "at least", "15 in", requires={"place.share": {"at least": "3 %"}}),
        {"all/wide": rule("wide", applies_when={"place.exposure": "dry", "tape.width": {"at least": "15 in"}})},
    ],
)
def test_one_threshold_may_rightly_part_rules_about_different_facts(tmp_path, other):
    assert len(read_book(write_book(tmp_path, rules=split("narrow", "less than", "15 in") | other)).rules) == 2


def test_every_complaint_of_a_book_is_given_at_once(tmp_path):
    rules = {"all/one": rule("one", severity="bad"), "all/two": rule("two", requires={"place.deep": "1 in"})}
    assert len(complaints_of(tmp_path, rules=rules)) == 2


def test_a_complaint_says_where(tmp_path):
    folder = write_book(tmp_path, rules=only_rule(requires={"place.depth": {"at leest": "2 in"}}))
    with pytest.raises(BadBook) as refused:
        read_book(folder)
    [complaint] = refused.value.complaints
    assert complaint.where.file.endswith("all/deep-enough.yaml")
    line = (folder / "all" / "deep-enough.yaml").read_text().splitlines()[complaint.where.line - 1]
    assert line[complaint.where.column - 1 :].startswith('"at leest"')


def test_one_name_in_two_chapters_is_refused(tmp_path):
    [said] = complaints_of(tmp_path, rules={"first/deep-enough": rule(), "second/deep-enough": rule()})
    assert said.startswith("a rule `deep-enough` stands in ")


def test_a_folder_without_a_book_is_refused(tmp_path):
    with pytest.raises(BadBook) as refused:
        read_book(tmp_path)
    assert str(refused.value) == f"{tmp_path}:1:1: there is no book in {tmp_path}. Accepted: a folder that holds book.yaml"


# -- limits ---------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "limit, said",
    [
        ({"kind": "length", "source": SEEN}, "the limit `deep` has no value. Accepted: `value: 5/8 in`"),
        (
            {"kind": "length", "value": "1/3 in", "source": SEEN},
            "`1/3 in` falls between two steps of length. Accepted: a value that lies on the step",
        ),
        (
            {"kind": "length", "value": "1 to 2 in", "source": SEEN},
            "`1 to 2 in` is a range; a rule is compared with one amount. "
            "Accepted: two comparisons: `{at least: ..., at most: ...}`",
        ),
        ({"kind": "length", "value": "1 in"}, "`deep` names no source. Accepted: `source: {from: ..., known by: read second-hand}`"),
        (
            {"kind": "length", "by": "place.depth", "values": {"foam": "1 in"}, "source": SEEN},
            "a limit changes by a fact that is a word. Accepted: job.code family",
        ),
        (
            {"kind": "length", "by": "place.exposure", "values": {"dry": "1 in", "damp": "2 in"}, "source": SEEN},
            "no row answers for place.exposure wet. "
            "Accepted: a row for it, a last row `all other`, or `otherwise: open` in the heading",
        ),
    ],
)
def test_a_bad_limit_is_refused_in_words(tmp_path, limit, said):
    assert complaints_of(tmp_path, limits=json.dumps({"deep": limit})) == [said]


# -- schedules ------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "keys, rows, said",
    [
        (
            ["place.exposure"], "place.exposure,answer\ndry,1 in\ndamp,2 in\n",
            "no row answers for place.exposure wet. "
            "Accepted: a row for it, a last row `all other`, or `otherwise: open` in the heading",
        ),
        (
            ["place.exposure"], "place.exposure,answer\ndry or damp,1 in\ndamp or wet,2 in\n",
            "rows on lines 2 and 3 both answer for place.exposure damp. Accepted: rows that do not overlap",
        ),
        (
            ["place.width"], "place.width,answer\nunder 15 in,1 in\nover 15 in,2 in\n",
            "`place.width` is no fact of the vocabulary. Accepted: did you mean `place.depth`?",
        ),
        (
            ["tape.width"], "tape.width,answer\nunder 15 in,1 in\nover 15 in,2 in\n",
            "no row answers for tape.width 15 in (381 mm). "
            "Accepted: a row for it, a last row `all other`, or `otherwise: open` in the heading",
        ),
        (
            ["tape.width"], "tape.width,answer\nup to 15 in,1 in\n15 in and over,2 in\n",
            "rows on lines 2 and 3 both answer for tape.width 15 in (381 mm). Accepted: rows that do not overlap",
        ),
        (
            ["tape.width"], "tape.width,answer\nunder 8 in,1 in\n15 in to 8 in,2 in\n8 in and over,1 in\n",
            "nothing lies in `15 in to 8 in`. Accepted: the lesser amount first",
        ),
        (
            ["place.exposure"], "place.exposure,answer\ndry,1 in\ndampish,2 in\nwet,1 in\ndamp,1 in\n",
            "`dampish` is not a word for exposure. Accepted: did you mean `damp`? dry, damp, wet",
        ),
        (
            ["place.exposure"], "exposure,answer\ndry,1 in\n",
            "the columns are exposure, answer. "
            "Accepted: place.exposure, answer; and any of known by, source, section, edition, note",
        ),
        (
            ["place.marks"], "place.marks,answer\nA,1 in\n",
            "`place.marks` is words together, which no row can be found by. Accepted: keys that are amounts or words",
        ),
    ],
)  # fmt: skip
def test_a_bad_schedule_is_refused_in_words(tmp_path, keys, rows, said):
    assert said in complaints_of(tmp_path, schedules=table("depth", "place.depth", keys, rows))


def test_a_schedule_without_its_sheet_is_refused(tmp_path):
    heading = table("depth", "place.depth", ["place.exposure"], "")["depth.yaml"]
    [said] = complaints_of(tmp_path, schedules={"depth.yaml": heading})
    assert said == "the sheet of rows depth.csv cannot be read. Accepted: a CSV file beside the heading"


def test_a_fact_is_compared_with_a_schedule_of_its_own_kind(tmp_path):
    rows = "place.exposure,answer\ndry,1 in\nall other,2 in\n"
    said = complaints_of(
        tmp_path, schedules=table("depth", "place.depth", ["place.exposure"], rows),
        rules=only_rule(requires={"place.fall": {"at least": {"schedule": "depth"}}}),
    )  # fmt: skip
    assert said == [
        "the schedule `depth` answers with place.depth, a length, and `place.fall` a slope. "
        "Accepted: two of one kind and the same words"
    ]


# -- consequences ---------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "when, gives, said",
    [
        (
            {"place.depth": {"at least": "1 in"}}, {"place.needs lining": "no"},
            "`place.needs lining` is no unless something gives it: nothing can give it no. "
            "Accepted: place.needs lining: yes, or one consequence less",
        ),
        (
            {"place.depth": {"at least": "1 in"}}, {"place.fall": "1:48"},
            "`place.fall` is not a fact that a consequence can give. Accepted: a fact with words",
        ),
        (
            {"place.depth": "stated"}, {"place.needs lining": "yes"},
            "whether `place.depth` is stated is asked where it could switch the rule off. "
            "Accepted: `stated` only in `requires` or `except when`, and not inside `not both`",
        ),
        (
            {"place.exposure": "wet"}, {"place.exposure": "wet"},
            "facts follow from each other in a circle: place.exposure -> place.exposure. "
            "Accepted: a condition on `place.exposure as stated`, or one consequence less",
        ),
    ],
)  # fmt: skip
def test_a_bad_consequence_is_refused_in_words(tmp_path, when, gives, said):
    assert complaints_of(tmp_path, consequences={"follows": consequence("follows", when, gives)}) == [said]


def test_a_circle_of_consequences_is_refused_with_its_way_round(tmp_path):
    circle = {
        "a": consequence("a", {"place.kind": "room wall"}, {"place.exposure": "dry"}),
        "b": consequence("b", {"place.exposure": "dry"}, {"board.material": "foam"}),
        "c": consequence("c", {"board.material": "foam"}, {"place.kind": "room wall"}),
    }
    [said] = complaints_of(tmp_path, consequences=circle)
    assert said == (
        "facts follow from each other in a circle: place.kind -> board.material -> place.exposure -> place.kind. "
        "Accepted: a condition on `place.kind as stated`, or one consequence less"
    )


def test_two_that_give_different_words_and_could_both_hold_are_refused(tmp_path):
    two = {
        "a": consequence("a", {"place.depth": {"at least": "1 in"}}, {"place.exposure": "dry"}),
        "b": consequence("b", {"place.depth": {"at most": "1 in"}}, {"place.exposure": "wet"}),
    }
    [said] = complaints_of(tmp_path, consequences=two)
    assert said == (
        "`b` and `a` give different words to `place.exposure`, and both could hold. Accepted: conditions that cannot both hold"
    )


def test_two_may_give_different_words_that_are_true_together(tmp_path):
    two = {name: consequence(name, {"place.depth": {"at least": "1 in"}}, {"place.marks": word}) for name, word in
           (("a", "A"), ("b", "B"))}  # fmt: skip
    assert set(read_book(write_book(tmp_path, consequences=two)).consequences) == {"a", "b"}


def test_two_that_cannot_both_hold_may_give_different_words(tmp_path):
    two = {
        "a": consequence("a", {"place.depth": {"more than": "1 in"}}, {"place.exposure": "dry"}),
        "b": consequence("b", {"place.depth": {"at most": "1 in"}}, {"place.exposure": "wet"}),
    }
    assert set(read_book(write_book(tmp_path, consequences=two)).consequences) == {"a", "b"}


def test_a_fact_may_be_narrowed_by_a_consequence_that_reads_it_as_stated(tmp_path):
    reads_itself = {"a": consequence("a", {"place.exposure as stated": "wet"}, {"place.exposure": "wet"})}
    assert LoadedBook(read_book(write_book(tmp_path, consequences=reads_itself)))
