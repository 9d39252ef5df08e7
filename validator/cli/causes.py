"""`causes`: what could explain what is seen, in order, with what speaks for and against it and the look that would tell.

Exit status: 0 the causes are told, or nothing is seen; 2 the input could not be read.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    SHELF_BOOK,
    BookNames,
    FileName,
    Form,
    QuickCommand,
    Width,
    app,
    columns,
    described,
    ended,
    made_ready,
    print_each,
    print_json,
    stop,
)
from validator.cli.papers import Day, Output, Paper, PdfFile, write_paper, write_pdf
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.judging.loading import LoadedBook
    from validator.troubles.report import Causes


@app.command(cls=QuickCommand)
def causes(
    file: FileName,
    everything: Annotated[bool, typer.Option("--all", help="Every cause, requirement and look, with what each asks.")] = False,
    sheet: Annotated[bool, typer.Option("--sheet", help="The inspection sheet as HTML: the looks in order, with blanks for readings.")] = False,
    programme: Annotated[str, typer.Option("--programme", help="A warranty programme on the shelf, or a file of one: its terms that each cause touches.")] = "",
    output: Output = "-",
    pdf: PdfFile = "",
    paper: Paper = "letter",
    date: Day = "",
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Say what could explain what is seen (`seen:`): causes in order, what speaks for and against each, the look that would tell."""
    if not sheet and (output != "-" or pdf):
        stop("-o and --pdf write the inspection sheet. Accepted: --sheet with them")
    if sheet and form == "json":
        stop("the inspection sheet is HTML or PDF. Accepted: --sheet, or --format json")
    from validator.troubles.gathering import causes_of

    loaded = made_ready(book, everything=bool(sheet or programme))
    assemblies = described(file, loaded, in_part=True)
    found = [causes_of(each, loaded) for each in assemblies]
    if programme:
        found = _with_terms(found, assemblies, programme, loaded)
    if not sheet:
        _write(found, form, width, everything)
        raise ended(assemblies)
    from validator.papers.inspection import sheet_of, sheets_page

    sheets = [sheet_of(each, causes, loaded, f"sheet{turn}") for turn, (each, causes) in enumerate(zip(assemblies, found), 1)]
    html = sheets_page(sheets, date=date)
    write_pdf(html, pdf, paper)
    write_paper(html, output, quiet=bool(pdf))
    raise ended(assemblies)


def _with_terms(found: "list[Causes]", assemblies: "tuple[Assembly, ...]", programme: str, loaded: "LoadedBook") -> "list[Causes]":
    from validator.troubles.terms import with_terms
    from validator.warranty.reading import programme_file, read_programme

    try:
        document = read_programme(programme_file(programme), loaded.book)
    except BadText as bad:
        stop(str(bad))
    return [with_terms(causes, each, document, loaded) for causes, each in zip(found, assemblies)]


def _write(found: "list[Causes]", form: str, width: int | None, everything: bool) -> None:
    from validator.papers.causes import causes_lines

    if form == "json":
        print_json(found)
    else:
        print_each(causes_lines(each, columns(width), everything=everything) for each in found)
