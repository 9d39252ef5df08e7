"""Past registrations under two editions or two books: which change, and by which rule. Nothing decided is changed here."""

from collections.abc import Iterator
from typing import NamedTuple

import polars as pl

from validator.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.screening.judging import Screener
from validator.screening.tables import Row


class Change(NamedTuple):
    """One registration that comes to something else, and the rules that do at each place."""

    row: int
    registration: str
    before: str
    after: str
    rules: tuple[str, ...]


def changes(old: Screener, new: Screener, pieces: Iterator[list[Row]]) -> Iterator[Change]:
    """Every registration of which some rule comes to another outcome, in the table's order."""
    for rows in pieces:
        before, after = old.judge(rows), new.judge(rows)
        by_row = _words(old, rows), _words(new, rows)
        for number, row in enumerate(rows):
            rules = tuple(_differ(by_row[0][number], by_row[1][number]))
            was, now = before.results["outcome"][number], after.results["outcome"][number]
            if rules or was != now:
                yield Change(row.number, before.results["registration"][number], was, now, rules)


def _words(screener: Screener, rows: list[Row]) -> list[dict[tuple[str, str], str]]:
    """For each row, what each rule comes to at each group of columns, in a word; what is no matter is left out."""
    found: list[dict[tuple[str, str], str]] = [{} for _ in rows]
    for reader, outcomes, standings in screener.outcomes(rows):
        for name in outcomes.columns:
            codes = outcomes[name]
            at = (codes < WORST_FIRST.index(Outcome.PASS)).arg_true()
            for row, code in zip(at, codes.gather(at)):
                found[row][reader.group.name, name] = _word(screener, name, code, standings, row)
    return found


def _word(screener: Screener, name: str, code: int, standings: pl.DataFrame, row: int) -> str:
    outcome = WORST_FIRST[code]
    if outcome is Outcome.WAITS:
        return "waits"
    if outcome in OPEN_OUTCOMES:
        return "open"
    if outcome is not Outcome.BREACH:
        return "pass"
    fails = f"{name}:fails"
    if fails in standings.columns:
        return "fail" if standings[row, fails] else "warn"
    return screener.ready.book.rules[name].severity


def _differ(before: dict[tuple[str, str], str], after: dict[tuple[str, str], str]) -> Iterator[str]:
    quiet = "nothing"
    for place, name in sorted({*before, *after}):
        was, now = before.get((place, name), quiet), after.get((place, name), quiet)
        if was != now and {was, now} != {"pass", quiet}:
            yield f"{place}: {name}: {was} -> {now}"
