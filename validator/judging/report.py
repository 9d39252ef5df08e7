"""The report of one assembly, from which every paper is made: findings, open items, counts."""

import hashlib

from validator.assembly import Assembly
from validator.language.record import record
from validator.rulebook.book import Book

DEFERENCE = (
    "Local code, the product's own instructions and licensed practice come first; this report takes the place of none of them."
)


@record
class SourceLine:
    title: str
    section: str
    edition: str
    standing: str
    known_by: str


@record
class FactLine:
    """A fact a finding leans on: what it is, whence it is known, and what the assembly offers to show it."""

    fact: str
    value: str
    origin: str
    where: str = ""
    shown_by: tuple[str, ...] = ()


@record
class Finding:
    """One judgement. `outcome` is pass, warn, fail, open or advice; an open one carries the severity it would have."""

    rule: str
    title: str
    place: str
    outcome: str
    would_be: str = ""
    heading: str = ""
    found: str
    needed: str
    because: str
    chain: tuple[str, ...] = ()
    worked_out: tuple[str, ...] = ()
    put_right: str
    sources: tuple[SourceLine, ...] = ()
    warranty: str = ""
    facts: tuple[FactLine, ...] = ()
    asks: tuple[str, ...] = ()
    presumes: tuple[str, ...] = ()
    book: str = ""


@record
class OpenItem:
    """One question, with every rule that its answer would settle."""

    fact: str
    place: str
    question: str
    where_to_look: str
    answers: tuple[str, ...] = ()
    would_be: str = ""
    rules: tuple[str, ...] = ()
    waiting: int = 0

    @property
    def asks(self) -> str:
        """The question alone, without how many rules wait on its answer."""
        return self.question.partition(f" {self.waiting} further rule")[0]


@record
class BookLine:
    name: str
    edition: str
    fingerprint: str
    layer: str = "code or standard"


@record
class Counts:
    passed: int = 0
    warned: int = 0
    failed: int = 0
    open: int = 0
    advised: int = 0
    waiting: int = 0
    not_applicable: int = 0


@record
class Report:
    """Everything one assembly came to; papers hold words and layout only."""

    assembly: str
    outcome: str
    counts: Counts
    findings: tuple[Finding, ...]
    open_items: tuple[OpenItem, ...]
    cautions: tuple[str, ...]
    presumed: tuple[str, ...]
    look_again: tuple[str, ...] = ()  # slips suspected in what was written, each with its line
    not_checked: tuple[str, ...]
    books: tuple[BookLine, ...]
    fingerprint: str
    exit_status: int = 0


def books_of(book: Book) -> tuple[BookLine, ...]:
    """Each book that is judged by, with its edition and its fingerprint."""
    return tuple(
        BookLine(name=each.name, edition=each.edition, fingerprint=each.fingerprint, layer=each.standing) for each in book.layers
    )


def fingerprint_of(assembly: Assembly, book: Book) -> str:
    """What every paper on one description by the same books carries."""
    return hashlib.sha256(f"{assembly.fingerprint}{book.fingerprint}".encode()).hexdigest()[:16]
