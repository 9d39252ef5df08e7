"""`workings`, `calendar` and `takeoff`: the sums of a described assembly, its dates, and what to buy."""

from typing import Annotated

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
    known_form,
    made_ready,
    print_each,
    print_data,
    print_json,
    stop,
)
from validator.language.amounts import AmountProblem
from validator.language.slips import did_you_mean


@app.command(cls=QuickCommand)
def workings(
    file: FileName,
    place: Annotated[str, typer.Option("--place", help="One place only, by its name.")] = "",
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Print the sheet of sums: every sum that the description allows, step by step, with its source."""
    from validator.papers.as_json import paper_object
    from validator.papers.sums import sheet_lines, sheet_object
    from validator.planning.sums import of_place, sheet_of

    loaded = made_ready(book, everything=True)
    sheets = [(each, sheet_of(each, loaded)) for each in described(file, loaded)]
    if place:
        names = dict.fromkeys(name for _, sheet in sheets for group in sheet for name in group.places)
        if place not in names:
            hint = did_you_mean(place, names)
            stop(f"no place is named `{place}`. Accepted: {hint}{', '.join(names)}")
        sheets = [(each, here) for each, sheet in sheets if (here := of_place(sheet, place))]
    if form == "json":
        print_json(paper_object(each, loaded, places=sheet_object(sheet, loaded.vocabulary)) for each, sheet in sheets)
    else:
        print_each(sheet_lines(each.name, sheet, columns(width)) for each, sheet in sheets)


@app.command(cls=QuickCommand)
def calendar(
    file: FileName,
    start: Annotated[str, typer.Option("--start", help="When work begins: 2026-03-02, or 2026-03-02 14:30.")],
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Print the earliest date of each step that must wait, from the slab to the first water; none that a check would warn of."""
    from validator.papers.as_json import paper_object
    from validator.papers.calendar import calendar_lines, calendar_object
    from validator.planning.calendar import calendar_of, start_of
    from validator.workings import WorkingProblem

    try:
        begins = start_of(start)
    except AmountProblem as problem:
        stop(f"--start: {problem}")
    loaded = made_ready(book, everything=True)
    calendars = []
    for each in described(file, loaded):
        try:
            calendars.append((each, calendar_of(each, loaded, begins)))
        except WorkingProblem as problem:
            stop(f"{each.name}: {problem}")
    if form == "json":
        print_json(paper_object(each, loaded, **calendar_object(dates)) for each, dates in calendars)
    else:
        print_each(calendar_lines(each.name, dates, columns(width)) for each, dates in calendars)


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
    """Print what to buy, layer by layer from the panels to the grout; and what cannot be counted, with what it would take."""
    known_form(form, "text", "csv", "json")
    from validator.papers.as_json import paper_object
    from validator.papers.takeoff import as_csv, buying_lines, buying_object
    from validator.planning.items import wastes_of
    from validator.planning.takeoff import takeoff_of

    try:
        wastes = wastes_of(waste)
    except AmountProblem as problem:
        stop(f"--waste: {problem}")
    loaded = made_ready(book, everything=True)
    lists = [(each, takeoff_of(each, loaded, wastes)) for each in described(file, loaded)]
    match form:
        case "csv":
            print_data("".join(as_csv(items) for _, items in lists))
        case "json":
            print_json(paper_object(each, loaded, items=buying_object(items)) for each, items in lists)
        case _:
            print_each(buying_lines(each.name, items, columns(width)) for each, items in lists)
