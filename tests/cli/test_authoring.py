"""A book and a rule are begun by a command, and prove as they were made."""

from pathlib import Path

import pytest
from typer.testing import CliRunner

from validator.cli import app
from validator.rulebook.shelf import shelf

RULE = {
    "--chapter": "wet-areas", "--applies": "place.kind: niche", "--requires": "place.fall: at least limit least fall of a level top in a shower",
    "--severity": "fail", "--because": "Water stands on a level sill.", "--put-right": "Set it again.", "--source": "own paper",
    "--section": "5", "--edition": "2026", "--known-by": "read myself",
}  # fmt: skip


def run(*words: str, typed: str = "") -> tuple[int, str]:
    done = CliRunner().invoke(app, list(words), input=typed)
    return done.exit_code, done.output


@pytest.fixture
def begun(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    assert run("rulebook", "new", "my-city")[0] == 0
    return tmp_path / "my-city"


def test_a_book_that_was_just_begun_proves(begun: Path) -> None:
    status, said = run("rulebook", "check", "us", "my-city")
    assert (status, "; 0 to put right." in said) == (0, True), said
    assert "my-city: no answers of tables and conditions of consequences that no case holds." in said
    assert "the limit `least opening of a shower` is 24 in where it was 22 in" in said
    page = (begun / "ten-steps.md").read_text(encoding="utf-8")
    assert [f"{number}. **" in page for number in range(1, 11)] == [True] * 10
    assert "on-book" not in page and "first-book" not in page


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("My Book",), "`My Book` is no name for a book. Accepted: small letters, digits and hyphens"),
        (("a", "b"), "`a b` is no name for a book"),
        (("mine", "--for", "trade practice"), "a book begun here cannot be `trade practice`. Accepted: code or standard, local amendment"),
        (("mine", "--on", "uss"), "there is no book `uss`"),
        (("rule", "A thing", "--book", "us"), "a rule is written into a book of your own, and none is named"),
    ],
)
def test_what_cannot_be_begun_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...], said: str) -> None:
    monkeypatch.chdir(tmp_path)
    status, out = run("rulebook", "new", *words)
    assert (status, said in out) == (2, True), out
    assert not list(tmp_path.iterdir())


def test_a_book_is_never_written_over_another(begun: Path) -> None:
    before = (begun / "book.yaml").read_text(encoding="utf-8")
    assert "my-city stands there already" in run("rulebook", "new", "my-city", "--for", "project specification")[1]
    assert (begun / "book.yaml").read_text(encoding="utf-8") == before


def test_a_rule_is_asked_for_and_its_cases_say_what_it_comes_to(begun: Path) -> None:
    answers = {**RULE}
    typed = "\n".join(("? niche sill", "nche: there", answers.pop("--applies"), "place.fall: 3", answers.pop("--requires"))) + "\n"
    words = [each for pair in answers.items() for each in pair]
    status, said = run("rulebook", "new", "rule", "A niche's sill falls enough", "--book", "us", "--book", "my-city", *words, typed=typed)
    assert status == 0, said
    assert "niche.fall: " in said and "`nche` is no fact of the vocabulary. Accepted: did you mean `niche`?" in said
    written = (begun / "wet-areas" / "a-niches-sill-falls-enough.yaml").read_text(encoding="utf-8")
    assert "with: {place.fall: 1/8 in per ft}, expect: pass, confirmed: no}" in written
    assert "expect: fail, confirmed: no}" in written and "expect: open, asks: [place.fall], confirmed: no}" in written
    assert "expect: not applicable, confirmed: no}" in written


@pytest.mark.thorough
def test_the_cases_of_a_rule_that_was_asked_for_wait_to_be_confirmed(begun: Path) -> None:
    words = [each for pair in RULE.items() for each in pair]
    assert run("rulebook", "new", "rule", "A niche's sill falls enough", "--book", "us", "--book", "my-city", *words)[0] == 0
    written = (begun / "wet-areas" / "a-niches-sill-falls-enough.yaml").read_text(encoding="utf-8")
    status, said = run("rulebook", "check", "us", "my-city")
    assert status == 0, said
    assert f"nobody has confirmed {written.count('confirmed: no')} of its cases, on lines " in said


def test_a_rule_that_was_not_finished_leaves_nothing(begun: Path) -> None:
    status, said = run("rulebook", "new", "rule", "A niche's sill falls", "--book", "us", "--book", "my-city", typed="wet-areas\nstop\n")
    assert (status, said.endswith("Nothing was written.\n"), (begun / "wet-areas").exists()) == (1, True, False)


def test_the_example_book_is_no_book_of_the_shelf() -> None:
    assert (shelf() / "author" / "first-book" / "book.yaml").is_file()
    assert "us; or a folder" in run("rulebook", "list", "--book", "author")[1]


# -- finding and showing rules ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "found"),
    [
        (("--reads", "flood test.depth", "--severity", "fail"), {"flood-test-deep-enough"}),
        (("--chapter", "tests", "threshold"), {"flood-test-deep-enough"}),
        (("--source", "plumbing code", "threshold", "--chapter", "tests"), {"flood-test-deep-enough"}),
    ],
)
def test_rules_are_found_by_chapter_words_source_severity_and_what_they_read(words: tuple[str, ...], found: set[str]) -> None:
    status, said = run("rulebook", "list", *words)
    listed = {line.strip().partition(":")[0] for line in said.splitlines() if line.startswith("  ")}
    assert (status, found <= listed, len(listed) < 12) == (0, True, True), said


def test_a_list_of_several_books_says_whose_each_rule_is(begun: Path) -> None:
    said = run("rulebook", "list", "--book", "us", "--book", "my-city", "--reads", "flood test.watched")[1]
    assert "flood-test-is-watched: The inspector sees the water stand, and is told 24 h before (fail, my-city)" in said


def test_a_rule_is_explained_with_its_limits_its_rows_and_its_file() -> None:
    assert "\nLimit: least opening of a shower is 22 in\n" in run("rulebook", "explain", "opening-wide-enough")[1]
    said = run("rulebook", "explain", "flood-test-deep-enough")[1]
    assert "\nRow: least depth of a flood test is 2 in for job.code family residential\n" in said
    assert "flood-test-deep-enough.yaml:\n    rule: flood-test-deep-enough\n" in said
    assert "put right: Fill it again to {least depth of a flood test} at the threshold" in said
