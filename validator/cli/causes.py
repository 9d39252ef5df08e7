"""`causes`: what could explain what is seen, in order, with what speaks for and against it and the look that would tell."""

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
    made_ready,
    print_each,
    print_json,
)

if TYPE_CHECKING:
    from validator.troubles.report import Causes


@app.command(cls=QuickCommand)
def causes(
    file: FileName,
    everything: Annotated[bool, typer.Option("--all", help="Every cause, requirement and look, with what each asks.")] = False,
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Say what could explain what is seen (`seen:`): causes in order, what speaks for and against each, the look that would tell."""
    from validator.troubles.gathering import causes_of

    loaded = made_ready(book)
    _write([causes_of(each, loaded) for each in described(file, loaded)], form, width, everything)


def _write(found: "list[Causes]", form: str, width: int | None, everything: bool) -> None:
    from validator.papers.causes import causes_lines

    if form == "json":
        print_json(found)
    else:
        print_each(causes_lines(each, columns(width), everything=everything) for each in found)
