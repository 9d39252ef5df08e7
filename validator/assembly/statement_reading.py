"""Takes what is written of one thing, returns whether it is there and each of its facts, read by the vocabulary.

A board, a drain, a strip of tape or a flood test is written in one of three ways: `tape: none`, `board: foam`, or its
facts on lines of their own. All become a `Statement`.
"""

import re
from contextlib import suppress

from validator.assembly.cards import card_of
from validator.assembly.evidence import SHOWN_BY, without_shown_by
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS, NameReader, joined, singular
from validator.assembly.phrases import COLORS, most_of, pieces_of
from validator.assembly.observation_reading import OBSERVED, SEEN, read_seen
from validator.assembly.statement import Statement, bring_in
from validator.facts import possible
from validator.facts.observing import Observation
from validator.facts.possible import NOT_SAID, NOT_STATED, STATED, Known, NotPossible
from validator.facts.vocabulary import HAVE_A_STATE, MAYBE, NONE, NOT_YET, STATE, THERE, Fact, Thing
from validator.language import amounts
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean
from validator.language.source import Complaint, Entries, Items, Node, Text, Where

_MEASURED_WORDS = re.compile(r"\b(actual|true|measured|full[- ]sawn|rough[- ]sawn)\b")
_LEAST_MM, _LEAST_CM = 100, 10
_METRIC = re.compile(r"[0-9]\s*(?:mm|cm|m|m2|m²|sq m|kg)\b", re.IGNORECASE)
_INCHES = re.compile(r"""[0-9]\s*(?:["″”'’]|(?:in|inch|inches|ft|feet|foot|psf|lb|oc|gal|mil)\b)|[0-9]/[0-9]""", re.IGNORECASE)
_MADE_OF = ("made of", "built of", "made from")
_FIGURE = re.compile(r"[0-9./\s\"'x×-]+(?:in|inch|inches|mm|cm|ft)?\.?", re.IGNORECASE)
_YES = re.compile(r"(?:yes|y)\b[\s,;:(]+", re.IGNORECASE)
_OR = re.compile(r"\s+or\s+")


def _without_yes(node: Text) -> Text:
    """`yes, vinyl` as vinyl, `yes (1)` as yes."""
    found = _YES.match(node.text)
    rest = node.text[found.end() :].strip(" ()") if found else ""
    return node if found is None else Text("yes" if not rest or rest.isdigit() else rest, node.where)


def _apart(fact: Fact, text: str) -> str:
    """What to say to `12 x 24 in woodlook`, where one word is asked and a size has a line of its own."""
    mixed = fact.kind == "word" and re.search(r"\d", text) and not re.search(r"\d", "".join(fact.words))
    return "one word here, and sizes and amounts on lines of their own under it: " if mixed else ""


class StatementReader(NameReader):
    """Reads things and facts by one vocabulary."""

    in_metric = in_inches = False  # which of the two, and no other, the description's amounts are in

    def hear_units(self, words: str) -> None:
        """Learn from a whole description which system its amounts are in."""
        metric, inches = _METRIC.search(words) is not None, _INCHES.search(words) is not None
        self.in_metric, self.in_inches = metric and not inches, inches and not metric

    # -- one fact ---------------------------------------------------------------------------------------------------------

    def fact(self, fact: Fact, key: Text, node: Node, known: dict[str, Known], *, given: bool = False) -> None:
        """Read one fact into what is known; a size gives the facts of its edges too, a word those it speaks of (`given`)."""
        text = self._one_text(fact, key, node)
        if text is None:
            return
        if not fact.stated:
            way = "from the order of the layers" if fact.name.endswith((".lies on", ".covered by")) else "from other facts"
            complain(self.complaints, key, f"`{key.text}` is not written: it follows {way}", "leave the line out", fact.name)
            return
        try:
            found = possible.read(fact, text, node.where)
            edges = possible.edges(fact, text)
        except NotPossible as problem:
            measured = self._measured(fact, text) or self._with_other_facts(fact, text)
            for each, part in measured:
                self.fact(each, key, Text(part, node.where), known, given=True)
            if measured:
                return
            if fact.thing == "framing" and self._most_of_the_run(fact, key, node, known):
                return
            complain(self.complaints, node, f"`{key.text}`: {problem.what}", _apart(fact, text) + problem.accepted, fact.name)
            return
        if fact.unit_by_use and not self._unit_is_plain(fact, key, node, text):
            return
        if found.origin == NOT_STATED and normalized(text) not in NOT_SAID:
            self.note(node.where, f"`{key.text}: {text}` is a guess, and is taken as not stated", "a range, or words joined with `or`")
        self._keep(fact, key, node, found, known)
        if found.origin == STATED and not given:
            self.given_too(fact, key, Text(text, node.where), known)
        thick = self.attributes[fact.thing].get("thickness")
        if edges and thick is not None and (told := possible.thickness_in(fact, text)) is not None:
            edges[thick.name] = told
        for name, edge in edges.items():
            self._keep(self.vocabulary.facts[name], key, node, edge._replace(where=node.where), known)

    def _unit_is_plain(self, fact: Fact, key: Text, node: Node, text: str) -> bool:
        """Whether a size that names no unit can be taken as the one it is sold in; 20 x 20 may be inches or centimeters."""
        figures = [float(each) for each in re.findall(r"[0-9.]*[0-9]", text)]
        if re.search(r"[a-wyz\"'″”’]", text, re.IGNORECASE) or not figures or min(figures) >= _LEAST_MM:
            return True
        if self.in_metric:
            complain(self.complaints, node, f"`{key.text}`: `{text}` says no unit, and the rest is in metric", f"`{text} cm` or `{text} in`", fact.name)
        elif not self.in_inches and all(each % 5 == 0 and each >= _LEAST_CM for each in figures):
            self.note(node.where, f"`{text}`, with no unit, is taken as inches", f"`{text} cm` if it is that")
        return not self.in_metric

    def given_too(self, fact: Fact, key: Text, said: Text, known: dict[str, Known]) -> None:
        """What a word says beside its own fact: `marble` is a stone, and says which."""
        for given in (self.vocabulary.facts[name] for name in fact.gives if fact.is_word or fact.kind == "name"):
            if self.reads(self.vocabulary.things[given.thing], given.name.partition(".")[2], said.text):
                self.fact(given, key, said, known, given=True)

    def _measured(self, fact: Fact, text: str) -> list[tuple[Fact, str]]:
        """What is written in place of a name by who measured it, or before the name: `1-1/2 x 7`, `3 x 8 actual`, `14 in I-joist`.

        Inches where no unit is written; whole numbers alone are a name that nobody uses, not a measure.
        """
        bare = _MEASURED_WORDS.sub("", text).strip()
        named = bare == text.strip() and re.fullmatch(r"\d+ ?x ?\d+", bare) is not None
        words = bare.split()
        for each in (self.vocabulary.facts[name] for name in fact.gives if fact.is_word and not named):
            parts = [(bare, ""), (f"{bare} in", "")] if each.kind == "size" else []
            if each.is_amount:
                parts = [(" ".join(words[:cut]), " ".join(words[cut:])) for cut in range(1, len(words))]
            for first, rest in parts:
                with suppress(NotPossible):
                    possible.read(each, first)
                    possible.edges(each, first)
                    if rest:
                        possible.read(fact, rest)
                    return [(each, first), *([(fact, rest)] if rest else [])]
        return []

    def _most_of_the_run(self, fact: Fact, key: Text, node: Text, known: dict[str, Known]) -> bool:
        """`joists: 2x8, 24 oc, 10 ft`: what can be read of a run of framing said on one line; the rest is told."""
        thing = self.vocabulary.things[fact.thing]
        pieces, left = most_of(thing, node.text, self.vocabulary)
        if not any(name == fact.name for name, _ in pieces):
            return False
        for name, words in pieces:
            self.fact(self.vocabulary.facts[name], key, Text(words, node.where), known, given=True)
        self.leftover(thing, node, left)
        return True

    def _with_other_facts(self, fact: Fact, text: str) -> list[tuple[Fact, str]]:
        """What else of the same thing stands beside a fact's own words: `joist: 2x10 at 16 in oc`."""
        thing = self.vocabulary.things[fact.thing]
        pieces = pieces_of(thing, text, self.vocabulary) if fact.is_word else []
        return [(self.vocabulary.facts[name], words) for name, words in pieces] if any(name == fact.name for name, _ in pieces) else []

    def _one_text(self, fact: Fact, key: Text, node: Node) -> str | None:
        match node:
            case Text():
                return node.text
            case Items() if fact.is_together and all(isinstance(item, Text) for item in node.items):
                return " and ".join(item.text for item in node.items)
            case Items():
                complain(self.complaints, node, f"`{key.text}` is one value, not a list",
                       "`or` between words when it is one of them, not known which", fact.name)  # fmt: skip
            case Entries():
                complain(self.complaints, node, f"`{key.text}` is one value; nothing stands under it", f"`{key.text}: ...` on one line", fact.name)
        return None

    def _keep(self, fact: Fact, key: Text, node: Node, found: Known, known: dict[str, Known]) -> None:
        before = known.get(fact.name)
        if before is not None and before.origin == STATED and found.origin == STATED:
            value = possible.both(fact, before.value, found.value) if found.value is not None else None
            if value is None:
                complain(self.complaints, key, f"`{key.text}` says {found.text}, but above it is {before.text}", "say it once", fact.name)
                del known[fact.name]
                return
            if value == before.value:
                return
            found = found._replace(value=value)
        if before is None or found.origin == STATED:
            known[fact.name] = found
        self._suspect(fact, key, node, found)

    def _suspect(self, fact: Fact, key: Text, node: Node, found: Known) -> None:
        """A value outside what is usual is asked about; it never reasons."""
        if not fact.is_amount or found.origin != STATED:
            return
        least, greatest = found.value
        below = fact.slip_below and greatest < amounts.read(fact.slip_below, fact.kind).least
        above = fact.slip_above and least > amounts.read(fact.slip_above, fact.kind).greatest
        if below or above:
            usual = f"from {fact.slip_below} up" if not fact.slip_above else f"up to {fact.slip_above}"
            if fact.slip_below and fact.slip_above:
                usual = f"{fact.slip_below} to {fact.slip_above}"
            self.note(node.where, f"`{key.text}: {found.text}` is unusual and may be a slip", f"usually {usual}")

    def seen(self, node: Node, of: Thing | None = None) -> tuple[Observation, ...]:
        """What is written under `seen:`, of a place, a junction or the job, or `of` a thing of one."""
        return read_seen(self, self.fact, node, of)

    # -- one thing --------------------------------------------------------------------------------------------------------

    def statement(self, thing: Thing, key: Text, node: Node, common: tuple[str, ...] = ()) -> Statement:
        """A thing as written under its name: facts on lines, one word, or whether it is there at all."""
        said = Statement(thing.name, key.where)
        lines, shown = without_shown_by(node, self.complaints)
        match lines:
            case Entries():
                for line, value in lines.pairs:
                    self.line(said, thing, line, value, common)
            case Text():
                self._bare(said, thing, key, lines)
            case Items():
                complain(self.complaints, node, f"`{key.text}` is one {thing.name}, not a list",
                       f"`{key.text}:` with its facts on lines under it", thing.name)  # fmt: skip
        self._called(said, thing, key)
        return self._with_card(said).shown(shown)

    def _with_card(self, said: Statement) -> Statement:
        """A thing together with what the card of its product declares."""
        if not said.product:
            return said
        card = card_of(self.catalogue, said.product)
        if card is None:
            hint = did_you_mean(said.product, [each.name for each in self.catalogue.values()])
            self.note(said.where, f"there is no card for `{said.product}`: only what is written here counts", hint.strip())
            return said
        if card.thing != said.thing:
            self.complaints.append(
                Complaint(said.where, f"`{card.name}` is a {card.thing}, not a {said.thing}", f"`{card.thing}:` with that product", said.thing)
            )
            return said
        said.product, said.card = card.name, True
        for name, declared in card.declares.items():
            bring_in(self.vocabulary.facts[name], said, card.name, declared)
        return said

    def _called(self, said: Statement, thing: Thing, key: Text) -> None:
        """What the name itself says: `cement board` is a board, and of cement.

        What a thing's own name says, `screws`, gives way to what is said of it: `screws: roofing nails`.
        """
        forms = singular(joined(key.text)) if thing.named_by else ()  # a framing run may be called anything
        word = next((self.called[form] for form in forms if form in self.called), "")
        known = said.known.get(f"{thing.name}.{thing.named_by}")
        own = joined(thing.name) in singular(joined(key.text))
        if said.presence == NONE or (word and own and known is not None and known.origin == STATED):
            return
        if word:
            self.fact(self.vocabulary.facts[f"{thing.name}.{thing.named_by}"], key, Text(word, key.where), said.known)
        elif thing.sort == "layer" and self.thing_of(key.text, ("layer",)) is None and (pair := self.compound(key.text)):
            self._bare(said, thing, key, Text(pair[1], key.where))

    def line(self, said: Statement, thing: Thing, key: Text, value: Node, common: tuple[str, ...] = ()) -> None:
        """One line under a thing: its name, its product, or a fact."""
        word = normalized(key.text)
        word = (thing.named_by or "material") if word in _MADE_OF else word
        fact = self.attributes[thing.name].get(word)
        if word == SEEN and fact is None and thing.sort in OBSERVED:
            said.observed += self.seen(value, thing)
        elif word in common and fact is None:
            if not isinstance(value, Text):
                complain(self.complaints, value, f"`{key.text}` is one piece of text", f"`{key.text}: ...` on one line", thing.name)
            elif word == "product":
                said.product = value.text
            else:
                said.name = value.text
        elif fact is None and (worded := self._yes_or_no_of(thing, word, value)) is not None:
            self._say_word(said, worded, key, value)
        elif fact is None:
            self.unknown_fact(thing, key, (*common, SHOWN_BY))
        elif fact.name == f"{thing.name}.{thing.named_by}" and isinstance(value, Text):
            self._named(said, fact, key, value)
        else:
            self.fact(fact, key, value, said.known)
            if word == "product" and isinstance(value, Text):
                said.product = value.text

    def _yes_or_no_of(self, thing: Thing, word: str, value: Node) -> Fact | None:
        plain = normalized(value.text) if isinstance(value, Text) else ""
        return self.worded(thing, word) if plain in THERE_WORDS or plain in NONE_WORDS else None

    def _say_word(self, said: Statement, fact: Fact, key: Text, value: Text) -> None:
        """`painted: yes` says the word; `painted: no` that it is any other."""
        if normalized(value.text) in THERE_WORDS:
            self.fact(fact, value, Text(key.text, value.where), said.known)
            return
        found = possible.read(fact, key.text, value.where)
        others = fact.every_word & ~found.value
        self._keep(fact, key, value, found._replace(value=others, text=f"not {key.text}"), said.known)

    def _bare(self, said: Statement, thing: Thing, key: Text, node: Text) -> None:
        node = _without_yes(node)
        word = normalized(node.text)
        if word in NONE_WORDS and self.names_one_of(thing, key.text):
            said.presence = MAYBE  # `hot mop: no` says which it is not, and not that there is none
        elif word in NONE_WORDS:
            said.presence = NONE
        elif word in NOT_YET and thing.sort in HAVE_A_STATE:
            self.fact(self.vocabulary.facts[f"{thing.name}.{STATE}"], key, Text("planned", node.where), said.known)
        elif word in THERE_WORDS:
            said.presence = THERE
        elif word in NOT_SAID or (supposed := possible.guessed(word)) is not None and supposed in ("", *NONE_WORDS, *THERE_WORDS):
            said.presence = MAYBE  # not known, or only supposed
        elif other := next((name for name in self._alone(thing) if self.reads(thing, name, node.text)), ""):
            self.fact(self.vocabulary.facts[f"{thing.name}.{other}"], key, node, said.known)
        elif self._is_its_own_name(thing, word) or word in COLORS:
            said.presence = THERE
        elif thing.named_by:
            self._named(said, self.vocabulary.facts[f"{thing.name}.{thing.named_by}"], key, node)
        elif not self._phrase(said, key, node) and not self._mostly(said, key, node):
            complain(self.complaints, node, f"`{node.text}` does not say what the {thing.name} is",
                   f"none, there, or its facts on lines under it: {listed(self.statable(thing.name))}", thing.name)  # fmt: skip

    def _is_its_own_name(self, thing: Thing, word: str) -> bool:
        """`drain: floor drain`: another name of the thing, which says no more than that it is there."""
        own = self.thing_of(word, (thing.sort,))
        return own is thing and not self.word_called(word)

    def _alone(self, thing: Thing) -> tuple[str, ...]:
        """The facts that a value beside the thing's name may give: `drain: existing` says its state."""
        return (*thing.alone, STATE) if thing.sort in HAVE_A_STATE else thing.alone

    def say_kind(self, said: Statement, thing: Thing, key: Text) -> None:
        """What a layer's line says where it names the layer by what kind of it it is: `3/4 in plywood`."""
        self._named(said, self.vocabulary.facts[f"{thing.name}.{thing.named_by}"], key, key)

    def _phrase(self, said: Statement, key: Text, node: Text) -> bool:
        """Read `honed limestone, 18 x 18 in` as every fact that it says; nothing is read where a word of it says none."""
        pieces = pieces_of(self.vocabulary.things[said.thing], node.text, self.vocabulary)
        self.state(said, key, pieces, node.where)
        return bool(pieces)

    def _mostly(self, said: Statement, key: Text, node: Text) -> bool:
        """Read what can be read of a phrase, and complain of the words that cannot."""
        pieces, left = most_of(self.vocabulary.things[said.thing], node.text, self.vocabulary)
        if pieces:
            self.state(said, key, pieces, node.where)
            self.leftover(self.vocabulary.things[said.thing], node, left)
        return bool(pieces)

    def state(self, said: Statement, key: Text, pieces: list[tuple[str, str]], where: Where) -> None:
        """Put what a phrase says into a statement."""
        for name, words in pieces:
            self.fact(self.vocabulary.facts[name], key, Text(words, where), said.known)

    def leftover(self, thing: Thing, node: Text, left: list[str]) -> None:
        """Complain of the words of a phrase that nothing reads."""
        if not left:
            return
        complain(self.complaints, node, f"of `{node.text}` nothing reads `{' '.join(left)}`",
                 f"the rest is read as {thing.name}; what more there is to say of it has lines under it: {listed(self.statable(thing.name), 6)}", thing.name)  # fmt: skip

    def _says_more(self, fact: Fact, text: str) -> bool:
        """Whether a text is no slip of one word, nor a choice of several: it has words more than that."""
        return not _OR.search(text) and possible.guessed(text) is None and not possible.can_read(fact, text) and len(text.split()) > 1

    def _bare_amount(self, name: str, key: Text, node: Text) -> bool:
        """Complain of a figure beside a thing's name that lacks its unit, or that could be of two of its facts: `tile: 1 in`."""
        thing = self.vocabulary.things[name]
        alone = [self.vocabulary.facts[f"{name}.{each}"] for each in thing.alone]
        measured = next((fact for fact in alone if fact.kind == "size" or fact.is_amount), None)
        if measured is None or not _FIGURE.fullmatch(node.text.strip()):
            return False
        own = measured.name.partition(".")[2]
        thickness = f"{name}.thickness" in self.vocabulary.facts and own != "thickness"
        try:
            possible.edges(measured, node.text) if measured.kind == "size" else possible.read(measured, node.text)
        except NotPossible as problem:
            if thickness and possible.can_read(self.vocabulary.facts[f"{name}.thickness"], node.text):
                complain(self.complaints, node, f"`{key.text}: {node.text}` may be its {own} or its thickness",
                         f"`{own}: {node.text} square` or `thickness: {node.text}`", name)  # fmt: skip
            else:
                complain(self.complaints, node, f"`{key.text}`: {problem.what}", problem.accepted, name)
        return True

    def _named(self, said: Statement, fact: Fact, key: Text, node: Text) -> None:
        """The word that names a thing; `none` there says there is no such thing, `foam or none` that there may be."""
        if card_of(self.catalogue, node.text) is not None:
            said.product = node.text
            return
        if not possible.can_read(fact, node.text) and (self._phrase(said, key, node) or self._bare_amount(said.thing, key, node)):
            return
        if self._says_more(fact, node.text) and self._mostly(said, key, node):
            return
        ways = _OR.split(" ".join(node.text.split()))
        kept = [way for way in ways if normalized(way) not in NONE_WORDS]
        if fact.kind == "yes or no":
            kept = ways
        if not kept:
            said.presence = NONE
            return
        if len(kept) < len(ways):
            said.presence = MAYBE
        text = Text(" or ".join(kept), node.where, node.quoted)
        self.fact(fact, key, text, said.known)
        if fact.name.endswith(".product"):
            said.product = text.text
