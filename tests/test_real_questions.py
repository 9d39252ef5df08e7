"""Questions that people really asked, written as assemblies: what the answers found, the book finds, or it says why not.

The assemblies stand in tests/questions, restated in our own words, with what the answers said beside them in answers.yaml.
"""

from collections import Counter
from pathlib import Path

import pytest
import yaml

from validator.assembly import read_assembly_file
from validator.checking import check
from validator.outcomes import Report
from validator.ready import Ready, ready_book
from validator.shelf import book_folder

QUESTIONS = Path(__file__).parent / "questions"
ANSWERS = yaml.safe_load((QUESTIONS / "answers.yaml").read_text(encoding="utf-8"))
AGREEMENT = yaml.safe_load((QUESTIONS / "agreement.yaml").read_text(encoding="utf-8"))
WORDS = ("fail", "warn", "open", "pass")
LEAST_COUNT = 32  # every question whose answers speak of what is built


@pytest.fixture(scope="module")
def ready() -> Ready:
    return ready_book(book_folder("us"))


def reported(name: str, ready: Ready) -> Report:
    (assembly,) = read_assembly_file(QUESTIONS / f"{name}.yaml", ready.vocabulary, ready.catalogue).to_judge()
    return check(assembly, ready)


def wanted_of(name: str) -> str:
    return ANSWERS[name]["answers"].partition(";")[0]


def gravest_of(report: Report) -> str:
    """The gravest word that is sure; `open` where nothing is, and something asked could still fail or warn."""
    sure, _, possible = report.outcome.removeprefix("at least ").partition(",")
    return "open" if sure == "pass" and possible else sure


@pytest.mark.parametrize("name", ANSWERS)
def test_what_the_answers_found_is_found(name: str, ready: Ready) -> None:
    found = {f.rule: f.outcome for f in reported(name, ready).findings if f.outcome in ("fail", "warn")}
    said = ANSWERS[name]["finds"]
    assert {rule: found.get(rule) for rule in said} == said


@pytest.mark.parametrize("name", [name for name in ANSWERS if "asks" in ANSWERS[name]])
def test_what_the_answers_asked_back_is_asked(name: str, ready: Ready) -> None:
    asked = {item.fact for item in reported(name, ready).open_items}
    assert set(ANSWERS[name]["asks"]) <= asked


@pytest.mark.parametrize("name", [name for name in ANSWERS if "asked back" in ANSWERS[name]])
def test_what_people_asked_back_is_asked_or_it_is_said_why_not(name: str, ready: Ready) -> None:
    asked = {item.fact for item in reported(name, ready).open_items}
    for wanted in ANSWERS[name]["asked back"].values():
        assert wanted in asked if wanted in ready.vocabulary.facts else wanted.count(" ") > 2


@pytest.mark.parametrize("name", [name for name in ANSWERS if "silent" in ANSWERS[name]])
def test_what_the_answers_found_sound_is_no_finding(name: str, ready: Ready) -> None:
    spoken = {f.rule for f in reported(name, ready).findings if f.outcome != "pass"}
    assert spoken.isdisjoint(ANSWERS[name]["silent"])
    assert set(ANSWERS[name]["silent"]) <= set(ready.book.rules)


@pytest.mark.parametrize("name", ANSWERS)
def test_a_question_that_the_answers_failed_is_never_clean(name: str, ready: Ready) -> None:
    report = reported(name, ready)
    if ANSWERS[name]["answers"].startswith("fail"):
        assert report.exit_status in (1, 3)


@pytest.mark.parametrize("name", ANSWERS)
def test_where_the_book_is_milder_or_stricter_it_is_said_why(name: str, ready: Ready) -> None:
    wanted = wanted_of(name)
    if wanted != "pass" and wanted != gravest_of(reported(name, ready)):
        assert ANSWERS[name].get("why")


def test_the_book_agrees_with_the_answers_as_often_as_the_table_says(ready: Ready) -> None:
    counted = Counter((wanted_of(name), gravest_of(reported(name, ready))) for name in ANSWERS)
    table = {wanted: {word: counted[wanted, word] for word in WORDS if counted[wanted, word]} for wanted in AGREEMENT}
    assert table == AGREEMENT
    assert sum(counted.values()) == len(ANSWERS)


def test_there_are_enough_questions_and_each_has_its_answer() -> None:
    assert {path.stem for path in QUESTIONS.glob("question-*.yaml")} == set(ANSWERS)
    assert len(ANSWERS) >= LEAST_COUNT
