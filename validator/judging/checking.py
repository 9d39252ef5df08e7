"""Takes an assembly and a loaded book, returns the report: every rule at every place, and what no rule could settle."""

from collections.abc import Iterable, Sequence
from functools import cached_property

from validator.assembly import Assembly
from validator.engines.closures import NOT, SURELY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.facts.subjects import Disagreement, Subject
from validator.judging.findings import disagreement_finding, finding_of, gravest_reading, merge_alike, outcome_word
from validator.judging.loading import LoadedBook
from validator.judging.open_items import OpenItems, PlacedJudgement
from validator.judging.numbers import strictly_numbered
from validator.judging.outside import outside_of, unjudged_places
from validator.judging.readings import PlaceRead, places_read
from validator.judging.report import DEFERENCE, AsTold, Counts, Finding, OpenItem, Report, books_of, fingerprint_of
from validator.judging.verdict import verdict_of
from validator.language.record import LateAll
from validator.language.source import Complaint
from validator.rulebook.book import Book

COUNTED = ("warn", "fail")
Words = list[tuple[str, Judgement]]  # judgements that may apply, each with what a finding of it is called
ORDER = ("fail", "open", "warn", "advice", "pass")
NO_FINDING = frozenset((Outcome.NOT_APPLICABLE, Outcome.NOTHING, Outcome.WAITS))
PASSES = frozenset((Outcome.PASS, Outcome.BY_EXCEPTION))


def check(assembly: Assembly, loaded: LoadedBook, *, passes: bool = True) -> Report:
    """The report on one assembly. Without `passes` what passes is counted and not told, which saves explaining it."""
    return report_on(assembly, places_read(assembly, loaded), loaded, passes=passes)


def report_on(assembly: Assembly, places: Sequence[PlaceRead], loaded: LoadedBook, *, passes: bool = True) -> Report:
    """The report on an assembly whose places were judged in both readings."""
    book = loaded.book
    strictly = [(place.strict, place.strictly) for place in places]
    derived = [here for here, _ in strictly]
    outside = outside_of(derived, loaded)
    unjudged = unjudged_places(outside)
    counted = [
        each for here, judgements in strictly for each in judgements
        if each.outcome not in PASSES or here.subject.name not in unjudged
    ]  # fmt: skip
    disagreements = _disagreements(derived)
    graves = {each.fact: gravest_reading(each.fact, book) for each, _ in disagreements}
    applying = [(outcome_word(each), each) for each in counted if each.outcome is not Outcome.NOT_APPLICABLE]
    outcome, status = _overall(applying, graves.values(), praised=not unjudged and not assembly.unread_lines)
    as_told = verdict_of(assembly, places, loaded, unjudged)
    told = _StrictlyTold(assembly, strictly, disagreements, unjudged, loaded, as_told, passes=passes)
    return Report(
        assembly=assembly.name,
        outcome=outcome,
        counts=_counts(applying, {each.compiled.name for each in counted}, len(disagreements)),
        outside=outside,
        findings=LateAll(told.findings),
        open_items=LateAll(told.open_items),
        cautions=_cautions(derived, loaded),
        presumed=_presumed(assembly.subjects, book),
        look_again=tuple(map(_to_look_at, assembly.notes)),
        not_checked=book.not_checked,
        books=books_of(book),
        fingerprint=fingerprint_of(assembly, book),
        exit_status=status,
        as_told=as_told,
        alike=LateAll(told.alike),
    )


class _StrictlyTold:
    """What is told of the strict reading, made once somebody asks: whoever reads the verdict as told does not."""

    def __init__(
        self, assembly: Assembly, strictly: list[tuple[DerivedPlace, list[Judgement]]], disagreements: list[tuple[Disagreement, Subject]],
        unjudged: frozenset[str], loaded: LoadedBook, as_told: AsTold, *, passes: bool,
    ) -> None:  # fmt: skip
        self.strictly, self.disagreements, self.unjudged, self.loaded = strictly, disagreements, unjudged, loaded
        self.as_told = as_told
        self.untold = NO_FINDING if passes else NO_FINDING | PASSES
        self.shown = any(subject.anything_shown() for subject in assembly.subjects)

    @cached_property
    def asked(self) -> tuple[OpenItems, list[PlacedJudgement]]:
        """The questions, and every judgement with what it asks."""
        items = OpenItems(self.loaded)
        placed = [each for here, judgements in self.strictly for each in items.add(judgements, here)]
        for each, _ in self.disagreements:
            items.add_disagreement(each.fact, each.place, gravest_reading(each.fact, self.loaded.book))
        return items, placed

    @cached_property
    def numbered(self) -> tuple[tuple[Finding, ...], tuple[OpenItem, ...]]:
        return strictly_numbered(self.as_told, self._findings(), self.asked[0].items())

    def findings(self) -> tuple[Finding, ...]:
        return self.numbered[0]

    def open_items(self) -> tuple[OpenItem, ...]:
        return self.numbered[1]

    def alike(self) -> tuple[Finding, ...]:
        """What is said two ways, and what surely deserves advice: neither asks anything."""
        said = [disagreement_finding(each, subject, self.loaded.book) for each, subject in self.disagreements]
        advised = [
            finding_of(PlacedJudgement(each, here, ()), self.loaded, shown=self.shown) for here, judgements in self.strictly for each in judgements
            if each.severity == "advice" and each.outcome is Outcome.BREACH
        ]  # fmt: skip
        return strictly_numbered(self.as_told, [*said, *merge_alike(advised)], ())[0]

    def _findings(self) -> list[Finding]:
        """What was found, the gravest first; what passes at a place of which the book judges nothing is not told."""
        told = [
            finding_of(each, self.loaded, shown=self.shown) for each in self.asked[1]
            if each.judgement.outcome not in self.untold
            and (each.judgement.outcome not in PASSES or each.derived.subject.name not in self.unjudged)
        ]  # fmt: skip
        said = (disagreement_finding(each, subject, self.loaded.book) for each, subject in self.disagreements)
        return sorted((*said, *merge_alike(told)), key=lambda finding: ORDER.index(finding.outcome))


def _disagreements(derived: list[DerivedPlace]) -> list[tuple[Disagreement, Subject]]:
    """Every fact that is said two ways, once, with the place where it is said."""
    subjects = {here.subject.name: here.subject for here in derived}
    found: list[Disagreement] = []
    for here in derived:
        found += [each for each in here.disagreements if each not in found]
    return [(each, subjects[each.place]) for each in found]


def _counts(applying: Words, every: set[str], disagreements: int) -> Counts:
    """How many of `every` rule came to each outcome somewhere; one that fails at one place and passes at another is in both."""
    rules: dict[str, set[str]] = {}
    for word, each in applying:
        rules.setdefault(word, set()).add(each.compiled.name)
    number = {word: len(names) for word, names in rules.items()}
    return Counts(
        passed=number.get("pass", 0), warned=number.get("warn", 0), failed=number.get("fail", 0),
        open=number.get("open", 0) + disagreements, advised=number.get("advice", 0),
        waiting=number.get(Outcome.WAITS, 0),
        not_applicable=len(every.difference(*rules.values())),
    )  # fmt: skip


def _cautions(derived: list[DerivedPlace], loaded: LoadedBook) -> tuple[str, ...]:
    """What surely applies is said in full; of what only may apply, the first sentence."""
    said: list[str] = []
    perhaps: list[str] = []
    for caution in loaded.book.cautions:
        answer = max(loaded.explainer.holds(caution.when, vector) for here in derived for vector in here.vectors())
        if answer == SURELY:
            said.append(caution.say)
        elif answer != NOT:
            perhaps.append(f"If it applies: {caution.say.partition('. ')[0].rstrip('.')}.")
    return (*said, *perhaps, DEFERENCE)


def _presumed(subjects: tuple[Subject, ...], book: Book) -> tuple[str, ...]:
    """Things taken as not there because nobody wrote them, if any rule asks about them."""
    return tuple(dict.fromkeys(t for s in subjects for t in s.presumed if t in book.things_read))


def _to_look_at(note: Complaint) -> str:
    """A slip that is suspected, by its line, with what is usual."""
    return f"line {note.where.line}: {note.what}{note.accepted and f'; {note.accepted}'}"


def _overall(applying: Words, said_two_ways: Iterable[str], *, praised: bool) -> tuple[str, int]:
    """From the greatest sure severity to the greatest possible one; and what the program ends with.

    Where some place stands outside the book, or some line was not read (not `praised`), what nobody judged could fail.
    """
    sure = ["pass", *(word for word, _ in applying if word in COUNTED)]
    possible = [
        *sure,
        *(each.severity for word, each in applying if word in ("open", Outcome.WAITS) and each.severity in COUNTED),
        *(grave for grave in said_two_ways if grave in COUNTED),
        *("fail" for _, each in applying if each.softened),
        *(() if praised else ("fail",)),
    ]
    order = ("pass", *COUNTED)
    least, greatest = max(sure, key=order.index), max(possible, key=order.index)
    status = 1 if least == "fail" else 3 if greatest == "fail" else 0
    return (least if least == greatest else f"at least {least}, open up to {greatest}"), status
