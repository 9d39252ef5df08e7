"""How long the sheet of sums takes beside the judging of the same file."""

import time
from collections.abc import Callable
from pathlib import Path

from validator.assembly import read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import load_book
from validator.papers.report import report_lines
from validator.papers.sums import sheet_lines
from validator.planning.sums import sheet_of
from validator.rulebook.shelf import book_folder

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "second-floor-shower.yaml"
MOST = 1.3


def seconds(work: Callable[[], None]) -> float:
    """Of this process alone, whatever else the machine does."""
    begun = time.process_time()
    work()
    return time.process_time() - begun


def checked() -> None:
    loaded = load_book(book_folder("us"))
    assembly = read_assembly_file(SAMPLE, loaded.vocabulary, loaded.catalogue)
    list(report_lines(check(assembly, loaded, passes=False), 100))


def worked() -> None:
    loaded = load_book(book_folder("us"), everything=True)
    assembly = read_assembly_file(SAMPLE, loaded.vocabulary, loaded.catalogue)
    list(sheet_lines(assembly.name, sheet_of(assembly, loaded), 100))


def test_the_sheet_of_a_sample_takes_little_more_than_its_report() -> None:
    # in turn, so that what slows the machine for a while slows both
    pairs = [(seconds(checked), seconds(worked)) for _ in range(9)]
    assert min(sheet for _, sheet in pairs) <= MOST * min(report for report, _ in pairs)
