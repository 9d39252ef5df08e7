"""Takes a file's node, returns the description as written: the job, framing runs, places with layers and parts, records.

Everything is read by the vocabulary, with every complaint at once; nothing is concluded here.
"""

from validator.assembly.evidence import SHOWN_BY, is_misplaced, without_shown_by
from validator.assembly.junction_reading import JunctionReader
from validator.assembly.layer_reading import LayerReader
from validator.assembly.line_sorting import FRAMING, framed, sorted_lines
from validator.assembly.name_reading import MANY, NONE_WORDS, THERE_WORDS, singular, things_of
from validator.assembly.observation_reading import SEEN
from validator.assembly.phrases import most_of
from validator.assembly.places import can_be
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

    alone = False  # whether the file describes one place

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
        loose: list[tuple[Text, Node]] = []  # records that stand at the top of the file
        for key, value in node.pairs:
            word = "assembly" if normalized(key.text) == "name" else normalized(key.text)
            if word in lines:
                complain(self.complaints, key, "the assembly is named twice", "one line `assembly:`")
            elif word in TOP_KEYS:
                lines[word] = value
            elif self.reader.thing_of(key.text, ("record",)):
                loose.append((key, value))
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
        found.records = self.records(lines.get("records"), tuple(loose))
        for key, value in pairs_of(lines.get("everywhere in"), "everywhere in", self.complaints):
            if not is_misplaced(key, self.complaints):
                found.everywhere.append((key, self.layers.read(value)))
        JunctionReader(self.reader, found).read(lines.get("junctions"))
        return found

    def _facts_of_job(self, node: Node | None) -> dict[str, Known]:
        known: dict[str, Known] = {}
        lines, shown = without_shown_by(node, self.complaints)
        if isinstance(lines, Text) and lines.text:
            thing = self.vocabulary.things["job"]
            pieces, left = most_of(thing, lines.text, self.vocabulary)
            self.reader.state(Statement("job", lines.where, known=known), Text("use", lines.where), pieces, lines.where)
            if pieces:
                self.reader.leftover(thing, lines, left)
                return shown.put_on(known)
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
        if isinstance(lines, Text) and lines.text:
            said = framed(lines, lines) or lines
            return {"": self.reader.statement(thing, Text("framing", node.where), said).shown(shown)}
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

    def records(self, node: Node | None, loose: tuple[tuple[Text, Node], ...] = ()) -> dict[str, Statement]:
        """Things of sort record."""
        found: dict[str, Statement] = {}
        lines, shown = without_shown_by(node, self.complaints)
        for key, value in (*pairs_of(lines, "records", self.complaints), *loose):
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
        self.alone = len(pairs) == 1
        for key, value in (pair for pair in pairs if not is_misplaced(pair[0], self.complaints)):
            self._fresh(key, found.places, "place")
            found.places[normalized(key.text)] = self.place(key, value)
        for key, value in (line for place in found.places.values() for line in place.of_the_job):
            self.reader.fact(self.reader.attributes["job"][normalized(key.text)], key, value, found.job)

    def place(self, key: Text, node: Node) -> WrittenPlace:
        """One place."""
        place = WrittenPlace(key.text, key.where)
        if isinstance(node, Items):  # a place that is written as its build-up alone
            node = Entries(((Text("built up", node.where), node),), node.where)
        lines, place.shown = without_shown_by(node, self.complaints)
        pairs = pairs_of(lines, f"the place `{key.text}`", self.complaints)
        pairs = sorted_lines(pairs, self.reader)
        kind = next((value for line, value in pairs if normalized(line.text) == "kind"), None)
        own = self._kind(place, kind, pairs)
        for line, value in pairs:
            self._place_line(place, line, value, own)
        for line, value in place.of_a_layer:
            self._said_of_its_layer(place, line, value)
        return place

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
            case "seen" | "problems" | "history":
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
        elif word == FRAMING or framed(key, value):
            phrase = value if word == FRAMING else framed(key, value)
            place.framing = reader.statement(reader.vocabulary.things[FRAMING], Text(FRAMING, key.where), phrase)
            place.framing.name = place.name
        elif word in reader.attributes["job"] and self._is_of_the_job(reader.attributes["job"][word]):
            place.of_the_job.append((key, value))
        else:
            place.of_a_layer.append((key, value))

    def _is_of_the_job(self, fact: Fact) -> bool:
        """Whether a line of a place says it of the whole job: its climate is one; how warm it was may differ, unless the file has one place."""
        return self.alone or not fact.is_amount

    def _said_of_its_layer(self, place: WrittenPlace, key: Text, value: Node) -> None:
        """A line of a place that is a fact of one thing written in it alone: `flatness: 1/4 in in 10 ft`, `seams sealed: yes`."""
        reader, word = self.reader, normalized(key.text)
        has = [each for each in (*(place.layers or ()), *place.things.values()) if each is not None and word in reader.attributes[each.thing]]
        if len(has) == 1 and len(reader.said_of(word)) < MANY:
            reader.line(has[0], self.vocabulary.things[has[0].thing], key, value)
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

    def _could_play(self, role: str, place: WrittenPlace) -> list[Thing]:
        """The layers that could play a role in a place, those first that are it by their name."""
        every, kinds = things_of(role, self.vocabulary), self._kinds(place)
        return [each for each in every if not kinds or can_be(each, kinds) != NONE] or every

    def _role(self, place: WrittenPlace, role: str, key: Text, value: Node) -> None:
        word = normalized(value.text) if isinstance(value, Text) else "a list"
        if word in NONE_WORDS:
            place.without[role] = Known(NONE, STATED, f"{role}: none", value.where)
        elif self.reader.is_no(role, word):
            place.without[role] = Known(NONE, STATED, f"{role}: {value.text}", value.where)
            self.reader.note(value.where, f"`{key.text}: {value.text}` is taken as none: that is no {role}", f"what it is, if there is any: {listed((each.name for each in self._could_play(role, place)), 3)}")
        elif isinstance(value, Text) and len(layers := self.reader.playing(role, value.text)) == 1:
            name = Text(layers[0].name, key.where)
            place.beside.append((name, self.reader.statement(layers[0], name, value, LAYER_COMMON)))
        elif word not in NOT_SAID:
            layers = [each.name for each in self._could_play(role, place)]
            complain(self.complaints, value, f"`{key.text}` is not a layer: write what it is",
                   f"`{key.text}: none`, or one of {listed(layers)} under `built up:`", role)  # fmt: skip
