"""Begins a book of a user's own: the example book that comes with the program, copied under another name, and its page of ten steps."""

import re
from pathlib import Path

from validator.rulebook.shelf import shelf

EXAMPLE, PAGE, NAMES = "first-book", "ten-steps.md", re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*")
STANDS_AS = {"code or standard": "adopted code", "local amendment": "local amendment", "project specification": "project specification"}
"""What a book may be begun as, each with the standing of the paper it rests on. Trade practice lies beneath every code."""


def example_folder() -> Path:
    return shelf() / "author"


def begin_book(folder: Path, on: str, layer: str) -> list[Path]:
    """Writes a book into a folder that does not exist yet, named as the folder; returns its files. Raises FileExistsError, OSError."""
    folder.mkdir(parents=True)
    source = example_folder() / EXAMPLE
    files = {folder / path.relative_to(source): path for path in sorted(source.rglob("*")) if path.is_file()}
    files[folder / PAGE] = example_folder() / PAGE
    for path, example in files.items():
        path.parent.mkdir(parents=True, exist_ok=True)
        written = example.read_text(encoding="utf-8").replace(EXAMPLE, str(folder) if path.name == PAGE else folder.name)
        written = written.replace("on-book", on).replace("layer: local amendment", f"layer: {layer}")
        path.write_text(written.replace("standing: local amendment", f"standing: {STANDS_AS[layer]}"), encoding="utf-8")
    return list(files)
