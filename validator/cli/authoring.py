"""`rulebook new`, `schema` and `page`: a book or a rule begun, what lets an editor complete and check it, and the whole of it to read."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, QuickCommand, made_ready, stop
from validator.cli.conversation import Stopped, WentBack, answers
from validator.cli.rulebook import rulebook
from validator.language.forms import listed
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.judging.loading import LoadedBook
    from validator.rulebook.new_rule import Answers
    from validator.rulebook.rule import BookLayer

RULE = "rule"
MOST_FACTS = 12
HOW = "Answer line by line; `? words` finds the facts on a matter; back goes to the question before; stop ends and writes nothing."
QUESTIONS = {
    "title": "What must be so, in one sentence? A limit stands in braces, {its name}.",
    "chapter": "Which chapter? A folder of the book:",
    "applies": "Where does it apply? `fact: what it is; another: ...`; Enter is everywhere.",
    "requires": "What must be so there? `fact: at least 3 in`, `fact: at least limit NAME`, `thing: there`.",
    "severity": "What is a breach: fail, warn or advice?",
    "because": "Why? One sentence that whoever gets it wrong will believe.",
    "put_right": "How is it put right?",
    "source": "Which source of sources.yaml says so?",
    "section": "Which section of it? Enter leaves it out.",
    "edition": "Which edition? Enter leaves it out.",
    "known_by": "How do you know what it says?",
}
MAY_BE_EMPTY = ("applies", "section", "edition")

Answer = Annotated[str | None, typer.Option(help="The answer; asked where it is not given.")]


@rulebook.command(cls=QuickCommand)
def new(
    words: Annotated[list[str], typer.Argument(metavar="NAME | rule TITLE", help="A new book's folder, or `rule` and what must be so.")],
    on: Annotated[str, typer.Option("--on", help="The book that a new one is laid upon.")] = "us",
    layer: Annotated[str, typer.Option("--for", help="What it is: local amendment, project specification, code or standard.")] = "local amendment",
    book: BookNames = (),
    chapter: Answer = None,
    applies: Answer = None,
    requires: Answer = None,
    severity: Answer = None,
    because: Answer = None,
    put_right: Answer = None,
    source: Answer = None,
    section: Answer = None,
    edition: Answer = None,
    known_by: Answer = None,
) -> None:
    """Begin a book with worked examples and a page of ten steps; or a rule, with its cases filled in to be confirmed."""
    if words[0] != RULE:
        _new_book(words, on, layer)
        return
    given = {
        "title": " ".join(words[1:]) or None, "chapter": chapter, "applies": applies, "requires": requires, "severity": severity,
        "because": because, "put_right": put_right, "source": source, "section": section, "edition": edition, "known_by": known_by,
    }  # fmt: skip
    _new_rule(given, list(book))


def _new_book(words: list[str], on: str, layer: str) -> None:
    from validator.rulebook.new_book import NAMES, PAGE, STANDS_AS, begin_book
    from validator.rulebook.shelf import book_folder

    folder = Path(words[0])
    if len(words) > 1 or not NAMES.fullmatch(folder.name):
        stop(f"`{' '.join(words)}` is no name for a book. Accepted: small letters, digits and hyphens, as in harrow-county; or `rule` and a title")
    if layer not in STANDS_AS:
        stop(f"a book begun here cannot be `{layer}`. Accepted: {listed(STANDS_AS)}; trade practice lies beneath every code, and changes none")
    try:
        book_folder(on)
        written = begin_book(folder, on, layer)
    except BadText as bad:
        stop(str(bad))
    except FileExistsError:
        stop(f"{folder} stands there already. Accepted: a name that is not taken")
    for path in written:
        typer.echo(f"  {path}")
    typer.echo(f"{folder.name} is a {layer} upon {on}. Read {folder / PAGE}; prove it with\n  validator rulebook check {on} {folder}")


def _new_rule(given: dict[str, str | None], books: list[str]) -> None:
    from validator.rulebook.shelf import on_shelf

    loaded = made_ready(books or SHELF_BOOK)
    own = [layer for layer in loaded.book.layers if not on_shelf(layer.folder)]
    if not own:
        stop("a rule is written into a book of your own, and none is named. Accepted: `--book us --book my-book`; "
             "`validator rulebook new my-book` begins one")  # fmt: skip
    try:
        said = _asked(given, loaded, own[-1])
    except Stopped:
        typer.echo("Nothing was written.")
        raise typer.Exit(1) from None
    path = own[-1].folder / said.chapter / f"{said.name}.yaml"
    if said.name in loaded.book.rules or path.exists():
        stop(f"there is a rule `{said.name}` already. Accepted: another title; or `replaces: {said.name}` in a file of another name")
    _write(said, path, books)


def _asked(given: dict[str, str | None], loaded: "LoadedBook", own: "BookLayer") -> "Answers":
    """Every answer that was not given, asked for until it can be read. Raises Stopped."""
    from validator.rulebook.new_rule import Answers

    said: dict[str, str] = {}
    names = list(QUESTIONS)
    for name in names:
        if given[name] is not None:
            if slip := _slip(name, given[name], loaded):
                stop(slip)
            said[name] = given[name]
    asked = [name for name in names if name not in said]
    if asked:
        typer.echo(HOW)
    at = 0
    while at < len(asked):
        name = asked[at]
        typer.echo(QUESTIONS[name] + _offered(name, loaded, own))
        try:
            for typed in answers():
                if typed.startswith("?"):
                    _show_facts(typed[1:].split(), loaded)
                elif slip := _slip(name, typed, loaded):
                    typer.echo(f"   {slip}")
                else:
                    said[name], at = typed, at + 1
                    break
        except WentBack:
            at = max(at - 1, 0)
    return Answers(**said)


def _offered(name: str, loaded: "LoadedBook", own: "BookLayer") -> str:
    from validator.rulebook.sources import KNOWN_BY

    if name == "chapter":
        return " " + listed(dict.fromkeys(rule.chapter for rule in sorted(loaded.book.rules.values(), key=lambda r: r.book != own.name)), 40)
    return f" {listed(KNOWN_BY)}" if name == "known_by" else ""


def _slip(name: str, said: str, loaded: "LoadedBook") -> str:
    """What is wrong with an answer, and what would be accepted; nothing where it can be used."""
    from validator.language.slips import nearest
    from validator.rulebook.conditions import Names
    from validator.rulebook.new_rule import slips_in
    from validator.rulebook.rule import SEVERITIES
    from validator.rulebook.sources import KNOWN_BY

    if not said and name not in MAY_BE_EMPTY:
        return "An answer is needed here."
    if name in ("applies", "requires") and said:
        names = Names(frozenset(loaded.book.limits), {each.name: each.columns for each in loaded.book.schedules.values()})
        return " ".join(f"{slip.what}. Accepted: {slip.accepted}." for slip in slips_in(said, loaded.vocabulary, names))
    choices = {"severity": SEVERITIES, "known_by": tuple(KNOWN_BY), "source": tuple(loaded.book.sources)}.get(name)
    if choices and said not in choices:
        near = nearest(said, choices)
        return f"`{said}` is none of them. Accepted: {f'did you mean `{near}`? ' if near else ''}{listed(choices)}"
    if name == "chapter" and not all(part.isalnum() for part in said.split("-")):
        return "A chapter is a folder: small letters, digits and hyphens, as in wet-areas."
    return ""


def _show_facts(words: list[str], loaded: "LoadedBook") -> None:
    """The facts whose name, meaning or question holds every word."""
    found = [
        fact for fact in loaded.vocabulary.facts.values()
        if all(word.casefold() in f"{fact.name} {fact.what} {fact.ask}".casefold() for word in words)
    ]  # fmt: skip
    for fact in found[:MOST_FACTS]:
        typer.echo(f"   {fact.name}: {fact.what or fact.ask} ({listed(fact.words) or fact.kind})")
    if len(found) != len(found[:MOST_FACTS]) or not found:
        typer.echo(f"   {len(found)} facts hold {' and '.join(words) or 'anything'}; more words find fewer." if found else "   No fact holds that.")


def _write(said: "Answers", path: Path, books: list[str]) -> None:
    """Writes the rule, lets the engine say what its cases come to, and writes it again with them."""
    from validator.judging.loading import load_book
    from validator.proving.first_cases import first_cases
    from validator.rulebook.new_rule import file_of
    from validator.rulebook.shelf import book_folder

    path.parent.mkdir(exist_ok=True)
    path.write_text(file_of(said, {}, ()), encoding="utf-8")
    try:
        loaded = load_book(*(book_folder(book) for book in books))
    except BadText as bad:
        path.unlink()
        stop(f"{bad}\nNothing was written.")
    compiled = next(each for each in loaded.engine.rules if each.name == said.name)
    usual, cases = first_cases(loaded, compiled)
    path.write_text(file_of(said, usual, cases), encoding="utf-8")
    typer.echo(f"Written: {path}, with {len(cases)} cases. Hold each against the source, mend what is not so, and strike its `confirmed: no`.")


@rulebook.command(cls=QuickCommand)
def schema(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND",
            help="rule, cases, consequence, limits, schedule, book, sources, vocabulary, looks, troubles, outside-causes, no-faults or deciding.",
        ),
    ],
    book: BookNames = SHELF_BOOK,
) -> None:
    """Print a JSON Schema of one kind of file, so that an editor completes and checks a book while it is written."""
    import json

    from validator.rulebook.schema import KINDS, schema_of

    if kind not in KINDS:
        stop(f"there is no kind of file `{kind}`. Accepted: {listed(KINDS)}")
    typer.echo(json.dumps(schema_of(kind, made_ready(book).book), indent=1, ensure_ascii=False))


@rulebook.command(cls=QuickCommand)
def page(
    write: Annotated[Path, typer.Option("-o", "--output", help="The file to write.")],
    book: BookNames = SHELF_BOOK,
) -> None:
    """Write a whole book to read and print: one file, by chapter, searchable where it lies."""
    from validator.papers.book_page import book_page

    written = book_page(made_ready(book).book)
    try:
        write.write_text(written, encoding="utf-8")
    except OSError as problem:
        stop(f"{write} could not be written: {problem.strerror}. Accepted: a file in a folder that can be written to")
    typer.echo(f"Written to {write}.")
