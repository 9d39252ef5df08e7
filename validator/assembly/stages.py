"""How far the work is, and whether what is described is there once it is done."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from validator.facts.possible import NOT_STATED, STATED, WORKED_OUT, Known
from validator.facts.subjects import Layer
from validator.facts.vocabulary import MAYBE, NONE, STATE, STATES, THERE, Vocabulary

STAGE, COMPLETION, DEMOLITION = "stage", "job.completion", "job.demolition"
_REMOVED, _PLANNED = (1 << STATES.index(state) for state in ("to be removed", "planned"))


def after_the_work(thing: str, known: Mapping[str, Known]) -> int:
    """Whether what is described is there when the work is done: NONE of what is to be removed, MAYBE where it may be."""
    state = _state_of(thing, known)
    return NONE if state == _REMOVED else MAYBE if state & _REMOVED else THERE


def is_perhaps_planned(thing: str, known: Mapping[str, Known]) -> bool:
    """Whether what is described may be no more than planned."""
    return bool(_state_of(thing, known) & _PLANNED)


def stage_of(job: Mapping[str, Known], vocabulary: Vocabulary) -> dict[str, Known]:
    """How far a place is that does not say so: as far as the job; and that is finished where the day is told on which it was."""
    fact = vocabulary.fact(f"place.{STAGE}")
    if fact is None:
        return {}
    said, done = job.get(f"job.{STAGE}"), job.get(COMPLETION)
    if (said is None or said.origin == NOT_STATED) and done is not None and done.origin == STATED:
        said = Known(1 << len(fact.words) - 1, WORKED_OUT, fact.words[-1], done.where)
    return {} if said is None else {fact.name: said}


def as_removed(gone: Iterable[Layer], vocabulary: Vocabulary) -> Iterator[Layer]:
    """What each layer that is to be removed is to those who take it out, where the vocabulary has a thing for that, with the facts
    that the two share."""
    for layer in gone:
        if thing := vocabulary.things[layer.thing].once_removed:
            known = {name.replace(layer.thing, thing, 1): each for name, each in layer.known.items() if not name.endswith(f".{STATE}")}
            shared = {name: each for name, each in known.items() if name in vocabulary.facts}
            yield Layer(thing, layer.name, shared, layer.presence, layer.where, layer.number)


def demolition_of(gone: Sequence[object], vocabulary: Vocabulary) -> dict[str, Known]:
    """Where layers are to be removed something is taken out, whether or not that is said."""
    fact = vocabulary.fact(DEMOLITION)
    return {DEMOLITION: Known(1 << fact.words.index("yes"), WORKED_OUT, "yes")} if gone and fact is not None else {}


def _state_of(thing: str, known: Mapping[str, Known]) -> int:
    """The states that are written of a thing, 0 where none is."""
    state = known.get(f"{thing}.{STATE}")
    return state.value if state is not None and state.origin != NOT_STATED else 0
