"""The installer's card: what to do, check, photograph, buy and wait for, on one narrow page or as text."""


import html5lib
import pytest
from drawn import judged, shelf

from paths import ROOT

from validator.papers.card import card_lines, card_of, card_page

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
FIVE = next(path for path in SAMPLES if path.stem == "five-mistakes")
HALF = next(path for path in SAMPLES if path.stem == "half-known")
HOSTILE = """
assembly: "<script>alert(1)</script>"
places:
  "<img src=x onerror=y>":
    kind: shower wall
    built up:
      - board: {material: foam, thickness: 1/2 in}
"""


def card(described):
    assembly, report, _ = judged(described)
    return card_of(assembly, report, shelf())


def text(described, width: int = 60) -> str:
    return " ".join(" ".join(card_lines(card(described), width)).split())


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_card_is_valid_and_says_every_caution_and_what_to_put_right(path):
    made, (_, report, _) = card(path), judged(path)
    root = html5lib.HTMLParser(strict=True).parse(card_page([made]))
    said = " ".join(" ".join(root.itertext()).split())
    for finding in report.findings:
        if finding.outcome in ("fail", "warn"):
            assert finding.put_right in said
    for caution in made.cautions:
        assert caution in said


def test_a_card_says_what_to_do_about_a_short_screw():
    assert "Use the next longer screw made for that board, or fix into solid blocking." in text(FIVE)


def test_a_card_asks_for_photographs_of_what_will_be_hidden():
    said = text(FIVE)
    assert "Each coat of the membrane whole" in said and "The water line marked" in said
    assert "The liner at corners" not in said


def test_a_card_tells_how_long_to_wait_from_the_start():
    """The bed waits a day at 70 °F; the pan of this job is set in mortar at the start."""
    waits = {name: after for name, after, _ in card(FIVE).waits}
    assert waits["pan set in mortar"] == "at the start"
    assert waits["membrane, first coat"] == "1 day after the start"


def test_a_card_asks_what_is_not_known():
    assert "Was the waterproofing flood tested?" in text(HALF)


def test_a_card_checks_in_the_order_of_construction():
    titles = [check.title for check in card(FIVE).checks]
    assert (
        titles.index("Backing and fasteners") < titles.index("Waterproofing, before water") < titles.index("First tiles lifted")
    )


@pytest.mark.parametrize("width", [40, 60, 100])
def test_no_line_is_wider_than_was_asked(width):
    assert max(len(line) for line in card_lines(card(FIVE), width)) <= width


def test_a_hostile_name_is_only_a_name():
    html = card_page([card(HOSTILE)])
    html5lib.HTMLParser(strict=True).parse(html)
    assert "<script" not in html and "<img" not in html


def test_the_same_assembly_gives_the_same_bytes():
    assert card_page([card(FIVE)]) == card_page([card(FIVE)])


def test_what_holds_only_if_something_is_so_is_asked_and_not_ordered():
    made = card(HALF)
    assert made.put_right == ()
    assert any(mark.finding is not None for mark in made.ask)
