"""The whole build-up: each place as a section drawing beside its layers, and everything that may be said of one thing."""

from typing import NamedTuple
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.assembly import build_ups
from validator.assembly.build_ups import Unchangeable, is_taken_from, layers_of
from validator.assembly.places import can_be
from validator.facts.possible import CARD, NOT_STATED, STATED, Known
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, Fact
from validator.papers.visible import shown
from validator.web.boxes import BOUNDS, EIGHTHS, Boxes, boxes_of
from validator.web.chain import replayed
from validator.web.deeds import Site, changed, layer_at, subject_of, undoable, undone
from validator.web.desk import bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Form, Posted
from validator.web.store import left_after

router = APIRouter()
TOLD_FIRST = ("kind", "material", "body", "joint", "size", "thickness", "category", "length", "spacing", "coats", "joist", "span")
ALONE = ("kind", "material", "body", "size", "thickness")  # said without their own name
MOST_TOLD = 4
SEALS = ("tape", "sealant", "collar", "corner piece")
NEVER_ENTERED = ("lies on", "covered by")  # what the order of the layers says


class ShownLayer(NamedTuple):
    """One line of a build-up as it is listed: what it is, what is said of it, and its turn among those of its kind."""

    number: int
    name: str
    thing: str
    turn: int
    said: str


class ShownPlace(NamedTuple):
    """One place as it is listed, its layers from the outermost to the structure."""

    subject: Subject
    drawings: tuple[int, ...]
    like: str
    layers: tuple[ShownLayer, ...]
    parts: tuple[tuple[str, str], ...]
    may_add: tuple[str, ...]


class ShownFact(NamedTuple):
    """One fact of a thing as it is entered: what is written of it, whence else it is known, and its boxes."""

    fact: Fact
    boxes: Boxes
    now: str
    otherwise: str
    shown_by: tuple[str, ...]


@router.get("/cases/{public}/build-up")
def build_up(request: Request, public: str) -> Response:
    """Every place with its drawing and its layers."""
    head = head_of(request, public)
    bench = bench_of(request)
    draft, assembly = head.judged.draft, head.judged.assembly
    drawings = bench.drawings(head.state.text)
    places = [_shown(bench.vocabulary, draft, each, drawings) for each in assembly.subjects if each.sort == "place"]
    others = [each for each in assembly.subjects if each.sort == "junction"]
    job = next(each for each in assembly.subjects if each.sort == "job")
    records = [(thing.name, _presence(job, thing.name)) for thing in bench.vocabulary.things.values() if thing.sort == "record"]
    return page(
        request, "build_up.html", head=head, tab="build-up", places=places, drawings=drawings, junctions=[(each, _told(each)) for each in others],
        job=job, records=records, seals=SEALS, kinds=bench.vocabulary.facts["place.kind"].words,
    )  # fmt: skip


def _shown(vocabulary, draft, place: Subject, drawings) -> ShownPlace:
    layers = []
    for written in layers_of(draft, place):
        layer = written.layer
        turn = place.written(layer.thing).index(layer) if layer is not None else -1
        layers.append(ShownLayer(written.number, written.name, layer.thing if layer is not None else "", turn, _said_of(layer) if layer is not None else "a gap"))
    parts = [
        (thing.name, _presence(place, thing.name)) for thing in vocabulary.things.values()
        if thing.sort == "part" and (can_be(thing, (place.kind,)) != NONE) and (thing.name in place.known or not thing.in_places or place.kind in thing.in_places)
    ]  # fmt: skip
    may_add = tuple(
        thing.name for thing in vocabulary.things.values()
        if thing.sort == "layer" and (not place.kind or can_be(thing, (place.kind,)) != NONE)
    )  # fmt: skip
    here = tuple(number for number, each in enumerate(drawings) if place.name in each.places and each.sort != "junctions")
    return ShownPlace(place, here, is_taken_from(draft, place), tuple(reversed(layers)), tuple(parts), may_add)


def _said_of(layer: Layer) -> str:
    """What is written of a layer, in a line."""
    said = {name.partition(".")[2]: known.text for name, known in layer.known.items() if "." in name and _is_written(known)}
    first = {each: said[each] for each in TOLD_FIRST if each in said} or dict(list(said.items())[:MOST_TOLD])
    lines = [text if each in ALONE else f"{each} {text}" for each, text in list(first.items())[:MOST_TOLD]]
    more = len(said) - len(lines)
    return (", ".join(lines) + (f" and {more} more" if more else "")) if said else "nothing said yet"


def _is_written(known: Known) -> bool:
    return known.origin in (STATED, CARD) and bool(known.text)


def _told(subject: Subject) -> str:
    """What is written of a junction, in a line."""
    own = ("junction", *SEALS)
    written = {name: known for name, known in subject.known.items() if known.origin == STATED and known.text and known.where is not None}
    things = dict.fromkeys(name.partition(".")[0] for name in written if name.partition(".")[0] in own and name != "junction.kind")
    said = [name for name in things if name != "junction" and _presence(subject, name) == "there"]
    said += [f"no {name}" for name in things if _presence(subject, name) == "none"]
    return ", ".join(said) or ("something said" if things else "nothing said yet")


def _presence(subject: Subject, thing: str) -> str:
    known = subject.known.get(thing)
    if known is None or known.value == MAYBE:
        return "not said"
    return "none" if known.value == NONE else "there"


@router.get("/cases/{public}/thing")
def thing(request: Request, public: str, place: str, thing: str, layer: int = -1) -> Response:
    """One thing with everything that may be said of it."""
    return thing_page(request, public, Site(place, thing, layer))


def thing_page(request: Request, public: str, site: Site, status: int = 200, *, wrong: str = "", entered: str = "", wrong_fact: str = "") -> Response:
    """The page of one thing; with what was entered and why it was not taken, where that is so."""
    head, bench = head_of(request, public), bench_of(request)
    name = site.fact.partition(".")[0]
    about = bench.vocabulary.things.get(name)
    if about is None:
        raise Unchangeable(f"there is no thing `{name}`")
    subject = subject_of(head.judged.assembly, site.place)
    layer = layer_at(subject, name, site.layer)
    facts = [
        _fact(fact, subject, layer) for fact in list(bench.vocabulary.facts.values())
        if fact.thing == name and fact.stated and fact.aggregate is None and not fact.name.endswith(" as stated")
        and fact.name.partition(".")[2] not in NEVER_ENTERED and not (fact.name == name and about.always)
    ]  # fmt: skip
    said = [each for each in facts if each.now]
    asked = {name for each in head.told.questions for name in each.facts if site.place in each.place.split("; ")}
    wanted = [each for each in facts if not each.now and (each.fact.name in asked or each.fact.name == wrong_fact)]
    rest = [each for each in facts if not each.now and each not in wanted]
    return page(
        request, "thing.html", status, head=head, tab="build-up", site=site, thing=about, facts=(("said", said), ("asked", wanted), ("rest", rest)),
        eighths=EIGHTHS, bounds=BOUNDS, wrong=wrong, entered=entered, wrong_fact=wrong_fact, is_layer=layer is not None,
        was_none=not about.always and _presence(subject, name) == "none",
    )  # fmt: skip


def _fact(fact: Fact, subject: Subject, layer: Layer | None) -> ShownFact:
    known = (layer.known if layer is not None and fact.name != fact.thing else subject.known).get(fact.name)
    if known is None or known.origin == NOT_STATED:
        return ShownFact(fact, boxes_of(fact), "", "", ())
    written = known.origin not in (CARD,) and known.where is not None
    return ShownFact(fact, boxes_of(fact), known.text if written else "", "" if written else f"{known.text} ({known.origin})", known.shown_by or ())


@router.post("/cases/{public}/build-up")
def change(request: Request, public: str, form: Posted) -> Response:
    """A layer added, moved or removed; a place added, copied or removed; what was done last undone; a fact no longer said."""
    store, bench = store_of(request), bench_of(request)
    deed = form.one("deed")
    if deed == "undo":
        made = _undo(store, public)
    else:
        kind, says, change = _deed(bench, form, deed)
        made = changed(kind, says, form.number("seen"), change, bench)
    store.done(public, form.one("op", 40), made, who=visitor_of(request).who, book=bench.fingerprint)
    place = form.one("place")
    where = "" if form.one("from") == "questions" else "/build-up"
    return RedirectResponse(f"/cases/{public}{where}" + (f"#{urlencode({'p': place})[2:]}" if place and where else ""), 303)


def _undo(store, public: str):
    events = store.events(public)
    event = undoable(events)
    text, left, title = "", {}, ""
    for each, so_far in replayed(public, events):
        if event is None or each.seq >= event.seq:
            break
        text, left = so_far, left_after(left, each.says.get("left", {}))
        title = each.says["of"].get("is", title) if each.says["deed"] == "named" else title
    return undone(events, text, left, title)


def _deed(bench, form: Form, deed: str):
    """The kind of an event, what it says, and the change it makes to a draft."""
    place, number, name = form.one("place"), form.number("number"), form.one("name")

    def at(assembly, wanted: str = place) -> Subject:
        return subject_of(assembly, wanted)

    match deed:
        case "add":
            thing = form.one("thing")
            if thing not in bench.vocabulary.things or bench.vocabulary.things[thing].sort != "layer":
                raise Unchangeable(f"there is no layer `{thing}`")
            return "added", {"place": place, "layer": thing}, lambda draft, assembly: draft.layer_added(at(assembly), thing)
        case "out" | "in":
            by = 1 if deed == "out" else -1
            return "moved", {"place": place, "layer": name, "by": by}, lambda draft, assembly: build_ups.moved(draft, at(assembly), number, name, by)
        case "remove":
            return "taken out", {"place": place, "layer": name}, lambda draft, assembly: build_ups.removed(draft, at(assembly), number, name)
        case "copy":
            to = form.one("to")
            return "copied", {"place": place, "to": to}, lambda draft, assembly: build_ups.copied(draft, at(assembly), at(assembly, to))
        case "add place":
            new, kind, like = shown(form.one("new", 100)), form.one("kind"), form.one("like")
            if not new or kind not in bench.vocabulary.facts["place.kind"].words:
                raise Unchangeable("a place needs a name, and a kind from the list")
            return "added", {"place": new, "kind": kind}, lambda draft, assembly: _with_place(draft, assembly, new, kind, like)
        case "remove place":
            return "taken out", {"place": place}, lambda draft, assembly: build_ups.place_removed(draft, at(assembly))
        case "unsay":
            fact, turn = form.one("fact"), form.number("layer")
            return "no longer said", {"place": place, "fact": fact}, lambda draft, assembly: build_ups.no_longer_said(
                draft, at(assembly), fact, layer_at(at(assembly), fact, turn)
            )
    raise Unchangeable("that button is not one of ours")


def _with_place(draft, assembly, name: str, kind: str, like: str):
    if any(each.name.casefold() == name.casefold() for each in assembly.subjects):
        raise Unchangeable(f"there is a place `{name}` already")
    return build_ups.place_added(draft, name, kind, like if any(each.name == like for each in assembly.subjects) else "")


