"""Ratios measured in one run on one core: columns against the same rules written by hand. `peers.py` prints the whole table."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
MEASURE = """
import json, sys
sys.path[:0] = [{here!r}]
import peers
from validator.engines.columns import Columns

rules = peers.Rules()
table = rules.table(800_000)
work = rules.loaded.engine.deriver.work

def seconds(trees, rows):
    columns, places = Columns(rules.loaded.book, work, trees=trees), rules.places(table.head(rows))
    return peers.timed(lambda: columns.judge(places, derived=True), 3)

ours = seconds(rules.trees, 200_000)
by_hand = peers.by_hand_in_polars(rules, table.head(200_000))
polars = peers.timed(by_hand, 3)
closures = peers.timed(peers.closures(rules, table.head(4_000)), 3) * 50
four = seconds(rules.trees, 800_000)
twice = [*rules.trees, *(t._replace(name=t.name + " again") for t in rules.trees)]
doubled = seconds(twice, 200_000)
print(json.dumps(dict(closures=closures / ours, polars=ours / polars, four=four / ours, doubled=doubled / ours)))
"""


@pytest.fixture(scope="module")
def measured() -> dict[str, float]:
    done = subprocess.run(
        [sys.executable, "-c", MEASURE.format(here=str(HERE))], capture_output=True, text=True, check=True, timeout=300,
        env={**os.environ, "POLARS_MAX_THREADS": "1"},
    )  # fmt: skip
    return json.loads(done.stdout.splitlines()[-1])


def test_columns_judge_at_least_sixty_times_as_fast_as_closures(measured):
    assert measured["closures"] >= 60


def test_columns_take_at_most_a_third_more_than_polars_by_hand(measured):
    assert measured["polars"] <= 1.3


def test_time_grows_with_rows_and_no_faster(measured):
    assert measured["four"] < 4.4


def test_rules_that_share_their_comparisons_cost_less_than_their_number(measured):
    assert measured["doubled"] < 1.9
