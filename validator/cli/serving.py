"""`serve`: the form, the build-up, the papers and the cases in a browser, on one's own machine."""

import os
from pathlib import Path
from typing import Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, QuickCommand, app, stop
from validator.language.source import BadText

LACKING = "`serve` needs the extra `serve`: pip install 'assembly-validator[serve]'"


def data_folder() -> Path:
    """Where cases are kept when nobody says where."""
    home = os.environ.get("XDG_DATA_HOME") or (Path.home() / ".local" / "share")
    return Path(home) / "assembly-validator"


@app.command(cls=QuickCommand)
def serve(
    database: Annotated[str, typer.Option("--database", help="A SQLite file; otherwise cases.sqlite in your data folder.")] = "",
    port: Annotated[int, typer.Option(min=0, max=65535, help="The port; 0 takes any that is free.")] = 8765,
    no_open: Annotated[bool, typer.Option("--no-open", help="Print the address, and open no browser.")] = False,
    verify: Annotated[bool, typer.Option("--verify", help="Prove the history of every case, and end.")] = False,
    demo: Annotated[bool, typer.Option("--demo", help="Open with an invented firm's dozen jobs; nothing of it is kept.")] = False,
    backup: Annotated[str, typer.Option("--backup", help="Write everything to this file, proved, and end; may run beside the server.")] = "",
    restore: Annotated[str, typer.Option("--restore", help="Make the database anew from such a file, proved, and end.")] = "",
    book: BookNames = SHELF_BOOK,
) -> None:
    """Open in a browser: describe by answering, see the build-up and the verdict, keep cases with their history."""
    try:
        from validator.web.backup import NoBackup, backed_up, restored
        from validator.web.running import Unserved, run, run_demo, verified_lines
    except ImportError as lacking:
        stop(f"{LACKING}. ({lacking})")
    address = database or str(data_folder() / "cases.sqlite")
    try:
        if backup:
            typer.echo(f"{backed_up(Path(address), Path(backup))} cases are in {backup}, and their histories prove.")
            return
        if restore:
            typer.echo(f"{restored(Path(restore), Path(address))} cases are in {address}, and their histories prove.")
            return
        if demo and database:
            stop("--demo keeps its jobs nowhere. Accepted: --demo, or --database")
        if verify:
            lines, sound = verified_lines(address)
            for line in lines:
                typer.echo(line)
            raise typer.Exit(0 if sound else 1)
        if demo:
            run_demo(tuple(book), port=port, opens=not no_open, say=typer.echo)
        else:
            run(address, tuple(book), port=port, opens=not no_open, say=typer.echo)
    except (Unserved, NoBackup, BadText) as problem:
        stop(str(problem))
