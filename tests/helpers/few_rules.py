"""The shelf's vocabulary with a tenth of its rules: for what is tried of tables and runs, and not of the trade."""

import atexit
import shutil
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

from paths import RULEBOOKS

CHAPTERS = ("fasteners", "pan", "wet-areas")
KEPT = ("book.yaml", "limits.yaml", "schedules", "consequences", "causes", *CHAPTERS)


@cache
def few_rules() -> Path:
    """The folder of such a book, on a shelf of its own that goes with this process."""
    shelf = Path(mkdtemp(prefix="few-rules-"))
    atexit.register(shutil.rmtree, shelf, ignore_errors=True)
    shutil.copytree(RULEBOOKS / "vocabulary", shelf / "vocabulary")
    shutil.copy(RULEBOOKS / "sources.yaml", shelf)
    book = shelf / "us"
    book.mkdir()
    for name in KEPT:
        copy = shutil.copytree if (RULEBOOKS / "us" / name).is_dir() else shutil.copy
        copy(RULEBOOKS / "us" / name, book / name)
    return book
