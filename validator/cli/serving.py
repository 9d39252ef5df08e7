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
    database: Annotated[str, typer.Option("--database", help="A SQLite file, or postgresql://...; otherwise cases.sqlite in your data folder.")] = "",
    host: Annotated[str, typer.Option("--host", help="The address to listen at; any but this machine's own asks everybody to sign in.")] = "127.0.0.1",
    known_as: Annotated[list[str], typer.Option("--known-as", help="A name, or name:port, by which others reach this server.")] = [],  # noqa: B006 - typer reads it once
    certificate: Annotated[str, typer.Option("--certificate", help="A file with the server's certificate, for https.")] = "",
    private_key: Annotated[str, typer.Option("--private-key", help="The file with its private key.")] = "",
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
        from validator.web.running import Unserved, Where, is_office_database, run, run_demo, verified_lines
    except ImportError as lacking:
        stop(f"{LACKING}. ({lacking})")
    address = database or str(data_folder() / "cases.sqlite")
    where = Where(host, port, tuple(known_as), certificate, private_key)
    folder = data_folder() if is_office_database(address) else Path(address).absolute().parent
    try:
        if (backup or restore) and is_office_database(address):
            stop("--backup and --restore are for a SQLite file; of PostgreSQL its own pg_dump makes a whole backup")
        if backup:
            typer.echo(f"{backed_up(Path(address), Path(backup))} cases are in {backup}, and their histories prove.")
            return
        if restore:
            typer.echo(f"{restored(Path(restore), Path(address))} cases are in {address}, and their histories prove.")
            return
        if demo and database:
            stop("--demo keeps its jobs nowhere. Accepted: --demo, or --database")
        if verify:
            lines, sound = verified_lines(address, folder)
            for line in lines:
                typer.echo(line)
            raise typer.Exit(0 if sound else 1)
        if demo:
            run_demo(tuple(book), where, opens=not no_open, say=typer.echo)
        else:
            run(address, tuple(book), where, folder=folder, opens=not no_open, say=typer.echo)
    except (Unserved, NoBackup, BadText) as problem:
        stop(str(problem))
