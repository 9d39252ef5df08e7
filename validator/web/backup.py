"""A whole database, and the files beside it, in one archive; and back again, proved before it is called done.

The archive is a zip: `cases.sqlite`, the files under `pictures/`, and `what.txt`, which says what it is. It is written beside its
place and moved there when it is whole, so that a full disk leaves the backup before it as it was.
"""

import json
import os
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from validator.web.store import Store

FORM = 1
WHAT, DATABASE, PICTURES = "what.txt", "cases.sqlite", "pictures"
LARGEST_PART = 64_000_000_000


class NoBackup(Exception):
    """Why nothing was backed up or restored, and what would let it."""


def backed_up(database: Path, to: Path) -> int:
    """Writes the archive of a database that may be in use; returns how many cases it holds. Raises NoBackup."""
    if not database.is_file():
        raise NoBackup(f"there is no database {database}. Accepted: --database with the file of your cases")
    with tempfile.TemporaryDirectory(dir=to.parent if to.parent.is_dir() else None, prefix=".backup-") as folder:
        copy, made = Path(folder) / DATABASE, Path(folder) / "made.zip"
        with closing(sqlite3.connect(database, timeout=30)) as source, closing(sqlite3.connect(copy)) as target:
            source.backup(target)
        number = _proved(copy)
        with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr(WHAT, json.dumps({"form": FORM, "cases": number}))
            archive.write(copy, DATABASE)
            for file in sorted((database.parent / PICTURES).glob("*")):
                archive.write(file, f"{PICTURES}/{file.name}")
        try:
            os.replace(made, to)
        except OSError as problem:
            raise NoBackup(f"{to} could not be written: {problem.strerror}") from None
    return number


def restored(archive: Path, to: Path) -> int:
    """Makes the database of an archive where none stands; returns how many cases it holds. Raises NoBackup."""
    if to.exists():
        raise NoBackup(f"{to} is there already, and is not written over. Accepted: --database with a file that is not there yet")
    to.parent.mkdir(parents=True, exist_ok=True)
    with _opened(archive) as whole, tempfile.TemporaryDirectory(dir=to.parent, prefix=".restore-") as folder:
        names = [each for each in whole.namelist() if each == DATABASE or each.startswith(f"{PICTURES}/")]
        if DATABASE not in names or any(Path(each).is_absolute() or ".." in Path(each).parts for each in names):
            raise NoBackup(f"{archive} is no backup of cases. Accepted: a file that --backup wrote")
        for each in names:
            if whole.getinfo(each).file_size > LARGEST_PART:
                raise NoBackup(f"{archive} holds a part that is too large to be one of ours")
            whole.extract(each, folder)
        number = _proved(Path(folder) / DATABASE)
        pictures = Path(folder) / PICTURES
        for file in sorted(pictures.glob("*")) if pictures.is_dir() else ():
            (to.parent / PICTURES).mkdir(exist_ok=True)
            os.replace(file, to.parent / PICTURES / file.name)
        os.replace(Path(folder) / DATABASE, to)
    return number


@contextmanager
def _opened(archive: Path) -> Iterator[zipfile.ZipFile]:
    try:
        with zipfile.ZipFile(archive) as whole:
            if whole.testzip() is not None:
                raise NoBackup(f"{archive} is damaged: its checksums do not hold")
            yield whole
    except (OSError, zipfile.BadZipFile) as problem:
        raise NoBackup(f"{archive} cannot be read: {problem}") from None


def _proved(database: Path) -> int:
    """How many cases a database holds, every history of them proved. Raises NoBackup."""
    store = Store(str(database))
    try:
        found = list(store.verified())
    finally:
        store.close()
    broken = [f"{title}: {why}" for _, title, _, why in found if why]
    if broken:
        raise NoBackup(f"the history of {len(broken)} cases does not prove, so nothing was written: {'; '.join(broken[:3])}")
    return len(found)
