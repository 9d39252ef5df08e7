"""Papers of a described assembly for the tests, and what stands on a drawing, read back from its SVG."""

from functools import cache
from xml.etree import ElementTree

from validator.assembly import read_assembly, read_assembly_file
from validator.checking import check
from validator.papers.marks import marks_of
from validator.papers.section import Drawing, drawings_of
from validator.ready import Ready, ready_book
from validator.shelf import book_folder

SVG = "{http://www.w3.org/2000/svg}"


@cache
def shelf() -> Ready:
    return ready_book(book_folder("us"), everything=True)


def judged(described):
    """The assembly, its report and its marks; of a sample's path, or of a text."""
    ready = shelf()
    read = (
        read_assembly_file(described, ready.vocabulary, ready.catalogue)
        if hasattr(described, "suffix")
        else read_assembly(described, "assembly.yaml", ready.vocabulary, ready.catalogue)
    )
    report = check(read, ready)
    return read, report, marks_of(report, ready)


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


def balloons(root: ElementTree.Element) -> list[tuple[int, float, float, float]]:
    """Number, centre and radius of each balloon."""
    groups = [each for each in root.iter(f"{SVG}g") if each.get("class") == "balloon"]
    rings = [(int(each.get("data-number")), each.find(f"{SVG}circle")) for each in groups]
    return [(number, float(ring.get("cx")), float(ring.get("cy")), float(ring.get("r"))) for number, ring in rings]
