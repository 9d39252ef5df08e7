"""Numbers every finding and every question of a report, and says which thing on the drawing each is about.

The drawing's balloons, the page, the card and the review sheet all count by these numbers.
"""

from typing import NamedTuple

from validator.judging.loading import LoadedBook
from validator.judging.report import Finding, OpenItem, Report
from validator.papers import words
from validator.rulebook.conditions import facts_read

LOUD = ("fail", "warn")


class Mark(NamedTuple):
    """One number: what it is keyed to, where it holds, and the things it is about, the likeliest first."""

    number: int
    outcome: str  # fail, warn, note or open
    places: tuple[str, ...]
    things: tuple[str, ...]
    finding: Finding | None = None
    question: OpenItem | None = None

    @property
    def title(self) -> str:
        return self.finding.title if self.finding is not None else self.question.question


def is_told(finding: Finding) -> bool:
    """What is settled, and what is open under a heading of its own; the rest stands under its question."""
    if finding.outcome == "advice":
        return not finding.would_be
    return finding.outcome in LOUD or (finding.outcome == "open" and bool(finding.heading))


def marks_of(report: Report, loaded: LoadedBook) -> tuple[Mark, ...]:
    """Findings in the report's order, then questions that could count, then the rest."""
    marks: list[Mark] = []
    for finding in report.findings:
        if is_told(finding):
            outcome = words.NOTE if finding.outcome == "advice" else finding.outcome
            marks.append(Mark(len(marks) + 1, outcome, _places(finding.place), _things(finding, loaded), finding))
    for item in report.open_items:
        thing = item.fact.partition(".")[0]
        marks.append(Mark(len(marks) + 1, "open", _places(item.place), (thing,), None, item))
    return tuple(marks)


def _places(text: str) -> tuple[str, ...]:
    return tuple(text.split("; "))


def _things(finding: Finding, loaded: LoadedBook) -> tuple[str, ...]:
    """What the rule requires something of, then what else the finding leans on."""
    rule = loaded.book.rules.get(finding.rule)
    required = sorted(facts_read(rule.requires)) if rule is not None else []
    leant = [line.fact for line in finding.facts]
    ordered = [fact for fact in leant if fact in required] + leant
    return tuple(dict.fromkeys(fact.partition(".")[0] for fact in ordered))


def holds_at(mark: Mark, name: str) -> bool:
    """Whether a mark holds at a place or a junction, or at one of its layers."""
    return any(place == name or place.startswith(f"{name}, ") for place in mark.places)
