"""Papers of a described assembly for the tests, and what stands on a drawing, read back from its SVG."""

from functools import cache
from xml.etree import ElementTree

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.papers.card import card_of, card_page
from validator.papers.case_sheet import case_of, cases_page
from validator.papers.drawing import Drawing, drawings_of
from validator.papers.letter import letter_of, letters_page
from validator.papers.numbering import marks_of
from validator.papers.page import page
from validator.papers.review import review_of, review_page
from validator.rulebook.shelf import book_folder
from validator.submittals.sections import SpecMap, section_of
from validator.warranty import stand
from validator.warranty.reading import programme_file, read_programme

SVG = "{http://www.w3.org/2000/svg}"
PAPERS = ("page", "card", "review", "letter", "case")  # of HTML
SECTION, PROGRAMME = "09 30 13", "millrace-handover"
SPEC = SpecMap(section_of(SECTION))


@cache
def shelf() -> LoadedBook:
    return load_book(book_folder("us"), everything=True)


@cache
def judged(described):
    """The assembly, its report and its marks; of a sample's path, or of a text. Nobody changes them."""
    loaded = shelf()
    read = (
        read_assembly_file(described, loaded.vocabulary, loaded.catalogue)
        if hasattr(described, "suffix")
        else read_assembly(described, "assembly.yaml", loaded.vocabulary, loaded.catalogue)
    )
    report = check(read, loaded)
    return read, report, marks_of(report, loaded)


def paper(kind: str, described) -> str:
    """One of PAPERS of what is described."""
    assembly, report, _ = judged(described)
    match kind:
        case "page":
            return page([assembly], [report], shelf())
        case "card":
            return card_page([card_of(assembly, report, shelf())])
        case "review":
            return review_page([review_of(assembly, report, shelf(), SPEC)])
    stands = stand(assembly, read_programme(programme_file(PROGRAMME), shelf().book), shelf())
    return letters_page([letter_of(stands)]) if kind == "letter" else cases_page([case_of(stands)])


def drawings(described) -> tuple[Drawing, ...]:
    assembly, _, marks = judged(described)
    return drawings_of(assembly, shelf(), marks)


def drawing(described, sort: str) -> ElementTree.Element:
    """The first drawing of a sort, read as XML."""
    return ElementTree.fromstring(next(each.svg for each in drawings(described) if each.sort == sort))


def lettering(root: ElementTree.Element) -> list[str]:
    """What is lettered on a drawing, line by line."""
    return [each.text or "" for each in root.iter(f"{SVG}text")]


def strips(root: ElementTree.Element) -> dict[str, ElementTree.Element]:
    return {each.get("data-thing"): each for each in root.iter(f"{SVG}path") if each.get("data-thing")}


def points(path: ElementTree.Element) -> list[tuple[float, float]]:
    return [tuple(map(float, pair.split())) for pair in path.get("d").strip("MZ ").split(" L")]


def balloons(root: ElementTree.Element) -> list[tuple[str, float, float, float]]:
    """Number, centre and radius of each balloon."""
    groups = [each for each in root.iter(f"{SVG}g") if each.get("class") == "balloon"]
    rings = [(each.get("data-number"), each.find(f"{SVG}circle")) for each in groups]
    return [(number, float(ring.get("cx")), float(ring.get("cy")), float(ring.get("r"))) for number, ring in rings]
