"""The registered shower under both programmes of the shelf: its papers stand beside it, and are read by people.

When a paper rightly changes, run `python -m tests.warranty.test_clerk_papers` in the root folder, read the difference, and keep it.
"""

import re
from pathlib import Path

import pytest
from drawn import shelf

from validator.assembly import read_assembly_file
from validator.judging.loading import LoadedBook, load_book
from validator.papers.case_sheet import case_lines, case_of
from validator.papers.letter import letter_lines, letter_of
from validator.papers.warranty import warranty_lines
from validator.rulebook.shelf import book_folder
from validator.warranty import WarrantyReport, stand
from validator.warranty.reading import programme_file, programme_names, read_programme

SAMPLE = Path(__file__).parents[2] / "samples" / "registered-shower.yaml"
CIRCLE, MILLRACE = "tilers-circle-wet-rooms", "millrace-handover"
WIDTH = 80
FINGERPRINT = re.compile(r"(fingerprint) [0-9a-f]{16}")
PAPERS = {
    "warranty": warranty_lines,
    "letter": lambda report, width: letter_lines(letter_of(report), width),
    "sheet": lambda report, width: case_lines(case_of(report), width),
}
BESIDE = [(MILLRACE, "warranty"), (CIRCLE, "warranty"), (CIRCLE, "letter"), (MILLRACE, "sheet")]


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return shelf()


def reported(programme: str, loaded: LoadedBook) -> WarrantyReport:
    document = read_programme(programme_file(programme), loaded.book)
    return stand(read_assembly_file(SAMPLE, loaded.vocabulary, loaded.catalogue), document, loaded)


def written(programme: str, paper: str, loaded: LoadedBook) -> str:
    lines = PAPERS[paper](reported(programme, loaded), WIDTH)
    return FINGERPRINT.sub(r"\1 (left out)", "\n".join(text for text, _ in lines) + "\n")


def beside(programme: str, paper: str) -> Path:
    return SAMPLE.with_suffix(f".{programme}.{paper}.txt")


@pytest.mark.parametrize(("programme", "paper"), BESIDE)
def test_the_paper_on_the_registered_shower_is_the_one_beside_it(programme, paper, loaded):
    assert written(programme, paper, loaded) == beside(programme, paper).read_text(encoding="utf-8")


def test_every_programme_of_the_shelf_is_seen_at_work():
    assert {programme for programme, _ in BESIDE} == set(programme_names())
    assert {beside(*each) for each in BESIDE} == {
        path for path in SAMPLE.parent.glob(f"{SAMPLE.stem}.*.txt") if not path.name.endswith(".expected.txt")
    }


@pytest.mark.parametrize(
    ("programme", "standings", "status"),
    [(MILLRACE, ["shown", "for a person to decide"], 3), (CIRCLE, ["shown", "not shown"], 3)],
)
def test_the_first_term_is_shown_and_the_longer_one_is_asked_about(programme, standings, status, loaded):
    report = reported(programme, loaded)
    assert [term.standing for term in report.terms] == standings
    assert report.exit_status == status


def test_forty_days_are_in_time_for_one_document_and_late_for_the_other(loaded):
    by_programme = {
        name: next(line for line in reported(name, loaded).terms[1].conditions if line.kind == "administrative") for name in (MILLRACE, CIRCLE)
    }
    assert by_programme[MILLRACE].standing == "shown"
    assert by_programme[CIRCLE].standing == "not shown"
    assert all("2026-04-29: 40 days between them" in line.reason for line in by_programme.values())


def write_beside() -> None:
    """Write the papers beside the sample anew."""
    loaded = load_book(book_folder("us"), everything=True)
    for programme, paper in BESIDE:
        beside(programme, paper).write_text(written(programme, paper, loaded), encoding="utf-8")


if __name__ == "__main__":
    write_beside()
