"""What is shown is what is there: a letter that cannot be seen, or that turns what is read, is shown by its name."""

import json
import re

import pytest
from paths import RULEBOOKS

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import load_book
from validator.papers.as_json import as_json
from validator.papers.page import page
from validator.papers.visible import UNSEEN, escaped, shown


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a\x1b[2Jb", "a[U+001B escape][2Jb"),
        ("a\x07", "a[U+0007 bell]"),
        ("a\x9bb", "a[U+009B]b"),
        ("a\rb", "a[U+000D return]b"),
        ("a\u202eb", "a[U+202E right-to-left override]b"),
        ("a\u2066b", "a[U+2066 left-to-right isolate]b"),
        ("a\u200bb", "a[U+200B zero width space]b"),
        ("a\u00adb", "a[U+00AD soft hyphen]b"),
        ("a\ufeffb", "a[U+FEFF zero width no-break space]b"),
        ("a\U000e0041b", "a[U+E0041 tag latin capital letter a]b"),
        ("a\ud800b", "a[U+D800]b"),
        ("bäd 浴室 שלום 🛁\n\tx", "bäd 浴室 שלום 🛁\n\tx"),
    ],
)
def test_a_letter_that_cannot_be_seen_is_shown_by_its_name(text, said):
    assert shown(text) == said


@pytest.mark.parametrize("text", ["a\u202eb", "a\x9bb", "a\U000e0041b", "a\u2028b", "bäd 浴室"])
def test_another_program_reads_the_letter_itself(text):
    written = escaped(json.dumps({"name": text}, ensure_ascii=False))
    assert not re.search(UNSEEN, written)
    assert json.loads(written) == {"name": text}


@pytest.fixture(scope="module")
def turned():
    """A place whose name turns the direction of reading, as a page, a drawing and JSON tell it."""
    loaded = load_book(RULEBOOKS / "us", everything=True)
    text = 'places: {"back\u202ewall\u200b": {kind: shower wall, built up: [board: {material: foam, product: "x\u2066y"}, tile]}}\n'
    assembly = read_assembly(text, "turned.yaml", loaded.vocabulary, loaded.catalogue)
    report = check(assembly, loaded)
    return page((assembly,), [report], loaded), as_json([report])


def test_a_page_with_its_drawings_shows_such_a_name(turned):
    html, _ = turned
    assert "back[U+202E right-to-left override]wall[U+200B zero width space]" in html
    assert not re.search(UNSEEN, html)


def test_json_holds_the_name_as_it_was_written(turned):
    _, written = turned
    assert not re.search(UNSEEN, written)
    assert any(finding["place"] == "back\u202ewall\u200b" for finding in json.loads(written)["open_items"])
