"""The PDF of every paper: text that can be selected, fonts within the file, the same bytes twice. Run by `.ci/run`."""

import io
import sys
from pathlib import Path

import pypdf
import pytest

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT / "tests"))

from drawn import judged, shelf  # noqa: E402 - the tests' folder is named first

from validator.papers.card import card_of, card_page  # noqa: E402
from validator.papers.page import page  # noqa: E402
from validator.papers.pdf import pdf_of  # noqa: E402
from validator.papers.review import review_of, review_page  # noqa: E402

FIVE = ROOT / "samples" / "five-mistakes.yaml"
SAID = "Board screws reach far enough into the framing"


def paper(kind: str) -> str:
    assembly, report, _ = judged(FIVE)
    match kind:
        case "page":
            return page([assembly], [report], shelf())
        case "card":
            return card_page([card_of(assembly, report, shelf())])
    return review_page([review_of(assembly, report, shelf(), "09 30 13")])


def fonts(reader: pypdf.PdfReader):
    """Every font that a page names, as the file describes it."""
    for leaf in reader.pages:
        for font in (leaf.get("/Resources", {}).get("/Font") or {}).values():
            font = font.get_object()
            yield font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font


@pytest.mark.parametrize("kind", ["page", "card", "review"])
def test_text_can_be_selected_and_fonts_are_within(kind):
    reader = pypdf.PdfReader(io.BytesIO(pdf_of(paper(kind))))
    text = " ".join(" ".join(leaf.extract_text() for leaf in reader.pages).split())
    assert SAID in text
    used = list(fonts(reader))
    assert used
    for font in used:
        assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"].get_object())


def test_the_same_page_gives_the_same_bytes():
    assert pdf_of(paper("card")) == pdf_of(paper("card"))


@pytest.mark.parametrize(("size", "landscape", "points"), [
    ("letter", False, (612, 792)), ("letter", True, (792, 612)), ("a4", False, (595, 842)), ("a4", True, (842, 595)),
])  # fmt: skip
def test_a_pdf_is_on_the_paper_asked_for(size, landscape, points):
    box = pypdf.PdfReader(io.BytesIO(pdf_of(paper("card"), size, landscape=landscape))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == points
