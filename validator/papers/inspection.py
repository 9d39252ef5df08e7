"""The inspection sheet: what was reported, the looks in order with blanks, what is photographed and kept, and the cautions.

Readings, names and days are blanks. What is read is written into the file as the sheet says, and the causes are asked again.
"""

from collections.abc import Sequence
from typing import NamedTuple

from validator.assembly import Assembly
from validator.judging.loading import LoadedBook
from validator.papers import words
from validator.papers.causes import FIRST_REQUIREMENTS, heading, looks_for
from validator.papers.drawing import Drawing, drawings_of
from validator.papers.page import rendered
from validator.troubles.report import OPEN, Asked, Cause, Causes, LookLine, Requirement

FIRST_CAUSES = 8


class CauseBlock(NamedTuple):
    """One cause of the sheet: its number, what it is called, the requirements not met, and what is still to be written."""

    number: int
    title: str
    cause: Cause
    not_met: tuple[Requirement, ...]
    asked: tuple[Asked, ...]
    more: int


class LookRow(NamedTuple):
    """One look of the sheet, with the causes that it tells of, by number or name."""

    number: int
    look: LookLine
    tells_of: str


class Sheet(NamedTuple):
    """A whole inspection sheet."""

    found: Causes
    drawings: tuple[Drawing, ...]
    looks: tuple[tuple[str, tuple[LookRow, ...]], ...]  # by what they open
    causes: tuple[CauseBlock, ...]
    further: int
    photograph: tuple[str, ...]
    keep: tuple[str, ...]
    take_care: tuple[str, ...]


def sheet_of(assembly: Assembly, found: Causes, loaded: LoadedBook, name: str = "sheet") -> Sheet:
    """The inspection sheet of one assembly; `name` tells the drawings of several apart."""
    first = found.causes[:FIRST_CAUSES]
    rows = [LookRow(number, look, ", ".join(of)) for number, (look, of) in enumerate(looks_for(found, len(first)), 1)]
    opened = dict.fromkeys(row.look.opens for row in rows)
    built = {each.name for each in assembly.subjects if each.layers.keys() - {"framing"}}
    drawn = [each for each in drawings_of(assembly, loaded, (), name) if each.sort != "junctions" and built.intersection(each.places)]
    seen_at = {each.place for each in found.seen}
    opening = loaded.book.opening
    return Sheet(
        found=found,
        drawings=tuple([each for each in drawn if seen_at.intersection(each.places)] or drawn),
        looks=tuple((opens, tuple(row for row in rows if row.look.opens == opens)) for opens in opened),
        causes=tuple(_block(number, cause) for number, cause in enumerate(first, 1)),
        further=len(found.causes) - len(first),
        photograph=opening.get("photograph", ()),
        keep=opening.get("keep", ()),
        take_care=opening.get("take care", ()),
    )


def _block(number: int, cause: Cause) -> CauseBlock:
    shown = cause.requirements[:FIRST_REQUIREMENTS]
    asked = tuple(dict.fromkeys(each for requirement in shown for each in requirement.asks))
    return CauseBlock(
        number=number, title=heading(cause).rstrip("."), cause=cause, not_met=tuple(each for each in shown if each.standing != OPEN), asked=asked,
        more=len(cause.requirements) - len(shown),
    )  # fmt: skip


def sheets_page(sheets: Sequence[Sheet], *, date: str = "") -> str:
    """The sheets as HTML."""
    return rendered("inspection.html", sheets=sheets, date=date, title=words.INSPECTION["title"].format(sheets[0].found.assembly))
