"""Asked one by one in a real terminal: wrong answers, units of either system, a window made smaller, Ctrl-C."""

import os
import re
import sys
from pathlib import Path

import pytest
from paths import ROOT

from validator.advising.asking.new_assembly import (
    already_said,
    first_page,
    first_questions,
    not_read,
    place_of,
    read_templates,
    template_for,
)
from validator.assembly import read_assembly_file
from validator.assembly.draft import Draft
from validator.judging.loading import LoadedBook
from validator.rulebook.shelf import shelf

pexpect = pytest.importorskip("pexpect")
PROMPT = "\r\n> "
STONE = """\
assembly: A wall
use: {code family: residential}
framing: {material: wood, spacing: 16 in}
places:
  wall:
    kind: room wall
    nothing else: yes
    built up:
      - board: {material: cement, thickness: 1/2 in, fixed with: screws}
      - screws: {kind: board screw}
      - tile mortar: {kind: modified cement}
      - tile: {body: ceramic, size: 4 x 4 in}
      - grout: {kind: cement, joint: 1/8 in}
"""


@pytest.fixture
def wall(tmp_path: Path) -> Path:
    path = tmp_path / "wall.yaml"
    path.write_text(STONE)
    return path


def spawned(*words: str, columns: int = 80):
    plain = {name: value for name, value in os.environ.items() if name not in ("COLUMNS", "LINES")}
    return pexpect.spawn(
        sys.executable, ["-m", "validator", *words], cwd=str(ROOT), env=plain, encoding="utf-8", dimensions=(24, columns), timeout=600
    )


def asked(child) -> str:
    """What is printed up to the next prompt, on one line."""
    child.expect_exact(PROMPT)
    return " ".join(re.sub(r"\x1b\[[0-9;]*m", "", child.before).split())


def up_to(child, words: str) -> str:
    """Leaves questions open until one is asked."""
    said = asked(child)
    while words not in said:
        child.sendline("")
        said = asked(child)
    return said


def test_a_wrong_answer_is_explained_and_asked_again_and_a_metric_one_is_taken(wall: Path, tmp_path: Path, loaded: LoadedBook) -> None:
    child = spawned("ask", str(wall), "--interactive", "--write", str(tmp_path / "done.yaml"))
    up_to(child, "How long are the screws?")
    child.sendline("long enough")
    assert "Accepted: 1-5/8 in, 13 ft 6 in, 20 mil or 41 mm" in asked(child)
    child.sendline("41 mm")
    asked(child)
    child.sendline("stop")
    child.expect(pexpect.EOF)
    assert "1 answer is kept" in child.before
    assert "length: 41 mm" in (tmp_path / "done.yaml").read_text()
    (subject, *_) = read_assembly_file(tmp_path / "done.yaml", loaded.vocabulary, loaded.catalogue).subjects
    assert subject.layers["screw"][0].known["screw.length"].value == (41_000_000, 41_000_000)


def test_a_question_mark_says_what_each_answer_would_do(wall: Path) -> None:
    child = spawned("ask", str(wall), "--interactive")
    up_to(child, "How long are the screws?")
    child.sendline("?")
    said = asked(child)
    assert "less than 1-1/8 in (29 mm): fails (Board screws reach far enough into the framing)" in said
    child.sendline("1-5/8 in")
    asked(child)
    child.sendeof()
    child.expect(pexpect.EOF)
    assert "length: 1-5/8 in" in child.before


def test_ctrl_c_keeps_what_was_answered(wall: Path, tmp_path: Path, loaded: LoadedBook) -> None:
    child = spawned("ask", str(wall), "--interactive", "--write", str(tmp_path / "done.yaml"))
    up_to(child, "How long are the screws?")
    child.sendline("1-5/8 in")
    asked(child)
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert "Traceback" not in child.before
    assert "length: 1-5/8 in" in (tmp_path / "done.yaml").read_text()
    assert read_assembly_file(tmp_path / "done.yaml", loaded.vocabulary, loaded.catalogue).subjects


def test_a_window_made_smaller_wraps_the_next_question_to_it(wall: Path) -> None:
    child = spawned("ask", str(wall), "--interactive", columns=100)
    asked(child)
    child.setwinsize(24, 42)
    child.sendline("")
    child.expect_exact(PROMPT)
    lines = re.sub(r"\x1b\[[0-9;]*m", "", child.before).splitlines()
    assert [line for line in lines if len(line) > 42] == []
    child.sendintr()
    child.expect(pexpect.EOF)


def test_a_new_assembly_is_begun_from_a_few_words_and_check_reads_it(tmp_path: Path, loaded: LoadedBook) -> None:
    """`=` takes what is usual; Enter alone takes nothing."""
    path = tmp_path / "new.yaml"
    child = spawned("describe", "shower on joists, second floor", "--write", str(path))
    assert "Usual: house" in asked(child)
    child.sendline("")
    assert "Usual: new" in asked(child)
    child.sendline("=")
    up_to(child, "How far do the joists run")
    child.sendline("=")
    assert "Nothing is usual here" in asked(child)
    child.sendline("3.6 m")
    up_to(child, "Go on")
    child.sendline("perhaps")
    assert "Accepted: yes, no" in asked(child)
    child.sendline("no")
    child.expect(pexpect.EOF)
    text = path.read_text()
    assert "work: new" in text and "span: 3.6 m" in text
    assert "building" not in text
    assert read_assembly_file(path, loaded.vocabulary, loaded.catalogue).subjects


@pytest.mark.parametrize(
    ("words", "name"),
    [
        ("shower on joists, second floor", "shower"), ("tub surround", "tub surround"), ("kitchen floor on a slab", "floor"),
        ("Stall, upstairs", "shower"), ("a roof", None),
    ],
)  # fmt: skip
def test_a_few_words_name_the_kind_of_job(loaded: LoadedBook, words: str, name: str | None) -> None:
    found = template_for(words, read_templates(shelf() / "beginnings.yaml", loaded.vocabulary))
    assert (found.name if found else None) == name


def test_what_was_not_said_is_not_asked_about(loaded: LoadedBook) -> None:
    (shower, *_) = read_templates(shelf() / "beginnings.yaml", loaded.vocabulary)
    assert "framing.joist" in {q.fact.name for q in first_questions("shower on joists", shower)}
    assert "framing.joist" not in {q.fact.name for q in first_questions("shower on a slab", shower)}


@pytest.mark.parametrize("words", ["shower on joists, second floor", "tub surround", "kitchen floor on a slab"])
def test_every_usual_answer_taken_gives_an_assembly_that_check_reads(loaded: LoadedBook, words: str) -> None:
    template = template_for(words, read_templates(shelf() / "beginnings.yaml", loaded.vocabulary))
    draft: Draft = first_page(words, template, loaded)
    for question in first_questions(words, template):
        if question.usual:
            draft = draft.said(place_of(draft, question.fact.name, question.at), question.fact.name, question.usual)
    assert draft.assembly().subjects


@pytest.mark.parametrize(
    ("words", "written", "ignored"),
    [
        ("curbless shower on joists, second floor", {("curb", "none")}, ()),
        ("tub surround with greenboard", {("board.material", "greenboard")}, ()),
        ("heated bathroom floor over gypsum underlayment", {("heat", "there"), ("self-leveling underlayment.base", "gypsum")}, ()),
        ("tiled stair outdoors", set(), ("tiled", "outdoors")),
        ("steam shower with a skylight", {("steam", "there")}, ("skylight",)),
        ("shower with mud bed, cement board and roll-on membrane",
         {("mortar bed", "there"), ("board.material", "cement"), ("membrane.kind", "liquid")}, ()),
        ("shower with foam board, porcelain tile, no bench and a niche",
         {("board.material", "foam"), ("tile.body", "porcelain"), ("bench", "none"), ("niche", "there")}, ()),
        ("kitchen floor on joists with uncoupling mat", {("isolation membrane.kind", "uncoupling mat")}, ()),
        ("tiling a kitchen floor over 3/4 in plywood on 2x10 joists at 16 in centers spanning 12 ft with 600 x 600 mm porcelain",
         {("framing.joist", "2x10"), ("framing.spacing", "16 in centers"), ("framing.span", "12 ft"), ("subfloor panel.thickness", "3/4 in"),
          ("subfloor panel.material", "plywood"), ("tile.size", "600 x 600 mm"), ("tile.body", "porcelain")}, ()),
        ("kitchen backsplash, drywall, premixed mastic, glass mosaic",
         {("board.material", "drywall"), ("tile mortar.kind", "premixed mastic"), ("tile.body", "glass"), ("tile.format", "mosaic")}, ("kitchen",)),
        ("outdoor countertop, cement board and honed granite with epoxy grout",
         {("board.material", "cement"), ("tile.face", "honed"), ("tile.body", "granite"), ("grout.kind", "epoxy"),
          ("place.used as", "outdoor countertop")}, ()),
        ("5x5 shower with foam pan, 12x24", {("place.size", "5 x 5 ft"), ("tile.size", "12x24"), ("liner", "none"), ("foam pan", "there")}, ()),
        ("36 x 60 shower, 4x4 ceramic", {("place.size", "36 x 60 in"), ("tile.size", "4x4"), ("tile.body", "ceramic")}, ()),
        ("21 x 23 shower", set(), ("21", "x", "23")),
        ("sauna with slate floor", {("place.used as", "sauna"), ("tile.body", "slate")}, ()),
        ("laundry room floor, 12 in ceramic over old sheet vinyl",
         {("tile.size", "12 in square"), ("tile.body", "ceramic"), ("existing finish.material", "sheet vinyl"), ("existing finish.state", "old")},
         ()),
    ],
)  # fmt: skip
def test_what_the_words_say_is_written_and_what_was_not_read_is_told(loaded: LoadedBook, words: str, written: set, ignored: tuple) -> None:
    template = template_for(words, read_templates(shelf() / "beginnings.yaml", loaded.vocabulary))
    said = already_said(words, template, first_page(words, template, loaded))
    assert {(each.fact, each.says) for each in said} == written
    assert not_read(words, template, said) == ignored
    asked = {(question.fact.name, question.at) for question in first_questions(words, template, said)}
    assert not asked & {(each.fact, each.at) for each in said}


def test_a_question_is_explained_left_for_later_and_gone_back_to(tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    child = spawned("describe", "tub surround", "--write", str(path))
    assert "Usual: house" in asked(child)
    child.sendline("?")
    assert "Look: " in asked(child)
    child.sendline("house")
    assert "Usual: renovation" in asked(child)
    child.sendline("back")
    assert "Usual: house" in asked(child)
    child.sendline("hotel")
    assert "Usual: renovation" in asked(child)
    child.sendline("not built yet")
    asked(child)
    child.sendintr()
    child.expect(pexpect.EOF)
    text = path.read_text()
    assert "building: hotel" in text and "work:" not in text


def test_a_curbless_shower_is_begun_without_a_curb(tmp_path: Path, loaded: LoadedBook) -> None:
    path = tmp_path / "new.yaml"
    child = spawned("describe", "curbless steam shower by the skylight", "--write", str(path))
    said = asked(child)
    assert "Written, as you said it: shower floor, curb: none." in said
    assert "Nothing was taken from: skylight." in said
    child.sendintr()
    child.expect(pexpect.EOF)
    assert "curb: none" in path.read_text()
    assert read_assembly_file(path, loaded.vocabulary, loaded.catalogue).subjects


def test_what_is_said_of_walls_and_of_a_floor_is_written_at_each(loaded: LoadedBook) -> None:
    words = "shower, foam tray, foam board walls, 3 x 6 in ceramic subway tile on the walls, hex mosaic floor"
    template = template_for(words, read_templates(shelf() / "beginnings.yaml", loaded.vocabulary))
    draft = first_page(words, template, loaded)
    for each in already_said(words, template, draft):
        draft = draft.said(place_of(draft, each.fact, each.at), each.fact, each.says)
    floor, walls = (subject for subject in draft.assembly().subjects if subject.sort == "place")
    assert {name for name in floor.layers} == {"foam pan", "tile"} and {name for name in walls.layers} == {"board", "tile"}
    assert walls.layers["tile"][0].known["tile.size"].text == "3 x 6 in"


def test_what_speaks_against_what_was_said_before_is_not_written(loaded: LoadedBook) -> None:
    words = "kitchen floor, 3/4 in plywood, porcelain tile, marble tile"
    template = template_for(words, read_templates(shelf() / "beginnings.yaml", loaded.vocabulary))
    said = already_said(words, template, first_page(words, template, loaded))
    assert [each.says for each in said if each.fact == "tile.body"] == ["porcelain"]
    assert "marble" in not_read(words, template, said)
