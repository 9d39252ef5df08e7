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
    questions: Counter[str] = field(default_factory=Counter)  # by question, once a place of a registration


def tally_of(pieces: Iterable[tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]]) -> Tally:
    """The numbers of a run from the results, findings and questions of its pieces."""
    tally = Tally()
    for results, findings, questions in pieces:
        for question, number in questions.select("question", "rows").iter_rows():
            tally.questions[question] += number
        tally.rows += results.height
        tally.unreadable += (results["as told"] == UNREADABLE).sum()
        for counter, frame, keys in (
            (tally.lanes, results, ["lane"]),
            (tally.outcomes, results, ["as told"]),
            (tally.months, results.filter(pl.col("month") != ""), ["month", "lane"]),
            (tally.terms, results.filter(pl.col("programme") != ""), ["programme", "lane"]),
            (tally.matters, findings.filter(pl.col("outcome").is_in(BREACHES)), ["rule"]),
        ):
            for *key, number in frame.group_by(keys).len().iter_rows():
                if counter is not tally.terms or len(counter) < MOST_TERMS or tuple(key) in counter:
                    counter[key[0] if len(key) == 1 else tuple(key)] += number
    return tally

