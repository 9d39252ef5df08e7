"""`varies 3/4 to 1-1/2 in` is not ignorance: all of it is there.

The place is first judged with the whole range open. Where that does not settle a rule, the place is judged once at each
end and at each limit of the book between them (and a step either side), and the worst is kept.
"""

from dataclasses import replace
from itertools import product

from validator.engines.deriving import Derivations
from validator.engines.meaning import RANK, Judgement, Meaning
from validator.outcomes import OPEN_OUTCOMES
from validator.possible import Known
from validator.subjects import Layer, Subject

MOST_POINTS = 256


def judge_varying(meaning: Meaning, subject: Subject) -> tuple[Derivations, list[Judgement]]:
    """Every rule at a place, what varies there judged at every point that could matter."""
    found = meaning.derive(subject)
    judgements = meaning.judge(found)
    varying = _varying(subject)
    if not varying or not any(j.outcome in OPEN_OUTCOMES for j in judgements):
        return found, judgements
    points = {name: _points(meaning, name, known) for name, known in varying.items()}
    count = 1
    for values in points.values():
        count *= len(values)
    if count > MOST_POINTS:
        return found, judgements
    worst = judgements
    first = True
    for values in product(*points.values()):
        at_point = meaning.judge(meaning.derive(_at(subject, dict(zip(points, values)))))
        worst = [
            here if first else min(kept, here, key=lambda j: RANK[j.outcome]) for kept, here in zip(worst, at_point)
        ]
        first = False
    settled = [
        whole if whole.outcome not in OPEN_OUTCOMES else point for whole, point in zip(judgements, worst)
    ]
    return found, settled


def _varying(subject: Subject) -> dict[str, Known]:
    found = {name: known for name, known in subject.known.items() if known.varies}
    for layers in subject.layers.values():
        for layer in layers:
            found.update({name: known for name, known in layer.known.items() if known.varies})
    return found


def _points(meaning: Meaning, name: str, known: Known) -> tuple[int, ...]:
    least, greatest = known.value
    cuts = meaning.cuts.get(meaning.vocabulary.slot(name), ())
    between = {point for cut in cuts for point in (cut - 1, cut, cut + 1) if least < point < greatest}
    return tuple(sorted({least, greatest, *between}))


def _at(subject: Subject, values: dict[str, int]) -> Subject:
    """The place with each varying fact at one value."""

    def fixed(known: dict[str, Known]) -> dict[str, Known]:
        return {
            name: replace(each, value=(values[name], values[name])) if each.varies else each
            for name, each in known.items()
        }

    layers = {
        thing: [Layer(e.thing, e.name, fixed(e.known), e.presence, e.where) for e in each]
        for thing, each in subject.layers.items()
    }
    return Subject(
        subject.name, subject.sort, subject.kind, fixed(subject.known), layers, subject.presumed, subject.disagreements
    )
