"""A warranty document read as told and strictly: shown only by what is stated, not met as soon as it is not met as told."""

from dataclasses import replace

import pytest
from drawn import shelf
from paths import SAMPLES
from stated import COUNTRY, ENOUGH, INVOICE, IN_FORCE, REGISTERED, STANDARD, TESTED, report_on, small
from typer.testing import CliRunner

from validator.assembly import read_assembly, read_assembly_file
from validator.cli import app
from validator.engines.varying import judge_varying
from validator.papers.letter import letter_lines, letter_of
from validator.papers.warranty import warranty_lines
from validator.warranty import stand
from validator.warranty.conditions import Judge
from validator.warranty.programme import Clear, Stated
from validator.warranty.reading import programme_file, programme_names, read_programme
from validator.warranty.readings import Reading
from validator.warranty.report import SETTLED, Standing

CLEAR = "needs: Nothing lets water out, kind: by standard, clear: [water escapes, bond and support]"
SILENT = "membrane: {kind: liquid}"
JOB = """\
assembly: A hall bath
use: {building: house, country: US%s}
places:
  wall:
    kind: shower wall
    built up:
      - board: {material: cement, thickness: 1/2 in}
      - screws: {length: %s}
      - membrane: {kind: liquid, coats: 2}
      - tile mortar
      - tile: {body: porcelain, size: 12 x 24 in}
      - grout: {joint: 1/8 in}
"""


@pytest.fixture(scope="module")
def loaded():
    return shelf()


def lines(conditions: str, assembly: str, loaded):
    return report_on(assembly, conditions, loaded).terms[0].conditions


def job(stage: str = "", screws: str = "1-5/8 in") -> str:
    return JOB % (stage and f", {stage}", screws)


def letter(assembly: str, conditions: str, loaded) -> str:
    return " ".join("\n".join(text for text, _ in letter_lines(letter_of(report_on(assembly, conditions, loaded)), 200)).split())


def test_what_is_usual_and_not_stated_is_taken_and_never_shown(loaded):
    (line,) = lines(STANDARD, small(membrane=SILENT), loaded)
    assert (line.standing, line.strictly) == (Standing.TAKEN, Standing.NOT_SHOWN)
    assert line.taken == ("membrane meets A118.10",) and not line.asks and not line.facts


def test_what_is_stated_is_shown_in_both_readings_and_leans_on_nothing_usual(loaded):
    (line,) = lines(STANDARD, small(), loaded)
    assert (line.standing, line.strictly, line.taken) == (Standing.SHOWN, Standing.SHOWN, ())


def test_a_term_with_something_taken_is_never_complete(loaded):
    report = report_on(small(membrane=SILENT), f"{INVOICE} | {STANDARD}", loaded)
    assert (report.terms[0].standing, report.terms[0].strictly) == (Standing.TAKEN, Standing.NOT_SHOWN)
    assert report.exit_status == 3
    assert report_on(small(), f"{INVOICE} | {STANDARD}", loaded).exit_status == 0


def test_a_term_is_not_met_as_told_where_strictly_it_is_only_not_shown(loaded):
    """A large tile on organic adhesive: only what nobody said about the wall keeps it open strictly."""
    text = job(screws="1 in")
    (line,) = lines(CLEAR, text, loaded)
    assert line.standing is Standing.NOT_MET
    report = read_both(text, loaded)
    worse = [each for each in report.conditions if each.standing is Standing.NOT_MET]
    assert worse and all(each.strictly in (Standing.NOT_MET, Standing.NOT_SHOWN) for each in worse)
    assert report.exit_status == 1


def read_both(text: str, loaded, name: str = "millrace-handover"):
    assembly = read_assembly(text, "a.yaml", loaded.vocabulary, loaded.catalogue)
    return stand(assembly, read_programme(programme_file(name), loaded.book), loaded)


@pytest.mark.parametrize("name", programme_names())
@pytest.mark.parametrize("sample", ["second-floor-shower", "five-mistakes", "half-known", "registered-shower", "tub-surround", "metric-wet-room"])
def test_what_is_settled_strictly_is_settled_alike_as_told(name, sample, loaded):
    document = read_programme(programme_file(name), loaded.book)
    assembly = read_assembly_file(SAMPLES / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)
    told, strictly = (stand(assembly, document, loaded, strict=strict) for strict in (False, True))
    for here, there in zip(told.conditions, strictly.conditions, strict=True):
        assert here.strictly is there.standing is there.strictly
        if there.standing in (*SETTLED, Standing.NOT_MET, Standing.OUTSIDE):
            assert here.standing is there.standing
        assert (here.standing in SETTLED) == (here.strictly in SETTLED)
    assert [term.strictly for term in told.terms] == [term.standing for term in strictly.terms]


def test_days_and_quantities_are_never_taken_as_usual(loaded):
    for line in lines(f"{ENOUGH} | {REGISTERED}", small(size="unknown", records=IN_FORCE), loaded):
        assert (line.standing, line.taken) == (Standing.NOT_SHOWN, ())


def test_a_country_that_nobody_names_is_taken_and_said(loaded):
    (line,) = lines(COUNTRY, small(), loaded)
    assert (line.standing, line.taken) == (Standing.TAKEN, ("country United States",))
    assert "Taken as it usually is, since nobody says otherwise: country United States." in letter(small(), COUNTRY, loaded)


# -- the stage of the job -----------------------------------------------------------------------------------------------------


def test_before_the_work_nothing_is_asked_that_can_only_be_seen_or_noted_later(loaded):
    text = letter(job("stage: as planned"), f"{CLEAR} | {INVOICE}", loaded)
    assert "Is there tape over the seam or corner" in text and "the invoice for the materials at hand" not in text
    assert "Not asked for yet, and lost if nobody keeps it:" in text and "An invoice" in text
    assert "Tile hides it now" not in text


@pytest.mark.parametrize("finished", ["stage: finished", "completion: 2026-03-01"])
def test_once_tile_hides_it_what_shows_it_is_asked_and_nobody_is_sent_to_look(finished, loaded):
    text = letter(job(finished), f"{CLEAR} | {INVOICE}", loaded)
    asked, _, shown = text.partition("Tile hides it now")
    assert "the invoice for the materials at hand" in text and "Not asked for yet" not in text
    assert "Is there tape over the seam or corner" in shown and "tape over the seam" not in asked
    assert "Before tile." not in text


def test_where_no_stage_is_told_both_are_asked(loaded):
    text = letter(job(), f"{CLEAR} | {INVOICE}", loaded)
    assert "Is there tape over the seam or corner" in text and "the invoice for the materials at hand" in text and "Not asked for yet" not in text


def test_a_condition_that_is_not_met_asks_at_once_for_what_else_is_open(loaded):
    text = letter(job(screws="1 in"), CLEAR, loaded)
    assert "If that is not so, tell us how it is." in text and "Is there tape over the seam or corner" in text


def test_a_flood_test_of_a_finished_floor_is_asked_for(loaded):
    assert "Was the waterproofing flood tested?" in letter(small(use="stage: finished"), TESTED, loaded)
    assert "Was the waterproofing flood tested?" not in letter(small(use="stage: as planned"), TESTED, loaded)


def test_where_the_book_judges_nothing_of_a_place_a_person_decides(loaded):
    looked = [judge_varying(loaded.engine, each) for each in read_assembly(small(), "a.yaml", loaded.vocabulary, {}).subjects]
    reading = Reading(looked, [], [derived for derived, _ in looked])
    condition = Stated("Nothing ugly", "by standard", Clear(("looks",)))
    assert Judge(loaded, reading).line(condition).standing is Standing.SHOWN
    line = Judge(loaded, replace(reading, outside=frozenset(("pool",)))).line(condition)
    assert (line.standing, line.reason) == (Standing.PERSON, "This book judges nothing of: pool.")


# -- the papers ---------------------------------------------------------------------------------------------------------------


def test_the_paper_says_how_it_was_read_and_what_was_taken(loaded):
    report = report_on(small(membrane=SILENT), f"{INVOICE} | {STANDARD}", loaded)
    paper = "\n".join(line for line, _ in warranty_lines(report, 100))
    assert "Read as told: 3 of 4 conditions are shown by what is stated, 1 taken as usual." in paper
    assert "TAKEN AS USUAL  one year (strictly: not shown)" in paper
    assert "Taken as usual: membrane meets A118.10." in paper


def test_the_strict_reading_alone_is_told_where_it_is_asked_for():
    done = CliRunner().invoke(app, ["warranty", str(SAMPLES / "half-known.yaml"), "--programme", "millrace-handover", "--strict"])
    assert done.exit_code == 3
    assert "Read strictly:" in done.output and "aken as usual" not in done.output and "(strictly:" not in done.output
