"""`workings`, `calendar` and `takeoff`: the sums of a described assembly, its dates, and what to buy."""

from collections.abc import Iterator
from typing import TYPE_CHECKING, Annotated

import typer

from validator.amounts import AmountProblem
from validator.cli.common import (
    SHELF_BOOK,
    BookNames,
    QuickCommand,
    Width,
    app,
    columns,
    known_form,
    made_ready,
    print_lines,
    stop,
)
from validator.reading import BadText, nearest

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.ready import Ready

FileName = Annotated[str, typer.Argument(metavar="FILE", help="An assembly in YAML or JSON; - reads standard input.")]


@app.command(cls=QuickCommand)
def workings(
    file: FileName,
    place: Annotated[str, typer.Option("--place", help="One place only, by its name.")] = "",
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    width: Width = None,
) -> None:
    """Print the sheet of sums: every sum that the description allows, step by step, with its source."""
    known_form(form, "text", "json")
    from validator.papers.sums import as_json, sheet_lines
    from validator.sheet import of_place, sheet_of

    for assembly, ready in _described(file, book):
        sheet = sheet_of(assembly, ready)
        if place:
            names = [name for group in sheet for name in group.places]
            if place not in names:
                near = nearest(place, names)
                hint = f"did you mean `{near}`? " if near else ""
                stop(f"no place is named `{place}`. Accepted: {hint}{', '.join(names)}")
            sheet = of_place(sheet, place)
        if form == "json":
            typer.echo(as_json(assembly.name, sheet))
        else:
            print_lines(sheet_lines(assembly.name, sheet, columns(width)))


@app.command(cls=QuickCommand)
def calendar(
    file: FileName,
    start: Annotated[str, typer.Option("--start", help="When work begins: 2026-03-02, or 2026-03-02 14:30.")],
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    width: Width = None,
) -> None:
    """Print the earliest date of each step that must wait: bed, coats, flood test, tile, grout, traffic, water."""
    known_form(form, "text", "json")
    from validator.dates import calendar_of, start_of
    from validator.papers.dates import as_json, calendar_lines
    from validator.workings import WorkingProblem

    try:
        begins = start_of(start)
    except AmountProblem as problem:
        stop(f"--start: {problem}")
    for assembly, ready in _described(file, book):
        try:
            dates = calendar_of(assembly, ready, begins)
        except WorkingProblem as problem:
            stop(f"{assembly.name}: {problem}")
        if form == "json":
            typer.echo(as_json(assembly.name, dates))
        else:
            print_lines(calendar_lines(assembly.name, dates, columns(width)))


@app.command(cls=QuickCommand)
def takeoff(
    file: FileName,
    waste: Annotated[
        list[str], typer.Option("--waste", help="Added for waste: `10 %` for everything, or `tile 15 %` for one item.")
    ] = [],  # noqa: B006 - typer reads it once
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text, csv or json.")] = "text",
    width: Width = None,
) -> None:
    """Print what to buy: sheets, screws, tape, sealant, membrane, mortar, tile and grout; and what is missing to count them."""
    known_form(form, "text", "csv", "json")
    from validator.papers.buying import as_csv, as_json, buying_lines
    from validator.takeoff import takeoff_of, wastes_of

    try:
        wastes = wastes_of(waste)
    except AmountProblem as problem:
        stop(f"--waste: {problem}")
    for assembly, ready in _described(file, book):
        items = takeoff_of(assembly, ready, wastes)
        if form == "csv":
            typer.echo(as_csv(items), nl=False)
        elif form == "json":
            typer.echo(as_json(assembly.name, items))
        else:
            print_lines(buying_lines(assembly.name, items, columns(width)))


def _described(file: str, book: list[str]) -> "Iterator[tuple[Assembly, Ready]]":
    """The assembly of a file, or each of its options, with a book that works everything out."""
    from validator.assembly import read_assembly_file

    ready = made_ready(book, everything=True)
    try:
        assembly = read_assembly_file(file, ready.vocabulary, ready.catalogue)
    except BadText as bad:
        stop(str(bad))
    for each in assembly.to_judge():
        yield each, ready
