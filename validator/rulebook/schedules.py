"""Looks up limits and schedules: tables in which exactly one row answers each question.

A limit that changes with the code in force is a schedule with one key. Asked with open keys, a schedule answers with
every row it could be; a question that no row answers is itself an answer, which leaves the matter open.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import product
from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.language.source import Where
from validator.rulebook.sets import Ranges, in_both, joined
from validator.rulebook.sources import Cited

NO_ROW = -1
MOST_QUESTIONS = 200_000
Cell = Ranges | int | None  # the ranges of an amount, the mask of a word, None for anything


class Row(NamedTuple):
    """One row: what each key must be, and the answer of each column with its source."""

    cells: tuple[Cell, ...]
    answers: tuple[object, ...]
    texts: tuple[str, ...]
    cited: tuple[Cited, ...]
    where: Where

    @property
    def firm(self) -> bool:
        return any(cited.firm for cited in self.cited)


@dataclass(slots=True, eq=False, repr=False)
class Schedule:
    """A table with its keys, its answer columns, and the row for everything that no other row names."""

    name: str
    what: str
    gives: Fact
    keys: tuple[Fact, ...]
    columns: tuple[str, ...]
    rows: tuple[Row, ...]
    all_other: int = NO_ROW
    open_beyond: bool = False
    where: Where | None = None
    replaces: bool = False  # takes the place of a schedule of its name in a book beneath
    book: str = ""
    _bands: tuple[tuple[Cell, ...], ...] = ()
    _answers: dict[tuple[int, ...], int] = field(default_factory=dict)
    _asked: dict[tuple[object, ...], tuple[int, ...]] = field(default_factory=dict)

    def prepare(self) -> list[tuple[str, str]]:
        """Work every askable question out. Returns what is wrong: gaps and overlaps, each in words."""
        self._bands = tuple(_bands(key, [row.cells[i] for row in self.rows]) for i, key in enumerate(self.keys))
        wrong: list[tuple[str, str]] = []
        questions = 1
        for bands in self._bands:
            questions *= len(bands)
        if questions > MOST_QUESTIONS:
            return [(f"the schedule `{self.name}` has {questions} different questions", f"at most {MOST_QUESTIONS}")]
        for question in product(*(range(len(bands)) for bands in self._bands)):
            hits = [
                number
                for number, row in enumerate(self.rows)
                if number != self.all_other
                and all(_holds(cell, self._bands[i][band]) for i, (cell, band) in enumerate(zip(row.cells, question)))
            ]
            self._answers[question] = hits[0] if hits else self.all_other
            if len(hits) > 1 and len(wrong) < 5:
                lines = " and ".join(str(self.rows[n].where.line) for n in hits)
                wrong.append((f"rows on lines {lines} both answer for {self.question_in_words(question)}",
                              "rows that do not overlap"))  # fmt: skip
            if not hits and self.all_other == NO_ROW and not self.open_beyond and len(wrong) < 5:
                wrong.append((f"no row answers for {self.question_in_words(question)}",
                              "a row for it, a last row `all other`, or `otherwise: open` in the heading"))  # fmt: skip
        return wrong

    def unanswered(self) -> tuple[tuple[int, ...], ...]:
        """The questions that no row answers, left open on purpose."""
        return tuple(question for question, row in self._answers.items() if row == NO_ROW)

    def questions_of(self, row: int) -> Iterator[tuple[Cell, ...]]:
        """The questions that a row answers, each as a band for each key."""
        for question, answers in self._answers.items():
            if answers == row:
                yield tuple(bands[band] for bands, band in zip(self._bands, question))

    def between_rows(self, question: tuple[int, ...]) -> bool:
        """Whether an unanswered question lies between two that rows answer, the rest of it being the same."""
        return any(
            all(any(self._answers[*question[:i], band, *question[i + 1 :]] != NO_ROW for band in side)
                for side in (range(question[i]), range(question[i] + 1, len(self._bands[i]))))
            for i, key in enumerate(self.keys) if key.is_amount
        )  # fmt: skip

    def question_in_words(self, question: tuple[int, ...]) -> str:
        from validator.facts.possible import in_words

        parts = []
        for key, bands, band in zip(self.keys, self._bands, question):
            cell = bands[band]
            value = cell if isinstance(cell, int) else cell[0]
            parts.append(f"{key.name} {in_words(key, value)}")
        return ", ".join(parts)

    def rows_for(self, values: tuple[object, ...]) -> tuple[int, ...]:
        """The rows that could answer, given what is possible of each key; NO_ROW among them where none might."""
        known = self._asked.get(values)
        if known is None:
            reachable = [
                [n for n, band in enumerate(bands) if _touches(band, value)]
                for bands, value in zip(self._bands, values)
            ]
            known = tuple(sorted({self._answers[question] for question in product(*reachable)}))
            if len(self._asked) < 10_000:  # enough for any one job, and bounded in a long run
                self._asked[values] = known
        return known

    def bands_of(self, key: int) -> tuple[Cell, ...]:
        """The bands that the rows cut a key into, each wholly inside or wholly outside every cell."""
        return self._bands[key]


def _bands(key: Fact, cells: list[Cell]) -> tuple[Cell, ...]:
    if not key.is_amount:
        return tuple(1 << bit for bit in range(len(key.words)))
    starts = {NO_LEAST}
    for cell in cells:
        for least, greatest in cell or ():
            starts.add(least)
            if greatest < NO_GREATEST:
                starts.add(greatest + 1)
    ordered = sorted(starts)
    return tuple(((a, b - 1),) for a, b in zip(ordered, [*ordered[1:], NO_GREATEST + 1]))


def _holds(cell: Cell, band: Cell) -> bool:
    if cell is None:
        return True
    if isinstance(cell, int):
        return bool(cell & band)
    return bool(in_both(cell, band))


def _touches(band: Cell, value: object) -> bool:
    if isinstance(band, int):
        return bool(band & value)
    return value[0] <= band[0][1] and value[1] >= band[0][0]


class Limit(NamedTuple):
    """A named threshold; what its sources print for it makes one closed range, all of it exactly on the limit."""

    name: str
    kind: str
    least: int
    greatest: int
    text: str
    cited: tuple[Cited, ...]
    where: Where
    by: Schedule | None = None
    replaces: bool = False  # takes the place of a limit of its name in a book beneath
    book: str = ""

    @property
    def firm(self) -> bool:
        return any(cited.firm for cited in self.cited)


def closed_range(values: list[int]) -> tuple[int, int]:
    """The printed values of a limit as one closed range."""
    return min(values), max(values)


def next_rows_up(ends: list[int]) -> list[Ranges]:
    """Published steps as cells: each row answers for all above the row before it, up to its own value."""
    cells: list[Ranges] = []
    start = NO_LEAST
    for end in ends:
        cells.append(joined(((start, end),)))
        start = end + 1
    return cells
