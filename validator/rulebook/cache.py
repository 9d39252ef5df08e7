"""A book kept between runs, so that the second check of the day starts at once.

What is kept is the book as read and found sound, under a name made from the content of every file it came from and of
this program; change a word of either and the book is read anew. It is only ever an aid: a folder that cannot be
written, or a kept file that is damaged, costs nothing but the time to read the book. When it is loaded, nothing but
this program's own records is made from it.
"""

import hashlib
import os
import sys
import zlib
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from validator.rulebook.book import Book
from validator.rulebook.cache_format import NoBook, packed, unpacked

FOLDER = "assembly-validator"
SWITCH = "ASSEMBLY_VALIDATOR_KEEP"  # set to `no`, nothing is kept
MOST_KEPT = 8
PACKAGE = os.path.dirname(os.path.dirname(__file__))
CHECK = 4  # bytes of the checksum that a kept file begins with


def cache_folder() -> Path | None:
    """Where books are kept: the user's own cache folder; nowhere for a user without a home."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    return Path(base) / FOLDER if os.path.isabs(base) else None


def cached_or_read(folders: Sequence[Path], fingerprint: str, read: Callable[..., Book]) -> Book:
    """The book of one or more folders, kept from before if nothing has changed since. Raises BadBook as reading does."""
    folder = cache_folder()
    if folder is None or os.environ.get(SWITCH) == "no":
        return read(*folders)
    path = folder / f"{_name(folders, fingerprint)}.book"
    book = _load(path)
    if book is None:
        book = read(*folders)
        _keep(path, book)
    return book


def _name(folders: Sequence[Path], fingerprint: str) -> str:
    digest = hashlib.sha256(f"{fingerprint} {[str(f.resolve()) for f in folders]} {sys.version}".encode())
    digest.update(" ".join(sorted(program_files(PACKAGE))).encode())
    return digest.hexdigest()[:32]


def program_files(folder: str) -> Iterator[str]:
    """Every module of this program with its size and when it was written."""
    for entry in os.scandir(folder):
        if entry.name.endswith(".py"):
            stat = entry.stat()
            yield f"{entry.path} {stat.st_size} {stat.st_mtime_ns}"
        elif entry.is_dir() and entry.name.isidentifier():
            yield from program_files(entry.path)


def _load(path: Path) -> Book | None:
    """The book kept in a file: a checksum, and the book. None for a file that is damaged or holds anything else."""
    try:
        written = path.read_bytes()
        if written[:CHECK] != _checksum(written[CHECK:]):
            return None
        return unpacked(written[CHECK:].decode())
    except (OSError, UnicodeDecodeError, MemoryError, NoBook):
        return None


def _checksum(written: bytes) -> bytes:
    return zlib.crc32(written).to_bytes(CHECK, "big")


def _keep(path: Path, book: Book) -> None:
    """Written beside and moved into place, so that a half-written file is never read; the oldest are cleared away."""
    beside = path.with_suffix(f".{os.getpid()}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        written = packed(book).encode()
        beside.write_bytes(_checksum(written) + written)
        beside.replace(path)
        kept = sorted(path.parent.glob("*.book"), key=lambda p: p.stat().st_mtime, reverse=True)
        for old in kept[MOST_KEPT:]:
            old.unlink(missing_ok=True)
    except (OSError, RecursionError):
        with suppress(OSError):
            beside.unlink()
