"""The review sheet: what is not met first, then what is asked, then what was changed; what is met in an appendix by chapter.

Action words and hold points are common practice, no source. Every decision, signature and site value is a blank.
"""

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import NamedTuple

from validator.assembly import Assembly
from validator.facts.possible import CARD, STATED
from validator.judging.loading import LoadedBook
from validator.judging.numbers import CONTRADICTION
from validator.judging.report import SAID_TWO_WAYS, Finding, Report, SourceLine
from validator.judging.readings import places_read
from validator.papers import words
from validator.papers.drawing import Drawing, drawings_of
from validator.papers.hold_points import POINTS, point_of
from validator.papers.numbering import marks_of
from validator.papers.page import COUNTS, rendered
from validator.papers.revisions import changed, in_short, standing_of
from validator.papers.tape import on_a_tape
from validator.rulebook.conditions import facts_read
from validator.submittals.register import Register, Revision
from validator.submittals.sections import Reference, SpecMap

CODE = "job.code family"


class Cite(NamedTuple):
    """One source that a requirement rests on: its title, then the section and edition; `note` says which code was not read."""

    title: str
    where: str
    note: str = ""

    @property
    def text(self) -> str:
        said = ", ".join(part for part in (self.title, self.where) if part)
        return f"{said}. {self.note}" if self.note else said


class Line(NamedTuple):
    """One requirement of the sheet; what was not met has a number."""

    number: str
    place: str
    requirement: str
    needed: str
    reference: Reference
    cites: tuple["Cite", ...]
    evidence: str
    found: str
    result: str
    action: str
    point: int  # of construction, counted from 1
    chapter: str
    effect: str
    put_right: str
    warranty: str
    first: str  # the revision in which it was told first

    @property
    def paragraph(self) -> str:
        """Where it stands in the specification, as far as somebody said."""
        return paragraph_of(self.reference)

    @property
    def source(self) -> str:
        """Its sources in full, for a sheet that has no list of them."""
        return "; ".join(cite.text for cite in self.cites)


class Request(NamedTuple):
    """One request for information: a question of the report, or a contradiction in what is written."""

    number: str
    place: str
    question: str
    where_to_look: str
    who: str
    would_be: str
    first: str


class Point(NamedTuple):
    """A hold point with the blanks to fill on site, and the deviations that it would uncover."""

    number: int
    title: str
    blanks: tuple[str, ...]
    deviations: str


class Met(NamedTuple):
    """One requirement of the appendix with all places of it: what was found there, and what shows it."""

    line: Line
    found: tuple[tuple[str, str, str], ...]  # places, found, evidence
    reference: str  # its own section, paragraph and drawing; empty where they are the chapter's


class Chapter(NamedTuple):
    """Requirements of one chapter of the book."""

    title: str
    reference: Reference
    lines: tuple[Line, ...]

    @property
    def heading(self) -> str:
        """The chapter, and the hold point at which it is looked at."""
        return f"{self.title}, {words.REVIEW['point'].format(self.lines[0].point)}"

    @property
    def stands(self) -> str:
        """Where the chapter stands in the project's papers."""
        return in_full(self.reference)

    @property
    def met(self) -> tuple[Met, ...]:
        """Its lines, a requirement told once."""
        alike: dict[tuple, list[Line]] = {}
        for line in self.lines:
            alike.setdefault((line.result, line.requirement, line.reference, line.cites), []).append(line)
        return tuple(
            Met(lines[0], tuple(_found_at(lines)), "" if lines[0].reference == self.reference else in_full(lines[0].reference))
            for lines in alike.values()
        )  # fmt: skip


class Standing(NamedTuple):
    """What became of a number of an earlier submission."""

    number: str
    place: str
    title: str
    standing: str
    first: str


class Review(NamedTuple):
    """A whole review sheet."""

    name: str
    section: str
    submittal: str
    date: str
    report: Report
    heading: tuple[tuple[str, str], ...]
    counts: tuple[tuple[int, str], ...]
    deviations: tuple[Line, ...]
    requests: tuple[Request, ...]
    since: str  # what became of it since the last submission, in a line; empty for a sheet that stands alone
    changes: tuple[tuple[str, str], ...]
    standings: tuple[Standing, ...]
    points: tuple[Point, ...]
    chapters: tuple[Chapter, ...]
    drawings: tuple[Drawing, ...]
    code: str
    closeout: tuple[str, ...]

    @property
    def lines(self) -> tuple[Line, ...]:
        """Every requirement, what is not met first."""
        return (*self.deviations, *(line for chapter in self.chapters for line in chapter.lines))

    @property
    def sources(self) -> dict[str, str]:
        """The number of each source on this sheet, by its title and what was not read for it, in the order they are first cited."""
        titles = dict.fromkeys(_in_list(cite) for line in self.lines for cite in line.cites)
        return {title: f"S{number}" for number, title in enumerate(titles, 1)}

    def cited(self, line: Line) -> str:
        """`S1 R702.3.5, 2021; S4`: the sources of a line by their numbers on this sheet."""
        numbers = self.sources
        by_title = groupby(line.cites, _in_list)
        return "; ".join(f"{numbers[title]} {' and '.join(cite.where for cite in cites if cite.where)}".strip() for title, cites in by_title)


def review_of(
    assembly: Assembly, report: Report, loaded: LoadedBook, spec: SpecMap, date: str = "", submittal: str = "",
    revision: Revision | None = None, turn: int = 1,
) -> Review:  # fmt: skip
    """The review sheet of one assembly. `revision`: the submittal so far, by whose numbers the report is told."""
    first = {entry.number: str(entry.opened) for entry in revision.register.entries} if revision is not None else {}
    families = _families(assembly, loaded)
    findings = sorted(
        (f for f in report.findings if not (f.outcome == "advice" and f.would_be) and f.rule != SAID_TWO_WAYS),
        key=lambda f: point_of(f.rule, loaded),
    )
    lines = [_line(each, loaded, spec, families, first) for each in findings]
    by_number = sorted((line for line, f in zip(lines, findings) if f.outcome in COUNTS), key=lambda line: int(line.number[1:]))
    rest = [line for line, f in zip(lines, findings) if f.outcome not in COUNTS]
    chapters = tuple(
        Chapter(chapter.replace("-", " ").capitalize(), spec.of("", chapter), tuple(line for line in rest if line.chapter == chapter))
        for chapter in dict.fromkeys(line.chapter for line in rest)
    )
    requests = _requests(report, first)
    points = tuple(
        Point(n + 1, words.HOLD_POINTS[n], words.HOLD_BLANKS[n], ", ".join(dict.fromkeys(d.number for d in by_number if d.point == n + 1)))
        for n in range(len(POINTS))
    )
    counts = tuple((sum(line.result == words.RESULTS[outcome] for line in lines), said) for outcome, said in words.REVIEW_COUNTS)
    return Review(
        name=report.assembly, section=" ".join(filter(None, spec.usual)), submittal=_submittal(submittal, revision), date=date, report=report,
        heading=_heading(report, families, spec, date, submittal, revision), counts=(*counts[:2], (len(requests), words.REVIEW["asked"]), *(each for each in counts[2:] if each[0])),
        deviations=tuple(by_number), requests=requests, since=in_short(revision) if revision is not None else "",
        changes=tuple(changed(revision.changes)) if revision is not None else (), standings=_standings(revision), points=points,
        chapters=chapters, drawings=drawings_of(assembly, loaded, [m for m in marks_of(report, loaded) if m.outcome in COUNTS], f"review{turn}"),
        code=_code(by_number + rest, findings, families), closeout=words.CLOSEOUT,
    )  # fmt: skip


# -- one line -------------------------------------------------------------------------------------------------------------------


def _line(finding: Finding, loaded: LoadedBook, spec: SpecMap, families: tuple[str, ...], first: dict[str, str]) -> Line:
    rule = loaded.book.rules.get(finding.rule)
    chapter = rule.chapter if rule is not None else ""
    needed = on_a_tape(finding.needed)
    return Line(
        number=finding.number, place=finding.place, requirement=f"{finding.title}.", needed=f"{needed[:1].upper()}{needed[1:]}." if needed else "",
        reference=spec.of(finding.rule, chapter), cites=cited(finding.sources, families), evidence=_evidence(finding, loaded),
        found=on_a_tape(finding.found), result=words.RESULTS[finding.outcome], action=words.ACTIONS[finding.outcome],
        point=point_of(finding.rule, loaded) + 1, chapter=chapter, effect=finding.because, put_right=finding.put_right,
        warranty=finding.warranty, first=first.get(finding.number, ""),
    )  # fmt: skip


def cited(sources: Sequence[SourceLine], families: tuple[str, ...]) -> tuple[Cite, ...]:
    """The sources of a finding, those of the job's own code first; where only another code's text was read, it says so."""
    own = [each for each in sources if each.code_family in families]
    other = [each for each in sources if each.code_family and each.code_family not in families] if families and not own else []
    return tuple(
        Cite(each.title, ", ".join(part for part in (each.section, each.edition) if part), _only_read(each, families) if each in other else "")
        for each in (*own, *(each for each in sources if each not in own))
    )  # fmt: skip


def _only_read(source: SourceLine, families: tuple[str, ...]) -> str:
    return words.REVIEW["only_read"].format(words.CODES[source.code_family], _codes(families))


def _in_list(cite: Cite) -> str:
    """As the sheet's list of sources names it."""
    return f"{cite.title}. {cite.note}" if cite.note else cite.title


def paragraph_of(reference: Reference) -> str:
    """`09 30 13 2.3.B`; what nobody said is a blank to fill."""
    return " ".join(part for part in (reference.section, reference.paragraph or words.PARAGRAPH_BLANK) if part)


def in_full(reference: Reference) -> str:
    """The paragraph, and the drawing where one is named or left to fill."""
    return words.REVIEW["stands"].format(paragraph_of(reference), reference.drawing or words.PARAGRAPH_BLANK)


def _found_at(lines: Iterable[Line]) -> list[tuple[str, str, str]]:
    """Places that are found alike, told together; that nothing is offered for it is the usual, and told at the head of the appendix."""
    alike: dict[tuple[str, str], list[str]] = {}
    for line in lines:
        shown = [each for each in line.evidence.split("; ") if each != words.ON_WHOSE_WORD[STATED][False]]
        alike.setdefault((line.found, "; ".join(shown)), []).append(line.place)
    return [("; ".join(places), found, evidence) for (found, evidence), places in alike.items()]


def _codes(families: tuple[str, ...]) -> str:
    return " or ".join(words.CODES[each] for each in families)


def _families(assembly: Assembly, loaded: LoadedBook) -> tuple[str, ...]:
    """The families of codes that the job may be under, as told; empty where nothing tells."""
    slot, fact = loaded.vocabulary.slots.get(CODE), loaded.vocabulary.facts.get(CODE)
    if slot is None or fact is None:
        return ()
    told = (read.told.derived.vector[slot] for read in places_read(assembly, loaded))
    known = next((value for value in told if value != fact.every_word), 0)
    return tuple(word for bit, word in enumerate(fact.words) if known >> bit & 1)


def _code(lines: Sequence[Line], findings: Sequence[Finding], families: tuple[str, ...]) -> str:
    """How many requirements rest on the text of another code than the job's own."""
    if not families:
        return words.REVIEW["no_code"]
    of_codes = [each for each in findings if any(source.code_family for source in each.sources)]
    if not of_codes:
        return words.REVIEW["uncoded"].format(_codes(families))
    elsewhere = sum(not any(source.code_family in families for source in each.sources) for each in of_codes)
    if not elsewhere:
        return words.REVIEW["own_code"].format(_codes(families))
    return words.REVIEW["other_code"].format(_codes(families), len(of_codes) - elsewhere, len(of_codes))


def _evidence(finding: Finding, loaded: LoadedBook) -> str:
    """What the submittal offers to show the facts that the line leans on, those that are required first.

    Where it offers nothing, on whose word they are; what is worked out is in the sheet of sums.
    """
    rule = loaded.book.rules.get(finding.rule)
    required = facts_read(rule.requires) if rule is not None else ()
    first = sorted(finding.facts, key=lambda fact: fact.fact not in required)
    offered = list(dict.fromkeys(text for fact in first for text in fact.shown_by))
    unshown = {fact.origin for fact in finding.facts if fact.where and not fact.shown_by}
    said = [words.ON_WHOSE_WORD[origin][bool(offered)] for origin in (CARD, STATED) if origin in unshown]
    return "; ".join((*offered, *said)) or (words.WORKED_OUT if finding.worked_out else "")


# -- the rest of the sheet ------------------------------------------------------------------------------------------------------


def _requests(report: Report, first: dict[str, str]) -> tuple[Request, ...]:
    asked = [
        Request(item.number, item.place, item.asks, item.where_to_look, ", ".join(item.answers), words.COULD[item.would_be],
                first.get(item.number, ""))
        for item in report.open_items if item.would_be in COUNTS and item.number[:1] != CONTRADICTION
    ]  # fmt: skip
    contradictions = [
        Request(f.number, f.place, f"{f.heading}. {f.found}. {words.REVIEW['which']}", "", "", words.COULD[f.would_be], first.get(f.number, ""))
        for f in report.findings if f.rule == SAID_TWO_WAYS
    ]  # fmt: skip
    return (*contradictions, *sorted(asked, key=lambda each: int(each.number[1:])))


def _standings(revision: Revision | None) -> tuple[Standing, ...]:
    """Every number of an earlier submission, closed ones too."""
    if revision is None or not revision.register.revision:
        return ()
    new = {entry.number for entry in revision.opened}
    return tuple(
        Standing(e.number, "; ".join(e.places), e.title, f"{words.REVIEW['closed'].format(e.closed)}: {standing_of(e)}" if e.closed is not None
                 else words.REVIEW["opened"] if e.number in new else standing_of(e), str(e.opened))
        for e in _in_order(revision.register)
    )  # fmt: skip


def _in_order(register: Register) -> list:
    return sorted(register.entries, key=lambda entry: (entry.number[0], int(entry.number[1:])))


def _submittal(submittal: str, revision: Revision | None) -> str:
    number = submittal or words.PARAGRAPH_BLANK
    return words.REVIEW["submittal"].format(number, revision.register.revision if revision is not None else words.PARAGRAPH_BLANK)


def _heading(
    report: Report, families: tuple[str, ...], spec: SpecMap, date: str, submittal: str, revision: Revision | None
) -> tuple[tuple[str, str], ...]:
    books = "; ".join(f"{b.name}, edition {b.edition}, fingerprint {b.fingerprint}" for b in report.books)
    said = {
        "assembly": report.assembly, "section": " ".join(filter(None, spec.usual)), "submittal": submittal,
        "revision": str(revision.register.revision) if revision is not None else "", "code": _codes(families), "date": date, "books": books,
        "report": report.fingerprint,
    }  # fmt: skip
    return (*((words.REVIEW_HEADING[key], text) for key, text in said.items()), *((title, "") for title in words.REVIEW_BLANKS))


def review_page(reviews: list[Review]) -> str:
    """The sheet as HTML."""
    return rendered("review.html", reviews=reviews, title=words.REVIEW["title"].format(reviews[0].name))
