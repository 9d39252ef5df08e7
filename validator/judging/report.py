"""The report of one assembly, from which every paper is made: findings, open items, counts."""

import hashlib
from collections.abc import Sequence
from dataclasses import replace

from validator.assembly import Assembly
from validator.language.record import record
from validator.rulebook.book import Book

SAID_TWO_WAYS = "said-two-ways"  # the finding that what is written disagrees with itself
DEFERENCE = (
    "Local code, the product's own instructions and licensed practice come first; this report takes the place of none of them."
)


@record
class SourceLine:
    """A passage that a finding rests on: its title and edition, what standing it has, and how it is known."""

    title: str
    section: str
    edition: str
    standing: str
    known_by: str
    code_family: str = ""


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
    number: str = ""  # of what fails, is looked at again, or is open under a heading of its own


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
    number: str = ""

    @property
    def asks(self) -> str:
        """The question alone, without how many rules wait on its answer."""
        return self.question.partition(f" {self.waiting} further rule")[0]


@record
class OpenQuestion:
    """What can be answered now and could change the verdict as told. `facts` are asked together; `rules` it could decide.

    `too_late`: a step that is done hides it everywhere. `decides`: an experienced reader commits to nothing before it is answered.
    """

    facts: tuple[str, ...]
    place: str
    asks: str
    look: str
    answers: tuple[str, ...] = ()
    would_be: str
    rules: tuple[str, ...] = ()
    waiting: int = 0
    not_mentioned: bool = False
    too_late: bool = False
    decides: bool = False
    effect: str = ""  # what an answer would do, where it was tried
    number: str = ""


@record
class Check:
    """What is to be seen or kept before a step hides it. `too_late`: that step is past; `ahead`: it is surely still to come."""

    rule: str
    title: str
    place: str
    would_be: str
    facts: tuple[str, ...]
    look: str
    before: str
    paper: bool = False
    too_late: bool = False
    ahead: bool = False


@record
class SoundLine:
    """A requirement that is surely met by what was stated."""

    rule: str
    title: str
    place: str
    found: str
    needed: str
    measured: bool = False  # an amount was compared


@record
class UsualLine:
    """What was taken for granted because nobody says otherwise, where it decided something."""

    fact: str
    place: str
    text: str
    because: str


@record
class AsTold:
    """The verdict on a description as an experienced reader takes it.

    `outcome` is what surely comes out as told (pass, warn or fail), `could_become` the gravest that a question could still
    make of it, empty where none could; of `deciding` questions an experienced reader wants the answer before any verdict. `proved` of `applying` requirements are settled by what was stated alone. What stands on
    the `unread_lines` of the file could not be read and is not judged.
    """

    outcome: str
    could_become: str = ""
    findings: tuple[Finding, ...] = ()
    questions: tuple[OpenQuestion, ...] = ()
    checks: tuple[Check, ...] = ()
    sound: Sequence[SoundLine] = ()
    usual: tuple[UsualLine, ...] = ()
    not_mentioned: tuple[str, ...] = ()
    judged_by_nothing: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()  # those that surely apply, in a line each
    unread_lines: tuple[int, ...] = ()
    failed: int = 0
    warned: int = 0
    proved: int = 0
    applying: int = 0
    deciding: int = 0
    exit_status: int = 0


@record
class OutsideLine:
    """Places of which the book judges nothing (`whole`), or leaves something unjudged."""

    places: tuple[str, ...]
    what: str
    not_judged: str
    whole: bool = False

    @property
    def text(self) -> str:
        """The line as it heads a paper."""
        nothing = " Nothing of it is praised here." if self.whole else ""
        return f"{'; '.join(self.places)}: {self.what}. Not judged: {self.not_judged}{nothing}"


@record
class BookLine:
    """A book that was judged by, and what its files are known by."""

    name: str
    edition: str
    fingerprint: str
    layer: str = "code or standard"


@record
class Counts:
    """How many rules came to each outcome somewhere; one that fails here and passes there is counted in both."""

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
    outside: tuple[OutsideLine, ...] = ()
    findings: Sequence[Finding]
    open_items: Sequence[OpenItem]
    cautions: tuple[str, ...]
    presumed: tuple[str, ...]
    look_again: tuple[str, ...] = ()  # slips suspected in what was written, each with its line
    not_checked: tuple[str, ...]
    books: tuple[BookLine, ...]
    fingerprint: str
    exit_status: int = 0
    as_told: AsTold
    alike: Sequence[Finding] = ()  # settled advice, and what is said two ways: told in both readings


def books_of(book: Book) -> tuple[BookLine, ...]:
    """Each book that is judged by, with its edition and its fingerprint."""
    return tuple(
        BookLine(name=each.name, edition=each.edition, fingerprint=each.fingerprint, layer=each.standing) for each in book.layers
    )


def fingerprint_of(assembly: Assembly, book: Book) -> str:
    """What every paper on one description by the same books carries."""
    return hashlib.sha256(f"{assembly.fingerprint}{book.fingerprint}".encode()).hexdigest()[:16]


def report_as_told(report: Report, *, alike: bool = False) -> Report:
    """The report with the verdict as told in place of the strict one, for papers that people act on.

    What passes is what was proved; advice, and what is said two ways, stand as they do strictly. `alike`: nothing stands there that is
    told strictly alone, which saves making it.
    """
    told = report.as_told
    kept = report.alike if alike else tuple(f for f in report.findings if f.outcome in ("pass", "advice") or f.rule == SAID_TWO_WAYS)
    asked = [each for each in told.questions if each.would_be]
    items = tuple(
        OpenItem(fact=each.facts[0], place=each.place, question=each.asks, where_to_look=each.look, answers=each.answers,
                 would_be=each.would_be, rules=each.rules, number=each.number)
        for each in asked
    )  # fmt: skip
    could = told.could_become and f", could become {told.could_become}"
    counts = replace(report.counts, failed=told.failed, warned=told.warned, open=len(items), waiting=len(told.questions) - len(asked))
    return replace(
        report, outcome=f"{told.outcome}{could}", counts=counts, findings=(*told.findings, *kept), open_items=items,
        exit_status=told.exit_status,
    )
