"""Takes an assembly and a loaded book, returns the report: every rule at every place, and what no rule could settle."""

from validator.assembly import Assembly
from validator.engines.closures import NOT, SURELY
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import Outcome
from validator.engines.varying import judge_varying
from validator.facts.subjects import Disagreement, Subject
from validator.judging.findings import disagreement_finding, finding_of, gravest_reading, merge_alike, outcome_word
from validator.judging.loading import LoadedBook
from validator.judging.open_items import OpenItems, PlacedJudgement
from validator.judging.outside import outside_of, unjudged_places
from validator.judging.report import DEFERENCE, Counts, Finding, Report, books_of, fingerprint_of
from validator.judging.verdict import verdict_of
from validator.language.source import Complaint
from validator.rulebook.book import Book

COUNTED = ("warn", "fail")
ORDER = ("fail", "open", "warn", "advice", "pass")
NO_FINDING = frozenset((Outcome.NOT_APPLICABLE, Outcome.NOTHING, Outcome.WAITS))
PASSES = frozenset((Outcome.PASS, Outcome.BY_EXCEPTION))


def check(assembly: Assembly, loaded: LoadedBook, *, passes: bool = True) -> Report:
    """The report on one assembly. Without `passes` what passes is counted and not told, which saves explaining it."""
    book, open_items = loaded.book, OpenItems(loaded)
    derived: list[DerivedPlace] = []
    placed: list[PlacedJudgement] = []
    strictly = [judge_varying(loaded.engine, subject) for subject in assembly.subjects]
    for here, judgements in strictly:
        derived.append(here)
        placed += open_items.add(judgements, here)
    outside = outside_of(derived, loaded)
    unjudged = unjudged_places(outside)
    placed = [each for each in placed if each.judgement.outcome not in PASSES or each.derived.subject.name not in unjudged]
    untold = NO_FINDING if passes else NO_FINDING | PASSES
    shown = any(subject.anything_shown() for subject in assembly.subjects)
    told = [finding_of(each, loaded, shown=shown) for each in placed if each.judgement.outcome not in untold]
    disagreements = _disagreements(derived)
    findings = [*(disagreement_finding(each, subject, book) for each, subject in disagreements), *merge_alike(told)]
    findings.sort(key=lambda f: ORDER.index(f.outcome))
    for each, _ in disagreements:
        open_items.add_disagreement(each.fact, each.place, gravest_reading(each.fact, book))
    outcome, status = _overall(findings, placed, praised=not unjudged)
    return Report(
        assembly=assembly.name,
        outcome=outcome,
        counts=_counts(placed, len(disagreements)),
        outside=outside,
        findings=tuple(findings),
        open_items=open_items.items(),
        cautions=_cautions(derived, loaded),
        presumed=_presumed(assembly.subjects, book),
        look_again=tuple(map(_to_look_at, assembly.notes)),
        not_checked=book.not_checked,
        books=books_of(book),
        fingerprint=fingerprint_of(assembly, book),
        exit_status=status,
        as_told=verdict_of(assembly, strictly, loaded, unjudged),
    )


def _disagreements(derived: list[DerivedPlace]) -> list[tuple[Disagreement, Subject]]:
    """Every fact that is said two ways, once, with the place where it is said."""
    subjects = {here.subject.name: here.subject for here in derived}
    found: list[Disagreement] = []
    for here in derived:
        found += [each for each in here.disagreements if each not in found]
    return [(each, subjects[each.place]) for each in found]


def _counts(placed: list[PlacedJudgement], disagreements: int) -> Counts:
    """How many rules came to each outcome somewhere; a rule that fails at one place and passes at another is in both."""
    rules: dict[str, set[str]] = {}
    for each in placed:
        rules.setdefault(outcome_word(each.judgement), set()).add(each.rule)
    somewhere = set().union(*(names for word, names in rules.items() if word != Outcome.NOT_APPLICABLE))
    number = {word: len(names) for word, names in rules.items()}
    return Counts(
        passed=number.get("pass", 0), warned=number.get("warn", 0), failed=number.get("fail", 0),
        open=number.get("open", 0) + disagreements, advised=number.get("advice", 0),
        waiting=number.get(Outcome.WAITS, 0),
        not_applicable=len(rules.get(Outcome.NOT_APPLICABLE, set()) - somewhere),
    )  # fmt: skip


def _cautions(derived: list[DerivedPlace], loaded: LoadedBook) -> tuple[str, ...]:
    """What surely applies is said in full; of what only may apply, the first sentence."""
    said: list[str] = []
    perhaps: list[str] = []
    for caution in loaded.book.cautions:
        answer = max(loaded.explainer.holds(caution.when, here.vector) for here in derived)
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


def _overall(findings: list[Finding], placed: list[PlacedJudgement], *, praised: bool) -> tuple[str, int]:
    """From the greatest sure severity to the greatest possible one; and what the program ends with.

    Where some place stands outside the book (not `praised`) what nobody judged could fail.
    """
    sure = ["pass", *(f.outcome for f in findings if f.outcome in COUNTED)]
    possible = [
        *sure,
        *(f.would_be for f in findings if f.outcome == "open" and f.would_be in COUNTED),
        *(e.judgement.severity for e in placed if e.judgement.outcome is Outcome.WAITS and e.judgement.severity in COUNTED),
        *("fail" for e in placed if e.judgement.softened),
        *(() if praised else ("fail",)),
    ]
    order = ("pass", *COUNTED)
    least, greatest = max(sure, key=order.index), max(possible, key=order.index)
    status = 1 if least == "fail" else 3 if greatest == "fail" else 0
    return (least if least == greatest else f"at least {least}, open up to {greatest}"), status
