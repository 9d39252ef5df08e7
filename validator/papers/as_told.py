"""The verdict as told, for a terminal: what fails first, what to look at again, what to ask, what is sound, what was taken.

It is meant to be read to its end by somebody on site: at most MOST_LINES lines, told in less detail where there is more
to tell. Everything is in the full report.
"""

import re
import textwrap
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from validator.judging.report import DEFERENCE, AsTold, Check, Finding, OpenQuestion, Report, SoundLine
from validator.papers.report import report_lines
from validator.papers.tape import in_one_system, on_a_tape

MOST_LINES = 40
MARGIN = 6
MOST_ASKED = 3
NARROWEST = 40
Line = tuple[str, bool]  # what is written, and whether it is bold
COUNTED = ("fail", "warn")
TOO_LATE = "It can no longer be seen: a photograph, a note, or whoever built it."
LONGEST_LIMIT = 40


class Detail(NamedTuple):
    """How much is told: lines for a finding, questions, and lines for what is sound, taken as usual, and not judged."""

    finding: int
    asked: int
    sound: int
    usual: int
    unread: int


EVERYTHING = Detail(99, 999, 99, 0, 99)
# What puts a failure right is told before all that is only good to know.
DETAILS = (
    Detail(9, MOST_ASKED, 3, 3, 3), Detail(5, MOST_ASKED, 3, 2, 2), Detail(5, MOST_ASKED, 2, 1, 1), Detail(4, MOST_ASKED, 3, 2, 2),
    Detail(4, MOST_ASKED, 2, 1, 1), Detail(4, MOST_ASKED, 1, 1, 1), Detail(4, 2, 1, 1, 1), Detail(3, 2, 1, 1, 1), Detail(2, 2, 1, 1, 1),
    Detail(1, 1, 1, 1, 1),
)  # fmt: skip
Whole = dict[int, int]  # how many paragraphs after its sentence are told whole of a finding, by its number
NOTHING_WHOLE: Whole = {}
MOST_LINES_NAMED = 8
APART = 4  # lines for a finding above which there is a blank line between them


def as_told_lines(report: Report, width: int, *, notes: Sequence[str] = ()) -> list[Line]:
    """The short report line by line, wrapped to a width: told in less detail until it fits. What room is left goes to what puts
    each finding right, the gravest first, and then to why.
    """
    width = max(NARROWEST, width)

    def told(detail: Detail, whole: Whole = NOTHING_WHOLE) -> list[Line]:
        return [*_head(report, width), *_body(report, width, detail, whole), *_foot(report, width, notes)]

    for detail in DETAILS:
        lines = told(detail)
        if len(lines) <= MOST_LINES:
            break
    whole = NOTHING_WHOLE
    for paragraphs in (1, 2):
        for number in range(len(report.as_told.findings)):
            fuller = told(detail, whole | {number: paragraphs})
            if len(lines) < len(fuller) <= MOST_LINES:
                lines, whole = fuller, whole | {number: paragraphs}
    return lines


def everything_lines(report: Report, width: int, *, notes: Sequence[str] = ()) -> Iterator[Line]:
    """The whole: every finding, question and check as told, and then all that the strict reading says."""
    told = report.as_told
    yield from _head(report, width)
    yield from _body(report, width, EVERYTHING)
    if told.checks:
        yield "", False
        yield from _wrapped("To check before it is hidden, and papers to keep", width, bold=True)
        for check in told.checks:
            yield from _wrapped(f"- {check.place}: {check.title}. {_when(check)}".rstrip(), width, "  ", first="")
    if told.usual:
        yield "", False
        yield from _wrapped("Taken as usual, and why", width, bold=True)
        for taken in told.usual:
            yield from _wrapped(f"- {taken.place}: {_name(taken.fact)} {taken.text}. {taken.because}", width, "  ", first="")
    yield "", False
    yield from _wrapped("Strictly, by what was stated alone", width, bold=True)
    yield from report_lines(report, width, show_passes=True, notes=tuple(notes))


def _when(check: Check) -> str:
    if check.too_late:
        return TOO_LATE
    if check.paper:
        return "Keep the paper."
    return {"always": "", "never afterwards": "Only while it is done."}.get(check.before, f"Before: {check.before}.")


def _head(report: Report, width: int) -> Iterator[Line]:
    told = report.as_told
    yield from _wrapped(report.assembly, width, bold=True)
    yield from _wrapped(verdict_line(told), width, bold=True)
    yield from _wrapped(f"Proved so far: {told.proved} of {told.applying} requirements that apply.", width)
    if told.unread_lines:
        yield from _wrapped(unread_line(told), width, bold=True)
    for line in report.outside:
        yield from _wrapped(f"Outside this book: {line.text}", width, bold=True)
    for note in report.look_again:
        yield from _wrapped(f"Look again at {note}.", width)


def _body(report: Report, width: int, detail: Detail, whole: Whole = NOTHING_WHOLE) -> Iterator[Line]:
    told = report.as_told
    yield from _findings(report, width, detail.finding, whole)
    yield from _asked(told, width, detail)
    yield from _row("SOUND", map(_met, told.sound), len(told.sound), width, detail.sound)
    taken = _taken(told)
    yield from _row("TAKEN", taken, len(taken), width, detail.usual, after="as usual: ")
    yield from _row("WRITTEN", told.judged_by_nothing, len(told.judged_by_nothing), width, detail.unread, after="and judged by nothing: ")


def _lines_named(lines: Iterable[int]) -> str:
    """`line 7`, `lines 2, 7 and 3 more`."""
    numbers = [str(each) for each in sorted(lines)]
    more = f" and {len(numbers) - MOST_LINES_NAMED} more" if len(numbers) > MOST_LINES_NAMED else ""
    return f"{'line' if len(numbers) == 1 else 'lines'} {', '.join(numbers[:MOST_LINES_NAMED])}{more}"


def in_part_named(name: str, lines: Sequence[int]) -> str:
    """The name at the head of a paper that is made of what could be read."""
    return f"{name} (by what could be read: {_lines_named(lines)} {'is' if len(lines) == 1 else 'are'} not judged)".lstrip()


def unread_line(told: AsTold) -> str:
    """Which lines of the file could not be read, in a sentence."""
    named = _lines_named(told.unread_lines)
    return f"{named[:1].upper()}{named[1:]} could not be read, as said apart, and nothing there is judged; mend what is named and check again."


def verdict_line(told: AsTold) -> str:
    """The verdict in one line: what it is as told, and what could still change it."""
    could = sum(each.would_be in COUNTED for each in told.questions)
    said = [f"{told.failed} {'fails' if told.failed == 1 else 'fail'}"] if told.failed else []
    said += [f"{told.warned} to look at again"] if told.warned else []
    decide = 0 if said or not told.could_become else told.deciding
    open_ = [f"{_many(decide, 'question')} {'decides' if decide == 1 else 'decide'} it"] if decide else []
    open_ += [f"{could - decide} more could change it" if decide else f"{_many(could, 'question')} could still change this"] if could > decide else []
    open_ += [f"{_many(len(told.checks), 'check')} while building"] if told.checks else []
    if said or not told.could_become:
        verdict = f"{told.outcome}."
    elif told.unread_lines:
        verdict = "nothing fails or warns so far; what was not read could."
    elif decide:
        verdict = "not to be said yet."
    else:
        verdict = "no fault found in what is told."
    rest = "; ".join([", ".join(said), *open_] if said else open_)
    as_told = "As told, by what could be read" if told.unread_lines else "As told"
    return f"{as_told}: {verdict}  {rest}.".replace("  .", "")


def _many(count: int, word: str) -> str:
    return f"{count} {word}" if count == 1 else f"{count} {word}s"


def _findings(report: Report, width: int, most: int, whole: Whole) -> Iterator[Line]:
    for number, finding in enumerate(report.as_told.findings):
        if most > APART:
            yield "", False
        laid_on = finding.book if finding.book != report.books[0].name else ""
        yield from _finding(finding, laid_on, width, most, whole.get(number, 0))


def _finding(finding: Finding, laid_on: str, width: int, most: int, whole: int) -> Iterator[Line]:
    """What is wrong in one sentence, with the amounts; then what puts it right, and why, as the lines or the paragraphs allow.

    `laid_on`: the books that decide it, where one that is laid upon the lowest has a part in it.
    """
    said = f"{finding.number} {_at(finding.place)}: {_lower(finding.title)}. Found: {_on_a_tape(finding.found)}{_needed(finding)}."
    if laid_on:
        row = finding.needed.partition(", since ")[2]
        said += f" Decided by the book {laid_on}{f', since {row}' if row else ''}."
    further = (f"Put right: {finding.put_right}", finding.because)
    yield from _fitting(_under(finding.outcome.upper(), said, width), further[: whole or 2], width, EVERYTHING.finding if whole else most)


def _fitting(first: Iterable[Line], others: Iterable[str], width: int, most: int) -> list[Line]:
    """A first paragraph, and of each further one as many whole sentences as the lines hold: a report never stops within one."""
    lines = list(first)
    if len(lines) > most:
        last, bold = lines[most - 1]
        while len(last) > width - len(" ..."):
            last = last.rpartition(" ")[0]
        return [*lines[: most - 1], (f"{last} ...", bold)]
    for text in others:
        sentences = re.split(r"(?<=[.?!]) ", text)
        for count in range(len(sentences), 0, -1):
            told = list(_inside(" ".join(sentences[:count]), width))
            if len(lines) + len(told) <= most:
                lines += told
                break
        else:
            return lines  # why, without what puts it right, helps nobody
    return lines


def _needed(finding: Finding) -> str:
    """The limit that was missed, where it is one amount; what is longer stands in the title in plain words."""
    needed = _on_a_tape(finding.needed.partition(", since ")[0])
    name = _on_a_tape(finding.found).partition(" ")[0]
    bound = re.search(r"\b(at least|at most|more than|less than)\b.*", needed)
    one = bound is not None and needed.count(" or ") + needed.count(" and ") + needed.count(";") == 0 and needed.startswith(name)
    return f"; needed: {bound[0]}" if one and len(bound[0]) <= LONGEST_LIMIT else ""


def _on_a_tape(text: str) -> str:
    """Amounts in the unit they were written in, and as a tape shows them."""
    return on_a_tape(in_one_system(text))


def _asked(told: AsTold, width: int, detail: Detail) -> Iterator[Line]:
    asked = [each for each in told.questions if each.would_be in COUNTED] or list(told.questions)
    asked = asked[: detail.asked] if told.could_become or told.failed or told.warned else []
    if asked and detail.finding > APART:
        yield "", False
    for question in asked:
        look = (TOO_LATE,) if question.too_late else (f"Look: {question.look}",) if question.look else ()
        yield from _fitting(_under("ASK", f"{question.number} {_at(question.place)}: {_asks(question)}", width), look, width, max(detail.finding, 2))


def _at(places: str) -> str:
    """Places as a line names them: of several junctions of the same places, the places once."""
    meetings: dict[str, list[str]] = {}
    for place in places.split("; "):
        kind, _, at = place.partition(", ")
        meetings.setdefault(at or kind, []).extend([kind] if at else [])
    return "; ".join(f"{at} ({', '.join(kinds)})" if kinds else at for at, kinds in meetings.items())


def _asks(question: OpenQuestion) -> str:
    if question.not_mentioned:
        return f"it is not mentioned. {question.asks} Without it this {question.would_be}s."
    return f"{question.asks} {on_a_tape(question.effect)}".rstrip()


def _met(sound: SoundLine) -> str:
    """What is met: by its amounts where amounts were compared, else by its title."""
    return _on_a_tape(sound.found) if sound.measured and "not stated" not in sound.found else _lower(sound.title)


def _taken(told: AsTold) -> list[str]:
    return list(dict.fromkeys(f"{_name(each.fact)} {each.text}" for each in told.usual))


def _name(fact: str) -> str:
    return fact.removeprefix("place.").removeprefix("job.").replace(".", " ")


def _row(word: str, every: Iterable[str], number: int, width: int, most: int, *, after: str = "") -> Iterator[Line]:
    """Texts in a row after a word, as many as `most` lines hold; how many of their `number` are left out is said."""
    texts: list[str] = []
    room = most * width
    for text in every:
        if text in texts:
            number -= 1
            continue
        room -= len(text) + 2
        if texts and room < 0:
            break  # what lies further cannot fit, and is not even made
        texts.append(text)
    for count in range(len(texts), 0, -1):
        left = f"; and {number - count} more" if count < number else ""
        lines = list(_under(word, after + "; ".join(texts[:count]) + left, width, bold=False))
        if len(lines) <= most or count == 1:
            yield from lines
            return


def _foot(report: Report, width: int, notes: Sequence[str]) -> Iterator[Line]:
    yield "", False
    if report.as_told.cautions:
        yield from _wrapped(f"Take care: {'; '.join(report.as_told.cautions)}.", width)
    yield from _wrapped(f"{DEFERENCE}  Everything, with sources: --all.", width)
    yield from _wrapped(f"Judged by {', '.join(f'{book.name}, edition {book.edition}' for book in report.books)}.", width)
    for note in notes:
        yield from _wrapped(note, width)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:] if text[1:2].islower() or text[:2] == "A " else text


def _under(word: str, text: str, width: int, *, bold: bool = True) -> Iterator[Line]:
    """A text after a word in the margin; the first line bold."""
    lines = textwrap.wrap(text, width - max(MARGIN, len(word) + 1), break_long_words=False, break_on_hyphens=False) or [""]
    yield f"{word:<{MARGIN}}{lines[0]}" if len(word) < MARGIN else f"{word} {lines[0]}", bold
    for line in lines[1:]:
        yield " " * MARGIN + line, False


def _inside(text: str, width: int) -> Iterator[Line]:
    return _wrapped(text, width, " " * MARGIN)


def _wrapped(text: str, width: int, indent: str = "", first: str | None = None, *, bold: bool = False) -> Iterator[Line]:
    for line in textwrap.wrap(text, width, initial_indent=indent if first is None else first, subsequent_indent=indent, break_long_words=False,
                              break_on_hyphens=False):  # fmt: skip
        yield line, bold
