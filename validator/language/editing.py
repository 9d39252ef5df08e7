"""Takes a described assembly as nodes, returns it with lines found, changed or added, and written out as text again.

Shapes: a `Node` as `reading` gives it; a path is the number of each entry on the way down. Every line written here has a
place of its own, so that it can be found again.
"""

import json
import re
from collections.abc import Callable, Iterator
from itertools import count

from validator.language.forms import normalized
from validator.language.source import Entries, Items, Node, Text, Where

Path = tuple[int, ...]
_PLAIN = re.compile(r"[A-Za-z0-9.~/][^#]*\Z")
_COLON = re.compile(r":(\s|\Z)")
_FRESH = count(1)
NEVER_WRITTEN = -1  # the line of what was never in a file


def fresh() -> Where:
    """A place of its own for a line that no file has."""
    return Where("written here", NEVER_WRITTEN, next(_FRESH))


def text(said: str) -> Text:
    return Text(said, fresh())


def entries(*pairs: tuple[str, Node]) -> Entries:
    return Entries(tuple((text(name), node) for name, node in pairs), fresh())


# -- finding ------------------------------------------------------------------------------------------------------------------


def found(node: Node, where: Where | None) -> Path | None:
    """The path to the entry whose name, or to the value that, stands at a place; None when nothing does."""
    return None if where is None else next((path for path, at in _places(node, ()) if at == where), None)


def _places(node: Node, path: Path) -> Iterator[tuple[Path, Where]]:
    if isinstance(node, Entries):
        for number, (name, value) in enumerate(node.pairs):
            yield (*path, number), name.where
            if isinstance(value, Text):
                yield (*path, number), value.where
            else:
                yield from _places(value, (*path, number))
    elif isinstance(node, Items):
        for number, item in enumerate(node.items):
            if isinstance(item, Text):
                yield (*path, number), item.where
            else:
                yield from _places(item, (*path, number))


def at(node: Node, path: Path) -> Node:
    """What stands at a path."""
    for number in path:
        node = node.pairs[number][1] if isinstance(node, Entries) else node.items[number]
    return node


def name_at(node: Node, path: Path) -> str:
    """The name of the entry at a path; nothing for an item of a list."""
    above = at(node, path[:-1])
    return above.pairs[path[-1]][0].text if isinstance(above, Entries) else ""


# -- changing -----------------------------------------------------------------------------------------------------------------


def changed(node: Node, path: Path, change: Callable[[Node], Node]) -> Node:
    """The page with one node changed."""
    if not path:
        return change(node)
    number, rest = path[0], path[1:]
    if isinstance(node, Entries):
        name, value = node.pairs[number]
        pair = (name, changed(value, rest, change))
        return node._replace(pairs=(*node.pairs[:number], pair, *node.pairs[number + 1 :]))
    item = changed(node.items[number], rest, change)
    return node._replace(items=(*node.items[:number], item, *node.items[number + 1 :]))


def renamed(node: Node, path: Path, name: str) -> Node:
    """The page with the entry at a path, or the item that is a name alone, under another name on the same line."""
    number = path[-1]

    def other(above: Node) -> Node:
        if isinstance(above, Items):
            return above._replace(items=(*above.items[:number], above.items[number]._replace(text=name), *above.items[number + 1 :]))
        key, value = above.pairs[number]
        return above._replace(pairs=(*above.pairs[:number], (key._replace(text=name), value), *above.pairs[number + 1 :]))

    return changed(node, path[:-1], other)


def put(node: Node, names: tuple[str, ...], value: Node) -> Entries:
    """Entries with a value under a row of names, each made where it is missing."""
    under = node if isinstance(node, Entries) else Entries((), node.where)
    name, rest = names[0], names[1:]
    for number, (key, old) in enumerate(under.pairs):
        if normalized(key.text) == normalized(name):
            new = put(old, rest, value) if rest else value
            return under._replace(pairs=(*under.pairs[:number], (key, new), *under.pairs[number + 1 :]))
    new = put(Entries((), fresh()), rest, value) if rest else value
    return under._replace(pairs=(*under.pairs, (text(name), new)))


def without(node: Node, path: Path) -> Node:
    """The page without an entry or an item."""

    def less(above: Node) -> Node:
        number = path[-1]
        if isinstance(above, Entries):
            return above._replace(pairs=(*above.pairs[:number], *above.pairs[number + 1 :]))
        return above._replace(items=(*above.items[:number], *above.items[number + 1 :]))

    return changed(node, path[:-1], less)


# -- writing ------------------------------------------------------------------------------------------------------------------


def written(node: Node, head: str = "") -> str:
    """The page as text that reads back as the same page; `head` is a comment above it."""
    lines = [f"# {line}".rstrip() for line in head.splitlines()]
    return "\n".join([*lines, *_lines(node, "")]) + "\n"


def _lines(node: Node, indent: str) -> Iterator[str]:
    if isinstance(node, Entries):
        for name, value in node.pairs:
            yield from _under(f"{indent}{_scalar(name)}:", value, indent + "  ")
    elif isinstance(node, Items):
        for item in node.items:
            inner = list(_lines(item, indent + "  ")) if not isinstance(item, Text) else []
            if inner:
                yield f"{indent}- {inner[0].lstrip()}"
                yield from inner[1:]
            else:
                yield f"{indent}- {_scalar(item)}"
    else:
        yield f"{indent}{_scalar(node)}"


def _under(head: str, value: Node, indent: str) -> Iterator[str]:
    if isinstance(value, Text):
        said = _scalar(value)
        yield f"{head} {said}" if said else head
    elif isinstance(value, Items) and not value.items:
        yield f"{head} []"
    elif isinstance(value, Entries) and not value.pairs:
        yield head
    else:
        yield head
        yield from _lines(value, indent)


def _scalar(said: Text) -> str:
    bare = " ".join(said.text.split())
    if not bare:
        return '""' if said.quoted else ""
    if _PLAIN.match(bare) and not _COLON.search(bare):
        return bare
    return json.dumps(bare, ensure_ascii=False)
