"""Proves the consequences of a book: each of their cases comes out, and their cases notice every condition that is loosened."""

from collections.abc import Iterator

from validator.engines.closures import NOT, POSSIBLY, SURELY
from validator.engines.deriving import DerivedPlace
from validator.judging.loading import LoadedBook
from validator.proving.case_subjects import subject_of_case
from validator.proving.weakening import weaker_conditions
from validator.rulebook.rule import Case, Consequence

WORDS = {SURELY: "pass", POSSIBLY: "waits", NOT: "not applicable"}


def prove_consequences(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every case of a consequence that does not come out: it follows, it does not, or it waits on a question."""
    for consequence in _of(loaded, book):
        for case in consequence.cases:
            came = WORDS[loaded.explainer.holds(consequence.when, _place(loaded, case).vector)]
            if came != case.expect:
                yield f"{case.where}: {consequence.name}, {case.name}: expected {case.expect}, came to {came}"


def unheld_consequences(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every consequence without cases, and for every loosened condition that its cases do not notice."""
    for consequence in _of(loaded, book):
        if not consequence.cases:
            yield (f"{consequence.where}: the consequence `{consequence.name}` has no cases; add `cases: {{each: [...]}}` with one that "
                   "expects pass, where it follows, and one that expects not applicable, where it does not")  # fmt: skip
            continue
        vectors = [_place(loaded, case).vector for case in consequence.cases]
        came = [loaded.explainer.holds(consequence.when, vector) for vector in vectors]
        for what, to_do, weaker in weaker_conditions(consequence.when, loaded.book):
            if [loaded.explainer.holds(weaker, vector) for vector in vectors] == came:
                yield f"{consequence.where}: the consequence `{consequence.name}`: no case notices {what}: {to_do}"


def _of(loaded: LoadedBook, book: str) -> Iterator[Consequence]:
    return (each for each in loaded.book.consequences.values() if book in ("", each.book))


def _place(loaded: LoadedBook, case: Case) -> DerivedPlace:
    sort = "junction" if any(name.startswith("junction") for name in case.facts) else "place"
    return loaded.engine.derive(subject_of_case(case.facts, sort, loaded.vocabulary, case.name, case.where))
