"""The register of what is covered is complete and true: every known row has gone somewhere, or is left out for a reason."""

import csv
import re
from collections import Counter

import pytest
from paths import ROOT

from validator.rulebook.reading import read_book
from validator.workings import WORKINGS

US = ROOT / "rulebooks" / "us"
# The rows there are, by family. X holds what the book knows from elsewhere.
FAMILIES = {
    "T": "1-20", "A": "1-11 20-47 50-60", "B": "1-13", "C": "1-15 20-34", "D": "1-10", "E": "1-17",
    "F": "1-16 20-25 30-34 40-43 50", "G": "1-7", "H": "1-25 30-44 46-50 60-65 70-74", "I": "1-9", "J": "1-9",
    "K": "1-11", "L": "1-7", "SH": "1-36", "LD": "1-9", "SF": "1-12", "BM": "1-7", "CN": "1-6", "MJ": "1-14",
    "ST": "1-8", "FA": "1-12", "WT": "1-9", "VO": "1-10", "WA": "1-6", "OD": "1-4", "WC": "1-7", "WP": "1-12", "BR": "1-18", "X": "1-7",
}  # fmt: skip
REASONS = ("not checkable before the work", "doubted", "a duplicate of ", "display only", "law not technique")
COUNTS = {"went": 382, "display only": 32, "doubted": 16, "a duplicate of ": 14, "not checkable before the work": 2, "law not technique": 2}


def expected_ids() -> list[str]:
    found = []
    for family, ranges in FAMILIES.items():
        for span in ranges.split():
            first, _, last = span.partition("-")
            found += [f"T{n}" if family == "T" else f"{family}-{n:02}" for n in range(int(first), int(last or first) + 1)]
    return found


@pytest.fixture(scope="module")
def rows() -> list[dict[str, str]]:
    with (US / "covered.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.fixture(scope="module")
def book():
    return read_book(US)


def named(row: dict[str, str]) -> list[str]:
    return [name.strip() for name in row["went to"].split(";") if name.strip()]


def reason(row: dict[str, str]) -> str:
    return next((each for each in REASONS if row["left out because"].startswith(each)), "")


def test_every_row_stands_in_the_register_once(rows):
    assert sorted(row["id"] for row in rows) == sorted(expected_ids())


def test_every_row_went_somewhere_or_was_left_out_for_a_reason(rows):
    assert [row["id"] for row in rows if bool(named(row)) == bool(row["left out because"])] == []
    assert [row["id"] for row in rows if row["left out because"] and not reason(row)] == []
    assert [row["id"] for row in rows if not row["statement"]] == []


def test_the_counts_are_those_that_are_reported(rows):
    assert dict(Counter("went" if named(row) else reason(row) for row in rows)) == COUNTS


def test_a_duplicate_names_rows_that_are_there(rows):
    ids = {row["id"] for row in rows}
    for row in rows:
        if reason(row) == "a duplicate of ":
            others = re.findall(r"\b(?:T\d+|[A-Z]{1,2}-\d+)\b", row["left out because"])
            assert others and set(others) <= ids - {row["id"]}, row["id"]


def test_what_a_row_went_to_is_there(rows, book):
    known = {*book.rules, *book.limits, *book.schedules, *book.consequences, *WORKINGS, *book.vocabulary.facts}
    assert [(row["id"], name) for row in rows for name in named(row) if name not in known] == []


def test_every_rule_and_limit_comes_from_a_row_or_is_common_practice(rows, book):
    covered = {name for row in rows for name in named(row)}
    cited = {name: each.cited for name, each in (*book.rules.items(), *book.limits.items())}
    loose = [name for name, passages in cited.items() if name not in covered and not any(c.known_by == "practice" for c in passages)]
    assert loose == []
    assert [name for name in (*book.schedules, *WORKINGS) if name not in covered] == []
