"""Changes to a build-up as a whole: a layer added, moved, removed or copied with its place; a fact no longer said.

Takes a Draft, returns another. A layer is known by its place's name and its turn in the list, from the structure outwards.
Raises Unchangeable where the description has no such thing.
"""

from typing import NamedTuple

from validator.assembly.draft import Draft
from validator.facts.subjects import Layer, Subject
from validator.language import editing
from validator.language.forms import normalized
from validator.language.source import Entries, Items, Node, Text


class Unchangeable(ValueError):
    """What was to be changed is not there, or not as it was when it was looked at."""


class WrittenLayer(NamedTuple):
    """One line of a build-up: its turn, the name it is written under, and the layer it was read as; None for a gap."""

    number: int
    name: str
    layer: Layer | None


def layers_of(draft: Draft, place: Subject) -> tuple[WrittenLayer, ...]:
    """The layers of a place as they are written, from the structure outwards."""
    path = draft.build_up_path(place)
    if path is None:
        return ()
    by_item = {}
    for layer in (*(each for layers in place.layers.values() for each in layers), *place.taken_out):
        at = editing.found(draft.node, layer.where)
        if at is not None and at[: len(path)] == path:
            by_item[at[len(path)]] = layer
    items = editing.at(draft.node, path).items
    return tuple(WrittenLayer(number, _name(item), by_item.get(number)) for number, item in enumerate(items))


def is_taken_from(draft: Draft, place: Subject) -> str:
    """The place whose build-up this one is written as (`like`); nothing where it has one of its own, or none."""
    own = editing.found(draft.node, place.where)
    path = draft.build_up_path(place)
    if own is None or path is None or path[: len(own)] == own:
        return ""
    return editing.name_at(draft.node, path[:-1])


def moved(draft: Draft, place: Subject, number: int, name: str, by: int) -> Draft:
    """A layer further out (+1) or further in (-1)."""
    def swapped(old: Items) -> Items:
        items, other = list(old.items), number + by
        if not 0 <= other < len(items):
            raise Unchangeable(f"`{name}` is already {'outermost' if by > 0 else 'next to the structure'}")
        items[number], items[other] = items[other], items[number]
        return old._replace(items=tuple(items))

    return draft._replace(node=editing.changed(draft.node, _layer(draft, place, number, name), swapped))


def removed(draft: Draft, place: Subject, number: int, name: str) -> Draft:
    """The build-up without a layer."""
    path = _layer(draft, place, number, name)
    return draft._replace(node=editing.without(draft.node, (*path, number)))


def copied(draft: Draft, place: Subject, to: Subject) -> Draft:
    """A place built up as another one is, written out, so that each may be changed by itself."""
    path, own = draft.build_up_path(place), editing.found(draft.node, to.where)
    if path is None or own is None:
        raise Unchangeable(f"`{place.name}` has no layers to copy")
    fresh = _fresh(editing.at(draft.node, path))

    def built(old: Node) -> Entries:
        kept = tuple(pair for pair in (old.pairs if isinstance(old, Entries) else ()) if normalized(pair[0].text) not in ("like", "built up"))
        return Entries((*kept, (editing.text("built up"), fresh)), editing.fresh())

    return draft._replace(node=editing.changed(draft.node, own, built))


def no_longer_said(draft: Draft, subject: Subject, name: str, layer: Layer | None = None) -> Draft:
    """The description without the line that says a fact."""
    known = (layer.known if layer is not None else subject.known).get(name)
    path = editing.found(draft.node, known.where) if known is not None else None
    if path is None or isinstance(editing.at(draft.node, path[:-1]), Items):
        raise Unchangeable("no line of its own says that")
    return draft._replace(node=editing.without(draft.node, path))


def place_added(draft: Draft, name: str, kind: str, like: str = "") -> Draft:
    """A place more, of a kind; built up as another where one is named."""
    lines = [("kind", editing.text(kind)), *([("like", editing.text(like))] if like else [])]
    return draft._replace(node=editing.put(draft.node, ("places", name), editing.entries(*lines)))


def place_removed(draft: Draft, place: Subject) -> Draft:
    """The description without a place."""
    path = editing.found(draft.node, place.where)
    if path is None:
        raise Unchangeable(f"there is no place `{place.name}`")
    return draft._replace(node=editing.without(draft.node, path))


def _layer(draft: Draft, place: Subject, number: int, name: str) -> editing.Path:
    """The path of the list that holds a layer, which must still be the one that is meant."""
    path = draft.build_up_path(place)
    items = editing.at(draft.node, path).items if path is not None else ()
    if not 0 <= number < len(items) or _name(items[number]) != name:
        raise Unchangeable(f"`{name}` no longer stands there")
    return path


def _name(item: Node) -> str:
    """The name a layer is written under."""
    if isinstance(item, Text):
        return item.text
    pairs = item.pairs if isinstance(item, Entries) else ()
    return next((key.text for key, _ in pairs if normalized(key.text) != "shown by"), "")


def _fresh(node: Node) -> Node:
    """The same lines with places of their own."""
    if isinstance(node, Entries):
        return Entries(tuple((editing.text(key.text), _fresh(value)) for key, value in node.pairs), editing.fresh())
    if isinstance(node, Items):
        return Items(tuple(map(_fresh, node.items)), editing.fresh())
    return node._replace(where=editing.fresh())
