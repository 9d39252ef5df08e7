"""The report for a terminal: the place first, then the title, found, needed, because, put right, source."""

import textwrap
from collections.abc import Iterator

from rich.console import Console
from rich.text import Text

from validator.outcomes import Finding, OpenItem, Report, SourceLine

INDENT = "      "
MARGIN = 6
NARROWEST = 40
ALWAYS_SHOWN = ("fail", "open", "warn", "advice")
HEADED = {
    "pass": "Nothing in these books speaks against it",
    "warn": "Something here deserves a second look",
    "fail": "Something here fails",
}


def print_report(report: Report, console: Console, *, show_passes: bool = False, notes: tuple[str, ...] = ()) -> None:
    """Write the whole report to a console, wrapped to its width."""
    width = max(NARROWEST, console.width)
    for line in report_lines(report, width, show_passes=show_passes, notes=notes):
        console.print(line, soft_wrap=True, highlight=False)


def report_lines(
    report: Report, width: int, *, show_passes: bool = False, notes: tuple[str, ...] = ()
) -> Iterator[Text]:
    """The report line by line."""
    yield Text(report.assembly, style="bold")
    yield Text(f"Overall: {report.outcome}.  {_counts(report)}")
    yield from _wrapped(_overall_words(report), width)
    if report.presumed:
        yield Text("")
        yield from _wrapped(f"Taken as not there because not written: {', '.join(report.presumed)}.", width)
    for finding in report.findings:
        if finding.outcome in ALWAYS_SHOWN or show_passes:
            yield Text("")
            yield from _finding(finding, width)
    yield from _questions(report, width)
    yield Text("")
    for caution in report.cautions:
        yield from _wrapped(f"Caution: {caution}", width)
    if report.not_checked:
        yield Text("")
        yield from _wrapped("Not checked: " + " ".join(report.not_checked), width)
    yield Text("")
    for book in report.books:
        yield from _wrapped(f"Book: {book.name}, edition {book.edition}, fingerprint {book.fingerprint}.", width)
    yield from _wrapped(f"Report fingerprint {report.fingerprint}.", width)
    for note in notes:
        yield from _wrapped(note, width)


def _counts(report: Report) -> str:
    counts = report.counts
    said = [
        f"{counts.failed} fail", f"{counts.warned} warn", f"{counts.open} open", f"{counts.passed} pass",
        f"{counts.waiting} waiting on a question", f"{counts.not_applicable} not applicable",
    ]  # fmt: skip
    return ", ".join(said) + "."


def _overall_words(report: Report) -> str:
    if report.outcome in HEADED:
        return f"{HEADED[report.outcome]}; what was not checked is listed below."
    return "What is not written could still change this; the questions below would settle it."


def _finding(finding: Finding, width: int) -> Iterator[Text]:
    yield from _headline(finding.outcome, finding.place, width)
    yield from _wrapped(finding.title, width, INDENT)
    if finding.heading:
        would = f" ({finding.would_be})" if finding.would_be else ""
        yield from _wrapped(f"{finding.heading}{would}.", width, INDENT)
    if finding.found:
        needed = f"  Needed: {finding.needed}." if finding.needed else ""
        yield from _wrapped(f"Found: {finding.found}.{needed}", width, INDENT)
    if finding.outcome == "pass":
        return
    for line in finding.chain:
        yield from _wrapped(f"Follows: {line}", width, INDENT)
    for line in finding.worked_out:
        if not line.startswith("  "):
            yield from _wrapped(f"Worked out: {line}", width, INDENT)
    if finding.presumes:
        yield from _wrapped(f"Leans on: {', '.join(finding.presumes)} taken as not there.", width, INDENT)
    yield from _wrapped(finding.because, width, INDENT)
    yield from _wrapped(f"Put right: {finding.put_right}", width, INDENT)
    if finding.sources:
        yield from _wrapped("Source: " + "; ".join(_source(s) for s in finding.sources) + ".", width, INDENT)
    if finding.warranty:
        would = f"  Would be: {finding.would_be}." if finding.would_be and not finding.heading else ""
        yield from _wrapped(f"Warranty matter: {finding.warranty}.{would}", width, INDENT)


def _source(source: SourceLine) -> str:
    where = ", ".join(part for part in (source.title, source.section, source.edition) if part)
    known = {
        "seen": "seen second-hand", "seen-C": "seen in a commercial page only", "memory": "from memory",
    }  # fmt: skip
    return f"{where} ({source.standing}; {known.get(source.known_by, source.known_by)})"


def _questions(report: Report, width: int) -> Iterator[Text]:
    if not report.open_items:
        return
    yield Text("")
    yield Text("To ask or to look at", style="bold")
    for item in report.open_items:
        yield from _question(item, width)


def _question(item: OpenItem, width: int) -> Iterator[Text]:
    yield from _wrapped(f"- {item.place}: {item.question}", width, "  ", first="")
    where = f"Look: {item.where_to_look}  " if item.where_to_look else ""
    who = f"Ask: {', '.join(item.answers)}.  " if item.answers else ""
    yield from _wrapped(f"{where}{who}Settles: {', '.join(item.rules)}.", width, "  ")


def _headline(word: str, place: str, width: int) -> Iterator[Text]:
    lines = textwrap.wrap(place, max(20, width - MARGIN)) or [""]
    label = "NOTE" if word == "advice" else word.upper()
    yield Text.assemble((f"{label:<{MARGIN}}", "bold"), (lines[0], "bold"))
    for line in lines[1:]:
        yield Text(INDENT + line, style="bold")


def _wrapped(text: str, width: int, indent: str = "", first: str | None = None) -> Iterator[Text]:
    lines = textwrap.wrap(
        text, width, initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    for line in lines:
        yield Text(line)
