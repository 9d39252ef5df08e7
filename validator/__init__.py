"""Judges a described tile or stone assembly against a rulebook, before the tile hides it.

    report = validator.check(validator.read("samples/five-mistakes.yaml"))

`read` and `read_text` take a description and return an Assembly; `check` takes an Assembly and returns a Report, `causes` what
could explain what is seen to be wrong. Nothing is printed, and no file is written but the book as read, in the user's cache
folder. All else of the program may change.

Whatever is named here is imported when it is first asked for, so that `import validator` costs nothing.
"""

from collections.abc import Sequence
from importlib import import_module
from os import PathLike
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from validator.assembly.reading import Assembly as Assembly
    from validator.judging.report import (
        AsTold as AsTold,
        BookLine as BookLine,
        Check as Check,
        Counts as Counts,
        FactLine as FactLine,
        Finding as Finding,
        OpenItem as OpenItem,
        OpenQuestion as OpenQuestion,
        Report as Report,
        SoundLine as SoundLine,
        SourceLine as SourceLine,
        UsualLine as UsualLine,
    )  # fmt: skip
    from validator.judging.loading import LoadedBook
    from validator.language.source import (
        BadAssembly as BadAssembly,
        BadBook as BadBook,
        BadText as BadText,
        Complaint as Complaint,
        Where as Where,
    )  # fmt: skip
    from validator.troubles.report import (
        Cause as Cause,
        Causes as Causes,
        LookLine as LookLine,
        NoFaultLine as NoFaultLine,
        OutsideLine as OutsideLine,
        Requirement as Requirement,
        RuledOut as RuledOut,
        SeenLine as SeenLine,
    )  # fmt: skip

_REPORT = (
    "AsTold", "BookLine", "Check", "Counts", "FactLine", "Finding", "OpenItem", "OpenQuestion", "Report", "SoundLine", "SourceLine",
    "UsualLine",
)  # fmt: skip
_CAUSES = ("Cause", "Causes", "LookLine", "NoFaultLine", "OutsideLine", "Requirement", "RuledOut", "SeenLine")
_HOMES = {
    "Assembly": "validator.assembly.reading",
    **dict.fromkeys(_REPORT, "validator.judging.report"),
    **dict.fromkeys(_CAUSES, "validator.troubles.report"),
    **dict.fromkeys(("BadAssembly", "BadBook", "BadText", "Complaint", "Where"), "validator.language.source"),
}
__all__ = ["read", "read_text", "check", "causes", *_HOMES]

Books = str | PathLike[str] | Sequence[str | PathLike[str]]


def read(file: str | PathLike[str], *, books: Books = ("us",)) -> "Assembly":
    """Takes the path of a description in YAML or JSON (`-`: standard input), returns what is judged of it.

    `books` are the books whose words it is written in, one or several: names of those that come with the program, or folders.
    Amounts stand in the file with their units, as the README says. Raises BadAssembly for a file that cannot be read or
    understood, and BadBook for such a book; both carry every complaint: where, what, and what would be accepted. Where only some
    lines could not be read the error's `so_far` is the assembly by the others, which `check` judges as unfinished.
    """
    from validator.assembly.reading import read_assembly_file
    from validator.judging.loading import load_named

    loaded = load_named(books)
    return read_assembly_file(str(file), loaded.vocabulary, loaded.catalogue)


def read_text(text: str, *, name: str = "text", books: Books = ("us",)) -> "Assembly":
    """Takes a description itself, in YAML or JSON, returns what is judged of it; `name` is what complaints call it.

    Apart from `read`, since a short text and a mistyped path cannot be told apart. Raises as `read` does.
    """
    from validator.assembly.reading import read_assembly
    from validator.judging.loading import load_named

    loaded = load_named(books)
    return read_assembly(text, name, loaded.vocabulary, loaded.catalogue)


def check(assembly: "Assembly", books: Books = ("us",), *, passes: bool = True) -> "Report":
    """Takes an assembly and the books to judge it by, least precedence first; returns the report that `check` prints.

    Amounts in a report are text as printed, with their units; `Report.exit_status` is what the command ends with: 0 nothing
    failed and nothing open could fail, 1 something failed, 3 nothing failed but something open could. Without `passes` what
    passes is counted and not told, which is quicker. Every finding names its sources and how well each is known.

    Books are loaded once a process, as long as none of their files changes. Raises BadBook; ValueError for an assembly that
    has options, since each is judged by itself (`[check(each) for each in assembly.to_judge()]`), and for one read by books
    with another vocabulary, whose words would mean other things here.
    """
    from validator.judging.checking import check as judge

    return judge(assembly, _fitting(assembly, books, "check"), passes=passes)


def causes(assembly: "Assembly", books: Books = ("us",)) -> "Causes":
    """Takes an assembly with what is seen to be wrong (`seen:`), returns what could explain it, as the command `causes` prints it.

    Causes stand in order, each with the requirements that may not be met, what speaks for and against each, what nobody has
    said, and the looks that would tell; nothing in it is a likelihood. Raises as `check` does.
    """
    from validator.troubles.gathering import causes_of

    return causes_of(assembly, _fitting(assembly, books, "causes"))


def _fitting(assembly: "Assembly", books: Books, asked: str) -> "LoadedBook":
    """The books made ready, if the assembly can be judged by them."""
    from validator.assembly.reading import Assembly
    from validator.judging.loading import load_named

    if not isinstance(assembly, Assembly):
        raise TypeError(f"`{asked}` takes the Assembly that `read` or `read_text` returns, not {type(assembly).__name__}")
    loaded = load_named(books)
    if assembly.options:
        raise ValueError(f"`{assembly.name}` has {len(assembly.options)} options; {asked} each of `assembly.to_judge()`")
    if assembly.vocabulary is not None and not assembly.vocabulary.says_the_same(loaded.vocabulary):
        raise ValueError(f"`{assembly.name}` was read by other books than {loaded.book.name}; read it again with `books=` as here")
    return loaded


def __getattr__(name: str) -> object:
    if name not in _HOMES:
        raise AttributeError(f"module `validator` has no attribute `{name}`")
    return getattr(import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    return sorted(__all__)
