"""Takes subjects, returns them as columns: one row a place, and for each kind with several layers one row a layer.

Shapes: an amount is two whole-number columns, `board.thickness:least` and `:greatest`; a word is one bit mask, as narrow
as its words allow; words together are two masks, `:surely` and `:possibly`. `:stated` says whether somebody said it,
`:given` whether a case says what is concluded. A fact without a column is not stated anywhere. There are no nulls.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

import polars as pl

from validator.engines.deriving import DerivedPlace, Deriver
from validator.facts.possible import CONCLUDED
from validator.facts.subjects import Subject
from validator.facts.vocabulary import Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST

LARGEST = 1 << 55  # beyond any amount of the trade, and far enough from the ends that formulas never leave the column
PLACE = "#place"  # in a frame of layers, the number of the place's row
PRESENCE = "#presence"
ROW = "#row"  # of a frame in which nothing is known


class NotInColumns(ValueError):
    """Something that columns cannot hold or judge; says what, in words for the reader."""


@dataclass(slots=True)
class Places:
    """Places of one sort: `rows` has a row a place; `layers` a frame for each kind of which some place has several.

    A frame of layers is sorted by PLACE and has PRESENCE and the kind's own facts; such a place's row says with
    `board:several` that it has them, and holds what any of them could be. `settled` holds columns of the places that are the
    same in every row, by their value.
    """

    sort: str
    rows: pl.DataFrame
    layers: dict[str, pl.DataFrame] = field(default_factory=dict)
    settled: dict[str, int | bool] = field(default_factory=dict)


def mask_type(fact: Fact) -> pl.DataType:
    """The narrowest whole number that holds a bit for each word."""
    words = len(fact.words)
    return pl.UInt8() if words <= 8 else pl.UInt16() if words <= 16 else pl.UInt32() if words <= 32 else pl.UInt64()


def columns_of(fact: Fact) -> tuple[str, ...]:
    """The names of the columns that hold a fact."""
    if fact.is_amount:
        return f"{fact.name}:least", f"{fact.name}:greatest"
    if fact.is_together:
        return f"{fact.name}:surely", f"{fact.name}:possibly"
    return (fact.name,)


def column_type(fact: Fact) -> pl.DataType:
    return pl.Int64() if fact.is_amount else mask_type(fact)


def stated(name: str) -> str:
    return f"{name}:stated"


def given(name: str) -> str:
    return f"{name}:given"


def several(kind: str) -> str:
    return f"{kind}:several"


def unseen(kind: str) -> str:
    """Whether there may be more of a kind than is written."""
    return f"{kind}:unseen"


def parts_of(fact: Fact, value: object) -> tuple[int, ...]:
    """A value as what its columns hold. Raises NotInColumns."""
    if not fact.is_amount:
        return value if fact.is_together else (value,)
    for end in value:
        if abs(end) > LARGEST and end not in (NO_LEAST, NO_GREATEST):
            raise NotInColumns(f"the {fact.name.replace('.', ' ')} is larger than a column holds")
    return value


def places_of(deriver: Deriver, subjects: Iterable[Subject], sort: str) -> Places:
    """Described places of one sort as columns, as the deciding engine begins with them."""
    started = [deriver.started(subject) for subject in subjects]
    facts = [deriver.vocabulary.fact(name) for name in deriver.slots]
    rows = packed([found.vector for found in started], facts, deriver.slots)
    more: dict[str, list] = {}
    for kind in {kind for found in started for kind in (*found.layers, *_kinds(deriver))}:
        more[unseen(kind)] = [deriver.unseen(kind, found) for found in started]
        if any(kind in found.layers for found in started):
            more[several(kind)] = [kind in found.layers for found in started]
    for derived in deriver.order:
        name = derived.fact.name
        said = [name in found.known and found.known[name].origin == CONCLUDED for found in started]
        if any(said):
            more[given(name)] = said
    rows = rows.with_columns(pl.Series(name, values, pl.Boolean) for name, values in more.items())
    kinds = sorted({kind for found in started for kind in found.layers})
    return Places(sort, rows, {kind: _layers(kind, started, deriver) for kind in kinds})


def _kinds(deriver: Deriver) -> set[str]:
    """The kinds over whose layers something is counted."""
    vocabulary = deriver.vocabulary
    aggregates = [each.fact.aggregate for each in deriver.order if each.fact.aggregate]
    return {base if how == "count" else vocabulary.fact(base).thing for how, base in aggregates}


def _layers(kind: str, started: list[DerivedPlace], deriver: Deriver) -> pl.DataFrame:
    each = [(row, layer, vector) for row, found in enumerate(started) for layer, vector in found.layers.get(kind, ())]
    own = [deriver.vocabulary.fact(name) for name in deriver.slots if deriver.vocabulary.fact(name).thing == kind]
    frame = packed([vector for _, _, vector in each], own, deriver.slots)
    return frame.with_columns(
        pl.Series(PLACE, [row for row, _, _ in each], pl.UInt32),
        pl.Series(PRESENCE, [layer.presence for _, layer, _ in each], pl.UInt8),
    )


def packed(vectors: list[list], facts: list[Fact], slots: dict[str, int]) -> pl.DataFrame:
    """Judged vectors as columns; a fact of which nothing is known in any of them gets none. Raises NotInColumns."""
    series: list[pl.Series] = []
    for fact in facts:
        if not (fact.is_amount or fact.is_together or fact.is_word):
            continue
        slot, anything = slots[fact.name], fact.anything
        values = [vector[slot] for vector in vectors]
        if any(value != anything for value in values):
            held = list(zip(*(parts_of(fact, value) for value in values)))
            series += [pl.Series(n, v, column_type(fact)) for n, v in zip(columns_of(fact), held)]
        said = [bool(vector[0] >> slot & 1) for vector in vectors]
        if any(said):
            series.append(pl.Series(stated(fact.name), said, pl.Boolean))
    return pl.DataFrame(series) if series else pl.DataFrame({ROW: pl.Series([0] * len(vectors), dtype=pl.UInt8)})
