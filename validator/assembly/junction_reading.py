"""Takes what is written of junctions, by kind, at one place or from one place to another; returns them as written."""

import re

from validator.assembly.evidence import SHOWN_BY, Shown, without_shown_by
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS, singular
from validator.assembly.observation_reading import SEEN
from validator.assembly.statement import Statement
from validator.assembly.statement_reading import StatementReader
from validator.assembly.written import WrittenAssembly, WrittenJunction, unknown_place
from validator.facts import possible
from validator.facts.possible import NOT_SAID, STATED, Known, NotPossible
from validator.facts.vocabulary import NONE, Thing
from validator.language.forms import complain, listed, normalized, pairs_of, text_of
from validator.language.slips import did_you_mean
from validator.language.source import Entries, Node, Text

_ENDS = ("kind", "between", "at")
_AND = re.compile(r"\s*(?:,|;|\+|&|\band\b|\bwith\b|\bin\b|\bbedded in\b)\s*")


class JunctionReader:
    """Reads what is written under `junctions:`, once the places are known."""

    def __init__(self, reader: StatementReader, found: WrittenAssembly) -> None:
        self.reader, self.found = reader, found
        self.vocabulary, self.complaints = reader.vocabulary, reader.complaints

    def read(self, node: Node | None) -> None:
        """Junctions by kind, and the ones between two places written apart."""
        for place in self.found.places.values():
            for key, value in place.junctions:
                kinds = self._junction_kinds(key, value)
                if kinds is not None:
                    self._junction(kinds, (normalized(place.name),), key, value, Shown())
        every, shown = without_shown_by(node, self.complaints)
        for key, value in pairs_of(every, "junctions", self.complaints):
            if normalized(key.text) in ("all others", "all other"):
                self.found.other_seals = shown.one(self._others(value))
                continue
            kinds, at = self._junction_kinds(key, value), ()
            lines = value
            if kinds is None:
                continue
            if isinstance(value, Entries):
                own = {normalized(k.text): v for k, v in value.pairs}
                at = self._ends(own.get("between") or own.get("at"))
                lines = Entries(tuple(p for p in value.pairs if normalized(p[0].text) not in _ENDS), value.where)
            self._junction(kinds, at, key, lines, shown)

    def _others(self, value: Node) -> Known | None:
        word = normalized(value.text) if isinstance(value, Text) else "a list"
        if word in NONE_WORDS:
            return Known(NONE, STATED, "all others: none", value.where)
        if word not in NOT_SAID:
            complain(self.complaints, value, "`all others` is none, or is left out", "none", "junction")
        return None

    def _junction_kinds(self, key: Text, value: Node) -> tuple[str, ...] | None:
        """The kinds a key names, or those on its `kind:` line."""
        fact = self.vocabulary.facts["junction.kind"]
        line = value.get("kind") if isinstance(value, Entries) else None
        named = line if isinstance(line, Text) else key
        for form in (named.text, *singular(normalized(named.text)), normalized(named.text) + "s"):
            try:
                known = possible.read(fact, form, named.where)
            except NotPossible:
                continue
            if known.origin == STATED:
                return tuple(word for bit, word in enumerate(fact.words) if known.value >> bit & 1)
        hint = did_you_mean(named.text, (*fact.words, *fact.also_said))
        complain(self.complaints, named, f"`{named.text}` is not a kind of junction", f"{hint}{listed(fact.words)}", "junction")
        return None

    def _junction(self, kinds: tuple[str, ...], at: tuple[str, ...], key: Text, value: Node, wider: Shown) -> None:
        if isinstance(value, Text) and normalized(value.text) in NOT_SAID:
            return
        junction = WrittenJunction(kinds, key.where, at)
        self.found.junctions.append(junction)
        lines, shown = without_shown_by(value, self.complaints)
        shown = shown.within(Shown(wider.at(key.where)))
        junction.shown_by = shown.whole
        if isinstance(value, Text):
            word = normalized(value.text)
            if word in NONE_WORDS:
                junction.presence = NONE
            elif word not in THERE_WORDS and not self._made_with(junction, key, value):
                complain(self.complaints, value, f"`{value.text}` does not say how `{key.text}` is made",
                       "its facts on lines under it, or none", "junction")  # fmt: skip
            return
        for line, fact in pairs_of(lines, f"the junction `{key.text}`", self.complaints):
            if not at and self._names_places(line, fact):
                ends = self._ends(line)
                if ends:
                    self._junction(kinds, ends, line, fact, shown)
            else:
                self._junction_line(junction, key, line, fact)
        junction.apply_evidence(shown)

    def _made_with(self, junction: WrittenJunction, key: Text, value: Text) -> bool:
        """`mesh tape`, `100% silicone`, `mesh tape and thinset`: what closes a junction, and what its tape is bedded in."""
        reader, filled = self.reader, self.reader.attributes["junction"].get("filled with")
        seals: list[tuple[Thing, Text, Node]] = []
        for words in _AND.split(value.text.strip()):
            said, there = Text(words, value.where), Text("there", value.where)
            bedded = next((fact for thing, _, _ in seals if (fact := reader.attributes[thing.name].get("bedded in")) and possible.can_read(fact, words)), None)
            thing = reader.thing_of(words, ("seal",))
            if bedded is not None:
                seals.append((reader.vocabulary.things[bedded.thing], Text(bedded.thing, value.where), Entries(((Text("bedded in", value.where), said),), value.where)))
            elif thing is not None:
                seals.append((thing, said, there))
            elif (pair := reader.compound(words, ("seal",))) is not None:
                seals.append((pair[0], Text(pair[0].name, value.where), Text(pair[1], value.where)))
            elif filled is not None and not seals and possible.can_read(filled, value.text):
                reader.fact(filled, key, value, junction.known)
                return True
            else:
                return False
        for thing, named, how in seals:
            self._seal(junction, thing, named, how)
        return True

    def _seal(self, junction: WrittenJunction, thing: Thing, key: Text, value: Node) -> None:
        """A seal of a junction, with what was said of it before."""
        earlier = junction.seals.get(thing.name)
        said = self.reader.statement(thing, key, value, ("product",))
        if earlier is not None:
            said.known = {**earlier.known, **said.known}
        junction.seals[thing.name] = said

    def _junction_line(self, junction: WrittenJunction, key: Text, line: Text, value: Node) -> None:
        reader, word = self.reader, normalized(line.text)
        fact = reader.attributes["junction"].get(word)
        thing = reader.thing_of(word, ("seal",))
        if word == "note":
            return
        if word == SEEN:
            junction.observed += reader.seen(value)
            return
        if fact is not None and word not in _ENDS:
            reader.fact(fact, line, value, junction.known)
        elif thing is not None:
            self._seal(junction, thing, line, value)
        elif pair := reader.split(word, ("seal",)):
            said = junction.seals.setdefault(pair[0].name, Statement(pair[0].name, line.where))
            reader.fact(pair[1], line, value, said.known)
        else:
            seals = reader.names_of("seal")
            facts = [name for name in reader.statable("junction") if name not in _ENDS]
            allowed = (*facts, *seals, *(f"{s} {a}" for s in seals for a in reader.statable(s)), SEEN, SHOWN_BY)
            reader.unknown(line, f"the junction `{key.text}`", allowed, about="junction")

    def _names_places(self, line: Text, value: Node) -> bool:
        """True of `back wall to shower floor`, or of one place, as a key under a kind of junction."""
        word, places = normalized(line.text), self.found.places
        if word in places:
            return not self.reader.thing_of(word, ("seal",))
        return " to " in word and (isinstance(value, Entries) or any(end in places for end in word.split(" to ")))

    def _ends(self, node: Node | None) -> tuple[str, ...]:
        """The plain names of the one or two places of a junction."""
        if node is None:
            return ()
        text = text_of(node, "between", self.complaints)
        ends = [normalized(end) for end in text.split(" to ")] if normalized(text) not in self.found.places else [normalized(text)]
        if len(ends) > 2:
            complain(self.complaints, node, f"`{text}` is not one place to another", "`back wall to shower floor`", "junction")
            return ()
        for end in ends:
            if end not in self.found.places:
                unknown_place(self.complaints, node, end, self.found.places)
                return ()
        return tuple(ends)
