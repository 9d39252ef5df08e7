"""How long the sheet of sums takes beside the judging of the same file."""

import time
from collections.abc import Callable
from pathlib import Path

from validator.assembly import read_assembly_file
from validator.checking import check
from validator.papers.sums import sheet_lines
from validator.papers.terminal import report_lines
from validator.ready import ready_book
from validator.sheet import sheet_of
from validator.shelf import book_folder

SAMPLE = Path(__file__).parent.parent.parent / "samples" / "second-floor-shower.yaml"
MOST = 1.3


def best(work: Callable[[], object], times: int = 7) -> float:
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def checked() -> None:
    ready = ready_book(book_folder("us"))
    assembly = read_assembly_file(SAMPLE, ready.vocabulary, ready.catalogue)
    list(report_lines(check(assembly, ready, passes=False), 100))


def worked() -> None:
    ready = ready_book(book_folder("us"), everything=True)
    assembly = read_assembly_file(SAMPLE, ready.vocabulary, ready.catalogue)
    list(sheet_lines(assembly.name, sheet_of(assembly, ready), 100))


def test_the_sheet_of_a_sample_takes_little_more_than_its_report() -> None:
    checked()
    worked()
    assert best(worked) <= MOST * best(checked)
