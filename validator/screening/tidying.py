"""Cells to tidy: every different text that could not be read, once, with an empty column to say what it means.

The sheet is filled where it stands, and the same command given again: what is written in its last column is read as the
mapping's `says:`. What was filled before stays in the sheet.
"""

import csv
import io
from collections.abc import Iterable
from pathlib import Path

import polars as pl

from validator.papers.inert import MARK, csv_of, inert
from validator.screening.cells import EITHER_DAY
from validator.screening.mapping import key_of
from validator.screening.rows import BadTable

SHEET = "cells-to-tidy.csv"
COLUMNS = ("heading", "cell", "why it is not read", "perhaps", "rows", "columns", "says")
HEADING, CELL, _, _, _, _, SAYS = COLUMNS
UNTIDY = {"heading": pl.String, "cell": pl.String, "why": pl.String, "perhaps": pl.String, "rows": pl.Int64}
MOST = 5_000  # different texts that are listed, the commonest first
LONGEST = 200  # letters of a text that are shown
Filled = tuple[tuple[str, str, str], ...]  # heading, cell, and what it says


def untidy_cells(heading: str, texts: pl.Series, told: dict[str, tuple[str, str]]) -> pl.DataFrame:
    """The different texts of a column that could not be read, each with its number of rows; `told`: why, and what perhaps."""
    counted = texts.rename("cell").value_counts(sort=False, name="rows").sort("cell")
    return counted.select(
        pl.lit(heading).alias("heading"), "cell",
        *(pl.Series(name, [told[text][at] for text in counted["cell"]], pl.String) for at, name in enumerate(("why", "perhaps"))),
        pl.col("rows").cast(pl.Int64),
    ).cast(UNTIDY)  # fmt: skip


def gathered(pieces: Iterable[pl.DataFrame]) -> pl.DataFrame:
    """Each different text once, the commonest first; `columns`: in how many columns it stands."""
    whole = pl.concat([pl.DataFrame(schema=UNTIDY), *pieces])
    whole = whole.with_columns(cell=pl.col("cell").str.replace_all(r"\s+", " ").str.strip_chars())
    alike = pl.col("cell").str.to_lowercase()
    # What one line of the mapping settles is asked once, whatever the cells hold.
    key = pl.when(pl.col("why") == EITHER_DAY).then(pl.lit("")).otherwise(alike)
    whole = whole.group_by("heading", key.alias("key"), maintain_order=True).agg(pl.first("cell", "why", "perhaps"), pl.sum("rows"))
    whole = whole.with_columns(columns=pl.col("heading").n_unique().over(alike).cast(pl.Int64), all=pl.sum("rows").over(alike))
    return whole.sort("all", alike, "heading", descending=[True, False, False], maintain_order=True).drop("all", "key")


def sheet_rows(cells: pl.DataFrame, filled: Filled) -> list[tuple[str, ...]]:
    """The lines of the sheet: what is still to be tidied, then what was filled before and is read now."""
    says = {(heading, cell): text for heading, cell, text in filled}
    rows = []
    for heading, cell, why, perhaps, number, columns in cells.head(MOST).iter_rows():
        shown = cell if len(cell) <= LONGEST else f"{cell[:LONGEST]}…"
        rows.append((heading, shown, why, perhaps, f"{number}", f"{columns}", says.pop((heading, key_of(cell)), "")))
    rows += [(heading, cell, "", "", "", "", text) for (heading, cell), text in says.items()]
    return rows


def write_sheet(path: Path, cells: pl.DataFrame, filled: Filled) -> None:
    """Writes the sheet; with its headings alone where there is nothing to tidy."""
    beside = path.with_suffix(".part")
    beside.write_text(csv_of([COLUMNS, *sheet_rows(cells, filled)]), encoding="utf-8-sig", newline="")
    beside.replace(path)


def filled_in(path: Path) -> Filled:
    """What somebody wrote in the last column of a sheet of cells to tidy; nothing where there is no sheet. Raises BadTable."""
    if not path.exists():
        return ()
    try:
        text = path.read_text(encoding="utf-8-sig")
        first = text.split("\n", 1)[0]
        lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=max(",;\t", key=first.count)))
    except (UnicodeError, csv.Error, OSError):
        raise BadTable(f"{path} is no sheet of cells to tidy. Accepted: that sheet saved as CSV in UTF-8, or none there") from None
    return filled_rows(path, lines)


def filled_rows(path: Path, lines: list[list[str]]) -> Filled:
    """What the lines of such a sheet say, headings first. Raises BadTable."""
    headings = lines[0] if lines else []
    if missing := [name for name in (HEADING, CELL, SAYS) if name not in headings]:
        raise BadTable(f"{path} lacks the column `{missing[0]}`. Accepted: the headings that it was written with, {', '.join(COLUMNS)}")
    at = [headings.index(name) for name in (HEADING, CELL, SAYS)]
    rows = [[_unmarked(line[n]) if n < len(line) else "" for n in at] for line in lines[1:]]
    says = {(heading, key_of(cell)): text.strip() for heading, cell, text in rows if text.strip()}
    return tuple(sorted((*key, text) for key, text in says.items()))


def _unmarked(text: str) -> str:
    """A text as it was before it was made inert."""
    bare = text.removeprefix(MARK)
    return bare if inert(bare) == text else text
