"""Takes the described places, returns every junction: those that their shape makes, and those that are written.

A junction knows what its place knows, or its two places: what the first says counts, what only the second has is taken
from it. Tape, sealant, corners and collars belong to the junction.
"""

from itertools import product
from typing import NamedTuple

from validator.assembly.places import WholeFile, share_a_room
from validator.assembly.statement import Statement, products_of
from validator.assembly.written import WrittenJunction
from validator.facts import possible
from validator.facts.possible import NOT_STATED, PRESUMED, STATED, WORKED_OUT, Known
from validator.facts.subjects import Subject, any_one_of, presence_of
from validator.facts.vocabulary import MAYBE, NONE, THERE, Shape
from validator.language.forms import complain
from validator.language.source import Text

MOST_JUNCTIONS = 2000


class Meeting(NamedTuple):
    """A kind of junction at one place or between two, by their plain names; surely there or only possibly."""

    kind: str
    at: tuple[str, ...]
    presence: int = THERE


def junction_subjects(whole: WholeFile, places: dict[str, Subject]) -> list[Subject]:
    """Every junction of the file, those that the shape makes first."""
    meetings = [m for shape in whole.vocabulary.things["junction"].shapes for m in _made_by(shape, whole, places)]
    if len(meetings) > MOST_JUNCTIONS:
        first = next(iter(whole.described.places.values()))
        complain(whole.reader.complaints, Text("", first.where), f"the places meet in {len(meetings)} junctions",
               "`room:` in each place, so that only places of one room meet")  # fmt: skip
        return []
    maker = _JunctionMaker(whole, places)
    found: list[Subject] = []
    used: set[int] = set()
    for meeting in meetings:
        written = maker.written_for(meeting)
        if written is not None:
            used.add(id(written))
        if written is None or written.presence != NONE:
            found.append(maker.subject(meeting, written))
    for written in whole.described.junctions:
        if id(written) not in used and written.presence != NONE and (written.known or written.seals or written.at or written.observed):
            found += maker.beyond_shape(written, {(s.kind, s.name) for s in found})
    return found


def _made_by(shape: Shape, whole: WholeFile, places: dict[str, Subject]) -> list[Meeting]:
    described = whole.described.places
    first = {name: _has(places[name], whole.kinds(described[name]), shape.places, shape.having) for name in places}
    if not shape.to:
        return [Meeting(shape.kind, (name,), there) for name, there in first.items() if there != NONE]
    second = {name: _has(places[name], whole.kinds(described[name]), shape.to, shape.meeting) for name in places}
    alike = shape.places == shape.to
    order = {name: number for number, name in enumerate(places)}
    pairs = [
        Meeting(shape.kind, (a, b), _least(first[a], second[b], MAYBE if described[a].is_piece or described[b].is_piece else THERE))
        for a, b in product(places, places)
        if first[a] != NONE and second[b] != NONE and a != b and not (alike and order[a] > order[b])
        and share_a_room(described[a], described[b])
    ]  # fmt: skip
    if alike:
        # One entry for all the walls: they meet each other.
        met = {name for pair in pairs for name in pair.at}
        pairs += [Meeting(shape.kind, (name,), there) for name, there in first.items() if there != NONE and name not in met]
    return pairs


def _has(place: Subject, kinds: tuple[str, ...], wanted: tuple[str, ...], having: str) -> int:
    """Whether a place is of a wanted kind and has a thing: surely, possibly or not."""
    within = [kind in wanted for kind in kinds]
    presence = THERE if all(within) else MAYBE if any(within) else NONE
    if presence == NONE or not having:
        return presence
    thing = presence_of(place.layers[having]) if having in place.layers else place.known[having].value
    return _least(presence, thing)


def _least(*presences: int) -> int:
    return min(presences, key=(NONE, MAYBE, THERE).index)


class _JunctionMaker:
    def __init__(self, whole: WholeFile, places: dict[str, Subject]) -> None:
        self.whole, self.places = whole, places
        self.vocabulary, self.described = whole.vocabulary, whole.described
        self.kind = self.vocabulary.facts["junction.kind"]

    def written_for(self, meeting: Meeting) -> WrittenJunction | None:
        """What is written of a junction: between its two places if that is written, else at one of them, else of its kind."""
        of_kind = [j for j in self.described.junctions if meeting.kind in j.kinds]
        ends = set(meeting.at)
        for narrow in (2, 1, 0):
            for junction in of_kind:
                if len(junction.at) == narrow and (set(junction.at) == ends if narrow == 2 else ends.issuperset(junction.at)):
                    return junction
        return None

    def subject(self, meeting: Meeting, written: WrittenJunction | None) -> Subject:
        """One junction, with what its places know."""
        places = [self.places[name] for name in meeting.at]
        known, layers = self._together(places)
        presence = THERE if written is not None else meeting.presence
        origin = STATED if written is not None else WORKED_OUT if presence == THERE else NOT_STATED
        known["junction"] = Known(presence, origin, shown_by=written.shown_by if written is not None else None)
        known["junction.kind"] = Known(1 << self.kind.words.index(meeting.kind), STATED, meeting.kind)
        self._seals(known, written)
        if written is not None:
            known.update(written.known)
        ends = " to ".join(place.name for place in places)
        name = f"{meeting.kind}, {ends}" if ends else meeting.kind
        presumed = tuple(
            thing for thing in dict.fromkeys(thing for place in places for thing in place.presumed)
            if known[thing].origin == PRESUMED and thing not in layers
        )  # fmt: skip
        return Subject(
            name, "junction", meeting.kind, known, layers, presumed, at=tuple(place.name for place in places),
            where=written.where if written is not None else None,
            products=products_of(written.seals.values()) if written is not None else (),
            observed=(*written.observed, *(o for s in written.seals.values() for o in s.observed)) if written is not None else (),
        )  # fmt: skip

    def _together(self, places: list[Subject]) -> tuple[dict[str, Known], dict]:
        """What the first place knows, and of things that only the second has, what the second knows."""
        if not places:
            return self._of_any_place()
        first = places[0]
        known, layers = dict(first.known), dict(first.layers)
        for other in places[1:]:
            for thing in self.vocabulary.things.values():
                if thing.sort in ("part", "layer", "framing") and self._only_second(thing.name, first, other):
                    for name in [name for name in known if name == thing.name or name.startswith(f"{thing.name}.")]:
                        del known[name]
                    known.update({n: k for n, k in other.known.items() if n == thing.name or n.startswith(f"{thing.name}.")})
                    if thing.name in other.layers:
                        layers[thing.name] = other.layers[thing.name]
        return known, layers

    @staticmethod
    def _only_second(thing: str, first: Subject, other: Subject) -> bool:
        """True when only the second place says anything of a thing that the first place surely has not."""
        if thing in first.layers:
            return False
        mine, theirs = first.known.get(thing), other.known.get(thing)
        if mine is not None and (mine.value == THERE and thing != "framing" or mine.origin == STATED):
            return False
        if thing in other.layers:
            return True
        return theirs is not None and theirs.value != NONE and (theirs.origin == STATED or mine.origin == WORKED_OUT)

    def _of_any_place(self) -> tuple[dict[str, Known], dict]:
        """A junction written of no place: what any of the places could be."""
        every = list(self.places.values())
        flat = []
        for place in every:
            known = dict(place.known)
            for thing, layers in place.layers.items():
                known.update(any_one_of(layers, self.vocabulary))
                known[thing] = Known(presence_of(layers), known[thing].origin)
            flat.append(known)
        names = [name for name in flat[0] if all(name in known for known in flat)] if flat else []
        merged: dict[str, Known] = {}
        for name in names:
            fact, value = self.vocabulary.facts[name], flat[0][name].value
            for known in flat[1:]:
                other = known[name].value
                value = possible.either(fact, value, other) if value is not None and other is not None else None
            alike = all(known[name].value == flat[0][name].value for known in flat)
            merged[name] = flat[0][name] if alike else Known(value, NOT_STATED)
        return merged, {}

    def _seals(self, known: dict[str, Known], written: WrittenJunction | None) -> None:
        described = self.described
        for thing in self.vocabulary.things.values():
            if thing.sort != "seal":
                continue
            said: Statement | None = written.seals.get(thing.name) if written is not None else None
            if said is not None:
                known.update(said.known if said.presence != NONE else {})
                known[thing.name] = said.whether_there()
            elif thing.when_not_written == "ask":
                known[thing.name] = described.other_seals or described.closed or Known(MAYBE, NOT_STATED)
            elif thing.when_not_written == "there":
                known[thing.name] = Known(THERE, NOT_STATED)
            else:
                known[thing.name] = Known(NONE, PRESUMED, "not written")

    def beyond_shape(self, written: WrittenJunction, there: set[tuple[str, str]]) -> list[Subject]:
        """A junction that is written though no two described places make it, such as the seams of a membrane."""
        shapes = [s for s in self.vocabulary.things["junction"].shapes if s.kind in written.kinds]
        if written.at:
            groups = [written.at]
        else:
            groups = [
                (name,) for name, place in self.places.items()
                for shape in shapes if _has(place, self.whole.kinds(self.described.places[name]), shape.places, shape.having) == THERE
            ] or [()]  # fmt: skip
        kind = written.kinds[0]
        made = [self.subject(Meeting(kind, at), written) for at in dict.fromkeys(groups)]
        return [subject for subject in made if (subject.kind, subject.name) not in there]
