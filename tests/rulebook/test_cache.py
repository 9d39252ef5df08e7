"""A kept book is served only by the program that wrote it."""

from pathlib import Path

from paths import ROOT

from validator.rulebook.cache import PACKAGE, program_files


def test_a_kept_book_is_known_by_every_module_of_the_program() -> None:
    named = {Path(each.rsplit(" ", 2)[0]) for each in program_files(PACKAGE)}
    assert named == set((ROOT / "validator").rglob("*.py"))
