"""A run over a whole table: piece after piece, each written whole before the next begins.

A run that is stopped, by Ctrl-C or by the power going, goes on where it was: finished pieces stand in the folder
`pieces` and are never done twice. When all are done they are joined to one table of results and one of findings.
"""

import hashlib
import json
import os
from collections.abc import Callable, Iterator
from itertools import islice
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.screening.judging import BLANK, FINDINGS, PERSON, RESULTS, Piece, screener
from validator.screening.tables import BadTable, count_of, pieces, rows_of

PIECE = 10_000  # rows
RUN_FILE = "run.json"
DIFFERENT = {
    "table": "its table has another name", "bytes": "its table is not as long as this one", "begins": "its table begins otherwise",
    "books": "it was judged by other books, or by other words of them", "mapping": "its mapping says something else",
    "piece": "its pieces are of another size", "reasons": "one of the two has --reasons and the other has not",
}  # what a run is known by, and what is said where it differs
Tell = Callable[[int], None]  # told how many rows more are done


class Run(NamedTuple):
    """What is screened, by what, and where the answers go."""

    table: Path
    mapping: Path
    books: tuple[str, ...]
    out: Path
    form: str = "parquet"  # or csv
    reasons: bool = False
    piece: int = PIECE

    @property
    def folder(self) -> Path:
        return self.out / "pieces"

    def identity(self) -> dict[str, object]:
        """What must be the same for finished pieces to be kept."""
        own = screener(self.books, str(self.mapping), self.reasons)
        stat = self.table.stat()
        with self.table.open("rb") as file:
            head = hashlib.sha256(file.read(1 << 20)).hexdigest()[:16]
        return {
            "table": self.table.name, "bytes": stat.st_size, "begins": head, "books": own.books,
            "mapping": hashlib.sha256(self.mapping.read_bytes()).hexdigest()[:16], "piece": self.piece, "reasons": self.reasons,
        }  # fmt: skip


def begin(run: Run, again: bool = False) -> set[int]:
    """Makes the folder ready; returns the pieces that are finished already. Raises BadTable if they are of another run."""
    if not run.table.is_file():
        raise BadTable(f"there is no file {run.table}. Accepted: a table in CSV, XLSX, Parquet or JSON Lines")
    identity = run.identity()
    run.folder.mkdir(parents=True, exist_ok=True)
    path = run.folder / RUN_FILE
    if path.is_file() and not again:
        before = json.loads(path.read_text(encoding="utf-8"))
        differs = [word for key, word in DIFFERENT.items() if before.get(key) != identity[key]]
        if differs and any(run.folder.glob("*.parquet")):
            raise BadTable(f"{run.out} holds another run: {_in_words(differs)}. Accepted: another folder, or --again to begin anew")
    elif any(run.folder.iterdir()):
        for old in run.folder.iterdir():
            old.unlink()
    _written(path, json.dumps(identity, indent=1).encode())
    return {int(p.stem.split("-")[1]) for p in run.folder.glob("findings-*.parquet") if results_path(run, int(p.stem.split("-")[1])).is_file()}


def _in_words(differs: list[str]) -> str:
    return differs[0] if len(differs) == 1 else f"{', '.join(differs[:-1])}, and {differs[-1]}"


def results_path(run: Run, number: int) -> Path:
    return run.folder / f"results-{number:07}.parquet"


def findings_path(run: Run, number: int) -> Path:
    return run.folder / f"findings-{number:07}.parquet"


def judge_here(run: Run, done: set[int], tell: Tell) -> int:
    """Every piece that is not done, on this machine. Returns how many pieces there are."""
    own = screener(run.books, str(run.mapping), run.reasons)
    start = 0
    while start in done:
        tell(pl.scan_parquet(results_path(run, start)).select(pl.len()).collect().item())
        start += 1
    number = start
    for rows in pieces(run.table, own.mapping, run.piece, start):
        if number not in done:
            write_piece(run, number, own.judge(rows))
        tell(len(rows))
        number += 1
    return number


def judge_piece(run: Run, number: int) -> int:
    """One piece by its number, wherever this runs; a piece done twice is the same piece. Returns its rows."""
    own = screener(run.books, str(run.mapping), run.reasons)
    rows = list(islice(rows_of(run.table, own.mapping, number * run.piece, run.piece), run.piece))
    write_piece(run, number, own.judge(rows))
    return len(rows)


def write_piece(run: Run, number: int, piece: Piece) -> None:
    """Results first and findings last: a piece counts as done when both stand."""
    for frame, path in ((piece.results, results_path(run, number)), (piece.findings, findings_path(run, number))):
        beside = path.with_suffix(f".{os.getpid()}")
        frame.write_parquet(beside)
        beside.replace(path)


def _written(path: Path, content: bytes) -> None:
    beside = path.with_suffix(f".{os.getpid()}")
    beside.write_bytes(content)
    beside.replace(path)


# -- joining --------------------------------------------------------------------------------------------------------------------


def blank_rows(run: Run, count: int) -> int:
    """How many rows of the table were blank."""
    paths = [results_path(run, n) for n in range(count)]
    return pl.scan_parquet(paths).select((pl.col("outcome") == BLANK).sum()).collect().item() if paths else 0


def join(run: Run, count: int) -> tuple[Path, Path]:
    """One table of results and one of findings; a registration number that stands twice goes to a person.

    Blank rows are no registrations, and are left out.
    """
    twice = _standing_twice(run, count)
    repeated = pl.col("registration").is_in(twice) & (pl.col("registration") != "")
    said = pl.lit("the registration number stands more than once")
    reason = pl.when(pl.col("reason") == "").then(said).otherwise(pl.concat_str("reason", said, separator="; "))
    results = [
        pl.when(repeated).then(pl.lit(PERSON)).otherwise("lane").alias("lane"),
        pl.when(repeated).then(reason).otherwise("reason").alias("reason"),
    ]
    found = []
    for name, paths, schema, changes in (
        ("results", [results_path(run, n) for n in range(count)], RESULTS, results),
        ("findings", [findings_path(run, n) for n in range(count)], FINDINGS, []),
    ):
        # One column of one piece at a time: read side by side, some hundred pieces would fill the memory.
        pieces = pl.scan_parquet(paths, low_memory=True, parallel="none") if paths else pl.LazyFrame(schema=schema)
        frame = pieces.with_columns(changes)
        if name == "results":
            frame = frame.filter(pl.col("outcome") != BLANK)
        path = run.out / f"{name}.{run.form}"
        beside = path.with_suffix(".part")
        if run.form == "csv":
            frame.sink_csv(beside, maintain_order=True)
        else:
            frame.sink_parquet(beside, maintain_order=True)
        beside.replace(path)
        found.append(path)
    return found[0], found[1]


def _standing_twice(run: Run, count: int) -> list[str]:
    """Registration numbers that more than one row has, from their 8-byte marks first, so that memory stays small."""
    if not count:
        return []
    frame = pl.scan_parquet([results_path(run, n) for n in range(count)]).select("registration")
    marks = frame.select(pl.col("registration").hash()).collect().to_series()
    twice = marks.filter(marks.is_duplicated()).unique()
    if not len(twice):
        return []
    some = frame.filter(pl.col("registration").hash().is_in(twice.implode())).collect().to_series()
    return some.filter(some.is_duplicated()).unique().sort().to_list()


def numbers(run: Run) -> Iterator[int]:
    """The pieces of a Parquet table."""
    rows = count_of(run.table) or 0
    yield from range(-(-rows // run.piece))
