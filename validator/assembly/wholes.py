"""A place that is several at once, as its writer says it: `kind: shower` with its floor and walls inside, or a bathroom.

Takes the page and returns it with each such place written out as the places that it is of, every line kept where it stands:
`floor:` and `back wall:` become places named after the whole, what is said of the whole goes to the parts that can have it,
and `like: another shower` to each part's counterpart. The finish may be said once. What could belong to more than one part is
asked back, never guessed. What a whole surely has (a shower: floor and walls) is judged whether or not it is written.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.assembly.evidence import SHOWN_BY
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS, NameReader, singular
from validator.assembly.places import can_be
from validator.facts import possible
from validator.facts.possible import NOT_SAID, STATED, NotPossible
from validator.facts.vocabulary import NONE, Whole
from validator.language.forms import complain, listed, normalized
from validator.language.source import Entries, Items, Node, Text, Where

_OF_EACH = ("nothing else", SHOWN_BY, "note", "seen")
_OF_THE_FLOOR = ("size", "fall", "area")  # what is said of a shower's size is its floor's
_EVERYWHERE = "everywhere in"
_FINISH = ("membrane", "primer", "tile mortar", "tile", "grout")  # what a whole place commonly has alike
_OF_ROOMS = ("building",)  # a shower is in the room of its bathroom, a bathroom a room of its building
DEEPEST = 3
MOST_WORDS = 12  # of the name of a place inside another


class _Part(NamedTuple):
    """One of the places that a whole is of: its key in the whole, its kind, and its lines."""

    key: Text
    kind: str
    lines: list[tuple[Text, Node]]
    is_none: bool = False  # its writer says that there is none


class _Spread(NamedTuple):
    """What a whole was written out as: places, and layers that several of them have."""

    places: list[tuple[Text, Node]]
    everywhere: list[tuple[Text, Node]]


def spread_wholes(node: Node, reader: NameReader) -> Node:
    """The page with every whole written out as its places; the page itself where it has none."""
    places = next((value for key, value in node.pairs if normalized(key.text) == "places"), None) if isinstance(node, Entries) else None
    if not isinstance(places, Entries):
        return node
    spreader = _Spreader(reader, places)
    found = [spreader.spread(key, value) for key, value in places.pairs]
    if not spreader.any:
        return node
    everywhere = [pair for each in found for pair in each.everywhere]
    pairs = []
    for key, value in node.pairs:
        word = normalized(key.text)
        if word == "places":
            value = Entries(tuple(pair for each in found for pair in each.places), value.where)
        elif word == _EVERYWHERE and isinstance(value, Entries):
            value, everywhere = Entries((*value.pairs, *everywhere), value.where), []
        pairs.append((key, value))
    if everywhere:
        pairs.append((Text(_EVERYWHERE, places.where), Entries(tuple(everywhere), places.where)))
    return Entries(tuple(pairs), node.where)


class _Spreader:
    """Writes out the wholes of one page."""

    def __init__(self, reader: NameReader, places: Entries) -> None:
        self.reader, self.complaints = reader, reader.complaints
        self.kind = reader.vocabulary.facts["place.kind"]
        self.wholes = {
            normalized(name): whole
            for whole in reader.vocabulary.things["place"].wholes for name in (whole.name, *whole.also_said)
        }  # fmt: skip
        self.pages = dict(_named_pages(places.pairs))
        self.any = False

    def spread(self, key: Text, node: Node, room: Text | None = None, depth: int = 0) -> _Spread:
        """One place: itself, or the places that it is of."""
        whole, word = self._whole(key, node)
        if whole is None or depth == DEEPEST:
            return _Spread([(key, node)], [])
        self.any = True
        assert isinstance(node, Entries)
        node = self._with_inner(whole, node)
        own = self._line(node, "room")
        room = own if isinstance(own, Text) else room or Text(key.text, key.where)
        parts, inner, rest = self._parts(key, whole, node, room, depth)
        like = self._line(node, "like")
        if isinstance(like, Text):
            rest = [*self._counterparts(parts, whole, like, rest), *rest]
        self._missing(parts, whole, key)
        parts = [part for part in parts if not part.is_none]
        if not parts and not inner:
            complain(self.complaints, key, f"nothing of the {whole.name} `{key.text}` is written",
                     f"what it is of, each with its lines: {listed(whole.has + whole.may_have)}")  # fmt: skip
        everywhere: list[Node] = []
        for line, value in rest:
            self._of_the_whole(parts, whole, line, value, everywhere)
        for said in self._said_by_the_word(word, key.where):
            self._of_the_whole(parts, whole, *said, everywhere)
        made = []
        for part in parts:
            name = Text(_named(key.text, part.key.text), part.key.where)
            head = [(Text("kind", part.key.where), Text(part.kind, part.key.where)), (Text("room", room.where), room)]
            written = {normalized(each.text) for each, _ in part.lines}
            made.append((name, Entries((*(pair for pair in head if pair[0].text not in written), *part.lines), part.key.where)))
        names = Text(", ".join(name.text for name, _ in made), key.where)
        own_everywhere = [(names, Items(tuple(everywhere), key.where))] if everywhere else []
        return _Spread([*made, *(pair for each in inner for pair in each.places)],
                       [*own_everywhere, *(pair for each in inner for pair in each.everywhere)])  # fmt: skip

    # -- which place is a whole, and what it is of ----------------------------------------------------------------------------

    def _line(self, node: Entries, name: str) -> Node | None:
        return next((value for key, value in node.pairs if normalized(key.text) == name), None)

    def _with_inner(self, whole: Whole, node: Entries) -> Entries:
        """A whole that is like another has the wholes inside that one too: a bathroom like another its shower."""
        like = self._line(node, "like")
        other = self.pages.get(normalized(like.text)) if isinstance(like, Text) else None
        if not isinstance(other, Entries):
            return node
        own = {normalized(key.text) for key, _ in node.pairs}
        theirs = [
            (Text(key.text, like.where), Entries(((Text("like", like.where), Text(_named(like.text, key.text), like.where)),), like.where))
            for key, value in other.pairs
            if normalized(key.text) not in own and (inside := self._whole(key, value)[0]) is not None and inside is not whole
        ]  # fmt: skip
        return Entries((*node.pairs, *theirs), node.where)

    def _whole(self, key: Text, node: Node, seen: tuple[str, ...] = ()) -> tuple[Whole | None, str]:
        """The whole that a place is, by its kind, by its name where a part of it stands inside, or as the one that it is like;
        with the word that says so.
        """
        if not isinstance(node, Entries):
            return None, ""
        like = self._line(node, "like")
        name = normalized(like.text) if isinstance(like, Text) else ""
        if name in self.pages and name not in seen and self._line(node, "kind") is None:
            whole, word = self._whole(Text(name, key.where), self.pages[name], (*seen, name))
            if whole is not None:
                return whole, word
        kind = self._line(node, "kind")
        if kind is not None:
            word = normalized(kind.text) if isinstance(kind, Text) else ""
        else:
            words = normalized(key.text).split(" ")
            word = next((each for start in range(len(words)) if (each := " ".join(words[start:])) in self.wholes), "")
        whole = self.wholes.get(word)
        if whole is None or (kind is None or self._is_one_place(word)) and not self._has_parts(whole, node):
            return None, ""
        return whole, word

    def _has_parts(self, whole: Whole, node: Entries) -> bool:
        return any(
            isinstance(value, Entries | Items) and self._part_kind(whole, line.text) and self._is_a_place(line, value) for line, value in node.pairs
        )

    def _is_one_place(self, word: str) -> bool:
        """Whether the name of a whole is the name of one kind of place too: a tub surround is its walls."""
        return possible.can_read(self.kind, word)

    def _part_kind(self, whole: Whole, name: str) -> str:
        """The kind of the part that a line of a whole names: `floor`, `back wall`, `pan`; nothing where it names none."""
        words = normalized(name).split(" ")
        for start in range(len(words)):
            word = " ".join(words[start:])
            for form in (each for one in singular(word) for each in (one, f"{whole.name} {one}")):
                try:
                    known = possible.read(self.kind, form)
                except NotPossible:
                    continue
                kinds = [each for bit, each in enumerate(self.kind.words) if known.value >> bit & 1]
                among = [each for each in kinds if each in (*whole.has, *whole.may_have)]
                if known.origin == STATED and len(among) == 1:
                    return among[0]
        return ""

    def _parts(
        self, key: Text, whole: Whole, node: Entries, room: Text, depth: int
    ) -> tuple[list[_Part], list[_Spread], list[tuple[Text, Node]]]:
        """The parts that are written inside, wholes inside it written out, and the lines said of the whole."""
        parts: list[_Part] = []
        inner: list[_Spread] = []
        rest = []
        for line, value in node.pairs:
            word = normalized(line.text)
            if word in ("kind", "room", "like"):
                continue
            inside, _ = self._whole(line, value)
            if inside is not None and inside is not whole:
                shared = None if whole.name in _OF_ROOMS else room
                inner.append(self.spread(Text(_named(key.text, line.text), line.where), value, shared, depth + 1))
            elif (kind := self._part_kind(whole, line.text)) and self._is_a_place(line, value):
                parts.append(_Part(line, kind, self._lines_of(value), isinstance(value, Text) and normalized(value.text) in NONE_WORDS))
            else:
                rest.append((line, value))
        return parts, inner, rest

    def _is_a_place(self, line: Text, value: Node) -> bool:
        """True of a floor or a wall; of a curb, bench or niche, which is a part as well, where it has a build-up of its own."""
        if self.reader.attributes["place"].get(normalized(line.text)) is not None and isinstance(value, Text):
            return False
        if self.reader.thing_of(line.text, ("part",)) is None:
            return True
        return isinstance(value, Items) or isinstance(value, Entries) and self._line(value, "built up") is not None

    def _lines_of(self, value: Node) -> list[tuple[Text, Node]]:
        """The lines of a part; a list is its build-up, a word its one layer."""
        built_up = Text("built up", value.where)
        match value:
            case Entries():
                return list(value.pairs)
            case Items():
                return [(built_up, value)]
            case _ if normalized(value.text) in (*NONE_WORDS, *THERE_WORDS, *NOT_SAID):
                return []
        return [(built_up, Items((value,), value.where))]

    def _counterparts(self, parts: list[_Part], whole: Whole, like: Text, rest: list[tuple[Text, Node]]) -> list[tuple[Text, Node]]:
        """Every part is like the one of the same name in another whole, which brings along those that are not written here.

        Returns the finish that is said of the other whole, and not otherwise of this one.
        """
        other = self.pages.get(normalized(like.text))
        if not isinstance(other, Entries) or self._whole(like, other)[0] is not whole:
            complain(self.complaints, like, f"`{like.text}` is no {whole.name} that is described here",
                     f"the name of another {whole.name}, or `like:` under its floor or its walls")  # fmt: skip
            return []
        theirs, _, their_rest = self._parts(like, whole, other, like, DEEPEST)
        own = {normalized(part.key.text): part for part in parts}
        self._missing(theirs, whole, like)
        for their in theirs:
            mine = own.get(normalized(their.key.text))
            if mine is None:
                mine = _Part(Text(their.key.text, like.where), their.kind, [])
                parts.append(mine)
            if not any(normalized(line.text) == "like" for line, _ in mine.lines):
                mine.lines.append((Text("like", like.where), Text(_named(like.text, their.key.text), like.where)))
            said = {normalized(line.text) for line, _ in mine.lines}
            mine.lines.extend(pair for pair in their.lines if normalized(pair[0].text) not in said and self.reader.thing_of(pair[0].text, ("part",)))
        own_finish = {self._finish_named(line) for line, _ in rest}
        return [(line, value) for line, value in their_rest if self._finish_named(line) not in {"", *own_finish}]

    def _finish_named(self, line: Text) -> str:
        """The layer of the finish that a line said of a whole names, or `built up`; nothing where it names neither."""
        if normalized(line.text) == "built up":
            return "built up"
        thing = self.reader.thing_of(line.text, ("layer",))
        return thing.name if thing is not None and thing.name in _FINISH else ""

    def _missing(self, parts: list[_Part], whole: Whole, key: Text) -> None:
        """What the whole surely has and nobody wrote is a place of which nothing is known."""
        for number, kind in enumerate(whole.has):
            if not any(part.kind == kind for part in parts):
                line = Where(key.where.file, key.where.line, -1 - number)  # a place in the file that no line has
                parts.append(_Part(Text(kind.removeprefix(f"{whole.name} "), line), kind, []))

    # -- what is said of the whole ---------------------------------------------------------------------------------------------

    def _said_by_the_word(self, word: str, where: Where) -> list[tuple[Text, Node]]:
        """What the name of the whole says beside: a steam shower is used as a steam room, a curbless one has no curb."""
        said = [(Text(each, where), Text("yes", where)) for each in word.split(" ") if self.reader.absent(each) is not None]
        if self.reader.reads(self.reader.vocabulary.things["place"], "used as", word):
            said.append((Text("used as", where), Text(word, where)))
        return said

    def _give(self, parts: list[_Part], line: tuple[Text, Node], takes) -> bool:
        """Write a line of the whole into every part that takes it; one's own line of that name stands."""
        taken = [part for part in parts if takes(part)]
        for part in taken:
            if not any(normalized(key.text) == normalized(line[0].text) for key, _ in part.lines):
                part.lines.append(line)
        return bool(taken)

    def _of_the_whole(self, parts: list[_Part], whole: Whole, line: Text, value: Node, everywhere: list[Node]) -> None:
        """A line said of the whole goes to the parts that can have it."""
        word, reader = normalized(line.text), self.reader
        floor = next((each for each in (*whole.has, *whole.may_have) if each.endswith("floor")), "")
        fact = reader.attributes["place"].get(word)
        part = reader.thing_of(word, ("part", "record"))
        layer = reader.thing_of(word, ("layer",))
        none = isinstance(value, Text) and normalized(value.text) in (*NONE_WORDS, *NOT_SAID)
        if word == "built up":
            self._finish(value, everywhere, whole)
        elif word == "seen on site":
            self._give(parts[:1], (line, value), lambda each: True)
        elif word in _OF_EACH or word in reader.roles or fact is not None and not fact.is_amount and fact.kind != "size":
            self._give(parts, (line, value), lambda each: True)
        elif word in _OF_THE_FLOOR or reader.absent(word) is not None:
            self._give(parts, (line, value), lambda each: each.kind == floor)
        elif layer is not None and none:
            self._give(parts, (line, value), lambda each: can_be(layer, (each.kind,)) != NONE)
        elif layer is not None and layer.name in _FINISH and any(normalized(key.text) == "like" for each in parts for key, _ in each.lines):
            self._give(parts, (line, value), lambda each: True)  # over the layers that are copied
        elif layer is not None and layer.name in _FINISH:
            everywhere.append(Entries(((line, value),), line.where))
        elif part is not None and part.in_places:
            takers = [each for each in parts if each.kind in part.in_places]
            if len({each.kind for each in takers}) < len(takers) and part.sort == "part":
                complain(self.complaints, line, f"`{line.text}` could be in more than one of {listed(each.key.text for each in takers)}",
                         "the line under the one that has it")  # fmt: skip
            elif takers:
                self._give(parts, (line, value), lambda each: each.kind in part.in_places)
            else:
                complain(self.complaints, line, f"`{line.text}` belongs to no part of this {whole.name}", listed(part.in_places))
        elif part is not None and part.sort == "record":
            self._give(parts, (line, value), lambda each: True)
        else:
            complain(self.complaints, line, f"`{line.text}` is not said of a whole {whole.name}: which part of it is meant is not known",
                     f"the line under {' or '.join(f'`{each.key.text}:`' for each in parts[:3]) or 'its floor or its walls'}")  # fmt: skip

    def _finish(self, value: Node, everywhere: list[Node], whole: Whole) -> None:
        items = value.items if isinstance(value, Items) else tuple(Entries((pair,), pair[0].where) for pair in value.pairs) if isinstance(
            value, Entries) else ()  # fmt: skip
        for item in items:
            name = item if isinstance(item, Text) else item.pairs[0][0] if isinstance(item, Entries) and item.pairs else None
            thing = None
            if name is not None:
                pair = self.reader.compound(name.text)
                thing = self.reader.thing_of(name.text, ("layer",)) or (pair[0] if pair else None)
            if thing is not None and thing.name in _FINISH:
                everywhere.append(item)
            else:
                complain(self.complaints, name or item, f"which part of the {whole.name} has {'this layer' if name is None else f'`{name.text}`'} is not said",
                         f"`floor:` and `walls:` with a build-up each; for all of it alike only {listed(_FINISH)}")  # fmt: skip
        if not items:
            complain(self.complaints, value, "`built up` is a list of layers", "`floor:` and `walls:` with a build-up each")


def _named_pages(pairs: tuple[tuple[Text, Node], ...], inside: str = "") -> Iterator[tuple[str, Node]]:
    """Every place that a page names, and every one inside it, by the name it is told by."""
    for key, value in pairs:
        name = _named(inside, key.text) if inside else key.text
        yield normalized(name), value
        if isinstance(value, Entries) and name.count(" ") < MOST_WORDS:
            yield from _named_pages(tuple(pair for pair in value.pairs if isinstance(pair[1], Entries)), name)


def _named(whole: str, part: str) -> str:
    """The name of a part as it is told: `guest shower floor`."""
    return f"{whole} {part}"
