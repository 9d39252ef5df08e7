"""Finds rulebooks: beside the program, or in a folder of the user's own."""

from collections.abc import Iterable
from pathlib import Path

from validator.language.slips import did_you_mean
from validator.language.source import BadBook, Complaint, Where

PACKAGE = Path(__file__).parents[1]
INSTALLED = PACKAGE / "rulebooks"
BESIDE = PACKAGE.parent / "rulebooks"


def shelf() -> Path:
    """The folder of rulebooks that came with the program: in a checkout beside it, once installed inside it."""
    return BESIDE if (BESIDE / "sources.yaml").is_file() else INSTALLED


def shared_folder(folders: Iterable[Path]) -> Path:
    """Where the vocabulary and sources of some books stand: beside the first that has them there, else on the shelf."""
    return next((folder.parent for folder in folders if (folder.parent / "vocabulary").is_dir()), shelf())


def book_names() -> list[str]:
    """The books on the shelf."""
    return sorted(p.name for p in shelf().iterdir() if (p / "book.yaml").is_file())


def on_shelf(folder: Path) -> bool:
    """Whether a book came with the program."""
    return folder.resolve().parent == shelf().resolve()


def book_folder(name: str) -> Path:
    """The folder of a book, by its name on the shelf or by a path. Raises BadBook."""
    for folder in (shelf() / name, Path(name)):
        if (folder / "book.yaml").is_file():
            return folder
    hint = did_you_mean(name, book_names())
    accepted = f"{hint}{', '.join(book_names())}; or a folder that holds book.yaml"
    raise BadBook([Complaint(Where(name, 0, 1), f"there is no book `{name}`", accepted)])
