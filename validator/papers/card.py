"""The installer's card: put this right, check this before covering, photograph this, buy this, wait this long."""

import re
import textwrap
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

from validator.assembly import Assembly
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.judging.report import DEFERENCE, Report
from validator.papers import words
from validator.papers.hold_points import POINTS, point_of
from validator.papers.numbering import Mark, marks_of
from validator.papers.page import COUNTS, PERHAPS, rendered
from validator.papers.takeoff import quantity
from validator.planning.calendar import calendar_of
from validator.planning.items import USUAL_WASTE
from validator.planning.takeoff import takeoff_of
from validator.workings import WorkingProblem

START = datetime(2000, 1, 3, 8)  # any morning: the card counts hours from the start
A_DAY = timedelta(days=1)
A_PHOTOGRAPH = re.compile(r"\b(photo|picture)", re.IGNORECASE)


class Check(NamedTuple):
    """What is looked at before one step hides it."""

    title: str
    lines: tuple[tuple[str, str], ...]  # what is looked at, and where


class InstallerCard(NamedTuple):
    """Everything that one installer's card says."""

    name: str
    report: Report
    cautions: tuple[str, ...]
    perhaps: tuple[str, ...]
    put_right: tuple[Mark, ...]
    ask: tuple[Mark, ...]
    checks: tuple[Check, ...]
    photographs: tuple[str, ...]
    photographed: tuple[str, ...]  # what the description names a photograph of, wherever it is
    buy: tuple[tuple[str, str], ...]
    not_counted: tuple[str, ...]
    waits: tuple[tuple[str, str, str], ...]
    wait_notes: tuple[str, ...]


def card_of(assembly: Assembly, report: Report, loaded: LoadedBook) -> InstallerCard:
    """The card of one assembly. `loaded` works everything out."""
    marks = marks_of(report, loaded)
    items = takeoff_of(assembly, loaded, USUAL_WASTE)
    waits, notes = _waits(assembly, loaded)
    photographs, photographed = _photographs(assembly, loaded)
    return InstallerCard(
        name=report.assembly,
        report=report,
        cautions=tuple(c for c in report.cautions if not c.startswith(PERHAPS) and c != DEFERENCE),
        perhaps=tuple(c.removeprefix(PERHAPS) for c in report.cautions if c.startswith(PERHAPS)),
        put_right=tuple(m for m in marks if m.finding is not None and m.outcome != "open"),
        ask=tuple(m for m in marks if m.outcome == "open" and (m.question is None or m.question.would_be in COUNTS)),
        checks=_checks(report, loaded),
        photographs=photographs,
        photographed=photographed,
        buy=tuple((item.name, quantity(item)) for item in items if item.parts),
        not_counted=tuple(f"{item.name}: {lack}" for item in items for lack in item.missing),
        waits=waits,
        wait_notes=notes,
    )


def _checks(report: Report, loaded: LoadedBook) -> tuple[Check, ...]:
    by_point: dict[int, dict[str, list[str]]] = {}
    for finding in report.findings:
        if finding.outcome in ("pass", *COUNTS):
            by_point.setdefault(point_of(finding.rule, loaded), {}).setdefault(finding.title, []).append(finding.place)
    for check in report.as_told.checks:
        by_point.setdefault(point_of(check.rule, loaded), {}).setdefault(check.title, []).append(check.place)
    return tuple(
        Check(words.HOLD_POINTS[n], tuple((title, "; ".join(places)) for title, places in by_point[n].items()))
        for n in range(len(POINTS)) if n in by_point
    )  # fmt: skip


def _photographs(assembly: Assembly, loaded: LoadedBook) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """What is there, will be hidden and is worth a photograph; and that of which one is named wherever it is."""
    found = [(subject, loaded.engine.derive(subject).vector) for subject in assembly.subjects if subject.sort != "job"]
    slot = loaded.vocabulary.slots
    asked: list[str] = []
    named: list[str] = []
    for thing, said in words.PHOTOGRAPHS:
        there = [subject.shown_by(thing) for subject, vector in found if thing in slot and vector[slot[thing]] == THERE]
        taken = [[text for text in texts if A_PHOTOGRAPH.search(text)] for texts in there]
        if taken and all(taken):
            named.append(f"{said}: {'; '.join(dict.fromkeys(text for texts in taken for text in texts))}")
        elif taken:
            asked.append(said)
    return (*asked, *words.ALWAYS_PHOTOGRAPHED), tuple(named)


def _waits(assembly: Assembly, loaded: LoadedBook) -> tuple[tuple[tuple[str, str, str], ...], tuple[str, ...]]:
    try:
        dates = calendar_of(assembly, loaded, (START, True))
    except WorkingProblem as problem:
        return (), (str(problem),)
    waits = tuple(
        (day.name, f"{words.NOT_BEFORE if day.at_least else ''}{_after(day.earliest - START)}",
         f"{day.because} ({words.KNOWN.get(day.known_by, day.known_by)})")
        for day in dates.days
    )  # fmt: skip
    return waits, tuple(dates.assumed)


def _after(wait: timedelta) -> str:
    if not wait:
        return words.AT_THE_START
    days, hours = divmod(int(wait.total_seconds() // 3600), 24)
    return words.AFTER.format(
        " ".join([*([words.DAYS[days != 1].format(days)] if days else []), *([f"{hours} h"] if hours else [])])
    )


def card_page(cards: list[InstallerCard], *, date: str = "") -> str:
    """The card as one narrow page of HTML."""
    return rendered("card.html", cards=cards, date=date, title=words.CARD["title"].format(cards[0].name))


def card_lines(card: InstallerCard, width: int) -> Iterator[str]:
    """The card as text, for a message to a telephone."""
    yield from _wrapped(card.name, width)
    yield from _list(words.PAGE["outside"], (line.text for line in card.report.outside), width)
    yield from _list(words.CARD["cautions"], card.cautions, width)
    yield from _list(
        words.CARD["put_right"],
        (f"{m.finding.place}: {m.finding.put_right} ({m.finding.title})" for m in card.put_right),
        width,
    )
    yield from _list(words.CARD["ask"], (_asked(mark) for mark in card.ask), width)
    for check in card.checks:
        yield from _list(check.title, (f"{places}: {looked_at}" for looked_at, places in check.lines), width, "[ ] ")
    yield from _list(words.CARD["photograph"], card.photographs, width, "[ ] ")
    yield from _list(words.CARD["photographed"], card.photographed, width)
    yield from _list(words.CARD["buy"], (f"{name}: {said}" for name, said in card.buy), width, "[ ] ")
    yield from _list(words.CARD["not_counted"], card.not_counted, width)
    yield from _list(words.CARD["wait"], (f"{name}: {after}. {why}" for name, after, why in card.waits), width)
    yield from _list(words.CARD["perhaps"], card.perhaps, width)
    yield ""
    yield from _wrapped(DEFERENCE, width)


def _asked(mark: Mark) -> str:
    """A question, or what holds only if something is so, in one line."""
    if mark.finding is not None:
        return f"{mark.finding.place}: {mark.finding.title}? {mark.finding.heading}. {mark.finding.put_right}"
    return f"{mark.question.place}: {mark.question.asks} {mark.question.where_to_look}"


def _list(title: str, lines, width: int, bullet: str = "- ") -> Iterator[str]:
    lines = list(lines)
    if not lines:
        return
    yield ""
    yield from _wrapped(title.upper(), width)
    for said in lines:
        yield from _wrapped(said, width, bullet)


def _wrapped(text: str, width: int, first: str = "") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=" " * len(first), break_on_hyphens=False)
