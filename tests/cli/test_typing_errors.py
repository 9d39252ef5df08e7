"""A slip of typing is said in our own words: what, and what would be accepted; nothing of it is a fault of the user's."""

import pytest
from typer.testing import CliRunner

from validator.cli import app


def typed(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, list(words), prog_name="validator")
    return done.exit_code, done.stdout, done.stderr


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["check"], "`validator check` needs FILE. Accepted: validator check [OPTIONS] FILE..."),
        (["why"], "`validator why` needs FILE. Accepted: validator why [OPTIONS] FILE WHAT"),
        (["why", "a.yaml"], "`validator why` needs WHAT. Accepted: validator why [OPTIONS] FILE WHAT"),
        (["check", "--widht", "80", "a.yaml"],
         "`validator check` has no option `--widht`. Accepted: did you mean `--width`? --all, --book, --format, --help, --margins, --since, "
         "--strict, --width, --witness"),
        (["check", "--width"], "`--width` needs a value after it. Accepted: a whole number from 40 to 400"),
        (["check", "--width", "nine", "a.yaml"], "`--width nine` cannot be taken. Accepted: a whole number from 40 to 400"),
        (["check", "--width", "3", "a.yaml"], "`--width 3` cannot be taken. Accepted: a whole number from 40 to 400"),
        (["check", "--all=yes", "a.yaml"], "`--all` takes no value. Accepted: `--all` alone"),
        (["check", "--format", "pdf", "a.yaml"], "there is no format `pdf`. Accepted: text, json"),
        (["rulebook", "chek"], "`validator rulebook` has no command `chek`. Accepted: did you mean `check`? check, list, explain, new, schema, page, compare"),
        (["schema", "more"], "`validator schema` takes nothing more after its own words: `more`. Accepted: validator schema [OPTIONS]"),
        (["rulebook", "explain", "shower-large"],
         "there is no rule `shower-large` in us. Accepted: did you mean `shower-large-enough`?; or is a book missing that has it? `--book` names each"),
        (["rulebook", "explain", "bord-screw-reaches-framing"],
         "there is no rule `bord-screw-reaches-framing` in us. Accepted: did you mean `board-screw-reaches-framing`?"),
        (["rulebook", "explain", "qqq"], "there is no rule `qqq` in us. Accepted: a name that `rulebook list` gives; or is a book missing that has it? `--book` names each"),
    ],
)  # fmt: skip
def test_a_slip_is_said_with_what_would_be_accepted(words, said):
    assert typed(*words) == (2, "", said + "\n")


def test_a_command_that_is_none_is_answered_with_the_nearest():
    status, printed, said = typed("chek", "a.yaml")
    assert (status, printed) == (2, "")
    assert said.startswith("`validator` has no command `chek`. Accepted: did you mean `check`? check, ")


def test_a_part_of_a_rules_name_is_answered_with_the_rules_that_hold_it():
    status, _, said = typed("why", "samples/five-mistakes.yaml", "grout")
    assert status == 2
    offered = said.partition("Accepted: ")[2].split("; ")
    assert len(offered) > 3 and all("grout" in each.casefold() for each in offered[:-1])


@pytest.mark.parametrize("words", [[], ["rulebook"]])
def test_no_words_are_answered_with_the_help(words):
    status, _, said = typed(*words)
    assert status == 2 and said.startswith("Usage: ") and "Commands:" in said


@pytest.mark.parametrize("words", [["check"], ["why"], ["screen"], ["warranty"], ["rulebook", "explain"], ["rulebook", "compare"]])
def test_usage_calls_a_file_what_its_help_calls_it(words):
    _, help_, _ = typed(*words, "--help")
    assert "{" not in help_.splitlines()[0] + help_.splitlines()[1]
