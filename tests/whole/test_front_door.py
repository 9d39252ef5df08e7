"""The front door for Python: read, check and a report, as the README shows it."""

import subprocess
import sys
from pathlib import Path

import pytest
from paths import ROOT, SAMPLES

import validator
from validator.judging.checking import check as judge
from validator.judging.loading import load_named

FIVE_MISTAKES = SAMPLES / "five-mistakes.yaml"
COUNTY = ROOT / "tests" / "rulebook" / "layers" / "harrow-county"
WALL = "assembly: A wall\nplaces: {wall: {kind: shower wall, built up: [board: {material: foam}]}}\n"


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_readme_shows_it_in_ten_lines_that_run() -> None:
    _, _, after = (ROOT / "README.md").read_text(encoding="utf-8").partition("```python\n")
    code = after.partition("```")[0]
    assert len(code.splitlines()) == 10
    report = validator.check(validator.read(FIVE_MISTAKES))
    first, *others = python(code).splitlines()
    assert first == f"fail {report.counts.failed} failed"
    assert others == [f"{f.place}: {f.title}: {f.put_right}" for f in report.findings if f.outcome == "fail"]
    assert any("Board screws reach far enough" in line for line in others)


def test_importing_it_loads_nothing_of_the_program() -> None:
    told = python("import sys, validator; print(*(name for name in sys.modules if name.startswith('validator')))")
    assert told.split() == ["validator"]


@pytest.mark.parametrize("sample", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
def test_it_comes_to_what_the_command_comes_to(sample: Path) -> None:
    assembly = validator.read(sample)
    for each in assembly.to_judge():
        assert validator.check(each) == judge(each, load_named("us"))


def test_a_text_is_read_as_a_file_is() -> None:
    text = FIVE_MISTAKES.read_text(encoding="utf-8")
    assert validator.check(validator.read_text(text)).fingerprint == validator.check(validator.read(FIVE_MISTAKES)).fingerprint


def test_every_name_it_offers_is_there_and_says_what_it_is() -> None:
    for name in validator.__all__:
        assert getattr(validator, name).__doc__, name


def test_a_name_it_does_not_offer_is_told_as_such() -> None:
    with pytest.raises(AttributeError, match="module `validator` has no attribute `judge`"):
        validator.judge  # noqa: B018


@pytest.mark.parametrize(
    ("read", "says"),
    [
        (lambda: validator.read("nowhere.yaml"), "nowhere.yaml: there is no such file. Accepted: the name of a file that is there"),
        (lambda: validator.read_text(WALL.replace("kind:", "kindd:"), name="a wall"), "a wall:2:17: `kindd` is not a key of"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_place(read, says: str) -> None:
    with pytest.raises(validator.BadAssembly) as told:
        read()
    assert str(told.value).startswith(says)
    assert isinstance(told.value.complaints[0].where, validator.Where)


def test_a_book_that_is_not_there_is_told() -> None:
    with pytest.raises(validator.BadBook, match="there is no book `them`. Accepted: us; or a folder"):
        validator.read_text(WALL, books="them")


def test_nothing_is_judged_by_no_book() -> None:
    with pytest.raises(ValueError, match="no book is named, and nothing is judged without one"):
        validator.check(validator.read_text(WALL), books=())


def test_an_assembly_with_options_is_judged_option_by_option() -> None:
    assembly = validator.read_text(WALL.replace("foam", "gypsum") + "options: {A: {}, B: {}}\n")
    with pytest.raises(ValueError, match="has 2 options; check each of `assembly.to_judge"):
        validator.check(assembly)
    assert [validator.check(each).assembly for each in assembly.to_judge()] == ["A wall, option A", "A wall, option B"]


def test_an_assembly_is_judged_by_the_vocabulary_that_read_it() -> None:
    assembly = validator.read_text(WALL)
    with pytest.raises(ValueError, match="was read by other books than us \\+ harrow-county"):
        validator.check(assembly, ("us", COUNTY))
    again = validator.read_text(WALL, books=("us", COUNTY))
    assert [book.name for book in validator.check(again, ("us", COUNTY)).books] == ["us", "harrow-county"]


def test_a_path_given_to_check_is_told_what_it_takes() -> None:
    with pytest.raises(TypeError, match="takes the Assembly that `read` or `read_text` returns, not str"):
        validator.check("samples/five-mistakes.yaml")  # type: ignore[arg-type]


def test_books_are_loaded_once_until_a_word_of_them_changes(tmp_path: Path) -> None:
    book = tmp_path / "mine"
    book.mkdir()
    head = book / "book.yaml"
    head.write_text("book: mine\ntitle: Mine\nedition: '1'\nlayer: code or standard\n", encoding="utf-8")
    first = load_named(["us", book])
    assert load_named(["us", str(book)]) is first
    head.write_text("book: mine\ntitle: Mine\nedition: '2'\nlayer: code or standard\n", encoding="utf-8")
    assert load_named(["us", book]) is not first


def test_a_report_is_printed_in_short() -> None:
    report = validator.check(validator.read_text(WALL))
    shown = repr(report)
    assert shown.startswith("Report(assembly='A wall', outcome=")
    assert f"open_items=<{len(report.open_items)} OpenItem>" in shown
    assert len(shown) < 1500
    assert repr(validator.read_text(WALL)) == "Assembly('A wall', 5 places, junctions and the job)"
