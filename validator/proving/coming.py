"""What a case comes to: the place that it describes, judged by its rule, in the words an author expects."""

from weakref import WeakKeyDictionary

from validator.engines.deciding import CompiledRule, Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.judging.loading import LoadedBook
from validator.proving.case_subjects import subject_of_case
from validator.rulebook.rule import Case


def expected_word(judgement: Judgement) -> str:
    """What a case's author would call an outcome."""
    outcome = judgement.outcome
    if outcome is Outcome.BREACH:
        return judgement.severity
    if outcome is Outcome.WAITS:
        return "waits"
    if outcome in OPEN_OUTCOMES:
        return "open"
    return "pass" if outcome is Outcome.BY_EXCEPTION else str(outcome)


_derived: WeakKeyDictionary[LoadedBook, dict[object, DerivedPlace]] = WeakKeyDictionary()


def derive_case(loaded: LoadedBook, compiled: CompiledRule, case: Case) -> DerivedPlace:
    """The place a case describes, with everything that follows. A case that a book holds is worked out once for all its proofs."""
    kept = _derived.setdefault(loaded, {}) if case.name else {}
    said = (compiled.sort, frozenset(case.facts.items()))
    if said not in kept:
        kept[said] = loaded.engine.derive(subject_of_case(case.facts, compiled.sort, loaded.vocabulary, case.name, case.where))
    return kept[said]
