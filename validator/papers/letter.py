"""The clerk's letter: one request for everything a warranty document asks and the papers do not show, in plain words.

It refuses nothing and sets no deadline: whoever signs it fills in the blanks. What hangs on one maker, on a named
service or on a trained eye is for a person on our side, so nothing is asked for it.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.papers import words
from validator.papers.wrapping import Line, headed, wrapped
from validator.warranty.report import Ask, ConditionLine, Standing, WarrantyReport

MISSING = (Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE)
IN = "   "
DEEPER = "     "


class Told(NamedTuple):
    """What whoever gets the letter is asked to tell at one look; the heading is empty where it is not about the work."""

    of: str
    questions: tuple[str, ...]


class Asked(NamedTuple):
    """One thing that is missing. `again` are the numbers of earlier ones whose questions settle this one too."""

    number: int
    needs: str
    clause: str
    why: str
    terms: tuple[str, ...]  # empty where every term asks it
    read: str
    tell: tuple[Told, ...]
    again: tuple[int, ...]
    would_do: tuple[str, ...]
    is_not_met: bool


class Letter(NamedTuple):
    """One request for one case. `here` is what a person on our side looks at."""

    assembly: str
    document: str
    revision: str
    asked: tuple[Asked, ...]
    here: tuple[tuple[str, str], ...]  # what is needed, and its clause


def letter_of(report: WarrantyReport) -> Letter:
    """Everything missing under any term, each thing and each question once."""
    terms: dict[ConditionLine, list[str]] = {condition: [] for condition in report.every_term}
    for term in report.terms:
        for condition in term.conditions:
            if condition.kind:  # what an earlier term asks is asked there
                terms.setdefault(condition, []).append(term.term)
    missing = [(condition, names) for condition, names in terms.items() if condition.standing in MISSING]
    asked: list[Asked] = []
    first: dict[str, int] = {}
    for number, (condition, names) in enumerate(missing, 1):
        asked.append(_asked(number, condition, names, first))
        for ask in condition.asks:
            first.setdefault(ask.says, number)
    here = tuple((condition.needs, condition.clause) for condition in terms if condition.standing is Standing.PERSON)
    return Letter(report.assembly, report.document.title, report.document.revision, tuple(asked), here)


def _asked(number: int, condition: ConditionLine, terms: list[str], first: dict[str, int]) -> Asked:
    """What is only not stated is told by its questions; what was stated and does not do is told back."""
    again = tuple(sorted({first[ask.says] for ask in condition.asks if ask.says in first}))
    return Asked(
        number=number,
        needs=condition.needs,
        clause=condition.clause,
        why=words.WHY_ASKED[condition.kind],
        terms=tuple(terms),
        read="" if condition.facts else condition.reason,
        tell=_told([ask for ask in condition.asks if ask.says not in first]),
        again=again,
        would_do=condition.shown_by or (words.WOULD_DO[condition.kind],),
        is_not_met=condition.standing is Standing.NOT_MET,
    )


def _told(asks: list[Ask]) -> tuple[Told, ...]:
    """Questions under what is looked at together."""
    grouped: dict[tuple[str, ...], list[str]] = {}
    for ask in asks:
        grouped.setdefault(ask.of, []).append(ask.says)
    return tuple(Told(headed(of) if of else "", tuple(questions)) for of, questions in grouped.items())


def letter_lines(letter: Letter, width: int) -> Iterator[Line]:
    """The letter as text, with blanks to fill in by hand."""
    said = words.LETTER
    yield from wrapped(said["title"].format(letter.assembly), width, bold=True)
    yield "", False
    yield from blanks(words.LETTER_HEAD)
    yield "", False
    yield from wrapped(said["about"].format(letter.document, letter.revision), width)
    yield "", False
    yield from wrapped(said["nothing_refused"] if letter.asked else said["nothing_missing"], width)
    if letter.asked:
        yield "", False
        yield from blanks((words.LETTER_BY,))
    for asked in letter.asked:
        yield "", False
        yield from _item(asked, width)
    if letter.asked:
        yield "", False
        yield from wrapped(said["instead"], width)
    if letter.here:
        yield "", False
        yield from wrapped(f"{said['here']}. {said['no_need']}", width, bold=True)
        for needs, clause in letter.here:
            yield from wrapped(f"- {needs}{clause and said['clause'].format(clause)}", width, IN)
    yield "", False
    yield from blanks(words.LETTER_FOOT)
    yield "", False
    yield from wrapped(said["footer"], width)
    yield from wrapped(said["draft"], width)


def _item(asked: Asked, width: int) -> Iterator[Line]:
    said = words.LETTER
    clause = asked.clause and said["clause"].format(asked.clause)
    yield from wrapped(f"{asked.number}. {asked.needs}{clause}", width, bold=True)
    yield from wrapped(said["why"].format(asked.why), width, IN)
    if asked.terms:
        yield from wrapped(said["for"].format("; ".join(asked.terms)), width, IN)
    if asked.read:
        yield from wrapped(said["read"].format(asked.read), width, IN)
    if asked.is_not_met:
        yield from wrapped(said["otherwise"], width, IN)
    if asked.tell:
        yield f"{IN}{said['tell']}", False
    for told in asked.tell:
        yield from wrapped(told.of, width, DEEPER)
        for question in told.questions:
            yield from wrapped(f"- {question}", width, DEEPER)
    if asked.again:
        yield from wrapped(said["again"].format(", ".join(str(number) for number in asked.again)), width, IN)
    for text in asked.would_do:
        yield from wrapped(said["would_do"].format(text), width, IN)


def blanks(titles: tuple[str, ...]) -> Iterator[Line]:
    """A line to fill in by hand for each."""
    for title in titles:
        yield f"{title}: {words.BLANK}", False


def letters_page(letters: list[Letter]) -> str:
    """The letters as HTML, one after another."""
    from validator.papers.page import rendered

    return rendered("letter.html", letters=letters, title=words.LETTER["title"].format(letters[0].assembly))
