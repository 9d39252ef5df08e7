"""An editor that checks a book by its schema takes what the reader takes, and underlines a slip."""

from pathlib import Path

import jsonschema
import pytest
import yaml
from paths import ROOT

from validator.judging.loading import load_book
from validator.rulebook.reading import NOT_CHAPTERS
from validator.rulebook.schema import KINDS, schema_of

US = ROOT / "rulebooks" / "us"
AUTHORS = Path(__file__).parent / "authors"
FILES = {
    "rule": sorted(path for path in US.glob("*/*.yaml") if path.parent.name not in NOT_CHAPTERS), "consequence": sorted((US / "consequences").glob("*.yaml")), "limits": [US / "limits.yaml"],
    "schedule": sorted((US / "schedules").glob("*.yaml")), "book": [US / "book.yaml"], "sources": [ROOT / "rulebooks" / "sources.yaml"],
    "looks": [US / "causes" / "looks.yaml"], "troubles": [US / "causes" / "troubles.yaml"],
    "deciding": [US / "deciding.yaml"], "outside-causes": [US / "causes" / "outside.yaml"], "no-faults": [US / "causes" / "no-faults.yaml"],
    "vocabulary": sorted((ROOT / "rulebooks" / "vocabulary").glob("*.yaml")),
}  # fmt: skip
QUICK = 12  # files of a kind, spread over all there are
RULE = """
rule: a
title: A
severity: fail
requires: {flood test.depth: {at least: {limit: least depth of a flood test}}}
because: B.
put right: C.
shows as: [the pan leaks]
told by: flood test
sources: [{from: tile handbook, known by: read myself}]
cases: {each: [{name: d, with: {flood test.depth: 2 in}, expect: pass}]}
"""


@pytest.fixture(scope="module")
def checkers() -> dict[str, jsonschema.Draft202012Validator]:
    book = load_book(US).book
    return {kind: jsonschema.Draft202012Validator(schema_of(kind, book)) for kind in KINDS}


def slips(checker: jsonschema.Draft202012Validator, text: str) -> list[str]:
    return [each.message for each in checker.iter_errors(yaml.safe_load(text))]


@pytest.mark.parametrize("kind", FILES)
def test_the_shelfs_files_are_taken(checkers, kind: str) -> None:
    for path in FILES[kind][:: max(len(FILES[kind]) // QUICK, 1)]:
        assert slips(checkers[kind], path.read_text(encoding="utf-8")) == [], path.name


@pytest.mark.thorough
@pytest.mark.parametrize("kind", FILES)
def test_every_file_of_the_shelf_is_taken(checkers, kind: str) -> None:
    for path in FILES[kind]:
        assert slips(checkers[kind], path.read_text(encoding="utf-8")) == [], path.name


def test_the_cases_of_a_book_for_a_rule_beneath_are_taken(checkers) -> None:
    for path in AUTHORS.glob("*/cases/*.yaml"):
        assert slips(checkers["cases"], path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("severity: fail", "severity: fatal"), ("because: B.", "becuase: B."), ("{at least: {limit", "{atleast: {limit"),
        ("least depth of a flood test}", "least dept of a flood test}"), ("known by: read myself", "known by: seen"),
        ("shows as: [the pan leaks]", "shows as: [the pan leeks]"), ("told by: flood test", "told by: flod test"),
        ("from: tile handbook", "from: tile handbok"), ("expect: pass", "expect: passes"), ("put right: C.\n", ""),
    ],
)  # fmt: skip
def test_a_slip_is_underlined(checkers, right: str, wrong: str) -> None:
    assert slips(checkers["rule"], RULE) == []
    assert slips(checkers["rule"], RULE.replace(right, wrong)) != []


def test_a_book_without_its_layer_is_underlined(checkers) -> None:
    assert slips(checkers["book"], "book: a\ntitle: A\nedition: '1'\n") == ["'layer' is a required property"]
