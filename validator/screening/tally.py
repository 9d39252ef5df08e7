"""What a run comes to in numbers, counted piece after piece, so that it takes no more memory for a longer table."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

import polars as pl

from validator.screening.judging import UNREADABLE

MOST_TERMS = 10_000  # different programme terms that are counted; a column of nothing but different ones is none of terms
BREACHES = ("fail", "warn")


@dataclass
class Tally:
    """How many registrations went to each lane, and what was found of them."""

    rows: int = 0
    unreadable: int = 0
    lanes: Counter[str] = field(default_factory=Counter)
    outcomes: Counter[str] = field(default_factory=Counter)
    months: Counter[tuple[str, str]] = field(default_factory=Counter)  # by month and lane
    terms: Counter[tuple[str, str]] = field(default_factory=Counter)  # by programme term and lane
    matters: Counter[str] = field(default_factory=Counter)  # by rule
    unstated: Counter[str] = field(default_factory=Counter)  # by fact


def tally_of(pieces: Iterable[tuple[pl.DataFrame, pl.DataFrame]]) -> Tally:
    """The numbers of a run from the results and findings of its pieces."""
    tally = Tally()
    for results, findings in pieces:
        tally.rows += results.height
        tally.unreadable += (results["outcome"] == UNREADABLE).sum()
        for counter, frame, keys in (
            (tally.lanes, results, ["lane"]),
            (tally.outcomes, results, ["outcome"]),
            (tally.months, results.filter(pl.col("month") != ""), ["month", "lane"]),
            (tally.terms, results.filter(pl.col("programme") != ""), ["programme", "lane"]),
            (tally.matters, findings.filter(pl.col("outcome").is_in(BREACHES)), ["rule"]),
            (tally.unstated, _unstated(findings), ["fact"]),
        ):
            for *key, number in frame.group_by(keys).len().iter_rows():
                if counter is not tally.terms or len(counter) < MOST_TERMS or tuple(key) in counter:
                    counter[key[0] if len(key) == 1 else tuple(key)] += number
    return tally


def _unstated(findings: pl.DataFrame) -> pl.DataFrame:
    """Each fact that is asked for, once a registration."""
    asked = findings.filter(pl.col("asks") != "")
    return asked.select("row", pl.col("asks").str.split(", ").alias("fact")).explode("fact").unique()
