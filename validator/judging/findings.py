"""Findings that are alike at several places are told once, with every place, as one would on site."""

from dataclasses import replace

from validator.judging.report import FactLine, Finding


def merged(findings: list[Finding]) -> list[Finding]:
    """Findings that differ only in their place, and in what shows them there, told once with every place."""
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
    """The facts of findings told once, each with what shows it; what shows it at some of the places only names them."""
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
