"""`mend`: the smallest changes after which nothing fails as told.

Exit status: 0 where an alternative was found or nothing has to change, 1 where something fails that none mends, 2 where the
input could not be read.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.asking import Option, Write, draft_of
from validator.cli.common import (
    SHELF_BOOK,
    BookNames,
    FileName,
    Form,
    QuickCommand,
    Width,
    app,
    columns,
    made_ready,
    print_json,
    print_lines,
    stop,
)
from validator.language.slips import nearest

if TYPE_CHECKING:
    from validator.facts.vocabulary import Vocabulary


@app.command(cls=QuickCommand)
def mend(
    file: FileName,
    clear: Annotated[bool, typer.Option("--clear", help="Strictly, and nothing open that could fail either.")] = False,
    keep: Annotated[
        list[str], typer.Option("--keep", help="A thing or a fact that stays as it is: tile, board.thickness.")
    ] = [],  # noqa: B006 - typer reads it once
    also: Annotated[
        list[str], typer.Option("--also", help="A thing or a fact that may be changed although nobody usually would: framing, tile.body.")
    ] = [],  # noqa: B006 - typer reads it once
    goods: Annotated[bool, typer.Option("--goods", help="Change products only to those of the catalogue.")] = False,
    write: Write = None,
    option: Option = "",
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Find the smallest sets of changes after which nothing fails: up to three, of different kinds, the easiest first."""
    from validator.advising.mending import Allowed, holds, mend as mended_of
    from validator.papers.as_json import paper_object
    from validator.papers.mending import mending_lines, mending_object

    loaded = made_ready(book)
    for option_name, names in (("--keep", keep), ("--also", also)):
        for name in names:
            _known(option_name, name, loaded.vocabulary)
    draft = draft_of(file, option, loaded)
    mended = mended_of(draft, loaded, clear=clear, allowed=Allowed(frozenset(keep), goods=goods, also=frozenset(also)))
    assembly = draft.assembly()
    name = (assembly.name or file) + (f", option {option}" if option else "")
    if form == "json":
        print_json([paper_object(assembly, loaded, name, **mending_object(mended, loaded.vocabulary, clear=clear))])
    else:
        print_lines(mending_lines(name, mended, loaded.book, columns(width), clear=clear))
    if write is not None and mended.alternatives:
        _write(mended.alternatives, write, aside=form == "json")
    raise typer.Exit(0 if mended.alternatives and not (mended.stuck or mended.left) or holds(mended.before, clear) else 1)


def _known(option: str, name: str, vocabulary: "Vocabulary") -> None:
    """Stops where an option names no thing or fact."""
    if name not in vocabulary.facts and name not in vocabulary.things:
        near = nearest(name, (*vocabulary.things, *vocabulary.facts))
        accepted = f"did you mean `{near}`?" if near else "tile, board.thickness"
        stop(f"{option}: there is no thing or fact `{name}`. Accepted: {accepted}")


def _write(alternatives: tuple, write: Path, *, aside: bool) -> None:
    """The easiest to the file named, the others beside it with their number; what is said of it stays out of a paper in JSON."""
    for number, alternative in enumerate(alternatives, 1):
        path = write if number == 1 else write.with_name(f"{write.stem}-{number}{write.suffix}")
        try:
            path.write_text(alternative.draft.text(), encoding="utf-8")
        except OSError as problem:
            stop(f"{path} could not be written: {problem.strerror}")
        typer.echo(f"Alternative {number} is written to {path}.", err=aside)
