"""The PDF of every paper: text to select, fonts within the file, the same bytes twice. Run by `.ci/run`."""

import io
import sys
from pathlib import Path

import html5lib
import pypdf
import pytest

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "helpers"), str(HERE.parent.parent)]

from drawn import PAPERS  # noqa: E402 - the tests' folder is named first
from look_at_pages import BAD, SAMPLES, paper, shown  # noqa: E402

from validator.papers.pdf import pdf_of  # noqa: E402

FEWEST_LETTERS = 150  # on a sheet that others follow
HEADINGS = ("h1", "h2", "h3", "th")


def fonts(reader: pypdf.PdfReader):
    """Every font that a page names, as the file describes it."""
    for leaf in reader.pages:
        for font in (leaf.get("/Resources", {}).get("/Font") or {}).values():
            font = font.get_object()
            yield font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font


def letters(text: str) -> str:
    """Letters and figures alone, small: a PDF breaks its lines where the sheet does, and some words are set in capitals."""
    return "".join(filter(str.isalnum, text)).casefold()


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
@pytest.mark.parametrize("kind", PAPERS)
def test_text_can_be_selected_and_fonts_are_within(kind, path):
    html = shown(kind, path)
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(html, landscape=kind == "review")))
    sheets = [letters(leaf.extract_text()) for leaf in reader.pages]
    headings = [each for each in html5lib.parse(html, namespaceHTMLElements=False).iter() if each.tag in HEADINGS]
    assert headings
    for each in headings:
        assert letters("".join(each.itertext())) in "".join(sheets)
    assert all(len(each) >= FEWEST_LETTERS for each in sheets[:-1])
    used = list(fonts(reader))
    assert used
    for font in used:
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"].get_object())


@pytest.mark.parametrize("bad", BAD)
def test_bad_input_still_makes_a_pdf(bad):
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(paper("page", BAD[bad]))))
    assert len(letters(reader.pages[0].extract_text())) >= FEWEST_LETTERS


@pytest.mark.parametrize("kind", PAPERS)
def test_the_same_page_gives_the_same_bytes(kind):
    assert pdf_of(shown(kind, SAMPLES[0])) == pdf_of(shown(kind, SAMPLES[0]))


@pytest.mark.parametrize(("size", "landscape", "points"), [
    ("letter", False, (612, 792)), ("letter", True, (792, 612)), ("a4", False, (595, 842)), ("a4", True, (842, 595)),
])  # fmt: skip
def test_a_pdf_is_on_the_paper_asked_for(size, landscape, points):
    box = pypdf.PdfReader(io.BytesIO(pdf_of(shown("card", SAMPLES[0]), size, landscape=landscape))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == points
