"""Takes a table, returns it with one thing changed, each in turn: an answer, the end of a row, a word of a row.

An answer is changed a tenth either way, or to other words. An end is moved on both sides at once, since rows that overlap or leave a
gap are refused when they are read: a tenth either way, and turned, so that what stands exactly on it goes to the other row. A word that
a row names among others is left out of it.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.language.source import Where
from validator.proving.case_to_add import as_printed, beside, shown
from validator.rulebook import english
from validator.rulebook.schedules import Cell, Row, Schedule


class RowChange(NamedTuple):
    """A table with one thing changed: where, what, and how a case could notice it."""

    where: Where
    what: str
    forms: tuple[Schedule, ...]  # a case must notice one of them
    rows: tuple[int, ...]  # between whose answers a case stands
    column: int
    keys: tuple[tuple[str, str], ...] = ()  # what a case says of a key


def changed_rows(schedule: Schedule) -> Iterator[RowChange]:
    """Every changed form of a table, an answer of a row first."""
    for number, row in enumerate(schedule.rows):
        yield from _answers(schedule, number, row)
        yield from _words(schedule, number, row)
    for key, fact in enumerate(schedule.keys):
        if fact.is_amount:
            yield from _ends(schedule, key, fact)


def _called(schedule: Schedule, number: int) -> str:
    said = english.row_in_words(schedule, number) or "all other"
    return f", the row for {said}" if schedule.keys else ""


def _answers(schedule: Schedule, number: int, row: Row) -> Iterator[RowChange]:
    for column, answer in enumerate(row.answers):
        for what, other in _others(schedule.gives, answer):
            changed = row._replace(answers=(*row.answers[:column], other, *row.answers[column + 1 :]))
            form = replace(schedule, rows=_with(schedule, {number: changed}))
            yield RowChange(row.where, f"{_called(schedule, number)}: no case notices {row.texts[column]} {what}", (form,), (number,), column)


def _others(gives: Fact, answer: object) -> Iterator[tuple[str, object]]:
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


def _words(schedule: Schedule, number: int, row: Row) -> Iterator[RowChange]:
    """The row without one of the words that a cell of it names. A cell that leaves out fewer than it lets in was written as what it is not."""
    for key, (fact, cell) in enumerate(zip(schedule.keys, row.cells)):
        if not isinstance(cell, int) or not 2 <= cell.bit_count() <= len(fact.words) // 2:
            continue
        for bit, word in enumerate(fact.words):
            if cell >> bit & 1:
                fewer = row._replace(cells=(*row.cells[:key], cell & ~(1 << bit), *row.cells[key + 1 :]))
                what = f"{_called(schedule, number)}: no case notices `{word}` left out of it"
                yield RowChange(row.where, what, (_prepared(schedule, {number: fewer}),), (number,), 0, ((fact.name, word),))


# -- the ends of rows -------------------------------------------------------------------------------------------------------------


def _ends(schedule: Schedule, key: int, fact: Fact) -> Iterator[RowChange]:
    bands = schedule.bands_of(key)
    for below, above in zip(bands, bands[1:]):
        first, room = above[0][0], [end - start for ((start, end),) in (below, above)]
        for rows in _meeting(schedule, key, first):
            printed = as_printed(fact, first)
            said = f": no case notices the end of {fact.name} at {shown(fact, printed)}"
            where, about = schedule.rows[rows[0]].where, tuple(rows[:: max(len(rows) - 1, 1)])
            if fact.always[0] < first <= fact.always[1] and _differ(schedule, rows, key, first):
                on = ((fact.name, shown(fact, printed)),)
                turned = tuple(_prepared(schedule, _moved(schedule, rows, key, first, first + part)) for part in (1, -1))
                yield RowChange(where, f"{said} turned, so that it belongs to the other row", turned, about, 0, on)
                for what, part, free in (("a tenth higher", 1, room[1]), ("a tenth lower", -1, room[0])):
                    step = part * min(max(abs(first) // 10, 1), max(free // 2, 1))
                    near = ((fact.name, shown(fact, beside(fact, printed, step))),)
                    form = _prepared(schedule, _moved(schedule, rows, key, first, first + step))
                    yield RowChange(where, f"{said} {what}", (form,), about, 0, near)


def _meeting(schedule: Schedule, key: int, first: int) -> list[list[int]]:
    """The rows that end just below an amount or begin on it, those that could answer one question together."""
    touching = [number for number, row in enumerate(schedule.rows) if row.cells[key] and _touches(row.cells[key], first)]
    groups: list[list[int]] = []
    for number in touching:
        near = [group for group in groups if any(_beside(schedule, number, other, key) for other in group)]
        groups = [group for group in groups if group not in near] + [sorted({number, *(each for group in near for each in group)})]
    return groups


def _touches(cell: Cell, first: int) -> bool:
    return any(first in (least, greatest + 1) for least, greatest in cell)


def _beside(schedule: Schedule, one: int, other: int, key: int) -> bool:
    """Whether two rows could answer for the same place but for one key."""
    pairs = list(zip(schedule.rows[one].cells, schedule.rows[other].cells))
    return all(first is None or second is None or _meet(first, second) for first, second in (*pairs[:key], *pairs[key + 1 :]))


def _meet(first: Cell, second: Cell) -> bool:
    if isinstance(first, int):
        return bool(first & second)
    return any(a <= d and c <= b for a, b in first for c, d in second)


def _differ(schedule: Schedule, rows: list[int], key: int, first: int) -> bool:
    """Whether what stands on the two sides of an end is answered otherwise; a side that no row answers is another answer."""
    sides: list[set[object]] = [set(), set()]
    for row in (schedule.rows[number] for number in rows):
        for side, value in zip(sides, (first - 1, first)):
            if any(least <= value <= greatest for least, greatest in row.cells[key]):
                side.add((*row.cells[:key], *row.cells[key + 1 :], row.answers))
    return sides[0] != sides[1]


def _moved(schedule: Schedule, rows: list[int], key: int, first: int, to: int) -> dict[int, Row]:
    """The rows that touch an end, with the end elsewhere."""
    changed = {}
    for number in rows:
        row = schedule.rows[number]
        cell = tuple((to if least == first else least, to - 1 if greatest == first - 1 else greatest) for least, greatest in row.cells[key])
        changed[number] = row._replace(cells=(*row.cells[:key], cell, *row.cells[key + 1 :]))
    return changed


def _with(schedule: Schedule, changed: dict[int, Row]) -> tuple[Row, ...]:
    return tuple(changed.get(number, row) for number, row in enumerate(schedule.rows))


def _prepared(schedule: Schedule, changed: dict[int, Row]) -> Schedule:
    """A table whose rows answer other questions, with its questions worked out anew."""
    form = replace(schedule, rows=_with(schedule, changed), _bands=(), _answers={}, _asked={})
    form.prepare()
    return form
