"""What every command shares: the app, the options that several take, a book made ready, and how lines are printed."""

import re
import shutil
import sys
from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer
from typer.core import TyperCommand, TyperGroup

from validator.cli.faults import AtWork
from validator.cli.terminal import styled
from validator.cli.typing_errors import TypingFault, slip_in_words, unfit
from validator.language.slips import nearest, or_a_book_is_missing
from validator.language.source import BadAssembly, BadText
from validator.papers.visible import shown

if TYPE_CHECKING:
    from click import HelpFormatter
    from typer.core import TyperArgument, TyperOption

    from validator.assembly import Assembly
    from validator.judging.loading import LoadedBook
    from validator.papers.wrapping import Line
    from validator.rulebook.rule import Rule
    from validator.submittals.register import Revision

UNREADABLE = 2
STOPPED = 130
WIDEST = 100
MOST_OFFERED = 6


class _AsTyped:
    """Takes words as they are typed: what typer would load to convert them takes as long as a whole check."""

    def get_params(self, ctx: typer.Context) -> list:
        params = super().get_params(ctx)
        for param in params:
            param.process_value = partial(_as_typed, param)
        return params

    def parse_args(self, ctx: typer.Context, args: list[str]) -> list[str]:
        try:
            return super().parse_args(ctx, args)
        except TypingFault as slip:
            slip.ctx = slip.ctx or ctx  # which command it was typed to is not always said
            raise

    def collect_usage_pieces(self, ctx: typer.Context) -> list[str]:
        """`FILE...`, as its help calls it."""
        return [re.sub(r"\{(\w+)(?:\.\.\.)?\}", r"\1", piece) for piece in super().collect_usage_pieces(ctx)]


def _as_typed(param: "TyperArgument | TyperOption", ctx: typer.Context, value: object) -> object:
    """The value of an option or argument; typer converts what is no text, and says what is missing."""
    taken = getattr(getattr(param, "type_descriptor", None), "annotation", None)
    one = param.nargs == 1 and not getattr(param, "multiple", False)
    texts = taken == list[str] and isinstance(value, (list, tuple)) and (len(value) > 0 or not param.required)
    if texts or (taken is str and isinstance(value, str)) or (value is None and one and not param.required):
        value = list(value) if texts else value
        return param.callback(ctx, param, value) if param.callback else value
    try:
        return type(param).process_value(param, ctx, value)
    except typer.BadParameter as slip:
        if value is None or value == ():
            raise  # missing, which is said with all that the command needs
        typer.echo(unfit(param, value), err=True)
        raise typer.Exit(UNREADABLE) from slip


class QuickCommand(_AsTyped, TyperCommand):
    """A command that begins as quickly as it can."""


class QuickGroup(_AsTyped, TyperGroup):
    """The commands together, and what is asked of them all; `check` first, and each in the whole of its first words."""

    def main(self, *args: object, **how: object) -> object:
        """Runs what was typed; a slip of typing is said in our own words."""
        if not how.get("standalone_mode", True):
            return super().main(*args, **how)  # whoever calls from a program of their own takes what is raised
        try:
            status = super().main(*args, **{**how, "standalone_mode": False})
        except TypingFault as slip:
            asked = type(slip).__name__ == "NoArgsIsHelpError"
            typer.echo(slip.ctx.get_help() if asked else slip_in_words(slip), err=True)
            sys.exit(UNREADABLE)
        except typer.Abort:
            typer.echo("Stopped.", err=True)
            sys.exit(STOPPED)
        sys.exit(status)

    def list_commands(self, ctx: typer.Context) -> list[str]:
        return sorted(super().list_commands(ctx), key=lambda name: name != "check")

    def format_commands(self, ctx: typer.Context, formatter: "HelpFormatter") -> None:
        told = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl([(name, " ".join((each.help or "").partition("\n\n")[0].split())) for name, each in told])


app = typer.Typer(
    cls=QuickGroup, add_completion=False, no_args_is_help=True, pretty_exceptions_enable=False, rich_markup_mode=None,
    help="Validates a described tile or stone assembly for compatibility and warranty risk, before the tile hides it.",
)  # fmt: skip


@app.callback()
def every_command() -> None:
    """A command is named even where a run has loaded only one: typer would else take that one for the whole program."""


BookNames = Annotated[
    list[str],
    typer.Option("--book", help="A book on the shelf, or a folder that holds book.yaml; several are laid upon each other."),
]
SHELF_BOOK = ["us"]
FileName = Annotated[str, typer.Argument(metavar="FILE", help="An assembly in YAML or JSON; - reads standard input.")]
Width = Annotated[int | None, typer.Option(min=40, max=400, help="Columns of the paper; otherwise the terminal's.")]


Since = Annotated[
    list[str],
    typer.Option("--since", help="The submission before: its description, or the register that `review` wrote; several, the oldest first."),
]

NO_OLDER: list[str] = []


def _text_or_json(form: str) -> str:
    known_form(form, "text", "json")
    return form


Form = Annotated[str, typer.Option("--format", help="text or json.", callback=_text_or_json)]


def columns(width: int | None) -> int:
    """The columns asked for, else the terminal's up to a readable width."""
    return width or min(shutil.get_terminal_size().columns, WIDEST)


def known_form(form: str, *forms: str) -> None:
    """Stops when a format is asked for that the command does not write."""
    if form not in forms:
        stop(f"there is no format `{form}`. Accepted: {', '.join(forms)}")


def print_lines(lines: Iterable[tuple[str, bool]]) -> None:
    """Plain text for a file or a pipe; bold heads for a person at a terminal."""
    if not sys.stdout.isatty():
        for text, _ in lines:
            typer.echo(text)
        return
    from rich.console import Console

    console = Console(file=styled(sys.stdout), highlight=False, markup=False, emoji=False)
    for text, bold in lines:
        console.print(shown(text), style="bold" if bold else None, soft_wrap=True)


def print_each(papers: "Iterable[Iterable[Line]]") -> None:
    """Several papers, a line free between them."""
    for number, lines in enumerate(papers):
        if number:
            typer.echo()
        print_lines(lines)


def print_json(papers: Iterable[object]) -> None:
    """Papers for another program: one as an object, several as a list."""
    from validator.papers.as_json import as_json

    typer.echo(as_json(papers))


def print_data(text: str) -> None:
    """A table or a description: as it is to another program, and shown to a person at a terminal."""
    if sys.stdout.isatty():
        typer.echo(text, nl=False)
    else:
        sys.stdout.flush()
        sys.stdout.buffer.write(text.encode("utf-8", "surrogatepass"))
        sys.stdout.buffer.flush()


def described(file: str, loaded: "LoadedBook", *, in_part: bool = False) -> "tuple[Assembly, ...]":
    """The assembly of a file, or each of its options; what is wrong with it is said, and the program ends.

    `in_part`: it is taken by what could be read, and the name that heads every paper says which lines were not; a paper that is built,
    bought or numbered by is never made so.
    """
    from validator.assembly import read_assembly_file

    AtWork.file = file
    try:
        return read_assembly_file(file, loaded.vocabulary, loaded.catalogue).to_judge()
    except BadText as bad:
        so_far = bad.so_far if in_part and isinstance(bad, BadAssembly) else None
        if so_far is None:
            stop(str(bad))
        typer.echo(str(bad), err=True)
        from validator.papers.as_told import in_part_named

        return tuple(each._replace(name=in_part_named(each.name, each.unread_lines)) for each in so_far.to_judge())


def ended(assemblies: "tuple[Assembly, ...]", status: int = 0) -> typer.Exit:
    """How a command ends that read a file in part or whole: 2 where some line could not be read, else as its paper says."""
    return typer.Exit(UNREADABLE if any(each.unread_lines for each in assemblies) else status)


def submissions(assemblies: "tuple[Assembly, ...]", since: list[str], loaded: "LoadedBook") -> "list[Revision]":
    """Each assembly as the next submission after those of older files; what is wrong with these is said, and the program ends."""
    from validator.judging.checking import check
    from validator.submittals.register import Register, submitted
    from validator.submittals.register_file import is_register, read_registers

    before: list[Register] = []
    for name in since:
        try:
            if is_register(name):
                before = read_registers(name)
                continue
        except BadText as bad:
            stop(str(bad))
        older = described(name, loaded)
        known = _matched(older, before, name)
        before = [submitted(each, check(each, loaded), loaded, was).register for each, was in zip(older, known)]
    matched = _matched(assemblies, before, since[-1] if since else "")
    return [submitted(each, check(each, loaded), loaded, was) for each, was in zip(assemblies, matched)]


def _matched(assemblies: "tuple[Assembly, ...]", before: "list[Register]", name: str) -> "list[Register | None]":
    """The register of each assembly: of options by their order, which must be the same."""
    if before and len(before) != len(assemblies):
        stop(f"{name} has {len(before)} options and what follows it has {len(assemblies)}. Accepted: the same options in the same order")
    return list(before) or [None] * len(assemblies)


def made_ready(books: list[str], *, everything: bool = False) -> "LoadedBook":
    """Books laid upon each other and made ready to judge; what is wrong with them is said, and the program ends."""
    from validator.judging.loading import load_book
    from validator.rulebook.shelf import book_folder

    try:
        return load_book(*(book_folder(book) for book in books), everything=everything)
    except BadText as bad:
        stop(str(bad))


def rule_named(name: str, loaded: "LoadedBook") -> "Rule":
    """A rule of the book by its name; where there is none, the nearest are offered, and the program ends."""
    if name not in loaded.book.rules:
        stop(f"there is no rule `{name}` in {loaded.book.name}. Accepted: {_near_rules(name, loaded.book.rules)}{or_a_book_is_missing(name, nearest(name, loaded.book.rules))}")
    return loaded.book.rules[name]


def _near_rules(name: str, rules: Iterable[str]) -> str:
    """The rules whose names hold all the words of a name, else the nearest, else those that share most with it."""
    words = re.split(r"[\s_-]+", name.casefold().strip())
    holding = [each for each in rules if all(word in each for word in words)]
    near = nearest(name, rules)
    offered = holding[:MOST_OFFERED] or ([near] if near else _sharing(words, rules)[:MOST_OFFERED])
    more = f", and {len(holding) - MOST_OFFERED} more" if len(holding) > MOST_OFFERED else ""
    named = ", ".join(f"`{each}`" for each in offered)
    return f"did you mean {named}{more}?" if offered else "a name that `rulebook list` gives"


def _sharing(words: list[str], rules: Iterable[str]) -> list[str]:
    """The rules whose names share a word of some length, those that share most first."""
    shared = {each: sum(word in each.split("-") for word in words if len(word) > 3) for each in rules}
    return sorted((each for each, number in shared.items() if number), key=lambda each: -shared[each])


def stop(message: str) -> NoReturn:
    """Says why, and ends the program as unreadable."""
    typer.echo(message, err=True)
    raise typer.Exit(UNREADABLE)
