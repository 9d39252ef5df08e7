"""`rulebook list`, `explain` and `check`: a book read, proved and explained."""

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, Form, QuickCommand, QuickGroup, app, made_ready, print_json, rule_named
from validator.rulebook.shelf import on_shelf

if TYPE_CHECKING:
    from validator.judging.loading import LoadedBook
    from validator.proving import Changes
    from validator.rulebook.rule import BookLayer

rulebook = typer.Typer(cls=QuickGroup, no_args_is_help=True, rich_markup_mode=None, help="Read, prove, list and explain a rulebook.")
app.add_typer(rulebook, name="rulebook")


@rulebook.command("list", cls=QuickCommand)
def list_rules(
    words: Annotated[list[str] | None, typer.Argument(metavar="[WORD]...", help="Only rules whose name, title or reason holds every word.")] = None,
    chapter: Annotated[str, typer.Option(help="Only one chapter.")] = "",
    source: Annotated[str, typer.Option(help="Only rules that cite a source of such a name.")] = "",
    severity: Annotated[str, typer.Option(help="Only fail, warn or advice.")] = "",
    reads: Annotated[str, typer.Option(help="Only rules that read such a fact or thing.")] = "",
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
) -> None:
    """List the rules of a book by chapter; of several books, whose each is."""
    from validator.papers.rules import Wanted, book_object, by_chapter

    loaded = made_ready(book)
    wanted = Wanted(tuple(words or ()), chapter, source, severity, reads)
    if form == "json":
        print_json([book_object(loaded.book, wanted)])
        return
    chapter, several, shown = "", len(loaded.book.layers) > 1, by_chapter(loaded.book, wanted)
    for rule in shown:
        if rule.chapter != chapter:
            chapter = rule.chapter
            typer.echo(f"{chapter}")
        whose = f", {' and '.join(loaded.book.books_behind(rule))}" if several else ""
        typer.echo(f"  {rule.name}: {rule.title} ({rule.severity}{whose})")
    of = f" of {len(loaded.book.rules)}" if len(shown) < len(loaded.book.rules) else ""
    typer.echo(f"{len(shown)}{of} rules, {len(loaded.book.schedules)} schedules, "
               f"{len(loaded.book.consequences)} consequences.")  # fmt: skip


@rulebook.command(cls=QuickCommand)
def explain(
    name: Annotated[str, typer.Argument(metavar="RULE", help="The rule's name.")],
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
) -> None:
    """Say in plain English what a rule requires, where, why, on whose word, which cases it was tried on; then the file itself."""
    from validator.papers.rules import explained, rule_object, written

    loaded = made_ready(book)
    rule = rule_named(name, loaded)
    if form == "json":
        print_json([rule_object(rule, loaded.book)])
        return
    for line in (*explained(rule, loaded.book), "", *written(rule)):
        typer.echo(line)


@rulebook.command("check", cls=QuickCommand)
def check_rulebook(
    names: Annotated[list[str] | None, typer.Argument(metavar="[BOOK]...", help="Books, as for --book; us if none is named.")] = None,
    book: BookNames = (),
    whole: Annotated[bool, typer.Option("--whole", help="Also prove the shelf's books that yours are laid on.")] = False,
) -> None:
    """Prove a book: its cases on every engine, its schedules, and that its cases notice every weakening.

    Of several books each is proved upon those beneath it, and what it loosens is listed. The shelf's books are leaned on as
    they stand where yours are laid on them; what yours change in them is proved.
    """
    from validator.proving import changes_of, in_schedules, reached

    loaded = made_ready([*(names or ()), *book] or SHELF_BOOK)
    own = [layer for layer in loaded.book.layers if whole or not on_shelf(layer.folder)] or list(loaded.book.layers)
    wrong, beneath, laid = 0, None, []
    for layer in loaded.book.layers:
        laid.append(str(layer.folder))
        upon = loaded if len(laid) == len(loaded.book.layers) else made_ready(laid)
        if layer in own:
            wrong += _write_proved(upon, layer.name, beneath)
            if beneath is not None:
                _write_changes(layer, changes_of(layer, beneath, upon))
        beneath = upon
    proved = frozenset().union(*(reached(loaded.book, layer.name) for layer in own))
    named = {layer.name for layer in own}
    rules = [loaded.book.rules[name] for name in loaded.book.rules if name in proved]
    schedules = [each for each in loaded.book.schedules.values() if each.book in named]
    consequences = sum(each.book in named for each in loaded.book.consequences.values())
    typer.echo(f"{len(rules)} rules, {sum(len(rule.cases) for rule in rules)} cases, {in_schedules(schedules)}, "
               f"{consequences} consequences; {wrong} to put right.")  # fmt: skip
    leaned = [layer.name for layer in loaded.book.layers if layer not in own]
    if leaned:
        changed = sum(rule.book not in named for rule in rules)
        typer.echo(f"Of {' and '.join(leaned)} only what your book changes was proved, {changed} of those rules; --whole proves the rest too.")
    typer.echo(_witness_line(loaded, proved))
    wrong += _write_columns(loaded, proved)
    raise typer.Exit(1 if wrong else 0)


def _at_work(doing: str) -> None:
    """Says at a terminal what is being done, since a whole book takes a while."""
    if sys.stderr.isatty():
        typer.echo(f"... {doing}", err=True)


def _write_proved(upon: "LoadedBook", book: str, beneath: "LoadedBook | None") -> int:
    """Writes what is to put right in one book, and what its author should know; returns how much is to put right."""
    from validator.proving import (
        PROOFS,
        breaches_unsaid,
        misplaced,
        prove_decided,
        titles_beside,
        typed_beside,
        unanswered_between,
        unasked_rows,
        unconfirmed,
        unheld_consequences,
        unheld_rows,
    )

    lines = []
    for prove, doing in PROOFS.items():
        _at_work(f"{book}: {doing}")
        lines += prove(upon, book)
    for line in lines:
        typer.echo(line)
    _at_work(f"{book}: changing every row of its tables")
    own = [each for each in upon.book.schedules.values() if each.book == book]
    laid = (*misplaced(upon, book), *titles_beside(upon, book), *typed_beside(beneath, upon, book)) if beneath is not None else ()
    for line in (*laid, *unanswered_between(own), *unasked_rows(upon, book), *prove_decided(upon, book), *breaches_unsaid(upon, book)):
        typer.echo(f"To know: {line}")
    for line in unconfirmed(upon, book):
        typer.echo(f"To confirm: {line}")
    unheld = [*unheld_rows(upon, book), *unheld_consequences(upon, book)]
    typer.echo(f"{book}: {len(unheld) or 'no'} answers of tables and conditions of consequences that no case holds"
               + (", where a slip would pass unseen:" if unheld else "."))  # fmt: skip
    for line in unheld:
        typer.echo(f"  {line}")
    return len(lines)


def _write_changes(layer: "BookLayer", changes: "Changes") -> None:
    for what, lines in changes._asdict().items():
        typer.echo(f"{layer.name} ({layer.standing}) {what} {len(lines) or 'nothing'}{':' if lines else '.'}")
        for line in lines:
            typer.echo(f"  {line}")


def _write_columns(loaded: "LoadedBook", proved: frozenset[str]) -> int:
    """Says what columns made of every case; returns how many came to something else."""
    from validator.proving import prove_columns

    try:
        same, differ = prove_columns(loaded, proved)
    except ImportError:
        typer.echo("No columns: Polars is not installed; the `screen` extra brings it.")
        return 0
    for line in differ:
        typer.echo(line)
    typer.echo(f"Over columns: {same} cases come to the same, {len(differ)} to something else.")
    return len(differ)


def _witness_line(loaded: "LoadedBook", proved: frozenset[str]) -> str:
    from validator.proving.witness import witness_cases

    return witness_cases(loaded, proved)
