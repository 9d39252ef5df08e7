"""Takes an assembly, returns each of its places in both readings: as stated alone, and as told.

Of a description that was changed only what says otherwise than before is derived and judged again.
"""

from collections.abc import Sequence
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.as_told import Before, Told
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.varying import judge_varying
from validator.facts.subjects import Subject, varies
from validator.judging.loading import LoadedBook


class PlaceRead(NamedTuple):
    """One place in both readings: derived and judged strictly, and as told."""

    strict: DerivedPlace
    strictly: Sequence[Judgement]
    told: Told
    judged: Sequence[Judgement]


class Readings(NamedTuple):
    """One description in both readings, place by place."""

    assembly: Assembly
    places: tuple[PlaceRead, ...]


def places_read(assembly: Assembly, loaded: LoadedBook) -> tuple[PlaceRead, ...]:
    """Every place in both readings; of the assembly that was judged last, as it was read then."""
    last, places = loaded.read_last
    if last is not assembly:
        _, places = loaded.read_last = read_both_ways(assembly, loaded)
    return places


def assembly_as_told(assembly: Assembly, loaded: LoadedBook) -> Assembly:
    """The description narrowed to its usual readings: an assembly like any other, for all that asks, mends and explains."""
    return assembly._replace(subjects=tuple(place.told.subject for place in places_read(assembly, loaded)))


def read_both_ways(assembly: Assembly, loaded: LoadedBook, before: Readings | None = None) -> Readings:
    """Every place in both readings. Of what says the same as in the description `before` nothing is derived or judged again."""
    was = _matched(assembly, before) if before is not None else {}
    strictly = [_strictly(each, was.get(id(each)), loaded) for each in assembly.subjects]
    alike = before is not None and (assembly.words, assembly.unread) == (before.assembly.words, before.assembly.unread)
    told_before = {at: Before(read.strict, read.told) for at, read in was.items()} if alike else {}  # what is usual hangs on those words too
    every = loaded.as_told.all_told(
        [derived for derived, _ in strictly], assembly.words, loaded.reads.followed_from(assembly.unread), told_before
    )  # fmt: skip
    places: list[PlaceRead] = []
    for (derived, judgements), told in zip(strictly, every):
        read = was.get(id(derived.subject))
        if told.derived is derived:
            places.append(PlaceRead(derived, judgements, told, judgements))
        elif read is not None and told.derived.vector is read.told.derived.vector:
            places.append(PlaceRead(derived, judgements, told, _at_its_layers(read.judged, read.told.subject, told.subject)))
        else:
            again, judged = judge_varying(loaded.engine, told.subject, told.derived)
            places.append(PlaceRead(derived, judgements, told._replace(derived=again), judged))
    return Readings(assembly, tuple(places))


def _matched(assembly: Assembly, before: Readings) -> dict[int, PlaceRead]:
    """By the id of each subject, what stood under its name before; what varies is judged stretch by stretch, and anew."""
    was = {(each.strict.subject.sort, each.strict.subject.name): each for each in before.places if not varies(each.strict.subject)}
    pairs = ((subject, was.get((subject.sort, subject.name))) for subject in assembly.subjects if not varies(subject))
    return {id(subject): read for subject, read in pairs if read is not None}


def _strictly(subject: Subject, was: PlaceRead | None, loaded: LoadedBook) -> tuple[DerivedPlace, list[Judgement]]:
    """A place as stated alone; where it says the same as before, as it was judged then."""
    if was is None:
        return judge_varying(loaded.engine, subject)
    derived = loaded.engine.leaning.derived_from(subject, was.strict)
    if derived.vector is was.strict.vector:
        return derived, _at_its_layers(was.strictly, was.strict.subject, subject)
    return judge_varying(loaded.engine, subject, derived)


def _at_its_layers(judgements: Sequence[Judgement], was: Subject, subject: Subject) -> list[Judgement]:
    """Judgements made before, with the layers as they are written now."""
    now = {id(old): new for thing, layers in was.layers.items() for old, new in zip(layers, subject.layers[thing])}
    return [each if each.layer is None else each._replace(layer=now[id(each.layer)]) for each in judgements]
