"""Takes a file's node, returns the description as written: the job, framing runs, places with layers and parts, records.

Everything is read by the vocabulary, with every complaint at once; nothing is concluded here.
"""

from validator.assembly.evidence import SHOWN_BY, is_misplaced, without_shown_by
from validator.assembly.junction_reading import JunctionReader
from validator.assembly.layer_reading import LayerReader
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS, singular
from validator.assembly.observation_reading import SEEN
from validator.assembly.statement import Statement
from validator.assembly.statement_reading import StatementReader
from validator.assembly.written import (
    LAYER_COMMON,
    MOST_PLACES,
    PLACE_KEYS,
    TOP_KEYS,
    WrittenAssembly,
    WrittenPlace,
)
from validator.facts import possible
from validator.facts.possible import NOT_SAID, STATED, Known, NotPossible
from validator.facts.vocabulary import NONE, Fact, Thing
from validator.language.forms import complain, listed, normalized, pairs_of, text_of
from validator.language.slips import did_you_mean
from validator.language.source import Entries, Items, Node, Text, Where


class FileReader:
    """Reads one file's forms with one listener."""

    def __init__(self, listener: StatementReader) -> None:
        self.reader = listener
        self.vocabulary = listener.vocabulary
        self.complaints = listener.complaints
        self.layers = LayerReader(listener)
        self.kind: Fact = self.vocabulary.facts["place.kind"]

    def read(self, node: Node) -> WrittenAssembly:
        """The whole file."""
        found = WrittenAssembly()
        if not isinstance(node, Entries):
            complain(self.complaints, node, "an assembly is written as `key: value` lines", listed(TOP_KEYS))
            return found
        node, found.shown = without_shown_by(node, self.complaints, by_line=False)
        lines: dict[str, Node] = {}
        for key, value in node.pairs:
            word = "assembly" if normalized(key.text) == "name" else normalized(key.text)
            if word in lines:
                complain(self.complaints, key, "the assembly is named twice", "one line `assembly:`")
            elif word in TOP_KEYS:
                lines[word] = value
            elif self.kind_named(key.text, key.where):
                complain(self.complaints, key, f"`{key.text}` is not a key of an assembly",
                       f"it belongs under `places:`; here: {listed(TOP_KEYS)}")  # fmt: skip
            else:
                self.reader.unknown(key, "an assembly", TOP_KEYS, placed=True)
        found.name = text_of(lines.get("assembly"), "assembly", self.complaints)
        found.job = self._facts_of_job(lines.get("use"))
        found.closed = self.closing(lines.get("written out in full"), "written out in full: yes")
        found.seen = self.kept(lines.get("seen on site"))
        found.observed = self.reader.seen(lines[SEEN]) if SEEN in lines else ()
        found.runs = self.runs(lines.get("framing"))
        self.places(lines.get("places"), found)
        if "places" not in lines:
            complain(self.complaints, node, "no place is described", "`places:` with the name of each place under it")
        found.records = self.records(lines.get("records"))
        for key, value in pairs_of(lines.get("everywhere in"), "everywhere in", self.complaints):
            if not is_misplaced(key, self.complaints):
                found.everywhere.append((key, self.layers.read(value)))
        JunctionReader(self.reader, found).read(lines.get("junctions"))
        return found

    def _facts_of_job(self, node: Node | None) -> dict[str, Known]:
        known: dict[str, Known] = {}
        lines, shown = without_shown_by(node, self.complaints)
        for key, value in pairs_of(lines, "`job`", self.complaints):
            fact = self.reader.attributes["job"].get(normalized(key.text))
            if fact is None:
                self.reader.unknown(key, "`use`", (*self.reader.statable("job"), SHOWN_BY), about="job")
            else:
                self.reader.fact(fact, key, value, known)
        return shown.put_on(known)

    # -- small forms ------------------------------------------------------------------------------------------------------

    def closing(self, node: Node | None, text: str) -> Known | None:
        """A closing line, `yes` or `no`."""
        if node is None:
            return None
        word = normalized(node.text) if isinstance(node, Text) else "a list"
        if word in ("yes", "true"):
            return Known(NONE, STATED, text, node.where)
        if word not in ("no", "false") and word not in NOT_SAID:
            complain(self.complaints, node, f"`{text.partition(':')[0]}` is yes or no", "yes, no")
        return None

    def kept(self, node: Node | None) -> tuple[str, ...]:
        """What was seen on site: kept as it is, judged by nothing."""
        match node:
            case None:
                return ()
            case Text():
                return (node.text,) if node.text else ()
            case Items():
                return tuple(text for item in node.items for text in self.kept(item))
            case Entries():
                return tuple(f"{key.text}: {text}" for key, value in node.pairs for text in self.kept(value))

    def names(self, node: Node | None, what: str) -> tuple[Text, ...]:
        """Names in a list, or in one line with commas between."""
        match node:
            case None:
                return ()
            case Items() if all(isinstance(item, Text) for item in node.items):
                return node.items
            case Text():
                return tuple(Text(name.strip(), node.where) for name in node.text.split(",") if name.strip())
        complain(self.complaints, node, f"`{what}` is a list of names", f"`{what}: one, another`")
        return ()

    # -- framing and records ----------------------------------------------------------------------------------------------

    def runs(self, node: Node | None) -> dict[str, Statement]:
        """Framing runs by name; a single run may stand without one, under the name ``."""
        thing = self.vocabulary.things["framing"]
        lines, shown = without_shown_by(node, self.complaints)
        pairs = pairs_of(lines, "framing", self.complaints)
        attributes = self.reader.attributes["framing"]
        if any(normalized(key.text) in attributes and not isinstance(value, Entries) for key, value in pairs):
            return {"": self.reader.statement(thing, Text("framing", node.where), node)}
        runs: dict[str, Statement] = {}
        for key, value in pairs:
            if isinstance(value, Entries):
                self._fresh(key, runs, "framing run")
                run = self.reader.statement(thing, key, value)
                run.name = key.text
                runs[normalized(key.text)] = run
            elif not isinstance(value, Text) or normalized(value.text) not in NOT_SAID:
                hint = did_you_mean(key.text, self.reader.statable("framing"))
                complain(self.complaints, key, f"nothing stands under the framing run `{key.text}`",
                       f"{hint}the run's name with its facts on lines under it: {listed(self.reader.statable('framing'))}", "framing")  # fmt: skip
        return {name: run.shown(shown) for name, run in runs.items()}

    def _fresh(self, key: Text, found: dict, what: str) -> None:
        if normalized(key.text) in found:
            complain(self.complaints, key, f"there are two {what}s named `{key.text}`", "a name of its own for each")

    def records(self, node: Node | None) -> dict[str, Statement]:
        """Things of sort record."""
        found: dict[str, Statement] = {}
        lines, shown = without_shown_by(node, self.complaints)
        for key, value in pairs_of(lines, "records", self.complaints):
            thing = self.reader.thing_of(key.text, ("record",))
            pair = self.reader.split(key.text, ("record",)) if thing is None else None
            if thing is not None:
                self._once(found, thing, key)
                found[thing.name] = self.reader.statement(thing, key, value)
            elif pair is not None:
                said = found.setdefault(pair[0].name, Statement(pair[0].name, key.where))
                self.reader.fact(pair[1], key, value, said.known)
            else:
                self.reader.unknown(key, "`records`", (*self.reader.names_of("record"), SHOWN_BY), about="record")
        return {name: said.shown(shown) for name, said in found.items()}

    def _once(self, found: dict[str, Statement], thing: Thing, key: Text) -> None:
        if thing.name in found:
            complain(self.complaints, key, f"the {thing.name} is written twice", "all its facts under one", thing.name)

    # -- places -----------------------------------------------------------------------------------------------------------

    def places(self, node: Node | None, found: WrittenAssembly) -> None:
        """Every place of the file."""
        pairs = pairs_of(node, "places", self.complaints)
        if len(pairs) > MOST_PLACES:
            complain(self.complaints, node, f"{len(pairs)} places are described", f"at most {MOST_PLACES} in one file")
            return
        if isinstance(node, Entries | Text) and not pairs:
            complain(self.complaints, node, "no place is described", "the name of each place under `places:`")
        for key, value in (pair for pair in pairs if not is_misplaced(pair[0], self.complaints)):
            self._fresh(key, found.places, "place")
            found.places[normalized(key.text)] = self.place(key, value)

    def place(self, key: Text, node: Node) -> WrittenPlace:
        """One place."""
        place = WrittenPlace(key.text, key.where)
        if isinstance(node, Items):  # a place that is written as its build-up alone
            node = Entries(((Text("built up", node.where), node),), node.where)
        lines, place.shown = without_shown_by(node, self.complaints)
        pairs = pairs_of(lines, f"the place `{key.text}`", self.complaints)
        pairs = self._with_build_up(pairs)
        kind = next((value for line, value in pairs if normalized(line.text) == "kind"), None)
        own = self._kind(place, kind, pairs)
        for line, value in pairs:
            self._place_line(place, line, value, own)
        return place

    def _with_build_up(self, pairs: tuple) -> tuple:
        """The lines of a place, where layers written on lines of their own are its build-up, in the order written.

        `no waterproofing` among the layers is a line of the place.
        """
        words = {normalized(key.text) for key, _ in pairs}
        if not words & {"built up", "like"}:
            layers = [pair for pair in pairs if self._is_a_layer(*pair)]
            if layers:
                items = Items(tuple(Entries((pair,), pair[0].where) for pair in layers), layers[0][0].where)
                pairs = (*(pair for pair in pairs if not self._is_a_layer(*pair)), (Text("built up", items.where), items))
        found = []
        for key, value in pairs:
            if normalized(key.text) == "built up" and isinstance(value, Items):
                roles = [item for item in value.items if self._role_denied(item)]
                found += [(Text(self._role_denied(item), item.where), Text("none", item.where)) for item in roles]
                value = Items(tuple(item for item in value.items if item not in roles), value.where)
            found.append((key, value))
        return tuple(found)

    def _is_a_layer(self, key: Text, value: Node) -> bool:
        """Whether a line of a place says a layer, and not that there is none."""
        word = normalized(key.text)
        if word in self.reader.attributes["place"] or self.reader.thing_of(word, ("layer",)) is None:
            return False
        return not isinstance(value, Text) or normalized(value.text) not in (*NONE_WORDS, *NOT_SAID)

    def _role_denied(self, item: Node) -> str:
        """`waterproofing` where an item of a build-up says `no waterproofing`; else nothing."""
        denied, _, role = normalized(item.text).partition(" ") if isinstance(item, Text) else ("", "", "")
        return role if denied in ("no", "without") and role in self.reader.roles else ""

    def _kind(self, place: WrittenPlace, node: Node | None, pairs: tuple) -> Thing | None:
        """Take the kind from its line, or from the name when that is one; a curb, bench or niche is a part of another."""
        if node is None:
            self.take_kind(place, place.name, place.where)
        elif not isinstance(node, Text) or not self.take_kind(place, node.text, node.where):
            self.reader.fact(self.kind, Text("kind", node.where), node, place.known)
        known = place.known.get("place.kind")
        word = possible.in_words(self.kind, known.value) if known else ""
        return self.reader.thing_of(word, ("part",))

    def take_kind(self, place: WrittenPlace, name: str, where: Where) -> bool:
        """Take the kind that a name is, and what else the name says: `exterior stairs` are a deck, and serve as stairs."""
        known = self.kind_named(name, where)
        if known is None:
            return False
        place.known["place.kind"] = known
        for form in singular(normalized(name)):
            self.reader.given_too(self.kind, Text("kind", where), Text(form, where), place.known)
        return True

    def _kinds(self, place: WrittenPlace) -> tuple[str, ...]:
        """The kinds that a place may be of, by its kind or by the end of its name; none where nothing says."""
        words = place.name.split(" ")
        named = (self.kind_named(" ".join(words[start:]), place.where) for start in range(1, len(words)))
        known = place.known.get("place.kind") or next((each for each in named if each is not None), None)
        return tuple(word for bit, word in enumerate(self.kind.words) if known and known.value >> bit & 1)

    def kind_named(self, name: str, where: Where) -> Known | None:
        """The kind that a name is, in the singular or the plural."""
        for form in singular(normalized(name)):
            try:
                known = possible.read(self.kind, form, where)
            except NotPossible:
                continue
            return known if known.origin == STATED else None
        return None

    def _place_line(self, place: WrittenPlace, key: Text, value: Node, own: Thing | None) -> None:
        word = normalized(key.text)
        match word:
            case "kind" | "note":
                return
            case "on":
                place.on = self.names(value, "on")
            case "built up":
                place.layers = self.layers.read(value, self._kinds(place))
            case "like":
                place.like = Text(text_of(value, "like", self.complaints), value.where)
            case "nothing else":
                place.closed = self.closing(value, "nothing else: yes")
            case "seen on site":
                place.seen = self.kept(value)
            case "seen":
                place.observed = self.reader.seen(value)
            case "formerly":
                place.formerly = text_of(value, "formerly", self.complaints).strip()
            case "parts":
                for name, piece in pairs_of(value, "parts", self.complaints):
                    place.pieces.append(self.place(name, piece))
            case _:
                self._said_of_place(place, word, key, value, own)

    def _said_of_place(self, place: WrittenPlace, word: str, key: Text, value: Node, own: Thing | None) -> None:
        """A fact of the place, of the part that the place is, a part or a record written under it, or `role: none`."""
        reader = self.reader
        fact = reader.attributes["place"].get(word)
        owned = reader.attributes[own.name].get(word) if own else None
        thing = reader.thing_of(word, ("part", "record", "layer"))
        if fact is not None or owned is not None:
            if fact is not None:
                reader.fact(fact, key, value, place.known)
            if owned is not None:
                said = place.things.setdefault(own.name, Statement(own.name, place.where))
                if fact is None or owned.kind == fact.kind:
                    reader.fact(owned, key, value, said.known)
        elif absent := reader.absent(word):
            self._absent(place, absent, key, value)
        elif thing is not None and thing.sort == "layer":
            self._layer_without_place(place, thing, key, value)
        elif thing is not None:
            self._once(place.things, thing, key)
            place.things[thing.name] = reader.statement(thing, key, value, ("product",))
        elif word in self.reader.roles:
            self._role(place, word, key, value)
        elif pair := reader.split(word, ("part", "record")) or reader.part_said(word):
            said = place.things.setdefault(pair[0].name, Statement(pair[0].name, key.where))
            reader.fact(pair[1], key, value, said.known)
        elif reader.is_a_junction(word):
            place.junctions.append((key, value))
        else:
            allowed = (*PLACE_KEYS, *reader.statable("place"), *self.reader.names_of("part"), *sorted(self.reader.roles))
            reader.unknown(key, f"the place `{place.name}`", allowed, placed=True, about="place")

    def _absent(self, place: WrittenPlace, thing: Thing, key: Text, value: Node) -> None:
        """`curbless: yes` is `curb: none`, and `curbless: no` is `curb: there`."""
        word = normalized(value.text) if isinstance(value, Text) else "facts"
        if word in NOT_SAID:
            return
        if word not in NONE_WORDS and word not in THERE_WORDS:
            complain(self.complaints, value, f"`{key.text}` is yes or no", f"yes, no, or `{thing.name}:` with its facts under it", thing.name)
            return
        self._once(place.things, thing, key)
        meant = Text("there" if word in NONE_WORDS else "none", value.where)
        place.things[thing.name] = self.reader.statement(thing, Text(thing.name, key.where), meant)

    def _layer_without_place(self, place: WrittenPlace, thing: Thing, key: Text, value: Node) -> None:
        word, reader = normalized(value.text) if isinstance(value, Text) else "facts", self.reader
        if word in NONE_WORDS and reader.names_one_of(thing, key.text):
            reader.note(key.where, f"`{key.text}: {value.text}` says which {thing.name} it is not", f"`{thing.name}: none` if there is none")
        elif word in NONE_WORDS or word in NOT_SAID:
            self._once(place.things, thing, key)
            place.things[thing.name] = reader.statement(thing, key, value)
        else:
            place.beside.append((key, reader.statement(thing, key, value, LAYER_COMMON)))

    def _role(self, place: WrittenPlace, role: str, key: Text, value: Node) -> None:
        word = normalized(value.text) if isinstance(value, Text) else "a list"
        if word in NONE_WORDS:
            place.without[role] = Known(NONE, STATED, f"{role}: none", value.where)
        elif word not in NOT_SAID:
            layers = [t.name for t in self.vocabulary.things.values() if t.role == role]
            complain(self.complaints, value, f"`{key.text}` is not a layer: write what it is",
                   f"`{key.text}: none`, or one of {listed(layers)} under `built up:`", role)  # fmt: skip
