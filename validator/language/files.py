"""Which files of a folder somebody wrote."""

from pathlib import Path


def written_in(folder: Path, ending: str = ".yaml") -> list[Path]:
    """The files of a folder in their order; what an editor keeps there for itself is not among them."""
    if not folder.is_dir():
        return []
    return sorted(path for path in folder.iterdir() if path.name.endswith(ending) and is_own(path.name))


def is_own(name: str) -> bool:
    """Whether a file is somebody's work, by its name: editors put their locks and copies beside it, under hidden names."""
    return not name.startswith(".")
