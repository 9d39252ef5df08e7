"""`ask` and `describe`: the questions that settle an assembly, on paper, as a letter, or one by one in the terminal."""

from collections.abc import Iterable
from pathlib import Path
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
    ended,
    made_ready,
    print_data,
    print_json,
    print_lines,
    stop,
)
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.assembly.draft import Draft
    from validator.judging.loading import LoadedBook

FIRST = 3
Option = Annotated[str, typer.Option("--option", help="Of a file with options, the one to look at.")]
Write = Annotated[Path | None, typer.Option("--write", help="Write the assembly to this file.")]


@app.command(cls=QuickCommand)
def ask(
    file: FileName,
    interactive: Annotated[bool, typer.Option("--interactive", help="Ask one by one, and write the completed assembly.")] = False,
    letter: Annotated[bool, typer.Option("--letter", help="One request in plain text with every question.")] = False,
    show_all: Annotated[bool, typer.Option("--all", help="Print every question, not the first three looks only.")] = False,
    strict: Annotated[bool, typer.Option("--strict", help="Everything that is not proved, what settles most first.")] = False,
    option: Option = "",
    write: Write = None,
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Ask what can still change the verdict, look by look, what matters most first, and say what each answer would do."""
    from validator.advising.asking import groups_of, most_settling_first, questions_of, questions_to_prove
    from validator.papers.asking import letter_lines, groups_object, question_lines

    if form == "json" and (interactive or letter):
        stop(f"--format json is not for {'--interactive' if interactive else '--letter'}. Accepted: one of the two")
    loaded = made_ready(book)
    if interactive:
        from validator.cli.conversation import answer_all

        keep(answer_all(draft_of(file, option, loaded), loaded, width), write)
        return
    assembly = _one_of(described(file, loaded, in_part=True), file, option)
    asked = questions_to_prove(assembly, loaded) if strict else questions_of(assembly, loaded)
    groups, name = groups_of(asked, loaded.vocabulary), assembly.name or file
    groups = most_settling_first(groups) if strict else groups
    if letter:
        for line in letter_lines(name, groups, width or 78):
            typer.echo(line)
        raise ended((assembly,))
    told = groups if show_all else groups[:FIRST]
    if form == "json":
        from validator.papers.as_json import paper_object

        print_json([paper_object(assembly, loaded, name, looks=groups_object(told), further_looks=len(groups) - len(told))])
    else:
        print_lines(question_lines(name, told, loaded.book.rules, columns(width), len(groups) - len(told)))
    raise ended((assembly,))


def _one_of(assemblies: "tuple[Assembly, ...]", file: str, option: str) -> "Assembly":
    """The assembly of a file, or that of the option named; where that is not one, the program ends."""
    by_name = {each.option: each for each in assemblies}
    return by_name[option] if option in by_name else stop(_which_option(file, by_name))


def _which_option(file: str, names: Iterable[str]) -> str:
    names = [name for name in names if name]
    if not names:
        return f"{file} has no options. Accepted: no --option"
    return f"{file} has options: name one. Accepted: " + ", ".join(f"--option {name}" for name in names)


def draft_of(file: str, option: str, loaded: "LoadedBook") -> "Draft":
    """The draft of a file, or of one of its options; what is wrong with it is said, and the program ends."""
    from validator.assembly.draft import drafts_of

    try:
        drafts = drafts_of(file, loaded.vocabulary, loaded.catalogue)
        if option not in drafts:
            stop(_which_option(file, drafts))
        drafts[option].assembly()
    except BadText as bad:
        stop(str(bad))
    return drafts[option]


def keep(draft: "Draft", write: Path | None) -> None:
    """Write what was answered to a file, or print it."""
    if write is None:
        print_data(draft.text())
        return
    try:
        write.write_text(draft.text(), encoding="utf-8")
    except OSError as problem:
        print_data(draft.text())
        stop(f"{write} could not be written: {problem.strerror}. What was answered is printed above.")
    typer.echo(f"Written to {write}.")


@app.command(cls=QuickCommand)
def describe(
    words: Annotated[list[str], typer.Argument(metavar="WORDS...", help="What the job is: shower on joists, second floor.")],
    write: Write = None,
    book: BookNames = SHELF_BOOK,
    width: Width = None,
) -> None:
    """Begin a new assembly by asking: what is usual is shown and never taken without an answer."""
    from validator.advising.asking.new_assembly import template_for, first_page, read_templates
    from validator.cli.conversation import answer_all, begin

    loaded = made_ready(book)
    said = " ".join(words)
    try:
        templates = read_templates(loaded.shelf / "beginnings.yaml", loaded.vocabulary)
    except BadText as bad:
        stop(str(bad))
    template = template_for(said, templates)
    if template is None:
        stop(f"`{said}` names no job that can be begun here. Accepted: a few words with one of "
             + ", ".join(word for each in templates for word in each.said))  # fmt: skip
    draft, go_on = begin(first_page(said, template, loaded), said, template, width)
    keep(answer_all(draft, loaded, width) if go_on else draft, write)
