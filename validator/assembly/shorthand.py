"""Writes out what its writer abbreviated: a build-up copied, pieces of a place, a layer written once for a room."""

from dataclasses import replace

from validator.assembly.layer_order import TURN_TELLS_NOTHING
from validator.assembly.places import STRUCTURE, WholeFile, can_be
from validator.assembly.statement import Statement, bring_in
from validator.assembly.written import WrittenPlace, unknown_place
from validator.facts.possible import CARD, NOT_STATED, STATED
from validator.facts.vocabulary import MAYBE, NONE
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean
from validator.language.source import Text

_COPIED = ("place.kind", "place.used as", "place.room")
_FINISH = ("tile mortar", "tile", "grout")


# -- framing said in a place ------------------------------------------------------------------------------------------------


def runs_of_places(whole: WholeFile) -> None:
    """Make a run of what a place says of its own framing, and a layer of the slab that a place is said to be `on`.

    Beside a run without a name, which carries every place, a place's own is that run with what is said of it there; where the two
    speak against each other, as of joists and of studs, it is another.
    """
    described = whole.described
    for place in described.places.values():
        _stands_on_a_slab(whole, place)
    own = [place for place in described.places.values() if place.framing is not None]
    if own and (everywhere := described.runs.pop("", None)) is not None:
        everywhere.name = "framing"
        described.runs["framing"] = everywhere
        for place in described.places.values():
            place.on = () if place.like else (Text("framing", place.where),)
        for place in own:
            if all(name not in everywhere.known or everywhere.known[name].value == known.value for name, known in place.framing.known.items()):
                place.framing.known = {**everywhere.known, **place.framing.known}
    for place in own:
        name = f"its-own-{normalized(place.name).replace(' ', '-')}"  # one word, so that it carries no other place
        described.runs[name] = place.framing
        place.on = (Text(name, place.where),)


def _stands_on_a_slab(whole: WholeFile, place: WrittenPlace) -> None:
    """`on: slab`, where no run is called so: the slab is the first layer of the place."""
    for name in place.on:
        thing = whole.reader.thing_of(name.text, ("layer",))
        if thing is None or thing.name not in STRUCTURE or normalized(name.text) in whole.described.runs:
            continue
        place.on = tuple(each for each in place.on if each is not name)
        if not any(each is not None and each.thing == thing.name for each in place.layers or ()):
            place.layers = [whole.reader.statement(thing, name, Text("there", name.where)), *(place.layers or ())]


# -- like and parts ---------------------------------------------------------------------------------------------------------


def copy_build_ups(whole: WholeFile) -> None:
    """Give every place that is `like` another its build-up, kind, room and framing, and make places of pieces."""
    for place in list(whole.described.places.values()):
        _copy(whole, place)
    for place in list(whole.described.places.values()):
        _add_pieces(whole, place)


def _copy(whole: WholeFile, place: WrittenPlace) -> None:
    """Follow `like` from place to place up to one with a build-up of its own, and copy back down."""
    chain, complaints = [place], whole.reader.complaints
    while (like := chain[-1].like) is not None:
        other = whole.described.places.get(normalized(like.text))
        if other is None:
            unknown_place(complaints, like, like.text, whole.described.places)
            break
        if any(other is each for each in chain):
            complain(complaints, like, f"`like: {like.text}` comes round to itself", "one place of them with a build-up of its own")
            break
        chain.append(other)
    for taker, giver in reversed(list(zip(chain, chain[1:]))):
        taker.like = None
        _take(taker, giver)
    chain[-1].like = None


def _take(place: WrittenPlace, other: WrittenPlace) -> None:
    """Sizes and other measures of the place are not copied: two walls built alike need not be as high.

    What shows a layer is copied with it, unless this place says what shows it.
    """
    for name in _COPIED:
        if name in other.known:
            place.known.setdefault(name, other.known[name])
    place.on = place.on or other.on
    if place.layers is None:
        anew = place.shown.whole is not None
        place.copied = True
        place.layers = other.layers and [layer and layer.elsewhere(shown=not anew) for layer in other.layers]
        place.closed = place.closed or other.closed
        place.without = {**other.without, **place.without}


def _add_pieces(whole: WholeFile, place: WrittenPlace) -> None:
    for piece in place.pieces:
        name = f"{place.name}, {piece.name}"
        if normalized(name) in whole.described.places:
            complain(whole.reader.complaints, Text(name, piece.where), f"there are two places named `{name}`", "a name of its own for each")
            continue
        piece.name, piece.is_piece = name, True
        whole.described.places[normalized(name)] = piece
        if piece.like is None:
            _take(piece, place)
        _copy(whole, piece)
        piece.shown = piece.shown.within(place.shown)
        _add_pieces(whole, piece)


# -- kinds from names -------------------------------------------------------------------------------------------------------


def kinds_from_names(whole: WholeFile, take_kind) -> None:
    """A place without a kind that is named `back wall` is one of the walls, not known which."""
    for place in whole.described.places.values():
        if "place.kind" in place.known:
            continue
        words = normalized(place.name).split(" ")
        for start in range(1, len(words)):
            if take_kind(place, " ".join(words[start:]), place.where):
                break


_FLOORS = ("shower floor", "room floor")
_WET_WORDS = ("shower", "wet room")
_EITHER = ("bath", "bathroom", "floor", "floors")  # of what is called so, either may be meant


def settle_floors(whole: WholeFile) -> None:
    """A place that is called a floor, and no more than that, is a shower's where something of a shower is written in it, else a room's.

    Left open, either would be excused from what only the other has; a reader takes it so, and `kind:` says otherwise.
    """
    fact = whole.vocabulary.facts["place.kind"]
    for place in whole.described.places.values():
        known = place.known.get("place.kind")
        if known is None or normalized(known.text) not in ("floor", "floors") or set(whole.kinds(place)) != {*_FLOORS}:
            continue
        shower, room = (1 << fact.words.index(each) for each in _FLOORS)
        is_shower = any(word in normalized(f"{place.name} {_room(place)}") for word in _WET_WORDS) or _has_a_showers_things(whole, place)
        place.known["place.kind"] = known._replace(value=shower if is_shower else room)
        called = normalized(f"{place.name} {_room(place)}").split()
        if (known.where != place.where or called == ["floor"]) and (is_shower or any(word in called for word in _EITHER)):
            # a `laundry floor`, or a kitchen, says enough
            taken, other = _FLOORS if is_shower else _FLOORS[::-1]
            whole.reader.note(known.where or place.where, f"`{place.name}`, a floor, is taken as a {taken}", f"`kind: {other}` if it is one")


def _room(place: WrittenPlace) -> str:
    room = place.known.get("place.room")
    return room.text if room is not None else ""


def _has_a_showers_things(whole: WholeFile, place: WrittenPlace) -> bool:
    """Whether a layer or a part is written that a shower floor can have and a room floor cannot."""
    shower, room = _FLOORS
    said = [*(layer for layer in place.layers or [] if layer is not None), *place.things.values()]
    return any(
        each.presence != NONE and can_be(thing := whole.vocabulary.things[each.thing], (shower,)) != NONE and can_be(thing, (room,)) == NONE
        for each in said
    )  # fmt: skip


# -- everywhere in ----------------------------------------------------------------------------------------------------------


def write_everywhere(whole: WholeFile) -> None:
    """Layers written once: added to every place of the group that has none of that kind, else filling what it leaves out.

    A layer of the finish, or a word more on a layer of the build-up, may stand beside it too.
    """
    for place in whole.described.places.values():
        for key, layer in place.beside:
            if layer.thing in (*_FINISH, *TURN_TELLS_NOTHING) or any(each is not None and each.thing == layer.thing for each in place.layers or ()):
                _write_into(whole, place, layer, stands=place.copied)
            else:
                complain(whole.reader.complaints, key, f"the layer `{key.text}` is written beside the build-up",
                         f"`- {layer.thing}:` in its turn under `built up:`; beside it only `{layer.thing}: none`", layer.thing)  # fmt: skip
                place.things.setdefault(layer.thing, Statement(layer.thing, key.where, presence=MAYBE))
    for group, layers in whole.described.everywhere:
        places = _places_of(whole, group)
        if not places:
            rooms = [p.known["place.room"].text for p in whole.described.places.values() if "place.room" in p.known]
            names = [*rooms, *(p.name for p in whole.described.places.values())]
            hint = did_you_mean(group.text, names)
            complain(whole.reader.complaints, group, f"no place is in `{group.text}`", f"{hint}{listed(dict.fromkeys(names))}")
        for place in places:
            for layer in layers:
                if layer is not None and can_be(whole.vocabulary.things[layer.thing], whole.kinds(place)) != NONE:
                    _write_into(whole, place, layer)


def _places_of(whole: WholeFile, group: Text) -> list[WrittenPlace]:
    """The places of a room, of a name, or of the kinds that begin with a word: `shower`."""
    found = []
    for name in group.text.split(","):
        word = normalized(name)
        for place in whole.described.places.values():
            room = place.known.get("place.room")
            kinds = whole.kinds(place) if "place.kind" in place.known else ()
            named = normalized(place.name) == word or (room is not None and normalized(room.text) == word)
            of_kind = len(kinds) > 0 and all(kind == word or kind.startswith(f"{word} ") for kind in kinds)
            if (named or of_kind) and not any(place is each for each in found):
                found.append(place)
    return found


def _write_into(whole: WholeFile, place: WrittenPlace, layer: Statement, *, stands: bool = False) -> None:
    """Fill a layer of the place with what is said of it elsewhere, or add it; what is said `stands` over a copied layer's own."""
    layers = place.layers = list(place.layers or [])
    same = [number for number, each in enumerate(layers) if each is not None and each.thing == layer.thing]
    if same or layer.thing in place.things:
        for number in same:
            layers[number] = _filled(whole, layers[number], layer, stands=stands)
        return
    rank = _FINISH.index(layer.thing) if layer.thing in _FINISH else -1
    after = [
        number for number, each in enumerate(layers)
        if each is not None and each.thing in _FINISH and _FINISH.index(each.thing) > rank
    ]  # fmt: skip
    layers.insert(after[0] if after else len(layers), layer)


def _filled(whole: WholeFile, own: Statement, layer: Statement, *, stands: bool) -> Statement:
    """A layer with what it leaves out; what is said of the whole room may be against its own card."""
    filled = replace(own, known=dict(own.known), against=list(own.against))
    if not own.product:
        filled.product, filled.card = layer.product, layer.card
    for name, known in layer.known.items():
        mine = own.known.get(name)
        if mine is None or mine.origin == NOT_STATED or stands and known.origin == STATED:
            filled.known[name] = known
        elif mine.origin == CARD and known.origin == STATED:
            filled.known[name] = known
            bring_in(whole.vocabulary.facts[name], filled, own.product, mine)
    return filled
