"""The clerk's case sheet: what is shown and not shown by term, why, what to tick with one's own eyes, and who must look.

Nothing is picked here: outcome, reason and signatures are blanks, and what the program cannot see is a list to tick by hand.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.papers import words
from validator.papers.letter import blanks
from validator.papers.warranty import on_the_job, reading_line, strictly, work_line
from validator.papers.wrapping import Line, wrapped
from validator.warranty.programme import STANDARD, TIED
from validator.warranty.report import SETTLED, ConditionLine, LawLine, WarrantyReport

IN = "   "
DEEPER = "      "
BOX = "[ ] "


class CaseLine(NamedTuple):
    """One condition to look at."""

    standing: str
    needs: str
    named: str  # its kind and clause
    reason: str
    taken: str  # what was taken as usual, where something hangs on it
    on_the_job: str
    offered: tuple[str, ...]  # what the description says shows it
    only_stated: tuple[str, ...]  # the facts for which it says nothing
    evidence: str
    who: str


class TermCase(NamedTuple):
    """One term, or what every term asks, with its conditions parted into those that are shown and the rest."""

    title: str
    standing: str
    gives: str
    shown: tuple[CaseLine, ...]
    not_shown: tuple[CaseLine, ...]


class CaseSheet(NamedTuple):
    """A whole case sheet."""

    report: WarrantyReport
    reading: str
    terms: tuple[TermCase, ...]
    technical: str
    cautions: tuple[LawLine, ...]


def case_of(report: WarrantyReport) -> CaseSheet:
    """The case sheet of one report."""
    said, risk = words.CASE, report.risk
    every = _term(said["every"], "", "", report.every_term)
    terms = [_term(term.term, f"{term.standing}{strictly(term)}", said["gives"].format(term.gives, term.lasts), term.conditions) for term in report.terms]
    technical = said["technical"].format(work_line(report), risk.worst_known or said["none"], risk.worst_possible or said["same"])
    cautions = dict.fromkeys(caution for condition in report.conditions for caution in condition.cautions)
    return CaseSheet(report, reading_line(report), (every, *terms), technical, tuple(cautions))


def _term(title: str, standing: str, gives: str, conditions: tuple[ConditionLine, ...]) -> TermCase:
    shown = tuple(_line(each) for each in conditions if each.standing in SETTLED)
    return TermCase(title, standing, gives, shown, tuple(_line(each) for each in conditions if each.standing not in SETTLED))


def _line(condition: ConditionLine) -> CaseLine:
    clause = f"clause {condition.clause}" if condition.clause else ""
    evidence = condition.evidence or words.WOULD_DO.get(condition.kind, "")
    return CaseLine(
        standing=f"{condition.standing}{strictly(condition)}",
        needs=condition.needs,
        named=", ".join(part for part in (condition.kind, clause) if part),
        reason=condition.reason,
        taken=words.CASE["taken"].format("; ".join(condition.taken)) if condition.taken else "",
        on_the_job=on_the_job(condition.products),
        offered=condition.offered,
        only_stated=condition.only_stated,
        evidence=evidence,
        who=_who(condition),
    )


def _who(condition: ConditionLine) -> str:
    """By where it stands; what is built to a standard is for somebody who knows the trade. An earlier term has its own."""
    if not condition.kind:
        return ""
    if condition.kind in TIED:
        return words.WHO_LOOKS["tied"]
    by_standard = words.WHO_LOOKS.get(f"{condition.standing}, {STANDARD}") if condition.kind == STANDARD else None
    return by_standard or words.WHO_LOOKS[condition.standing]


def case_lines(case: CaseSheet, width: int) -> Iterator[Line]:
    """The sheet as text, with boxes to tick and blanks to fill in by hand."""
    said, report = words.CASE, case.report
    document = report.document
    yield from wrapped(said["title"].format(report.assembly), width, bold=True)
    yield from wrapped(said["programme"].format(report.programme), width)
    yield from wrapped(said["document"].format(document.title, document.revision, document.in_force), width)
    yield from blanks(words.CASE_HEAD)
    yield "", False
    yield from wrapped(case.reading, width)
    yield from wrapped(case.technical, width)
    for term in case.terms:
        yield "", False
        yield from _term_lines(term, width)
    for caution in case.cautions:
        yield "", False
        yield from wrapped(said["caution"].format(caution.say, caution.source), width)
    yield "", False
    yield said["by_hand"], True
    for check in words.CASE_BY_HAND:
        yield from wrapped(f"{BOX}{check}", width, IN)
    yield "", False
    yield said["outcome"], True
    for outcome in words.CASE_OUTCOMES:
        yield f"{IN}{BOX}{outcome}", False
    yield from blanks((said["reason_blank"], *words.CASE_FOOT))
    yield "", False
    yield from wrapped(said["practice"], width)
    for book in report.books:
        yield from wrapped(said["prints"].format(book.name, book.edition, book.fingerprint), width)
    yield from wrapped(said["print"].format(report.fingerprint), width)
    yield from wrapped(report.footer, width)


def _term_lines(term: TermCase, width: int) -> Iterator[Line]:
    said = words.CASE
    yield from wrapped(f"{term.title}: {term.standing}" if term.standing else term.title, width, bold=True)
    if term.gives:
        yield from wrapped(term.gives, width, IN)
    for head, lines in ((said["not_shown"], term.not_shown), (said["shown"], term.shown)):
        if lines:
            yield f"{IN}{head} ({len(lines)})", True
        for line in lines:
            yield from _condition_lines(line, width)


def _condition_lines(line: CaseLine, width: int) -> Iterator[Line]:
    said = words.CASE
    named = f" ({line.named})" if line.named else ""
    yield from wrapped(f"{line.standing.capitalize()}: {line.needs}{named}", width, IN, bold=True)
    yield from wrapped(said["reason"].format(line.reason), width, DEEPER)
    yield from wrapped(line.taken, width, DEEPER)
    yield from wrapped(line.on_the_job, width, DEEPER)
    if line.offered:
        yield from wrapped(said["offered"].format("; ".join(line.offered)), width, DEEPER)
    if line.only_stated:
        yield from wrapped(said["only_stated"].format(", ".join(line.only_stated)), width, DEEPER)
    if line.evidence:
        yield from wrapped(said["evidence"].format(line.evidence), width, DEEPER)
    if line.who:
        yield from wrapped(said["who"].format(line.who), width, DEEPER)


def cases_page(cases: list[CaseSheet]) -> str:
    """The sheets as HTML, one after another."""
    from validator.papers.page import rendered

    return rendered("case.html", cases=cases, title=words.CASE["title"].format(cases[0].report.assembly))
