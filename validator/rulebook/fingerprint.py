"""What a book is known by: a few digits that change when a word of it changes."""

import hashlib
from collections.abc import Sequence
from pathlib import Path


def fingerprint_of(folder: Path) -> str:
    """Sixteen hex digits that change when any file of the book, its vocabulary or its sources changes."""
    digest = hashlib.sha256()
    shared = [*(folder.parent / "vocabulary").glob("*.yaml"), folder.parent / "sources.yaml"]
    for path in sorted((*folder.rglob("*.yaml"), *folder.rglob("*.csv"), *(p for p in shared if p.is_file()))):
        digest.update(path.relative_to(folder.parent).as_posix().encode())
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:16]


def fingerprint_of_all(folders: Sequence[Path], shared: Path) -> str:
    """The fingerprint of several books read together, in the order given, with the vocabulary they share."""
    own = [fingerprint_of(folder) for folder in folders]
    if len(own) == 1 and folders[0].parent == shared:
        return own[0]
    digest = hashlib.sha256(" ".join(own).encode())
    for path in sorted((*(shared / "vocabulary").glob("*.yaml"), shared / "sources.yaml")):
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:16]
