"""A text names a limit and says its value, so that no text lies once a limit changes."""

import json
from pathlib import Path

import pytest
from books import SEEN, rule, write_book
from paths import ROOT

from validator.judging.loading import LoadedBook, load_book
from validator.language.source import BadBook
from validator.proving.cases import prove_texts
from validator.rulebook.reading import read_book

SOURCE = {**SEEN, "edition": "1"}
LIMITS = json.dumps({
    "least depth": {"kind": "length", "value": "2 in", "source": SOURCE},
    "usual depth": {"kind": "length", "by": "place.kind", "values": {"shower wall": "3 in", "room wall": "1 in"}, "source": SOURCE},
})  # fmt: skip
NEEDS = {"place.depth": {"at least": {"limit": "least depth"}}}


def title(folder: Path, written: str, **keys: object) -> str:
    book = read_book(write_book(folder, rules={"all/deep-enough": rule(title=written, requires=NEEDS, **keys)}, limits=LIMITS))
    return book.rules["deep-enough"].title


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("At least {least depth} deep", "At least 2 in deep"),
        ("At least {usual depth, room wall} in a room", "At least 1 in in a room"),
        ("Usually {usual depth}", "Usually 3 in or 1 in"),
    ],
)
def test_a_text_says_the_value_of_the_limit_it_names(tmp_path: Path, written: str, said: str) -> None:
    assert title(tmp_path, written) == said


def test_a_limit_that_a_text_names_and_the_book_lacks_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadBook) as refused:
        title(tmp_path, "At least {leest depth} deep")
    assert "a text names `{leest depth}`, which is no limit of this book. Accepted: did you mean `{least depth}`?" in str(refused.value)


@pytest.mark.parametrize(("part", "text"), [("title", "At least 2 in deep"), ("because", "2 in hold."), ("put_right", "Dig 2 to 4 in.")])
def test_a_text_that_types_the_value_of_its_limit_is_told(tmp_path: Path, part: str, text: str) -> None:
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(requires=NEEDS, **{part: text})}, limits=LIMITS)))
    (told,) = prove_texts(loaded)
    assert told.endswith(f"`{part.replace('_', ' ')}` types 2 in, which would lie once the limit changes; write `{{least depth}}` in its place")


@pytest.mark.parametrize("text", ["At least 12 in deep", "At least 2 inches of it", "1-1/2 in", "2 in/ft"])
def test_another_number_is_no_slip(tmp_path: Path, text: str) -> None:
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(requires=NEEDS, title=text)}, limits=LIMITS)))
    assert not list(prove_texts(loaded))


def test_a_limit_that_is_replaced_is_another_in_every_text(tmp_path: Path) -> None:
    above = tmp_path / "above"
    above.mkdir()
    (above / "book.yaml").write_text('book: above\ntitle: Above\nedition: "1"\nlayer: local amendment\n', encoding="utf-8")
    (above / "limits.yaml").write_text(
        "least height of a curb above the drain: {kind: length, value: 3 in, replaces: yes, source: {from: residential building code, "
        'edition: "2021", known by: read second-hand}}\n', encoding="utf-8",
    )  # fmt: skip
    rules = load_book(ROOT / "rulebooks" / "us", above).book.rules
    assert rules["curb-high-enough-above-the-drain"].title == "The curb stands between 3 in and 9 in above the drain"
    assert "3 in to 9 in" in rules["curb-high-enough-above-the-drain"].put_right


def test_no_text_of_the_shelf_types_the_value_of_a_limit() -> None:
    assert load_book(ROOT / "rulebooks" / "us").book.text_slips == ()
