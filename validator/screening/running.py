"""A run over a whole table: piece after piece, each written whole before the next begins.

A run that is stopped, by Ctrl-C or by the power going, goes on where it was: finished pieces stand in the folder
`pieces` and are never done twice. It goes on only as the run it was: of the same table to the last byte, the same mapping,
the same books and the same program. When all pieces are done they are joined to one table of results and one of findings.
"""

import json
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.screening.judging import Screener, screener
from validator.screening.known import DAY, TIDIED, Run, differences, judged_by, mark_of
from validator.screening.pieces import RUN_FILE, Receipt, finished, numbers_in, receipt_of, take_away, write_json, write_piece
from validator.screening.rows import BadTable, Rows
from validator.screening.tables import pieces
from validator.screening.tidying import SHEET, Filled

try:
    from fcntl import LOCK_EX, LOCK_NB, flock
except ImportError:  # a system without it: two runs in one folder do each other's pieces twice, and come to the same
    flock = None

OUTPUTS = ("results.parquet", "findings.parquet", "results.csv", "findings.csv", "terms.parquet", "terms.csv", SHEET, "screening.xlsx", "summary.html")
Tell = Callable[[int], None]  # told how many rows more are done


class Begun(NamedTuple):
    """A run at work: what it is known by, of each piece that is done its receipt, and which were done before it began."""

    run: Run
    known: dict[str, object]
    done: dict[int, Receipt]
    before: frozenset[int]


@contextmanager
def begun(run: Run, again: bool = False) -> Iterator[Begun]:
    """A run's folder made ready and held alone, with what is finished in it already.

    Raises BadTable where the folder is another run's, or holds what no run wrote, or cannot be written.
    """
    if not run.table.is_file():
        raise BadTable(f"there is no file {run.table}. Accepted: a table in CSV, XLSX, Parquet or JSON Lines")
    try:
        run.folder.mkdir(parents=True, exist_ok=True)
        with _held(run):
            known = run.known()
            known[DAY] = _make_room(run, known, again)
            write_json(run.folder / RUN_FILE, known)
            done = finished(run, known)
            yield Begun(run, known, done, frozenset(done))
    except (OSError, pl.exceptions.ComputeError) as problem:
        why = getattr(problem, "strerror", None) or str(problem).splitlines()[0][:120]
        raise BadTable(f"{run.out} cannot be written: {why}. Accepted: a folder of your own with room in it; then the same command") from None


def see_unchanged(work: Begun) -> None:
    """Sees at the end that all that was read is what it was. What was judged since the start is set aside if not: BadTable."""
    now = {**work.run.known(), DAY: work.known[DAY]}
    if now == work.known:
        return
    for number in set(work.done) - work.before:
        take_away(work.run, number)
    raise BadTable(
        f"{work.run.table.name} was being screened, and what is read for it has changed meanwhile: {differences(work.known, now)}. "
        "What was judged since is set aside. Accepted: the same command again"
    )


@contextmanager
def _held(run: Run) -> Iterator[None]:
    """The folder for this run alone, until it ends however it ends."""
    if flock is None:
        yield
        return
    folder = os.open(run.folder, os.O_RDONLY)
    try:
        try:
            flock(folder, LOCK_EX | LOCK_NB)
        except BlockingIOError:
            raise BadTable(f"another run is at work in {run.out}. Accepted: the same command when it has ended, or another folder") from None
        except OSError:
            pass  # a shared disk that holds nothing for anybody
        yield
    finally:
        os.close(folder)


def _make_room(run: Run, known: dict[str, object], again: bool) -> str:
    """Sees that the folder is this run's, or nobody's. Takes away only what another run's receipts list, and only if told to.

    Cells that were tidied since are no other run: whoever fills in the sheet means it to be read. Returns the day it began.
    """
    before, receipts = _before(run), numbers_in(run)
    today = date.today().isoformat()
    began = str(before.pop(DAY, today)) if before is not None else today
    outputs = [run.out / name for name in OUTPUTS if (run.out / name).exists()]
    if before is None and not receipts:
        odd = [*outputs, *(path for path in run.folder.iterdir() if path.name != RUN_FILE)]
        if odd:
            named = ", ".join(str(path.relative_to(run.out)) for path in sorted(odd)[:3])
            raise BadTable(f"{run.out} holds what no run wrote: {named}. Accepted: another folder")
    same = before == known or mark_of(known) in {receipt.run for n in receipts if (receipt := receipt_of(run, n))}
    if same and not again:
        return began
    again = again or before is not None and before.keys() == known.keys() and not differences(before | {TIDIED: known[TIDIED]}, known)
    if (receipts or outputs) and not again:
        why = "what it was cannot be read" if before is None else differences(before, known)
        raise BadTable(f"{run.out} holds another run: {why}. Accepted: another folder, or --again to begin anew")
    for number in receipts:
        take_away(run, number)
    return today


def _before(run: Run) -> dict[str, object] | None:
    """What the run in the folder was known by; None where there is none, or its file is damaged."""
    try:
        said = json.loads((run.folder / RUN_FILE).read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    return said if isinstance(said, dict) else None


# -- judging --------------------------------------------------------------------------------------------------------------------


def judge_here(work: Begun, tell: Tell) -> int:
    """Every piece that is not done, on this machine. Returns how many pieces there are. Raises BadTable."""
    run = work.run
    own = screener_of(run, work.known)
    start = 0
    while start in work.done:
        tell(work.done[start].rows)
        start += 1
    number = start
    for rows in pieces(run.table, own.mapping, run.piece, start):
        if number not in work.done:
            work.done[number] = _judged(run, work.known, number, rows, own)
        tell(rows.height)
        number += 1
    return number


def judge_piece(run: Run, known: dict[str, object], number: int) -> Receipt:
    """One piece by its number, wherever this runs; a piece done twice is the same piece. Raises BadTable."""
    own = screener_of(run, known)
    return _judged(run, known, number, next(pieces(run.table, own.mapping, run.piece, number)), own)


def _judged(run: Run, known: dict[str, object], number: int, rows: Rows, own: Screener) -> Receipt:
    return write_piece(run, known, number, own.judge(rows), rows.marks["lines"].sum())


def screener_of(run: Run, known: dict[str, object]) -> Screener:
    """The screener of a run, kept for its pieces. Raises BadBook, BadAssembly and BadTable."""
    day = date.fromisoformat(str(known[DAY]))
    return _screener(run.books, run.table, str(known["content"]), run.mapping, day, run.filled, run.programme, *(known[each] for each in ("books", "mapping", "program")))


@lru_cache(maxsize=4)
def _screener(books: tuple[str, ...], table: Path, _content: str, mapping: Path, day: date, filled: Filled, programme: str, *wanted: str) -> Screener:
    """Made of just what the run is known by: where books, mapping or program are not those, it says so."""
    own = screener(books, table, mapping, day, filled, programme)
    if judged_by(books, mapping) != wanted:
        raise BadTable("the books, the mapping or this program are not here as they were when the run began. Accepted: the same everywhere")
    return own
