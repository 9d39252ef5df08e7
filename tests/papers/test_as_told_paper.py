"""The short report: at most forty lines, failures first, amounts as a tape shows them."""

from pathlib import Path

import pytest
from paths import SAMPLES

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.papers.as_told import as_told_lines, everything_lines
from validator.papers.tape import in_one_system, on_a_tape


def report_on(text: str, loaded: LoadedBook) -> Report:
    return check(read_assembly(text, "a test", loaded.vocabulary, loaded.catalogue), loaded)


def lines(report: Report, width: int = 80) -> list[str]:
    return [line for line, _ in as_told_lines(report, width)]


TEN_LINES = """\
assembly: Hall bath
places:
  walls:
    kind: shower wall
    built up:
      - board: {material: cement}
      - tile: {size: 12 x 24 in}
"""


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("1/4 in (6.4 mm)", "1/4 in"), ("13 ft to 14 ft (3.96 m to 4.27 m)", "13 ft to 14 ft"), ("1/4 in per ft (2.08 %)", "1/4 in per ft"),
        ("board (whole face)", "board (whole face)"),
    ],
)  # fmt: skip
def test_an_amount_is_told_in_one_system(text: str, shown: str) -> None:
    assert in_one_system(text) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("0.511811 in", "about 1/2 in"), ("1.0236 in", "about 1 in"), ("0.001 in", "0.001 in"), ("0.0787 in", "about 5/64 in"), ("5.27168 psf", "about 5.5 psf"),
        ("28.47 psf", "about 28.5 psf"), ("45 psf", "45 psf"), ("1-5/8 in", "1-5/8 in"), ("0.25 in per ft", "1/4 in per ft"), ("0.24 in per ft", "about 1/4 in per ft"),
    ],
)  # fmt: skip
def test_an_amount_is_told_as_a_tape_or_a_scale_shows_it(text: str, shown: str) -> None:
    assert on_a_tape(text) == shown


def test_what_nobody_mentions_heads_the_questions_and_says_what_its_absence_does(loaded: LoadedBook) -> None:
    told = lines(report_on(TEN_LINES, loaded))
    first = next(n for n, line in enumerate(told) if line.startswith("ASK"))
    said = " ".join(" ".join(told[first:]).split())
    assert "it is not mentioned" in said.partition("Look:")[0]
    assert "Without it this fails." in said


def test_a_description_with_an_open_question_is_never_called_a_pass(loaded: LoadedBook) -> None:
    report = report_on(TEN_LINES, loaded)
    assert report.as_told.exit_status == 3
    assert "As told: pass" not in "\n".join(lines(report))
    assert "not to be said yet." in " ".join(lines(report))


def test_what_fails_stands_before_everything_else(loaded: LoadedBook) -> None:
    (assembly,) = read_assembly_file(SAMPLES / "five-mistakes.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    marks = [line.split()[0] for line in lines(check(assembly, loaded)) if line[:4] in ("FAIL", "WARN", "ASK ", "SOUN", "TAKE", "WRIT")]
    assert marks == sorted(marks, key=["FAIL", "WARN", "ASK", "SOUND", "TAKEN", "WRITTEN"].index)
    assert marks[0] == "FAIL"


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("width", [40, 80, 200])
def test_no_line_is_wider_than_the_window(path: Path, width: int, loaded: LoadedBook) -> None:
    for assembly in read_assembly_file(path, loaded.vocabulary, loaded.catalogue).to_judge():
        report = check(assembly, loaded)
        assert max(len(line) for line in lines(report, width)) <= width
        if width > 40:  # names of rules and of sums are longer than the narrowest window
            assert max(len(line) for line, _ in everything_lines(report, width)) <= width


def test_everything_holds_each_check_and_why_each_usual_reading_was_taken(loaded: LoadedBook) -> None:
    (assembly,) = read_assembly_file(SAMPLES / "half-known.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    report = check(assembly, loaded)
    told = " ".join(" ".join(line for line, _ in everything_lines(report, 80)).split())
    assert report.as_told.checks and report.as_told.usual
    assert all(each.title in told for each in report.as_told.checks)
    assert all(" ".join(each.because.split()) in told for each in report.as_told.usual)


def test_what_no_rule_reads_is_named_unless_it_is_kept_for_something_else(loaded: LoadedBook) -> None:
    text = TEN_LINES.replace("    built up:", "    circle: 30 in\n    stage: board hung\n    built up:")
    unread = report_on(text, loaded).as_told.judged_by_nothing
    assert any(each.startswith("circle") for each in unread)
    assert not any(each.startswith("stage") for each in unread)


@pytest.mark.parametrize("sample", sorted(path.stem for path in SAMPLES.glob("*.yaml")))
def test_no_finding_and_no_question_stops_within_a_sentence(sample: str, loaded: LoadedBook) -> None:
    report = check(read_assembly_file(str(SAMPLES / f"{sample}.yaml"), loaded.vocabulary, loaded.catalogue), loaded)
    told: list[str] = []
    for line in lines(report):
        if line.startswith(" ") and told:
            told[-1] += " " + line.strip()
        else:
            told.append(line)
    asked = [text for text in told if text.startswith(("FAIL", "WARN", "ASK"))]
    assert all(text.endswith((".", "?", "...")) for text in asked), asked
