"""Sections and paragraphs of a specification, and the table that says where each requirement stands."""

import pytest

from validator.language.source import BadText
from validator.submittals.sections import Reference, SectionProblem, SpecMap, paragraph_of, read_spec_map, section_of, started

RULES = {"board-screw-reaches-framing": "fasteners", "seam-tape-is-wide-enough": "seams"}
USUAL = Reference("09 30 13")


@pytest.mark.parametrize(("said", "section", "paragraph"), [
    ("09 30 13", "09 30 13", ""), ("093013", "09 30 13", ""), ("09-30-13", "09 30 13", ""), (" 09  30 13 ", "09 30 13", ""),
    ("22 14 26.13", "22 14 26.13", ""), ("09 30 13 2.3.B", "09 30 13", "2.3.B"), ("09 30 13, 3.2.A.1.c", "09 30 13", "3.2.A.1.c"),
])  # fmt: skip
def test_a_section_is_read_as_specifications_write_it(said, section, paragraph):
    assert section_of(said) == Reference(section, paragraph)


@pytest.mark.parametrize("said", ["banana", "", "9 30 13", "09 30", "09 30 13 banana", "09 30 13 4.1", "09 30 13 2.3.b", "09 30 131"])
def test_what_is_no_section_is_refused_with_what_would_be(said):
    with pytest.raises(SectionProblem, match="Accepted: "):
        section_of(said)


def test_a_paragraph_begins_with_one_of_the_three_parts():
    assert paragraph_of("paragraph 2.3.B.1") == "2.3.B.1"
    with pytest.raises(SectionProblem, match="`4.1.A` is no paragraph of a section"):
        paragraph_of("4.1.A")


def mapped(tmp_path, text: str) -> SpecMap:
    (tmp_path / "map.csv").write_text(text, encoding="utf-8")
    return read_spec_map(str(tmp_path / "map.csv"), USUAL, RULES)


def test_a_rules_own_line_goes_before_its_chapters_and_that_before_all_others(tmp_path):
    found = mapped(tmp_path, "for,section,paragraph,drawing\nfasteners,09 28 00,2.1.A,A-501\nboard-screw-reaches-framing,,2.1.B,\nall others,,3.1,\n")
    assert found.of("board-screw-reaches-framing", "fasteners") == Reference("09 30 13", "2.1.B", "")
    assert found.of("other-rule", "fasteners") == Reference("09 28 00", "2.1.A", "A-501")
    assert found.of("seam-tape-is-wide-enough", "seams") == Reference("09 30 13", "3.1", "")


def test_every_slip_of_a_map_is_told_at_once_with_its_line(tmp_path):
    with pytest.raises(BadText) as bad:
        mapped(tmp_path, "for,section,paragraph,drawing\nfastners,09 28 00,,\nseams,banana,,\nfasteners,,9.9,\nseams,,,\n")
    said = str(bad.value)
    assert "map.csv:2" in said and "did you mean `fasteners`?" in said
    assert "map.csv:3" in said and "`banana` is no section" in said
    assert "map.csv:4" in said and "`9.9` is no paragraph" in said


@pytest.mark.parametrize("text", ["", "section,paragraph\n09 30 13,2.1\n", "for,sektion\nseams,09 30 13\n", "\x00\x01"])
def test_what_is_no_map_is_refused_with_its_headings(tmp_path, text):
    with pytest.raises(BadText, match="Accepted: .*(for|section)"):
        mapped(tmp_path, text)


def test_a_map_to_fill_in_is_one_that_can_be_read(tmp_path):
    text = started(USUAL, ["fasteners", "seams"])
    assert text.splitlines() == ["for,section,paragraph,drawing", "fasteners,09 30 13,,", "seams,09 30 13,,", "all others,09 30 13,,"]
    assert mapped(tmp_path, text).of("board-screw-reaches-framing", "fasteners") == USUAL
