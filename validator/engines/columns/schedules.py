"""Looks schedules up over columns: once for each distinct question, joined back.

A question is the mask of each word that is a key, and the bands in which both ends of each amount lie. The answer is a
bit for each different answer that could be reached, one for `no row`, and two for the standing of the rows.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import polars as pl

from validator.engines.columns.bits import Bit, Number
from validator.engines.columns.places import NotInColumns
from validator.engines.columns.plan import Sheet
from validator.facts.vocabulary import Fact
from validator.rulebook.fusing import ByRow, Test
from validator.rulebook.schedules import NO_ROW, Schedule

ANSWERS = 60  # to a column
WITHOUT, SOME_FIRM, ALL_FIRM = 60, 61, 62
WIDEST = 62  # bits of a question in one whole number


@dataclass(frozen=True, slots=True)
class Reach:
    """Which answers of a schedule each place could get. `masks` are columns, or one number where all places ask the same."""

    answers: tuple[Test, ...]
    masks: tuple[Number, ...]

    @classmethod
    def of(cls, sheet: Sheet, test: ByRow) -> "Reach":
        """The reach of a comparison's schedule, its masks added to the frame."""
        answers = tuple(dict.fromkeys(test.tests))
        asked = _Asked(test, answers, tuple(sheet.facts[slot] for slot in test.keys), [sheet.parts(k) for k in test.keys])
        numbers = range(-(-len(answers) // ANSWERS))
        if not asked.columns:
            return cls(answers, tuple(asked.mask(number, asked.question({})) for number in numbers))
        masks = {sheet.plan.fresh(): asked.column(number) for number in numbers}
        sheet.add(masks)
        return cls(answers, tuple(pl.col(name) for name in masks))

    def _bit(self, number: int, bit: int) -> Bit:
        return (self.masks[number] & (1 << bit)) != 0

    @property
    def without_row(self) -> Bit:
        """Whether some possible question has no row."""
        return self._bit(0, WITHOUT)

    @property
    def some_firm(self) -> Bit:
        """Whether a breach of some row that could answer may fail."""
        return self._bit(0, SOME_FIRM)

    @property
    def all_firm(self) -> Bit:
        return self._bit(0, ALL_FIRM)

    def reached(self) -> Iterator[tuple[Test, Bit]]:
        """Each different answer, with whether it could be the one."""
        for number, answer in enumerate(self.answers):
            yield answer, self._bit(*divmod(number, ANSWERS))


def refuse_too_wide(schedules: Iterable[Schedule]) -> None:
    """Raises NotInColumns for a schedule whose question does not fit one whole number."""
    for schedule in schedules:
        widths = [
            2 * len(schedule.bands_of(number)).bit_length() if key.is_amount else len(key.words)
            for number, key in enumerate(schedule.keys)
        ]
        if sum(widths) > WIDEST:
            raise NotInColumns(f"the schedule `{schedule.name}` has more keys than columns can ask by")


class _Asked:
    """The questions that places ask of a schedule, each answered once in a run."""

    def __init__(self, test: ByRow, answers: tuple[Test, ...], keys: tuple[Fact, ...], parts: list[tuple[Number, ...]]) -> None:
        self.schedule: Schedule = test.schedule
        self.rows = [answers.index(each) for each in test.tests]
        self.keys, self.parts = keys, parts
        self.known: dict[tuple[int, int], int] = {}
        # Each part of a question, with how many bits it takes and, for an end of an amount, where its bands begin.
        self.axes: list[tuple[Number, int, pl.Series | None]] = []
        for number, (key, values) in enumerate(zip(keys, parts)):
            starts = None
            if key.is_amount:
                starts = pl.Series([band[0][0] for band in self.schedule.bands_of(number)], dtype=pl.Int64)
            width = len(key.words) if starts is None else len(starts).bit_length()
            self.axes += [(value, width, starts) for value in values]
        self.columns = [value for value, _, _ in self.axes if isinstance(value, pl.Expr)]

    def column(self, number: int) -> pl.Expr:
        """The mask of one part of the answers, as an expression."""
        fields = [value.alias(str(at)) for at, (value, _, _) in enumerate(self.axes) if isinstance(value, pl.Expr)]
        return pl.struct(fields).map_batches(
            lambda held: self._masks(number, held), return_dtype=pl.UInt64, is_elementwise=True
        )

    def _masks(self, number: int, held: pl.Series) -> pl.Series:
        questions = self.question({int(name): held.struct.field(name) for name in held.struct.fields})
        different = questions.unique()
        masks = [self.mask(number, question) for question in different.to_list()]
        return questions.replace_strict(different, pl.Series(masks, dtype=pl.UInt64), return_dtype=pl.UInt64)

    def question(self, columns: dict[int, pl.Series]) -> "pl.Series | int":
        """The parts of a question in one whole number."""
        packed: pl.Series | int = 0
        for at, (value, width, starts) in enumerate(self.axes):
            value = columns.get(at, value)
            if starts is not None:
                value = starts.search_sorted(value, side="right") - 1
            if isinstance(value, pl.Series):
                value = value.cast(pl.Int64)
            packed = packed * (1 << width) + value
        return packed

    def mask(self, number: int, question: int) -> int:
        """The answers that a question could get, as bits."""
        known = self.known.get((number, question))
        if known is None:
            known = self.known[number, question] = self._mask(number, self.schedule.rows_for(self._values(question)))
        return known

    def _mask(self, number: int, rows: tuple[int, ...]) -> int:
        firm = [row == NO_ROW or self.schedule.rows[row].firm for row in rows]
        mask = any(firm) << SOME_FIRM | all(firm) << ALL_FIRM | (NO_ROW in rows) << WITHOUT
        for row in rows:
            if row != NO_ROW and self.rows[row] // ANSWERS == number:
                mask |= 1 << self.rows[row] % ANSWERS
        return mask

    def _values(self, question: int) -> tuple[object, ...]:
        """What is possible of each key, from the parts of a question."""
        held: list[int] = []
        for _, width, _ in reversed(self.axes):
            question, part = divmod(question, 1 << width)
            held.insert(0, part)
        values: list[object] = []
        for number, key in enumerate(self.keys):
            if key.is_amount:
                bands = self.schedule.bands_of(number)
                values.append((bands[held.pop(0)][0][0], bands[held.pop(0)][0][0]))
            else:
                values.append(held.pop(0))
        return tuple(values)
