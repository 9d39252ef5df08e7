"""`rulebook list`, `explain` and `check`: a book read, proved and explained."""

from typing import Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, Form, QuickGroup, app, made_ready, print_json, stop

rulebook = typer.Typer(cls=QuickGroup, no_args_is_help=True, rich_markup_mode=None, help="Read, prove, list and explain a rulebook.")
app.add_typer(rulebook, name="rulebook")


@rulebook.command("list")
def list_rules(book: BookNames = SHELF_BOOK, form: Form = "text") -> None:
    """List the rules of a book by chapter."""
    from validator.papers.rules import book_object, by_chapter

    ready = made_ready(book)
    if form == "json":
        print_json([book_object(ready.book)])
        return
    chapter = ""
    for rule in by_chapter(ready.book):
        if rule.chapter != chapter:
            chapter = rule.chapter
            typer.echo(f"{chapter}")
        typer.echo(f"  {rule.name}: {rule.title} ({rule.severity})")
    typer.echo(f"{len(ready.book.rules)} rules, {len(ready.book.schedules)} schedules, "
               f"{len(ready.book.consequences)} consequences.")  # fmt: skip


@rulebook.command()
def explain(
    name: Annotated[str, typer.Argument(metavar="RULE", help="The rule's name.")],
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
) -> None:
    """Say in plain English what a rule requires, where, why, on whose word, and which cases it was tried on."""
    from validator.papers.rules import explained, rule_object
    from validator.reading import nearest

    ready = made_ready(book)
    if name not in ready.book.rules:
        near = nearest(name, ready.book.rules)
        stop(f"there is no rule `{name}` in the book {ready.book.name}" + (f". Did you mean `{near}`?" if near else ""))
    rule = ready.book.rules[name]
    if form == "json":
        print_json([rule_object(rule, ready.book)])
        return
    for line in explained(rule, ready.book):
        typer.echo(line)


@rulebook.command("check")
def check_rulebook(
    names: Annotated[list[str] | None, typer.Argument(metavar="[BOOK]...", help="Books, as for --book; us if none is named.")] = None,
    book: BookNames = (),
) -> None:
    """Prove a book: every case on every engine, schedules without gap or overlap, and cases that notice every weakening.

    Of several books each is proved upon those beneath it, and what it loosens is listed.
    """
    from validator.proving import PROOFS, loosened, prove_decided

    ready = made_ready([*(names or ()), *book] or SHELF_BOOK)
    wrong, beneath, laid = 0, None, []
    for layer in ready.book.layers:
        laid.append(str(layer.folder))
        upon = ready if len(laid) == len(ready.book.layers) else made_ready(laid)
        lines = [line for prove in PROOFS for line in prove(upon, layer.name)]
        for line in lines:
            typer.echo(line)
        wrong += len(lines)
        for line in prove_decided(upon, layer.name):
            typer.echo(f"To know: {line}")
        if beneath is not None:
            _write_loosened(layer, list(loosened(layer, beneath, upon)))
        beneath = upon
    cases = sum(len(rule.cases) for rule in ready.book.rules.values())
    typer.echo(f"{len(ready.book.rules)} rules, {cases} cases, {len(ready.book.schedules)} schedules without gap or overlap, "
               f"{len(ready.book.consequences)} consequences; {wrong} to put right.")  # fmt: skip
    typer.echo(_witness_line(ready))
    wrong += _write_columns(ready)
    raise typer.Exit(1 if wrong else 0)


def _write_loosened(layer, lines: list[str]) -> None:
    typer.echo(f"{layer.name} ({layer.standing}) loosens {len(lines) or 'nothing'}{':' if lines else '.'}")
    for line in lines:
        typer.echo(f"  {line}")


def _write_columns(ready) -> int:
    """Says what columns made of every case; returns how many came to something else."""
    from validator.proving import prove_columns

    try:
        proved, differ = prove_columns(ready)
    except ImportError:
        typer.echo("No columns: Polars is not installed; the `screen` extra brings it.")
        return 0
    for line in differ:
        typer.echo(line)
    typer.echo(f"Over columns: {proved} cases come to the same, {len(differ)} to something else.")
    return len(differ)


def _witness_line(ready) -> str:
    from validator.engines.witness import witness_cases

    return witness_cases(ready)
