"""`page`, `card` and `review` as they are run: what they write, and what they end with."""

import os
import subprocess
import sys

import pytest
from paths import ROOT

SAMPLES = ROOT / "samples"


def run(*words: str, stdin: str | None = None) -> subprocess.CompletedProcess:
    return subprocess.run([sys.executable, "-m", "validator", *words], cwd=ROOT, capture_output=True, text=True, input=stdin)


IN_PART = """assembly: Half read
places:
  wall:
    kind: shower wall
    built up: [{board: {material: plain gypsum, fixed with: screws}}, three wishes, tile]
    seen: cracked grout
"""


@pytest.mark.parametrize("command", [("page", "-o", "-"), ("why", "wet-wall-backer-is-made-for-water"), ("causes",), ("ask",), ("ask", "--letter"), ("ask", "--format", "json")])
def test_a_paper_to_read_is_made_of_what_could_be_read_and_says_so_at_its_head(command):
    done = run(command[0], "-", *command[1:], stdin=IN_PART)
    assert done.returncode == 2 and "`three wishes` is not a layer" in done.stderr
    assert "Half read (by what could be read: line 5 is not judged)" in " ".join(done.stdout[:4000].split())


@pytest.mark.parametrize("command", [("card",), ("review", "--spec", "09 30 13"), ("takeoff",), ("calendar", "--start", "2026-03-02"), ("mend",)])
def test_what_is_built_bought_or_numbered_by_waits_until_all_is_read(command):
    done = run(command[0], "-", *command[1:], stdin=IN_PART)
    assert (done.returncode, done.stdout) == (2, "") and "`three wishes` is not a layer" in done.stderr


@pytest.mark.parametrize(("sample", "status"), [("second-floor-shower", 0), ("five-mistakes", 1), ("half-known", 3)])
@pytest.mark.parametrize("command", [("page",), ("card",), ("review", "--spec", "09 30 13")])
def test_a_paper_ends_as_check_does(command, sample, status, tmp_path):
    done = run(command[0], str(SAMPLES / f"{sample}.yaml"), *command[1:], "-o", str(tmp_path / "paper.html"))
    assert (done.returncode, done.stdout, done.stderr) == (status, "", "")
    assert (tmp_path / "paper.html").read_text(encoding="utf-8").lstrip().startswith("<!DOCTYPE html>")


def test_a_page_goes_to_standard_output_where_that_is_asked():
    done = run("page", "-", "-o", "-", stdin="assembly: Small\nplaces: {hall: {kind: room floor}}\n")
    assert "<!DOCTYPE html>" in done.stdout and "Small" in done.stdout


def test_a_card_can_be_text_for_a_telephone():
    done = run("card", str(SAMPLES / "five-mistakes.yaml"), "--format", "text", "--width", "50")
    assert done.returncode == 1
    assert "Do this:" in done.stdout and max(map(len, done.stdout.splitlines())) <= 50


@pytest.mark.parametrize(("words", "called"), [(("card",), "card"), (("page",), "page"), (("review", "--spec", "09 30 13"), "review sheet")])
def test_a_paper_goes_to_a_file_of_its_own_where_none_is_named_and_is_printed_where_asked(words, called, tmp_path):
    command = [sys.executable, "-m", "validator", words[0], str(SAMPLES / "second-floor-shower.yaml"), *words[1:]]
    done = subprocess.run(command, cwd=tmp_path, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True)
    named = f"second-floor-shower-{words[0]}.html"
    assert (done.returncode, done.stdout, done.stderr) == (0, "", f"The {called} is written to {named}.\n")
    assert (tmp_path / named).read_text(encoding="utf-8").lstrip().startswith("<!DOCTYPE html>")
    assert run(*words[:1], str(SAMPLES / "second-floor-shower.yaml"), *words[1:], "-o", "-").stdout.lstrip().startswith("<!DOCTYPE html>")


def test_a_card_of_no_date_is_refused():
    done = run("card", str(SAMPLES / "second-floor-shower.yaml"), "--start", "soon")
    assert (done.returncode, done.stdout) == (2, "") and done.stderr.startswith("--start: `soon` is not a date")


def test_a_review_is_of_a_section():
    done = run("review", str(SAMPLES / "five-mistakes.yaml"))
    assert done.returncode == 2 and "--spec" in done.stderr


def test_a_review_writes_a_spreadsheet(tmp_path):
    done = run("review", str(SAMPLES / "five-mistakes.yaml"), "--spec", "09 30 13", "--xlsx", str(tmp_path / "review.xlsx"))
    assert (done.returncode, done.stdout) == (1, "")
    assert (tmp_path / "review.xlsx").read_bytes()[:2] == b"PK"


def test_a_file_that_cannot_be_written_is_said(tmp_path):
    done = run("page", str(SAMPLES / "five-mistakes.yaml"), "-o", str(tmp_path / "no such folder" / "page.html"))
    assert done.returncode == 2
    assert done.stderr == f"{tmp_path / 'no such folder' / 'page.html'} could not be written: No such file or directory\n"


def test_a_bad_assembly_is_refused_as_check_refuses_it(tmp_path):
    bad = tmp_path / "bad.yaml"
    bad.write_text("assembly: x\nplacess: {}\n")
    paper, checked = run("page", str(bad)), run("check", str(bad))
    assert (paper.returncode, paper.stderr) == (checked.returncode, checked.stderr) == (2, checked.stderr)


@pytest.mark.parametrize("command", [("page",), ("card",), ("review", "--spec", "09 30 13")])
def test_two_runs_of_the_program_write_the_same_bytes(command, tmp_path):
    written = []
    for seed in ("1", "2"):
        paper = tmp_path / f"{seed}.html"
        words = [sys.executable, "-m", "validator", command[0], str(SAMPLES / "half-known.yaml"), *command[1:], "-o", str(paper)]
        subprocess.run(words, cwd=ROOT, env={**os.environ, "PYTHONHASHSEED": seed})
        written.append(paper.read_bytes())
    assert written[0] == written[1]
