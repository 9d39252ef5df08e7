"""`why`: everything behind one judgement."""

from typing import Annotated

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
    made_ready,
    print_each,
    print_json,
    rule_named,
    stop,
)
from validator.language.slips import nearest


@app.command(cls=QuickCommand)
def why(
    file: FileName,
    rule: Annotated[str, typer.Argument(metavar="RULE", help="The rule's name, as a finding and `rulebook list` give it.")],
    place: Annotated[str, typer.Option("--place", help="One place or junction only, by its name.")] = "",
    strict: Annotated[bool, typer.Option("--strict", help="By what was stated alone, with nothing taken as usual.")] = False,
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Print the whole tree of one judgement: facts and whence, the comparison that decided, what followed, steps, sources."""
    from validator.judging.verdict import assembly_as_told
    from validator.judging.why import AS_TOLD, STRICT, traced
    from validator.papers.as_json import paper_object
    from validator.papers.why import judged_object, why_lines

    loaded = made_ready(book)
    rule_named(rule, loaded)
    assemblies = [each if strict else assembly_as_told(each, loaded) for each in described(file, loaded)]
    reading = STRICT if strict else AS_TOLD
    found = [(each, judged) for each in assemblies if (judged := traced(each, loaded, rule, place))]
    if not found:
        sort = loaded.book.trees[rule].sort
        names = dict.fromkeys(subject.name for each in assemblies for subject in each.subjects if subject.sort == sort)
        said = f"`{rule}` is not judged at `{place}`" if place else f"`{rule}` is judged nowhere in this assembly"
        near = nearest(place, names) if place else None
        stop(f"{said}. Accepted: " + (f"did you mean `{near}`? " if near else "") + ", ".join(names))
    if form == "json":
        print_json(paper_object(each, loaded, reading=reading, judgements=[judged_object(one) for one in judged]) for each, judged in found)
    else:
        print_each(why_lines(one, loaded.vocabulary, columns(width), reading) for _, judged in found for one in judged)
