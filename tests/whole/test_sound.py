"""A sound assembly of each main kind has nothing found against it, and each single mistake gets the one finding that fits.

The mistakes stand in `sound/mistakes.csv`: in which assembly, what is written otherwise, and what must then be found,
written by hand. Where one mistake brings more than one finding, all are named; nothing else may be found or asked.
"""

import csv
import json
from collections import Counter
from functools import cache

import pytest
import yaml
from paths import ROOT

from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook

SOUND = ROOT / "tests" / "whole" / "sound"
KINDS = {
    "foam-pan-shower": SOUND,
    "liner-and-mud-shower": ROOT / "samples",
    "tub-surround": SOUND,
    "floor-on-joists": SOUND,
    "slab-floor": SOUND,
    "deck-over-a-room": SOUND,
    "steam-room": SOUND,
}
LEAST_MISTAKES = 40


def mistakes() -> list[tuple[str, str, str, str]]:
    with (SOUND / "mistakes.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    return [(name, row["what"], row["written"], row["finds"]) for row in rows for name in row["assembly"].split("; ")]


@cache
def written(name: str) -> str:
    """A file as JSON, which is read much quicker than YAML."""
    return json.dumps(yaml.load((KINDS[name] / f"{name}.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader))


def described(name: str) -> dict[str, object]:
    return json.loads(written(name))


def holder(node: object, names: list[str]) -> dict[str, object] | None:
    """The first mapping, searched in the order written, that holds what the names lead to."""
    if isinstance(node, dict) and names[0] in node:
        found = node if len(names) == 1 else holder(node[names[0]], names[1:])
        if found is not None:
            return found
    inner = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
    return next((found for each in inner if (found := holder(each, names)) is not None), None)


def findings(assembly: dict[str, object], loaded: LoadedBook) -> set[str]:
    report = check(read_assembly(json.dumps(assembly), "a test", loaded.vocabulary, loaded.catalogue), loaded, passes=False)
    return {f"{finding.rule} {finding.outcome}" for finding in report.findings}


@pytest.mark.parametrize("name", KINDS)
def test_nothing_is_found_against_a_sound_assembly(loaded, name):
    assert findings(described(name), loaded) == set()


@pytest.mark.parametrize(("name", "what", "written", "finds"), mistakes(), ids=lambda each: each[:40])
def test_a_single_mistake_gets_the_finding_that_fits(loaded, name, what, written, finds):
    assembly = described(name)
    names = what.split(" > ")
    place = holder(assembly, names)
    assert place is not None, f"{name} has no {what}"
    place[names[-1]] = written
    assert findings(assembly, loaded) == set(finds.split("; "))


def test_every_kind_is_tried_with_enough_mistakes():
    tried = Counter(name for name, *_ in mistakes())
    assert {name: tried[name] for name in KINDS if tried[name] < LEAST_MISTAKES} == {}
