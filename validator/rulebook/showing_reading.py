"""Reads what breaches show as: the folder causes/ of a book with its looks, troubles and outside causes, and the lines of a rule."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

from validator.facts.observing import OBSERVATION, observation_reader
from validator.facts.possible import NotPossible
from validator.facts.vocabulary import Vocabulary
from validator.language.forms import choice_of, complain, fields, listed, pairs_of, text_of, texts_of
from validator.language.record import proved
from validator.language.slips import did_you_mean
from validator.language.source import Complaint, Entries, Items, Node, Text, read_file
from validator.rulebook import forms
from validator.rulebook.conditions import Condition
from validator.rulebook.forms import Form
from validator.rulebook.showing import NOTHING, OPENS, TAKES, TYPICAL, BreachShows, Look, NoFault, OutsideCause, Showing, Trouble
from validator.rulebook.sources import Cited, Source, read_cited

FOLDER = "causes"
OPENING = ("photograph", "keep", "take care")  # what an inspection sheet says before anything is opened
_FORM = "- the name of a trouble\n- {usual: what is seen, source: {...}}"


@dataclass(slots=True)
class Showings:
    """The looks, troubles and outside causes of the books laid so far."""

    looks: dict[str, Look] = field(default_factory=dict)
    troubles: dict[str, Trouble] = field(default_factory=dict)
    beyond: dict[str, OutsideCause] = field(default_factory=dict)
    no_faults: dict[str, NoFault] = field(default_factory=dict)
    opening: dict[str, tuple[str, ...]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ShowingReader:
    """Reads for one book what breaches show as, upon what the books beneath it have."""

    vocabulary: Vocabulary
    sources: dict[str, Source]
    laid: Showings
    complaints: list[Complaint]
    book: str

    def folder(self, folder: Path, condition: Callable[[Node | None], Condition]) -> None:
        """The looks, troubles and outside causes of a book's folder, laid upon those beneath."""
        for node, lines in self._entries(folder / "looks.yaml", forms.LOOK, self.laid.looks):
            self.laid.looks[node.text] = self._look(node.text, lines)
        for node, lines in self._entries(folder / "troubles.yaml", forms.TROUBLE, self.laid.troubles):
            self.laid.troubles[node.text] = proved(
                Trouble,
                name=node.text,
                what=self._text(lines, "what"),
                shows=self._showings(lines.get("shows as"), self._cited(lines.get("source"))),
                told_by=self.told_by(lines.get("told by")),
                book=self.book,
            )
        for node, lines in self._entries(folder / "outside.yaml", forms.OUTSIDE_CAUSE, self.laid.beyond):
            cited = self._cited(lines.get("source"))
            self.laid.beyond[node.text] = proved(
                OutsideCause,
                name=node.text,
                what=self._text(lines, "what"),
                who=self._text(lines, "who"),
                where=condition(lines.get("where")),
                shows=self._showings(lines.get("shows as"), cited),
                told_by=self.told_by(lines.get("told by")),
                cited=cited,
                book=self.book,
            )

        for node, lines in self._entries(folder / "no-faults.yaml", forms.NO_FAULT, self.laid.no_faults):
            texts = {key: self._text(lines, key) for key in ("seen", "why", "unless")}
            if "seen" in lines:
                self._read(texts["seen"], lines["seen"])
            self.laid.no_faults[node.text] = proved(
                NoFault, name=node.text, where=condition(lines.get("where")), cited=self._cited(lines.get("source")), book=self.book, **texts
            )  # fmt: skip
        node = read_file(folder / "opening.yaml", self.complaints) if (folder / "opening.yaml").is_file() else None
        for key, value in fields(node, "what is said before anything is opened", OPENING, (), self.complaints).items():
            self.laid.opening[key] = (*self.laid.opening.get(key, ()), *texts_of(value, key, self.complaints))

    def _entries(self, path: Path, form: Form, laid: dict) -> Iterable[tuple[Text, dict[str, Node]]]:
        if not path.is_file():
            return
        for key, node in pairs_of(read_file(path, self.complaints), path.name, self.complaints):
            if key.text in laid:
                complain(self.complaints, key, f"`{key.text}` stands in the book {laid[key.text].book} already", "another name for it")
            yield key, fields(node, f"{form.called} `{key.text}`", form.keys, form.needed, self.complaints)

    def _look(self, name: str, lines: dict[str, Node]) -> Look:
        texts = {key: self._text(lines, key) for key in ("what", "how", "tells", "against", "care")}
        return proved(
            Look,
            name=name,
            opens=choice_of(lines.get("opens"), "opens", OPENS, self.complaints, OPENS[0]),
            takes=choice_of(lines.get("takes"), "takes", TAKES, self.complaints, TAKES[0]),
            cited=self._cited(lines.get("source")),
            book=self.book,
            **texts,
        )

    def _text(self, lines: dict[str, Node], key: str) -> str:
        return text_of(lines.get(key), key, self.complaints)

    def _cited(self, node: Node | None) -> tuple[Cited, ...]:
        return read_cited(node, self.sources, self.complaints)

    # -- what a rule says ---------------------------------------------------------------------------------------------------

    def of_rule(self, lines: dict[str, Node]) -> BreachShows:
        """The lines `shows as:` and `told by:` of a rule."""
        node, told_by = lines.get("shows as"), self.told_by(lines.get("told by"))
        if node is None:
            return BreachShows(told_by=told_by)
        if isinstance(node, Text) and node.text.startswith(NOTHING):
            return BreachShows(nothing=node.text.removeprefix(NOTHING).strip(), told_by=told_by)
        items = node.items if isinstance(node, Items) else (node,)
        named = tuple(item.text for item in items if isinstance(item, Text) and self._is_trouble(item))
        own = Items(tuple(item for item in items if isinstance(item, Entries)), node.where)
        return BreachShows(troubles=named, own=self._showings(own, ()), told_by=told_by)

    def _is_trouble(self, item: Text) -> bool:
        if item.text in self.laid.troubles:
            return True
        hint = did_you_mean(item.text, self.laid.troubles) or f"{_FORM}\n`{NOTHING} ...`; troubles: "
        complain(self.complaints, item, f"`{item.text}` is no trouble of these books", hint + listed(self.laid.troubles))
        return False

    def told_by(self, node: Node | None) -> tuple[str, ...]:
        """The looks that tell, by name."""
        names = texts_of(node, "told by", self.complaints)
        for name in names:
            if name not in self.laid.looks:
                complain(self.complaints, node, f"`{name}` is no look of these books", did_you_mean(name, self.laid.looks) + listed(self.laid.looks))
        return names

    def _showings(self, node: Node | None, cited: tuple[Cited, ...]) -> tuple[Showing, ...]:
        """A list of observations, each with how typical it is and its source, or the source that all of them share."""
        if node is None:
            return ()
        if OBSERVATION not in self.vocabulary.things:
            complain(self.complaints, node, "the vocabulary of these books has no words for what is seen", "the thing `observation`")
            return ()
        if not isinstance(node, Items):
            complain(self.complaints, node, "`shows as` is a list", _FORM)
            return ()
        return tuple(each for item in node.items if (each := self._showing(item, cited)) is not None)

    def _showing(self, node: Node, shared: tuple[Cited, ...]) -> Showing | None:
        lines = fields(node, *forms.SHOWING, self.complaints)
        said = [typical for typical in TYPICAL if typical in lines]
        if len(said) != 1:
            complain(self.complaints, node, "an observation is either usual or only seen sometimes", "`usual: what is seen`, or `sometimes: ...`")
            return None
        seen = text_of(lines[said[0]], said[0], self.complaints)
        self._read(seen, lines[said[0]])
        cited = self._cited(lines.get("source")) or shared
        if not cited:
            complain(self.complaints, node, "nothing says on whose word a breach shows as this", "{from: trade articles, known by: read second-hand}")
        return proved(Showing, seen=seen, typical=said[0], cited=cited)

    def _read(self, seen: str, node: Node) -> None:
        """Every word of it has to say something, so that nothing is set beside less than its author meant."""
        try:
            unread = [word for each in observation_reader(self.vocabulary).line(seen) for word in each.unread]
        except NotPossible as problem:
            complain(self.complaints, node, problem.what, problem.accepted)
            return
        if unread:
            complain(self.complaints, node, f"`{unread[0]}` is no word for what is seen", "words of `observation` in the vocabulary")
