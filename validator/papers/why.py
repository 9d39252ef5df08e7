"""The tree of one judgement for a terminal: the outcome, the rule's own tree with its answers, then every fact and whence."""

from collections.abc import Iterator

from validator.facts.possible import CARD
from validator.facts.vocabulary import Vocabulary
from validator.judging.why import AS_TOLD, STRICT, Branch, FactTree, JudgementTree
from validator.papers.rules import source_in_words
from validator.papers.wrapping import Line, wrapped
from validator.rulebook import english

READINGS = {
    AS_TOLD: "Read as told: what nobody states is taken as usual, and says so.",
    STRICT: "Read strictly: what nobody states could be anything.",
}
MARKS = {"yes": "yes", "no": "no ", "not known": "?  "}


def why_lines(judged: JudgementTree, vocabulary: Vocabulary, width: int, reading: str) -> Iterator[Line]:
    """One judgement line by line."""
    outcome = f"{judged.outcome} ({judged.severity})" if judged.outcome == "breach" else judged.outcome
    yield from wrapped(f"{judged.rule} at {judged.at}: {outcome}", width, bold=True)
    yield from wrapped(judged.title, width)
    yield from wrapped(READINGS[reading], width)
    if judged.varies:
        yield from wrapped("What varies here was judged over each stretch; this is the worst of them.", width)
    yield from _tree("Applies when", judged.applies, width)
    yield from _tree("Requires", judged.requires, width)
    for because, branch in judged.other_ways:
        yield from _tree(f"Or else ({because.rstrip('.')})", branch, width)
    yield "Facts", True
    for fact in judged.facts:
        yield from _fact(fact, vocabulary, width, "  ")
    yield from wrapped(f"Because: {judged.because}", width)
    if judged.outcome not in ("pass", "pass, by exception", "not applicable", "nothing"):
        yield from wrapped(f"Put right: {judged.put_right}", width)
    for cited in judged.sources:
        yield from wrapped(f"Source: {source_in_words(cited)}", width)


def _tree(head: str, branch: Branch, width: int) -> Iterator[Line]:
    yield f"{head}: {branch.answer}", True
    yield from _branch(branch, width, "  ")


def _branch(branch: Branch, width: int, indent: str) -> Iterator[Line]:
    decided = "   <- decided" if branch.decided else ""
    yield from wrapped(f"{MARKS[branch.answer]} {branch.says}{decided}", width, indent)
    for member in branch.members:
        yield from _branch(member, width, indent + "    ")


def _fact(fact: FactTree, vocabulary: Vocabulary, width: int, indent: str) -> Iterator[Line]:
    where = f" at {fact.where}" if fact.where else ""
    yield from wrapped(f"{english.name_of(vocabulary, fact.fact)}: {fact.value} ({fact.origin}{where})", width, indent)
    if fact.shown_by:
        yield from wrapped(f"shown by: {'; '.join(fact.shown_by)}", width, indent + "  ")
    for step in fact.steps:
        yield from wrapped(f"= {step}", width, indent + "  ")
    for source in fact.sources:
        yield from wrapped(f"source: {source_in_words(source)}", width, indent + "  ")
    for inner in fact.facts:
        yield from _fact(inner, vocabulary, width, indent + "    ")


def judged_object(judged: JudgementTree) -> dict[str, object]:
    """One judgement for other programs; `outcome` is as `check` says it, `in_full` as it is printed here."""
    word = judged.outcome.partition(",")[0]
    by_severity = word == "breach" or word == "open" and judged.severity == "advice"
    return {
        **judged._asdict(),
        "outcome": judged.severity if by_severity else word,
        "in_full": judged.outcome,
        "facts": [_fact_object(fact) for fact in judged.facts],
        "other_ways": [{"because": because, "when": branch} for because, branch in judged.other_ways],
    }


def _fact_object(fact: FactTree) -> dict[str, object]:
    """A fact with the facts behind it; its line as `check` names it, whatever folder the assembly stands in."""
    line = f"line {fact.where.rpartition(':')[2]}" if fact.where and fact.origin != CARD else fact.where
    return {**fact._asdict(), "where": line, "facts": [_fact_object(each) for each in fact.facts]}
