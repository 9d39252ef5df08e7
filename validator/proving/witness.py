"""Every case of a book judged again by the witness."""

from collections.abc import Iterator

from validator.engines.deciding import Judgement
from validator.engines.witness.comparing import witness_book
from validator.judging.loading import LoadedBook
from validator.proving.coming import derive_case


def witness_cases(loaded: LoadedBook, names: frozenset[str] | None = None) -> str:
    """The line that `rulebook check` prints: every case of every rule, or of those named, judged again by the witness."""
    engine = loaded.engine
    with witness_book(engine) as witness:
        verdict = witness.compare(_cases(loaded, names))
    lines = [f"{verdict.line} It was told {witness.witnessed} of {len(engine.rules)} rules."]
    if verdict.no_witness:
        lines = [verdict.line]
    lines += [f"It cannot be told {name}: {why}." for name, why in witness.declined.items()]
    return "\n".join(lines)


def _cases(loaded: LoadedBook, names: frozenset[str] | None) -> Iterator[tuple[str, Judgement]]:
    for compiled in (each for each in loaded.engine.rules if names is None or each.name in names):
        for case in compiled.rule.cases:
            yield case.name, loaded.engine.judge_rule(compiled, derive_case(loaded, compiled, case))
