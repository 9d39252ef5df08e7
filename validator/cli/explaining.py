"""`why`: everything behind one judgement."""

from typing import Annotated

import typer

from validator.cli.common import SHELF_BOOK, BookNames, Width, app, columns, made_ready, print_lines, stop
from validator.cli.sums import FileName
from validator.reading import BadText, nearest


@app.command()
def why(
    file: FileName,
    rule: Annotated[str, typer.Argument(metavar="RULE", help="The rule's name, as a finding and `rulebook list` give it.")],
    place: Annotated[str, typer.Option("--place", help="One place or junction only, by its name.")] = "",
    book: BookNames = SHELF_BOOK,
    width: Width = None,
) -> None:
    """Print the whole tree of one judgement: facts and whence, the comparison that decided, what followed, steps, sources."""
    from validator.assembly import read_assembly_file
    from validator.papers.why import why_lines
    from validator.tracing import traced

    ready = made_ready(book)
    if rule not in ready.book.rules:
        near = nearest(rule, ready.book.rules)
        stop(f"there is no rule `{rule}` in the book {ready.book.name}" + (f". Did you mean `{near}`?" if near else ""))
    try:
        assembly = read_assembly_file(file, ready.vocabulary, ready.catalogue)
    except BadText as bad:
        stop(str(bad))
    for each in assembly.to_judge():
        found = traced(each, ready, rule, place)
        if not found:
            names = [subject.name for subject in each.subjects if subject.sort == ready.book.trees[rule].sort]
            said = f"`{rule}` is not judged at `{place}`" if place else f"`{rule}` is judged nowhere in this assembly"
            near = nearest(place, names) if place else None
            stop(f"{said}. Accepted: " + (f"did you mean `{near}`? " if near else "") + ", ".join(names))
        for number, judged in enumerate(found):
            if number:
                typer.echo()
            print_lines(why_lines(judged, ready.vocabulary, columns(width)))
