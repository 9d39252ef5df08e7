"""What a row comes to hangs on its own cells: not on its neighbours, on what was judged before it, or on how many are remembered."""

from pathlib import Path
from random import Random

import polars as pl
import pytest
from test_lanes import BOOK, DAY, HEADINGS, lines, mapped

from validator.judging.loading import load_book
from validator.screening import combinations
from validator.screening.judging import Piece, Screener
from validator.screening.mapping import read_mapping
from validator.screening.rows import Row, rows_of_each


def screener(folder) -> Screener:
    loaded = load_book(Path(BOOK[0]))
    return Screener(loaded, read_mapping(mapped(folder), loaded.vocabulary), DAY)


def judged(own: Screener, rows: list[dict[str, str]], numbers: list[int]) -> Piece:
    return own.judge(rows_of_each([Row(n, rows[n]) for n in numbers], HEADINGS))


@pytest.fixture(scope="module")
def rows() -> list[dict[str, str]]:
    """Registrations with cells here and there that nobody can read."""
    chance, rows = Random(3), lines(60, seed=5)
    for row in chance.sample(rows, 20):
        row[chance.choice(HEADINGS[4:])] = chance.choice(["nobody knows", "=A1", "none"])
    return rows


@pytest.fixture(scope="module")
def whole(rows, tmp_path_factory) -> Piece:
    """All of them judged as one piece."""
    return judged(screener(tmp_path_factory.mktemp("whole")), rows, list(range(60)))


KEPT_AND_AT_ONCE = [(7, 3), (0, 25_000), (50_000, 25_000)]
EVERY_OTHER = [pytest.param(*pair, marks=pytest.mark.thorough) for pair in ((0, 3), (50_000, 3), (7, 25_000))]


@pytest.mark.parametrize(("most_kept", "at_once"), KEPT_AND_AT_ONCE + EVERY_OTHER)
def test_rows_in_any_order_and_company_come_to_the_same(tmp_path, monkeypatch, rows, whole, most_kept, at_once):
    chance = Random(4)
    monkeypatch.setattr(combinations, "MOST_KEPT", most_kept)
    monkeypatch.setattr(combinations, "AT_ONCE", at_once)
    shuffled = list(range(60))
    chance.shuffle(shuffled)
    own, parts = screener(tmp_path), []
    while shuffled:
        some, shuffled = shuffled[: (size := chance.randint(1, 17))], shuffled[size:]
        parts.append(judged(own, rows, some))
    assert pl.concat(part.results for part in parts).sort("row").equals(whole.results)
    assert pl.concat(part.findings for part in parts).sort("row", maintain_order=True).equals(whole.findings)
    counted = pl.concat(part.questions for part in parts).group_by("fact").agg(pl.sum("rows")).sort("fact")
    assert counted.equals(whole.questions.select("fact", "rows").sort("fact")) and counted.height > 5
    assert whole.results["untidy"].str.len_chars().gt(0).sum() > 5
