"""A file of which some lines could not be read is judged by the rest: what they may have said is neither taken nor missed."""

import random
import re
from pathlib import Path

import pytest
from paths import SAMPLES

from validator.assembly.reading import Assembly, read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadAssembly

WALL = """assembly: A wall
places:
  shower wall:
    kind: shower wall
    built up:
      - board: {material: cement, thickness: 1/2 in}
      - screws: {length: 1-1/4 in}
      - membrane: {kind: liquid, coats: 2}
      - tile mortar: mastic
      - tile: ceramic
"""
# A sum that takes the usual where nobody says takes it of what was not read as well; its rules warn, and say what was taken.
BY_A_USUAL_SUM = {"stated-dead-load-counts-the-layers"}
KEY = re.compile(r"^(\s*(?:- )?)([a-z][a-z ]+)(:.*)$")
EVERY_SAMPLE = sorted(path for path in SAMPLES.glob("*.yaml"))


def by_what_could_be_read(text: str, loaded: LoadedBook) -> Assembly | None:
    with pytest.raises(BadAssembly) as bad:
        read_assembly(text, "wall.yaml", loaded.vocabulary, loaded.catalogue)
    return bad.value.so_far


def report_of(text: str, loaded: LoadedBook) -> Report:
    return check(by_what_could_be_read(text, loaded), loaded)


def faults(report: Report) -> set[str]:
    return {each.rule for each in report.as_told.findings}


def taken(report: Report) -> set[str]:
    return {each.fact for each in report.as_told.usual}


def test_what_is_wrong_is_found_though_another_line_is_not_read(loaded: LoadedBook) -> None:
    report = report_of(WALL + "      - grouot zz: sanded\n", loaded)
    assert "mastic-stays-dry" in faults(report)
    assert report.as_told.unread_lines == (11,)


def test_a_verdict_by_what_could_be_read_is_never_the_last_word(loaded: LoadedBook) -> None:
    sound = WALL.replace("mastic", "{meets: A118.4}")
    report = report_of(sound + "    colour of the day: red\n", loaded)
    assert not report.as_told.failed
    assert (report.as_told.could_become, report.as_told.exit_status) == ("fail", 3)
    assert report.outcome.endswith("open up to fail")


@pytest.mark.parametrize(
    ("written", "unread"),
    [
        ("material: cement", "material: zzzz"),      # a word that is none of its fact's
        ("material: cement", "substance: cement"),   # a key that its thing does not have
    ],
)
def test_nothing_is_taken_as_usual_of_what_was_said_and_not_read(loaded: LoadedBook, written: str, unread: str) -> None:
    assembly = by_what_could_be_read(WALL.replace(written, unread), loaded)
    assert "board.material" in assembly.unread
    assert "board.material" not in taken(check(assembly, loaded))


def test_a_layer_that_is_not_read_leaves_a_gap_that_may_be_the_waterproofing(loaded: LoadedBook) -> None:
    dry = WALL.replace("      - membrane: {kind: liquid, coats: 2}\n", "")
    missing = check(read_assembly(dry, "wall.yaml", loaded.vocabulary, loaded.catalogue), loaded)
    assert any(each.not_mentioned for each in missing.as_told.questions)
    unread = report_of(WALL.replace("membrane: {kind: liquid, coats: 2}", "zzyzx: two coats"), loaded)
    assert not any(each.not_mentioned for each in unread.as_told.questions)


def test_what_closes_a_list_closes_nothing_where_a_line_of_it_is_not_read(loaded: LoadedBook) -> None:
    closed = WALL + "    nothing else: yes\n    quux: there\njunctions:\n  all others: none\n"
    place = by_what_could_be_read(closed, loaded).subjects[0]
    assert not any(known.text == "nothing else: yes" for known in place.known.values())


def test_what_is_said_two_ways_is_not_known(loaded: LoadedBook) -> None:
    wall, *_ = by_what_could_be_read(WALL.replace("- tile: ceramic", "- marble tile: {body: glass}"), loaded).subjects
    assert "tile.body" not in wall.layers["tile"][0].known


def test_a_text_without_a_place_is_judged_by_nothing(loaded: LoadedBook) -> None:
    assert by_what_could_be_read("assembly: A wall\n", loaded) is None


def spoilt(text: str) -> list[str]:
    """The text with the key of one line made a word that nothing knows, once for each line that has one."""
    lines = text.splitlines()
    found = []
    for number, line in enumerate(lines):
        key = KEY.match(line)
        if key and not line.startswith(("places", "assembly", "#")):
            found.append("\n".join([*lines[:number], f"{key[1]}{key[2]} qzx{key[3]}", *lines[number + 1 :]]))
    return found


def made_up_faults(path: Path, loaded: LoadedBook, texts: list[str]) -> list[str]:
    """What fails or warns in a spoilt text and not in the whole one."""
    whole = read_assembly(path.read_text(encoding="utf-8"), path.name, loaded.vocabulary, loaded.catalogue)
    known = set().union(*(faults(check(each, loaded)) for each in whole.to_judge()))
    found = []
    for text in texts:
        try:
            read_assembly(text, path.name, loaded.vocabulary, loaded.catalogue)
        except BadAssembly as bad:
            for each in bad.so_far.to_judge() if bad.so_far is not None else ():
                found += [f"{fault}: {bad}" for fault in faults(check(each, loaded)) - known - BY_A_USUAL_SUM]
    return found


@pytest.mark.parametrize("path", EVERY_SAMPLE, ids=lambda path: path.stem)
def test_a_line_that_is_not_read_makes_nothing_fail(loaded: LoadedBook, path: Path) -> None:
    texts = spoilt(path.read_text(encoding="utf-8"))
    assert made_up_faults(path, loaded, random.Random(7).sample(texts, min(len(texts), 8))) == []


@pytest.mark.thorough
@pytest.mark.parametrize("path", EVERY_SAMPLE, ids=lambda path: path.stem)
def test_no_line_that_is_not_read_makes_anything_fail(loaded: LoadedBook, path: Path) -> None:
    assert made_up_faults(path, loaded, spoilt(path.read_text(encoding="utf-8"))) == []


def test_what_could_not_be_read_may_have_been_the_way_out(loaded: LoadedBook) -> None:
    """A membrane over the whole face is another way to meet the rule on what board is behind tile, and the line may have been one."""
    wall = "places:\n  wall:\n    kind: shower wall\n    built up: [{{board: {{material: water-resistant gypsum, fixed with: screws}}}}, {}tile]\n"
    rule = "wet-wall-backer-is-made-for-water"
    assert rule in failing(wall.format(""), loaded)
    assert rule not in failing(wall.format("three wishes, "), loaded)


def failing(text: str, loaded: LoadedBook) -> set[str]:
    """The rules that fail as told, by what can be read."""
    try:
        assembly = read_assembly(text, "it.yaml", loaded.vocabulary, loaded.catalogue)
    except BadAssembly as bad:
        assembly = bad.so_far
    return {finding.rule for finding in check(assembly, loaded).as_told.findings if finding.outcome == "fail"}
