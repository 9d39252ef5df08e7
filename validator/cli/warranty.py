"""`warranty`: what each term of a warranty document asks, and what is shown of it.

Exit status: 0 every term is shown, 1 a term is not met or the work is outside what the document speaks of, 3 something is
still to be shown or for a person to decide, 2 the input could not be read.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    SHELF_BOOK,
    BookNames,
    Width,
    app,
    columns,
    known_form,
    made_ready,
    print_lines,
    stop,
)
from validator.cli.sums import FileName
from validator.reading import BadText

if TYPE_CHECKING:
    from validator.warranty import WarrantyReport


@app.command()
def warranty(
    file: FileName,
    programme: Annotated[str, typer.Option("--programme", help="A programme on the shelf, or a file of one.")],
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    width: Width = None,
) -> None:
    """Lay a warranty document's stated conditions beside an assembly: what is shown, what is not, what a person decides."""
    known_form(form, "text", "json")
    from validator.assembly import read_assembly_file
    from validator.programmes import programme_file, read_programme
    from validator.warranty import stand

    ready = made_ready(book, everything=True)
    try:
        document = read_programme(programme_file(programme), ready.book)
        assembly = read_assembly_file(file, ready.vocabulary, ready.catalogue)
    except BadText as bad:
        stop(str(bad))
    reports = [stand(each, document, ready) for each in assembly.to_judge()]
    _write(reports, form, width)
    raise typer.Exit(min((report.exit_status for report in reports if report.exit_status), default=0))


def _write(reports: list["WarrantyReport"], form: str, width: int | None) -> None:
    from validator.papers.warranty import as_json, warranty_lines

    if form == "json":
        typer.echo(as_json(reports))
        return
    for number, report in enumerate(reports):
        if number:
            typer.echo()
        print_lines(warranty_lines(report, columns(width)))
