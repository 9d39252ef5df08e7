"""The page: findings by place beside the drawing, on one sheet of HTML that needs nothing else.

What a report says is laid out here; the words are in `words`, the layout in `templates`. Everything that somebody wrote
is escaped. The same input gives the same bytes: there is no clock unless a date is given.
"""

from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.judging.margins import CLOSEST, Margin, margins_of
from validator.judging.report import DEFERENCE, Finding, Report
from validator.papers import words
from validator.papers.drawing import Drawing, drawings_of
from validator.papers.drawing.svg import dark_rules, plain, short
from validator.papers.as_told import verdict_line
from validator.papers.numbering import Mark, holds_at, marks_of
from validator.papers.tape import on_a_tape

if TYPE_CHECKING:
    from validator.papers.revisions import Since
    from validator.troubles.report import Cause, Causes

TEMPLATES = Path(__file__).parent / "templates"
LONGEST_HEADING = 300  # letters
LONGEST_RUNNING = 90  # of the title on each sheet
COUNTS = ("fail", "warn")  # the worst first
MOST_ASKED = 3  # questions of a place that stand open on a screen; more are folded
PERHAPS = "If it applies: "
USUAL = "Taken as usual: "


class Group(NamedTuple):
    """What is drawn together and what was found there."""

    title: str
    drawings: tuple[Drawing, ...]
    findings: tuple[Mark, ...]
    questions: tuple[Mark, ...]

    @property
    def worst(self) -> int:
        """For the order of places: those where something fails first, then those with something to look at again."""
        return min((COUNTS.index(mark.outcome) for mark in self.findings if mark.outcome in COUNTS), default=len(COUNTS))


class Passed(NamedTuple):
    """One requirement that is met, with all places of it: places, and what was found there."""

    title: str
    found: tuple[tuple[str, str], ...]


class Part(NamedTuple):
    """One report of a page, with everything that its template shows."""

    report: Report
    verdict: str
    groups: tuple[Group, ...]
    further: tuple[Mark, ...]
    margins: tuple[Margin, ...]
    passes: tuple[Passed, ...]
    passed: int  # lines of the report that pass
    not_said: tuple[Finding, ...]
    cautions: tuple[str, ...]
    perhaps: tuple[str, ...]
    waits_on: dict[str, tuple[Finding, ...]]
    failures: tuple[Mark, ...]
    usual: tuple[str, ...]  # what was taken as usual, each once
    on_drawing: dict[str, str]  # the balloon of each mark that is drawn, by its number
    causes: "Causes | None"  # what could explain what is seen, where anything is
    since: "Since | None"  # what became of it since the submission before


def page(
    assemblies: Sequence[Assembly], reports: Sequence[Report], loaded: LoadedBook, *, date: str = "", since: "Sequence[Since | None]" = (),
) -> str:  # fmt: skip
    """The whole page of one assembly, or of its options one after another; `since` what became of each."""
    told = since or [None] * len(reports)
    parts = [
        part_of(assembly, report, loaded, f"part{turn}", each)
        for turn, (assembly, report, each) in enumerate(zip(assemblies, reports, told), 1)
    ]
    return rendered("page.html", parts_shown=parts, date=date, title=reports[0].assembly, most_asked=MOST_ASKED)


def rendered(template: str, **shown: object) -> str:
    """A template filled in; what is undefined in it is refused."""
    return _templates().get_template(template).render(words=words, **shown)


@cache
def _templates():
    from jinja2 import Environment, FileSystemLoader, StrictUndefined
    from markupsafe import Markup

    shelf = Environment(
        loader=FileSystemLoader(TEMPLATES), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda shown: shown if isinstance(shown, Markup) else plain(shown) if isinstance(shown, str) else shown,
    )  # fmt: skip
    shelf.globals["dark_drawing"] = Markup(dark_rules())
    shelf.filters["drawn"] = Markup  # drawings are made and escaped by `section`
    shelf.filters["tape"] = on_a_tape
    shelf.filters["heading"] = _heading
    shelf.filters["source"] = source_line
    shelf.filters["named"] = lambda name: short(name, LONGEST_HEADING)
    shelf.filters["running"] = lambda text: short(text, LONGEST_RUNNING)
    return shelf


# What explains a trouble is loaded where something is seen: most pages need none of it.


def _causes_of(assembly: Assembly, loaded: LoadedBook) -> "Causes":
    from validator.troubles.gathering import causes_of

    return causes_of(assembly, loaded)


def _heading(cause: "Cause") -> str:
    from validator.papers.causes import heading

    return heading(cause)


def source_line(source) -> str:
    """A source with its standing, and how it is known."""
    where = ", ".join(part for part in (source.title, source.section, source.edition) if part)
    return f"{where} ({source.standing}; {words.KNOWN.get(source.known_by, source.known_by)})"


def part_of(assembly: Assembly, report: Report, loaded: LoadedBook, name: str, since: "Since | None" = None) -> Part:
    """One report laid out by place."""
    marks = marks_of(report, loaded)
    drawings = drawings_of(assembly, loaded, marks, name, leads_to=name)
    open_by_rule: dict[str, list[Finding]] = {}
    for finding in report.findings:
        if finding.outcome == "open":
            open_by_rule.setdefault(finding.rule, []).append(finding)
    loud = [m for m in marks if m.question is None or m.question.would_be in COUNTS]
    said = [c for c in report.cautions if not c.startswith(PERHAPS)]
    return Part(
        report=report,
        verdict=words.STRICTLY.format(report.outcome) if report.outcome.startswith("at least") else verdict_line(report.as_told),
        groups=tuple(_groups(drawings, loud)),
        further=tuple(m for m in marks if m.question is not None and m.question.would_be not in COUNTS),
        margins=tuple(m for m in margins_of(assembly, loaded) if m.share < 1)[:CLOSEST],
        passes=_passed([f for f in report.findings if f.outcome == "pass"]),
        passed=sum(f.outcome == "pass" for f in report.findings),
        not_said=tuple(f for f in report.findings if f.outcome == "advice" and f.would_be),
        cautions=tuple(c for c in said if c != DEFERENCE),
        perhaps=tuple(c.removeprefix(PERHAPS) for c in report.cautions if c.startswith(PERHAPS)),
        waits_on={
            m.anchor: tuple(open_by_rule[rule][0] for rule in m.question.rules if rule in open_by_rule)
            for m in marks if m.question is not None
        },
        failures=tuple(m for m in marks if m.outcome in COUNTS),
        on_drawing={number: f"{each.name}-at-{number}" for each in reversed(drawings) for number in each.numbers},
        since=since,
        causes=_causes_of(assembly, loaded) if any(subject.observed for subject in assembly.subjects) else None,
        usual=tuple(dict.fromkeys(f"{each.fact.replace('.', ' ')} {each.text}" for each in report.as_told.usual)),
    )  # fmt: skip


def _passed(findings: Sequence[Finding]) -> tuple[Passed, ...]:
    """What is met, a requirement told once; places that are found alike together."""
    alike: dict[str, dict[str, list[str]]] = {}
    for finding in findings:
        found = f"{finding.found}. {finding.heading}" if finding.heading else finding.found
        alike.setdefault(finding.title, {}).setdefault(found, []).append(finding.place)
    return tuple(Passed(title, tuple(("; ".join(places), found) for found, places in by_found.items())) for title, by_found in alike.items())


def _groups(drawings: Sequence[Drawing], marks: Sequence[Mark]) -> list[Group]:
    """Places with failures first. A mark stands with the first drawing that shows its place; the others are told in it."""
    by_places: dict[tuple[str, ...], list[Drawing]] = {}
    for drawing in drawings:
        by_places.setdefault(drawing.places, []).append(drawing)
    left, groups = list(marks), []
    for places, shown in by_places.items():
        here = [mark for mark in left if any(holds_at(mark, place) for place in places)]
        left = [mark for mark in left if mark not in here]
        title = words.JUNCTIONS if shown[0].sort == "junctions" else "; ".join(places)
        groups.append(_group(title, shown, here))
    if left:
        groups.append(_group(words.WHOLE_JOB, (), left))
    return sorted(groups, key=lambda each: each.worst)


def _group(title: str, drawings: Sequence[Drawing], marks: Sequence[Mark]) -> Group:
    return Group(title, tuple(drawings), tuple(m for m in marks if m.finding), tuple(m for m in marks if m.question))
