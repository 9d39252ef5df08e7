"""Assemblies to be mended: samples with a line changed so that something fails, a small wall, every change that could be made."""

import random

import polars as pl
from paths import SAMPLES

from validator.advising.mending import Allowed, holds
from validator.advising.mending.candidates import Changes
from validator.advising.mending.changes import Change, EditedAssembly, changed, unchanged
from validator.assembly.draft import Draft, drafts_of
from validator.engines.columns import Columns, Variant, variants_of
from validator.engines.outcomes import WORST_FIRST, Outcome
from validator.facts.subjects import Subject
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.language.source import BadAssembly, read_source

SOUND = ("second-floor-shower", "metric-wet-room", "liner-and-mud-shower")
WALL = """\
assembly: A wall
use: {code family: residential}
framing: {material: wood, spacing: 16 in}
places:
  wall:
    kind: room wall
    nothing else: yes
    built up:
      - board: {material: cement, thickness: BOARD, fixed with: screws}
      - screws: {kind: board screw, length: SCREW, corrosion resistant: yes}
      - tile mortar: {kind: modified cement, contact: 95 %}
      - tile: {body: ceramic, size: 4 x 4 in}
      - grout: {kind: cement, joint: 1/8 in}
"""


def draft(loaded: LoadedBook, sample: str) -> Draft:
    return drafts_of(SAMPLES / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)[""]


def wall(loaded: LoadedBook, board: str, screw: str) -> Draft:
    text = WALL.replace("BOARD", board).replace("SCREW", screw)
    return Draft(read_source(text, "a wall", []), "a wall", loaded.vocabulary, loaded.catalogue)


def every_change(one: Draft, loaded: LoadedBook) -> tuple[EditedAssembly, list[Change]]:
    subjects = {subject.name: subject for subject in one.assembly().subjects}
    names, changes = frozenset(loaded.vocabulary.facts), Changes(loaded, Allowed())
    found: dict[object, Change] = {}
    for subject in subjects.values():
        for change in changes.of(subject, names):
            found.setdefault((change.conflict_key, change.after), change)
    return unchanged(one, one.assembly()), list(found.values())


def fails(one: Draft, loaded: LoadedBook) -> bool:
    return not holds(check(one.assembly(), loaded, passes=False), False)


def mutated(sample: str, loaded: LoadedBook, seed: int, most: int) -> list[tuple[Change, Draft]]:
    """A sound sample with one line changed so that something fails."""
    start, changes = every_change(draft(loaded, sample), loaded)
    random.Random(seed).shuffle(changes)
    found = []
    for change in changes:
        if len(found) == most:
            break
        try:
            page = changed(start, change).page()
            if fails(page, loaded):
                found.append((change, page))
        except BadAssembly:
            continue
    return found


def fails_in_a_table(place: Subject, sets: list[tuple[Change, ...]], loaded: LoadedBook):
    variants = [Variant(0, tuple((change.fact, change.known) for change in each)) for each in sets]
    trees = [rule.trees for rule in loaded.engine.rules if rule.severity == "fail"]
    columns = Columns(loaded.book, loaded.engine.deriver.work, trees=trees)
    judged = columns.judge(variants_of(loaded.engine.deriver, [place], variants, "place"))
    return judged.outcomes.select(pl.any_horizontal(pl.all() == WORST_FIRST.index(Outcome.BREACH)).alias("any"))["any"]
