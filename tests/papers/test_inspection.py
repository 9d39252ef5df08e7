"""The inspection sheet: what was reported, looks in order with blanks, what to photograph and keep, the cautions; and the terms touched."""

import re

import pytest
from paths import SAMPLES
from typer.testing import CliRunner

from validator.assembly import read_assembly_file
from validator.cli import app
from validator.papers.inspection import sheet_of, sheets_page
from validator.rulebook.showing import OPENS
from validator.troubles.gathering import causes_of

SMELLS = SAMPLES / "shower-that-smells.yaml"
NEVER_SAID = re.compile(r"\b(approved|compliant|certified|void(ed)?|denied|guaranteed?)\b", re.IGNORECASE)


def run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, ["causes", *words])
    return done.exit_code, done.stdout, done.stderr


@pytest.fixture(scope="module")
def sheet(loaded):
    [assembly] = read_assembly_file(SMELLS, loaded.vocabulary, loaded.catalogue).to_judge()
    return sheet_of(assembly, causes_of(assembly, loaded), loaded)


def test_the_looks_stand_by_what_they_open_the_least_first(sheet):
    opened = [opens for opens, _ in sheet.looks]
    assert opened == [each for each in OPENS if each in opened]
    numbers = [row.number for _, rows in sheet.looks for row in rows]
    assert numbers == list(range(1, len(numbers) + 1))
    assert all(row.look.opens == opens for opens, rows in sheet.looks for row in rows)


def test_each_look_tells_of_a_cause_that_stands_on_the_sheet(sheet):
    named = {str(block.number) for block in sheet.causes} | {each.name for each in sheet.found.outside}
    for _, rows in sheet.looks:
        for row in rows:
            assert set(row.tells_of.split(", ")) <= named, row.look.name


def test_what_nobody_has_said_has_a_blank_with_the_word_to_write(sheet):
    asked = {each.written for block in sheet.causes for each in block.asked}
    assert "drain weeps clear" in asked
    page = sheets_page([sheet])
    assert all(f'<span class="fill">{each}:</span>' in page for each in asked)


def test_the_page_holds_the_drawing_the_photographs_what_is_kept_and_the_cautions(sheet, loaded):
    page = sheets_page([sheet])
    assert page.count("<svg") == len(sheet.drawings) >= 1
    for key in ("photograph", "keep", "take care"):
        for line in loaded.book.opening[key]:
            assert line[1:40] in page, line
    assert "asbestos" in page and "Silica" in page and "wires" in page
    assert "damp at the drain for months, does not dry" in page
    assert not NEVER_SAID.search(page)


def test_the_drawing_is_of_the_places_where_something_is_seen(sheet):
    assert {place for drawing in sheet.drawings for place in drawing.places} == {"shower floor"}


def test_a_reading_written_into_the_file_narrows_the_sheet(loaded, tmp_path):
    text = SMELLS.read_text(encoding="utf-8").replace("{kind: clamping ring}", "{kind: clamping ring, weeps clear: yes, weeps protected: yes}")
    (tmp_path / "again.yaml").write_text(text, encoding="utf-8")
    [again] = read_assembly_file(tmp_path / "again.yaml", loaded.vocabulary, loaded.catalogue).to_judge()
    found = causes_of(again, loaded)
    assert "drain weeps clear" not in {each.written for block in sheet_of(again, found, loaded).causes for each in block.asked}
    assert {"weep-holes-clear", "weep-holes-protected"} <= {each.rule for each in found.ruled_out}


def test_the_command_writes_the_sheet_where_it_is_asked_to(tmp_path):
    status, out, _ = run(str(SMELLS), "--sheet", "-o", str(tmp_path / "sheet.html"))
    assert (status, out) == (0, "")
    assert "Inspection sheet" in (tmp_path / "sheet.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    "words, said",
    [(("-o", "x.html"), "Accepted: --sheet with them"), (("--sheet", "--format", "json"), "Accepted: --sheet, or --format json")],
)
def test_what_does_not_go_together_is_told(words, said):
    status, _, told = run(str(SMELLS), *words)
    assert status == 2 and said in told


def test_of_a_programme_it_says_which_terms_a_cause_touches_in_its_own_words():
    status, out, _ = run(str(SMELLS), "--programme", "tilers-circle-wet-rooms", "--width", "200")
    assert status == 0
    assert "touches: two years, by the standards, clause B1: No failed or open matter that lets water escape (not met)" in out
    assert "states no legal rights" in out
    assert not NEVER_SAID.search(out)


def test_the_page_of_a_report_has_the_causes_where_something_is_seen(tmp_path):
    CliRunner().invoke(app, ["page", str(SMELLS), "-o", str(tmp_path / "seen.html")])
    CliRunner().invoke(app, ["page", str(SAMPLES / "five-mistakes.yaml"), "-o", str(tmp_path / "plain.html")])
    assert "What could explain it" in (tmp_path / "seen.html").read_text(encoding="utf-8")
    assert "What could explain it" not in (tmp_path / "plain.html").read_text(encoding="utf-8")
