"""Finds the rows of tables that no case holds: a schedule's, or a limit's that changes with edition or code family.

Each answer of each row is changed, an amount a tenth either way, a word left out or all let in. A case of some rule compared
with the table must come to another outcome; else the row is told, with the case that would hold it.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import NamedTuple

from validator.engines.deciding import CompiledRule
from validator.engines.deriving import DerivedPlace
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.proving.case_to_add import Facts, case_to_add, text_of_cell, texts_near
from validator.proving.coming import derive_case, expected_word
from validator.rulebook import english
from validator.rulebook.book import tables_compared
from validator.rulebook.conditions import Comparison, FromLimit, FromSchedule, leaves
from validator.rulebook.fusing import Fuser
from validator.rulebook.rule import Rule
from validator.rulebook.schedules import Limit, Row, Schedule
from validator.rulebook.trees import trees_of

MOST_QUESTIONS = 4  # of one row, each tried as the keys of a case


class _Tried(NamedTuple):
    """A rule compared with a table, its cases as places, and what they come to."""

    compiled: CompiledRule
    derived: list[DerivedPlace]
    came: list[str]


def unheld_rows(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every changed answer of a row that no case notices, with the case to add. `book`: only the tables of one."""
    users: dict[str, list[CompiledRule]] = {}
    for compiled in loaded.engine.rules:
        for table in tables_compared(loaded.book, compiled.rule):
            users.setdefault(table.name, []).append(compiled)
    for table in (*loaded.book.limits.values(), *loaded.book.schedules.values()):
        if table.name not in users or book not in ("", table.book):
            continue
        schedule = _as_schedule(table, loaded) if isinstance(table, Limit) else table
        if schedule is not None:
            yield from _unheld(loaded, table, schedule, [_tried(loaded, each) for each in dict.fromkeys(users[table.name])])


def _as_schedule(limit: Limit, loaded: LoadedBook) -> Schedule | None:
    """A limit that changes, as its table; one that replaces another, as a table of one row. What else has one value is a rule's own to prove."""
    if limit.by is not None or not limit.replaces:
        return limit.by
    gives = loaded.vocabulary.fact(next(iter(_facts_against(limit, loaded))))
    row = Row((), ((limit.least, limit.greatest),), (limit.text,), limit.cited, limit.where)
    whole = Schedule(limit.name, "", gives, (), ("value",), (row,), where=limit.where)
    whole.prepare()
    return whole


def _facts_against(limit: Limit, loaded: LoadedBook) -> Iterator[str]:
    for rule in loaded.book.rules.values():
        yield from _compared(rule, limit.name, "value")


def _tried(loaded: LoadedBook, compiled: CompiledRule) -> _Tried:
    derived = [derive_case(loaded, compiled, case) for case in compiled.rule.cases]
    return _Tried(compiled, derived, [expected_word(loaded.engine.judge_rule(compiled, found)) for found in derived])


def _unheld(loaded: LoadedBook, table: Limit | Schedule, schedule: Schedule, users: list[_Tried]) -> Iterator[str]:
    for number, row in enumerate(schedule.rows):
        for column, answer in enumerate(row.answers):
            said = english.row_in_words(schedule, number) or "all other"
            for what, other in _others(schedule.gives, answer, row.texts[column]):
                answers = (*row.answers[:column], other, *row.answers[column + 1 :])
                rows = (*schedule.rows[:number], row._replace(answers=answers), *schedule.rows[number + 1 :])
                fuser = _with(loaded.book.fuser, table, replace(schedule, rows=rows))
                again = [CompiledRule(trees_of(each.compiled.rule, fuser), {each.compiled.name: each.compiled.rule}) for each in users]
                if any(_notices(loaded, each, changed) for each, changed in zip(users, again)):
                    continue
                kind = "limit" if isinstance(table, Limit) else "schedule"
                row_said = f", the row for {said}" if schedule.keys else ""
                yield (f"{row.where}: the {kind} `{table.name}`{row_said}: no case notices {row.texts[column]} {what}; "
                       + _to_add(loaded, table.book, schedule, number, column, users, again))  # fmt: skip


def _with(fuser: Fuser, table: Limit | Schedule, changed: Schedule) -> Fuser:
    if isinstance(table, Limit) and table.by is None:
        ((least, greatest),) = changed.rows[0].answers
        return fuser._replace(limits={**fuser.limits, table.name: table._replace(least=least, greatest=greatest)})
    if isinstance(table, Limit):
        least, greatest = min(row.answers[0][0] for row in changed.rows), max(row.answers[0][1] for row in changed.rows)
        other = table._replace(by=changed, least=least, greatest=greatest)
        return fuser._replace(limits={**fuser.limits, table.name: other})
    return fuser._replace(schedules={**fuser.schedules, table.name: changed})


def _notices(loaded: LoadedBook, tried: _Tried, changed: CompiledRule) -> bool:
    return any(
        expected_word(loaded.engine.judge_rule(changed, found)) != word for found, word in zip(tried.derived, tried.came)
    )


def _others(gives: Fact, answer: object, text: str) -> Iterator[tuple[str, object]]:
    """What the answer could be mistaken for."""
    if gives.is_amount:
        for what, part in (("a tenth less", -1), ("a tenth more", 1)):
            step = part * max(abs(answer[0]) // 10, 1)
            other = (answer[0] + step, answer[1] + step)
            if answer[0] and gives.always[0] <= other[0] and other[1] <= gives.always[1]:
                yield what, other
        return
    words = [bit for bit in range(len(gives.words)) if answer >> bit & 1]
    if len(words) > 1 and answer != gives.every_word:
        for bit in words:
            yield f"without `{gives.words[bit]}`", answer & ~(1 << bit)
    elif answer != gives.every_word:
        yield "as anything else", gives.every_word & ~answer
    if answer != gives.every_word:
        yield "as any at all", gives.every_word


def _to_add(
    loaded: LoadedBook, book: str, schedule: Schedule, number: int, column: int, users: list[_Tried], again: list[CompiledRule]
) -> str:
    for tried, changed in zip(users, again):
        rule = tried.compiled.rule
        also = list(_beside(schedule, number, column, _compared(rule, schedule.name, schedule.columns[column]), loaded))
        if case := case_to_add(loaded, tried.compiled, changed, also):
            file = rule.where.file if rule.book == book else f"cases/{rule.name}.yaml of the book {book}"
            return f"add to {file}: {case}"
    return "strike the row, or add a case where it matters"


def _compared(rule: Rule, table: str, column: str) -> list[str]:
    """The facts that a rule compares with one column of a table."""
    return [
        leaf.fact for condition in rule.conditions() for leaf in leaves(condition)
        if isinstance(leaf, Comparison) and leaf.against in (FromLimit(table), FromSchedule(table, column))
    ]  # fmt: skip


def _beside(schedule: Schedule, number: int, column: int, compared: list[str], loaded: LoadedBook) -> Iterator[Facts]:
    """A case that asks for one row, with the compared fact on the row's answer and near it."""
    answer = schedule.rows[number].answers[column]
    for bands in islice(schedule.questions_of(number), MOST_QUESTIONS):
        keys = {key.name: text for key, band in zip(schedule.keys, bands) if (text := text_of_cell(key, band))}
        for name in compared:
            fact = loaded.vocabulary.fact(name)
            values = [1 << bit for bit in range(len(fact.words))] if fact.is_word else [answer]
            printed = [schedule.rows[number].texts[column]] if fact.is_amount else []
            for text in dict.fromkeys((*printed, *(text for value in values for text in texts_near(fact, value)))):
                yield {**keys, name: text}
