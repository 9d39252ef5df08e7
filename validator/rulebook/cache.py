"""Keeps a book between runs under a name made from its files and from the program, so that the second check starts at once.

What is kept is the book as read and found sound, under a name made from the content of every file it came from and of
this program; change a word of either and the book is read anew. It is only ever an aid: a folder that cannot be
written, or a kept file that is damaged, costs nothing but the time to read the book.

A kept file is believed only if this user wrote it, with this program, for this very book: it must be a plain file of the
user's own that nobody else may write, and it begins with a digest of its name and its content under a key that stands
beside it and is the user's alone. When it is loaded, nothing but this program's own records is made from it.
"""

import hashlib
import hmac
import json
import os
import stat
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from pathlib import Path

from validator.rulebook.book import Book
from validator.rulebook.cache_format import NoBook, decoded, encoded
from validator.rulebook.fingerprint import fingerprint_of_all, stamp_of_all

FOLDER = "assembly-validator"
SWITCH = "ASSEMBLY_VALIDATOR_KEEP"  # set to `no`, nothing is kept
MOST_KEPT = 8
LARGEST = 100_000_000  # bytes of a kept book
KEY, KEY_BYTES = "key", 32
SEEN = "seen"  # the stamps of the files that books were read from
LEFT_ALONE = 2_000_000_000  # nanoseconds: no clock that stamps files ticks slower
DIGEST = 32  # bytes that a kept file begins with
PACKAGE = os.path.dirname(os.path.dirname(__file__))
PLAINLY = os.O_RDONLY | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
OTHERS_MAY_WRITE = stat.S_IWGRP | stat.S_IWOTH


def cache_folder() -> Path | None:
    """Where books are kept: the user's own cache folder; nowhere for a user without a home."""
    base = os.environ.get("XDG_CACHE_HOME") or os.path.join(os.path.expanduser("~"), ".cache")
    return Path(base) / FOLDER if os.path.isabs(base) else None


def cached_or_read(folders: Sequence[Path], shared: Path, read: Callable[..., Book]) -> Book:
    """The book of one or more folders, kept from before if nothing has changed since. Raises BadBook as reading does."""
    folder = cache_folder()
    if folder is None or os.environ.get(SWITCH) == "no":
        return read(*folders)
    asked = _asked_for(folders)
    fingerprint = _fingerprint(folder / SEEN, asked, folders, shared)
    path = folder / f"{hashlib.sha256(f'{fingerprint} {asked}'.encode()).hexdigest()[:32]}.book"
    book = _load(path)
    if book is None:
        book = read(*folders)
        # Saved meanwhile, what was read is not what the name stands for.
        if fingerprint_of_all(folders, shared) == fingerprint:
            _keep(path, book)
    return book


def set_aside() -> None:
    """Takes away every kept book, so that each is read anew: of this program's own files nothing else."""
    folder = cache_folder()
    if folder is not None:
        with suppress(OSError):
            for path in (*folder.glob("*.book"), *folder.glob(SEEN)):
                path.unlink()


def _fingerprint(remembered: Path, asked: str, folders: Sequence[Path], shared: Path) -> str:
    """The fingerprint of the books' words, which are not read where no file was touched since they last were.

    Only files that had then been left alone for a while are believed to be untouched: what is written within one tick of the
    clock that stamps them does not show.
    """
    begun = time.time_ns()
    stamp, last = stamp_of_all(folders, shared)
    seen = _seen(remembered) if stamp else {}
    before, fingerprint = seen.pop(asked, ("", ""))
    if stamp and before == stamp:
        return fingerprint
    fingerprint = fingerprint_of_all(folders, shared)
    if stamp and last + LEFT_ALONE < begun:
        _write_seen(remembered, {**dict(list(seen.items())[1 - MOST_KEPT :]), asked: (stamp, fingerprint)})
    return fingerprint


def _seen(path: Path) -> dict[str, tuple[str, str]]:
    """Of some books the stamp of their files and the fingerprint of their words; nothing where it is not as this program left it."""
    try:
        written = _own(path, LARGEST)
        if written is None or written[:DIGEST] != _digest(path, written[DIGEST:]):
            return {}
        return {asked: (stamp, fingerprint) for asked, stamp, fingerprint in json.loads(written[DIGEST:])}
    except (OSError, ValueError, TypeError, RecursionError):
        return {}


def _write_seen(path: Path, seen: dict[str, tuple[str, str]]) -> None:
    written = json.dumps([[asked, *said] for asked, said in seen.items()]).encode()
    with suppress(OSError):
        _put(path, _digest(path, written) + written)


def _asked_for(folders: Sequence[Path]) -> str:
    """What tells apart the same folders asked of this program and of any other."""
    digest = hashlib.sha256(f"{[str(f.resolve()) for f in folders]} {sys.version}".encode(errors="surrogateescape"))
    digest.update("\0".join(sorted(program_files(PACKAGE))).encode(errors="surrogateescape"))
    return digest.hexdigest()


def program_files(folder: str) -> Iterator[str]:
    """Every module of this program with its size and when it was written."""
    for entry in os.scandir(folder):
        if entry.name.endswith(".py"):
            stat = entry.stat()
            yield f"{entry.path} {stat.st_size} {stat.st_mtime_ns}"
        elif entry.is_dir() and entry.name.isidentifier():
            yield from program_files(entry.path)


def _load(path: Path) -> Book | None:
    """The book kept in a file; None where there is none, or anything about it is not as this program left it."""
    try:
        written = _own(path, LARGEST)
        if written is None or written[:DIGEST] != _digest(path, written[DIGEST:]):
            return None
        return decoded(written[DIGEST:])
    except (OSError, MemoryError, NoBook):
        return None


def _own(path: Path, most: int) -> bytes | None:
    """A plain file that is the user's own and that nobody else may write; a link, a pipe or a device is not opened through."""
    file = os.open(path, PLAINLY)
    try:
        known = os.fstat(file)
        ours = not hasattr(os, "geteuid") or (known.st_uid == os.geteuid() and not known.st_mode & OTHERS_MAY_WRITE)
        if not stat.S_ISREG(known.st_mode) or not ours or known.st_size > most:
            return None
        parts = []
        while part := os.read(file, most):
            parts.append(part)
        return b"".join(parts)
    finally:
        os.close(file)


def _digest(path: Path, written: bytes) -> bytes:
    """Of a kept book and its name, under the user's key. Raises OSError where there is no key."""
    key = _own(path.parent / KEY, KEY_BYTES)
    if key is None or len(key) != KEY_BYTES:
        raise OSError("no key")
    digest = hmac.new(key, path.name.encode(), "sha256")  # which processors help with, and a book is megabytes
    digest.update(written)
    return digest.digest()


def _keep(path: Path, book: Book) -> None:
    """Written beside and moved into place, so that a half-written file is never read; the oldest are cleared away."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            _digest(path, b"")
        except OSError:
            _put(path.parent / KEY, os.urandom(KEY_BYTES))
        written = encoded(book)
        _put(path, _digest(path, written) + written)
        kept = sorted(path.parent.glob("*.book"), key=lambda p: p.lstat().st_mtime, reverse=True)
        for old in kept[MOST_KEPT:]:
            old.unlink(missing_ok=True)
    except (OSError, RecursionError):
        return


def _put(path: Path, written: bytes) -> None:
    """Moved into place from a new file beside it, so that nothing is written through a link that stands there."""
    from tempfile import mkstemp

    file, beside = mkstemp(dir=path.parent, prefix=f"{path.stem}.", suffix=".part")
    try:
        with open(file, "wb") as opened:
            opened.write(written)
        os.replace(beside, path)
    except OSError:
        os.unlink(beside)
        raise
