"""Questions that people really asked, written as assemblies: what the answers called wrong or doubtful, the book finds or asks.

The assemblies stand in tests/whole/questions, written by people who did not know the answers; what the answers said stands beside
them in answers/, in our own words. `agreement.py` measures how often the book comes to the same.
"""

import pytest
import yaml
from questions.agreement import (
    ANSWERS,
    HERE,
    KINDS,
    READINGS,
    Measured,
    matters_of,
    measured,
    reports_of,
    table,
    wanted_of,
)

from validator.judging.loading import LoadedBook

QUESTIONS = {question: answer for each in ANSWERS.values() for question, answer in each.items()}
FAILED = [question for question, answer in QUESTIONS.items() if wanted_of(answer) == "fail"]
ASKED_BACK = [question for question, answer in QUESTIONS.items() if "asked back" in answer]
SOUND = [question for question, answer in QUESTIONS.items() if "sound" in answer]
AGREEMENT = yaml.safe_load((HERE / "agreement.yaml").read_text(encoding="utf-8"))
LEAST_COUNT = 153  # every question whose answers speak of what is built


def read_as(reading: str, question: str, loaded: LoadedBook) -> Measured:
    return measured(question, QUESTIONS[question], reading, loaded)


@pytest.mark.parametrize("question", FAILED)
def test_a_question_that_the_answers_failed_is_never_silent(question: str, loaded: LoadedBook) -> None:
    assert read_as("strict", question, loaded).verdict != "pass"


@pytest.mark.parametrize("question", FAILED)
def test_a_question_that_the_answers_failed_is_never_called_clean(question: str, loaded: LoadedBook) -> None:
    assert {report.exit_status for report in reports_of(question, loaded)} & {1, 3}


@pytest.mark.parametrize("question", SOUND)
def test_what_the_answers_held_sound_is_no_finding(question: str, loaded: LoadedBook) -> None:
    found = {f.rule for report in reports_of(question, loaded) for f in report.findings if f.outcome in ("fail", "warn")}
    assert found.isdisjoint(QUESTIONS[question]["sound"])


@pytest.mark.parametrize("question", ASKED_BACK)
def test_what_people_asked_back_is_asked_or_it_is_said_why_not(question: str, loaded: LoadedBook) -> None:
    asked = {item.fact for report in reports_of(question, loaded) for item in report.open_items}
    for wanted in QUESTIONS[question]["asked back"].values():
        assert wanted in asked if wanted in loaded.vocabulary.facts else wanted.count(" ") > 2


@pytest.mark.parametrize("question", QUESTIONS)
def test_where_the_book_is_milder_or_stricter_it_is_said_why(question: str, loaded: LoadedBook) -> None:
    each = read_as("strict", question, loaded)
    assert each.verdict in (each.wanted, "open") or QUESTIONS[question].get("why")


@pytest.mark.parametrize("question", QUESTIONS)
def test_a_matter_without_a_rule_or_a_word_is_not_found(question: str, loaded: LoadedBook) -> None:
    each = read_as("strict", question, loaded)
    assert not [matter.about for matter in each.matters if matter.missing and each.state(matter) == "found"]


@pytest.mark.parametrize("reading", READINGS)
def test_the_book_agrees_with_the_answers_as_often_as_the_table_says(reading: str, loaded: LoadedBook) -> None:
    assert table(reading, loaded) == AGREEMENT[reading]


def test_there_are_enough_questions_and_each_has_its_answer() -> None:
    assert {path.stem for path in HERE.glob("question-*.yaml")} == set(QUESTIONS)
    assert len(QUESTIONS) == sum(map(len, ANSWERS.values())) >= LEAST_COUNT


def test_every_matter_names_rules_and_facts_that_there_are_or_says_what_is_missing(loaded: LoadedBook) -> None:
    for matter in (matter for answer in QUESTIONS.values() for matter in matters_of(answer)):
        assert matter.severity in ("fail", "warn")
        assert matter.found_by <= set(loaded.book.rules), matter
        assert matter.asked_by <= set(loaded.vocabulary.facts), matter
        assert matter.found_by or matter.missing, matter


def test_every_kind_of_matter_is_met_in_some_question() -> None:
    met = {written["kind"] for answer in QUESTIONS.values() for written in answer.get("matters", ())}
    assert met == set(KINDS)


def test_a_sound_rule_is_one_of_the_book(loaded: LoadedBook) -> None:
    assert {rule for question in SOUND for rule in QUESTIONS[question]["sound"]} <= set(loaded.book.rules)


def test_every_answer_that_is_no_praise_says_what_is_wrong() -> None:
    assert not [question for question, answer in QUESTIONS.items() if wanted_of(answer) != "pass" and not answer.get("matters")]
