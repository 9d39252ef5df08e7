"""The review sheet: one line for each requirement, with what is offered, found and suggested; the reviewer decides.

Action words and hold points are common practice, no source. Every decision, signature and site value is a blank.
"""

from typing import NamedTuple

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.judging.report import Finding, OpenItem, Report
from validator.papers import words
from validator.papers.hold_points import POINTS, point_of
from validator.papers.page import COUNTS, rendered
from validator.papers.tape import on_a_tape
from validator.rulebook.conditions import facts_read


class Line(NamedTuple):
    """One requirement of the sheet."""

    number: int
    place: str
    requirement: str
    clause: str
    evidence: str
    found: str
    result: str
    action: str
    point: int  # of construction, counted from 1
    request: str  # the number of the request for information, where there is one


class Request(NamedTuple):
    """One request for information: a question of the report."""

    number: int
    place: str
    question: str
    where_to_look: str
    who: str
    would_be: str


class Deviation(NamedTuple):
    """What is surely not met, or a second look: requirement, what is proposed, why it matters."""

    line: int
    requirement: str
    found: str
    effect: str
    warranty: str


class Point(NamedTuple):
    """A hold point with the blanks to fill on site and the lines it covers."""

    number: int
    title: str
    blanks: tuple[str, ...]
    lines: tuple[int, ...]

    @property
    def span(self) -> str:
        """Its lines stand together, so their ends tell them all."""
        return words.TO.join(str(line) for line in dict.fromkeys((*self.lines[:1], *self.lines[-1:])))


class Review(NamedTuple):
    """A whole review sheet."""

    name: str
    section: str
    date: str
    report: Report
    heading: tuple[tuple[str, str], ...]
    lines: tuple[Line, ...]
    points: tuple[Point, ...]
    deviations: tuple[Deviation, ...]
    requests: tuple[Request, ...]
    closeout: tuple[str, ...]


def review_of(assembly: Assembly, report: Report, loaded: LoadedBook, section: str, date: str = "") -> Review:
    """The review sheet of one assembly for one section of a specification."""
    requests = tuple(
        Request(number, item.place, item.asks, item.where_to_look, ", ".join(item.answers), words.COULD[item.would_be])
        for number, item in enumerate(_counting(report), 1)
    )
    request_of = {rule: str(number) for number, item in enumerate(_counting(report), 1) for rule in item.rules}
    findings = sorted(
        (f for f in report.findings if not (f.outcome == "advice" and f.would_be)), key=lambda f: point_of(f.rule, loaded)
    )
    lines = tuple(
        Line(
            number, finding.place, _requirement(finding), _clause(finding, section), _evidence(finding, loaded), on_a_tape(finding.found),
            words.RESULTS[finding.outcome], words.ACTIONS[finding.outcome], point_of(finding.rule, loaded) + 1,
            request_of.get(finding.rule, "") if finding.outcome == "open" else "",
        )
        for number, finding in enumerate(findings, 1)
    )  # fmt: skip
    deviations = tuple(
        Deviation(line.number, line.requirement, on_a_tape(finding.found), finding.because, finding.warranty)
        for line, finding in zip(lines, findings)
        if finding.outcome in COUNTS
    )
    points = tuple(
        Point(n + 1, words.HOLD_POINTS[n], words.HOLD_BLANKS[n], tuple(line.number for line in lines if line.point == n + 1))
        for n in range(len(POINTS))
    )
    heading = _heading(assembly, report, loaded, section, date)
    return Review(report.assembly, section, date, report, heading, lines, points, deviations, requests, words.CLOSEOUT)


def _counting(report: Report) -> list[OpenItem]:
    return [item for item in report.open_items if item.would_be in COUNTS]


def _requirement(finding: Finding) -> str:
    needed = on_a_tape(finding.needed)
    return f"{finding.title}. {needed[:1].upper()}{needed[1:]}." if needed else f"{finding.title}."


def _clause(finding: Finding, section: str) -> str:
    """The clause of the specification is the reviewer's to fill; beside it the published sources."""
    cited = "; ".join(", ".join(part for part in (s.title, s.section, s.edition) if part) for s in finding.sources)
    return f"{section}; {cited}" if cited else section


def _evidence(finding: Finding, loaded: LoadedBook) -> str:
    """What the assembly offers to show the facts that the line leans on, those that are required first.

    Of a fact for which it offers nothing, where it is written and on whose word; what is worked out is in the workings.
    """
    rule = loaded.book.rules.get(finding.rule)
    required = facts_read(rule.requires) if rule is not None else ()
    first = sorted(finding.facts, key=lambda fact: fact.fact not in required)
    offered = dict.fromkeys(text for fact in first for text in fact.shown_by)
    said: dict[str, list[str]] = {}
    for fact in finding.facts:
        if fact.where and not fact.shown_by:
            said.setdefault(fact.origin, []).append(fact.where)
    written = [f"{origin}: {', '.join(dict.fromkeys(where))}" for origin, where in said.items()]
    return "; ".join([*(offered or [words.NONE_NAMED][: len(written)]), *written])


def _heading(assembly: Assembly, report: Report, loaded: LoadedBook, section: str, date: str) -> tuple[tuple[str, str], ...]:
    job = next(subject for subject in assembly.subjects if subject.sort == "job")
    adopted = [job.known[name].text for name in ("job.code family", "job.code edition") if name in job.known]
    books = "; ".join(f"{b.name}, edition {b.edition}, fingerprint {b.fingerprint}" for b in report.books)
    filled = (("assembly", report.assembly), ("section", section), ("books", books), ("code", " ".join(adopted)),
              ("report", report.fingerprint), ("date", date))  # fmt: skip
    return (*((words.REVIEW_HEADING[key], said) for key, said in filled), *((title, "") for title in words.REVIEW_BLANKS))


def review_page(reviews: list[Review]) -> str:
    """The sheet as HTML."""
    return rendered("review.html", reviews=reviews, title=words.REVIEW["title"].format(reviews[0].name))
