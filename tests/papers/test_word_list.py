"""`validator words`: whoever looks for a word finds where it is written, and every example reads."""

import pytest
from paths import RULEBOOKS
from typer.testing import CliRunner

from validator.assembly import read_assembly, read_catalogue
from validator.cli import app
from validator.facts import possible
from validator.facts.vocabulary_reading import read_vocabulary
from validator.papers.word_list import WRITTEN, example_of, facts_of, line_of, nothing_found, word_lines, words_found

VOCABULARY = read_vocabulary(RULEBOOKS / "vocabulary")
CATALOGUE = read_catalogue(RULEBOOKS / "catalogue", VOCABULARY)


def test_with_nothing_said_every_thing_and_fact_is_listed():
    found = words_found(VOCABULARY, "")
    assert {thing.name for thing, _ in found} == set(VOCABULARY.things)
    assert all(facts == facts_of(VOCABULARY, thing) for thing, facts in found)


@pytest.mark.parametrize(("said", "first"), [
    ("screw", "screw"), ("screws", None), ("mud bed", "mortar bed"), ("thinset", "tile mortar"), ("cement board", "board"), ("drain", "drain")])
def test_the_thing_that_a_word_names_comes_first_with_all_its_facts(said, first):
    found = words_found(VOCABULARY, said)
    if first is not None:
        assert found[0][0].name == first and found[0][1] == facts_of(VOCABULARY, found[0][0])


def test_a_word_of_a_fact_finds_that_fact_alone():
    found = {thing.name: [fact.name for fact in facts] for thing, facts in words_found(VOCABULARY, "A118.15")}
    assert found["tile mortar"] == ["tile mortar.meets"]


def test_a_word_that_nothing_has_is_told_with_what_is_near():
    assert words_found(VOCABULARY, "grrout") == []
    assert "did you mean `grout`?" in nothing_found(VOCABULARY, "grrout")


@pytest.mark.parametrize("thing", list(VOCABULARY.things.values()), ids=lambda thing: thing.name)
def test_every_example_is_read(thing):
    for fact in facts_of(VOCABULARY, thing):
        known = possible.read(fact, example_of(fact))
        assert known.origin == possible.STATED
        possible.edges(fact, example_of(fact))


FILES = {
    "job": "%s\nplaces: {floor: {kind: room floor}}", "framing": "%s\nplaces: {floor: {kind: room floor}}",
    "place": "places:\n  %s", "record": "records: {%s}\nplaces: {floor: {kind: room floor}}",
    "seal": "junctions: {inside corners: {%s}}\nplaces: {floor: {kind: room floor}}",
    "junction": "junctions: {%s}\nplaces: {floor: {kind: room floor}}", "observation": "%s\nplaces: {floor: {kind: room floor}}",
}  # fmt: skip


@pytest.mark.parametrize("thing", list(VOCABULARY.things.values()), ids=lambda thing: thing.name)
def test_every_line_is_read_where_it_is_said_to_stand(thing):
    kind = next((kind for kind in thing.in_places if kind not in VOCABULARY.things), "room floor")
    if thing.sort == "layer":
        text = f"places:\n  it:\n    kind: {kind}\n    built up:\n      {line_of(VOCABULARY, thing)}\n"
    elif thing.sort == "part":
        text = f"places:\n  it:\n    kind: {kind}\n    {line_of(VOCABULARY, thing)}\n"
    else:
        text = FILES[thing.sort] % line_of(VOCABULARY, thing)
    read_assembly(text, "it.yaml", VOCABULARY, CATALOGUE)


def test_what_is_listed_fits_a_page_of_eighty_columns():
    lines = [line for line, _ in word_lines(VOCABULARY, words_found(VOCABULARY, ""), 80)]
    assert max(map(len, lines)) <= 80 and len(WRITTEN) == len({thing.sort for thing in VOCABULARY.things.values()})


def test_the_command_lists_as_text_and_as_json_and_refuses_in_one_line():
    run = CliRunner().invoke
    assert "also mud bed" in run(app, ["words", "mud", "bed"]).output
    assert '"thing": "mortar bed"' in run(app, ["words", "mud bed", "--format", "json"]).output
    refused = run(app, ["words", "xyzzy"])
    assert refused.exit_code == 2 and "no thing and no fact has the word `xyzzy`" in refused.output
