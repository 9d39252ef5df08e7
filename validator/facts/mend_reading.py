"""Takes the `mend:` lines of a vocabulary, returns what may be changed, to what, and how hard that is."""

from collections.abc import Iterable

from validator.facts.vocabulary import EFFORT_SCALE, Mend
from validator.language import amounts
from validator.language.forms import complain, fields, text_of, texts_of
from validator.language.source import Complaint, Node

THING_WAYS = ("add", "remove", "swap")


def read_mend(node: Node, kind: str, words: Iterable[str], complaints: list[Complaint]) -> Mend:
    """The `mend:` line of a fact."""
    lines = fields(node, "`mend`", ("how", "sizes", "steps of", "to"), ("how",), complaints)
    sizes, step = texts_of(lines.get("sizes"), "sizes", complaints), text_of(lines.get("steps of"), "steps of", complaints)
    if kind in amounts.KINDS:
        for size in (*sizes, *((step,) if step else ())):
            try:
                amounts.read(size, kind)
            except amounts.AmountProblem as problem:
                complain(complaints, node, problem.what, problem.accepted)
        if not sizes and not step:
            complain(complaints, node, "`mend` of an amount says neither sizes nor a step", "`sizes: [...]`, or `steps of: ...`")
    to = texts_of(lines.get("to"), "to", complaints)
    for word in to:
        if word not in words:
            complain(complaints, lines["to"], f"`{word}` is not one of the words", ", ".join(words))
    return Mend(text_of(lines.get("how"), "how", complaints), sizes, step, to)


def read_ways(node: Node, complaints: list[Complaint]) -> dict[str, str]:
    """The `mend:` line of a thing: how hard it is to add, remove or swap it."""
    lines = fields(node, "`mend`", THING_WAYS, (), complaints)
    return {way: text_of(line, way, complaints) for way, line in lines.items()}


def check_efforts(used: Iterable[tuple[str, Node]], scale: tuple[str, ...], complaints: list[Complaint]) -> None:
    """Complain of an effort that is not a word of the scale."""
    for how, node in used:
        if how not in scale:
            complain(complaints, node, f"`{how}` is no rung of `{EFFORT_SCALE}`", ", ".join(scale))
