"""Takes a place as written, returns it as a subject: what is there, what may be, what is taken as not there, what lies on what.

Position: a body (board, panel, bed, tile) lies on the nearest body under it; films (membranes, primers, mortar) hide
between. Between two written layers no body hides, so a body that is not written there is taken as not there.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field

from validator.assembly.evidence import Offered
from validator.assembly.stages import after_the_work, as_removed, demolition_of, is_perhaps_planned, stage_of
from validator.assembly.statement import Statement, products_of
from validator.assembly.statement_reading import StatementReader
from validator.assembly.written import WrittenAssembly, WrittenPlace
from validator.facts.observing import Observation
from validator.facts.own_words import is_spoken_of
from validator.facts.possible import CARD, NOT_STATED, PRESUMED, STATED, WORKED_OUT, Known
from validator.facts.subjects import Disagreement, Layer, Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Thing, Vocabulary
from validator.language.forms import complain, listed, normalized
from validator.language.source import Text

# What rests on framing or on the ground; where the first body written is another, one of these may be under it.
STRUCTURE = ("slab", "subfloor panel")
STRUCTURE_OF_WALLS = ("board",)

GAP = "a layer is not described"
_CANNOT_BE = Known(NONE, WORKED_OUT, "not in this kind of place")


@dataclass(slots=True, eq=False, repr=False)
class WholeFile:
    """What holds for every place and junction of a file."""

    described: WrittenAssembly
    reader: StatementReader
    own: list[tuple[str, WrittenPlace]] = field(default_factory=list)  # curbs, benches and niches that are places

    def settle(self) -> None:
        """Once every place has its kind, note which are a curb, bench or niche."""
        parts = set(self.reader.names_of("part"))
        for place in self.described.places.values():
            kinds = self.kinds(place)
            if len(kinds) == 1 and kinds[0] in parts:
                self._stays(kinds[0], place)
                self.own.append((kinds[0], place))

    def _stays(self, part: str, place: WrittenPlace) -> None:
        said = place.things.get(part)
        if said is not None and after_the_work(part, said.known) != THERE:
            complain(self.reader.complaints, Text(place.name, place.where), f"`{place.name}` is to be removed, and is not judged as a place of its own",
                   f"leave the place out, or write `{part}: {{state: to be removed}}` in the place that it is a part of")  # fmt: skip

    @property
    def vocabulary(self) -> Vocabulary:
        return self.reader.vocabulary

    def kinds(self, place: WrittenPlace) -> tuple[str, ...]:
        """The kinds that a place may be of."""
        known = place.known.get("place.kind")
        words = self.vocabulary.facts["place.kind"].words
        return tuple(word for bit, word in enumerate(words) if known is None or known.value >> bit & 1)


def can_be(thing: Thing, kinds: tuple[str, ...]) -> int:
    """Whether a thing can be in a place: THERE in every kind it may be of, MAYBE in some, NONE in none."""
    if not thing.in_places:
        return THERE
    within = [kind in thing.in_places or kind == thing.name for kind in kinds]
    return THERE if all(within) else MAYBE if any(within) else NONE


def place_subject(whole: WholeFile, place: WrittenPlace) -> Subject:
    """One place with everything that is known of it."""
    return _PlaceMaker(whole, place).subject()


class _PlaceMaker:
    def __init__(self, whole: WholeFile, place: WrittenPlace) -> None:
        self.whole, self.place = whole, place
        self.vocabulary, self.described = whole.vocabulary, whole.described
        self.kinds = whole.kinds(place)
        self.closed = place.closed or self.described.closed
        # What is to be removed is not there when the work is done: nothing lies on it, and only rules on taking it out are about it.
        written = list(enumerate(place.layers or []))
        self.gone = [(number, each) for number, each in written if each is not None and after_the_work(each.thing, each.known) == NONE]
        self.numbered = [pair for pair in written if pair not in self.gone]
        self.build_up = [each for _, each in self.numbered]
        self.runs = self._runs()
        self.presumed: list[str] = []
        job = self.described.job
        self.known: dict[str, Known] = {**stage_of(job, self.vocabulary), **demolition_of(self.gone, self.vocabulary), **job, **place.known}
        self.layers: dict[str, list[Layer]] = {}
        self.things: dict[str, Statement] = {**self.described.records, **self._of_own_places(), **place.things}

    def subject(self) -> Subject:
        """Presence first, since what may lie under the first layer depends on it."""
        self._framing()
        written: dict[str, int] = {}
        for layer in self.build_up:
            if layer is not None:
                written[layer.thing] = THERE if THERE in (layer.presence, written.get(layer.thing)) else layer.presence
        written |= {gone: THERE for _, layer in self.gone if (gone := self.vocabulary.things[layer.thing].once_removed)}
        for thing in self.vocabulary.things.values():
            if thing.sort in ("job", "place", "framing"):
                self.known[thing.name] = Known(THERE, NOT_STATED)
            elif thing.sort == "junction":
                self.known[thing.name] = _CANNOT_BE
            elif thing.sort in ("part", "layer", "record"):
                self.known[thing.name] = self._presence(thing, written.get(thing.name, 0))
        self._layers()
        self._roles()
        kinds = self.kinds if len(self.kinds) == 1 else ("",)
        return Subject(
            self.place.name, "place", kinds[0], self.known, self.layers, tuple(self.presumed), self._disagreements(),
            where=self.place.where, products=products_of(self._bought()), observed=self._observed(), taken_out=self._taken_out(), formerly=self.place.formerly,
        )  # fmt: skip

    def _observed(self) -> tuple[Observation, ...]:
        """What is seen of the place, of its layers and of its parts."""
        said = [*(layer for layer in self.place.layers or [] if layer is not None), *self.place.things.values()]
        return (*self.place.observed, *(each for one in said for each in one.observed))

    def _bought(self) -> list[Statement]:
        """Layers from the structure outwards, then parts; what is only said of a record was not bought."""
        parts = [each for name, each in self.things.items() if self.vocabulary.things[name].sort in ("layer", "part")]
        stay = [each for each in parts if after_the_work(each.thing, each.known) != NONE]
        return [*(layer for layer in self.build_up if layer is not None), *stay]

    def _framing(self) -> None:
        if self.runs:
            self.layers["framing"] = [Layer("framing", run.name, dict(run.known), THERE, run.where) for run in self.runs]

    def _runs(self) -> list[Statement]:
        """The framing runs the place sits on, without those to be removed: those it names, or the single run without a name.

        A place that names none, and has no slab, sits on the one run whose own name says what it carries: `floor`, `walls`.
        """
        runs = self.described.runs
        names = [""] if "" in runs else [normalized(name.text) for name in self.place.on]
        if not names and all(layer is None or layer.thing != "slab" for layer in self.build_up):
            carries = self.vocabulary.things["framing"].carries
            said = [name for name in runs if any(set(self.kinds) <= set(carries.get(word, ())) for word in name.split())]
            names = said if len(said) == 1 else []
        return [runs[name] for name in dict.fromkeys(names) if name in runs and after_the_work("framing", runs[name].known) == THERE]

    # -- what is there ----------------------------------------------------------------------------------------------------

    def _presence(self, thing: Thing, written: int) -> Known:
        """Whether a thing is there; `written` is the presence of its layers, 0 where it has none."""
        said = self.things.get(thing.name)
        possible_here = can_be(thing, self.kinds)
        if written or said is not None:
            if possible_here == NONE and thing.name not in self.described.records:
                self._misplaced(thing, said)
            if possible_here == NONE:
                return _CANNOT_BE
            if said is None:
                if written == MAYBE:
                    return Known(MAYBE, NOT_STATED, "written", self.place.where)
                return Known(written, STATED, "written", self.place.where, shown_by=self._layer_shown_by(thing))
            return heard(thing, said, self.known, possible_here)
        if possible_here == NONE:
            return _CANNOT_BE
        return self._not_written(thing, possible_here)

    def _layer_shown_by(self, thing: Thing) -> Offered:
        layers = [layer for layer in self.build_up if layer is not None and layer.thing == thing.name]
        return next((layer.shown_by for layer in layers if layer.shown_by is not None), None)

    def _not_written(self, thing: Thing, possible_here: int) -> Known:
        role = self.place.without.get(thing.role) if thing.role else None
        gap = thing.sort == "layer" and None in self.build_up
        if role is not None:
            return role
        if self._said_by_the_place(thing):
            return Known(THERE, STATED, "said of the place", self.place.where)
        taken = thing.not_written_in(self.kinds)
        if taken == "there":
            return Known(possible_here, NOT_STATED)
        removed = next((layer for _, layer in self.gone if layer.thing == thing.name), None)
        if removed is not None and taken == "not there":
            return Known(NONE, STATED, "to be removed", removed.where, shown_by=removed.shown_by)
        if taken == "ask":
            closed = self.closed if thing.sort != "record" else self.described.closed
            if closed is not None and not gap:
                return closed
            if not self._shut_out(thing):
                return Known(MAYBE, NOT_STATED, GAP if gap else "")
        elif gap:
            return Known(MAYBE, NOT_STATED, GAP)
        elif is_spoken_of(thing, f"{self.described.name} {self.place.name}".casefold()):
            return Known(MAYBE, NOT_STATED)
        self.presumed.append(thing.name)
        return Known(NONE, PRESUMED, "not written")

    def _said_by_the_place(self, thing: Thing) -> bool:
        """True when what the place is used as says that the thing is there: a steam room has steam."""
        for name, word in thing.there_when.items():
            said = self.known.get(name)
            if said is not None and said.origin == STATED and said.value[0] >> self.vocabulary.facts[name].words.index(word) & 1:
                return True
        return False

    def _of_own_places(self) -> dict[str, Statement]:
        """A curb, bench or niche may be a place of its own and a part of another in the room: what one says, both know."""
        found: dict[str, Statement] = {}
        for part, place in self.whole.own:
            if place is self.place:
                found[part] = self._said_elsewhere(part) or Statement(part, place.where)
            elif share_a_room(place, self.place) and can_be(self.vocabulary.things[part], self.kinds) != NONE:
                found[part] = place.things.get(part) or Statement(part, place.where)
        return found

    def _said_elsewhere(self, part: str) -> Statement | None:
        others = [other for other in self.described.places.values() if part in other.things and share_a_room(other, self.place)]
        return others[0].things[part] if len(others) == 1 else None

    def _shut_out(self, thing: Thing) -> bool:
        """A body that no line names, where written layers leave it no room."""
        if not thing.body or None in self.build_up:
            return False
        first = self._first_body()
        if first in self._bearing():
            return True
        return bool(first) and thing.name not in self._bearing() and not self._begins_with_a_film_on_a_floor()

    def _begins_with_a_film_on_a_floor(self) -> bool:
        """A floor written from its liner or membrane up: what that lies on is not written, and may be a sloped fill."""
        lowest = next((layer for layer in self.build_up if layer is not None and layer.presence == THERE), None)
        return lowest is not None and not self.vocabulary.things[lowest.thing].body and self._bearing() != STRUCTURE_OF_WALLS

    def _first_body(self) -> str:
        """The first body written that is not the finish itself."""
        things = self.vocabulary.things
        for layer in self.build_up:
            if layer is not None and layer.presence == THERE and things[layer.thing].body:
                return layer.thing if things[layer.thing].when_not_written != "there" else ""
        return ""

    def _bearing(self) -> tuple[str, ...]:
        """The bodies that rest on framing or on the ground in this kind of place."""
        floors = tuple(n for n in STRUCTURE if n in self.vocabulary.things and can_be(self.vocabulary.things[n], self.kinds) != NONE)
        return floors or STRUCTURE_OF_WALLS

    def _misplaced(self, thing: Thing, said: Statement | None) -> None:
        written = [layer for layer in self.build_up if layer is not None and layer.thing == thing.name]
        for layer in written or [said]:
            if layer.presence == NONE:
                continue
            complain(self.whole.reader.complaints, Text(thing.name, layer.where),
                   f"`{thing.name}` is not written in {'an' if self.kinds[0][0] in 'aeiou' else 'a'} {' or '.join(self.kinds)}, "
                   f"whether or not there is one", f"a place where it is judged: {listed(thing.in_places)}")  # fmt: skip

    # -- layers -----------------------------------------------------------------------------------------------------------

    def _layers(self) -> None:
        things = self.vocabulary.things
        for number, said in self.numbered:
            if said is None:
                continue
            if said.presence == NONE:
                self.known[said.thing] = Known(NONE, STATED, "none", said.where, shown_by=said.shown_by)
                continue
            known = dict(said.known)
            under = [each for other, each in self.numbered if other < number]
            over = [each for other, each in self.numbered if other > number]
            known[f"{said.thing}.lies on"] = self._position(said.thing, "lies on", under[::-1], self._lowest())
            known[f"{said.thing}.covered by"] = self._position(said.thing, "covered by", over, self._outermost(said))
            self.layers.setdefault(said.thing, []).append(Layer(said.thing, said.name, known, said.presence, said.where, number))
        if None in self.build_up:
            # One layer with nothing known, only possibly there, stands for any number that a gap hides.
            gap = next(number for number, said in self.numbered if said is None)
            for name, layers in self.layers.items():
                if name != "framing" and things[name].when_not_written != "there":
                    layers.append(Layer(name, "not described", {}, MAYBE, self.place.where, gap))
        for gone in as_removed(self._taken_out(), self.vocabulary):
            self.layers.setdefault(gone.thing, []).append(gone)

    def _taken_out(self) -> tuple[Layer, ...]:
        return tuple(Layer(each.thing, each.name, dict(each.known), each.presence, each.where, number) for number, each in self.gone)

    def _position(self, thing: str, which: str, beyond: Iterable[Statement | None], end: int) -> Known:
        """The nearest body in one direction: what may be, as far as a body is surely met."""
        words = self.vocabulary.facts[f"{thing}.{which}"].words
        mask = 0
        for each in beyond:
            if each is None:
                mask |= self._hidden(words)
                continue
            if each.presence == NONE or each.thing not in words:
                continue
            mask |= 1 << words.index(each.thing)
            if each.presence == after_the_work(each.thing, each.known) == THERE:
                break
        else:
            mask |= end
        return Known(mask, WORKED_OUT, "")

    def _hidden(self, words: tuple[str, ...]) -> int:
        """The bodies that a gap may hide; the finish is outside every gap."""
        things = self.vocabulary.things
        return sum(
            1 << bit for bit, word in enumerate(words)
            if bit and self.known[word].value != NONE and things[word].when_not_written != "there"
        )  # fmt: skip

    def _bodies(self) -> tuple[str, ...]:
        first = next(t.name for t in self.vocabulary.things.values() if t.sort == "layer")
        return self.vocabulary.facts[f"{first}.lies on"].words

    def _lowest(self) -> int:
        """What may be under the first layer written: nothing, or a body that is asked about."""
        first = self._first_body()
        if first in self._bearing():
            return 1
        written = {layer.thing for layer in self.build_up if layer is not None}
        return 1 | sum(
            1 << bit for bit, word in enumerate(self._bodies())
            if bit and word not in written and self.known[word].value == MAYBE and (not first or word in self._bearing())
        )  # fmt: skip

    def _outermost(self, said: Statement) -> int:
        """What may be over the last layer written: nothing, or the finish that is always there."""
        written = {layer.thing for layer in self.build_up if layer is not None}
        things = self.vocabulary.things
        finish = [
            bit for bit, word in enumerate(self._bodies())
            if bit and word not in written and things[word].when_not_written == "there" and self.known[word].value != NONE
        ]  # fmt: skip
        if not finish:
            return 1
        return sum(1 << bit for bit in finish) | (1 if any(self.known[self._bodies()[bit]].value == MAYBE for bit in finish) else 0)

    # -- roles and cards --------------------------------------------------------------------------------------------------

    def _roles(self) -> None:
        """`waterproofing: none`: what nobody said of it is a no, in every layer."""
        for fact in list(self.vocabulary.facts.values()):
            stated = fact.stated and not fact.concluded and fact.kind == "yes or no"
            none = self.place.without.get(fact.role) if fact.role and stated else None
            if none is None:
                continue
            no = none._replace(value=1)
            holders = [layer.known for layer in self.layers.get(fact.thing, [])]
            for known in holders or ([self.known] if self.known[fact.thing].value != NONE else []):
                if fact.name not in known or known[fact.name].origin not in (STATED, CARD):
                    known[fact.name] = no

    def _disagreements(self) -> list[Disagreement]:
        said = [*(layer for layer in self.build_up if layer is not None), *self.things.values(), *self.runs]
        return [Disagreement(fact, sides, self.place.name, where) for each in said for fact, sides, where in each.against]


def heard(thing: Thing, said: Statement, known: dict[str, Known], possible_here: int) -> Known:
    """Whether a part or a record is there, adding its facts to what is known.

    What is to be removed is not there when the work is done; of what every such place has, another takes its turn, and
    nothing is known of that one. A record that is planned shows nothing yet.
    """
    stays = after_the_work(thing.name, said.known)
    if thing.sort == "record" and stays == THERE and is_perhaps_planned(thing.name, said.known):
        stays = MAYBE
    if said.presence == NONE or stays == THERE:
        known.update(said.known if said.presence != NONE else {})
        return said.whether_there()
    if thing.when_not_written == "there":
        return Known(possible_here, NOT_STATED)
    if stays == NONE:
        return Known(NONE, STATED, "to be removed", said.where, shown_by=said.shown_by)
    known.update(said.known)
    return Known(MAYBE, NOT_STATED, "written", said.where)


def share_a_room(place: WrittenPlace, other: WrittenPlace) -> bool:
    """True unless both say their room and the rooms are two."""
    rooms = [each.known["place.room"].text.casefold() for each in (place, other) if "place.room" in each.known]
    return len(rooms) < 2 or not all(rooms) or rooms[0] == rooms[1]


def job_subject(whole: WholeFile) -> Subject:
    """The job itself: what is said under `use:` and `records:`."""
    described, known = whole.described, dict(whole.described.job)
    for thing in whole.vocabulary.things.values():
        if thing.sort == "record":
            known[thing.name] = record_presence(described, thing, known)
        elif thing.sort in ("job", "junction"):
            known[thing.name] = Known(THERE, NOT_STATED) if thing.sort == "job" else _CANNOT_BE
    against = [Disagreement(f, sides, "the job", where) for said in described.records.values() for f, sides, where in said.against]
    return Subject("the job", "job", "", known, {}, (), against, observed=described.observed)


def record_presence(described: WrittenAssembly, thing: Thing, known: dict[str, Known]) -> Known:
    """Whether a record of the whole job is there; its facts are added to what is known."""
    said = described.records.get(thing.name)
    if said is not None:
        return heard(thing, said, known, THERE)
    if thing.when_not_written == "ask":
        return described.closed or Known(MAYBE, NOT_STATED)
    return Known(THERE, NOT_STATED) if thing.when_not_written == "there" else Known(NONE, PRESUMED, "not written")
