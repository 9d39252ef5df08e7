"""Each sample is judged as the report beside it says, and strictly as the report in strict/: people read these.

When a report rightly changes, run `python -m tests.whole.test_samples` in the root folder, read the difference, and keep it.
Fingerprints are left out of the expected text: they change with any word of the book.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from validator.assembly import read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.judging.report import Report
from validator.papers.as_json import as_json
from validator.papers.as_told import as_told_lines
from validator.papers.report import report_lines
from validator.rulebook.shelf import book_folder

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
WIDTH = 80

EXIT = {
    "second-floor-shower": 0,
    "metric-wet-room": 0,
    "liner-and-mud-shower": 0,
    "registered-shower": 0,
    "half-known": 3,
    "five-mistakes": 1,
    "upstairs-stone-floor": 1,
    "tub-surround": 1,
    "cold-climate-deck": 1,
    "shower-that-smells": 1,
}
# The five mistakes by the rule that notices each, and what the screw, the mortar, the coats and the fall are found to be.
FIVE_MISTAKES = {
    "board-screw-reaches-framing": ("fail", "1/4 in"),
    "finished-fall-measured-in-the-window": ("fail", "1/8 in per ft"),
    "seam-tape-has-two-coats": ("warn", "1"),
    "first-coat-over-tape-dries": ("warn", "wet"),
    "porcelain-is-set-in-modified-mortar": ("warn", "unmodified cement"),
}
NEVER_SAID = re.compile(r"\b(approved|compliant|certified|void(ed)?|denied|guaranteed?|violations?|errors?)\b", re.IGNORECASE)
FINGERPRINT = re.compile(r"(fingerprint) [0-9a-f]{16}")


def reported(path: Path, loaded: LoadedBook) -> Report:
    (assembly,) = read_assembly_file(path, loaded.vocabulary, loaded.catalogue).to_judge()
    return check(assembly, loaded)


def as_told(report: Report) -> str:
    return "\n".join(line for line, _ in as_told_lines(report, WIDTH)) + "\n"


def strictly(report: Report) -> str:
    text = "\n".join(line for line, _ in report_lines(report, WIDTH)) + "\n"
    return FINGERPRINT.sub(r"\1 (left out)", text)


def expected(path: Path) -> Path:
    return path.with_suffix(".expected.txt")


def expected_strictly(path: Path) -> Path:
    return Path(__file__).parent / "strict" / f"{path.stem}.txt"


def named(path: Path) -> str:
    return path.stem


@pytest.mark.parametrize("path", SAMPLES, ids=named)
def test_the_report_on_a_sample_is_the_one_beside_it(path: Path, loaded: LoadedBook) -> None:
    report = reported(path, loaded)
    assert as_told(report) == expected(path).read_text(encoding="utf-8")
    assert strictly(report) == expected_strictly(path).read_text(encoding="utf-8")


@pytest.mark.parametrize("path", SAMPLES, ids=named)
def test_a_report_is_short_enough_to_be_read_to_its_end(path: Path) -> None:
    lines = expected(path).read_text(encoding="utf-8").splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= WIDTH


@pytest.mark.parametrize("path", SAMPLES, ids=named)
def test_a_sample_judged_twice_gives_the_same_report(path: Path, loaded: LoadedBook) -> None:
    first, second = reported(path, loaded), reported(path, loaded)
    assert as_json([first]) == as_json([second])


@pytest.mark.parametrize("path", SAMPLES, ids=named)
def test_a_sample_ends_the_program_as_its_story_says(path: Path, loaded: LoadedBook) -> None:
    assert reported(path, loaded).as_told.exit_status == EXIT[path.stem]


def test_every_sample_has_its_report_and_every_report_its_sample() -> None:
    assert {path.stem for path in SAMPLES} == set(EXIT)
    assert {expected(path) for path in SAMPLES} == set((ROOT / "samples").glob("*.expected.txt"))
    assert {expected_strictly(path) for path in SAMPLES} == set((Path(__file__).parent / "strict").glob("*.txt"))


def test_nothing_is_open_and_nothing_waits_in_the_sound_shower(loaded: LoadedBook) -> None:
    report = reported(ROOT / "samples" / "second-floor-shower.yaml", loaded)
    assert report.outcome == "pass"
    assert report.open_items == ()
    assert (report.counts.failed, report.counts.warned, report.counts.open, report.counts.waiting) == (0, 0, 0, 0)


def test_the_five_mistakes_are_the_five_findings(loaded: LoadedBook) -> None:
    report = reported(ROOT / "samples" / "five-mistakes.yaml", loaded)
    found = {finding.rule: finding for finding in report.findings if finding.outcome in ("fail", "warn")}
    assert set(found) == set(FIVE_MISTAKES)
    for rule, (outcome, amount) in FIVE_MISTAKES.items():
        assert found[rule].outcome == outcome
        assert amount in found[rule].found


def test_the_stone_floor_fails_by_its_joists_alone(loaded: LoadedBook) -> None:
    """A 2x10 of Douglas fir-larch no. 2 at 16 in over 15 ft bends L/469 under 40 psf, which tile would stand.

    By hand: I = 98.93 in4, E = 1.6e6 psi, w = 40 * 16 / 144 = 4.444 lb/in, 5 w L^4 / (384 E I) = 0.3838 in, L / 0.3838 = 469.
    """
    report = reported(ROOT / "samples" / "upstairs-stone-floor.yaml", loaded)
    failed = {finding.rule: finding for finding in report.findings if finding.outcome == "fail"}
    assert set(failed) == {
        "joists-hold-the-finish-straight", "joists-hold-stone-with-its-weight", "joists-are-strong-enough-for-the-bed",
    }  # fmt: skip
    straight = failed["joists-hold-the-finish-straight"]
    assert "L/469" in straight.found
    assert "L/720" in straight.needed


@pytest.mark.parametrize("path", SAMPLES, ids=named)
def test_no_report_says_what_only_others_may_say(path: Path) -> None:
    for report in (expected(path), expected_strictly(path)):
        assert NEVER_SAID.findall(report.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize("name", ["second-floor-shower", "five-mistakes"])
def test_the_command_prints_the_same_report_and_ends_the_same_way(name: str, loaded: LoadedBook) -> None:
    path = ROOT / "samples" / f"{name}.yaml"
    runs = [
        subprocess.run(
            [sys.executable, "-m", "validator", "check", str(path), "--width", str(WIDTH)],
            cwd=ROOT, capture_output=True, encoding="utf-8", check=False,
        )
        for _ in range(2)
    ]  # fmt: skip
    assert runs[0].stdout == runs[1].stdout
    assert runs[0].stdout == expected(path).read_text(encoding="utf-8")
    assert {run.returncode for run in runs} == {EXIT[name]}


def test_the_command_gives_the_sound_shower_as_json() -> None:
    path = ROOT / "samples" / "second-floor-shower.yaml"
    run = subprocess.run(
        [sys.executable, "-m", "validator", "check", str(path), "--format", "json"],
        cwd=ROOT, capture_output=True, encoding="utf-8", check=True,
    )  # fmt: skip
    assert json.loads(run.stdout)["outcome"] == "pass"


def write_expected() -> None:
    """Write the report beside each sample anew."""
    loaded = load_book(book_folder("us"))
    for path in SAMPLES:
        report = reported(path, loaded)
        expected(path).write_text(as_told(report), encoding="utf-8")
        expected_strictly(path).write_text(strictly(report), encoding="utf-8")


def test_the_assembly_that_the_readme_shows_is_read(tmp_path: Path) -> None:
    shown = re.search(r"```yaml\n(assembly: .*?)```", (ROOT / "README.md").read_text(encoding="utf-8"), re.DOTALL)[1]
    file = tmp_path / "shown.yaml"
    file.write_text(shown, encoding="utf-8")
    done = subprocess.run([sys.executable, "-m", "validator", "check", str(file)], cwd=ROOT, capture_output=True, text=True)
    assert (done.returncode, done.stderr) == (EXIT["half-known"], "")
    assert done.stdout.startswith("Upstairs bath\n")


if __name__ == "__main__":
    write_expected()
