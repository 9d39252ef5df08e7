"""`words` and `schema`: what may be written, for a reader and for an editor."""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, Form, QuickCommand, Width, app, columns, print_json, print_lines, stop
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.facts.vocabulary import Vocabulary


@app.command(cls=QuickCommand)
def words(
    word: Annotated[list[str] | None, typer.Argument(metavar="[WORD]...", help="A word, or its beginning: screw, mud bed, thick.")] = None,
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """List what may be written: every thing and fact that a word is about, with its words and an example."""
    from validator.papers.word_list import nothing_found, word_lines, words_found, words_object

    vocabulary, said = _vocabulary(book), " ".join(word or ())
    found = words_found(vocabulary, said)
    if not found:
        stop(nothing_found(vocabulary, said))
    if form == "json":
        print_json([words_object(vocabulary, found)])
    else:
        print_lines(word_lines(vocabulary, found, columns(width)))


@app.command(cls=QuickCommand)
def schema(book: BookNames = SHELF_BOOK) -> None:
    """Print a JSON Schema, so that an editor completes and checks an assembly while it is typed."""
    import json

    from validator.assembly.schema import schema_of

    typer.echo(json.dumps(schema_of(_vocabulary(book)), indent=2, ensure_ascii=False))


def _vocabulary(books: "BookNames") -> "Vocabulary":
    """The vocabulary of some books; what is wrong with it is said, and the program ends."""
    from validator.facts.vocabulary_reading import read_vocabulary
    from validator.rulebook.shelf import book_folder, shared_folder

    try:
        folders = [book_folder(name) for name in books]
        vocabulary = read_vocabulary(shared_folder(folders) / "vocabulary", *(folder / "vocabulary" for folder in folders))
        vocabulary.can_describe()
    except BadText as bad:
        stop(str(bad))
    return vocabulary
