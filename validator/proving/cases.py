"""What `rulebook check` proves of a book: every case comes to what its author expects, and the cases prove enough."""

from collections.abc import Iterable, Iterator

from validator.engines.deciding import CompiledRule
from validator.engines.outcomes import WORST_FIRST
from validator.judging.loading import LoadedBook
from validator.language.forms import listed
from validator.proving.apart import prove_apart
from validator.proving.case_subjects import subject_of_case
from validator.proving.case_to_add import case_to_add
from validator.proving.coming import derive_case, expected_word
from validator.proving.consequences import prove_consequences
from validator.proving.heard import prove_heard
from validator.proving.leftovers import prove_used
from validator.proving.showing import prove_shown
from validator.proving.weakening import lacking_cases, weakened
from validator.rulebook.rule import Case, Rule
from validator.rulebook.sources import Cited
from validator.rulebook.trees import trees_of

MOST_LINES = 40
NO_EDITION = ("current", "not known")


def _rules(loaded: LoadedBook, book: str) -> Iterator[CompiledRule]:
    return (each for each in loaded.engine.rules if book in ("", each.rule.book))


def _cases(rule: Rule, book: str) -> Iterator[Case]:
    """The cases that a book itself wrote: of its own rules, and in its folder `cases` of a rule beneath it."""
    return (case for case in rule.cases if book in ("", case.book))


def prove_cases(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every case that does not come to what its author expects. A role may be asked for by its own flag.

    `book`: only the rules of one of several books laid upon each other; likewise in all that follows.
    """
    roles = loaded.vocabulary.role_flags()
    for compiled in loaded.engine.rules:
        for case in _cases(compiled.rule, book):
            found = derive_case(loaded, compiled, case)
            judgement = loaded.engine.judge_rule(compiled, found)
            came = expected_word(judgement)
            asked = loaded.explainer.asks(compiled.rule.conditions(), judgement.vector, found)
            asked += [flag for role, flag in roles.items() if any(loaded.vocabulary.fact(n).role == role for n in asked)]
            if came != case.expect:
                waits = f", which waits on {', '.join(asked)}" if came in ("open", "waits") and asked else ""
                yield f"{case.where}: {compiled.rule.name}, {case.name}: expected {case.expect}, came to {came}{waits}"
            elif missing := [name for name in case.asks if name not in asked]:
                yield (f"{case.where}: {compiled.rule.name}, {case.name}: expected to ask {', '.join(missing)}, "
                       f"asks {', '.join(asked) or 'nothing'}")  # fmt: skip


def prove_weakenings(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every weakened comparison that no case of its rule notices."""
    for compiled in _rules(loaded, book):
        yield from unnoticed(loaded, compiled)


def unnoticed(loaded: LoadedBook, compiled: CompiledRule) -> Iterator[str]:
    """The weakenings of one rule that change the outcome of none of its cases."""
    rule: Rule = compiled.rule
    derived = [derive_case(loaded, compiled, case) for case in rule.cases]
    before = [expected_word(loaded.engine.judge_rule(compiled, found)) for found in derived]
    for weakening in weakened(rule, loaded.book):
        again = CompiledRule.of(trees_of(weakening.rule, loaded.book.fuser), weakening.rule)
        if all(
            expected_word(loaded.engine.judge_rule(again, found)) == word for found, word in zip(derived, before)
        ):
            case = case_to_add(loaded, compiled, again)
            yield f"{rule.where}: {rule.name}: no case notices {weakening.what}: {weakening.to_do}" + (f": {case}" if case else "")


def prove_complete(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every rule that lacks a compulsory case, a source, or a limit's edition."""
    for rule in (compiled.rule for compiled in _rules(loaded, book)):
        lacking = lacking_cases(rule)
        if lacking:
            yield f"{rule.where}: {rule.name}: lacks {', '.join(lacking)} among its cases"
        if not rule.cited:
            yield f"{rule.where}: {rule.name}: names no source"
        yield from (f"{rule.where}: {rule.name}: {slip}" for slip in _editions_unknown(rule.cited))
    for limit in (each for each in loaded.book.limits.values() if book in ("", each.book)):
        yield from (f"{limit.where}: {limit.name}: {slip}" for slip in _editions_unknown(limit.cited))
        for cited in limit.cited:
            if not cited.edition and cited.source.standing in ("adopted code", "consensus standard"):
                yield f"{limit.where}: {limit.name}: {cited.source.name} is named without its edition"


def _editions_unknown(cited: Iterable[Cited]) -> Iterator[str]:
    for each in cited:
        known = each.source.editions
        if known and each.edition and each.edition not in (*known, *NO_EDITION):
            yield f"the edition {each.edition} of {each.source.name} is not in the register, which has {listed(known)}; mend it, or add it there"


def prove_texts(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every text that types the value of a limit, and would lie once it changes."""
    own = {compiled.rule.name for compiled in _rules(loaded, book)}
    return (line for line in loaded.book.text_slips if line.split(": ")[1] in own)


def unconfirmed(loaded: LoadedBook, book: str = "") -> Iterator[str]:
    """A line for every rule with cases whose outcome only the program has said."""
    for rule in loaded.book.rules.values():
        waiting = [case for case in _cases(rule, book) if not case.confirmed]
        if waiting:
            lines = listed((str(case.where.line) for case in waiting), MOST_LINES)
            yield (f"{waiting[0].where}: {rule.name}: nobody has confirmed {len(waiting)} of its cases, on lines {lines}; "
                   "hold each against the source, then strike its `confirmed: no`")  # fmt: skip


def prove_columns(loaded: LoadedBook, names: frozenset[str]) -> tuple[int, list[str]]:
    """How many cases of some rules came to the same over columns, and a line for each that did not.

    Raises ImportError without Polars.
    """
    from validator.engines.columns import Columns, places_of

    columns, proved, wrong = Columns(loaded.book, loaded.engine.deriver.work), 0, []
    for sort in ("place", "junction", "job"):
        cases = [(p, case) for p in loaded.engine.rules if p.sort == sort and p.name in names for case in p.rule.cases]
        subjects = [subject_of_case(c.facts, sort, loaded.vocabulary, c.name, c.where) for _, c in cases]
        if not subjects:
            continue
        outcomes = columns.judge(places_of(loaded.engine.deriver, subjects, sort)).outcomes
        for row, (compiled, case) in enumerate(cases):
            decided = loaded.engine.judge_rule(compiled, derive_case(loaded, compiled, case)).outcome
            came = WORST_FIRST[outcomes[row, compiled.rule.name]]
            proved += came is decided
            if came is not decided:
                wrong.append(f"{case.where}: {compiled.rule.name}, {case.name}: {decided}, and over columns {came}")
    return proved, wrong


PROOFS = {
    prove_complete: "looking for what its rules lack", prove_used: "looking for what nothing uses", prove_apart: "laying its rules beside each other",
    prove_texts: "reading its texts", prove_consequences: "following its consequences",
    prove_cases: "judging its cases", prove_weakenings: "loosening its rules line by line", prove_shown: "looking for what its breaches show as",
    prove_heard: "looking for what may be stated and nothing reads",
}  # fmt: skip
"""What is proved of a book, each with what is being done meanwhile."""
