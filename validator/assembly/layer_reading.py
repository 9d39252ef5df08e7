"""The build-up of a place: its layers from the structure outwards, and which layer a line names."""

import re
from dataclasses import replace

from validator.assembly.evidence import is_misplaced, without_shown_by
from validator.assembly.name_reading import joined, singular, things_of
from validator.assembly.phrases import pieces_of
from validator.assembly.places import STRUCTURE, STRUCTURE_OF_WALLS, can_be
from validator.assembly.statement import Statement
from validator.assembly.statement_reading import StatementReader
from validator.assembly.written import LAYER_COMMON, MOST_LAYERS
from validator.facts.possible import NOT_SAID, can_read
from validator.facts.vocabulary import NONE, THERE, Thing
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean, near_ones
from validator.language.source import Entries, Items, Node, Text

LAYER = "layer"  # what a complaint of a layer is about, in whose turn a gap stands
_SIZE = re.compile(r"\b([0-9][0-9/-]*\s*x\s*[0-9][0-9/-]*)(?=\s+[a-z]|$)", re.IGNORECASE)  # `12 x 24` that ends without a unit
_SIZE_ALONE = re.compile(r"[0-9][0-9/-]*\s*x\s*[0-9][0-9/-]*\s*(?:in|mm|cm|\")?", re.IGNORECASE)
_TIMES = {"two": 2, "2": 2, "double": 2, "three": 3, "3": 3, "triple": 3}
_LAYERS_OF = re.compile(rf"({'|'.join(_TIMES)})\s+(?:layers?|sheets?|plies)\s+(?:of\s+)?", re.IGNORECASE)
_WRITTEN_UNDER = {"part": "the place itself", "seal": "`junctions:`", "record": "`records:`"}


def _repeated(item: Node) -> tuple[int, Node]:
    """How often a layer lies there, and the layer: `2 layers of 3/4 plywood`, `15 lb felt: double layer`."""
    if isinstance(item, Text) and (found := _LAYERS_OF.match(item.text)):
        return _TIMES[found[1].casefold()], Text(item.text[found.end() :], item.where)
    if isinstance(item, Entries) and len(item.pairs) == 1:
        (key, value), = item.pairs
        if found := _LAYERS_OF.match(key.text):
            return _TIMES[found[1].casefold()], Entries(((Text(key.text[found.end() :], key.where), value),), item.where)
    return 1, item


def _where_written(thing: Thing, said: str, junction: str) -> str:
    """The line on which what is no layer is written."""
    if thing.sort == "seal":
        return f"write it under `junctions:`, such as `junctions: {{{junction}: {{{thing.name}: {'there' if joined(said) == thing.name else said}}}}}`"
    return f"write it under {_WRITTEN_UNDER[thing.sort]}"


class LayerReader:
    """Reads what is written under `built up:`."""

    def __init__(self, reader: StatementReader) -> None:
        self.reader, self.complaints = reader, reader.complaints
        self._above: tuple[Node, ...] = ()  # the items over the one that is read
        self._junction = reader.vocabulary.facts["junction.kind"].words[0]

    def read(self, node: Node, kinds: tuple[str, ...] = ()) -> list[Statement | None]:
        """A build-up from the structure outwards, of a place that is of one of some kinds; None is a gap, as is a layer not read."""
        if isinstance(node, Text) and normalized(node.text) in NOT_SAID:
            return [None]
        if isinstance(node, Entries):
            items = tuple(Entries((pair,), pair[0].where) for pair in node.pairs)
        elif isinstance(node, Items):
            items = node.items
        else:
            complain(self.complaints, node, "`built up` is a list of layers", "a line `- layer:` for each, from the structure outwards")
            return []
        if len(items) > MOST_LAYERS:
            complain(self.complaints, node, f"{len(items)} layers are written in one place", f"at most {MOST_LAYERS}")
            return []
        found: list[Statement | None] = []
        for turn, item in enumerate(items):
            self._above = items[turn + 1 :]
            unknown = isinstance(item, Text) and normalized(item.text) in NOT_SAID
            times, item = _repeated(item)
            if found and self._goes_on(found[-1], item, kinds):
                continue
            layers = [None] if unknown else self._layer(item, kinds)
            found += [*layers, *(replace(each, known=dict(each.known)) for _ in range(times - 1) for each in layers if each is not None)]
        return found

    def _goes_on(self, before: Statement | None, item: Node, kinds: tuple[str, ...]) -> bool:
        """Whether an item says more of the layer before it, as where a comma parts `12 x 24 in tile` from `rectified`."""
        if before is None or before.presence != THERE or not isinstance(item, Text) or self._thing_named(item) or self._of_kind(item.text, kinds):
            return False
        thing = self.reader.vocabulary.things[before.thing]
        if normalized(item.text) in self.reader.roles or self.reader.thing_of(item.text, tuple(_WRITTEN_UNDER)):
            return False
        pieces = pieces_of(thing, item.text, self.reader.vocabulary)
        if any(self.reader.things_of_word(words, ("layer",)) for _, words in pieces):
            return False
        self.reader.state(before, item, pieces, item.where)
        return bool(pieces)

    def _layer(self, item: Node, kinds: tuple[str, ...]) -> list[Statement | None]:
        """The layer of one item, and a gap for what else is written there or is not read."""
        if isinstance(item, Entries) and len(item.pairs) == 1 and is_misplaced(item.pairs[0][0], self.complaints):
            return []
        item, shown = without_shown_by(item, self.complaints)  # beside the layer's name, where the layer is one word
        match item:
            case Text():
                key, value, more = item, Text("there", item.where), []
            case Entries() if item.pairs:
                (key, value), *more = item.pairs
            case _:
                complain(self.complaints, item, "a layer is one name with its facts under it", "`- board:` and its facts on lines under it", LAYER)
                return [None]
        if absent := self._absent(key, value):
            return [absent]
        key = self.reader.without_color(key)
        if mostly := self._mostly(key, value, kinds):
            return [mostly.shown(shown)]
        before = len(self.complaints)
        thing, by_kind = self._named(key, value, kinds)
        if thing is None:
            return [None]
        guessed = len(self.complaints) > before
        said = self.reader.statement(thing, key, value, LAYER_COMMON)
        if by_kind:
            self.reader.say_kind(said, thing, key)
        for line, _ in more:
            if self.reader.thing_of(line.text, ("layer",)) and normalized(line.text) not in self.reader.attributes[thing.name]:
                complain(self.complaints, line, f"`{line.text}` stands in the same item as `{key.text}`", "a `-` before each layer", LAYER)
            else:
                complain(self.complaints, line, f"`{line.text}` stands beside `{key.text}`, not under it",
                       f"four spaces more before `{line.text}`", thing.name)  # fmt: skip
        return [None if guessed else said.shown(shown), *([None] if more else [])]

    def _absent(self, key: Text, value: Node) -> Statement | None:
        """`no membrane`: a layer that is not there; of `no PVC liner` nobody knows whether there is another."""
        denied, _, name = normalized(key.text).partition(" ")
        thing = self.reader.thing_of(name, ("layer",)) if denied in ("no", "without") else None
        if thing is None or self.reader.word_called(name) or value != Text("there", key.where):
            return None
        return self.reader.statement(thing, Text(thing.name, key.where), Text("none", key.where), LAYER_COMMON)

    def _mostly(self, key: Text, value: Node, kinds: tuple[str, ...]) -> Statement | None:
        """A layer of whose line some words are not known: the rest is read, and the words are told."""
        reader = self.reader
        if _SIZE.search(key.text) and self._of_kind(_SIZE.sub(r"\1 in", key.text), kinds):
            return None  # its unit alone is missing
        if len(key.text.split()) < 2 or reader.thing_of(key.text, ("layer",)) or reader.compound(key.text) or self._of_kind(key.text, kinds):
            return None
        among = [thing for thing in reader.vocabulary.things.values() if thing.sort == "layer" and (not kinds or can_be(thing, kinds) == THERE)]
        found = reader.mostly(key.text, ("layer",), among, self._by_position)
        if found is None:
            return None
        thing, pieces, left = found
        said = reader.statement(thing, Text(thing.name, key.where), value, LAYER_COMMON)
        reader.state(said, key, pieces, key.where)
        reader.leftover(thing, key, left)
        return said

    def _named(self, key: Text, value: Node, kinds: tuple[str, ...]) -> tuple[Thing | None, bool]:
        """The layer that a line names, and whether by what kind of it it is, `plywood`; None, with a complaint, where by none.

        A slip of one layer's name is read as that layer, so that the slips under it are told as well.
        """
        reader = self.reader
        if thing := reader.thing_of(key.text, ("layer",)):
            return thing, False
        if pair := reader.compound(key.text):
            return pair[0], False
        if other := reader.thing_of(key.text, tuple(_WRITTEN_UNDER)):
            complain(self.complaints, key, f"`{key.text}` is not a layer", _where_written(other, key.text, self._junction), other.name)
            return None, False
        may_be = self._by_position(self._of_kind(key.text, kinds))
        if len(may_be) == 1:
            if not kinds:  # in another kind of place it could be another layer
                reader.note(key.where, f"`{key.text}` is taken as `{may_be[0].name}: {key.text}`", "that, written out")
            return may_be[0], True
        role = normalized(key.text)
        if role in reader.roles and isinstance(value, Text):
            playing = [thing for thing in reader.playing(role, value.text) if not kinds or can_be(thing, kinds) != NONE]
            if len(playing) == 1:
                return playing[0], False
        if self._is_a_tile(key.text):
            return reader.vocabulary.things["tile"], True
        shared = reader.shared_name(key.text)
        if len(fit := [thing for thing in shared if kinds and can_be(thing, kinds) != NONE]) == 1:
            return fit[0], False
        said = [thing for thing in shared if isinstance(value, Text) and reader.says_what_it_is(thing, value.text)]
        if len(said) == 1:
            return said[0], False
        near = self._near(key)
        if _SIZE.search(key.text) and self._of_kind(inches := _SIZE.sub(r"\1 in", key.text), kinds):
            complain(self.complaints, key, f"`{_SIZE.search(key.text)[1]}` says no unit", f"`{inches}`, or mm", LAYER)
        elif shared or may_be:
            kind = "" if shared else f": {key.text}"
            hint = " or ".join(f"`{each.name}{kind}` ({each.what[:1].lower() + each.what[1:]})" for each in shared or may_be)
            complain(self.complaints, key, f"`{key.text}` can be more than one layer", hint, LAYER)
        elif normalized(key.text) in reader.roles:
            complain(self.complaints, key, f"`{key.text}` is not a layer of the vocabulary",
                   f"`{key.text}: none` beside `built up`, or what it is: {listed(each.name for each in things_of(role, reader.vocabulary))}", LAYER)  # fmt: skip
        else:
            hint = did_you_mean(key.text, near, self._meaning)
            drawer = reader.drawer(normalized(key.text))
            complain(self.complaints, key, f"`{key.text}` is not a layer of the vocabulary",
                     f"{drawer}; a layer is one of {listed(reader.names_of('layer'))}" if drawer else hint + listed(reader.names_of("layer")), LAYER)  # fmt: skip
            if len(near) == 1:
                return reader.things[joined(near[0])], False
        return None, False

    def _is_a_tile(self, words: str) -> bool:
        """Whether a size stands alone where a layer is written, `12x24`, and is no size that joists are sold in."""
        joist = self.reader.vocabulary.facts.get("framing.joist")
        return _SIZE_ALONE.fullmatch(words.strip()) is not None and "tile" in self.reader.vocabulary.things and not (joist and can_read(joist, words.replace(" ", "")))

    def _meaning(self, name: str) -> str:
        """The layer that another name of it stands for."""
        own = self.reader.things[name].name
        return own if joined(own) != name else ""

    def _near(self, key: Text) -> tuple[str, ...]:
        """The names of layers that a word is near."""
        names = (name for name, thing in self.reader.things.items() if thing.sort == "layer" and name not in self.reader.shared)
        return near_ones(key.text, names)

    def _thing_named(self, item: Node) -> str:
        """The layer that an item of a build-up is by its name; nothing where its name does not say."""
        name = item if isinstance(item, Text) else item.pairs[0][0] if isinstance(item, Entries) and item.pairs else None
        if name is None:
            return ""
        if self._is_a_tile(name.text):
            return "tile"
        thing = self.reader.thing_of(name.text, ("layer",))
        pair = self.reader.compound(name.text) if thing is None else None
        may_be = [] if thing or pair else self.reader.things_of_word(name.text, ("layer",))
        return thing.name if thing else pair[0].name if pair else may_be[0].name if len(may_be) == 1 else ""

    def _by_position(self, may_be: list[Thing]) -> list[Thing]:
        """`mastic` straight under the tile holds it; under a mortar for the tile it is an old finish."""
        mortar = [thing for thing in may_be if thing.name == "tile mortar"]
        if len(may_be) < 2 or not mortar:
            return may_be
        above = [name for each in self._above if (name := self._thing_named(each))]
        if above[:1] == ["tile"]:
            return mortar
        return [thing for thing in may_be if thing not in mortar] if "tile mortar" in above else may_be

    def _of_kind(self, word: str, kinds: tuple[str, ...]) -> list[Thing]:
        """The layers that a word could be the kind of in such a place: `plywood` on a floor is its subfloor, on a wall a board."""
        may_be = [each for each in self.reader.things_of_word(word, ("layer",)) if not kinds or can_be(each, kinds) == THERE]
        structure = [each for each in may_be if each.name in (STRUCTURE_OF_WALLS if _are_walls(kinds) else STRUCTURE)]
        return structure if kinds and structure else may_be


def _are_walls(kinds: tuple[str, ...]) -> bool:
    return bool(kinds) and all(kind.endswith(("wall", "ceiling")) for kind in kinds)
