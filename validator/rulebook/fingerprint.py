"""Takes the folder of a book, returns a few digits that change when a word of it changes."""

import hashlib
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

from validator.language.files import is_own
from validator.language.source import LARGEST

WRITTEN = (".yaml", ".csv")
NO_FILE = b"no file"  # of a folder, a link to nothing, a pipe or a device by such a name, which reading complains of


def fingerprint_of(folder: Path) -> str:
    """Sixteen hex digits that change when any file of the book, its vocabulary or its sources changes."""
    folder = folder.absolute()
    return _digest(folder.parent, (*_written_in(folder, chapters=True), *_shared(folder.parent)))


def fingerprint_of_all(folders: Sequence[Path], shared: Path) -> str:
    """The fingerprint of several books read together, in the order given, with the vocabulary they share."""
    own = [fingerprint_of(folder) for folder in folders]
    if len(own) == 1 and folders[0].parent == shared:
        return own[0]
    return _digest(shared.absolute(), tuple(_shared(shared.absolute())), " ".join(own))


def stamp_of_all(folders: Sequence[Path], shared: Path) -> tuple[str, int]:
    """Digits that change when any of the same files is written, put in another's place, added or taken away, and when the last of
    them was, in nanoseconds; nothing where a system does not tell it.

    By size, place on the disk and both times: a file's own time can be set back, the time of its last change cannot.
    """
    if os.name != "posix":
        return "", 0
    paths = [path for folder in folders for path in _written_in(folder.absolute(), chapters=True)]
    for shelf in dict.fromkeys((*(folder.absolute().parent for folder in folders), shared.absolute())):
        paths += _shared(shelf)
    digest, last = hashlib.sha256(), 0
    for path in sorted(paths):
        try:
            file = os.stat(path)
        except OSError:
            return "", 0
        last = max(last, file.st_mtime_ns, file.st_ctime_ns)
        digest.update(f"{path}\0{file.st_mode} {file.st_size} {file.st_dev} {file.st_ino} {file.st_mtime_ns} {file.st_ctime_ns}\0".encode(errors="surrogateescape"))
    return digest.hexdigest(), last


def _shared(shelf: Path) -> Iterator[str]:
    yield from _written_in(shelf / "vocabulary")
    if (shelf / "sources.yaml").is_file():
        yield str(shelf / "sources.yaml")


def _written_in(folder: str | Path, *, chapters: bool = False) -> Iterator[str]:
    """The files of a folder by path, and of its chapters. Every check begins with this, and plain text is the quickest."""
    if not os.path.isdir(folder):
        return
    for entry in os.scandir(folder):
        if entry.name.endswith(WRITTEN) and is_own(entry.name):
            yield entry.path
        elif chapters and entry.is_dir():
            yield from _written_in(entry.path)


def _digest(shelf: Path, paths: Sequence[str], before: str = "") -> str:
    """Of each file its path below the shelf and its text, whatever ends its lines; each told apart from what follows it."""
    digest = hashlib.sha256(before.encode())
    start = len(str(shelf)) + 1
    for path in sorted(paths):
        text = _text(path)
        name = path[start:].replace(os.sep, "/").encode(errors="surrogateescape")
        digest.update(b"\0%d %d\0%b%b" % (len(name), len(text), name, text))
    return digest.hexdigest()[:16]


def _text(path: str) -> bytes:
    if not os.path.isfile(path):
        return NO_FILE
    with open(path, "rb", buffering=0) as file:
        return file.read(LARGEST + 1).replace(b"\r\n", b"\n")  # one that is larger is refused
