"""`why` is asked by what people have at hand: a number of the report, words of a title, or a rule's name."""

import json

import pytest
from paths import ROOT
from typer.testing import CliRunner

from validator.cli import app

FIVE, HALF = str(ROOT / "samples" / "five-mistakes.yaml"), str(ROOT / "samples" / "half-known.yaml")
REACHES = "board-screw-reaches-framing"


def run(*words: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, list(words))
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done.exit_code, done.output


def judged(*words: str) -> list[tuple[str, str]]:
    status, said = run("why", *words, "--format", "json")
    assert status == 0, said
    return [(each["rule"], each["place"]) for each in json.loads(said)["judgements"]]


def test_every_number_of_the_report_leads_to_what_it_is_about():
    told = json.loads(run("check", FIVE, "--format", "json")[1])["as_told"]["findings"]
    assert len(told) == 5
    for finding in told:
        assert judged(FIVE, finding["number"]) == [(finding["rule"], place) for place in finding["place"].split("; ")]


def test_a_request_is_told_with_the_rule_that_it_decides_at_its_place():
    first = json.loads(run("check", HALF, "--format", "json")[1])["as_told"]["questions"][0]
    assert judged(HALF, first["number"])[0] == (first["rules"][0], first["place"])
    said = " ".join(run("why", HALF, first["number"])[1].split())
    assert said.startswith(f"{first['number']} asks: {first['asks']}")


@pytest.mark.parametrize("words", ["D2", "d2", "screws reach far", "SCREW", REACHES])
def test_a_number_a_few_words_and_the_name_mean_the_same(words):
    assert (REACHES, "back wall") in judged(FIVE, words) and {rule for rule, _ in judged(FIVE, words)} == {REACHES}


def test_a_number_that_is_not_there_is_answered_with_those_that_are():
    assert run("why", FIVE, "D9") == (
        2, "nothing in this report is numbered D9. Accepted: D1 to D5, a rule's name, or words of its title\n",
    )  # fmt: skip


def test_words_of_several_titles_are_answered_with_their_rules():
    status, said = run("why", FIVE, "grout")
    assert status == 2 and " titles hold `grout`. Accepted: one of them by its name. " in said
    status, said = run("why", FIVE, "banana split")
    assert status == 2 and said.startswith("there is no rule `banana split` in us.")
