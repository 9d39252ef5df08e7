"""What may be changed is written in the vocabulary, and slips there are refused."""

from pathlib import Path

import pytest

from validator.facts.vocabulary_reading import read_vocabulary
from validator.language.source import BadBook
from validator.rulebook.shelf import shelf

EFFORT_SCALE = "job: {what: The job, sort: job}\njob.effort: {what: Effort, kind: word, order: yes, stated: no, words: [swap a bag, open the floor]}\n"
SCREW = "screw: {what: Screws, sort: layer}\n"


def complaints(tmp_path: Path, text: str) -> str:
    (tmp_path / "words.yaml").write_text(EFFORT_SCALE + SCREW + text)
    with pytest.raises(BadBook) as bad:
        read_vocabulary(tmp_path)
    return str(bad.value)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("screw.length: {what: L, kind: length, mend: {how: swap a bag}}", "`mend` of an amount says neither sizes nor a step"),
        ("screw.length: {what: L, kind: length, mend: {how: swap a bag, sizes: [many]}}", "gives no number"),
        ("screw.kind: {what: K, kind: word, words: [a, b], mend: {how: swap a bag, to: [c]}}", "`c` is not one of the words. Accepted: a, b"),
        ("screw.kind: {what: K, kind: word, words: [a, b], mend: {how: by magic}}",
         "`by magic` is no rung of `job.effort`. Accepted: swap a bag, open the floor"),
        ("screw.kind: {what: K, kind: word, words: [a, b], mend: {to: [a]}}", "how"),
    ],
)  # fmt: skip
def test_a_slip_in_what_may_be_changed_is_refused(tmp_path: Path, text: str, said: str) -> None:
    assert said in complaints(tmp_path, text)


def test_the_shelf_says_what_may_be_changed_and_how_hard_it_is() -> None:
    vocabulary = read_vocabulary(shelf() / "vocabulary")
    ladder = vocabulary.facts["job.effort"].words
    length = vocabulary.facts["screw.length"].mend
    assert "1-5/8 in" in length.sizes and length.how == "another size"
    assert ladder.index("another product") < ladder.index("another coat") < ladder.index("open the floor") < ladder.index("move the drain")
    assert vocabulary.things["membrane"].mend["add"] == "another layer"
