"""Says of every finding and every question of a report which thing on the drawing it is about.

The drawing's balloons, the page, the card and the review sheet all speak by the report's own numbers: `D` a deviation, `R` a
request; advice, which the report does not number, is counted from `N1`.
"""

from collections import Counter
from typing import NamedTuple

from validator.judging.loading import LoadedBook
from validator.judging.numbers import places_of
from validator.judging.report import Finding, OpenItem, Report
from validator.papers import words
from validator.rulebook.conditions import facts_read

LOUD = ("fail", "warn")


class Mark(NamedTuple):
    """One number: what it is keyed to, where it holds, and the things it is about, the likeliest first."""

    number: str
    outcome: str  # fail, warn, note or open
    places: tuple[str, ...]
    things: tuple[str, ...]
    finding: Finding | None = None
    question: OpenItem | None = None
    again: int = 0  # how many marks before it have the same number: one matter may stand in several lines

    @property
    def anchor(self) -> str:
        """The end of the link to it."""
        return f"{self.number}-{self.again + 1}" if self.again else self.number

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
    notes = 0
    for finding in report.findings:
        if is_told(finding):
            outcome = words.NOTE if finding.outcome == "advice" else finding.outcome
            notes += outcome == words.NOTE
            marks.append(Mark(finding.number or f"N{notes}", outcome, places_of(finding.place), _things(finding, loaded), finding))
    for item in report.open_items:
        thing = item.fact.partition(".")[0]
        marks.append(Mark(item.number, "open", places_of(item.place), (thing,), None, item))
    turns: Counter[str] = Counter()
    for at, mark in enumerate(marks):
        marks[at] = mark._replace(again=turns[mark.number])
        turns[mark.number] += 1
    return tuple(marks)


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
