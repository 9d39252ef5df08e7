"""A guard rules out nothing that the trees do not: what it does not let pass does not apply, and its rule is not made."""

from paths import SAMPLES

from validator.assembly import read_assembly_file
from validator.engines.closures import NOT
from validator.engines.outcomes import Outcome
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.proving.grid import boundary_rows
from validator.rulebook.shelf import book_folder

MOST_ROWS = 60


def test_what_a_guard_does_not_let_pass_does_not_apply(loaded: LoadedBook) -> None:
    kept_out, passed = 0, 0
    for compiled in loaded.engine.rules:
        for row in boundary_rows(compiled.trees.every(), loaded.vocabulary, loaded.engine.deriver.blank, MOST_ROWS):
            if compiled.may_apply(row) == NOT:
                kept_out += 1
                assert compiled.applies(row) == NOT, compiled.name
                assert compiled.judge(row).outcome is Outcome.NOT_APPLICABLE, compiled.name
            else:
                passed += 1
    assert kept_out > 1_000 and passed > 1_000


def test_the_trees_of_what_applies_nowhere_are_not_made() -> None:
    book = load_book(book_folder("us"))
    check(read_assembly_file(SAMPLES / "upstairs-stone-floor.yaml", book.vocabulary, book.catalogue), book, passes=False)
    made = [rule for rule in book.engine.rules if "trees" in vars(rule)]
    assert 0 < len(made) < len(book.engine.rules) / 2
