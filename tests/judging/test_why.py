"""The whole tree of one judgement: what decided, whence each fact came, and on whose word."""

import subprocess
import sys

import pytest
from paths import ROOT

from validator.assembly import read_assembly_file
from validator.judging.loading import LoadedBook
from validator.judging.why import STRICT, Branch, FactTree, JudgementTree, traced
from validator.papers.why import why_lines


def judged(loaded: LoadedBook, sample: str, rule: str, place: str) -> JudgementTree:
    assembly = read_assembly_file(ROOT / "samples" / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)
    (found,) = traced(assembly, loaded, rule, place)
    return found


def every(facts: tuple[FactTree, ...]):
    for fact in facts:
        yield fact
        yield from every(fact.facts)


def deciding(branch: Branch) -> list[str]:
    return [branch.says] * branch.decided + [says for member in branch.members for says in deciding(member)]


def test_the_comparison_that_decided_a_breach_is_named(loaded: LoadedBook) -> None:
    found = judged(loaded, "five-mistakes", "board-screw-reaches-framing", "back wall")
    assert (found.outcome, found.severity) == ("breach", "fail")
    assert deciding(found.requires) == ["screw penetration at least 5/8 in (16 mm)"]
    assert deciding(found.applies) == []


def test_a_worked_fact_shows_its_steps_and_what_went_in(loaded: LoadedBook) -> None:
    found = judged(loaded, "five-mistakes", "board-screw-reaches-framing", "back wall")
    penetration = next(fact for fact in found.facts if fact.fact == "screw.penetration")
    assert penetration.origin == "worked out"
    assert any("1-1/4 - 1/2 - 1/2 = 1/4 in" in step for step in penetration.steps)
    assert {"screw.length", "board.thickness"} <= {fact.fact for fact in penetration.facts}


def test_a_stated_fact_names_the_line_that_says_it(loaded: LoadedBook) -> None:
    found = judged(loaded, "five-mistakes", "board-screw-reaches-framing", "back wall")
    length = next(fact for fact in every(found.facts) if fact.fact == "screw.length")
    line = int(length.where.rpartition(":")[2])
    written = (ROOT / "samples" / "five-mistakes.yaml").read_text().splitlines()[line - 1]
    assert written.strip() == "length: 1-1/4 in"


def test_a_chain_of_consequences_is_followed_to_what_is_written(loaded: LoadedBook) -> None:
    found = judged(loaded, "five-mistakes", "seam-tape-has-two-coats", "board seams, back wall")
    wet = next(fact for fact in found.facts if fact.fact == "junction.in a wet place")
    exposure = next(fact for fact in wet.facts if fact.fact == "place.exposure")
    assert (wet.origin, exposure.origin) == ("concluded", "concluded")
    assert next(fact for fact in exposure.facts if fact.fact == "place.kind").origin == "stated"
    assert wet.sources and exposure.sources


def test_a_card_is_named_as_the_origin_without_its_folder(loaded: LoadedBook) -> None:
    found = judged(loaded, "registered-shower", "seam-tape-has-two-coats", "board seams, back wall")
    material = next(fact for fact in found.facts if fact.fact == "tape.material")
    assert (material.origin, material.where.partition(":")[0]) == ("product card", "harrow-seam-tape.yaml")


def test_where_a_rule_does_not_apply_the_comparison_that_says_so_is_named(loaded: LoadedBook) -> None:
    found = judged(loaded, "upstairs-stone-floor", "board-screw-reaches-framing", "hall floor")
    assert found.outcome == "not applicable"
    assert deciding(found.applies) and not deciding(found.requires)


@pytest.mark.parametrize("sample", [*(pytest.param(each, marks=pytest.mark.thorough) for each in ("half-known", "metric-wet-room")), "cold-climate-deck"])
def test_every_rule_at_every_place_can_be_traced(loaded: LoadedBook, sample: str) -> None:
    assembly = read_assembly_file(ROOT / "samples" / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)
    for rule in loaded.book.rules:
        for found in traced(assembly, loaded, rule):
            assert list(why_lines(found, loaded.vocabulary, 80, STRICT))


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
