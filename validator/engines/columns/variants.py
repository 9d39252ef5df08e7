"""Takes places and changes to them, returns columns: the same place over and over, each row with a few facts changed.

A place is packed once; a variant costs the cells in which it differs. So what mending would try is one table.
"""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import polars as pl

from validator.engines.columns.places import PLACE, Places, column_type, columns_of, parts_of, places_of, stated
from validator.engines.deriving import Deriver
from validator.facts.possible import CARD, STATED, Known
from validator.facts.subjects import Subject

BASE = "#base"


class Variant(NamedTuple):
    """One of the places, by its turn, with some facts known otherwise; none of a kind with several layers there."""

    base: int
    known: tuple[tuple[str, Known], ...] = ()


class _Cell(NamedTuple):
    column: str
    kind: pl.DataType
    otherwise: object  # what the column holds where nobody said anything
    value: object


def variants_of(deriver: Deriver, subjects: Sequence[Subject], variants: Sequence[Variant], sort: str) -> Places:
    """A row a variant, as `places_of` would pack each place with its facts changed. Raises NotInColumns."""
    bases = places_of(deriver, subjects, sort)
    turns = pl.Series(BASE, [variant.base for variant in variants], pl.UInt32)
    rows = bases.rows[turns]
    changed: dict[str, tuple[_Cell, list[int], list[object]]] = {}
    for row, variant in enumerate(variants):
        for name, known in variant.known:
            for cell in _cells(deriver, name, known):
                _, at, values = changed.setdefault(cell.column, (cell, [], []))
                at.append(row)
                values.append(cell.value)
    rows = rows.with_columns(
        (rows[cell.column] if cell.column in rows.columns else pl.repeat(cell.otherwise, len(rows), dtype=cell.kind, eager=True))
        .scatter(at, pl.Series(values, dtype=cell.kind)).alias(cell.column)
        for cell, at, values in changed.values()
    )  # fmt: skip
    return Places(sort, rows, {kind: _repeated(frame, turns) for kind, frame in bases.layers.items()})


def _cells(deriver: Deriver, name: str, known: Known) -> Iterator[_Cell]:
    """The cells that hold one fact, as a place's own vector would hold it."""
    for each in (name, f"{name} as stated"):
        if each not in deriver.slots or known.value is None:
            continue
        fact = deriver.vocabulary.fact(each)
        anything = parts_of(fact, fact.anything)
        for column, otherwise, value in zip(columns_of(fact), anything, parts_of(fact, known.value)):
            yield _Cell(column, column_type(fact), otherwise, value)
    if name in deriver.slots and known.origin in (STATED, CARD):
        yield _Cell(stated(name), pl.Boolean(), False, True)


def _repeated(frame: pl.DataFrame, turns: pl.Series) -> pl.DataFrame:
    """The layers of each base under the rows of its variants."""
    rows = pl.DataFrame({BASE: turns}).with_row_index("#variant")
    again = rows.join(frame, left_on=BASE, right_on=PLACE, how="inner", maintain_order="left_right")
    return again.with_columns(pl.col("#variant").alias(PLACE)).select(frame.columns)
