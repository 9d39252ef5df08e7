"""The installer's card: the steps of the work in their order, and of each what to do, buy, wait for, check and photograph."""

import re
import textwrap
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, NamedTuple

from validator.assembly import Assembly
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook
from validator.judging.report import DEFERENCE, Finding, Report
from validator.papers import words
from validator.papers.numbering import Mark, marks_of
from validator.papers.page import COUNTS, PERHAPS, rendered
from validator.papers.takeoff import bought
from validator.papers.tape import in_one_system, on_a_tape
from validator.planning.calendar import Dates, calendar_of
from validator.planning.items import USUAL_WASTE, Item
from validator.planning.steps import order_of, step_of_rule, step_of_thing
from validator.planning.takeoff import takeoff_of
from validator.rulebook.conditions import facts_read
from validator.workings import WorkingProblem

if TYPE_CHECKING:
    from validator.papers.revisions import Since

START = datetime(2000, 1, 3, 8)  # any morning, where nobody names one: the card then counts days from the start
A_PHOTOGRAPH = re.compile(r"\b(photo|picture)", re.IGNORECASE)
ON_THE_WORK = ("work", "record")
LONGEST_NEED = 48  # letters of a requirement that is short enough to stand behind its title
A_FIGURE = re.compile(r"\d")
A_LIMIT = re.compile(r"at (?:least|most) [\d][^,;:]*$")


class Wait(NamedTuple):
    """What may not begin sooner, when, and why."""

    name: str
    when: str
    because: str


class Step(NamedTuple):
    """One step of the work. `checks` are what is looked at before the next step hides it, each with its places."""

    number: int
    title: str
    waits: tuple[Wait, ...]
    do: tuple[Mark, ...]
    ask: tuple[Mark, ...]
    buy: tuple[tuple[str, str], ...]
    checks: tuple[tuple[str, str], ...]
    photographs: tuple[str, ...]


class InstallerCard(NamedTuple):
    """Everything that one installer's card says."""

    name: str
    report: Report
    cautions: tuple[str, ...]
    perhaps: tuple[str, ...]
    steps: tuple[Step, ...]
    photographed: tuple[str, ...]  # what the description names a photograph of, wherever it is
    not_counted: tuple[str, ...]
    notes: tuple[str, ...]
    past: int  # checks of steps that are over
    since: "Since | None" = None  # what became of it since the submission before

    @property
    def do(self) -> tuple[Mark, ...]:
        return tuple(mark for step in self.steps for mark in step.do)

    @property
    def ask(self) -> tuple[Mark, ...]:
        return tuple(mark for step in self.steps for mark in step.ask)

    @property
    def photographs(self) -> tuple[str, ...]:
        return tuple(said for step in self.steps for said in step.photographs)

    @property
    def head(self) -> str:
        """How much there is to put right and to find out, and at which steps."""
        if not self.do:
            return words.CARD["nothing_yet"] if self.ask else words.CARD["nothing"]
        number, asked = len(self.do), len(self.ask)
        steps = [str(step.number) for step in self.steps if step.do]
        said = words.CARD["head"][number != 1].format(number, words.CARD["steps"][len(steps) != 1].format(listed(steps)))
        return f"{said} {words.CARD['head_ask'].format(asked)}" if asked else said


def card_of(
    assembly: Assembly, report: Report, loaded: LoadedBook, start: tuple[datetime, bool] | None = None, since: "Since | None" = None,
) -> InstallerCard:  # fmt: skip
    """The card of one assembly, with dates from a start. `loaded` works everything out. Raises nothing: what no calendar can be
    made of is said on the card.
    """
    return _Maker(assembly, report, loaded, start).card()._replace(since=since)


class _Maker:
    """Sorts what a report, a buying list and a calendar say into the steps of the work."""

    def __init__(self, assembly: Assembly, report: Report, loaded: LoadedBook, start: tuple[datetime, bool] | None) -> None:
        self.assembly, self.report, self.loaded, self.start = assembly, report, loaded, start
        derived = [(subject, loaded.engine.derive(subject).vector) for subject in assembly.subjects]
        self.order = order_of([vector for subject, vector in derived if subject.sort == "place"], loaded)
        self.found = [(subject, vector) for subject, vector in derived if subject.sort != "job"]

    def card(self) -> InstallerCard:
        """Everything, step by step; a step of which nothing is said is left out."""
        report, loaded = self.report, self.loaded
        items = takeoff_of(self.assembly, loaded, USUAL_WASTE)
        dates, notes = self._dates()
        marks = {step: ([], []) for step in self.order}
        for mark in marks_of(report, loaded):
            if mark.finding is not None and mark.outcome != "open":
                marks[self._of_mark(mark)][0].append(mark)
            elif mark.outcome == "open" and (mark.question is None or mark.question.would_be in COUNTS):
                marks[self._of_mark(mark)][1].append(mark)
        checks, photographs, photographed = self._checks(), *self._photographs()
        made = []
        for step in self.order:
            waits = tuple(each for name, each in dates if name == step)
            buy = tuple((item.name, bought(item)) for item in items if item.parts and item.step == step)
            parts = (waits, tuple(marks[step][0]), tuple(marks[step][1]), buy, checks.get(step, ()), photographs.get(step, ()))
            if any(parts):
                made.append(Step(len(made) + 1, words.STEPS[step], *parts))
        return InstallerCard(
            name=report.assembly,
            report=report,
            cautions=tuple(c for c in report.cautions if not c.startswith(PERHAPS) and c != DEFERENCE),
            perhaps=tuple(c.removeprefix(PERHAPS) for c in report.cautions if c.startswith(PERHAPS)),
            steps=tuple(made),
            photographed=photographed,
            not_counted=tuple(f"{item.name}: {_lacks(item)}" for item in items if item.missing),
            notes=notes,
            past=sum(check.too_late for check in report.as_told.checks),
        )

    def _of_mark(self, mark: Mark) -> str:
        if mark.finding is not None:
            return self._known(step_of_rule(mark.finding.rule, self.loaded))
        rules = [step_of_rule(rule, self.loaded) for rule in mark.question.rules]
        return min(map(self._known, rules), key=self.order.index, default=self.order[0])

    def _known(self, step: str) -> str:
        return step if step in self.order else self.order[0]

    def _dates(self) -> tuple[list[tuple[str, Wait]], tuple[str, ...]]:
        """The earliest of each stage with its step: the day where a start is named, else counted from it."""
        try:
            dates = calendar_of(self.assembly, self.loaded, self.start or (START, True))
        except WorkingProblem as problem:
            return [], (str(problem),)
        return [(day.step, Wait(day.name, self._when(day, dates), _sentence(day.because) if day.earliest > dates.begins else "")) for day in dates.days], dates.assumed

    def _when(self, day, dates: Dates) -> str:
        said = f"{day.earliest:%a %Y-%m-%d %H:%M}" if self.start else _after(day.earliest - dates.begins)
        return f"{words.NOT_BEFORE if day.at_least else ''}{said}"

    def _checks(self) -> dict[str, tuple[tuple[str, str], ...]]:
        """What hangs on how the work is done, at every place of it once: what is still to be seen, and what is written of it."""
        by_step: dict[str, dict[str, list[str]]] = {}
        for check in self.report.as_told.checks:
            if not check.too_late:
                by_step.setdefault(step_of_rule(check.rule, self.loaded), {}).setdefault(check.title, []).append(check.place)
        for finding in self.report.findings:
            if finding.outcome in ("pass", *COUNTS) and self._on_the_work(finding.rule):
                title = f"{finding.title}{_short_need(finding)}"
                by_step.setdefault(step_of_rule(finding.rule, self.loaded), {}).setdefault(title, []).append(finding.place)
        every = {subject.name for subject, _ in self.found if subject.sort == "place"}
        return {
            step: tuple((title, _places(places, every)) for title, places in by_title.items()) for step, by_title in by_step.items()
        }

    def _on_the_work(self, name: str) -> bool:
        rule = self.loaded.book.rules.get(name)
        facts = map(self.loaded.vocabulary.fact, facts_read(rule.requires)) if rule is not None else ()
        return any(fact.known_from in ON_THE_WORK and fact.stated for fact in facts)

    def _photographs(self) -> tuple[dict[str, tuple[str, ...]], tuple[str, ...]]:
        """What is there, will be hidden and is worth a photograph, by step; and that of which one is named wherever it is."""
        slot = self.loaded.vocabulary.slots
        asked: dict[str, list[str]] = {self.order[0]: [*words.ALWAYS_PHOTOGRAPHED]}
        named: list[str] = []
        for thing, said in words.PHOTOGRAPHS:
            there = [subject.shown_by(thing) for subject, vector in self.found if thing in slot and vector[slot[thing]] == THERE]
            taken = [[text for text in texts if A_PHOTOGRAPH.search(text)] for texts in there]
            if taken and all(taken):
                named.append(f"{said}: {'; '.join(dict.fromkeys(text for texts in taken for text in texts))}")
            elif taken:
                asked.setdefault(step_of_thing(thing), []).append(said)
        return {step: tuple(said) for step, said in asked.items()}, tuple(named)


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}."


def listed(names: list[str]) -> str:
    """`2, 3 and 7`."""
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)


def _short_need(finding: Finding) -> str:
    """The figure that is needed, where the title has none and it is short."""
    need = on_a_tape(in_one_system(finding.needed))
    limit = A_LIMIT.search(need)
    return f" ({limit[0]})" if limit and len(need) <= LONGEST_NEED and not A_FIGURE.search(finding.title) else ""


def _places(places: Iterable[str], every: set[str]) -> str:
    """Where it is looked at: a junction by its kind, all places together in a word, many counted."""
    named = dict.fromkeys(name for text in places for name in text.split("; "))
    if len(every) > 1 and every <= set(named):
        return words.CARD["everywhere"]
    return "; ".join(dict.fromkeys(name.partition(", ")[0] if name not in every else name for name in named))


def _lacks(item: Item) -> str:
    """What an item lacks, with the places that lack it alike."""
    by_lack: dict[str, list[str]] = {}
    for text in item.missing:
        where, _, lack = text.partition(": ")
        by_lack.setdefault(lack, []).append(where.partition(", ")[0])
    return "; ".join(f"{lack} ({', '.join(dict.fromkeys(where))})" for lack, where in by_lack.items())


def _after(wait: timedelta) -> str:
    if not wait:
        return words.AT_THE_START
    days, hours = divmod(int(wait.total_seconds() // 3600), 24)
    return words.AFTER.format(
        " ".join([*([words.DAYS[days != 1].format(days)] if days else []), *([f"{hours} h"] if hours else [])])
    )


def card_page(cards: list[InstallerCard], *, date: str = "") -> str:
    """The card as one narrow page of HTML, which prints on a sheet."""
    return rendered("card.html", cards=cards, date=date, title=words.CARD["title"].format(cards[0].name), past=_past)


def _past(card: InstallerCard) -> str:
    return words.CARD["past"][card.past != 1].format(card.past) if card.past else ""


def card_lines(card: InstallerCard, width: int) -> Iterator[str]:
    """The card as text, for a message to a telephone."""
    yield from _wrapped(card.name, width)
    yield from _wrapped(card.head, width)
    if card.since is not None:
        yield from _list(card.since.short, (f"{places}: {said}" for places, said in card.since.changes), width)
        yield from _list(words.SINCE["closed"], card.since.closed, width)
    yield from _list(words.PAGE["outside"], (line.text for line in card.report.outside), width)
    yield from _list(words.CARD["cautions"], card.cautions, width)
    for step in card.steps:
        yield ""
        yield from _wrapped(f"{step.number}. {step.title}".upper(), width)
        yield from _part("wait", (f"{wait.name}: {wait.when}. {wait.because}".strip() for wait in step.waits), width)
        yield from _part("do", (_new(mark, card.since) + _to_do(mark) for mark in step.do), width, "! ")
        yield from _part("ask", (_new(mark, card.since) + _asked(mark) for mark in step.ask), width, "? ")
        yield from _part("buy", (f"{name}: {said}" for name, said in step.buy), width, "[ ] ")
        yield from _part("check", (f"{looked_at}: {places}" for looked_at, places in step.checks), width, "[ ] ")
        yield from _part("photograph", step.photographs, width, "[ ] ")
    yield from _list(words.CARD["photographed"], card.photographed, width)
    yield from _list(words.CARD["not_counted"], card.not_counted, width)
    yield from _list(words.CARD["perhaps"], card.perhaps, width)
    yield ""
    for text in (*card.notes, _past(card), words.CARD["usual_waste"], DEFERENCE):
        yield from _wrapped(text, width)


def _new(mark: Mark, since: "Since | None") -> str:
    """A word before what the submission before did not have."""
    return f"{words.SINCE['new']}: " if since is not None and mark.number in since.opened else ""


def _to_do(mark: Mark) -> str:
    finding = mark.finding
    return f"{finding.put_right} ({finding.place}: {finding.title}. {words.PAGE['found']}: {on_a_tape(finding.found)})"


def _asked(mark: Mark) -> str:
    """A question, or what holds only if something is so, in one line."""
    if mark.finding is not None:
        return f"{mark.finding.place}: {mark.finding.title}? {mark.finding.heading}. {mark.finding.put_right}"
    return f"{mark.question.place}: {mark.question.asks} {mark.question.where_to_look}"


def _part(name: str, lines: Iterable[str], width: int, bullet: str = "- ") -> Iterator[str]:
    """One part of a step; nothing where it has no lines."""
    lines = list(lines)
    if lines:
        yield from _wrapped(f"{words.CARD[name]}:", width)
        for said in lines:
            yield from _wrapped(said, width, bullet)


def _list(title: str, lines: Iterable[str], width: int) -> Iterator[str]:
    lines = list(lines)
    if lines:
        yield ""
        yield from _wrapped(title.upper(), width)
        for said in lines:
            yield from _wrapped(said, width, "- ")


def _wrapped(text: str, width: int, first: str = "") -> list[str]:
    return textwrap.wrap(text, width, initial_indent=first, subsequent_indent=" " * len(first), break_on_hyphens=False)
