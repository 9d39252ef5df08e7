"""Past registrations under two editions or two books: which change, and by which rule. Nothing decided is changed here."""

from collections.abc import Iterator
from typing import NamedTuple

import polars as pl

from validator.engines.outcomes import OPEN_OUTCOMES, WORST_FIRST, Outcome
from validator.screening.judging import Screener
from validator.screening.rows import Rows

QUIET = "nothing"


class Change(NamedTuple):
    """One registration that comes to something else, and the rules that do at each place."""

    row: int
    registration: str
    before: str
    after: str
    rules: tuple[str, ...]


def changes(old: Screener, new: Screener, pieces: Iterator[Rows]) -> Iterator[Change]:
    """Every registration of which some rule comes to another outcome, in the table's order."""
    for rows in pieces:
        before, after = old.judge(rows), new.judge(rows)
        rules: list[list[str]] = [[] for _ in range(rows.height)]
        for was, now in zip(_groups(old, rows), _groups(new, rows)):
            for name in sorted({*was.outcomes.columns, *now.outcomes.columns}):
                for row in _rows_that_differ(was, now, name):
                    words = was.word(name, row), now.word(name, row)
                    if words[0] != words[1] and set(words) != {"pass", QUIET}:
                        rules[row].append(f"{was.place}: {name}: {words[0]} -> {words[1]}")
        for number, row in enumerate(rows.marks["number"].to_list()):
            pair = before.results["strictly"][number], after.results["strictly"][number]
            if rules[number] or pair[0] != pair[1]:
                yield Change(row, before.results["registration"][number], *pair, tuple(rules[number]))


class _Group(NamedTuple):
    """What the rules of one book come to at one group of columns."""

    place: str
    outcomes: pl.DataFrame
    standings: pl.DataFrame
    severities: dict[str, str]

    def word(self, name: str, row: int) -> str:
        """What a rule comes to, as a finding would say it; a rule of another book comes to nothing here."""
        if name not in self.outcomes.columns:
            return QUIET
        outcome = WORST_FIRST[self.outcomes[row, name]]
        if outcome in (Outcome.NOTHING, Outcome.NOT_APPLICABLE):
            return QUIET
        if outcome in OPEN_OUTCOMES:
            return "waits" if outcome is Outcome.WAITS else "open"
        if outcome is not Outcome.BREACH:
            return "pass"
        fails = f"{name}:fails"
        if fails in self.standings.columns:
            return "fail" if self.standings[row, fails] else "warn"
        return self.severities[name]


def _groups(screener: Screener, rows: Rows) -> Iterator[_Group]:
    severities = {rule.name: rule.severity for rule in screener.loaded.book.rules.values()}
    for reader, outcomes, standings in screener.outcomes(rows):
        yield _Group(reader.group.name, outcomes, standings, severities)


def _rows_that_differ(was: _Group, now: _Group, name: str) -> pl.Series:
    """The rows worth looking at: of a rule that one book has, those where it says something."""
    own = [group.outcomes[name] for group in (was, now) if name in group.outcomes.columns]
    if len(own) == 1:
        return (own[0] < WORST_FIRST.index(Outcome.BY_EXCEPTION)).arg_true()
    if was.severities[name] != now.severities[name]:
        return ((own[0] != own[1]) | (own[0] == WORST_FIRST.index(Outcome.BREACH))).arg_true()
    differ = own[0] != own[1]
    fails = [group.standings[f"{name}:fails"] for group in (was, now) if f"{name}:fails" in group.standings.columns]
    return (differ | (fails[0] != fails[1]) if len(fails) == 2 else differ).arg_true()
