"""What each piece of a run leaves in the folder `pieces`: its results, findings, cells to tidy, questions and terms, and a receipt that lists them.

The receipt says of which run they are, how many rows and lines of the table they stand for, and what its files hold to
the byte. A piece is done when its receipt stands and its files are as it says; a damaged one is judged again. Nothing is
taken away from the folder but what a receipt lists.
"""

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.screening.known import Run, digest_of, mark_of

RUN_FILE = "run.json"
KINDS = ("results", "findings", "untidy", "questions", "terms")


class Receipt(NamedTuple):
    """What a finished piece says of itself."""

    run: str
    rows: int
    lines: int
    results: str
    findings: str
    untidy: str
    questions: str
    terms: str


def path_of(run: Run, kind: str, number: int) -> Path:
    """Where one kind of a piece, or its receipt, stands."""
    return run.folder / f"{kind}-{number:07}.{'json' if kind == 'piece' else 'parquet'}"


def numbers_in(run: Run) -> list[int]:
    """The pieces that have a receipt."""
    stems = (path.stem.removeprefix("piece-") for path in run.folder.glob("piece-*.json"))
    return sorted(int(stem) for stem in stems if stem.isascii() and stem.isdigit() and len(stem) == 7)


def receipt_of(run: Run, number: int) -> Receipt | None:
    """The receipt of a piece; None where there is none that can be read."""
    try:
        said = json.loads(path_of(run, "piece", number).read_bytes())
        receipt = Receipt(**said)
    except (OSError, ValueError, TypeError, RecursionError):
        return None
    sound = all(type(part) is kind for part, kind in zip(receipt, (str, int, int, *(str,) * len(KINDS))))
    return receipt if sound else None


def finished(run: Run, known: dict[str, object]) -> dict[int, Receipt]:
    """The pieces of this very run that are done, and whole."""
    mark = mark_of(known)
    done: dict[int, Receipt] = {}
    for number in numbers_in(run):
        receipt = receipt_of(run, number)
        if receipt is not None and receipt.run == mark and _is_whole(run, number, receipt):
            done[number] = receipt
    return done


def _is_whole(run: Run, number: int, receipt: Receipt) -> bool:
    try:
        return all(digest_of(path_of(run, kind, number)) == getattr(receipt, kind) for kind in KINDS)
    except OSError:
        return False


def write_piece(run: Run, known: dict[str, object], number: int, frames: Sequence[pl.DataFrame], lines: int) -> Receipt:
    """A file of each kind, and the receipt last: a piece counts as done when it stands."""
    digests = []
    for kind, frame in zip(KINDS, frames):
        path = path_of(run, kind, number)
        beside = path.with_suffix(f".{os.getpid()}")
        frame.write_parquet(beside)
        digests.append(digest_of(beside))
        beside.replace(path)
    receipt = Receipt(mark_of(known), frames[0].height, lines, *digests)
    write_json(path_of(run, "piece", number), receipt._asdict())
    return receipt


def write_json(path: Path, said: dict[str, object]) -> None:
    """Written beside and moved into place, so that a half-written file is never read."""
    beside = path.with_suffix(f".{os.getpid()}")
    beside.write_text(json.dumps(said, indent=1), encoding="utf-8")
    beside.replace(path)


def take_away(run: Run, number: int) -> None:
    """A piece of a run that is begun anew: the files that its receipt lists, and then the receipt."""
    receipt = receipt_of(run, number)
    for kind in KINDS if receipt is not None else ():
        path = path_of(run, kind, number)
        if path.is_file() and digest_of(path) == getattr(receipt, kind):
            path.unlink()
    path_of(run, "piece", number).unlink()
