"""The commands. Each reads, asks one module for the work, and writes a paper; nothing is decided here.

Exit status of `check`: 0 nothing failed and nothing open could fail, 1 something failed, 3 nothing failed but something
open could, 2 the input could not be read.
"""

import gc
import shutil
import sys
from collections.abc import Iterable
from typing import Annotated

import typer

from validator.reading import BadText

UNREADABLE = 2
WIDEST = 100

app = typer.Typer(
    add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None,
    help="Validates a described tile or stone assembly for compatibility and warranty risk, before the tile hides it.",
)  # fmt: skip
rulebook = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Read, prove, list and explain a rulebook.")
app.add_typer(rulebook, name="rulebook")

BookName = Annotated[str, typer.Option("--book", help="A book on the shelf, or a folder that holds book.yaml.")]


@app.command()
def check(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Assemblies in YAML or JSON; - reads standard input.")],
    book: BookName = "us",
    form: Annotated[str, typer.Option("--format", help="text or json.")] = "text",
    show_all: Annotated[bool, typer.Option("--all", help="Also show what passes.")] = False,
    width: Annotated[int | None, typer.Option(min=40, max=400, help="Columns of the paper; otherwise the terminal's.")] = None,
    witness: Annotated[bool, typer.Option("--witness", help="Have the second engine judge too, and say whether it agrees.")] = False,
) -> None:
    """Judge assemblies: findings with reasons and references, and what was not stated."""
    if form not in ("text", "json"):
        _stop(f"there is no format `{form}`. Accepted: text, json")
    from validator.assembly import read_assembly_file
    from validator.checking import check as judge

    ready = _ready(book)
    reports, unread = [], False
    for file in files:
        try:
            assembly = read_assembly_file(file, ready.vocabulary, ready.catalogue)
        except BadText as bad:
            typer.echo(str(bad), err=True)
            unread = True
            continue
        reports += [judge(each, ready, passes=show_all or form == "json") for each in assembly.to_judge()]
    notes = _witnessed(ready, files) if witness and not unread else ()
    _write(reports, form, show_all, width, notes)
    raise typer.Exit(UNREADABLE if unread else _status([report.exit_status for report in reports]))


def _write(reports: list, form: str, show_all: bool, width: int | None, notes: tuple[str, ...]) -> None:
    if form == "json":
        from validator.papers.machine import as_json

        if reports:
            typer.echo(as_json(reports))
        for note in notes:
            typer.echo(note, err=True)
        return
    from validator.papers.terminal import report_lines

    columns = width or min(shutil.get_terminal_size().columns, WIDEST)
    for number, report in enumerate(reports):
        if number:
            typer.echo()
        last = number == len(reports) - 1
        _print(report_lines(report, columns, show_passes=show_all, notes=notes if last else ()))


def _print(lines: Iterable[tuple[str, bool]]) -> None:
    """Plain text for a file or a pipe; bold heads for a person at a terminal."""
    if not sys.stdout.isatty():
        for text, _ in lines:
            typer.echo(text)
        return
    from rich.console import Console

    console = Console(highlight=False, markup=False, emoji=False)
    for text, bold in lines:
        console.print(text, style="bold" if bold else None, soft_wrap=True)


def _status(statuses: list[int]) -> int:
    """The gravest of several: 1 before 3 before 0."""
    return min((s for s in statuses if s), default=0)


def _ready(book: str):
    """A book made ready to judge; what is wrong with it is said, and the program ends."""
    from validator.ready import ready_book
    from validator.shelf import book_folder

    try:
        return ready_book(book_folder(book))
    except BadText as bad:
        _stop(str(bad))


def _stop(message: str) -> None:
    typer.echo(message, err=True)
    raise typer.Exit(UNREADABLE)


def main() -> None:
    """The console command `validator`."""
    gc.set_threshold(100_000)  # a short run makes little rubbish, and looking for it costs more than it frees
    try:
        app()
    except BrokenPipeError:
        # Whoever read our output has had enough of it, as `head` does.
        sys.stderr.close()
        raise SystemExit(0) from None


@app.command()
def schema() -> None:
    """Print a JSON Schema, so that an editor completes and checks an assembly while it is typed."""
    import json

    from validator.assembly.schema import schema_of
    from validator.shelf import shelf
    from validator.vocabulary import read_vocabulary

    try:
        vocabulary = read_vocabulary(shelf() / "vocabulary")
    except BadText as bad:
        _stop(str(bad))
    typer.echo(json.dumps(schema_of(vocabulary), indent=2, ensure_ascii=False))


@rulebook.command("list")
def list_rules(book: BookName = "us") -> None:
    """List the rules of a book by chapter."""
    ready = _ready(book)
    chapter = ""
    for rule in sorted(ready.book.rules.values(), key=lambda r: (r.chapter, r.name)):
        if rule.chapter != chapter:
            chapter = rule.chapter
            typer.echo(f"{chapter}")
        typer.echo(f"  {rule.name}: {rule.title} ({rule.severity})")
    typer.echo(f"{len(ready.book.rules)} rules, {len(ready.book.schedules)} schedules, "
               f"{len(ready.book.consequences)} consequences.")  # fmt: skip


@rulebook.command()
def explain(name: Annotated[str, typer.Argument(metavar="RULE", help="The rule's name.")], book: BookName = "us") -> None:
    """Say in plain English what a rule requires, where, why, on whose word, and which cases it was tried on."""
    from validator.papers.rules import explained
    from validator.reading import nearest

    ready = _ready(book)
    if name not in ready.book.rules:
        near = nearest(name, ready.book.rules)
        _stop(f"there is no rule `{name}` in the book {book}" + (f". Did you mean `{near}`?" if near else ""))
    for line in explained(ready.book.rules[name], ready.book):
        typer.echo(line)


@rulebook.command("check")
def check_rulebook(
    book: Annotated[str, typer.Argument(metavar="BOOK", help="A book on the shelf, or a folder that holds book.yaml.")] = "us",
) -> None:
    """Prove a book: every case on every engine, schedules without gap or overlap, and cases that notice every weakening."""
    from validator.proving import prove_cases, prove_complete, prove_weakenings

    ready = _ready(book)
    wrong = 0
    for prove in (prove_complete, prove_cases, prove_weakenings):
        for line in prove(ready):
            typer.echo(line)
            wrong += 1
    cases = sum(len(rule.cases) for rule in ready.book.rules.values())
    typer.echo(f"{len(ready.book.rules)} rules, {cases} cases, {len(ready.book.schedules)} schedules without gap or overlap, "
               f"{len(ready.book.consequences)} consequences; {wrong} to put right.")  # fmt: skip
    typer.echo(_witness_line(ready))
    raise typer.Exit(1 if wrong else 0)


def _witness_line(ready) -> str:
    from validator.engines.witness import witness_cases

    return witness_cases(ready)


def _witnessed(ready, files: list[str]) -> tuple[str, ...]:
    from validator.assembly import read_assembly_file
    from validator.engines.witness import witness_subjects

    subjects = [
        subject
        for file in files
        for assembly in read_assembly_file(file, ready.vocabulary, ready.catalogue).to_judge()
        for subject in assembly.subjects
    ]
    return (witness_subjects(ready, subjects),)


if __name__ == "__main__":
    main()
