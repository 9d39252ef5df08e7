"""Uses the order of layers: mortar directly under a pan or floor board becomes bedding mortar, a mortar bed directly under a liner
its sloped fill; a layer other than grout on new tile is refused.

Layers are written from the structure outwards. A list that cannot be read so is refused rather than judged back to front.
"""

from collections.abc import Iterator
from dataclasses import replace

from validator.assembly.places import WholeFile, can_be
from validator.assembly.statement import Statement
from validator.assembly.written import WrittenPlace
from validator.facts import possible
from validator.facts.possible import STATED, NotPossible
from validator.facts.vocabulary import NONE, STATES, THERE
from validator.language.forms import complain, normalized
from validator.language.source import Text

TILE, MORTAR, BEDDING = "tile", "tile mortar", "bedding mortar"
BEDDED = ("foam pan", "board")
BED, LINER, FILL = "mortar bed", "liner", "pre-slope"
# What stands beside the tile or over it, or is fastened through what is under it: its turn tells nothing.
TURN_TELLS_NOTHING = ("tile", "grout", "screw", "heat", "primer")
OUTWARDS = "layers go from the structure outwards: framing or slab, board or bed, membrane, tile mortar, tile, grout"
_NEW = 1 << STATES.index("new") | 1 << STATES.index("planned")


def bed_what_is_bedded(whole: WholeFile) -> None:
    """The mortar next under a foam pan or a floor board, written as mortar for tile, is what beds it; the bed next under a liner,
    where no other fill is spoken of, is the fill that slopes it.
    """
    for place in whole.described.places.values():
        for number in _under_a_liner(whole, place):
            place.layers[number] = _as_another(whole, place.layers[number], FILL, LINER, "not as the bed under tile")
        if BEDDING in whole.vocabulary.things and can_be(whole.vocabulary.things[BEDDING], whole.kinds(place)) == THERE:
            for number, over in _under_what_is_bedded(whole, place):
                place.layers[number] = _as_another(whole, place.layers[number], BEDDING, over, "not as mortar for tile")


def _under_what_is_bedded(whole: WholeFile, place: WrittenPlace) -> Iterator[tuple[int, str]]:
    """Each mortar whose nearest body outwards is a pan or a board, with no other mortar and no gap between."""
    things, layers = whole.vocabulary.things, place.layers or []
    for number, layer in enumerate(layers):
        if layer is None or layer.thing != MORTAR or layer.presence != THERE:
            continue
        for over in layers[number + 1 :]:
            if over is None or over.presence != THERE or over.thing in (MORTAR, BEDDING):
                break
            if things[over.thing].body:
                if over.thing in BEDDED:
                    yield number, over.thing
                break


def _under_a_liner(whole: WholeFile, place: WrittenPlace) -> Iterator[int]:
    """Each bed that a liner lies on, in a place where no fill is written and none is said not to be there."""
    layers = place.layers or []
    named = {LINER, FILL} <= whole.vocabulary.things.keys()
    if not named or FILL in place.things or any(layer is not None and layer.thing == FILL for layer in layers):
        return
    for number, (layer, over) in enumerate(zip(layers, layers[1:])):
        if layer is not None and layer.thing == TILE:
            return  # written from the face inwards
        if layer is not None and over is not None and (layer.thing, over.thing) == (BED, LINER) and layer.presence == over.presence == THERE:
            yield number


def _as_another(whole: WholeFile, layer: Statement, thing: str, over: str, other: str) -> Statement:
    """The same layer as another thing, with what is said of it; what only the first is judged by is told to be left aside."""
    reader, known = whole.reader, {}
    for name, said in layer.known.items():
        attribute = name.partition(".")[2]
        fact = reader.vocabulary.facts.get(f"{thing}.{attribute}")
        try:
            heard = possible.read(fact, said.text, said.where) if fact is not None else None
        except NotPossible:
            heard = None
        if heard is not None:
            known[fact.name] = heard._replace(origin=said.origin, shown_by=said.shown_by)
        elif said.origin == STATED:
            reader.note(said.where, f"`{attribute}: {said.text}` is not looked at in the {layer.thing.removeprefix('tile ')} under the {over}")
    reader.note(layer.where, f"this {layer.thing.removeprefix('tile ')} lies under the {over} and is taken as the {thing} of it, {other}",
              f"`- {thing}:` says so")  # fmt: skip
    return replace(layer, thing=thing, known=known, against=[])


def refuse_what_lies_on_tile(whole: WholeFile) -> None:
    """A list whose tile is not the last to go on was written from the face inwards, or has a line out of turn."""
    for place in whole.described.places.values():
        layers = [layer for layer in place.layers or [] if layer is not None and layer.presence == THERE]
        tiles = [number for number, layer in enumerate(layers) if layer.thing == TILE and _goes_on_new(layer)]
        over = [layer for layer in layers[tiles[-1] + 1 :] if layer.thing not in TURN_TELLS_NOTHING] if tiles else []
        if over:
            complain(whole.reader.complaints, Text(over[0].thing, over[0].where),
                   f"in `{place.name}` the {over[0].thing} is written after the tile, as if it lay on it", OUTWARDS)  # fmt: skip


def _goes_on_new(tile: Statement) -> bool:
    """Old tile may lie anywhere."""
    state = tile.known.get(f"{TILE}.state")
    return state is None or bool(state.value & _NEW)


ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def tell_layers_apart(whole: WholeFile) -> None:
    """Two layers of a kind without names are the first and the second."""
    for place in whole.described.places.values():
        by_kind: dict[str, list[Statement]] = {}
        for layer in place.layers or []:
            if layer is not None:
                by_kind.setdefault(layer.thing, []).append(layer)
        for thing, same in by_kind.items():
            if len(same) > 1:
                _tell_apart(whole, thing, same)


def _tell_apart(whole: WholeFile, thing: str, same: list[Statement]) -> None:
    complaints = whole.reader.complaints
    if any(layer.presence == NONE for layer in same):
        complain(complaints, _at(same[-1]), f"the {thing} is written and said not to be there", "one of the two", thing)
    taken: set[str] = set()
    for number, layer in enumerate(same):
        layer.name = layer.name or (ORDINALS[number] if number < len(ORDINALS) else f"number {number + 1}")
        if normalized(layer.name) in taken:
            complain(complaints, _at(layer), f"two layers of {thing} are named `{layer.name}`", "a name of its own for each", thing)
        taken.add(normalized(layer.name))


def _at(said: Statement) -> Text:
    return Text(said.name, said.where)
