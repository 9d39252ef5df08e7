"""Every fact that a sound assembly states matters: said otherwise, some rule somewhere comes to something else.

Each stated fact is changed to each of its other words, past each cut that any rule knows, and to a quarter and four times. What
stays silent at one kind of place in every sound assembly stands in `sound/silent.yaml` with the reason why nothing should hear it.
"""

from collections.abc import Iterator
from typing import Any

import pytest
import yaml
from paths import ROOT

from validator.assembly import Assembly, read_assembly_file
from validator.engines.varying import judge_varying
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Layer, Subject, copied_with, layer_with_fact
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook

SOUND = ROOT / "tests" / "whole" / "sound"
SAMPLES = ("second-floor-shower", "liner-and-mud-shower", "metric-wet-room")
FILES = (*(ROOT / "samples" / f"{name}.yaml" for name in SAMPLES), *sorted(path for path in SOUND.glob("*.yaml") if path.stem != "silent"))
SILENT: dict[str, dict[str, str]] = yaml.safe_load((SOUND / "silent.yaml").read_text(encoding="utf-8"))
LEAST_FACTS = 1000  # stated facts that are changed
Stated = tuple[str, int, int]  # a fact and the line and column it is written at
Use = tuple[Subject, Layer | None, Known]


def said(assembly: Assembly, loaded: LoadedBook) -> dict[Stated, list[Use]]:
    """Every fact that is written, with each place and layer that it says something of."""
    uses: dict[Stated, list[Use]] = {}
    for subject in assembly.subjects:
        holders = [(None, subject.known), *((layer, layer.known) for layers in subject.layers.values() for layer in layers)]
        for layer, facts in holders:
            for name, known in facts.items():
                if known.origin == STATED and known.where is not None and judged(loaded.vocabulary.fact(name), loaded):
                    uses.setdefault((name, known.where.line, known.where.column), []).append((subject, layer, known))
    return uses


def judged(fact: Fact, loaded: LoadedBook) -> bool:
    """Whether a fact is there for rules to read, and not kept for something else."""
    kept = fact.kept_for or fact.gives or fact.kind in ("presence", "name", "size")
    return not kept and loaded.vocabulary.things[fact.thing].sort != "observation"


def otherwise(fact: Fact, value: Any, cuts: dict[int, set[int]], slot: int) -> Iterator[Any]:
    """What else could have been said."""
    if fact.is_amount:
        least, greatest = value
        points = {0, least // 4, greatest // 4, least * 4, greatest * 4, *(p for cut in cuts.get(slot, ()) for p in (cut, cut + 1))}
        yield from ((p, p) for p in sorted(points) if fact.always[0] <= p <= fact.always[1] and not least <= p <= greatest)
    elif fact.is_together:
        yield from (each for each in ((0, 0), *((1 << bit, 1 << bit) for bit in range(len(fact.words)))) if each != value)
    else:
        yield from (1 << bit for bit in range(len(fact.words)) if not value >> bit & 1)


def with_other(subject: Subject, layer: Layer | None, name: str, known: Known) -> Subject:
    """The place with one fact said otherwise, of itself or of one of its layers."""
    if layer is None:
        return copied_with(subject, {**subject.known, name: known}, subject.layers)
    layers = [layer_with_fact(each, name, known) if each is layer else each for each in subject.layers[layer.thing]]
    return copied_with(subject, subject.known, {**subject.layers, layer.thing: layers})


def told(subject: Subject, loaded: LoadedBook) -> tuple[object, ...]:
    """What is said of a place: how each rule comes out, what it is warned of, and what stands outside the book."""
    derived, judgements = judge_varying(loaded.engine, subject)
    conditions = (each.when for each in (*loaded.book.cautions, *loaded.book.outside))
    return (
        *((each.outcome, each.severity) for each in judgements),
        *(loaded.explainer.holds(when, derived.vector) for when in conditions), len(derived.disagreements),
    )  # fmt: skip


def is_heard(name: str, uses: list[Use], before: dict[int, tuple[object, ...]], loaded: LoadedBook) -> bool:
    fact, slot = loaded.vocabulary.fact(name), loaded.vocabulary.slot(name)
    return any(
        told(with_other(subject, layer, name, Known(value, STATED, "said otherwise", known.where)), loaded) != before[id(subject)]
        for value in otherwise(fact, uses[0][2].value, loaded.engine.cuts, slot) for subject, layer, known in uses
    )  # fmt: skip


@pytest.mark.thorough
def test_every_stated_fact_matters_or_stands_in_the_list(loaded: LoadedBook) -> None:
    heard: dict[tuple[str, str], bool] = {}
    changed = 0
    for path in FILES:
        assembly = read_assembly_file(path, loaded.vocabulary, loaded.catalogue).to_judge()[0]
        before = {id(subject): told(subject, loaded) for subject in assembly.subjects}
        for (name, *_), uses in said(assembly, loaded).items():
            at = (name, uses[0][0].kind or uses[0][0].sort)
            heard[at] = is_heard(name, uses, before, loaded) or heard.get(at, False)
            changed += 1
    assert changed >= LEAST_FACTS
    assert sorted(at for at, is_so in heard.items() if not is_so) == sorted((name, place) for name, places in SILENT.items() for place in places)


def test_each_silent_fact_says_why() -> None:
    assert not [(name, place) for name, places in SILENT.items() for place, why in places.items() if why.count(" ") < 3]
