"""What is done to a case: each takes the case as it stands, returns one event, or says why it cannot be."""

from collections.abc import Callable
from typing import NamedTuple

from validator.advising.asking.new_assembly import JobTemplate, already_said, first_page, not_read, place_of
from validator.assembly import Assembly
from validator.assembly.build_ups import Unchangeable
from validator.assembly.draft import WHOLE_FILE, Draft, drafts_in
from validator.assembly.seen_lines import seen_added
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import Fact
from validator.language import editing
from validator.language.source import BadAssembly
from validator.web.bench import Bench
from validator.web.chain import Event
from validator.web.store import Deed, State


class Refused(ValueError):
    """An answer that says nothing of what was asked: what is wrong, and what would be accepted."""


class Site(NamedTuple):
    """Where an answer is written: a place, the fact, and which layer of its kind; -1 where the description finds it."""

    place: str
    fact: str
    layer: int = -1


def subject_of(assembly: Assembly, name: str) -> Subject:
    """A place by its name, or the job. Raises Unchangeable."""
    for subject in assembly.subjects:
        if subject.name == name:
            return subject
    raise Unchangeable(f"there is no place `{name}` any more")


def layer_at(subject: Subject, fact: str, number: int) -> Layer | None:
    """A layer of a kind by its turn. Raises Unchangeable."""
    if number < 0:
        return None
    layers = subject.written(fact.partition(".")[0])
    if number >= len(layers):
        raise Unchangeable(f"that layer of `{subject.name}` is no longer there")
    return layers[number]


def fact_named(bench: Bench, name: str) -> Fact:
    """A fact by its name, or whether everything is written. Raises Refused."""
    from validator.advising.asking.questions import ALL_WRITTEN

    fact = ALL_WRITTEN if name == WHOLE_FILE else bench.vocabulary.fact(name)
    if fact is None:
        raise Refused(f"There is no fact `{name}`.")
    return fact


def sound(bench: Bench, text: str) -> tuple[Draft, Assembly]:
    """A description as it is read, and kept so for the pages that follow. Raises Refused where it cannot be."""
    try:
        return bench.read(text)
    except BadAssembly as bad:
        raise Refused(f"{bad.complaints[0].what[:1].upper()}{bad.complaints[0].what[1:]}."
                      + (f" Accepted: {bad.complaints[0].accepted}" if bad.complaints[0].accepted else "")) from None  # fmt: skip


def pictured(bench: Bench, site: Site, digest: str, size: int, number: int) -> Callable[[State], Deed | None]:
    """A picture that shows what is said of a thing; where it is said on a line of its own, the description names the picture."""

    def deed(state: State) -> Deed:
        draft, assembly = bench.read(state.text)
        fact, subject = fact_named(bench, site.fact), subject_of(assembly, site.place)
        after = draft.shown(subject, fact.name, f"photo {number}", layer_at(subject, site.fact, site.layer))
        shows = f"{site.place}, {site.fact.replace('.', ' ')}"
        says = {"place": site.place, "fact": site.fact, "layer": site.layer, "digest": digest, "name": f"photo {number}"}
        text = after.text()
        sound(bench, text)
        return Deed("pictured", says, text, picture=(digest, shows, size))

    return deed


def changed(kind: str, says: dict[str, object], seen: int, change: Callable[[Draft, Assembly], Draft], bench: Bench) -> Callable[[State], Deed | None]:
    """A change to a build-up as a whole; refused where the case has changed since the page was made."""

    def deed(state: State) -> Deed | None:
        if seen != state.seq:
            raise Unchangeable("the build-up has changed since this page was made; it now stands as below, and nothing was done")
        draft, assembly = bench.read(state.text)
        text = change(draft, assembly).text()
        sound(bench, text)
        return None if text == state.text else Deed(kind, says, text)

    return deed


def undoable(events: list[Event]) -> Event | None:
    """The newest event that was not undone, but for the one that opened the case."""
    undone = {event.says["of"]["seq"] for event in events if event.says["deed"] == "undone"}
    return next((e for e in reversed(events) if e.seq > 1 and e.seq not in undone and e.says["deed"] not in ("undone", "noted", "forgotten")), None)


def undone(events: list[Event], text: str, left: dict[str, str], title: str) -> Callable[[State], Deed | None]:
    """What puts a case back as it was before its newest event that stands."""
    event = undoable(events)

    def deed(state: State) -> Deed | None:
        if event is None:
            return None
        if state.seq != events[-1].seq:
            raise Unchangeable("somebody changed the case since this page was made; nothing was undone")
        aside = {key: left.get(key, "") for key in {**state.left, **left} if left.get(key, "") != state.left.get(key, "")}
        return Deed("undone", {"seq": event.seq, "deed": event.says["deed"], "of": event.says["of"]}, text, title=title, left=aside)

    return deed


# -- a new case -------------------------------------------------------------------------------------------------------------------


class Begun(NamedTuple):
    """A new case, and the words from which nothing was taken."""

    deed: Deed
    not_read: tuple[str, ...]


def begun(bench: Bench, template: JobTemplate, words: str, title: str, seen: str = "") -> Begun:
    """A case begun from what is to be built, in a few words, or from what is `seen` to be wrong with it. Raises BadAssembly."""
    draft = first_page(words, template, bench.loaded)._replace(head="")
    if title:
        draft = draft._replace(node=editing.put(draft.node, ("assembly",), editing.text(title)))
    said = already_said(words, template, draft)
    for each in said:
        draft = draft.said(place_of(draft, each.fact, each.at), each.fact, each.says)
    if seen:
        draft = seen_added(draft, subject_of(draft.assembly(), "the job"), seen)
    name = draft.assembly().name
    return Begun(Deed("opened", {"kind": template.name, "words": words}, draft.text(), title=name), not_read(words, template, said))


def taken_in(bench: Bench, text: str) -> list[Deed]:
    """A case from a file, or one for each of its options. Raises BadAssembly with every slip."""
    made = []
    for name, each in drafts_in(bench.draft(text)).items():
        title = each.assembly().name or "A job without a name"
        made.append(Deed("opened", {"kind": "file", "option": name}, each.text(), title=f"{title}, option {name}" if name else title))
    return made


def noted(note: str) -> Callable[[State], Deed | None]:
    """Something noted of a case, which no rule reads."""
    return lambda state: Deed("noted", {"note": note}, state.text) if note else None


def renamed(title: str, bench: Bench) -> Callable[[State], Deed | None]:
    """A case under another name."""

    def deed(state: State) -> Deed | None:
        if not title or title == state.title:
            return None
        draft = bench.draft(state.text)
        text = draft._replace(node=editing.put(draft.node, ("assembly",), editing.text(title))).text()
        sound(bench, text)
        return Deed("named", {"was": state.title, "is": title}, text, title=title)

    return deed


def replaced(text: str, bench: Bench, file: str) -> Callable[[State], Deed | None]:
    """A case with a file laid over it. Raises BadAssembly, and Refused where the file has options."""
    made = taken_in(bench, text)
    if len(made) > 1:
        raise Refused("The file has options. Begin a new case from it: each option becomes a case.")

    def deed(state: State) -> Deed | None:
        return None if made[0].text == state.text else Deed("file laid over", {"file": file}, made[0].text, title=made[0].title)

    return deed
