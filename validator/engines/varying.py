"""Judges an amount written with `varies`: every value in the range occurs, so a rule fails if any of them fails.

The place is first judged with the whole range open. Where that does not settle a rule, the place is judged at each end
and over each stretch between the limits of the book, and the worst is kept.
"""

from itertools import product

from validator.engines.deciding import RANK, Engine, Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES
from validator.facts.possible import Known
from validator.facts.subjects import Layer, Subject, copied_with

MOST_STRETCHES = 256
Span = tuple[int, int]
Key = tuple[str, int, str]  # the kind of a layer and its number in the place, or nothing; and the fact


def judge_varying(
    engine: Engine, subject: Subject, derived: DerivedPlace | None = None
) -> tuple[DerivedPlace, list[Judgement]]:
    """Takes a place, returns it derived with every rule judged, what varies there in every stretch that could matter.

    `derived` is the place as it was derived before, where that is at hand.
    """
    place = derived or engine.derive(subject)
    judgements = engine.judge(place)
    varying = _varying(subject)
    if not varying:
        return place, judgements
    stretches = {key: _stretches(engine, key[2], known) for key, known in varying.items()}
    count = 1
    for spans in stretches.values():
        count *= len(spans)
    if count > MOST_STRETCHES:
        return place, judgements
    worst: list[Judgement] = []
    for spans in product(*stretches.values()):
        there = engine.derive(_at(subject, dict(zip(stretches, spans))))
        place.disagreements += [each for each in there.disagreements if each not in place.disagreements]
        here = engine.judge(there)
        worst = [min(pair, key=lambda j: RANK[j.outcome]) for pair in zip(worst or here, here)]
    settled = [
        whole if whole.outcome not in OPEN_OUTCOMES else point for whole, point in zip(judgements, worst)
    ]
    return place, settled


def _varying(subject: Subject) -> dict[Key, Known]:
    found: dict[Key, Known] = {("", 0, name): known for name, known in subject.known.items() if known.varies}
    for thing, layers in subject.layers.items():
        for number, layer in enumerate(layers):
            found.update({(thing, number, name): known for name, known in layer.known.items() if known.varies})
    return found


def _stretches(engine: Engine, name: str, known: Known) -> tuple[Span, ...]:
    """Both ends alone, since a breach there is sure; and the whole, cut where an answer of the book may change."""
    least, greatest = known.value
    cuts = [cut for cut in engine.cuts.get(engine.vocabulary.slot(name), ()) if least <= cut < greatest]
    starts = [least, *(cut + 1 for cut in cuts)]
    return tuple(dict.fromkeys(((least, least), (greatest, greatest), *zip(starts, [*cuts, greatest]))))


def _at(subject: Subject, spans: dict[Key, Span]) -> Subject:
    """The place with each varying fact held to one stretch."""

    def held(known: dict[str, Known], thing: str, number: int) -> dict[str, Known]:
        return {
            name: each._replace(value=spans[thing, number, name]) if each.varies else each for name, each in known.items()
        }

    layers = {
        thing: [Layer(e.thing, e.name, held(e.known, thing, n), e.presence, e.where) for n, e in enumerate(each)]
        for thing, each in subject.layers.items()
    }
    return copied_with(subject, held(subject.known, "", 0), layers)
