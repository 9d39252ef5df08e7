"""The review sheet's workbook as LibreOffice opens it: every cell is there, and nothing is computed. Run by `.ci/run`."""

import io
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import openpyxl
import pytest

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent / "helpers"), str(HERE.parent.parent)]

from drawn import SECTION, judged, shelf  # noqa: E402 - the tests' folder is named first

from validator.papers.review import review_of  # noqa: E402
from validator.papers.workbook import workbook_of  # noqa: E402
from validator.submittals.sections import SpecMap, section_of  # noqa: E402

SAMPLES = sorted((HERE.parent.parent / "samples").glob("*.yaml"))
TABLE, OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}", "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
FORMULAS = ('=HYPERLINK("http://127.0.0.1/","here")', "=1+1", "+1+1", "-2+3", "@SUM(1+1)", "=cmd|'/c calc'!A1", "{=1+1}")
HOSTILE = "assembly: '=1+1'\nplaces:\n" + "".join(
    f"  {name!r}:\n    kind: shower wall\n    built up: [board: {{material: foam, name: {name!r}}}]\n".replace("\\'", "''")
    for name in FORMULAS if "'" not in name
)  # fmt: skip
DESCRIBED = {path.stem: path for path in SAMPLES} | {"hostile": HOSTILE}


def workbook(described, submittal: str = "") -> bytes:
    assembly, report, _ = judged(described)
    return workbook_of([review_of(assembly, report, shelf(), SpecMap(section_of(SECTION)), submittal=submittal)])


@pytest.fixture(scope="module")
def opened(tmp_path_factory) -> Path:
    """A folder of every workbook, and of what LibreOffice read in it, written out again as plain XML."""
    program = shutil.which("soffice") or shutil.which("libreoffice")
    assert program, "LibreOffice is not installed: apt-get install libreoffice-calc-nogui, as .ci/run does"
    folder = tmp_path_factory.mktemp("workbooks")
    for name, described in DESCRIBED.items():
        (folder / f"{name}.xlsx").write_bytes(workbook(described, "=cmd|'/c calc'!A1" if name == "hostile" else ""))
    command = [program, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--convert-to", "fods", "--outdir",
               str(folder), *(str(folder / f"{name}.xlsx") for name in DESCRIBED)]  # fmt: skip
    subprocess.run(command, capture_output=True, timeout=300, check=True)
    return folder


def cells(root: ElementTree.Element):
    """Each cell that holds anything, with its text; cells alike side by side are written once, and counted."""
    for cell in root.iter(f"{TABLE}table-cell"):
        text = "\n".join("".join(each.itertext()) for each in cell)
        if text:
            yield from [(cell, text)] * int(cell.get(f"{TABLE}number-columns-repeated", 1))


@pytest.mark.parametrize("name", DESCRIBED)
def test_libreoffice_reads_every_cell_as_it_was_written(name, opened):
    written = openpyxl.load_workbook(opened / f"{name}.xlsx")
    root = ElementTree.parse(opened / f"{name}.fods").getroot()
    assert [each.get(f"{TABLE}name") for each in root.iter(f"{TABLE}table")] == written.sheetnames
    told = [str(cell.value) for sheet in written for row in sheet for cell in row if cell.value not in (None, "")]
    assert [" ".join(text.split()) for _, text in cells(root)] == [" ".join(each.split()) for each in told]


@pytest.mark.parametrize("name", DESCRIBED)
def test_nothing_is_computed(name, opened):
    root = ElementTree.parse(opened / f"{name}.fods").getroot()
    assert not [cell for cell, _ in cells(root) if cell.get(f"{TABLE}formula")]
    assert {cell.get(f"{OFFICE}value-type") for cell, _ in cells(root)} <= {"string", "float"}


def test_what_looks_like_a_formula_is_text(opened):
    root = ElementTree.parse(opened / "hostile.fods").getroot()
    texts = [(cell.get(f"{OFFICE}value-type"), text) for cell, text in cells(root) if text[:1] in "=+-@{"]
    assert {sort for sort, _ in texts} == {"string"}
    for formula in FORMULAS:
        assert any(text.startswith(formula) for _, text in texts), formula


def test_a_computed_cell_would_be_noticed(opened, tmp_path):
    """The looking looked at: a formula that a careless hand writes is computed, and seen."""
    book = openpyxl.load_workbook(io.BytesIO(workbook(HOSTILE)))
    book.active["A9"] = "=1+1"
    book.save(tmp_path / "careless.xlsx")
    command = [shutil.which("soffice") or "libreoffice", f"-env:UserInstallation={(opened / 'profile').as_uri()}", "--headless",
               "--convert-to", "fods", "--outdir", str(tmp_path), str(tmp_path / "careless.xlsx")]  # fmt: skip
    subprocess.run(command, capture_output=True, timeout=300, check=True)
    read = cells(ElementTree.parse(tmp_path / "careless.fods").getroot())
    assert [text for cell, text in read if cell.get(f"{TABLE}formula")] == ["2"]
