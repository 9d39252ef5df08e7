"""The plan of a run over columns: frames, what each slot holds in them, and the steps that add columns.

Planning looks at which facts a table holds, never at its rows; the same plan then runs over every piece of the table.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

import polars as pl

from validator.engines.columns.bits import Bit, Number, Pair, literal
from validator.engines.columns.places import PLACE, column_type, columns_of, given, stated
from validator.facts.vocabulary import Fact, Vocabulary
from validator.rulebook.fusing import Test

Frames = dict[str, pl.DataFrame]
Step = Callable[[Frames], None]
PLACES = ""  # the name of the frame of places; the others are named by their kind


@dataclass(slots=True)
class Adding:
    """A step that adds columns to one frame, all at once: each reads the frame as it was before."""

    name: str
    columns: list[pl.Expr]

    def __call__(self, frames: Frames) -> None:
        frames[self.name] = frames[self.name].with_columns(self.columns)


@dataclass(slots=True)
class Plan:
    """The steps of a run, in order.

    A step costs more than most columns that it adds, so a column is added by the first step that finds all it reads.
    """

    steps: list[Step] = field(default_factory=list)
    made: int = 0
    first: int = 0  # the step from which on columns may be added
    written: dict[tuple[str, str], int] = field(default_factory=dict)  # by frame and column, the last step that writes it
    read: dict[tuple[str, str], int] = field(default_factory=dict)  # and the last that reads it

    def fresh(self) -> str:
        """The name of a column that nothing else uses."""
        self.made += 1
        return f"#{self.made}"

    def add(self, name: str, columns: dict[str, pl.Expr]) -> None:
        """Columns added to a frame, each reading it as it is now."""
        roots = {column: set(expr.meta.root_names()) for column, expr in columns.items()}
        places = {column: self._place(name, column, reads) for column, reads in roots.items()}
        if any(other in reads for column, reads in roots.items() for other in columns if other != column):
            places = dict.fromkeys(columns, max(places.values()))  # what replaces a column and what reads it stay together
        for column, expr in columns.items():
            every = enumerate(self.steps[places[column] :], places[column])
            at = next((n for n, step in every if isinstance(step, Adding) and step.name == name), len(self.steps))
            if at == len(self.steps):
                self.steps.append(Adding(name, []))
            self.steps[at].columns.append(expr.alias(column))
            self._note(name, roots[column], {column}, at)

    def do(self, step: Step, name: str, reads: set[str], writes: set[str]) -> None:
        """A step of another kind, on columns of one frame."""
        self.steps.append(step)
        self._note(name, reads, writes, len(self.steps) - 1)

    def do_alone(self, step: Step) -> None:
        """A step that may read and write any column: nothing is moved past it."""
        self.steps.append(step)
        self.close()

    def close(self) -> int:
        """What is added from here on is added by later steps. Returns how many there are."""
        self.first = len(self.steps)
        return self.first

    def _place(self, name: str, column: str, roots: set[str]) -> int:
        """The first step that may add a column: after those that write what it reads or its own name, not before one that reads that."""
        after = (self.written.get((name, each), -1) + 1 for each in (column, *roots))
        return max(self.first, self.read.get((name, column), 0), *after)

    def _note(self, name: str, reads: set[str], writes: set[str], step: int) -> None:
        for each in reads:
            self.read[name, each] = max(step, self.read.get((name, each), 0))
        for each in writes:
            self.written[name, each] = step

    def run(self, frames: Frames) -> Frames:
        for step in self.steps:
            step(frames)
        return frames


class Sheet:
    """One frame while it is planned. A column is named; a value that is the same in every row is kept as it is."""

    def __init__(self, plan: Plan, name: str, vocabulary: Vocabulary, slots: dict[str, int], columns: Iterable[str]) -> None:
        self.plan, self.name, self.vocabulary, self.slots = plan, name, vocabulary, slots
        self.facts: dict[int, Fact] = {slot: vocabulary.fact(each) for each, slot in slots.items()}
        self.columns = set(columns)
        self.settled: dict[str, Number | Bit] = {}  # by column, values that hold in every row
        self.above: Sheet | None = None  # of a frame of layers, the frame of places
        self.own: frozenset[int] = frozenset()
        self.pairs: dict[Test, Pair] = {}

    def continued(self, plan: Plan) -> "Sheet":
        """This sheet as it is now, to be planned on apart: what is added there is not seen here."""
        other = Sheet(plan, self.name, self.vocabulary, self.slots, self.columns)
        other.settled |= self.settled
        plan.made = max(plan.made, self.plan.made)
        return other

    # -- reading ------------------------------------------------------------------------------------------------------------

    def parts(self, slot: int) -> tuple[Number, ...]:
        """What is possible of a fact: its columns, or its value where that is the same in every row."""
        fact = self.facts[slot]
        anything = fact.anything if isinstance(fact.anything, tuple) else (fact.anything,)
        return tuple(self._read(slot, name, value) for name, value in zip(columns_of(fact), anything))

    def stated(self, slot: int) -> Bit:
        """Whether somebody stated a fact."""
        return self._read(slot, stated(self.facts[slot].name), False)

    def given(self, slot: int) -> Bit:
        """Whether a case says what a fact comes to, so that nothing is derived for it."""
        name = given(self.facts[slot].name)
        return self.above.bring(name, self, False) if self.above else self.flag(name)

    def flag(self, name: str) -> Bit:
        return self.settled.get(name, pl.col(name) if name in self.columns else False)

    def _read(self, slot: int, name: str, otherwise: Number | Bit) -> Number | Bit:
        if name in self.settled:
            return self.settled[name]
        if name in self.columns:
            return pl.col(name)
        if self.above is not None and slot not in self.own:
            return self.above.bring(name, self, otherwise)
        return otherwise

    def bring(self, name: str, below: "Sheet", otherwise: Number | Bit) -> Number | Bit:
        """A column of the places brought down to the rows of their layers."""
        if name in self.settled or name not in self.columns:
            return self.settled.get(name, otherwise)
        if name not in below.columns:
            kind = below.name

            def step(frames: Frames) -> None:
                layers = frames[kind]
                frames[kind] = layers.with_columns(frames[PLACES][name].gather(layers[PLACE]).alias(name))

            self.plan.do_alone(step)
            below.columns.add(name)
        return pl.col(name)

    # -- writing ------------------------------------------------------------------------------------------------------------

    def add(self, columns: dict[str, pl.Expr]) -> None:
        """Adds columns, all at once."""
        self.plan.add(self.name, columns)
        self.columns |= set(columns)

    def write(self, slot: int, parts: Iterable[Number], is_stated: Bit | None = None) -> None:
        """What a fact comes to from here on, and whether it counts as stated."""
        fact = self.facts[slot]
        new: dict[str, pl.Expr] = {}
        for column, part in zip(columns_of(fact), parts):
            self._set(column, part, column_type(fact), new)
        if is_stated is not None:
            self._set(stated(fact.name), is_stated, pl.Boolean(), new)
        self.add(new)

    def _set(self, column: str, value: Number | Bit, kind: pl.DataType, new: dict[str, pl.Expr]) -> None:
        if isinstance(value, pl.Expr):
            self.settled.pop(column, None)
            new[column] = literal(value, kind).cast(kind)
        else:
            self.settled[column] = value

    def kept(self, pair: Pair, new: dict[str, pl.Expr]) -> Pair:
        """A pair with its expressions as columns to be added, so that it is worked once."""
        bits: list[Bit] = []
        for bit in pair:
            if isinstance(bit, pl.Expr):
                name = self.plan.fresh()
                new[name] = bit
                bit = pl.col(name)
            bits.append(bit)
        return bits[0], bits[1]


