"""Takes a file or a text, returns the assembly that is to be judged: places, junctions and the job. Every complaint comes at
once.
"""

import hashlib
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from validator.assembly.cards import ProductCard
from validator.assembly.file_reading import FileReader
from validator.assembly.junctions import junction_subjects
from validator.assembly.layer_order import bed_what_is_bedded, refuse_what_lies_on_tile, tell_layers_apart
from validator.assembly.name_reading import NameReader
from validator.assembly.places import WholeFile, job_subject, place_subject
from validator.assembly.options import with_options
from validator.assembly.shorthand import copy_build_ups, kinds_from_names, runs_of_places, settle_floors, write_everywhere
from validator.assembly.statement_reading import StatementReader
from validator.assembly.unread import open_again, unread_of
from validator.assembly.wholes import spread_wholes
from validator.assembly.written import WrittenAssembly, apply_evidence
from validator.facts.subjects import Subject
from validator.facts.vocabulary import Vocabulary
from validator.language.forms import Complaints, complain, listed, normalized
from validator.language.slips import did_you_mean
from validator.language.source import LARGEST, BadAssembly, Complaint, Node, Where, read_file, read_source


# Under these keys people write names of their own, and words of their own.
NAMED_BY_THEIR_WRITER = ("places", "framing")
IN_OWN_WORDS = ("assembly", "name", "note", "kind", "room", "seen on site")


class Assembly(NamedTuple):
    """A described assembly, flattened to what is judged.

    `presumed` lists what was taken as not there because nobody wrote it; `seen` is kept and judged by nothing; `notes` ask
    back. Where the file has options, `options` holds one assembly for each and `subjects` is empty.
    """

    name: str
    subjects: tuple[Subject, ...]
    presumed: tuple[str, ...] = ()
    seen: tuple[str, ...] = ()
    notes: tuple[Complaint, ...] = ()
    fingerprint: str = ""
    options: tuple["Assembly", ...] = ()
    option: str = ""
    words: str = ""  # the description in its own words: titles, names and notes, in lower case
    vocabulary: Vocabulary | None = None  # what it was read by
    unread: frozenset[str] = frozenset()  # of these things and facts something was said that could not be read
    unread_lines: tuple[int, ...] = ()

    def __repr__(self) -> str:
        inside = f"{len(self.options)} options" if self.options else f"{len(self.subjects)} places, junctions and the job"
        return f"Assembly({self.name!r}, {inside})"

    def to_judge(self) -> tuple["Assembly", ...]:
        """Each option, or the assembly itself where there is none."""
        return self.options or (self,)


def read_assembly_file(path: str | Path, vocabulary: Vocabulary, catalogue: dict[str, ProductCard]) -> Assembly:
    """The assembly of a file; `-` is standard input. Raises BadAssembly."""
    complaints: list[Complaint] = []
    if str(path) == "-":
        return read_assembly(standard_input(complaints), "standard input", vocabulary, catalogue)
    node = read_file(path, complaints)
    if node is None:
        raise BadAssembly(complaints)
    return read_assembly(node, str(path), vocabulary, catalogue)


def standard_input(complaints: list[Complaint]) -> str:
    """What is piped in. Raises BadAssembly."""
    whole = Where("standard input", 0, 0)
    written = sys.stdin.buffer.read(LARGEST + 1)
    if len(written) > LARGEST:
        raise BadAssembly([Complaint(whole, "standard input is too long", f"at most {LARGEST} bytes")])
    try:
        return written.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadAssembly([Complaint(whole, "standard input is not UTF-8 text", "text saved as UTF-8")]) from None


def read_assembly(source: str | Node, file: str, vocabulary: Vocabulary, catalogue: dict[str, ProductCard]) -> Assembly:
    """The assembly of a text, or of a node read before. Raises BadAssembly with every complaint at once, and with what was read
    all the same as its `so_far`.

    A vocabulary that cannot describe an assembly raises BadBook.
    """
    vocabulary.can_describe()
    complaints = Complaints(BadAssembly)
    node = read_source(source, file, complaints) if isinstance(source, str) else source
    if node is None:
        raise BadAssembly(complaints)
    fingerprint = fingerprint_of(node)
    plain, options = with_options(node, NameReader(vocabulary, catalogue, complaints))
    readings = [
        _flattened(each, option, fingerprint, vocabulary, catalogue, complaints)
        for option, each in (options or {"": plain}).items()
    ]
    read = readings[0] if not options else _with_its_options(readings)
    if complaints:
        described = any(subject.sort == "place" for each in readings for subject in each.subjects)
        raise BadAssembly(dict.fromkeys(complaints), read if described else None)
    return read


def _with_its_options(readings: list[Assembly]) -> Assembly:
    """One assembly that holds each option of a file."""
    first = readings[0]
    presumed = tuple(dict.fromkeys(thing for each in readings for thing in each.presumed))
    notes = tuple(dict.fromkeys(note for each in readings for note in each.notes))
    return first._replace(subjects=(), presumed=presumed, notes=notes, options=tuple(readings), option="")


def fingerprint_of(node: Node) -> str:
    """Sixteen hex digits that change when anything that was written changes, and not when only spaces or comments do."""
    return hashlib.sha256(repr(_bare(node)).encode("utf-8", "surrogatepass")).hexdigest()[:16]


def _bare(node: Node) -> object:
    if hasattr(node, "pairs"):
        return {key.text: _bare(value) for key, value in node.pairs}
    return [_bare(item) for item in node.items] if hasattr(node, "items") else node.text


def _texts(node: Node) -> Iterator[str]:
    if hasattr(node, "pairs"):
        for key, value in node.pairs:
            yield key.text
            yield from _texts(value)
    elif hasattr(node, "items"):
        for item in node.items:
            yield from _texts(item)
    else:
        yield node.text


def _flattened(
    node: Node, option: str, fingerprint: str, vocabulary: Vocabulary, catalogue: dict[str, ProductCard], complaints: list[Complaint]
) -> Assembly:  # fmt: skip
    reader = StatementReader(vocabulary, catalogue, complaints)
    reader.hear_units(" ; ".join(_texts(node)))
    file_reader = FileReader(reader)
    described = file_reader.read(spread_wholes(node, reader))
    whole = WholeFile(described, reader)
    runs_of_places(whole)
    copy_build_ups(whole)
    kinds_from_names(whole, file_reader.take_kind)
    settle_floors(whole)
    bed_what_is_bedded(whole)
    write_everywhere(whole)
    if complaints:
        open_again(described)
    tell_layers_apart(whole)
    refuse_what_lies_on_tile(whole)
    apply_evidence(described)
    whole.settle()
    _check_framing(whole)
    places = {key: place_subject(whole, place) for key, place in described.places.items()}
    subjects = [*places.values(), *junction_subjects(whole, places), job_subject(whole)]
    presumed = tuple(dict.fromkeys(thing for subject in subjects for thing in subject.presumed))
    name = f"{described.name}, option {option}" if option else described.name
    notes = tuple(dict.fromkeys(reader.notes))
    return Assembly(
        name, tuple(subjects), presumed, _seen(described), notes, fingerprint, (), option, words_of(node), vocabulary,
        unread_of(complaints, described, vocabulary), tuple(dict.fromkeys(each.where.line for each in complaints)),
    )  # fmt: skip


def words_of(node: Node) -> str:
    """What a description says in words of its own, in lower case: its title, the names of places, runs and layers, notes."""
    return " ".join(" ".join(_own_words(node)).casefold().split())


def _own_words(node: Node, key: str = "") -> Iterator[str]:
    if hasattr(node, "pairs"):
        for name, value in node.pairs:
            if key in NAMED_BY_THEIR_WRITER:
                yield name.text
            yield from _own_words(value, name.text)
    elif hasattr(node, "items"):
        for item in node.items:
            yield from _own_words(item, key)
    elif key in IN_OWN_WORDS:
        yield node.text


def _seen(described: WrittenAssembly) -> tuple[str, ...]:
    return (*described.seen, *(f"{place.name}: {text}" for place in described.places.values() for text in place.seen))


def _check_framing(whole: WholeFile) -> None:
    runs = whole.described.runs
    for name in (name for place in whole.described.places.values() for name in place.on):
        if "" in runs or normalized(name.text) in runs:
            continue
        hint = did_you_mean(name.text, [run.name for run in runs.values()])
        complain(whole.reader.complaints, name, f"no framing run is named `{name.text}`",
               hint + (listed(run.name for run in runs.values()) or "`framing:` with the run's name and its facts under it"), "framing")  # fmt: skip
