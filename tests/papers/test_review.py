"""The review sheet: a line for each requirement, in the order of construction, with blanks that only people fill."""

import io
import re

import html5lib
import openpyxl
import pytest
from drawn import judged, shelf
from paths import ROOT

from validator.papers.review import review_of, review_page
from validator.papers.workbook import workbook_of

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
FIVE = next(path for path in SAMPLES if path.stem == "five-mistakes")
HALF = next(path for path in SAMPLES if path.stem == "half-known")
FORMULA = """
assembly: '=HYPERLINK("http://x","y")'
places:
  "+1+1":
    kind: shower wall
    built up:
      - board: {material: foam, thickness: 1/2 in}
  "@wall":
    like: "+1+1"
  "<script>alert(1)</script>":
    like: "+1+1"
"""


def review(described, section: str = "09 30 13"):
    assembly, report, _ = judged(described)
    return review_of(assembly, report, shelf(), section)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_each_judged_requirement_has_one_line(path):
    """Advice on which nothing is written is no line of the sheet."""
    _, report, _ = judged(path)
    lines = [finding for finding in report.findings if finding.outcome != "advice" or not finding.would_be]
    made = review(path)
    assert len(made.lines) == len(lines)
    html5lib.HTMLParser(strict=True).parse(review_page([made]))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_lines_stand_in_the_order_of_construction(path):
    points = [line.point for line in review(path).lines]
    assert points == sorted(points)


@pytest.mark.parametrize(("result", "action"), [
    ("F", "Revise and resubmit"), ("second look", "Exceptions noted"), ("P", "No exceptions taken"), ("for record", "For record"),
])  # fmt: skip
def test_an_action_is_suggested_by_the_result(result, action):
    assert {line.action for line in review(FIVE).lines if line.result == result} == {action}


def test_what_cannot_be_told_becomes_a_request_for_information():
    made = review(HALF)
    asked = {str(request.number) for request in made.requests}
    unclear = [line for line in made.lines if line.result == "cannot tell"]
    assert unclear and {line.action for line in unclear} == {"Submit specified item"}
    assert {line.request for line in unclear} <= asked


def test_every_line_names_the_section_its_source_and_where_it_is_written():
    line = next(line for line in review(FIVE, "09 30 13 2.3.B").lines if line.requirement.startswith("Board screws reach far"))
    assert line.clause.startswith("09 30 13 2.3.B; International Residential Code")
    assert "R702.3.5" in line.clause
    assert line.found == "screw penetration 1/4 in (6.4 mm)"
    assert re.search(r"stated: line \d+", line.evidence)


def test_the_five_mistakes_are_five_deviations():
    assert len(review(FIVE).deviations) == 5


def test_hold_points_leave_blanks_for_site_values():
    points = review(FIVE).points
    assert [point.number for point in points] == list(range(1, 9))
    assert all(point.blanks for point in points)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_no_sheet_claims_more_than_was_judged(path):
    text = " ".join(html5lib.parse(review_page([review(path)]), namespaceHTMLElements=False).itertext()).lower()
    assert not re.search(r"\b(approved|compliant|certified|void|denied|guaranteed)\b", text)


def test_what_looks_like_a_formula_stays_text_in_the_spreadsheet():
    book = openpyxl.load_workbook(io.BytesIO(workbook_of([review(FORMULA, "=1+1")])))
    cells = [cell for sheet in book for row in sheet for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    told = [cell for cell in cells if str(cell.value).startswith(("=", "+", "-", "@"))]
    assert told and all(cell.data_type == "s" and cell.quotePrefix for cell in told)


def test_the_spreadsheet_holds_every_line():
    made = review(FIVE)
    book = openpyxl.load_workbook(io.BytesIO(workbook_of([made])))
    rows = list(book["Requirements"].iter_rows(min_row=2, values_only=True))
    assert [row[0] for row in rows] == [line.number for line in made.lines]
    assert [row[2] for row in rows] == [line.requirement for line in made.lines]


def test_the_same_assembly_gives_the_same_bytes():
    assert review_page([review(FIVE)]) == review_page([review(FIVE)])
    assert workbook_of([review(FIVE)]) == workbook_of([review(FIVE)])


def test_a_hostile_name_is_only_a_name():
    html = review_page([review(FORMULA)])
    html5lib.HTMLParser(strict=True).parse(html)
    assert "<script" not in html
