"""What a book is known by: a few digits that change when a word of it changes."""

import hashlib
from pathlib import Path


def fingerprint_of(folder: Path) -> str:
    """Sixteen hex digits that change when any file of the book, its vocabulary or its sources changes."""
    digest = hashlib.sha256()
    shared = [*(folder.parent / "vocabulary").glob("*.yaml"), folder.parent / "sources.yaml"]
    for path in sorted((*folder.rglob("*.yaml"), *folder.rglob("*.csv"), *(p for p in shared if p.is_file()))):
        digest.update(path.relative_to(folder.parent).as_posix().encode())
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:16]
