"""The installer's card: step by step what to do, buy, wait for, check and photograph, on one narrow page or as text."""


import re

import html5lib
import pytest
from drawn import judged, shelf

from paths import ROOT

from validator.papers import words
from validator.papers.card import card_lines, card_of, card_page
from validator.planning.calendar import start_of
from validator.planning.steps import step_of_rule

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
FIVE = next(path for path in SAMPLES if path.stem == "five-mistakes")
FOAM_PAN = ROOT / "tests" / "whole" / "sound" / "foam-pan-shower.yaml"
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
    """The bed of this job is placed at the start and waits a day at 70 °F."""
    waits = {wait.name: wait.when for step in card(FIVE).steps for wait in step.waits}
    assert waits["mortar bed placed"] == "at the start"
    assert waits["membrane, first coat"] == "1 day after the start"


def test_a_card_with_a_start_tells_days():
    assembly, report, _ = judged(FIVE)
    made = card_of(assembly, report, shelf(), start_of("2026-12-07"))
    waits = {wait.name: wait.when for step in made.steps for wait in step.waits}
    assert waits["membrane, first coat"] == "Tue 2026-12-08 08:00"


def test_a_card_asks_what_is_not_known():
    asked = {mark.question.asks: step.title for step in card(HALF).steps for mark in step.ask if mark.question}
    assert asked["How thick is the liner?"] == "Sloped fill and liner"


def steps_of(described) -> list[str]:
    return [step.title for step in card(described).steps]


def test_a_card_goes_in_the_order_of_the_work():
    assert steps_of(FIVE) == [
        "Framing and substrate", "Bed, pan and fall", "Boards", "Seams and corners", "Waterproofing", "Flood test", "Setting the tile",
        "Grouting", "Sealing the joints", "Cure, before it is used",
    ]  # fmt: skip
    # a liner is tested before the boards stand in the pan and before the bed hides it
    assert steps_of(HALF)[:6] == [
        "Framing and substrate", "Sloped fill and liner", "Flood test", "Boards", "Seams and corners", "Bed, pan and fall",
    ]  # fmt: skip


def test_what_is_to_do_stands_at_its_step_and_is_counted_at_the_head():
    made = card(FIVE)
    done = {mark.finding.rule: step.title for step in made.steps for mark in step.do}
    assert done["board-screw-reaches-framing"] == "Boards"
    assert done["seam-tape-has-two-coats"] == "Seams and corners"
    assert made.head.startswith(f"{len(done)} things to do, in steps ")


def test_every_rule_of_the_book_belongs_to_a_step():
    loaded = shelf()
    assert {step_of_rule(name, loaded) for name in loaded.book.rules} == set(words.STEPS)


def test_a_card_buys_bags_and_no_gallons():
    bought = [said for path in SAMPLES for step in card(path).steps for _, said in step.buy]
    assert bought and not [said for said in bought if re.search(r"\d gal\b|cu in|cu ft", said.replace("of 1 gal", ""))]


def test_the_mortar_under_a_pan_is_bought_before_the_pan_is_set():
    named = {name: step.title for step in card(FOAM_PAN).steps for name, _ in step.buy}
    assert named["mortar under pans, boards and mats"] == "Bed, pan and fall"
    assert named["tile mortar, mixed"] == "Setting the tile"


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
    assert all(mark.finding.outcome != "fail" for mark in made.do)
    assert made.ask
