"""What may be stated is read by some rule, or says what it is kept for."""

from pathlib import Path

import pytest
from books import VOCABULARY, rule, write_book

from validator.judging.loading import LoadedBook, load_book
from validator.proving import prove_heard

DEEP = rule()  # reads place.depth and nothing else
WET_TAPE = rule("wide-tape", requires={"tape.width": {"at least": "2 in"}}, applies_when={"place.kind": "shower wall"})


def told(folder: Path, *rules: str, vocabulary: str = VOCABULARY) -> list[str]:
    """The facts that a small book with these rules leaves unheard."""
    written = {f"chapter/{name}": text for name, text in zip(("deep-enough", "wide-tape"), rules)}
    book = load_book(write_book(folder, vocabulary=vocabulary, rules=written))
    return [line.partition("`")[2].partition("`")[0] for line in prove_heard(book, "small")]


@pytest.mark.parametrize("kept", ["", ", kept for: the drawings"])
def test_a_fact_that_no_rule_reads_is_told_unless_it_is_kept_for_something(tmp_path, kept):
    vocabulary = VOCABULARY.replace("place.fall: {what: Fall, kind: slope}", f"place.fall: {{what: Fall, kind: slope{kept}}}")
    unheard = told(tmp_path, DEEP, vocabulary=vocabulary)
    assert ("place.fall" in unheard) == (not kept)
    assert "place.depth" not in unheard


def test_what_is_read_at_one_kind_of_place_is_heard(tmp_path):
    assert "tape.width" in told(tmp_path / "without", DEEP)
    assert "tape.width" not in told(tmp_path / "with", DEEP, WET_TAPE)


def test_what_is_concluded_needs_no_hearing(tmp_path):
    assert "place.needs lining" not in told(tmp_path, DEEP)


def test_every_word_of_the_shelf_s_vocabulary_is_read(loaded: LoadedBook):
    assert list(prove_heard(loaded, "us")) == []
