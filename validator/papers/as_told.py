"""The verdict as told, for a terminal: what fails first, what to look at again, what to ask, what is sound, what was taken.

It is meant to be read to its end by somebody on site: at most MOST_LINES lines, told in less detail where there is more
to tell. Everything is in the full report.
"""

import textwrap
from collections.abc import Iterable, Iterator, Sequence

from validator.judging.report import AsTold, Finding, Question, Report

MOST_LINES = 40
MARGIN = 6
NARROWEST = 40
MOST_ASKED = 3
Line = tuple[str, bool]  # what is written, and whether it is bold
MANY = {1: "1 question", 0: "no question"}
# How much is told, from everything to the least: lines a finding, sound lines, usual lines, words written and not judged.
DETAILS = ((9, 4, 3, 3), (5, 3, 2, 2), (4, 2, 2, 2), (3, 2, 2, 1), (2, 1, 1, 1), (1, 1, 1, 1))


def as_told_lines(report: Report, width: int, *, notes: Sequence[str] = ()) -> list[Line]:
    """The short report line by line, wrapped to a width."""
    width = max(NARROWEST, width)
    for detail in DETAILS:
        lines = list(_lines(report, width, detail, notes))
        if len(lines) <= MOST_LINES:
            return lines
    return lines


def _lines(report: Report, width: int, detail: tuple[int, int, int, int], notes: Sequence[str]) -> Iterator[Line]:
    told = report.as_told
    per_finding, sound, usual, unread = detail
    yield report.assembly, True
    yield from _wrapped(_headline(told), width, bold=True)
    yield from _wrapped(f"Proved so far: {told.proved} of {told.applying} requirements that apply.", width)
    for note in report.look_again:
        yield from _wrapped(f"Look again at {note}.", width)
    yield from _findings(told, width, per_finding)
    yield from _asked(told, width, per_finding)
    if told.sound:
        yield from _listed("SOUND", [_met(each.title, each.found, measured=each.measured) for each in told.sound], width, sound)
    yield from _listed("TAKEN", _taken(told), width, usual)
    yield from _listed("UNREAD", [f"no rule of these books reads {each}" for each in told.judged_by_nothing], width, unread)
    yield from _foot(report, width, notes)


def _headline(told: AsTold) -> str:
    """The verdict in one line: what it is as told, and what could still change it."""
    could = [each for each in told.questions if each.would_be in ("fail", "warn")]
    found = [f"{told.failed} {'fails' if told.failed == 1 else 'fail'}"] if told.failed else []
    found += [f"{told.warned} to look at again"] if told.warned else []
    open_ = [f"{len(could)} {'question' if len(could) == 1 else 'questions'} could still change this"] if could else []
    open_ += [f"{len(told.checks)} {'check' if len(told.checks) == 1 else 'checks'} while building"] if told.checks else []
    verdict = told.outcome if found or not told.could_become else f"nothing fails or warns so far; it could still {told.could_become}"
    return f"As told: {verdict}.  {'; '.join([', '.join(found), *open_] if found else open_)}."


def _findings(told: AsTold, width: int, most: int) -> Iterator[Line]:
    for finding in told.findings:
        if most > 2:
            yield "", False
        lines = list(_finding(finding, width))
        yield from lines[:most]


def _finding(finding: Finding, width: int) -> Iterator[Line]:
    """What is wrong in one sentence, with the amounts; then what puts it right, and why."""
    said = f"{finding.place}: {_lower(finding.title)}. Found: {finding.found}."
    yield from _under(finding.outcome.upper(), said, width)
    yield from _inside(f"Put right: {finding.put_right}", width)
    yield from _inside(finding.because, width)


def _asked(told: AsTold, width: int, most: int) -> Iterator[Line]:
    asked = [each for each in told.questions if each.would_be in ("fail", "warn")][:MOST_ASKED]
    if asked and most > 2:
        yield "", False
    for question in asked:
        yield from list(_question(question, width))[: max(most, 2)]


def _question(question: Question, width: int) -> Iterator[Line]:
    yield from _under("ASK", _asks(question), width)
    if question.look:
        yield from _inside(f"Look: {question.look}", width)


def _asks(question: Question) -> str:
    if question.not_mentioned:
        return f"{question.place}: nothing is said of it: {question.asks} Without it this {question.would_be}s."
    return f"{question.place}: {question.asks} {question.effect}".rstrip()


def _met(title: str, found: str, *, measured: bool) -> str:
    return found if measured else _lower(title)


def _taken(told: AsTold) -> list[str]:
    taken = [f"{each.fact.replace('.', ' ')} {each.text}" for each in told.usual]
    return list(dict.fromkeys(taken))


def _listed(word: str, texts: Iterable[str], width: int, most: int) -> Iterator[Line]:
    """Texts in a row after a word, as many as `most` lines hold; how many are left out is said."""
    texts = list(texts)
    if not texts:
        return
    for count in range(len(texts), 0, -1):
        left = f"; and {len(texts) - count} more" if count < len(texts) else ""
        lines = list(_under(word, "; ".join(texts[:count]) + left, width, bold=False))
        if len(lines) <= most or count == 1:
            yield from lines
            return


def _foot(report: Report, width: int, notes: Sequence[str]) -> Iterator[Line]:
    yield "", False
    yield from _wrapped("Cautions, sources, checks and every other question: --all.  Local code, product instructions and "
                        "licensed practice come first.", width)  # fmt: skip
    for note in notes:
        yield from _wrapped(note, width)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:] if text[1:2].islower() else text


def _under(word: str, text: str, width: int, *, bold: bool = True) -> Iterator[Line]:
    """A text after a word in the margin; the first line bold."""
    lines = textwrap.wrap(text, width - MARGIN, break_long_words=False, break_on_hyphens=False) or [""]
    yield f"{word:<{MARGIN}}{lines[0]}", bold
    for line in lines[1:]:
        yield " " * MARGIN + line, False


def _inside(text: str, width: int) -> Iterator[Line]:
    return _wrapped(text, width, " " * MARGIN)


def _wrapped(text: str, width: int, indent: str = "", *, bold: bool = False) -> Iterator[Line]:
    for line in textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=indent, break_long_words=False,
                              break_on_hyphens=False):  # fmt: skip
        yield line, bold
