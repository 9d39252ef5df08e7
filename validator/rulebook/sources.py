"""Published sources, each once, with its standing; and how a rule came to know what it says."""

from collections.abc import Iterable
from pathlib import Path

from validator.language.forms import choice_of, complain, fields, listed, pairs_of, text_of, texts_of
from validator.language.record import proved, record
from validator.language.slips import nearest
from validator.language.source import Complaint, Entries, Items, Node, read_file
from validator.rulebook import forms

STANDINGS = (
    "adopted code", "local amendment", "consensus standard", "handbook", "project specification", "engineering reference",
    "public guidance", "trade practice",
)  # fmt: skip
CODE_FAMILIES = ("residential", "international", "uniform")
KNOWN_BY = {
    "read myself": "read first-hand", "read second-hand": "read second-hand", "sales literature": "read in sales literature only",
    "computed": "computed", "derived": "derived", "remembered": "from memory", "practice": "common practice",
}  # fmt: skip
"""How an author may know what a source says, each with how a paper tells it."""
FIRM = frozenset(("read myself", "read second-hand", "computed", "derived"))  # ways of knowing that may set a fail


@record
class Source:
    """A publication: a code, a standard, a handbook."""

    name: str
    title: str
    standing: str
    editions: tuple[str, ...] = ()
    note: str = ""
    code_family: str = ""  # of a code: which family of model codes it belongs to, in the words of the job's own
    own_authority: bool = False  # cited by a user's own book, whose word is enough to fail


@record
class Cited:
    """One passage of a source, as a rule, a limit or a row of a schedule cites it."""

    source: Source
    section: str = ""
    edition: str = ""
    known_by: str = "remembered"
    note: str = ""

    @property
    def firm(self) -> bool:
        """True when a breach may fail; what is remembered, or is only trade practice, may warn."""
        return self.source.own_authority or (self.known_by in FIRM and self.source.standing != "trade practice")


def read_sources(paths: Iterable[Path], complaints: list[Complaint]) -> dict[str, Source]:
    """The registers of one or more sources.yaml as one."""
    found: dict[str, Source] = {}
    pairs = [pair for path in paths for pair in pairs_of(read_file(path, complaints), "sources.yaml", complaints)]
    for key, node in pairs:
        if key.text in found:
            complain(complaints, key, f"the source `{key.text}` is declared twice", "another name for one of them")
        lines = fields(node, f"the source `{key.text}`", forms.SOURCE.keys, forms.SOURCE.needed, complaints)
        found[key.text] = proved(
            Source,
            name=key.text,
            title=text_of(lines.get("title"), "title", complaints),
            standing=choice_of(lines.get("standing"), "standing", STANDINGS, complaints, "trade practice"),
            editions=texts_of(lines.get("editions"), "editions", complaints),
            note=text_of(lines.get("note"), "note", complaints),
            code_family=choice_of(lines.get("code family"), "code family", ("", *CODE_FAMILIES), complaints, ""),
        )
    return found


def read_cited(node: Node | None, sources: dict[str, Source], complaints: list[Complaint]) -> tuple[Cited, ...]:
    """One cited passage or a list of them."""
    if node is None:
        return ()
    items = node.items if isinstance(node, Items) else (node,)
    return tuple(c for c in (_cited(item, sources, complaints) for item in items) if c is not None)


def _cited(node: Node, sources: dict[str, Source], complaints: list[Complaint]) -> Cited | None:
    if not isinstance(node, Entries):
        complain(complaints, node, "a source is written as a mapping", "{from: ..., section: ..., known by: read second-hand}")
        return None
    lines = fields(node, *forms.CITED, complaints)
    name = text_of(lines.get("from"), "from", complaints)
    if name not in sources:
        near = nearest(name, sources)
        complain(complaints, lines.get("from", node), f"`{name}` is no source of sources.yaml",
               f"did you mean `{near}`?" if near else listed(sorted(sources)))  # fmt: skip
        return None
    return proved(
        Cited,
        source=sources[name],
        section=text_of(lines.get("section"), "section", complaints),
        edition=text_of(lines.get("edition"), "edition", complaints),
        known_by=choice_of(lines.get("known by"), "known by", KNOWN_BY, complaints, "remembered"),
        note=text_of(lines.get("note"), "note", complaints),
    )
