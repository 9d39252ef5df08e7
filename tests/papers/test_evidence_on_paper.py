"""What shows a fact stands beside it on every paper, and no outcome hangs on it."""

import io
import json
import re
from dataclasses import replace
from itertools import count
from pathlib import Path

import html5lib
import openpyxl
import pytest
from drawn import SPEC, judged, shelf
from examples import examples_of
from hypothesis import strategies as st
from paths import ROOT

from validator.assembly import read_assembly, read_assembly_file
from validator.assembly.draft import drafts_of
from validator.assembly.evidence import SHOWN_BY
from validator.facts.possible import CARD, STATED
from validator.judging.checking import check
from validator.judging.report import Finding, Report
from validator.judging.why import STRICT, traced
from validator.language.editing import text
from validator.language.forms import normalized
from validator.language.source import Entries, Items, Node
from validator.papers.as_json import as_json
from validator.papers.card import card_lines, card_of
from validator.papers.case_sheet import case_lines, case_of, cases_page
from validator.papers.page import page
from validator.papers.report import report_lines
from validator.papers.review import review_of, review_page
from validator.papers import words
from validator.papers.why import why_lines
from validator.papers.workbook import workbook_of
from validator.warranty import stand
from validator.warranty.reading import programme_file, read_programme

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
REGISTERED = next(path for path in SAMPLES if path.stem == "registered-shower")
WALLS = """\
assembly: Two walls
shown by: submittal 3, page 2
framing: {material: wood, spacing: 16 in}
places:
  back wall:
    kind: shower wall
    shown by: photos 1 to 6
    built up:
      - board: {material: foam, thickness: 1/2 in, fixed with: screws, shown by: none}
      - screws: {length: 1-5/8 in, spacing: 12 in, shown by: {length: box label, spacing: photo 7}}
      - membrane: {kind: liquid, coats: 2, shown by: photo 12}
      - tile: {body: porcelain, size: 12 x 24 in}
  left wall:
    like: back wall
    shown by: photo 20
"""


# -- nothing hangs on it ------------------------------------------------------------------------------------------------------

ONLY_NAMES = ("places", "parts", "everywhere in", "options", "built up")  # names stand under these, and no facts


def with_evidence(node: Node, wanted, turn: count, under: str = "") -> Node:
    """A file with `shown by:` wherever it may stand and is wanted, each of its own; no other line moves."""
    if isinstance(node, Items):
        return node._replace(items=tuple(with_evidence(item, wanted, turn, "a layer") for item in node.items))
    if not isinstance(node, Entries) or under == "seen on site":
        return node
    pairs = [(key, with_evidence(value, wanted, turn, normalized(key.text))) for key, value in node.pairs if normalized(key.text) != SHOWN_BY]
    number = next(turn)
    if under not in ONLY_NAMES and wanted(number):
        pairs.append((text(SHOWN_BY), text(f"photo {number}")))
    return node._replace(pairs=tuple(pairs))


def without_evidence(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    return tuple(replace(f, facts=tuple(replace(fact, shown_by=()) for fact in f.facts)) for f in findings)


def judged_part(report: Report) -> Report:
    told = replace(report.as_told, findings=without_evidence(report.as_told.findings))
    return replace(report, findings=without_evidence(report.findings), alike=without_evidence(report.alike), as_told=told, fingerprint="")


def plain_and_shown(path: Path, wanted) -> list[tuple[Report, Report]]:
    """The report on a file that shows nothing, and on the same with evidence; of each of its options."""
    loaded = shelf()
    node = next(iter(drafts_of(path, loaded.vocabulary, loaded.catalogue).values())).node
    reads = [
        read_assembly(with_evidence(node, each, count(1)), str(path), loaded.vocabulary, loaded.catalogue)
        for each in (lambda number: False, wanted)
    ]
    return [(check(bare, loaded), check(shown, loaded)) for bare, shown in zip(*(read.to_judge() for read in reads))]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_evidence_everywhere_changes_no_outcome_and_nothing_that_is_judged(path):
    for bare, shown in plain_and_shown(path, lambda number: True):
        assert judged_part(shown) == judged_part(bare)
        assert not any(fact.shown_by for finding in bare.findings for fact in finding.facts)
        said = [fact for finding in shown.findings for fact in finding.facts if fact.origin in (STATED, CARD) and fact.where]
        assert said and all(fact.shown_by for fact in said)


@examples_of(
    st.tuples(st.sampled_from([path for path in SAMPLES if path.stem in ("half-known", "five-mistakes")]), st.sets(st.integers(1, 60))),
    few=4, many=40,
)  # fmt: skip
def test_evidence_anywhere_changes_no_outcome(made):
    path, wanted = made
    for bare, shown in plain_and_shown(path, wanted.__contains__):
        assert judged_part(shown) == judged_part(bare)
        assert list(report_lines(replace(shown, fingerprint=""), 80)) == list(report_lines(replace(bare, fingerprint=""), 80))


def test_the_report_carries_the_fingerprint_of_the_file_with_its_evidence():
    prints = {judged(WALLS)[1].fingerprint, judged(WALLS.replace("photo 12", "photo 13"))[1].fingerprint}
    assert len(prints) == 2


# -- the record ---------------------------------------------------------------------------------------------------------------


def facts_of(described, rule: str, place: str = "back wall") -> dict[str, tuple[str, ...]]:
    _, report, _ = judged(described)
    finding = next(f for f in report.findings if f.rule == rule and place in f.place)
    return {fact.fact: fact.shown_by for fact in finding.facts}


ONE_WALL = WALLS.partition("  left wall")[0]


def test_a_finding_carries_what_shows_each_of_its_facts():
    shown = facts_of(ONE_WALL, "board-screws-are-close-enough")
    assert shown == {
        "screw.spacing": ("photo 7",), "board.material": (), "board.fixed with": (), "place.kind": ("photos 1 to 6",),
    }  # fmt: skip


def test_what_is_worked_out_is_shown_by_what_shows_the_facts_behind_it():
    """The screw's length is shown by the box's label, the board's thickness by nothing."""
    assert facts_of(ONE_WALL, "board-screw-reaches-framing")["screw.penetration"] == ("box label",)
    with_board = ONE_WALL.replace("fixed with: screws, shown by: none", "fixed with: screws, shown by: photo 5")
    assert set(facts_of(with_board, "board-screw-reaches-framing")["screw.penetration"]) == {"box label", "photo 5"}


def test_a_finding_told_once_for_two_places_names_the_place_that_a_paper_shows():
    shown = facts_of(WALLS, "board-screws-are-close-enough")
    assert shown["screw.spacing"] == ("photo 7 (back wall)", "photo 20 (left wall)")
    assert shown["board.material"] == ("photo 20 (left wall)",)
    _, report, _ = judged(WALLS)
    assert [f.place for f in report.findings if f.rule == "board-screws-are-close-enough"] == ["back wall; left wall"]


def test_what_shows_both_places_names_neither():
    shown = facts_of(WALLS.replace("    shown by: photo 20\n", ""), "board-screws-are-close-enough")
    assert shown["screw.spacing"] == ("photo 7",)


def test_what_is_said_two_ways_carries_what_shows_it():
    two_ways = ONE_WALL.replace("material: foam, thickness: 1/2 in", "product: Harrow foam board, thickness: 1 in")
    two_ways = two_ways.replace("fixed with: screws, shown by: none", "shown by: {thickness: photo 5}")
    assert facts_of(two_ways, "said-two-ways")["board.thickness"] == ("photo 5",)


def test_the_json_carries_it():
    _, report, _ = judged(ONE_WALL)
    facts = [fact for finding in json.loads(as_json([report]))["findings"] for fact in finding["facts"]]
    assert list(facts[0]) == ["fact", "value", "origin", "where", "shown_by"]
    assert ["photo 7"] in [fact["shown_by"] for fact in facts if fact["fact"] == "screw.spacing"]


# -- the papers ---------------------------------------------------------------------------------------------------------------


def review(described):
    assembly, report, _ = judged(described)
    return review_of(assembly, report, shelf(), SPEC)


def evidence(described, requirement: str) -> str:
    return next(line.evidence for line in review(described).lines if line.requirement.startswith(requirement))


def test_the_review_sheet_names_what_shows_it_and_where_nothing_does_on_whose_word_it_is():
    assert evidence(ONE_WALL, "Board screws stand") == "photo 7; photos 1 to 6; partly stated only"
    bare = re.sub(r"^ *shown by: .*\n|, shown by: (\{.*?\}|[^}]*)(?=\})", "", ONE_WALL, flags=re.MULTILINE)
    assert "shown by" not in bare
    assert evidence(bare, "Board screws stand") == "stated, and nothing offered to show it"


def test_no_sheet_names_the_line_of_a_file():
    assert not [line.evidence for line in (*review(ONE_WALL).lines, *review(REGISTERED).lines) if re.search(r"line \d", line.evidence)]


def test_the_sheet_and_the_spreadsheet_print_the_same_evidence():
    made = review(REGISTERED)
    offered = {line.evidence for line in made.lines}
    assert any("dated note, signed by the installer; photo 14" in each for each in offered)
    rows = list(openpyxl.load_workbook(io.BytesIO(workbook_of([made])))["Requirements"].iter_rows(min_row=2, values_only=True))
    assert [row[10] or "" for row in rows] == [line.evidence for line in made.lines]
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(review_page([made]))
    printed = " ".join(root.itertext())
    assert all(piece in printed for each in offered for piece in each.split("; ") if piece not in words.ON_WHOSE_WORD[STATED])


def test_what_looks_like_a_formula_stays_text_in_the_spreadsheet():
    book = openpyxl.load_workbook(io.BytesIO(workbook_of([review(ONE_WALL.replace("photo 7", '"=1+1"'))])))
    cells = [cell for sheet in book for row in sheet for cell in row if str(cell.value).startswith("=1+1")]
    assert cells and all(cell.data_type == "s" and cell.quotePrefix for cell in cells)


def test_the_page_prints_it_with_the_fact():
    short = ONE_WALL.replace("1-5/8 in", "3/4 in").replace("box label", "<b>label</b>")
    assembly, report, _ = judged(short)
    html = page([assembly], [report], shelf())
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(html)
    cells = ["".join(cell.itertext()) for cell in root.iter("td")]
    assert any(cell.endswith("Shown by: <b>label</b>") for cell in cells)
    assert "<b>label" not in html


def test_why_prints_it_with_the_fact_it_shows():
    assembly, _, _ = judged(ONE_WALL)
    (found,) = traced(assembly, shelf(), "board-screw-reaches-framing", "back wall")
    lines = [line.strip() for line, _ in why_lines(found, shelf().vocabulary, 100, STRICT)]
    at = next(number for number, line in enumerate(lines) if line.startswith("screw length: "))
    assert lines[at + 1] == "shown by: box label"
    at = next(number for number, line in enumerate(lines) if line.startswith("board thickness: "))
    assert not lines[at + 1].startswith("shown by")


def test_the_terminal_report_stays_as_short_as_it_was():
    _, report, _ = judged(ONE_WALL)
    told = "\n".join(line for line, _ in report_lines(report, 100, show_passes=True))
    assert not re.search(r"photo \d|photos \d|box label|submittal 3|shown by", told)


# -- the installer's card -----------------------------------------------------------------------------------------------------


def card(described):
    assembly, report, _ = judged(described)
    return card_of(assembly, report, shelf())


def test_the_card_asks_for_no_photograph_that_is_named_already():
    made = card(ONE_WALL)
    assert [said.rpartition(": ")[2] for said in made.photographed if said.startswith("Each coat of the membrane")] == ["photo 12"]
    assert not any(said.startswith("Each coat of the membrane") for said in made.photographs)
    assert "Each coat of the membrane whole" in " ".join(card_lines(made, 200))


@pytest.mark.parametrize("written", ["none", "pail label", "{coats: photo 12}"])
def test_the_card_asks_where_no_photograph_shows_the_thing(written):
    text = ONE_WALL.replace("photo 12", written).replace("    shown by: photos 1 to 6\n", "")
    assert any(said.startswith("Each coat of the membrane") for said in card(text).photographs)


def test_the_card_asks_while_one_place_has_no_photograph():
    text = WALLS.replace("    shown by: photo 20\n", "    shown by: pail label\n")
    assert any(said.startswith("Each coat of the membrane") for said in card(text).photographs)


# -- the clerk's case sheet ---------------------------------------------------------------------------------------------------


def case(described):
    loaded = shelf()
    read = (
        read_assembly_file(described, loaded.vocabulary, loaded.catalogue)
        if hasattr(described, "suffix")
        else read_assembly(described, "assembly.yaml", loaded.vocabulary, loaded.catalogue)
    )
    return case_of(stand(read, read_programme(programme_file("millrace-handover"), loaded.book), loaded))


def offered(made, needs: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    line = next(line for term in made.terms for line in (*term.shown, *term.not_shown) if line.needs.startswith(needs))
    return line.offered, line.only_stated


@pytest.mark.parametrize(
    ("needs", "papers", "only_stated"),
    [
        ("The invoice for the materials", ("invoice of 10 February",), ()),
        ("The building is a house", (), ("building",)),
        ("The handover sheet reached the co-operative within 60 days", ("the co-operative's answer",), ("completion",)),
    ],
)
def test_the_case_sheet_tells_what_is_offered_from_what_is_only_stated(needs, papers, only_stated):
    assert offered(case(REGISTERED), needs) == (papers, only_stated)


def test_what_is_not_shown_is_not_called_only_stated():
    made = case("places: {shower floor: {}}\nuse: {building: house}\n")
    assert offered(made, "The invoice for the materials") == ((), ())


def test_the_case_sheet_prints_both_as_text_and_as_a_page():
    made = case(REGISTERED)
    lines = [line.strip() for line, _ in case_lines(made, 100)]
    root = html5lib.HTMLParser(strict=True, namespaceHTMLElements=False).parse(cases_page([made]))
    said = " ".join(" ".join(root.itertext()).split())
    for line in ("Offered: invoice of 10 February.", "Stated, with nothing offered to show it: completion."):
        assert line in lines and line in said
