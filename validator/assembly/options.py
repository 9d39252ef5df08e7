"""Options of one file, each as the whole file it stands for: what an option writes is laid over what every option has.

A line replaces the line of its name, and what stands under it is laid over what stands there. A build-up written as a list
takes the place of the other; written as lines without dashes it changes only the layers that it names: `built up: {membrane:
sheet}`. One that is new comes in before the finish.
"""

from validator.assembly.evidence import SHOWN_BY
from validator.assembly.name_reading import NameReader, singular
from validator.language.forms import complain, normalized
from validator.language.source import Complaint, Entries, Items, Node, Text

MOST_OPTIONS = 12
FINISH = ("tile mortar", "tile", "grout")
_KEPT = ("seen on site", "seen")


def with_options(node: Node, reader: NameReader) -> tuple[Node, dict[str, Node]]:
    """The file without its options, and the file once with each of them; those of places count by their name."""
    if not isinstance(node, Entries):
        return node, {}
    plain, overlays = _lifted(node, reader)
    if len(overlays) > MOST_OPTIONS:
        complain(reader.complaints, node, f"{len(overlays)} options are written", f"at most {MOST_OPTIONS}")
        return plain, {}
    return plain, {name: _laid_over(plain, overlay, reader) for name, overlay in overlays.items()}


def _lifted(node: Entries, reader: NameReader) -> tuple[Entries, dict[str, Entries]]:
    """An entry without its `options:`, and for each option what it lays over that entry."""
    pairs, overlays = [], {}
    for key, value in node.pairs:
        if normalized(key.text) == "options":
            _take_options(key, value, overlays, reader)
            continue
        if isinstance(value, Entries) and normalized(key.text) not in _KEPT:
            value, inner = _lifted(value, reader)
            for name, overlay in inner.items():
                whole = Entries(((key, overlay),), overlay.where)
                overlays[name] = _laid_over(overlays[name], whole, reader) if name in overlays else whole
        pairs.append((key, value))
    return Entries(tuple(pairs), node.where), overlays


def _take_options(key: Text, value: Node, overlays: dict[str, Entries], reader: NameReader) -> None:
    complaints: list[Complaint] = reader.complaints
    if isinstance(value, Entries) and len(value.pairs) > MOST_OPTIONS:
        complain(complaints, key, f"{len(value.pairs)} options are written", f"at most {MOST_OPTIONS}")
        return
    if not isinstance(value, Entries) or not value.pairs:
        complain(complaints, key, "`options` are written as `name:` with what differs under it", "`options: {A: {...}, B: {...}}`")
        return
    for name, overlay in value.pairs:
        if not isinstance(overlay, Entries):
            complain(complaints, name, f"nothing stands under the option `{name.text}`", "what differs, as in the file itself")
        else:
            overlays[name.text] = _laid_over(overlays[name.text], overlay, reader) if name.text in overlays else overlay


def _laid_over(under: Entries, over: Entries, reader: NameReader) -> Entries:
    """Entries with others laid over: forms into each other, lines without dashes into a list of layers, all else replaced."""
    above = {normalized(key.text): (key, value) for key, value in over.pairs}
    pairs = []
    for key, value in under.pairs:
        replaced = above.pop(normalized(key.text), None)
        if replaced is None:
            pairs.append((key, value))
        elif isinstance(value, Entries) and isinstance(replaced[1], Entries):
            pairs.append((key, _laid_over(value, replaced[1], reader)))
        elif isinstance(value, Items) and isinstance(replaced[1], Entries):
            if any(normalized(line.text) == "built up" for line, _ in replaced[1].pairs):  # of a floor that is a list of layers
                form = Entries(((Text("built up", value.where), value),), value.where)
                pairs.append((key, _laid_over(form, replaced[1], reader)))
            else:
                pairs.append((key, _layers_changed(value, replaced[1], reader)))
        else:
            pairs.append(replaced)
    return Entries((*pairs, *above.values()), under.where)


def _layers_changed(under: Items, over: Entries, reader: NameReader) -> Items:
    """A build-up of which an option writes some layers: those alone differ."""
    items = list(under.items)
    for key, value in over.pairs:
        name = _layer(key.text, reader)
        named = [_layer(_name(item), reader) for item in items]
        changed = Entries(((key, value),), key.where)
        if named.count(name) > 1:
            complain(reader.complaints, key, f"{named.count(name)} layers are `{name}`: which of them differs is not known",
                     "the whole build-up as a list in this option")  # fmt: skip
        elif name in named:
            number = named.index(name)
            old = items[number]
            beneath = old.pairs[0][1] if isinstance(old, Entries) else None
            if isinstance(beneath, Entries) and isinstance(value, Entries):
                changed = Entries(((key, _laid_over(beneath, value, reader)),), key.where)
            items[number] = changed
        else:
            before = next((number for number, each in enumerate(named) if each in FINISH), len(items))
            items.insert(before if name not in FINISH else len(items), changed)
    return Items(tuple(items), under.where)


def _name(item: Node) -> str:
    names = [item.text] if isinstance(item, Text) else item.keys() if isinstance(item, Entries) else ()
    return next((name for name in names if normalized(name) != SHOWN_BY), "")


def _layer(word: str, reader: NameReader) -> str:
    """The layer that a line names, or the line's own name where it names none."""
    thing = reader.thing_of(word, ("layer",))
    pair = reader.compound(word) if thing is None and word else None
    return thing.name if thing else pair[0].name if pair else next(iter(singular(normalized(word))), "")
