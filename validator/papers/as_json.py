"""Papers as JSON, for other programs: the records that the printed papers are made from, each part under its own name.

Every paper on an assembly is one object; of several files or options, a list of them. Amounts stand as they are printed, and
every paper says the books it was made by. Keys are fixed; the same input gives the same bytes.
"""

import json
from collections.abc import Iterable, Mapping
from fractions import Fraction

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.judging.report import Counts, books_of, fingerprint_of
from validator.language.record import Late
from validator.papers.visible import escaped
from validator.rulebook.sources import Cited

COUNT_NAMES = {
    "pass": "passed", "warn": "warned", "fail": "failed", "open": "open", "advice": "advised", "waits": "waiting",
    "not applicable": "not_applicable",
}  # fmt: skip
OF_THE_PROGRAM = ("exit_status", "alike")  # how a command ends, and what is kept so as to be made once


def as_json(papers: Iterable[object]) -> str:
    """One paper as an object, several as a list of them."""
    shown = [object_of(paper) for paper in papers]
    return escaped(json.dumps(shown[0] if len(shown) == 1 else shown, indent=2, ensure_ascii=False))


def paper_object(assembly: Assembly, loaded: LoadedBook, name: str = "", **parts: object) -> dict[str, object]:
    """A paper on one assembly: its name, what the paper tells, and by which books."""
    books = {"books": books_of(loaded.book), "fingerprint": fingerprint_of(assembly, loaded.book)}
    return {"assembly": name or assembly.name, **parts, **books}


def object_of(value: object) -> object:
    """A record as an object of its parts, in the order they are declared, and so with every record inside it."""
    match value:
        case None | bool() | int():
            return value
        case str() | Fraction():
            return str(value)
        case Counts():
            return {word: getattr(value, name) for word, name in COUNT_NAMES.items()}
        case Cited():
            return {
                "title": value.source.title, "section": value.section, "edition": value.edition,
                "standing": value.source.standing, "known_by": value.known_by, "note": value.note,
            }  # fmt: skip
    if hasattr(value, "_asdict"):
        value = value._asdict()
    if isinstance(value, (list, tuple, Late)):
        return [object_of(each) for each in value]
    parts = value if isinstance(value, Mapping) else vars(value)
    return {name: object_of(part) for name, part in parts.items() if name not in OF_THE_PROGRAM}
