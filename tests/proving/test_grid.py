"""The boundary grid of a rule holds every place that its own comparisons tell apart, and notices any one-step fault."""

import json
from pathlib import Path
from random import Random

import pytest
from books import SEEN, rule, write_book
from paths import ROOT
from planted import bare, planted

from validator.engines.deciding import outcome_of
from validator.engines.outcomes import Outcome
from validator.judging.loading import LoadedBook
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.proving.grid import boundary_rows
from validator.rulebook.reading import read_book

TWO_INCHES = 50_800_000  # nanometres
UNSTATED = (NO_LEAST, NO_GREATEST)


def grid(folder: Path, fact: str, requires: dict[str, object]) -> list[object]:
    """What one fact is in each row of the grid of a rule with these requirements."""
    loaded = LoadedBook(read_book(write_book(folder, rules={"all/deep-enough": rule(requires=requires)})))
    slot = loaded.vocabulary.slot(fact)
    return [row[slot] for row in rows_of(loaded, 20_000)["deep-enough"]]


def rows_of(loaded: LoadedBook, most: int) -> dict[str, list[list]]:
    engine = loaded.engine
    return {
        compiled.rule.name: list(
            boundary_rows(compiled.trees.every(), engine.vocabulary, engine.deriver.blank, most)
        )
        for compiled in engine.rules
    }


@pytest.mark.parametrize("compare", ["at least", "at most", "more than", "less than", "is", "is not"])
def test_a_limit_is_tried_a_step_below_at_it_a_step_above_across_it_and_not_stated(tmp_path, compare):
    values = grid(tmp_path, "place.depth", {"place.depth": {compare: "2 in"}})
    expected = {(TWO_INCHES + step, TWO_INCHES + step) for step in (-1, 0, 1)} | {UNSTATED}
    assert expected <= set(values)
    assert any(least < greatest < NO_GREATEST for least, greatest in values)


def test_each_word_is_tried_alone_and_beside_another_and_not_stated(tmp_path):
    values = grid(tmp_path, "place.exposure", {"place.exposure": {"at least": "damp"}})
    assert set(values) == {0b001, 0b010, 0b100, 0b011, 0b101, 0b110, 0b111}


def test_words_together_are_tried_sure_impossible_and_not_stated(tmp_path):
    values = set(grid(tmp_path, "place.marks", {"place.marks": {"has all of": ["A", "B"]}}))
    assert {(0, 7), (0, 0), (7, 7), (3, 3), (1, 1), (2, 2), (3, 7), (0, 4)} <= values


def test_two_facts_are_tried_a_step_apart_either_way_and_equal(tmp_path):
    requires = {"tape.width": {"at least": {"fact": "seam.width"}}}
    both_there = {"tape": "there", "seam": "there"}
    loaded = LoadedBook(read_book(write_book(
        tmp_path, rules={"all/deep-enough": rule(requires=requires, applies_when=both_there)}
    )))  # fmt: skip
    tape, seam = (loaded.vocabulary.slot(name) for name in ("tape.width", "seam.width"))
    apart = {
        row[tape][0] - row[seam][0]
        for row in rows_of(loaded, 20_000)["deep-enough"]
        if row[tape][0] == row[tape][1] and row[seam][0] == row[seam][1]
    }
    assert {-1, 0, 1} <= apart


def test_every_row_of_a_schedule_is_tried_beside_its_own_answer(tmp_path):
    heading = {"schedule": "depth by kind", "gives": "place.depth", "keys": ["place.kind"], "rows": "d.csv"}
    loaded = LoadedBook(read_book(write_book(
        tmp_path,
        rules={"all/deep-enough": rule(requires={"place.depth": {"at least": {"schedule": "depth by kind"}}})},
        schedules={
            "d.yaml": json.dumps(heading | {"sources": SEEN}),
            "d.csv": "place.kind,answer,known by\nshower wall,2 in,read second-hand\nroom wall,1 in,read second-hand\n",
        },
    )))  # fmt: skip
    kind, depth = (loaded.vocabulary.slot(name) for name in ("place.kind", "place.depth"))
    tried = {(row[kind], row[depth][0]) for row in rows_of(loaded, 20_000)["deep-enough"]}
    for word, answer in ((1, TWO_INCHES), (2, TWO_INCHES // 2)):
        assert {(word, answer - 1), (word, answer), (word, answer + 1)} <= tried


def test_all_combinations_are_made(tmp_path):
    keys = {"applies_when": {"place.kind": "shower wall", "tape": "there"}}
    loaded = LoadedBook(read_book(write_book(
        tmp_path, rules={"all/deep-enough": rule(requires={"place.depth": {"at least": "2 in"}}, **keys)}
    )))  # fmt: skip
    slots = [loaded.vocabulary.slot(name) for name in ("place.kind", "tape", "place.depth")]
    rows = {tuple(row[slot] for slot in slots) for row in rows_of(loaded, 20_000)["deep-enough"]}
    depths = [UNSTATED, (TWO_INCHES - 1, TWO_INCHES - 1), (TWO_INCHES, TWO_INCHES)]
    assert {(kind, tape, depth) for kind in (1, 2, 3) for tape in (1, 2, 3) for depth in depths} <= rows


def test_what_is_stated_is_tried_apart_from_what_it_is(tmp_path):
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(requires={"place.depth": "stated"})})))
    bit = 1 << loaded.vocabulary.slot("place.depth")
    assert {row[0] & bit for row in rows_of(loaded, 20_000)["deep-enough"]} == {0, bit}


def test_a_bound_gives_an_even_choice_that_is_the_same_every_time(loaded):
    first, again = rows_of(loaded, 20), rows_of(loaded, 20)
    assert first == again
    assert all(len(rows) <= 20 for rows in first.values())
    assert any(len(rows) == 20 for rows in first.values())


def test_no_row_comes_twice_when_all_are_made(tmp_path):
    keys = {"applies_when": {"place.exposure": {"at least": "damp"}, "tape": "there"}}
    requires = {"place.depth": {"at least": "2 in", "less than": "3 in"}}
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(requires=requires, **keys)})))
    rows = rows_of(loaded, 20_000)["deep-enough"]
    assert len({tuple(row) for row in rows}) == len(rows)


def test_the_real_books_grid_reaches_a_settled_and_an_open_outcome_of_every_rule(loaded):
    passes = {Outcome.PASS, Outcome.BY_EXCEPTION}
    stay_open = {Outcome.OPEN, Outcome.WAITS, Outcome.FAILS_IF, Outcome.FAILS_UNLESS}
    for compiled in loaded.engine.rules:
        rows = boundary_rows(compiled.trees.every(), loaded.vocabulary, loaded.engine.deriver.blank)
        found: set[Outcome] = set()
        for row in rows:
            found.add(outcome_of(compiled, row))
            if found & passes and found & stay_open:
                break
        else:
            pytest.fail(f"{compiled.rule.name} comes to nothing but {', '.join(sorted(found))}")


def test_the_grid_notices_all_of_150_planted_faults(loaded):
    chance, vocabulary = Random(150), loaded.vocabulary
    rules = list(loaded.engine.rules)
    faults = [(compiled, kind, faulty) for compiled in rules for kind, faulty in planted(compiled, vocabulary)]
    kinds = sorted({kind for _, kind, _ in faults})
    assert {"step", "operator", "bit", "group", "step in a row"} <= set(kinds)
    each = {kind: [fault for fault in faults if fault[1] == kind] for kind in kinds}
    chosen = [chance.choice(each[kinds[number % len(kinds)]]) for number in range(150)]
    missed = []
    for compiled, kind, faulty in chosen:
        trees = compiled.trees
        sound = bare(compiled, trees.applies, trees.requires, trees.exceptions)
        grid_rows = boundary_rows(trees.every(), vocabulary, loaded.engine.deriver.blank)
        if not any(outcome_of(faulty, row) != outcome_of(sound, row) for row in grid_rows):
            missed.append((compiled.rule.name, kind))
    assert missed == []
