"""Proves that every word is read: whatever a description may state bears on something, at some place where it can be written."""

from collections.abc import Iterator

from validator.engines.outcomes import Outcome
from validator.facts.possible import CONCLUDED, PRESUMED, STATED, Known
from validator.facts.subjects import Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.rulebook.rule import USERS_OWN


def prove_heard(upon: LoadedBook, book: str) -> Iterator[str]:
    """The facts that may be stated and bear on no rule, caution or line of what stands outside, and say nothing of what they are
    kept for. Asked of the lowest book of codes or practice, whose vocabulary it is.
    """
    lowest = upon.book.layers[0]
    if lowest.name == book and lowest.standing not in USERS_OWN:
        heard = _heard(upon)
        for name, fact in upon.vocabulary.facts.items():
            if _needs_hearing(fact, upon.vocabulary) and not heard >> upon.vocabulary.slot(name) & 1:
                yield (f"`{name}` can be stated, and no rule reads it anywhere. "
                       "Accepted: a rule that reads it, `kept for:` with what it is kept for, or one fact less")  # fmt: skip


def _needs_hearing(fact: Fact, vocabulary: Vocabulary) -> bool:
    """A sum shows itself, a presence heads what stands under it, and what gives other facts is read as those."""
    kept = fact.kept_for or fact.gives or fact.worked_out_by is not None or fact.kind in ("presence", "name")
    return fact.stated and not kept and fact.aggregate is None and vocabulary.things[fact.thing].sort != "observation"


def _heard(loaded: LoadedBook) -> int:
    """What bears on anything at some kind of place, at some kind of junction or of the whole job, as bits by slot."""
    kinds = loaded.vocabulary.facts["place.kind"].words
    bits = _bearing(loaded, "job") | _bearing(loaded, "junction")
    for kind in kinds:
        bits |= _bearing(loaded, "place", kind)
    for each in (*loaded.book.cautions, *loaded.book.outside):
        bits |= loaded.reads.of(each.when)
    return bits


def _bearing(loaded: LoadedBook, sort: str, kind: str = "") -> int:
    """What bears on a rule that could apply somewhere of this sort and kind, whatever is written there.

    Tried with nothing stated, since a stated layer may be the only one, and with all stated, since silence may have a meaning.
    """
    reads, bits = loaded.reads, 0
    for stated in (False, True):
        for judged in loaded.engine.judge(loaded.engine.derive(_anything(loaded.vocabulary, sort, kind, stated))):
            if judged.outcome is not Outcome.NOT_APPLICABLE:
                bits |= reads.applying(judged.compiled.name) | reads.meeting(judged.compiled.name)
    return bits


def _anything(vocabulary: Vocabulary, sort: str, kind: str, stated: bool) -> Subject:
    """A place of which nothing is known but its kind: all that it may have may be there, and every fact could be anything."""
    facts = {name: fact for name, fact in vocabulary.facts.items() if fact.stated and fact.aggregate is None and fact.kind != "presence"}
    known = {name: Known(fact.anything, CONCLUDED if fact.concluded else STATED) for name, fact in facts.items() if stated or fact.concluded}
    for thing in vocabulary.things.values():
        if thing.sort in ("job", "framing", "place") or thing.sort == sort:
            presence = THERE
        else:
            presence = NONE if thing.sort == "junction" or kind and thing.in_places and kind not in (*thing.in_places, thing.name) else MAYBE
        known[thing.name] = Known(presence, PRESUMED)
    if kind:
        known["place.kind"] = Known(1 << vocabulary.facts["place.kind"].words.index(kind), STATED, kind)
    return Subject(kind or sort, sort, kind, known)
