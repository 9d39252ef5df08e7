"""Takes judgements, returns findings: what a report tells of each, and of several alike at once."""

from dataclasses import replace

from validator.engines.closures import NOT, POSSIBLY
from validator.engines.deciding import Judgement
from validator.engines.deriving import DerivedPlace
from validator.engines.outcomes import OPEN_OUTCOMES, Outcome
from validator.facts.subjects import Disagreement, Subject
from validator.judging.loading import LoadedBook
from validator.judging.open_items import PlacedJudgement
from validator.judging.report import SAID_TWO_WAYS, FactLine, Finding, SourceLine
from validator.rulebook.book import Book
from validator.rulebook.rule import SEVERITIES
from validator.rulebook.sources import Cited


def outcome_word(judgement: Judgement) -> str:
    """What a finding is called: pass, warn, fail, open or advice; what is no finding keeps the outcome's own name."""
    outcome = judgement.outcome
    if outcome in (Outcome.NOT_APPLICABLE, Outcome.NOTHING, Outcome.WAITS):
        return outcome
    if outcome in (Outcome.PASS, Outcome.BY_EXCEPTION):
        return "pass"
    if judgement.compiled.severity == "advice":
        return "advice"
    return "open" if outcome in OPEN_OUTCOMES else judgement.severity


def place_of(judgement: Judgement, derived: DerivedPlace) -> str:
    """The name of the place, and of the layer where one of several was judged."""
    place = derived.subject.name
    return f"{place}, {judgement.layer.name or judgement.layer.thing}" if judgement.layer is not None else place


def finding_of(placed: PlacedJudgement, loaded: LoadedBook, *, shown: bool = True) -> Finding:
    """Takes a judgement that is told, returns its finding with reasons, sources and facts; `shown`: also what shows them."""
    judgement, derived = placed.judgement, placed.derived
    rule, explainer = judgement.compiled.rule, loaded.explainer
    explanation = explainer.explain(rule, judgement.vector, derived)
    return Finding(
        rule=rule.name,
        title=rule.title,
        place=place_of(judgement, derived),
        outcome=outcome_word(judgement),
        would_be=judgement.severity if judgement.outcome in OPEN_OUTCOMES else "",
        heading=_heading(judgement, loaded),
        found=explanation.found,
        needed=explanation.needed,
        because=rule.because,
        chain=tuple(explanation.chain),
        worked_out=(*explanation.worked_out, *(f"Taken as usual: {assumed}" for assumed in explanation.assumed)),
        put_right=rule.put_right,
        sources=tuple(dict.fromkeys(source_line(cited) for cited in (*rule.cited, *explanation.cited))),
        warranty=rule.warranty,
        facts=tuple(
            FactLine(
                fact=fact, value=value, origin=origin, where=where,
                shown_by=explainer.shown_by(fact, judgement.vector, derived, judgement.layer) if shown else (),
            )
            for fact, value, origin, where in explanation.facts
        ),
        asks=placed.asks,
        presumes=tuple(
            thing for thing in derived.subject.presumed
            if any(loaded.vocabulary.fact(name).thing == thing for name in rule.facts())
        ),
        book=" and ".join(loaded.book.books_behind(rule)),
    )  # fmt: skip


def _heading(judgement: Judgement, loaded: LoadedBook) -> str:
    rule = judgement.compiled.rule
    held = [(loaded.explainer.holds(way.when, judgement.vector), way.because.rstrip(".")) for way in rule.other_ways]
    surest = max(held, default=(NOT, ""))[0]
    least = surest if judgement.outcome == Outcome.BY_EXCEPTION else POSSIBLY
    ways = "; or: ".join(because for answer, because in held if answer >= least)
    verb = "Fails" if judgement.severity == "fail" else "Warns"
    match judgement.outcome:
        case Outcome.FAILS_UNLESS:
            return f"{verb} unless it is shown: {ways}"
        case Outcome.FAILS_IF:
            return f"{verb} if it applies here"
        case Outcome.FAILS_IF_UNLESS:
            return f"{verb} if it applies here, unless it is shown: {ways}"
        case Outcome.BY_EXCEPTION:
            return f"Met another way: {ways}"
    if judgement.remembered:
        worked = judgement.remembered.replace(".", " ")
        return f"A warning and no more, because {worked} was worked out from remembered values"
    if judgement.outcome is Outcome.BREACH and judgement.softened:
        return "May be a fail, depending on which row of the schedule holds"
    return ""


def source_line(cited: Cited) -> SourceLine:
    """A cited passage as a finding tells it."""
    return SourceLine(
        title=cited.source.title, section=cited.section, edition=cited.edition, standing=cited.source.standing,
        known_by=cited.known_by, code_family=cited.source.code_family,
    )  # fmt: skip


def gravest_reading(fact: str, book: Book) -> str:
    """The greatest severity of the rules that read a fact; at least a warning."""
    return max(("warn", *(rule.severity for rule in book.rules.values() if fact in rule.facts())), key=SEVERITIES.index)


def disagreement_finding(disagreement: Disagreement, subject: Subject, book: Book) -> Finding:
    """Takes a fact that is said two ways, returns an open finding as grave as the gravest rule that reads the fact."""
    fact = disagreement.fact
    said = "; ".join(f"{who}: {what}" for who, what in disagreement.said)
    return Finding(
        rule=SAID_TWO_WAYS,
        title="What is written agrees with itself",
        place=disagreement.place,
        outcome="open",
        would_be=gravest_reading(fact, book),
        heading="Two things are said of one fact, and both cannot be so",
        found=f"{fact.replace('.', ' ')}: {said}",
        needed="one of them",
        because="Until it is known which is so, every rule that reads this fact is judged for both.",
        put_right="Look again at the material and at what was written, and correct the one that is wrong.",
        facts=(FactLine(fact=fact, value=said, origin="said two ways", shown_by=subject.shown_by(fact)),),
        asks=(fact,),
        book=book.name,
    )


# -- findings alike -----------------------------------------------------------------------------------------------------------


def merge_alike(findings: list[Finding]) -> list[Finding]:
    """Joins findings that differ only in their place, and in what shows them there, into one that lists every place."""
    alike: dict[Finding, list[Finding]] = {}
    for finding in findings:
        shown = any(fact.shown_by for fact in finding.facts)
        facts = tuple(replace(fact, shown_by=()) for fact in finding.facts) if shown else finding.facts
        alike.setdefault(replace(finding, place="", facts=facts), []).append(finding)
    return [
        replace(f, place="; ".join(dict.fromkeys(each.place for each in same)), facts=_shown_together(same))
        for f, same in alike.items()
    ]


def _shown_together(same: list[Finding]) -> tuple[FactLine, ...]:
    """The facts of joined findings, each with what shows it; what shows it at only some of the places names them."""
    if not any(fact.shown_by for finding in same for fact in finding.facts):
        return same[0].facts
    facts = []
    for lines in zip(*(finding.facts for finding in same)):
        offered: dict[str, list[str]] = {}
        for finding, line in zip(same, lines):
            for text in line.shown_by:
                offered.setdefault(text, []).append(finding.place)
        told = tuple(text if len(at) == len(same) else f"{text} ({'; '.join(dict.fromkeys(at))})" for text, at in offered.items())
        facts.append(replace(lines[0], shown_by=told))
    return tuple(facts)
