"""What each rule of the book requires, as every paper prints it: a sentence for a reader, and no expression."""

import re

import pytest
from paths import ROOT

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.papers.tape import on_a_tape
from validator.rulebook import requirement

UNITS = re.compile(r"/\(s m2( Pa)?\)")  # the only brackets within brackets
OPERATORS = re.compile(
    r"[<>=|&{}\[\]`_]|\([^()]*\(| or \(| and \(|\bnot \(|[^:] (yes|no)(?=[;,]| with | and | or |$)|\bNone\b|\bTrue\b|\bFalse\b"
    r"|at (least|most) the (least|greatest)|;;|: :|, ,|(?<!; )\bor [^;,:]*\bor\b|  "
)  # fmt: skip
ODD_DECIMAL = re.compile(r"\d\.\d{4,} in\b")  # a gauge is written to three


def printed(needed: str) -> str:
    return UNITS.sub("", on_a_tape(needed))


def rules() -> list[str]:
    return sorted(path.stem for path in (ROOT / "rulebooks" / "us").glob("*/*.yaml") if path.parent.name not in ("schedules", "consequences", "causes"))


@pytest.mark.parametrize("name", rules())
def test_no_requirement_reads_like_an_expression(name: str, loaded: LoadedBook) -> None:
    rule = loaded.book.rules[name]
    blank = loaded.engine.deriver.blank
    for values in (None, lambda fact: blank[loaded.vocabulary.slot(fact)]):
        said = printed(requirement.in_words(rule.requires, loaded.book, values))
        assert said and not OPERATORS.search(said) and not ODD_DECIMAL.search(said), said


@pytest.mark.parametrize("sample", ["half-known", "metric-wet-room", "cold-climate-deck", "upstairs-stone-floor"])
def test_nothing_needed_in_a_report_reads_like_an_expression(sample: str, loaded: LoadedBook) -> None:
    text = (ROOT / "samples" / f"{sample}.yaml").read_text(encoding="utf-8")
    report = check(read_assembly(text, "assembly.yaml", loaded.vocabulary, loaded.catalogue), loaded)
    needed = {printed(each.needed) for each in (*report.findings, *report.as_told.findings)}
    assert len(needed) > 20
    assert [said for said in needed if OPERATORS.search(said) or ODD_DECIMAL.search(said)] == []


METRIC = """
assembly: A floor in millimetres
use: {surface temperature while setting: 27 °C}
places:
  floor:
    kind: shower floor
    fall: 15 mm/m
    built up:
      - tile mortar: {kind: epoxy}
      - tile: {body: porcelain, size: 50 x 50 mm}
"""


def test_what_is_needed_stands_first_in_the_unit_in_which_it_was_found(loaded: LoadedBook) -> None:
    report = check(read_assembly(METRIC, "assembly.yaml", loaded.vocabulary, loaded.catalogue), loaded)
    told = {each.rule: (each.found, each.needed) for each in report.findings}
    found, needed = told["shower-floor-falls-to-the-drain"]
    assert found.startswith("fall 15 mm/m (1.5 %)")
    assert needed == "fall at least 20.83 mm/m (2.08 %)"
    found, needed = told["epoxy-is-set-in-the-warm"]
    assert found == "surface temperature while setting 27 °C (81 °F)"
    assert on_a_tape(needed) == "surface temperature while setting at least about 16 °C (60 °F) and at most about 32 °C (90 °F)"


def test_an_expression_would_be_noticed() -> None:
    for said in (
        "tile wet DCOF at least 0.55 or (tile use declared yes and slip category wet)", "x >= 5/8 in", "base damaged no",
        "a or b or c or d", "what the schedule `usual trowel` says", "at least the least fall",
    ):  # fmt: skip
        assert OPERATORS.search(said), said


# -- of several ways those that are open here ------------------------------------------------------------------------------------

TILE = "assembly: A floor\nuse: {building: house}\nplaces:\n  floor:\n    kind: shower floor\n    built up:\n      - tile: {%s}\n"


@pytest.mark.parametrize(("tile", "rule", "needed"), [
    # a rectified tile is not sorted like a calibrated one: of the three ways one is left
    ("body: porcelain, size: 12 x 24 in, edge: rectified, warpage: 3/32 in", "tile-is-no-more-bowed-than-its-standard",
     "tile warpage at most the tile greatest warpage rectified, which is 1.3 mm (about 1/16 in)"),
    # a home's shower is an interior wet place: of the five cases its own is left
    ("body: porcelain, declared use: only interior dry", "tile-is-declared-for-no-lesser-use",
     "tile declared use: interior wet, interior wet plus, exterior wet or oils and greases"),
    # of an edge that nobody stated the ways of porcelain are left, and that of pressed tile is not
    ("body: porcelain, size: 12 x 24 in, warpage: 1/4 in", "tile-is-no-more-bowed-than-its-standard",
     "either tile warpage at most the tile greatest warpage rectified, which is 1.3 mm (about 1/16 in); or tile edge: calibrated with "
     "tile warpage at most the tile greatest warpage calibrated porcelain, which is 2 mm (about 3/32 in)"),
])  # fmt: skip
def test_of_several_ways_those_are_printed_that_are_open_here(tile: str, rule: str, needed: str, loaded: LoadedBook) -> None:
    report = check(read_assembly(TILE % tile, "assembly.yaml", loaded.vocabulary, loaded.catalogue), loaded)
    (said,) = {each.needed for each in report.findings if each.rule == rule}
    assert said == needed
