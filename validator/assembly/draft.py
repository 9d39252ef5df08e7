"""An assembly that is being written: finds where a fact of a place stands, and returns the page with it changed.

A fact that is written is changed on its own line, so that what is written once for several places changes for all of
them, as it would on site. A fact that is not written is added under the thing it is said of.
"""

from pathlib import Path as File
from typing import NamedTuple

from validator.assembly.cards import ProductCard
from validator.assembly.evidence import ALL_OTHERS, SHOWN_BY
from validator.assembly.reading import Assembly, read_assembly, standard_input
from validator.assembly.options import with_options
from validator.assembly.name_reading import NONE_WORDS, THERE_WORDS, NameReader, singular
from validator.assembly.wholes import spread_wholes
from validator.facts.possible import CARD, NOT_SAID, NOT_STATED, Known, in_words
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import Vocabulary
from validator.language import editing
from validator.language.forms import normalized
from validator.language.source import BadAssembly, Complaint, Entries, Items, Node, Text, read_file, read_source

# From the structure outwards: where a layer that is added goes.
OUTWARDS = (
    "slab", "subfloor panel", "existing finish", "primer", "self-leveling underlayment", "vapour retarder", "board", "screw",
    "pre-slope", "liner", "mortar bed", "bedding mortar", "foam pan", "heat", "isolation membrane", "membrane", "tile mortar",
    "tile", "grout",
)  # fmt: skip

WHOLE_FILE = "written out in full"  # the line that says of all that is not written that it is not there


class Draft(NamedTuple):
    """A page with the vocabulary it is written in; it never changes, a change gives another."""

    node: Node
    file: str
    vocabulary: Vocabulary
    catalogue: dict[str, ProductCard]
    head: str = ""

    def assembly(self) -> Assembly:
        """What is described. Raises BadAssembly."""
        return read_assembly(self.node, self.file, self.vocabulary, self.catalogue)

    def text(self) -> str:
        """The whole file as it would be written."""
        return editing.written(self.node, self.head)

    # -- saying ---------------------------------------------------------------------------------------------------------------

    def said(self, subject: Subject, name: str, words: str, layer: Layer | None = None) -> "Draft":
        """The draft with one fact of a place said; `none` or `there` of a thing, a role's own question by its answer."""
        if name == WHOLE_FILE:
            return self._with(editing.put(self.node, (WHOLE_FILE,), editing.text(words)))
        fact = self.vocabulary.fact(name)
        if fact.kind == "presence":
            return self._presence(subject, name, words)
        if fact.role and fact.concluded:
            return self._role(subject, fact.role, words)
        layer = layer or _first_unsaid(subject, fact.thing, name)
        known = (layer.known if layer is not None else subject.known).get(name)
        if known is not None and known.where is not None and known.origin != CARD:
            path = editing.found(self.node, known.where)
            if path is not None and self._says(path, name, known):
                draft = self._with(editing.changed(self.node, path, lambda old: editing.text(words)))
                return draft._no_longer_shown(path) if known.shown_by else draft
            if path is not None and layer is not None and known.where == layer.where:  # its very name says it: `greenboard`
                return self._with(editing.renamed(self.node, path, fact.thing))._added(subject, name, words, layer)
            if path is not None:
                said = layer.known if layer is not None else subject.known
                return self._said_alone(path, name, said)._added(subject, name, words, layer)
        return self._added(subject, name, words, layer)

    def _said_alone(self, path: editing.Path, name: str, known: dict[str, Known]) -> "Draft":
        """The draft whose word that said this fact too says only its own: `half offset` becomes `offset`."""
        for giver in self.vocabulary.facts.values():
            if giver.is_word and name in giver.gives and giver.name in known and self._says(path, giver.name, known[giver.name]):
                alone = in_words(giver, known[giver.name].value)
                return self._with(editing.changed(self.node, path, lambda old, alone=alone: editing.text(alone)))
        return self

    def _says(self, path: editing.Path, name: str, known: Known) -> bool:
        """Whether the value at a path is this fact's own line, and not a size or a word that says more than it."""
        value, line = editing.at(self.node, path), normalized(editing.name_at(self.node, path))
        thing, _, attribute = name.partition(".")
        named_by = self.vocabulary.things[thing].named_by
        own = line in (normalized(attribute), normalized(f"{thing} {attribute}"))
        own = own or attribute == named_by and thing in singular(line)
        return isinstance(value, Text) and value.where == known.where and own

    def _no_longer_shown(self, path: editing.Path) -> "Draft":
        """What shows a thing shows it as it was: nothing is offered for a line that is said otherwise."""
        if len(path) > 1 and normalized(editing.name_at(self.node, path[:-1])) == "built up":
            return self
        line = editing.name_at(self.node, path)
        return self._with(editing.changed(self.node, path[:-1], lambda old: _offered(old, line, editing.text("none"))))

    def shown(self, subject: Subject, name: str, words: str, layer: Layer | None = None) -> "Draft":
        """The draft that names what shows a fact, after what shows it already; unchanged where no line of its own says the fact."""
        known = (layer.known if layer is not None else subject.known).get(name)
        path = editing.found(self.node, known.where) if known is not None and known.where is not None else None
        if path is None or not self._says(path, name, known) or normalized(editing.name_at(self.node, path[:-1])) == "built up":
            return self
        line, every = editing.name_at(self.node, path), (*(known.shown_by or ()), words)
        node = editing.text(words) if len(every) == 1 else Items(tuple(map(editing.text, every)), editing.fresh())
        return self._with(editing.changed(self.node, path[:-1], lambda old: _offered(old, line, node)))

    def _with(self, node: Node) -> "Draft":
        return self._replace(node=node)

    def _under(self, path: editing.Path | None, name: str, value: Node) -> "Draft":
        """A value under a name in what stands at a path; nothing changes where nothing stands there."""
        return self if path is None else self._with(editing.changed(self.node, path, lambda old: editing.put(old, (name,), value)))

    def _without(self, path: editing.Path) -> "Draft":
        """The draft without a line; of a layer, without its whole item."""
        return self._with(editing.without(self.node, path[:-1] if self._is_bare(path[:-1]) else path))

    def _names(self, path: editing.Path | None, thing: str) -> bool:
        """Whether the line at a path names a thing, in the singular or the plural."""
        return path is not None and thing in singular(normalized(editing.name_at(self.node, path)))

    def _is_named_otherwise(self, path: editing.Path, thing: str) -> bool:
        """Whether a layer is written under a name that says what it is made of: `greenboard`."""
        name = normalized(editing.at(self.node, path).text if self._is_bare(path) else editing.name_at(self.node, path))
        return name in map(normalized, self.vocabulary.things[thing].also_called)

    def _is_bare(self, path: editing.Path | None) -> bool:
        """Whether a layer is written as its name alone."""
        return bool(path) and isinstance(editing.at(self.node, path[:-1]), Items)

    def _with_facts(self, path: editing.Path, facts: Entries) -> "Draft":
        """A layer that was its name alone, with facts under it."""
        return self._with(editing.changed(self.node, path, lambda old: Entries(((old, facts),), editing.fresh())))

    def _added(self, subject: Subject, name: str, words: str, layer: Layer | None) -> "Draft":
        thing, _, attribute = name.partition(".")
        path = self._holder(subject, thing, layer)
        if path is not None:
            if self._is_bare(path):
                return self._with_facts(path, editing.entries((attribute, editing.text(words))))
            if normalized(editing.name_at(self.node, path)).startswith(f"{thing} "):
                return self._under(path[:-1], f"{thing} {attribute}", editing.text(words))
            known = layer.known if layer is not None else subject.known
            return self._with(editing.changed(self.node, path, lambda old: self._put(thing, old, attribute, words, known)))
        return self._new(subject, thing, editing.entries((attribute, editing.text(words))))

    def _holder(self, subject: Subject, thing: str, layer: Layer | None) -> editing.Path | None:
        """Where a thing's facts stand, if it is written at all."""
        sort = self.vocabulary.things[thing].sort
        if sort == "layer" or (sort == "framing" and layer is not None and layer.name):
            return editing.found(self.node, layer.where if layer is not None else None)
        if sort == "framing":
            return None
        if sort in ("place", "junction"):
            return editing.found(self.node, subject.where)
        known = subject.known.get(thing)
        return editing.found(self.node, known.where) if known is not None else None

    def _put(self, thing: str, old: Node, attribute: str, words: str, known: dict[str, Known]) -> Node:
        """A thing's facts with one more; a bare word or amount becomes the line it stood for."""
        if isinstance(old, Text):
            says = self._stands_for(thing, old, known)
            old = Entries(((editing.text(says), old),), editing.fresh()) if says else editing.entries()
        return editing.put(old, (attribute,), editing.text(words))

    def _stands_for(self, thing: str, said: Text, known: dict[str, Known]) -> str:
        """The line that what stands beside a thing's name could be written on; nothing where it says only that it is there."""
        plain = normalized(said.text)
        if plain in NONE_WORDS or plain in NOT_SAID or plain in THERE_WORDS or thing in singular(plain):
            return ""
        if " ".join(plain.split()) in self.catalogue:
            return "product"
        named_by = self.vocabulary.things[thing].named_by
        own = [name.partition(".")[2] for name, each in known.items() if each.where == said.where and name.startswith(f"{thing}.")]
        return named_by if named_by in own else next(iter(own), named_by)  # a line by which it is named may say more than one fact

    # -- what is not written yet ----------------------------------------------------------------------------------------------

    def _new(self, subject: Subject, thing: str, facts: Node) -> "Draft":
        """The draft with a thing that no line names, written where things of its sort stand."""
        sort = self.vocabulary.things[thing].sort
        match sort:
            case "job":
                return self._merged(("use",), facts)
            case "record":
                return self._merged(("records", thing), facts)
            case "framing":
                return self._framed(subject, facts)
            case "layer":
                return self._layered(subject, thing, facts)
            case "seal" | "junction":
                return self._joined(subject, thing, facts)
        return self._under(editing.found(self.node, subject.where), thing, facts)

    def _framed(self, subject: Subject, facts: Node) -> "Draft":
        """Facts of the one run that carries every place; beside named runs, of a run of the place's own."""
        written = self.node.get("framing") if isinstance(self.node, Entries) else None
        named = isinstance(written, Entries) and any(
            isinstance(value, Entries) and normalized(name.text) != SHOWN_BY for name, value in written.pairs
        )
        if not named:
            return self._merged(("framing",), facts)
        run = f"framing of {subject.name}"
        draft = self._merged(("framing", run), facts)
        return draft._under(editing.found(draft.node, subject.where), "on", editing.text(run))

    def _merged(self, names: tuple[str, ...], facts: Node) -> "Draft":
        if isinstance(facts, Text):
            return self._with(editing.put(self.node, names, facts))
        node = self.node
        for name, value in facts.pairs:
            node = editing.put(node, (*names, name.text), value)
        return self._with(node)

    def _joined(self, subject: Subject, thing: str, facts: Node) -> "Draft":
        """Facts of a junction, or a seal in it."""
        own = () if thing == "junction" else (thing,)
        path = editing.found(self.node, subject.where)
        if path is None:
            return self._merged(("junctions", subject.kind, *own), facts)
        draft = self
        if own or isinstance(facts, Text):
            return self._under(path, thing, facts)
        for name, value in facts.pairs:
            draft = draft._under(path, name.text, value)
        return draft

    def _layered(self, subject: Subject, thing: str, facts: Node) -> "Draft":
        """A layer in its turn from the structure outwards; a line that says there is none is taken out."""
        said = subject.known.get(thing)
        gone = editing.found(self.node, said.where) if said is not None else None
        role = self.vocabulary.things[thing].role
        if gone is not None and (self._names(gone, thing) or role and normalized(editing.name_at(self.node, gone)) == role):
            return self._without(gone)._layered(subject, thing, facts)
        alone = isinstance(facts, Text) and not facts.text
        item = editing.text(thing) if alone else Entries(((editing.text(thing), facts),), editing.fresh())
        path = self.build_up_path(subject)
        if path is not None:
            return self._with(editing.changed(self.node, path, lambda old: self._inserted(old, thing, item)))
        return self._under(editing.found(self.node, subject.where), "built up", Items((item,), editing.fresh()))

    def layer_added(self, subject: Subject, thing: str, facts: tuple[tuple[str, str], ...] = ()) -> "Draft":
        """The draft with one layer more at a place, in its usual turn, with what is said of it."""
        said = editing.entries(*((name, editing.text(words)) for name, words in facts)) if facts else editing.text("")
        return self._layered(subject, thing, said)

    def build_up_path(self, subject: Subject) -> editing.Path | None:
        """The list of layers of a place: its own, or the one it takes from another."""
        for name, layers in subject.layers.items():
            for layer in layers if name != "framing" else ():
                path = editing.found(self.node, layer.where)
                while path:
                    path = path[:-1]
                    if isinstance(editing.at(self.node, path), Items):
                        return path
        place = editing.found(self.node, subject.where)
        if place is not None and isinstance(whole := editing.at(self.node, place), Entries):
            for number, (name, value) in enumerate(whole.pairs):
                if normalized(name.text) == "built up" and isinstance(value, Items):
                    return (*place, number)
        return None

    def _inserted(self, old: Items, thing: str, item: Node) -> Items:
        rank = OUTWARDS.index(thing) if thing in OUTWARDS else OUTWARDS.index("tile mortar")
        number = len(old.items)
        for turn in reversed(range(len(old.items))):
            other = _named(old.items[turn])
            names = [form for form in singular(other) if form in OUTWARDS]
            if names and OUTWARDS.index(names[0]) <= rank:
                break
            number = turn
        return old._replace(items=(*old.items[:number], item, *old.items[number:]))

    # -- presence and roles ---------------------------------------------------------------------------------------------------

    def _presence(self, subject: Subject, thing: str, words: str) -> "Draft":
        """A thing said to be there, with nothing more known of it, or not to be there."""
        layer = next(iter(subject.layers.get(thing, ())), None)
        path = self._holder(subject, thing, layer)
        sort = self.vocabulary.things[thing].sort
        none = normalized(words) in NONE_WORDS
        if self._is_bare(path):
            return self._with(editing.without(self.node, path))._presence_line(subject, thing) if none else self
        if self._names(path, thing):
            alone = sort == "layer" and len(subject.layers.get(thing, ())) == 1 and self._is_bare(path[:-1])
            if alone and none:
                return self._with(editing.without(self.node, path[:-1]))._presence_line(subject, thing)
            if not none and layer is not None:
                return self  # what is written of it says that it is there
            return self._with(editing.changed(self.node, path, lambda old: editing.text(words)))
        if sort == "layer" and none:
            return self._presence_line(subject, thing)
        if sort == "layer":
            return self._layered(subject, thing, editing.text(""))
        return self._new(subject, thing, editing.text(words))

    def _presence_line(self, subject: Subject, thing: str) -> "Draft":
        return self._under(editing.found(self.node, subject.where), thing, editing.text("none"))

    def _role(self, subject: Subject, role: str, words: str) -> "Draft":
        if normalized(words) not in NONE_WORDS:
            return self._presence(subject, normalized(words), "there")
        return self._under(editing.found(self.node, subject.where), role, editing.text("none"))

    def with_product(self, subject: Subject, thing: str, product: str, layer: Layer | None = None) -> "Draft":
        """A thing made of another product: its card speaks for it, and what the card declares is no longer written beside it.

        What showed the product it was made of shows it no longer.
        """
        layer = layer or _only(subject, thing)
        path = self._holder(subject, thing, layer)
        if path is not None and not self._names(path, thing) and self._is_named_otherwise(path, thing):
            return self._with(editing.renamed(self.node, path, thing)).with_product(subject, thing, product, layer)
        if self._is_bare(path):
            return self._with_facts(path, editing.entries(("product", editing.text(product))))
        gone = {normalized(name.partition(".")[2]) for name in self.catalogue[normalized(product)].declares} | {"product", SHOWN_BY}
        if not self._names(path, thing):
            return self._new(subject, thing, editing.entries(("product", editing.text(product))))
        facts = (layer.known if layer is not None else subject.known).items()
        was_shown = any(known.shown_by for name, known in facts if name.partition(".")[0] == thing)
        last = ((editing.text(SHOWN_BY), editing.text("none")),) if was_shown else ()

        def swapped(old: Node) -> Entries:
            kept = old.pairs if isinstance(old, Entries) else ()
            kept = tuple(pair for pair in kept if normalized(pair[0].text) not in gone)
            return Entries(((editing.text("product"), editing.text(product)), *kept, *last), editing.fresh())

        return self._with(editing.changed(self.node, path, swapped))


def _offered(thing: Node, line: str, shows: Node) -> Entries:
    """A thing's lines with what shows one of them."""
    offered = next((value for name, value in thing.pairs if normalized(name.text) == SHOWN_BY), Entries((), editing.fresh()))
    if not isinstance(offered, Entries):
        offered = Entries(((editing.text(ALL_OTHERS[0]), offered),), editing.fresh())
    return editing.put(thing, (SHOWN_BY,), editing.put(offered, (line,), shows))


def _first_unsaid(subject: Subject, thing: str, name: str) -> Layer | None:
    """The layer that an answer is of: the only one, or the first of which the fact is not said."""
    layers = [layer for layer in subject.layers.get(thing, ()) if layer.where is not None]
    unsaid = [layer for layer in layers if name not in layer.known or layer.known[name].origin == NOT_STATED]
    return next(iter(unsaid or layers), None)


def _only(subject: Subject, thing: str) -> Layer | None:
    layers = subject.layers.get(thing, ())
    return layers[0] if len(layers) == 1 else None


def _named(item: Node) -> str:
    names = [item.text] if isinstance(item, Text) else item.keys() if isinstance(item, Entries) else ()
    return next((normalized(name) for name in names if normalized(name) != SHOWN_BY), "")


def drafts_of(path: str | File, vocabulary: Vocabulary, catalogue: dict[str, ProductCard]) -> dict[str, Draft]:
    """The draft of a file, or of each of its options by name. Raises BadAssembly."""
    complaints: list[Complaint] = []
    file = str(path)
    if file == "-":
        whole, file = standard_input(complaints), "standard input"
        node = read_source(whole, file, complaints)
    else:
        node = read_file(path, complaints)
        whole = File(path).read_text(encoding="utf-8-sig") if node is not None else ""
    if node is None:
        raise BadAssembly(complaints)
    return drafts_in(Draft(node, file, vocabulary, catalogue, _head(whole)))


def drafts_in(whole: Draft) -> dict[str, Draft]:
    """A page that may hold options as the draft of each, by name. Raises BadAssembly."""
    complaints: list[Complaint] = []
    reader = NameReader(whole.vocabulary, whole.catalogue, complaints)
    plain, options = with_options(whole.node, reader)
    pages = {name: spread_wholes(each, reader) for name, each in (options or {"": plain}).items()}
    if complaints:
        raise BadAssembly(dict.fromkeys(complaints))
    return {name: whole._replace(node=each) for name, each in pages.items()}


def _head(whole: str) -> str:
    """The comment that stands at the head of a file."""
    lines = []
    for line in whole.splitlines():
        if not line.startswith("#"):
            break
        lines.append(line.lstrip("#").strip())
    return "\n".join(lines)
