"""The report for a terminal: the place first, then the title, found, needed, because, put right, source.

What is open stands under the question that would settle it, so that one question is read once.
"""

import textwrap
from collections.abc import Iterator

from validator.judging.report import Finding, OpenItem, Report, SourceLine
from validator.papers.tape import on_a_tape
from validator.rulebook.sources import KNOWN_BY

INDENT = "      "
MARGIN = 6
NARROWEST = 40
SETTLED = ("fail", "warn", "advice")
Line = tuple[str, bool]  # what is written, and whether it is bold
OVERALL = {
    "pass": "No exception found against these books, these editions; what was not checked is listed below.",
    "warn": "Something here deserves a second look; what was not checked is listed below.",
    "fail": "Something here fails; what was not checked is listed below.",
}
COULD_COUNT = ("fail", "warn")
COULD = {"fail": "Could fail", "warn": "Could be a warning", "advice": "Good to know"}
PERHAPS = "If it applies: "
NOT_WORKED = " not worked out: "  # said in the question itself
USUAL = "Taken as usual: "


def report_lines(
    report: Report, width: int, *, show_passes: bool = False, notes: tuple[str, ...] = ()
) -> Iterator[Line]:
    """The report line by line, wrapped to a width."""
    width = max(NARROWEST, width)
    yield report.assembly, True
    yield from _wrapped(f"Overall: {report.outcome}.  {_counts(report)}", width)
    yield from _wrapped(OVERALL.get(report.outcome, "Answers to the open questions could still change this."), width)
    for line in report.outside:
        yield "", False
        yield from _wrapped(f"Outside this book: {line.text}", width, bold=True)
    if report.presumed:
        yield "", False
        yield from _wrapped(f"Taken as not there because not written: {', '.join(report.presumed)}.", width)
    for note in report.look_again:
        yield from _wrapped(f"Look again at {note}.", width)
    for finding in report.findings:
        if _told_whole(finding) or (show_passes and finding.outcome == "pass"):
            yield "", False
            yield from _finding(finding, width, several_books=len(report.books) > 1)
    yield from _questions(report, width)
    yield from _not_said(report, width)
    yield "", False
    yield from _cautions(report, width)
    if report.not_checked:
        yield "", False
        yield from _wrapped("Not checked: " + " ".join(report.not_checked), width)
    yield "", False
    for book in report.books:
        yield from _wrapped(f"Book: {book.name} ({book.layer}), edition {book.edition}, fingerprint {book.fingerprint}.", width)
    yield from _wrapped(f"Report fingerprint {report.fingerprint}.", width)
    for note in notes:
        yield from _wrapped(note, width)


def _told_whole(finding: Finding) -> bool:
    """What is settled, and what is open under a heading of its own; the rest stands under its question."""
    if finding.outcome == "advice":
        return not finding.would_be
    return finding.outcome in SETTLED or (finding.outcome == "open" and bool(finding.heading))


def _not_said(report: Report, width: int) -> Iterator[Line]:
    """Advice on which nothing is written, a line each."""
    notes = [finding for finding in report.findings if finding.outcome == "advice" and finding.would_be]
    if notes:
        yield "", False
        yield from _wrapped("Good practice, of which nothing is written", width, bold=True)
        for finding in notes:
            yield from _wrapped(f"- {finding.place}: {finding.title}.", width, "  ", first="")


def _cautions(report: Report, width: int) -> Iterator[Line]:
    perhaps = [caution.removeprefix(PERHAPS) for caution in report.cautions if caution.startswith(PERHAPS)]
    for caution in report.cautions:
        if not caution.startswith(PERHAPS):
            yield from _wrapped(f"Caution: {caution}", width)
    if perhaps:
        yield from _wrapped(f"Cautions that may apply: {' '.join(perhaps)}", width)


def _counts(report: Report) -> str:
    counts = report.counts
    return (
        f"{counts.failed} fail, {counts.warned} warn, {counts.open} open, {counts.passed} pass; "
        f"{counts.waiting} waiting on a question, {counts.not_applicable} not applicable."
    )


# -- findings -----------------------------------------------------------------------------------------------------------------


def _finding(finding: Finding, width: int, *, several_books: bool) -> Iterator[Line]:
    place = f"{finding.number} {finding.place}".lstrip()
    yield from _headline("note" if finding.outcome == "advice" else finding.outcome, place, width)
    yield from _inside(finding.title, width)
    if finding.heading:
        yield from _inside(f"{finding.heading}.", width)
    if finding.found:
        yield from _inside(on_a_tape(f"Found: {finding.found}.  Needed: {finding.needed}."), width)
    if finding.outcome == "pass":
        return
    for line in finding.worked_out:
        if not line.startswith(("  ", USUAL)):
            yield from _inside(f"Worked out: {on_a_tape(line)}.", width)
    usual = [line.removeprefix(USUAL) for line in finding.worked_out if line.startswith(USUAL)]
    if usual:
        yield from _inside(f"{USUAL}{'; '.join(usual)}.", width)
    if finding.chain:
        # The reasons stand in the page and in JSON; here the links are enough.
        yield from _inside(f"Follows: {'; '.join(line.partition(': ')[0] for line in finding.chain)}.", width)
    if finding.presumes:
        yield from _inside(f"Leans on: {', '.join(finding.presumes)} taken as not there.", width)
    yield from _inside(finding.because, width)
    yield from _inside(f"Put right: {finding.put_right}", width)
    if finding.sources:
        yield from _inside("Source: " + "; ".join(_source(source) for source in finding.sources) + ".", width)
    if finding.warranty:
        yield from _inside(f"Warranty matter: {finding.warranty}.", width)
    if several_books:
        yield from _inside(f"Decided by the book {finding.book}.", width)


def _source(source: SourceLine) -> str:
    where = ", ".join(part for part in (source.title, source.section, source.edition) if part)
    return f"{where} ({source.standing}; {KNOWN_BY.get(source.known_by, source.known_by)})"


# -- questions ----------------------------------------------------------------------------------------------------------------


def _questions(report: Report, width: int) -> Iterator[Line]:
    by_rule: dict[str, Finding] = {}
    for finding in report.findings:
        if finding.outcome == "open":
            by_rule.setdefault(finding.rule, finding)
    told: set[str] = set()
    for item in report.open_items:
        if item.would_be in COULD_COUNT:
            yield "", False
            yield from _question(item, by_rule, told, width)
    waiting = [item for item in report.open_items if item.would_be not in COULD_COUNT]
    if waiting:
        yield "", False
        yield from _wrapped("Further questions, for rules that may not apply here", width, bold=True)
        for item in waiting:
            yield from _wrapped(f"- {item.place}: {item.question}", width, "  ", first="")


def _question(item: OpenItem, by_rule: dict[str, Finding], told: set[str], width: int) -> Iterator[Line]:
    """One question with the rules it settles; a sum that several lean on is told once."""
    yield from _headline("open", f"{item.number} {item.place}".lstrip(), width)
    yield from _inside(item.question, width)
    where = f"Look: {item.where_to_look}  " if item.where_to_look else ""
    who = f"Who knows: {', '.join(item.answers)}." if item.answers else ""
    yield from _inside(where + who, width)
    for rule in item.rules:
        finding = by_rule.get(rule)
        if finding is not None:
            matter = f" ({finding.warranty})" if finding.warranty else ""
            yield from _inside(on_a_tape(f"{COULD[finding.would_be]}{matter}: {finding.title}. Needed: {finding.needed}."), width)
            for line in finding.worked_out:
                if not line.startswith(("  ", USUAL)) and NOT_WORKED not in line and line not in told:
                    told.add(line)
                    yield from _inside(f"Worked out: {on_a_tape(line)}.", width)


# -- lines --------------------------------------------------------------------------------------------------------------------


def _headline(word: str, place: str, width: int) -> Iterator[Line]:
    lines = textwrap.wrap(place, width - MARGIN) or [""]
    yield f"{word.upper():<{MARGIN}}{lines[0]}", True
    for line in lines[1:]:
        yield INDENT + line, True


def _inside(text: str, width: int) -> Iterator[Line]:
    return _wrapped(text, width, INDENT)


def _wrapped(text: str, width: int, indent: str = "", first: str | None = None, *, bold: bool = False) -> Iterator[Line]:
    lines = textwrap.wrap(
        text, width, initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    for line in lines:
        yield line, bold
