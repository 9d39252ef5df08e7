"""What is seen to be wrong, added to a description or taken out of it. Takes a Draft, returns another."""

from collections.abc import Mapping

from validator.assembly.build_ups import Unchangeable
from validator.assembly.draft import Draft
from validator.assembly.observation_reading import SEEN
from validator.facts.observing import Observation
from validator.facts.subjects import Subject
from validator.language import editing
from validator.language.forms import normalized
from validator.language.source import Entries, Items, Node, Text


def seen_added(draft: Draft, subject: Subject, seen: str | Mapping[str, str]) -> Draft:
    """One line more of what is seen, of a place or of the whole: in words, or as facts of an observation by name. Raises Unchangeable."""
    line = editing.text(seen) if isinstance(seen, str) else editing.entries(*((name, editing.text(words)) for name, words in seen.items()))
    own = () if subject.sort == "job" else editing.found(draft.node, subject.where)
    if own is None:
        raise Unchangeable(f"`{subject.name}` has no lines of its own; say of the whole what is seen there")

    def with_it(old: Node) -> Node:
        if isinstance(old, Items):  # a place that is its build-up alone
            old = editing.entries(("built up", old))
        if isinstance(old, Text) and normalized(old.text):
            raise Unchangeable(f"`{subject.name}` is written in one line; say of the whole what is seen there")
        before = old.get(SEEN) if isinstance(old, Entries) else None
        every = before.items if isinstance(before, Items) else (before,) if before is not None else ()
        return editing.put(old, (SEEN,), line if not every else Items((*every, line), editing.fresh()))

    return draft._replace(node=editing.changed(draft.node, own, with_it))


def seen_removed(draft: Draft, seen: Observation) -> Draft:
    """The description without the line that tells of something seen. Raises Unchangeable."""
    path = editing.found(draft.node, seen.where)
    if path is None:
        raise Unchangeable("no line of its own tells of that")
    above = editing.at(draft.node, path[:-1])
    if isinstance(above, Entries) and normalized(editing.name_at(draft.node, path)) != SEEN:  # one of its facts
        path, above = path[:-1], editing.at(draft.node, path[:-2])
    alone = isinstance(above, Items) and len(above.items) == 1
    return draft._replace(node=editing.without(draft.node, path[:-1] if alone else path))
