"""What each term of a warranty document stands at, for a terminal: the term first, then every condition with its reason.

What is shown is one line; what is not says why, and what would show it. The risk follows, as an order.
"""

import textwrap
from collections.abc import Iterator

from validator.warranty.report import ConditionLine, LawLine, ProductLine, RiskLine, Standing, TermLine, WarrantyReport

INDENT = "   "
DEEPER = "      "
NARROWEST = 40
MOST_MATTERS = 10
MOST_ASKED = 8
Line = tuple[str, bool]  # what is written, and whether it is bold
SETTLED = (Standing.SHOWN, Standing.NOT_ARISING)
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
    for term in report.terms:
        yield "", False
        yield from _wrapped(f"{term.standing.upper()}  {term.term}", width, bold=True)
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


def _term(term: TermLine, width: int) -> Iterator[Line]:
    yield from _wrapped(f"{term.term}: {term.standing}", width, bold=True)
    starts = f", from {term.starts}" if term.starts else ""
    yield from _wrapped(f"Gives {term.gives}, for {term.lasts}{starts}.", width, INDENT)
    for condition in term.conditions:
        yield from _condition(condition, width)
    if term.untied:
        yield from _wrapped(f"Terms that hang on no maker and no named service: {'; '.join(term.untied)}.", width, INDENT)


def _condition(condition: ConditionLine, width: int) -> Iterator[Line]:
    kind = f" ({condition.kind}{', ' if condition.clause else ''}{condition.clause and f'clause {condition.clause}'})" if condition.kind else ""
    yield from _wrapped(f"{condition.standing.capitalize()}: {condition.needs}{kind}", width, INDENT, bold=condition.standing not in SETTLED)
    yield from _wrapped(condition.reason, width, DEEPER)
    if condition.standing in SETTLED:
        return
    yield from _wrapped(on_the_job(condition.products), width, DEEPER)
    head = WOULD_SHOW.get(condition.standing, "What would show it")
    for text in condition.shown_by:
        yield from _wrapped(f"{head}: {text}", width, DEEPER)
    for ask in condition.asks[:MOST_ASKED]:
        yield from _wrapped(f"Ask: {ask.says}", width, DEEPER)
    more = len(condition.asks) - MOST_ASKED
    if more > 0:
        yield from _wrapped(f"And {more} more questions, which `validator check` lists.", width, DEEPER)


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
    conditions = [*report.every_term, *(condition for term in report.terms for condition in term.conditions)]
    cautions: dict[LawLine, None] = {caution: None for condition in conditions for caution in condition.cautions}
    for caution in cautions:
        yield "", False
        yield from _wrapped(f"Caution: {caution.say} ({caution.source}.)", width)


def _risk(report: WarrantyReport, risk: RiskLine, width: int) -> Iterator[Line]:
    counts = report.counts
    yield "Risk, as an order", True
    yield from _wrapped(
        f"{counts.failed} fail, {counts.warned} warn, {counts.open} open, {counts.waiting} waiting on a question. "
        f"Not assessable: {risk.not_assessable}{'; none of them counts as low' if risk.not_assessable else ''}.", width, INDENT,
    )  # fmt: skip
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


def _wrapped(text: str, width: int, indent: str = "", *, first: str | None = None, bold: bool = False) -> Iterator[Line]:
    lines = textwrap.wrap(
        text, width, initial_indent=indent if first is None else first, subsequent_indent=indent,
        break_long_words=False, break_on_hyphens=False,
    )  # fmt: skip
    for line in lines:
        yield line, bold
