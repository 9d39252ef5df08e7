"""Takes a case of a rule, returns it as a place: what it names is there, what it does not name is as the vocabulary says."""

from validator.facts import possible
from validator.facts.possible import CONCLUDED, PRESUMED, STATED, Known
from validator.facts.subjects import Subject
from validator.facts.vocabulary import MAYBE, NONE, THERE, Vocabulary
from validator.language.source import Where

PRESENCES = {"there": THERE, "none": NONE, "maybe": MAYBE, "not stated": MAYBE}
WHEN_NOT_WRITTEN = {"there": THERE, "ask": MAYBE, "not there": NONE}


def subject_of_case(facts: dict[str, str], sort: str, vocabulary: Vocabulary, name: str, where: Where) -> Subject:
    """A place that states just the facts of a case. Facts that are concluded may be given too."""
    known: dict[str, Known] = {}
    kinds = (facts["place.kind"],) if "place.kind" in facts else ()
    for thing in vocabulary.things.values():
        presence = WHEN_NOT_WRITTEN[thing.not_written_in(kinds)]
        if thing.sort == "junction":
            presence = THERE if sort == "junction" else NONE
        known[thing.name] = Known(presence, PRESUMED)
    for fact_name, text in facts.items():
        fact = vocabulary.fact(fact_name)
        if fact.kind == "presence":
            known[fact_name] = Known(PRESENCES[text], STATED, text, where)
            continue
        each = possible.read(fact, text, where)
        known[fact_name] = each.from_(CONCLUDED) if fact.concluded and each.origin == STATED else each
        if facts.get(fact.thing, "there") == "there" and not fact.aggregate:
            known[fact.thing] = Known(THERE, STATED, "there", where)
        for edge, span in possible.edges(fact, text).items():
            known[edge] = Known(span.value, STATED, text, where, span.unit)
    return Subject(name, sort, facts.get("place.kind", ""), known)
