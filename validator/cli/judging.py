"""`check` and `schema`.

Exit status of `check`: 0 nothing failed and nothing open could fail, 1 something failed, 3 nothing failed but something
open could, 2 the input could not be read.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    SHELF_BOOK,
    UNREADABLE,
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
from validator.reading import BadText

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.ready import Ready


@app.command(cls=QuickCommand)
def check(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Assemblies in YAML or JSON; - reads standard input.")],
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    show_all: Annotated[bool, typer.Option("--all", help="Also show what passes.")] = False,
    width: Width = None,
    margins: Annotated[bool, typer.Option("--margins", help="Also say which limits are closest.")] = False,
    witness: Annotated[bool, typer.Option("--witness", help="Have the second engine judge too, and say whether it agrees.")] = False,
) -> None:
    """Judge assemblies: findings with reasons and references, and what was not stated."""
    known_form(form, "text", "json")
    from validator.assembly import read_assembly_file
    from validator.checking import check as judge

    ready = made_ready(book)
    assemblies, unread = [], False
    for file in files:
        try:
            assemblies += read_assembly_file(file, ready.vocabulary, ready.catalogue).to_judge()
        except BadText as bad:
            typer.echo(str(bad), err=True)
            unread = True
    reports = [judge(each, ready, passes=show_all or form == "json") for each in assemblies]
    close = [_margins(each, ready, width) for each in assemblies] if margins and form == "text" else []
    _write(reports, form, show_all, width, close, _witnessed(ready, assemblies) if witness and assemblies else ())
    raise typer.Exit(UNREADABLE if unread else _status([report.exit_status for report in reports]))


def _margins(assembly: "Assembly", ready: "Ready", width: int | None) -> list:
    from validator.margins import margins_of
    from validator.papers.margins import margin_lines

    return list(margin_lines(margins_of(assembly, ready), columns(width)))


def _write(reports: list, form: str, show_all: bool, width: int | None, close: list, notes: tuple[str, ...]) -> None:
    if form == "json":
        from validator.papers.machine import as_json

        if reports:
            typer.echo(as_json(reports))
        for note in notes:
            typer.echo(note, err=True)
        return
    from validator.papers.terminal import report_lines

    wide = columns(width)
    for number, report in enumerate(reports):
        if number:
            typer.echo()
        last = number == len(reports) - 1
        print_lines(report_lines(report, wide, show_passes=show_all, notes=notes if last else ()))
        print_lines(close[number] if close else ())


def _status(statuses: list[int]) -> int:
    """The gravest of several: 1 before 3 before 0."""
    return min((s for s in statuses if s), default=0)


def _witnessed(ready: "Ready", assemblies: list["Assembly"]) -> tuple[str, ...]:
    from validator.engines.witness import witness_subjects

    return (witness_subjects(ready, [subject for assembly in assemblies for subject in assembly.subjects]),)


@app.command()
def schema(book: BookNames = SHELF_BOOK) -> None:
    """Print a JSON Schema, so that an editor completes and checks an assembly while it is typed."""
    import json

    from validator.assembly.schema import schema_of
    from validator.shelf import book_folder, shared_folder
    from validator.vocabulary import read_vocabulary

    try:
        folders = [book_folder(name) for name in book]
        vocabulary = read_vocabulary(shared_folder(folders) / "vocabulary", *(folder / "vocabulary" for folder in folders))
        vocabulary.can_describe()
    except BadText as bad:
        stop(str(bad))
    typer.echo(json.dumps(schema_of(vocabulary), indent=2, ensure_ascii=False))
