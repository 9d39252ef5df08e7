"""The order of day and month in each column of a fact that is a day, found by reading those columns once before anything is judged.

The mapping's `date order:` says it for the whole table; where it is silent, a date of the column that can be read one way only does.
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import polars as pl

from validator.facts.vocabulary import Vocabulary
from validator.screening.dates import FIRST_COLUMNS, ORDERS, Order, order_of, read_day
from validator.screening.mapping import Mapping
from validator.screening.tables import pieces

AT_ONCE = 100_000  # rows
BY_COLUMN = {column: order for order, column in ORDERS.items()}


def day_orders(table: Path, mapping: Mapping, vocabulary: Vocabulary) -> dict[str, Order]:
    """How the dates of each such column are written, by its heading; of none where the mapping says it. Raises BadTable."""
    headings = {column.heading for group in mapping.groups for column in group.columns if vocabulary.fact(column.fact).kind == "moment"}
    if mapping.date_order or not headings:
        return {}
    return {heading: order_of(_both_readings(table, mapping.only(heading), heading)) for heading in sorted(headings)}


def _both_readings(table: Path, mapping: Mapping, heading: str) -> Iterator[pl.DataFrame]:
    for rows in pieces(table, mapping, AT_ONCE):
        texts = rows.cells[heading]
        read = {text: read_day(text, "", date.max) for text in texts.unique().to_list()}
        yield rows.marks.select(
            pl.col("number").alias("row"),
            *(texts.replace_strict(list(read), [day[at] for day in read.values()], return_dtype=pl.String).alias(name) for at, name in enumerate(FIRST_COLUMNS)),
        )


def with_orders(mapping: Mapping, orders: dict[str, Order]) -> Mapping:
    """The mapping with what the columns settle themselves."""
    return mapping.ordered({heading: BY_COLUMN[order.column] for heading, order in orders.items() if order.column})
