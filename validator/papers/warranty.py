"""What each term of a warranty document stands at, for a terminal: the term first, then every condition with its reason.

What is shown is one line; what is not says why, what was taken as usual, and what would show it. The risk follows, as an order.
"""

import textwrap
from collections.abc import Iterator

from validator.judging.why import STRICT
from validator.warranty.report import SETTLED, ConditionLine, LawLine, ProductLine, RiskLine, Standing, TermLine, WarrantyReport

INDENT = "   "
DEEPER = "      "
NARROWEST = 40
MOST_MATTERS = 10
MOST_ASKED = 8
Line = tuple[str, bool]  # what is written, and whether it is bold
MOST_TAKEN = 8
WOULD_SHOW = {Standing.PERSON: "What would help", Standing.NOT_MET: "Put right, or show"}


def warranty_lines(report: WarrantyReport, width: int) -> Iterator[Line]:
    """The report line by line, wrapped to a width."""
    width = max(NARROWEST, width)
    yield report.assembly, True
    yield from _wrapped(f"Programme: {report.programme}. {report.about}", width)
    document = report.document
    headed = f", headed {document.headed}" if document.headed else ""
    yield from _wrapped(f"Document: {document.title}, revision {document.revision}{headed}; in force {document.in_force}.", width)
    if document.holder:
        yield from _wrapped(f"For: {document.holder}.", width)
    yield from _wrapped(reading_line(report), width)
    for term in report.terms:
        yield "", False
        yield from _wrapped(f"{term.standing.upper()}  {term.term}{strictly(term)}", width, bold=True)
    yield "", False
    yield "Asked for every term", True
    for condition in report.every_term:
        yield from _condition(condition, width)
    for term in report.terms:
        yield "", False
        yield from _term(term, width)
    yield from _cautions(report, width)
    yield "", False
    yield from _risk(report, report.risk, width)
    yield "", False
    for book in report.books:
        yield from _wrapped(f"Book: {book.name}, edition {book.edition}, fingerprint {book.fingerprint}.", width)
    yield from _wrapped(f"Programme fingerprint {report.programme_fingerprint}. Report fingerprint {report.fingerprint}.", width)
    yield from _wrapped(report.footer, width)


def reading_line(report: WarrantyReport) -> str:
    """How the description was read, and how much of what the document asks is shown by what was stated alone."""
    conditions = [each for each in dict.fromkeys(report.conditions) if each.kind]  # what an earlier term asks is counted there
    shown = sum(1 for each in conditions if each.strictly in SETTLED)
    proved = f"{shown} of {len(conditions)} conditions are shown by what is stated"
    if report.reading == STRICT:
        return f"Read strictly: {proved}; silence could be anything."
    taken = sum(1 for each in conditions if each.standing is Standing.TAKEN)
    more = f", {taken} taken as usual" if taken else ""
    return f"Read as told: {proved}{more}. A term is complete only where all of it is shown."


def strictly(line: ConditionLine | TermLine) -> str:
    """Where it stands strictly, if that is elsewhere."""
    return f" (strictly: {line.strictly})" if line.strictly is not line.standing else ""


def taken_line(condition: ConditionLine) -> str:
    """What was taken as usual, as much as a reader takes in; empty where nothing was."""
    return _row("Taken as usual", condition.taken)


def _term(term: TermLine, width: int) -> Iterator[Line]:
    yield from _wrapped(f"{term.term}: {term.standing}{strictly(term)}", width, bold=True)
    starts = f", from {term.starts}" if term.starts else ""
    yield from _wrapped(f"Gives {term.gives}, for {term.lasts}{starts}.", width, INDENT)
    for condition in term.conditions:
        yield from _condition(condition, width)
    if term.untied:
        yield from _wrapped(f"Terms that hang on no maker and no named service: {'; '.join(term.untied)}.", width, INDENT)


def _condition(condition: ConditionLine, width: int) -> Iterator[Line]:
    kind = f" ({condition.kind}{', ' if condition.clause else ''}{condition.clause and f'clause {condition.clause}'})" if condition.kind else ""
    yield from _wrapped(f"{condition.standing.capitalize()}{strictly(condition)}: {condition.needs}{kind}", width, INDENT, bold=condition.standing not in SETTLED)
    yield from _wrapped(condition.reason, width, DEEPER)
    if condition.standing in SETTLED:
        return
    yield from _wrapped(taken_line(condition), width, DEEPER)
    yield from _wrapped(on_the_job(condition.products), width, DEEPER)
    head = WOULD_SHOW.get(condition.standing, "What would show it")
    for text in condition.shown_by:
        yield from _wrapped(f"{head}: {text}", width, DEEPER)
    for ask in condition.asks[:MOST_ASKED]:
        yield from _wrapped(f"Ask: {ask.says}", width, DEEPER)
    more = len(condition.asks) - MOST_ASKED
    if more > 0:
        yield from _wrapped(f"And {more} more questions, which `validator check --all` lists.", width, DEEPER)
    for head, texts in (("No longer seen, so that a photograph or a note shows it", condition.to_show), ("Not due yet", condition.later)):
        yield from _wrapped(_row(head, texts), width, DEEPER)


def _row(head: str, texts: tuple[str, ...]) -> str:
    more = len(texts) - MOST_TAKEN
    left = f"; and {more} more" if more > 0 else ""
    return f"{head}: {'; '.join(texts[:MOST_TAKEN])}{left}." if texts else ""


def on_the_job(products: tuple[ProductLine, ...]) -> str:
    """The products of the job in a sentence, then what no product is named for; nothing where there are none."""
    named = [
        f"{each.thing}: {each.product} ({'' if each.card else 'no '}product card; {', '.join(each.places)})"
        for each in products if each.product
    ]  # fmt: skip
    nameless = dict.fromkeys(each.thing for each in products if not each.product)
    said = [f"On the job: {'; '.join(named)}."] if named else []
    return " ".join([*said, *([f"No product is named for: {', '.join(nameless)}."] if nameless else [])])


def _cautions(report: WarrantyReport, width: int) -> Iterator[Line]:
    """Each caution once, however many conditions it stands beside."""
    cautions: dict[LawLine, None] = {caution: None for condition in report.conditions for caution in condition.cautions}
    for caution in cautions:
        yield "", False
        yield from _wrapped(f"Caution: {caution.say} ({caution.source}.)", width)


def _risk(report: WarrantyReport, risk: RiskLine, width: int) -> Iterator[Line]:
    yield "Risk, as an order", True
    yield from _wrapped(work_line(report), width, INDENT)
    yield from _wrapped(f"Worst known: {risk.worst_known or 'nothing failed and nothing to look at twice'}.", width, INDENT)
    yield from _wrapped(f"Worst if what is open goes badly: {risk.worst_possible or 'the same'}.", width, INDENT)
    for number, matter in enumerate(risk.matters[:MOST_MATTERS], 1):
        word = f"{matter.outcome}, could {matter.would_be}" if matter.would_be else matter.outcome
        yield from _wrapped(
            f"{number}. {matter.matter}; {matter.exposure}; {matter.seen}. {matter.title}: {word} ({matter.place}).",
            width, DEEPER, first=INDENT,
        )  # fmt: skip
    more = len(risk.matters) - MOST_MATTERS
    if more > 0:
        yield from _wrapped(f"And {more} more, in the JSON.", width, INDENT)


def work_line(report: WarrantyReport) -> str:
    """What the work itself comes to by the book's rules: as told, and how much of that is proved."""
    told, counts, unknown = report.as_told, report.counts, report.risk.not_assessable
    low = f" {unknown} cannot be assessed strictly, and none of them counts as low." if unknown else ""
    if report.reading == STRICT:
        return f"{counts.failed} fail, {counts.warned} warn, {counts.open} open, {counts.waiting} waiting on a question.{low}"
    return (
        f"{told.failed} fail, {told.warned} for a second look, {told.questions} questions, {told.checks} to be seen or kept. "
        f"Proved: {told.proved} of {told.applying} requirements that apply.{low}"
    )


def _wrapped(text: str, width: int, indent: str = "", *, first: str | None = None, bold: bool = False) -> Iterator[Line]:
    lines = textwrap.wrap(
        text, width, initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    for line in lines:
        yield line, bold
