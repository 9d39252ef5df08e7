"""The whole tree of one judgement: what decided, whence each fact came, and on whose word."""

import subprocess
import sys
from pathlib import Path

import pytest

from validator.assembly import read_assembly_file
from validator.papers.why import why_lines
from validator.ready import Ready, ready_book
from validator.shelf import book_folder
from validator.tracing import Behind, Branch, Judged, traced

ROOT = Path(__file__).parent.parent


@pytest.fixture(scope="module")
def ready() -> Ready:
    return ready_book(book_folder("us"))


def judged(ready: Ready, sample: str, rule: str, place: str) -> Judged:
    assembly = read_assembly_file(ROOT / "samples" / f"{sample}.yaml", ready.vocabulary, ready.catalogue)
    (found,) = traced(assembly, ready, rule, place)
    return found


def every(facts: tuple[Behind, ...]):
    for fact in facts:
        yield fact
        yield from every(fact.facts)


def deciding(branch: Branch) -> list[str]:
    return [branch.says] * branch.decided + [says for member in branch.members for says in deciding(member)]


def test_the_comparison_that_decided_a_breach_is_named(ready: Ready) -> None:
    found = judged(ready, "five-mistakes", "board-screw-reaches-framing", "back wall")
    assert (found.outcome, found.severity) == ("breach", "fail")
    assert deciding(found.requires) == ["screw penetration at least 5/8 in (16 mm)"]
    assert deciding(found.applies) == []


def test_a_worked_fact_shows_its_steps_and_what_went_in(ready: Ready) -> None:
    found = judged(ready, "five-mistakes", "board-screw-reaches-framing", "back wall")
    penetration = next(fact for fact in found.facts if fact.fact == "screw.penetration")
    assert penetration.origin == "worked out"
    assert any("1-1/4 - 1 - 0 = 1/4 in" in step for step in penetration.steps)
    assert {"screw.length", "board.thickness"} <= {fact.fact for fact in penetration.facts}


def test_a_stated_fact_names_the_line_that_says_it(ready: Ready) -> None:
    found = judged(ready, "five-mistakes", "board-screw-reaches-framing", "back wall")
    length = next(fact for fact in every(found.facts) if fact.fact == "screw.length")
    line = int(length.where.rpartition(":")[2])
    written = (ROOT / "samples" / "five-mistakes.yaml").read_text().splitlines()[line - 1]
    assert written.strip() == "length: 1-1/4 in"


def test_a_chain_of_consequences_is_followed_to_what_is_written(ready: Ready) -> None:
    found = judged(ready, "five-mistakes", "seam-tape-has-two-coats", "board seams, back wall")
    wet = next(fact for fact in found.facts if fact.fact == "junction.in a wet place")
    exposure = next(fact for fact in wet.facts if fact.fact == "place.exposure")
    assert (wet.origin, exposure.origin) == ("concluded", "concluded")
    assert next(fact for fact in exposure.facts if fact.fact == "place.kind").origin == "stated"
    assert wet.sources and exposure.sources


def test_a_card_is_named_as_the_origin_without_its_folder(ready: Ready) -> None:
    found = judged(ready, "five-mistakes", "seam-tape-has-two-coats", "board seams, back wall")
    material = next(fact for fact in found.facts if fact.fact == "tape.material")
    assert (material.origin, material.where.partition(":")[0]) == ("product card", "harrow-seam-tape.yaml")


def test_where_a_rule_does_not_apply_the_comparison_that_says_so_is_named(ready: Ready) -> None:
    found = judged(ready, "upstairs-stone-floor", "board-screw-reaches-framing", "hall floor")
    assert found.outcome == "not applicable"
    assert deciding(found.applies) and not deciding(found.requires)


@pytest.mark.parametrize("sample", ["half-known", "metric-wet-room", "cold-climate-deck"])
def test_every_rule_at_every_place_can_be_traced(ready: Ready, sample: str) -> None:
    assembly = read_assembly_file(ROOT / "samples" / f"{sample}.yaml", ready.vocabulary, ready.catalogue)
    for rule in ready.book.rules:
        for found in traced(assembly, ready, rule):
            assert list(why_lines(found, ready.vocabulary, 80))


def test_the_command_prints_the_tree_and_names_the_nearest_rule_for_a_slip() -> None:
    def run(*words: str) -> subprocess.CompletedProcess:
        return subprocess.run([sys.executable, "-m", "validator", "why", "samples/five-mistakes.yaml", *words],
                              cwd=ROOT, capture_output=True, encoding="utf-8", check=False)  # fmt: skip

    told = run("board-screw-reaches-framing", "--place", "back wall")
    assert told.returncode == 0
    assert "screw penetration at least 5/8 in (16 mm)   <- decided" in told.stdout
    slip = run("board-screw-reaches-framng")
    assert slip.returncode == 2
    assert "did you mean `board-screw-reaches-framing`?" in slip.stderr
    nowhere = run("board-screw-reaches-framing", "--place", "back wal")
    assert nowhere.returncode == 2
    assert "did you mean `back wall`?" in nowhere.stderr
