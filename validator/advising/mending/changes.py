"""One change to an assembly, and the assembly as it would be read with it.

A change is of one line, or of one thing added, removed or made of another product. A line that says one fact is changed in
the places that are read from it; anything else is written on the page and read anew.
"""

from collections.abc import Callable, Iterator
from typing import NamedTuple

from validator.advising.mending.ways import Way
from validator.assembly import Assembly
from validator.assembly.cards import ProductCard, card_of
from validator.assembly.draft import WHOLE_FILE, Draft
from validator.facts.possible import CARD, Known
from validator.facts.subjects import Layer, Subject, copied_with, layer_with_fact, with_fact
from validator.language.source import Where

PRODUCT, ADDED, REMOVED, DONE = "product", "added", "removed", "done"


class Change(NamedTuple):
    """One change: of a written line to another value, of what nobody said to what is found out, or of a thing.

    `how` is the kind of work and `effort` its place on the scale of effort; `known` is what the line would say, where it says
    one fact.
    """

    subject: Subject
    fact: str
    before: str
    after: str
    how: str
    effort: int
    way: str = ""  # of a thing: product, added or removed; or done, as the trade does it
    layer: Layer | None = None
    known: Known | None = None
    where: Where | None = None  # the line that says it
    holds_for: tuple[str, ...] = ()  # of a line that nobody has written: the places that would be read from it
    done: Way | None = None

    @property
    def conflict_key(self) -> object:
        """The line that the change edits; two changes with one key are never combined."""
        if self.fact == WHOLE_FILE:
            return self.fact
        line = self.where or (self.layer.where if self.layer is not None else None) or self.subject.name
        return (line, self.fact.partition(".")[0] if self.way else self.fact)

    @property
    def key(self) -> object:
        """What tells a change from every other of its assembly."""
        return self.conflict_key, self.way, self.after

    @property
    def effort_key(self) -> tuple[int, bool]:
        """The easiest first; what holds for the whole job is nobody's to choose, and comes last of its effort."""
        return self.effort, self.subject.sort == "job" and not self.way and self.fact != WHOLE_FILE

    @property
    def is_of_a_line(self) -> bool:
        """Whether it changes one fact, and what is read from it is known without reading the page anew."""
        return self.known is not None and (self.where is not None or bool(self.holds_for))

    @property
    def is_quick(self) -> bool:
        """Whether the places with it are known without reading the page anew."""
        return self.is_of_a_line or self.way == PRODUCT and self.where is not None


class EditedAssembly(NamedTuple):
    """An assembly with some changes made: the places as they would be read.

    `draft` is the page with what had to be read anew written on it, `pages` every page that was, by what was written; where
    lines stand on a page is told only once, so a later change of a line finds it. `read` takes a description as written, and
    returns it in the reading that is judged.
    """

    draft: Draft
    subjects: dict[str, Subject]
    pages: dict[object, tuple[Draft, dict[str, Subject]]]
    read: Callable[[Assembly], Assembly]
    made: tuple[Change, ...] = ()

    @property
    def read_anew(self) -> tuple[object, ...]:
        """What tells apart the pages that were read anew."""
        return tuple(each.key for each in self.made if not each.is_quick)

    def page(self) -> Draft:
        """The page with every change written on it."""
        draft = self.draft
        for change in self.made:
            draft = written(draft, change) if change.is_quick else draft
        return draft


def unchanged(draft: Draft, assembly: Assembly, read: Callable[[Assembly], Assembly] = lambda assembly: assembly) -> EditedAssembly:
    """The assembly of a page with nothing changed."""
    return EditedAssembly(draft, _by_name(read(assembly)), {}, read)


def changed(state: EditedAssembly, change: Change) -> EditedAssembly:
    """The assembly with one change more. Raises BadAssembly where it cannot be read."""
    after = state._replace(made=(*state.made, change))
    if change.is_quick:
        return after._replace(subjects=_quickly(state.draft, state.subjects, change))
    key = after.read_anew
    if key not in state.pages:
        draft = written(state.draft, change)
        state.pages[key] = draft, _by_name(state.read(draft.assembly()))
    draft, subjects = state.pages[key]
    for each in state.made:
        subjects = _quickly(draft, subjects, each) if each.is_quick else subjects
    return after._replace(draft=draft, subjects=subjects)


def _by_name(assembly: Assembly) -> dict[str, Subject]:
    return {subject.name: subject for subject in assembly.subjects}


def _quickly(draft: Draft, subjects: dict[str, Subject], change: Change) -> dict[str, Subject]:
    """Places as they would be read with a line changed, or with another product."""
    if change.way == PRODUCT:
        card = card_of(draft.catalogue, change.after)
        return {name: _with_card(each, change, card) for name, each in subjects.items()}
    return {**subjects, **{each.name: line_changed(each, change) for each in touched(subjects, change)}}


def written(draft: Draft, change: Change) -> Draft:
    """The page with one change written on it."""
    if change.done is not None:
        return change.done.written(draft, change.subject)
    if change.way == PRODUCT or change.way == ADDED and change.after != "there":
        return draft.with_product(change.subject, change.fact, change.after, change.layer)
    return draft.said(change.subject, change.fact, change.after, change.layer)


def touched(subjects: dict[str, Subject], change: Change) -> Iterator[Subject]:
    """Every place and junction that is read from the line of a change."""
    if change.holds_for:
        yield from (subjects[name] for name in change.holds_for if name in subjects)
        return
    yield from (subject for subject in subjects.values() if change.where is not None and _is_read(subject, change))


def places_of(state: EditedAssembly, change: Change) -> tuple[str, ...]:
    """Every place of its sort for which the changed line speaks."""
    if change.fact == WHOLE_FILE:
        return tuple(subject.name for subject in state.subjects.values() if subject.sort == "job")
    spoken = [each.name for each in touched(state.subjects, change) if each.sort == change.subject.sort]
    return tuple(spoken) or (change.subject.name,)


def line_changed(subject: Subject, change: Change) -> Subject:
    """A place that is read from a line, with what that line says of one fact said otherwise."""
    thing = change.fact.partition(".")[0]
    if change.holds_for:
        return with_fact(subject, change.fact, change.known, thing, [change.layer] if change.layer is not None else ())
    own = subject.layers.get(thing, ())
    known = {**subject.known, change.fact: change.known} if _says(subject.known, change) else subject.known
    layers = subject.layers
    if any(_says(layer.known, change) for layer in own):
        anew = [layer_with_fact(layer, change.fact, change.known) if _says(layer.known, change) else layer for layer in own]
        layers = {**layers, thing: anew}
    return copied_with(subject, known, layers)


def _is_read(subject: Subject, change: Change) -> bool:
    """Whether a place is read from the line of a change."""
    layers = subject.layers.get(change.fact.partition(".")[0], ())
    if change.way:
        return any(layer.where == change.where for layer in layers)
    return _says(subject.known, change) or any(_says(layer.known, change) for layer in layers)


def _says(known: dict[str, Known], change: Change) -> bool:
    each = known.get(change.fact)
    return each is not None and each.where is not None and each.where == change.where


def _with_card(subject: Subject, change: Change, card: ProductCard) -> Subject:
    """A place in which the thing written on one line is another product: its card speaks, and the old one no more."""
    thing = change.fact

    def spoken(known: dict[str, Known]) -> dict[str, Known]:
        own = {name for name in known if name.startswith(f"{thing}.")}
        gone = {name for name in own if known[name].origin == CARD or name in card.declares}
        return {**{name: each for name, each in known.items() if name not in gone}, **card.declares}

    own = subject.layers.get(thing, ())
    if any(layer.where == change.where for layer in own):
        layers = [
            Layer(e.thing, e.name, spoken(e.known), e.presence, e.where, e.number) if e.where == change.where else e for e in own
        ]
        return copied_with(subject, subject.known, {**subject.layers, thing: layers})
    presence = subject.known.get(thing)
    if own or presence is None or presence.where != change.where:
        return subject
    return copied_with(subject, spoken(subject.known), subject.layers)
