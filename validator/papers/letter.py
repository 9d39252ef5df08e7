"""The clerk's letter: one request for everything a warranty document asks and the papers do not show, in plain words.

It refuses nothing and sets no deadline: whoever signs it fills in the blanks. What hangs on one maker, on a named
service or on a trained eye is for a person on our side, so nothing is asked for it.
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.papers import words
from validator.papers.wrapping import Line, headed, wrapped
from validator.warranty.law import OURS
from validator.warranty.programme import STANDARD
from validator.warranty.report import Ask, ConditionLine, Standing, WarrantyReport

MISSING = (Standing.NOT_SHOWN, Standing.NOT_MET, Standing.OUTSIDE)
IN = "   "
DEEPER = "     "


class Told(NamedTuple):
    """What whoever gets the letter is asked to tell at one look; the heading is empty where it is not about the work."""

    of: str
    questions: tuple[str, ...]


class Asked(NamedTuple):
    """One thing that is asked for. `why` is empty where an earlier one says it. `again` are the numbers of earlier ones whose questions settle this one too; `also` are what
    else in the document the same answers serve, each with its clause.
    """

    number: int
    heading: str
    needs: str
    clause: str
    why: str
    terms: tuple[str, ...]  # empty where every term asks it
    read: str
    tell: tuple[Told, ...]
    again: tuple[int, ...]
    would_do: tuple[str, ...]
    is_not_met: bool
    to_show: tuple[str, ...] = ()  # what nobody can look at any more
    also: tuple[tuple[str, str], ...] = ()


class Letter(NamedTuple):
    """One request for one case. `here` is what a person on our side looks at; `claimed` what is stated and shown by nothing;
    `taken` what is taken as usual; `later` what is not due yet.

    `case` and `to` are the number of the case and the lines of the address, where they are known.
    """

    assembly: str
    document: str
    revision: str
    asked: tuple[Asked, ...]
    here: tuple[tuple[str, str], ...]  # what is needed, and its clause
    claimed: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    later: tuple[str, ...] = ()
    case: str = ""
    to: tuple[str, ...] = ()

    @property
    def opening(self) -> str:
        """What the letter says before it asks."""
        if self.asked:
            return words.LETTER["nothing_refused"]
        if self.later:
            return words.LETTER["nothing_due"]
        return words.LETTER["only_taken" if self.taken else "only_claimed" if self.claimed else "nothing_missing"]

    @property
    def notes(self) -> tuple[str, ...]:
        """What stands beside what is asked, a sentence each: what is only claimed, what is taken as usual, what is not due yet."""
        parts = {"claimed": ", ".join(self.claimed), "taken": "; ".join(self.taken), "later": "; ".join(self.later)}
        return tuple(words.LETTER[name].format(texts) for name, texts in parts.items() if texts)

    @property
    def blanks(self) -> tuple[str, ...]:
        """What is still to be filled in at its head."""
        known = {words.LETTER_HEAD[0]: self.case, words.LETTER_HEAD[2]: self.to}
        return tuple(title for title in words.LETTER_HEAD if not known.get(title))


def letter_of(report: WarrantyReport, case: str = "", to: tuple[str, ...] = ()) -> Letter:
    """Everything missing under any term, each thing and each question once."""
    terms: dict[ConditionLine, list[str]] = {condition: [] for condition in report.every_term}
    for term in report.terms:
        for condition in term.conditions:
            if condition.kind:  # what an earlier term asks is asked there
                terms.setdefault(condition, []).append(term.term)
    asked: list[Asked] = []
    first: dict[str, int] = {}
    for condition, names in terms.items():
        if condition.standing not in MISSING or _is_later(condition):
            continue
        at = _served_by(condition, first)
        if at:
            before = asked[at - 1]
            both = dict.fromkeys((*before.terms, *names)) if before.terms else ()
            asked[at - 1] = before._replace(also=(*before.also, (condition.needs, condition.clause)), terms=tuple(both))
            continue
        asked.append(_asked(len(asked) + 1, condition, names, first))
        for ask in _of_others(condition):
            first.setdefault(ask.says, len(asked))
    here = tuple((condition.needs, condition.clause) for condition in terms if condition.standing is Standing.PERSON)
    here += tuple((ask.says, c.clause) for c in terms if c.standing in MISSING for ask in c.asks if ask.says in OURS)
    claimed, taken, later = (
        tuple(dict.fromkeys(text for each in terms for text in getattr(each, part))) for part in ("only_stated", "taken", "later")
    )
    document = report.document
    return Letter(report.assembly, document.title, document.revision, tuple(_reasons_once(asked)), here, claimed, taken, later, case, to)


def _reasons_once(asked: list[Asked]) -> Iterator[Asked]:
    """What is asked for, each reason with the first that has it."""
    said: set[str] = set()
    for each in asked:
        yield each._replace(why="") if each.why in said else each
        said.add(each.why)


def _is_later(condition: ConditionLine) -> bool:
    """Whether nothing that a condition asks is due yet."""
    return condition.standing is Standing.NOT_SHOWN and bool(condition.later) and not condition.asks and not condition.to_show


def _of_others(condition: ConditionLine) -> list[Ask]:
    """What whoever gets the letter may know."""
    return [ask for ask in condition.asks if ask.says not in OURS]


def _served_by(condition: ConditionLine, first: dict[str, int]) -> int:
    """The number of an earlier item whose answers say all that this condition asks; 0 where none does, or it tells something."""
    numbers = {first.get(ask.says, 0) for ask in _of_others(condition)}
    only_asks = condition.standing is Standing.NOT_SHOWN and bool(condition.facts)
    return numbers.pop() if only_asks and len(numbers) == 1 else 0


def _asked(number: int, condition: ConditionLine, terms: list[str], first: dict[str, int]) -> Asked:
    """What is only not stated is told by its questions; what was stated and does not do is told back.

    The work stands: of what does not do, what can still show how it was built is asked, and nothing is to be built again.
    """
    asks = _of_others(condition)
    again = tuple(sorted({first[ask.says] for ask in asks if ask.says in first}))
    is_not_met = condition.standing is Standing.NOT_MET
    usual = words.WOULD_DO[condition.kind]
    would_do = (condition.evidence or usual,) if is_not_met else condition.shown_by or (usual,)
    heading = words.LETTER["how_built"] if is_not_met else condition.evidence.rstrip(".") or words.ASKED_FOR[condition.kind]
    return Asked(
        number=number,
        heading=heading,
        needs=condition.needs,
        clause=condition.clause,
        why=words.WHY_ASKED[condition.kind],
        terms=tuple(terms),
        read="" if condition.facts or not is_not_met and condition.kind == STANDARD else condition.reason,
        tell=_told([ask for ask in asks if ask.says not in first]),
        again=again,
        would_do=tuple(text for text in would_do if text.rstrip(".") != heading),
        is_not_met=is_not_met,
        to_show=condition.to_show,
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
    if letter.case:
        yield f"{words.LETTER_HEAD[0]}: {letter.case}", False
    yield from blanks(letter.blanks)
    for at, line in enumerate(letter.to):
        yield f"{words.LETTER_HEAD[2]}: {line}" if not at else f"    {line}", False
    yield "", False
    yield from wrapped(said["about"].format(letter.document, letter.revision), width)
    yield "", False
    yield from wrapped(letter.opening, width)
    if letter.asked:
        yield "", False
        yield from blanks((words.LETTER_BY,))
    for asked in letter.asked:
        yield "", False
        yield from _item(asked, width)
    if letter.asked:
        yield "", False
        yield from wrapped(said["instead"], width)
    for sentence in letter.notes:
        yield "", False
        yield from wrapped(sentence, width)
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
    clause = asked.clause and said["for_clause"].format(asked.clause)
    yield from wrapped(f"{asked.number}. {asked.heading}{clause}", width, bold=True)
    yield from wrapped(said["says"].format(asked.needs), width, IN)
    if asked.why:
        yield from wrapped(said["why"].format(asked.why), width, IN)
    if asked.terms:
        yield from wrapped(said["for"].format("; ".join(asked.terms)), width, IN)
    if asked.read:
        yield from wrapped(said["read"].format(asked.read), width, IN)
    if asked.is_not_met:
        yield from wrapped(said["otherwise"], width, IN)
    for told in asked.tell:
        yield from wrapped(told.of, width, DEEPER)
        for question in told.questions:
            yield from wrapped(f"- {question}", width, DEEPER)
    if asked.to_show:
        yield from wrapped(said["to_show"], width, IN)
    for text in asked.to_show:
        yield from wrapped(f"- {text}", width, DEEPER)
    if asked.again:
        yield from wrapped(said["again"].format(", ".join(str(number) for number in asked.again)), width, IN)
    for text in asked.would_do:
        yield from wrapped(said["would_do"].format(text), width, IN)
    if asked.also:
        yield from wrapped(said["also"].format(also_said(asked)), width, IN)


def also_said(asked: Asked) -> str:
    """What else the same answers serve, in one line."""
    return "; ".join(f"{needs}{clause and words.LETTER['clause'].format(clause)}" for needs, clause in asked.also)


def blanks(titles: tuple[str, ...]) -> Iterator[Line]:
    """A line to fill in by hand for each."""
    for title in titles:
        yield f"{title}: {words.BLANK}", False


def letters_page(letters: list[Letter]) -> str:
    """The letters as HTML, one after another."""
    from validator.papers.page import rendered

    return rendered("letter.html", letters=letters, also_said=also_said, title=words.LETTER["title"].format(letters[0].assembly))
