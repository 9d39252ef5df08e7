"""`warranty`: what each term of a warranty document asks, and what is shown of it; as a report, a letter or a case sheet.

Exit status: 0 every term is shown by what was stated, 1 a term is not met as told or the work is outside what the document speaks
of, 3 something is taken as usual, still to be shown or for a person to decide, 2 the input could not be read.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    SHELF_BOOK,
    BookNames,
    FileName,
    QuickCommand,
    Width,
    app,
    columns,
    described,
    known_form,
    made_ready,
    print_each,
    print_json,
    stop,
)
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.warranty import WarrantyReport


@app.command(cls=QuickCommand)
def warranty(
    file: FileName,
    programme: Annotated[str, typer.Option("--programme", help="A programme on the shelf, or a file of one.")],
    letter: Annotated[bool, typer.Option("--letter", help="The letter that asks for everything missing, in plain words.")] = False,
    sheet: Annotated[bool, typer.Option("--sheet", help="The case sheet: what to tick, who looks, blanks to sign.")] = False,
    strict: Annotated[bool, typer.Option("--strict", help="By what was stated alone, with nothing taken as usual.")] = False,
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text or json; text or html for a letter or a sheet.")] = "text",
    width: Width = None,
) -> None:
    """Lay a warranty document's stated conditions beside an assembly: what is shown, what is taken as usual, what is not met or not shown, what a person decides."""
    if letter and sheet:
        stop("--letter and --sheet are two papers. Accepted: one of the two")
    known_form(form, "text", "html" if letter or sheet else "json")
    from validator.warranty import stand
    from validator.warranty.reading import programme_file, read_programme

    loaded = made_ready(book, everything=True)
    try:
        document = read_programme(programme_file(programme), loaded.book)
    except BadText as bad:
        stop(str(bad))
    reports = [stand(each, document, loaded, strict=strict) for each in described(file, loaded)]
    if letter:
        _write_letters(reports, form, width)
    elif sheet:
        _write_sheets(reports, form, width)
    else:
        _write(reports, form, width)
    raise typer.Exit(min((report.exit_status for report in reports if report.exit_status), default=0))


def _write(reports: list["WarrantyReport"], form: str, width: int | None) -> None:
    from validator.papers.warranty import warranty_lines

    if form == "json":
        print_json(reports)
    else:
        print_each(warranty_lines(report, columns(width)) for report in reports)


def _write_letters(reports: list["WarrantyReport"], form: str, width: int | None) -> None:
    from validator.papers.letter import letter_lines, letter_of, letters_page

    letters = [letter_of(report) for report in reports]
    if form == "html":
        typer.echo(letters_page(letters), nl=False)
    else:
        print_each(letter_lines(letter, columns(width)) for letter in letters)


def _write_sheets(reports: list["WarrantyReport"], form: str, width: int | None) -> None:
    from validator.papers.case_sheet import case_lines, case_of, cases_page

    cases = [case_of(report) for report in reports]
    if form == "html":
        typer.echo(cases_page(cases), nl=False)
    else:
        print_each(case_lines(case, columns(width)) for case in cases)
