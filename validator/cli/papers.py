"""`page`, `card` and `review`: the report as HTML, PDF, text and spreadsheet, for the people who read it.

Exit status as for `check`.
"""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    NO_OLDER,
    SHELF_BOOK,
    BookNames,
    FileName,
    QuickCommand,
    Since,
    Width,
    app,
    columns,
    described,
    ended,
    known_form,
    made_ready,
    stop,
    submissions,
)
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.judging.loading import LoadedBook
    from validator.judging.report import Report
    from validator.papers.review import Review
    from validator.papers.revisions import Since as SinceLast
    from validator.submittals.register import Revision
    from validator.submittals.sections import SpecMap

Output = Annotated[str, typer.Option("-o", "--output", help="The file to write; otherwise one named after the assembly's, or - to print.")]
PdfFile = Annotated[str, typer.Option("--pdf", help="Also write a PDF to this file (needs the extra `pdf`).")]
Paper = Annotated[str, typer.Option("--paper", help="The PDF's paper: letter or a4.")]
Day = Annotated[
    str, typer.Option("--date", help="A date to print; otherwise none, so that the same input gives the same bytes.")
]

NAMED = {"page": "page", "card": "card", "review": "review sheet"}

Strict = Annotated[bool, typer.Option("--strict", help="By what was stated alone, with nothing taken as usual.")]


@app.command(cls=QuickCommand)
def page(
    file: FileName,
    since: Since = NO_OLDER,
    output: Output = "",
    pdf: PdfFile = "",
    paper: Paper = "letter",
    date: Day = "",
    strict: Strict = False,
    book: BookNames = SHELF_BOOK,
) -> None:
    """Write the report as one page of HTML: findings beside a drawing to scale. Exit status as for `check`."""
    from validator.papers.page import page as page_of

    assemblies, reports, told, loaded = _judged(file, book, strict, since, in_part=not since)
    html = page_of(assemblies, reports, loaded, date=date, since=told)
    write_pdf(html, pdf, paper)
    _write_named(html, output, file, "page", quiet=bool(pdf))
    raise ended(assemblies, _status(reports))


@app.command(cls=QuickCommand)
def card(
    file: FileName,
    since: Since = NO_OLDER,
    output: Output = "",
    form: Annotated[str, typer.Option("--format", help="html, or text, which is printed.")] = "html",
    pdf: PdfFile = "",
    paper: Paper = "letter",
    start: Annotated[str, typer.Option("--start", help="When work begins, for dates: 2026-03-02, or 2026-03-02 14:30.")] = "",
    date: Day = "",
    strict: Strict = False,
    book: BookNames = SHELF_BOOK,
    width: Width = None,
) -> None:
    """Write the installer's card, step by step: do, buy, wait, check before the next step hides it, photograph."""
    known_form(form, "html", "text")
    from validator.language.amounts import AmountProblem
    from validator.papers.card import card_lines, card_of, card_page
    from validator.planning.calendar import start_of

    try:
        begins = start_of(start) if start else None
    except AmountProblem as problem:
        stop(f"--start: {problem}")
    assemblies, reports, told, loaded = _judged(file, book, strict, since)
    cards = [card_of(assembly, report, loaded, begins, each) for assembly, report, each in zip(assemblies, reports, told)]
    html = card_page(cards, date=date) if form == "html" or pdf else ""
    write_pdf(html, pdf, paper)
    if form == "text":
        write_paper("\n".join(line for each in cards for line in [*card_lines(each, columns(width)), ""]), output or "-", quiet=bool(pdf))
    else:
        _write_named(html, output, file, "card", quiet=bool(pdf))
    raise typer.Exit(_status(reports))


@app.command(cls=QuickCommand)
def review(
    file: FileName,
    spec: Annotated[str, typer.Option("--spec", help="The section of the specification, and its paragraph: `09 30 13 2.3.B`.")],
    spec_map: Annotated[str, typer.Option("--spec-map", help="A table in CSV of where each requirement stands: for,section,paragraph,drawing.")] = "",
    spec_start: Annotated[str, typer.Option("--spec-start", help="Write such a table to this file, to fill in.")] = "",
    submittal: Annotated[str, typer.Option("--submittal", help="The submittal's number, printed on every page.")] = "",
    since: Since = NO_OLDER,
    register: Annotated[str, typer.Option("--register", help="Write the register of its numbers to this file, for the next `--since`.")] = "",
    output: Output = "",
    pdf: PdfFile = "",
    paper: Paper = "letter",
    xlsx: Annotated[str, typer.Option("--xlsx", help="Also write a spreadsheet to this file (needs the extra `xlsx`).")] = "",
    date: Day = "",
    strict: Strict = False,
    book: BookNames = SHELF_BOOK,
) -> None:
    """Write the review sheet: deviations, requests, what was changed, hold points; what is met in an appendix. Exit status as for `check`."""
    from validator.judging.report import report_as_told
    from validator.papers.review import review_of, review_page

    _not_strictly(strict, bool(since or register))
    loaded = made_ready(book, everything=True)
    places = _specification(spec, spec_map, loaded)
    assemblies = described(file, loaded)
    revisions = submissions(assemblies, since, loaded)
    reports = [each.report if strict else report_as_told(each.report) for each in revisions]
    reviews = [
        review_of(assembly, report, loaded, places, date, submittal, revision, turn)
        for turn, (assembly, report, revision) in enumerate(zip(assemblies, reports, revisions), 1)
    ]
    _write_beside(reviews, revisions, places, register, spec_start)
    html = review_page(reviews)
    write_pdf(html, pdf, paper, landscape=True)
    if xlsx:
        from validator.papers.workbook import NoWorkbook, workbook_of

        try:
            made = workbook_of(reviews)
        except NoWorkbook as missing:
            stop(str(missing))
        _save(made, xlsx)
    _write_named(html, output, file, "review", quiet=bool(pdf or xlsx or register or spec_start))
    raise typer.Exit(_status(reports))


def _specification(spec: str, spec_map: str, loaded: "LoadedBook") -> "SpecMap":
    """The section of the specification with its map; what is wrong with either is said, and the program ends."""
    from validator.submittals.sections import SectionProblem, SpecMap, read_spec_map, section_of

    try:
        usual = section_of(spec)
        return read_spec_map(spec_map, usual, {name: rule.chapter for name, rule in loaded.book.rules.items()}) if spec_map else SpecMap(usual)
    except (SectionProblem, BadText) as problem:
        stop(str(problem))


def _write_beside(reviews: "list[Review]", revisions: "list[Revision]", places: "SpecMap", register: str, spec_start: str) -> None:
    """The register of the numbers, and a map of the specification to fill in, where they are asked for."""
    if register:
        from validator.submittals.register_file import written

        _save(written([each.register for each in revisions]).encode("utf-8"), register)
    if spec_start:
        from validator.submittals.sections import started

        chapters = dict.fromkeys(line.chapter for review in reviews for line in review.lines)
        _save(started(places.usual, sorted(chapters)).encode("utf-8"), spec_start)


def _status(reports: "list[Report]") -> int:
    """The gravest of several: 1 before 3 before 0."""
    return min((report.exit_status for report in reports if report.exit_status), default=0)


def _judged(
    file: str, book: list[str], strict: bool, since: list[str], *, in_part: bool = False
) -> "tuple[tuple[Assembly, ...], list[Report], list[SinceLast | None], LoadedBook]":
    """What a file describes with its reports, as told unless strict, and what became of each since an older submission."""
    from validator.judging.checking import check
    from validator.judging.report import report_as_told
    from validator.papers.revisions import since_last

    _not_strictly(strict, bool(since))
    loaded = made_ready(book, everything=True)
    assemblies = described(file, loaded, in_part=in_part)
    if since:
        revisions = submissions(assemblies, since, loaded)
        return assemblies, [report_as_told(each.report) for each in revisions], [since_last(each) for each in revisions], loaded
    reports = [check(each, loaded) for each in assemblies]
    return assemblies, reports if strict else [report_as_told(report) for report in reports], [None] * len(reports), loaded


def _not_strictly(strict: bool, numbered: bool) -> None:
    if strict and numbered:
        stop("a submittal's numbers follow what is read as told. Accepted: --strict, or --since and --register")


def _write_named(html: str, output: str, file: str, paper: str, *, quiet: bool) -> None:
    """To the file that is named, else to one named after the assembly's, which is said; to none where another was all that was asked for."""
    named = output or f"{Path(file).stem if file != '-' else 'assembly'}-{paper}.html"
    if output or not quiet:
        write_paper(html, named)
    if not output and not quiet:
        typer.echo(f"The {NAMED[paper]} is written to {named}.", err=True)


def write_paper(text: str, output: str, *, quiet: bool = False) -> None:
    """To a file, or to standard output unless another file was all that was asked for."""
    if output != "-":
        _save(text.encode("utf-8"), output)
    elif not quiet:
        sys.stdout.buffer.write(text.encode("utf-8"))
        sys.stdout.flush()


def write_pdf(html: str, pdf: str, paper: str, *, landscape: bool = False) -> None:
    if not pdf:
        return
    from validator.papers.pdf import PAPERS, NoPdf, pdf_of

    if paper not in PAPERS:
        stop(f"there is no paper `{paper}`. Accepted: {', '.join(PAPERS)}")

    try:
        made = pdf_of(html, paper, landscape=landscape)
    except NoPdf as missing:
        stop(str(missing))
    _save(made, pdf)


def _save(content: bytes, name: str) -> None:
    try:
        Path(name).write_bytes(content)
    except OSError as problem:
        stop(f"{name} could not be written: {problem.strerror}")
