"""What is not written is never a pass and never silently a fail: the questions that silence raises, and no more.

The places are cut from the sound sample shower, with one thing left unsaid or said otherwise.
"""


import pytest

from paths import ROOT

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Finding, Report

SOUND = ROOT / "tests" / "whole" / "sound" / "foam-pan-shower.yaml"
MEMBRANE = """      - membrane:
          product: Harrow liquid membrane
          covers: seams and screw heads
          coats: 2
          first coat: dry
          cure: 24 h
          opaque: yes
          pinholes: no
          reinforced at corners: yes
"""
CLOSED = "    nothing else: yes\n    built up:\n      - board:\n"
ONLY_BOARD = "    built up:\n      - board:\n"
WATERPROOFED = "wet-places-are-waterproofed"


def changed(*changes: tuple[str, str]) -> str:
    text = SOUND.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return text


def reported(text: str, loaded: LoadedBook) -> Report:
    return check(read_assembly(text, "a shower", loaded.vocabulary, loaded.catalogue), loaded)


def finding(report: Report, rule: str) -> Finding:
    (found,) = [each for each in report.findings if each.rule == rule and "wall" in each.place]
    return found


def cement_board_and_no_word_of_waterproofing(closing: str) -> str:
    """The walls on cement board, everything else as it was, and nothing said of what stops the water."""
    cement = """          material: cement
          thickness: 1/2 in
          meets: ASTM C1325
          gap between sheets: 1/8 in
"""
    return changed((MEMBRANE, ""), ("          product: Harrow foam board\n", cement), (CLOSED, closing + ONLY_BOARD))


def test_silence_about_waterproofing_is_one_open_item_that_says_what_waits(loaded: LoadedBook) -> None:
    report = reported(cement_board_and_no_word_of_waterproofing(""), loaded)
    about = [item for item in report.open_items if "waterproof" in item.question or loaded.vocabulary.fact(item.fact).role]
    (item,) = about
    assert item.fact == "place.waterproofed"
    assert "If there is none, this fails. Write what it is, or `waterproofing: none`." in item.question
    assert item.waiting > 0
    assert f"{item.waiting} further rules wait on this answer." in item.question
    assert finding(report, WATERPROOFED).outcome == "open"
    assert finding(report, WATERPROOFED).would_be == "fail"
    assert report.exit_status == 3


@pytest.mark.parametrize("closing", ["    nothing else: yes\n", "    waterproofing: none\n"])
def test_no_waterproofing_fails_once_it_is_said_that_there_is_none(closing: str, loaded: LoadedBook) -> None:
    report = reported(cement_board_and_no_word_of_waterproofing(closing), loaded)
    assert finding(report, WATERPROOFED).outcome == "fail"
    assert report.exit_status == 1


def offset(share: str, mock_up: str = "") -> str:
    records = f"records:\n  mock-up: {mock_up}\n" if mock_up else "records:\n"
    return changed(("          offset: 1/3\n", f"          offset: {share}\n"), ("records:\n", records))


def test_a_half_offset_with_no_word_of_a_mock_up_is_open_and_fails_unless_one_is_shown(loaded: LoadedBook) -> None:
    found = finding(reported(offset("1/2"), loaded), "long-tile-is-offset-by-no-more-than-a-third")
    assert (found.outcome, found.would_be) == ("open", "fail")
    assert found.heading.startswith("Fails unless it is shown: ")
    assert "mock-up" in found.asks


def test_a_half_offset_without_a_mock_up_fails(loaded: LoadedBook) -> None:
    found = finding(reported(offset("1/2", "none"), loaded), "long-tile-is-offset-by-no-more-than-a-third")
    assert found.outcome == "fail"


@pytest.mark.parametrize(("pattern", "outcome"), [("half offset", "fail"), ("third offset", "pass"), ("quarter offset", "pass"), ("offset", "open")])
def test_a_pattern_that_names_its_share_is_judged_by_it(pattern: str, outcome: str, loaded: LoadedBook) -> None:
    text = offset("not known", "none")
    assert text.count("pattern: offset") == 1
    found = finding(reported(text.replace("pattern: offset", f"pattern: {pattern}"), loaded), "long-tile-is-offset-by-no-more-than-a-third")
    assert found.outcome == outcome


@pytest.mark.parametrize(("share", "outcome"), [("1/3", "pass"), ("33 %", "pass"), ("33.4 %", "fail"), ("34 %", "fail")])
def test_a_third_is_what_the_source_prints_and_nothing_beyond_it_is(share: str, outcome: str, loaded: LoadedBook) -> None:
    """A108.02 prints 33 percent and its companion text one third; 34 percent is neither."""
    found = finding(reported(offset(share, "none"), loaded), "long-tile-is-offset-by-no-more-than-a-third")
    assert found.outcome == outcome


# A card's word and what a person wrote against it: fact, the line as written, the line against the card.
AGAINST = {
    "board.waterproof": ("          product: Harrow foam board\n", "          product: Harrow foam board\n          waterproof: no\n"),
    "board.thickness": ("          product: Harrow foam board\n", "          product: Harrow foam board\n          thickness: 1 in\n"),
    "foam pan.fall": ("          product: Harrow shower pan\n", "          product: Harrow shower pan\n          fall: 1/8 in per ft\n"),
    "tile mortar.kind": (
        "          product: Harrow large tile mortar\n",
        "          product: Harrow large tile mortar\n          kind: unmodified cement\n",
    ),
    "membrane.wet film called for": (
        "          product: Harrow liquid membrane\n",
        "          product: Harrow liquid membrane\n          wet film called for: 50 mil\n",
    ),
}


@pytest.mark.parametrize("fact", AGAINST)
def test_a_fact_against_its_card_passes_nothing_and_the_whole_is_never_clean(fact: str, loaded: LoadedBook) -> None:
    sound = check(read_assembly_file(SOUND, loaded.vocabulary, loaded.catalogue), loaded)
    report = reported(changed(AGAINST[fact]), loaded)
    passed = {(f.rule, place) for f in sound.findings if f.outcome == "pass" for place in f.place.split("; ")}
    now = {(f.rule, place) for f in report.findings if f.outcome == "pass" for place in f.place.split("; ")}
    assert now <= passed
    assert report.outcome != "pass"
    disagreement = [f for f in report.findings if f.rule == "said-two-ways" and f.facts[0].fact == fact]
    assert disagreement
    assert all(f.outcome == "open" for f in disagreement)


def test_half_an_inch_and_its_metric_label_are_no_disagreement(loaded: LoadedBook) -> None:
    text = changed(("          product: Harrow foam board\n", "          product: Harrow foam board\n          thickness: 13 mm\n"))
    assert [f for f in reported(text, loaded).findings if f.rule == "said-two-ways"] == []


def test_what_looks_like_a_slip_is_told_at_the_head_of_the_report_with_what_is_usual(loaded: LoadedBook) -> None:
    text = changed(("          offset: 1/3\n", "          offset: 1/3\n          thickness: 3/8 mm\n"))
    report = reported(text, loaded)
    line = text.splitlines().index("          thickness: 3/8 mm") + 1
    assert report.look_again == (f"line {line}: `thickness: 3/8 mm` is unusual and may be a slip; usually 1 mm to 4 in",)
