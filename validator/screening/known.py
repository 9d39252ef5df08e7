"""What a run is known by: all that it reads. The same run goes on where it was; another never takes over its answers."""

import hashlib
import json
from pathlib import Path
from typing import NamedTuple

import validator
from validator.rulebook.fingerprint import fingerprint_of_all
from validator.rulebook.shelf import shared_folder
from validator.screening.rows import BadTable
from validator.warranty.reading import programme_file

PIECE = 100_000  # rows
AT_ONCE = 1 << 20  # bytes
DAY = "day"  # on which a run began; it goes on as the run of that day
TIDIED = "tidied"
DIFFERENT = {
    "table": "its table has another name", "content": "its table says something else",
    "books": "it was judged by other books, or by other words of them", "mapping": "its mapping says something else",
    "program": "it was judged by another version of this program", "piece": "its pieces are of another size",
    "programme": "it judged the terms of another document, or of none", TIDIED: "its cells were tidied otherwise",
}  # fmt: skip


class Run(NamedTuple):
    """What is screened, by what, and where the answers go."""

    table: Path
    mapping: Path
    books: tuple[str, ...]
    out: Path
    form: str = "parquet"  # or csv, or xlsx
    piece: int = PIECE
    programme: str = ""  # of which every term is judged for every row
    filled: tuple[tuple[str, str, str], ...] = ()  # of cells that could not be read: heading, cell, what it says

    @property
    def folder(self) -> Path:
        return self.out / "pieces"

    def _programme(self) -> str:
        """The document by all it says; empty where none is asked."""
        return f"{self.programme} {digest_of(programme_file(self.programme))}" if self.programme else ""

    def known(self) -> dict[str, object]:
        """Everything that the answers hang on, as it stands now. Raises BadTable."""
        try:
            content = digest_of(self.table)
        except OSError as problem:
            raise BadTable(f"{self.table.name} cannot be read: {problem.strerror}") from None
        words = dict(zip(("books", "mapping", "program"), judged_by(self.books, self.mapping)))
        return {"table": self.table.name, "content": content, **words, "piece": self.piece, "programme": self._programme(),
                TIDIED: hashlib.sha256(json.dumps(self.filled).encode()).hexdigest() if self.filled else ""}  # fmt: skip


def judged_by(books: tuple[str, ...], mapping: Path) -> tuple[str, str, str]:
    """The part of it that is not the table, which every worker must have alike: books, mapping and program. Raises BadTable."""
    folders = [Path(book) for book in books]
    try:
        said = digest_of(mapping)
    except OSError as problem:
        raise BadTable(f"{mapping} cannot be read: {problem.strerror}. Accepted: a mapping in YAML") from None
    return fingerprint_of_all(folders, shared_folder(folders)), said, program()


def mark_of(known: dict[str, object]) -> str:
    """A run as a few digits, which each of its pieces bears."""
    lasting = {key: value for key, value in known.items() if key != DAY}
    return hashlib.sha256(json.dumps(lasting, sort_keys=True).encode()).hexdigest()[:32]


def differences(before: dict[str, object], now: dict[str, object]) -> str:
    """In words, what is not the same in two runs."""
    words = [word for key, word in DIFFERENT.items() if before.get(key) != now[key]]
    return f"{', '.join(words[:-1])}, and {words[-1]}" if len(words) > 1 else "".join(words)


def digest_of(path: Path) -> str:
    """A file by all it holds."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while part := file.read(AT_ONCE):
            digest.update(part)
    return digest.hexdigest()


def program() -> str:
    """This program by the text of every module."""
    root = Path(validator.__file__).parent
    digest = hashlib.sha256()
    for path in sorted(root.rglob("*.py")):
        digest.update(f"{path.relative_to(root).as_posix()}\0{digest_of(path)}\0".encode())
    return digest.hexdigest()
