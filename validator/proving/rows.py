"""Finds the rows of tables that no case holds: a schedule's, or a limit's that changes with edition or code family.

Each answer, end and word of each row is changed in turn (`row_changes`). A case of some rule compared with the table must come to
another outcome; else the row is told, with the case that would hold it.
"""

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import NamedTuple

from validator.engines.deciding import CompiledRule
from validator.engines.deriving import DerivedPlace
from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.language.source import Where
from validator.proving.case_to_add import Facts, case_to_add, text_of_cell, texts_near
from validator.proving.coming import derive_case, expected_word
from validator.proving.row_changes import RowChange, changed_rows
from validator.rulebook import english
from validator.rulebook.book import tables_compared
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, FromSchedule, Group, leaves
from validator.rulebook.fusing import NO, Fuser
from validator.rulebook.rule import Rule
from validator.rulebook.schedules import Cell, Limit, Row, Schedule
from validator.rulebook.trees import trees_of

MOST_QUESTIONS = 4  # of one row, each tried as the keys of a case


class _Tried(NamedTuple):
    """A rule compared with a table, its cases as places, and what they come to."""

    compiled: CompiledRule
    derived: list[DerivedPlace]
    came: list[str]


def unasked_rows(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every row that is never asked, since the rules compared with its table apply elsewhere."""
    for table, schedule, users in _compared_tables(loaded, book):
        for number, row in enumerate(schedule.rows):
            if not _is_asked(loaded, schedule, row, users):
                names = " and ".join(each.compiled.name for each in users)
                yield (f"{row.where}: `{table.name}`, the row for {english.row_in_words(schedule, number)}: {names} "
                       "applies elsewhere, so that the row is never asked; let a rule apply there, or strike the row if nothing needs it")  # fmt: skip


def unheld_rows(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for everything in a row that could be another and no case notices, with the case to add. `book`: only the tables of one."""
    for table, schedule, users in _compared_tables(loaded, book):
        yield from _unheld(loaded, table, schedule, users)


def _compared_tables(loaded: LoadedBook, book: str) -> Iterator[tuple[Limit | Schedule, Schedule, list[_Tried]]]:
    """The tables with which rules are compared, and those rules with their cases."""
    users: dict[str, list[CompiledRule]] = {}
    for compiled in loaded.engine.rules:
        for table in tables_compared(loaded.book, compiled.rule):
            users.setdefault(table.name, []).append(compiled)
    for table in (*loaded.book.limits.values(), *loaded.book.schedules.values()):
        if table.name in users and book in ("", table.book):
            schedule = _as_schedule(table, loaded) if isinstance(table, Limit) else table
            if schedule is not None:
                yield table, schedule, [_tried(loaded, each) for each in dict.fromkeys(users[table.name])]


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
    kind = "limit" if isinstance(table, Limit) else "schedule"
    asked = [_is_asked(loaded, schedule, row, users) for row in schedule.rows]
    for change in changed_rows(schedule):
        if not any(asked[number] for number in change.rows):
            continue
        if any(_is_noticed(loaded, users, _judged_by(loaded, table, form, users)) for form in change.forms):
            continue
        to_do = "strike the row, or add a case where it matters"
        for form in change.forms:
            if case := _to_add(loaded, table.book, schedule, change, users, _judged_by(loaded, table, form, users)):
                to_do = case
        yield f"{change.where}: the {kind} `{table.name}`{change.what}; {to_do}"


def _is_asked(loaded: LoadedBook, schedule: Schedule, row: Row, users: list[_Tried]) -> bool:
    """Whether some rule that is compared with a table could apply where one of its rows answers."""
    here = [_holds(key, cell, row.where) for key, cell in zip(schedule.keys, row.cells) if cell is not None]
    return any(loaded.book.fuser.all_of(each.compiled.rule.applies, *here) != NO for each in users)


def _holds(key: Fact, cell: Cell, where: Where) -> Condition:
    """The condition that a cell of a row is."""
    if isinstance(cell, int):
        return Comparison(key.name, "one of", Constant(cell, ""), where)
    ranges = (Group("all of", tuple(Comparison(key.name, how, Constant((end, end), ""), where) for how, end in zip(("at least", "at most"), ends)))
              for ends in cell or ())  # fmt: skip
    return Group("any of", tuple(ranges))


def _judged_by(loaded: LoadedBook, table: Limit | Schedule, form: Schedule, users: list[_Tried]) -> list[CompiledRule]:
    """The rules that are compared with a table, as they would judge by another form of it."""
    fuser = _with(loaded.book.fuser, table, form)
    return [CompiledRule.of(trees_of(each.compiled.rule, fuser), each.compiled.rule) for each in users]


def _with(fuser: Fuser, table: Limit | Schedule, changed: Schedule) -> Fuser:
    if isinstance(table, Limit) and table.by is None:
        ((least, greatest),) = changed.rows[0].answers
        return fuser._replace(limits={**fuser.limits, table.name: table._replace(least=least, greatest=greatest)})
    if isinstance(table, Limit):
        least, greatest = min(row.answers[0][0] for row in changed.rows), max(row.answers[0][1] for row in changed.rows)
        other = table._replace(by=changed, least=least, greatest=greatest)
        return fuser._replace(limits={**fuser.limits, table.name: other})
    return fuser._replace(schedules={**fuser.schedules, table.name: changed})


def _is_noticed(loaded: LoadedBook, users: list[_Tried], again: list[CompiledRule]) -> bool:
    return any(
        expected_word(loaded.engine.judge_rule(changed, found)) != word
        for tried, changed in zip(users, again) for found, word in zip(tried.derived, tried.came)
    )  # fmt: skip


def _to_add(loaded: LoadedBook, book: str, schedule: Schedule, change: RowChange, users: list[_Tried], again: list[CompiledRule]) -> str:
    for tried, changed in zip(users, again):
        rule = tried.compiled.rule
        also = list(_beside(schedule, change, _compared(rule, schedule.name, schedule.columns[change.column]), loaded))
        if case := case_to_add(loaded, tried.compiled, changed, also):
            file = rule.where.file if rule.book == book else f"cases/{rule.name}.yaml of the book {book}"
            return f"add to {file}: {case}"
    return ""


def _compared(rule: Rule, table: str, column: str) -> list[str]:
    """The facts that a rule compares with one column of a table."""
    return [
        leaf.fact for condition in rule.conditions() for leaf in leaves(condition)
        if isinstance(leaf, Comparison) and leaf.against in (FromLimit(table), FromSchedule(table, column))
    ]  # fmt: skip


def _beside(schedule: Schedule, change: RowChange, compared: list[str], loaded: LoadedBook) -> Iterator[Facts]:
    """A case that asks for a changed row, with the compared fact on the answers that the change stands between, and near them."""
    answers = [(schedule.rows[number].answers[change.column], schedule.rows[number].texts[change.column]) for number in change.rows]
    for bands in islice(schedule.questions_of(change.rows[0]), MOST_QUESTIONS):
        keys = {key.name: text for key, band in zip(schedule.keys, bands) if (text := text_of_cell(key, band))}
        keys.update(change.keys)
        for name in compared:
            fact = loaded.vocabulary.fact(name)
            values = [1 << bit for bit in range(len(fact.words))] if fact.is_word else [answer for answer, _ in answers]
            printed = [text for _, text in answers] if fact.is_amount else []
            for text in dict.fromkeys((*printed, *(text for value in values for text in texts_near(fact, value)))):
                yield {**keys, name: text}
