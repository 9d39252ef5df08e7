"""The review sheet: what is not met first, requests, hold points, and what is met in an appendix; blanks that only people fill."""

import io
import re
from dataclasses import replace

import html5lib
import openpyxl
import pytest
from drawn import SPEC, judged, shelf
from paths import ROOT

from validator.judging.report import SourceLine, report_as_told
from validator.papers.review import cited, review_of, review_page
from validator.papers.workbook import workbook_of
from validator.submittals.sections import Reference, SpecMap

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


def review(described, spec: SpecMap = SPEC, submittal: str = ""):
    assembly, report, _ = judged(described)
    return review_of(assembly, report_as_told(report), shelf(), spec, submittal=submittal)


def text_of(made) -> str:
    return " ".join(" ".join(html5lib.parse(review_page([made]), namespaceHTMLElements=False).itertext()).split())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_each_judged_requirement_has_one_line(path):
    """Advice on which nothing is written is no line, and what is said two ways is a request."""
    report = report_as_told(judged(path)[1])
    lines = [f for f in report.findings if (f.outcome != "advice" or not f.would_be) and f.rule != "said-two-ways"]
    made = review(path)
    assert len(made.lines) == len(lines)
    html5lib.HTMLParser(strict=True).parse(review_page([made]))


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_deviations_stand_first_by_their_numbers_and_are_counted_at_the_head(path):
    made = review(path)
    assert [line.number for line in made.deviations] == [f"D{n}" for n in range(1, len(made.deviations) + 1)]
    told = judged(path)[1].as_told
    counts = {said: count for count, said in made.counts}
    assert (counts["not met"], counts["for a second look"]) == tuple(sum(f.outcome == o for f in told.findings) for o in ("fail", "warn"))
    assert counts.get("met", 0) == sum(line.result == "P" for line in made.lines)
    said = text_of(made)
    assert said.index("not met") < said.index("Deviations") < said.index("Requests for information") < said.index("Appendix")


def test_what_is_met_stands_in_an_appendix_by_chapter():
    made = review(FIVE)
    assert {line.result for chapter in made.chapters for line in chapter.lines} <= {"P", "for record"}
    assert len(made.chapters) > 8 and all(len({line.chapter for line in chapter.lines}) == 1 for chapter in made.chapters)
    assert "Movement joints" in [chapter.title for chapter in made.chapters]


@pytest.mark.parametrize(("result", "action"), [
    ("F", "Revise and resubmit"), ("second look", "Exceptions noted"), ("P", "No exceptions taken"), ("for record", "For record"),
])  # fmt: skip
def test_an_action_is_suggested_by_the_result(result, action):
    assert {line.action for line in review(FIVE).lines if line.result == result} <= {action}
    assert any(line.result == result for path in SAMPLES for line in review(path).lines)


def test_what_could_change_the_verdict_is_a_numbered_request():
    made, told = review(HALF), judged(HALF)[1].as_told
    assert [each.number for each in made.requests] == [q.number for q in told.questions if q.would_be in ("fail", "warn")]


def test_every_line_names_its_paragraph_or_leaves_it_to_fill_and_cites_its_source():
    named = SpecMap(Reference("09 30 13"), {"fasteners": Reference("09 28 00", "2.3.B", "A-501")})
    lines = {line.requirement: line for line in review(FIVE, named).deviations}
    screws = lines["Board screws reach far enough into the framing."]
    assert (screws.paragraph, screws.reference.drawing) == ("09 28 00 2.3.B", "A-501")
    assert "R702.3.5" in screws.source and screws.found == "screw penetration 1/4 in (6.4 mm)"
    assert screws.needed == "Screw penetration at least 5/8 in (16 mm)."
    assert lines["Porcelain is set in modified mortar."].paragraph == "09 30 13 ________"


def test_the_five_mistakes_are_five_deviations():
    assert len(review(FIVE).deviations) == 5


def test_hold_points_leave_blanks_for_site_values_and_name_the_deviations_they_uncover():
    points = review(FIVE).points
    assert [point.number for point in points] == list(range(1, 9))
    assert all(point.blanks for point in points)
    assert points[2].title == "Backing and fasteners" and points[2].deviations == "D2"


def test_every_page_says_which_submittal_it_is_of_and_leaves_room_for_a_stamp():
    made = review(FIVE, submittal="09 30 13-002")
    html = review_page([made])
    assert 'data-running="Submittal 09 30 13-002, revision ________"' in html and "counter(pages)" in html
    assert "Space for the reviewer's own stamp Nothing printed on this sheet is a decision." in text_of(made)


# -- the code of the job --------------------------------------------------------------------------------------------------------


IRC = SourceLine(title="House code", section="R1", edition="2021", standing="adopted code", known_by="read second-hand", code_family="residential")
IBC = replace(IRC, title="Building code", section="B1", code_family="international")
BOOKLET = replace(IRC, title="Booklet", section="", code_family="")


def in_words(sources, families) -> list[str]:
    return [cite.text for cite in cited(sources, families)]


def test_the_code_of_the_job_is_cited_first():
    assert in_words((IRC, BOOKLET, IBC), ("international",)) == ["Building code, B1, 2021", "House code, R1, 2021", "Booklet, 2021"]
    assert in_words((BOOKLET,), ("international",)) == ["Booklet, 2021"]
    assert in_words((IRC, IBC), ()) == ["House code, R1, 2021", "Building code, B1, 2021"]


def test_where_only_another_code_was_read_it_says_so():
    assert in_words((IRC, BOOKLET), ("international",)) == [
        "House code, R1, 2021. Read in the residential code only; the text of the international building and plumbing codes was not read for this",
        "Booklet, 2021",
    ]


def test_every_source_of_a_line_is_in_the_list_of_the_sheet_once():
    made = review(FIVE)
    assert list(made.sources.values()) == [f"S{number}" for number in range(1, len(made.sources) + 1)]
    screws = next(line for line in made.deviations if line.number == "D2")
    house = next(number for title, number in made.sources.items() if title.startswith("International Residential Code"))
    assert "R702.3.5" in made.cited(screws) and made.cited(screws).startswith(f"{house} ")
    said = text_of(made)
    assert all(f"{number} {' '.join(title.split())}" in said for title, number in made.sources.items())


def test_the_appendix_tells_a_requirement_once_with_all_its_places():
    for path in SAMPLES:
        for chapter in review(path).chapters:
            told = [(met.line.result, met.line.requirement, met.line.cites) for met in chapter.met]
            assert len(told) == len(set(told))
            places = [place for met in chapter.met for said, _, _ in met.found for place in said.split("; ")]
            assert sorted(places) == sorted(place for line in chapter.lines for place in line.place.split("; "))


def test_a_requirement_of_its_own_paragraph_says_so_in_the_appendix():
    named = SpecMap(Reference("09 30 13"), {"fasteners": Reference("09 28 00", "2.3.B", "A-501"), "screw-heads-leave-the-face-whole": Reference("09 28 00", "3.1", "A-502")})
    chapter = next(each for each in review(FIVE, named).chapters if each.title == "Fasteners")
    assert (chapter.heading, chapter.stands) == ("Fasteners, hold point 3", "09 28 00 2.3.B, drawing A-501")
    assert {met.reference for met in chapter.met} == {"", "09 28 00 3.1, drawing A-502"}


def test_a_hotel_never_cites_the_residential_code_alone_without_saying_so():
    hotel = FIVE.read_text().replace("building: house", "building: hotel").replace("code family: residential", "code family: international")
    made = review(hotel)
    residential = [line.source for line in made.lines if "International Residential Code" in line.source]
    own = ("International Building Code", "International Plumbing Code")
    assert residential and all(any(each in said for each in own) or "was not read for this" in said for said in residential)
    assert made.code.startswith("Judged under the international building and plumbing codes: of its own text ")


# -- of every sheet -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_no_sheet_claims_more_than_was_judged(path):
    assert not re.search(r"\b(approved|compliant|certified|void|denied|guaranteed)\b", text_of(review(path)).lower())


def test_the_sheet_holds_the_drawings_with_the_same_numbers():
    html = review_page([review(FIVE)])
    numbers = set(re.findall(r'data-number="(\w+)"', html))
    assert numbers and numbers <= {"D1", "D2", "D3", "D4", "D5"}


def test_what_looks_like_a_formula_stays_text_in_the_spreadsheet():
    book = openpyxl.load_workbook(io.BytesIO(workbook_of([review(FORMULA, submittal="=1+1")])))
    cells = [cell for sheet in book for row in sheet for cell in row if cell.value is not None]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    told = [cell for cell in cells if str(cell.value).startswith(("=", "+", "-", "@"))]
    assert told and all(cell.data_type == "s" and cell.quotePrefix for cell in told)


def test_the_spreadsheet_holds_every_line_filtered_and_with_its_headings_in_sight():
    made = review(FIVE)
    book = openpyxl.load_workbook(io.BytesIO(workbook_of([made])))
    rows = list(book["Requirements"].iter_rows(min_row=2, values_only=True))
    assert [(row[0] or "", row[4]) for row in rows] == [(line.number, line.requirement) for line in made.lines]
    for name in ("Deviations", "Hold points", "Requirements"):
        assert book[name].auto_filter.ref and book[name].freeze_panes == "B2"


def test_the_same_assembly_gives_the_same_bytes():
    assert review_page([review(FIVE)]) == review_page([review(FIVE)])
    assert workbook_of([review(FIVE)]) == workbook_of([review(FIVE)])


def test_a_hostile_name_is_only_a_name():
    html = review_page([review(FORMULA)])
    html5lib.HTMLParser(strict=True).parse(html)
    assert "<script" not in html
