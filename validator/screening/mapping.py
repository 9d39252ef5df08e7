"""The mapping file of a desk: which of its headings holds which fact, and which are nobody's business.

A registration is one row. Its places are groups of columns: each group has a name, a kind, and a heading for each fact.
"""

import re
from collections.abc import Callable
from datetime import date as Day
from pathlib import Path
from typing import NamedTuple

from validator.facts.vocabulary import Fact, Vocabulary
from validator.language.forms import Complaints, choice_of, complain, fields, pairs_of, text_of, texts_of
from validator.language.slips import nearest
from validator.language.source import BadAssembly, Complaint, Entries, Node, Text, read_file

KEYS = ("registration", "date", "date order", "as of", "programme", "letter to", "alike", "personal", "encoding", "separator", "decimal comma",
        "sheet", "heading row", "without a number", "everywhere", "places", "junctions", "job")  # fmt: skip
DATE_ORDERS = ("dmy", "mdy")  # of a date that is all figures with its year last
USUAL_ENCODING = "utf-8-sig"
SEPARATORS = {",": ",", ";": ";", "|": "|", "tab": "\t", "\t": "\t"}
FACT_KEYS = ("heading", "unit", "says")
SORTS = {"places": "place", "junctions": "junction"}


def key_of(cell: str) -> str:
    """A cell as a mapping's `says:` looks it up."""
    return " ".join(cell.split()).casefold()


class Column(NamedTuple):
    """A heading and the fact it holds. `unit` is added to a bare number; `says` gives our words for theirs.

    `date_order` is how its days are written, where it is known.
    """

    fact: str
    heading: str
    unit: str = ""
    says: tuple[tuple[str, str], ...] = ()
    date_order: str = ""


class Group(NamedTuple):
    """A place, a junction or the job, with its columns and with what is the same in every row."""

    name: str
    sort: str
    columns: tuple[Column, ...]
    fixed: tuple[tuple[str, str], ...] = ()  # fact, text


class Mapping(NamedTuple):
    """The whole mapping file. `letter_to` are headings of the address on a letter, read for that alone; `alike` those that together make two rows one registration. `as_of` is the day the table was made up, None where nobody says: no registration is later.

    `date_order` is empty where the column itself must settle it; `date_says` gives dates for what stands in its cells.
    """

    registration: str
    date: str
    date_order: str
    date_says: tuple[tuple[str, str], ...]
    as_of: Day | None
    programme: str
    letter_to: tuple[str, ...]
    alike: tuple[str, ...]
    personal: tuple[str, ...]
    encoding: str
    separator: str
    decimal_comma: str  # yes, no, or empty where nobody says
    sheet: str
    heading_row: int  # the last of them, where headings stand in two rows
    heading_rows: int
    without_a_number: str  # what is done with a row in which neither a number nor any fact stands: `ask` or `skip`
    groups: tuple[Group, ...]

    def headings(self) -> tuple[str, ...]:
        """Every heading that is read; the personal ones are not among them."""
        own = [h for h in (self.registration, self.date, self.programme, *self.letter_to, *self.alike) if h]
        return tuple(dict.fromkeys([*own, *(c.heading for group in self.groups for c in group.columns)]))

    def only(self, heading: str) -> "Mapping":
        """The mapping of a table of which one column of facts is read."""
        return self._replace(date="", programme="", letter_to=(), alike=(), groups=(Group("", "place", (Column("", heading),)),))

    def ordered(self, orders: dict[str, str]) -> "Mapping":
        """The mapping with how the days of some columns are written, by heading."""
        return self._changed(lambda column: column._replace(date_order=orders.get(column.heading, "")))

    def tidied(self, says: dict[str, dict[str, str]]) -> "Mapping":
        """The mapping with more `says:`, by heading: what somebody wrote for cells that could not be read."""
        changed = self._changed(lambda column: column._replace(says=(*column.says, *says.get(column.heading, {}).items())))
        return changed._replace(date_says=tuple(says.get(self.date, {}).items()))

    def _changed(self, change: Callable[[Column], Column]) -> "Mapping":
        return self._replace(groups=tuple(group._replace(columns=tuple(map(change, group.columns))) for group in self.groups))


def read_mapping(path: Path, vocabulary: Vocabulary) -> Mapping:
    """A mapping file with its facts checked. Raises BadAssembly with every complaint at once."""
    complaints = Complaints(BadAssembly)
    node = read_file(path, complaints)
    if node is None:
        raise BadAssembly(complaints)
    lines = fields(node, "a mapping", KEYS, ("registration",), complaints)
    date_order = choice_of(lines.get("date order"), "date order", DATE_ORDERS, complaints, "")
    reader = _Reader(vocabulary, complaints, date_order)
    everywhere, fixed = reader.facts(lines.get("everywhere"))
    groups: list[Group] = []
    for key, sort in SORTS.items():
        for name, own in pairs_of(lines.get(key), key, complaints):
            columns, values = reader.facts(own)
            groups.append(Group(name.text, sort, (*everywhere, *columns), (*fixed, *values)))
    if "job" in lines or everywhere or fixed:
        columns, values = reader.facts(lines.get("job"))
        groups.append(Group("job", "job", (*everywhere, *columns), (*fixed, *values)))
    if not groups:
        complain(complaints, node, "a mapping names no places", "places:\n  shower wall:\n    place.kind: {is: shower wall}")
    mapping = Mapping(
        _registration(lines.get("registration"), complaints),
        text_of(lines.get("date"), "date", complaints),
        date_order,
        (),
        _day(lines.get("as of"), complaints),
        text_of(lines.get("programme"), "programme", complaints),
        texts_of(lines.get("letter to"), "letter to", complaints),
        texts_of(lines.get("alike"), "alike", complaints),
        texts_of(lines.get("personal"), "personal", complaints),
        _encoding(lines.get("encoding"), complaints),
        _separator(lines.get("separator"), complaints),
        choice_of(lines.get("decimal comma"), "decimal comma", ("yes", "no"), complaints, ""),
        text_of(lines.get("sheet"), "sheet", complaints),
        *_heading_rows(lines.get("heading row"), complaints),
        choice_of(lines.get("without a number"), "without a number", ("ask", "skip"), complaints, "ask"),
        tuple(groups),
    )
    for heading in mapping.headings():
        if heading in mapping.personal:
            complain(complaints, lines["personal"], f"`{heading}` is personal and is read as well", "one or the other")
    if complaints:
        raise BadAssembly(complaints)
    return mapping


def _registration(node: Node | None, complaints: list[Complaint]) -> str:
    text = text_of(node, "registration", complaints)
    if isinstance(node, Text) and not text.strip():
        complain(complaints, node, "a mapping names the column of registration numbers", "`registration: ` and its heading")
    return text


def _encoding(node: Node | None, complaints: list[Complaint]) -> str:
    """An encoding in which a whole file of text can be written."""
    text = text_of(node, "encoding", complaints, USUAL_ENCODING)
    try:
        if "a,1\n".encode(text).decode(text) == "a,1\n":
            return text
    except (LookupError, UnicodeError, ValueError):
        pass
    complain(complaints, node, f"`encoding: {text}` is no encoding of text", "`encoding: latin-1`, `cp1252`, `utf-16`, or no such line for UTF-8")
    return USUAL_ENCODING


def _separator(node: Node | None, complaints: list[Complaint]) -> str:
    text = text_of(node, "separator", complaints, ",")
    if text not in SEPARATORS:
        complain(complaints, node, f"cells are not separated by `{text}`", "`,`, `;`, `|` or `tab`, the marks in quotes")
    return SEPARATORS.get(text, ",")


def _day(node: Node | None, complaints: list[Complaint]) -> Day | None:
    text = text_of(node, "as of", complaints)
    try:
        return Day.fromisoformat(text) if text else None
    except ValueError:
        complain(complaints, node, f"`as of: {text}` is no day", "year-month-day, as 2026-03-01")
        return None


def _heading_rows(node: Node | None, complaints: list[Complaint]) -> tuple[int, int]:
    """The last row that holds headings, and how many rows do."""
    text = text_of(node, "heading row", complaints, "1")
    if found := re.fullmatch(r"(?:([1-9][0-9]{0,2}) to )?([1-9][0-9]{0,2})", text):
        first, last = int(found[1] or found[2]), int(found[2])
        if last - first in (0, 1):
            return last, last - first + 1
    complain(complaints, node, f"`heading row: {text}` is no row", "the number of the row that holds the headings, as 3, or two rows one beneath the other, as `3 to 4`")
    return 1, 1


class _Reader(NamedTuple):
    vocabulary: Vocabulary
    complaints: list[Complaint]
    date_order: str

    def facts(self, node: Node | None) -> tuple[list[Column], list[tuple[str, str]]]:
        """The columns of a group, and the facts written once for every row as `{is: ...}`."""
        columns: list[Column] = []
        fixed: list[tuple[str, str]] = []
        for key, value in pairs_of(node, "a group of columns", self.complaints):
            fact = self._fact(key)
            if fact is None:
                continue
            if isinstance(value, Entries) and value.get("is") is not None:
                fixed.append((fact.name, text_of(value.get("is"), "is", self.complaints)))
            elif isinstance(value, Text):
                columns.append(Column(fact.name, value.text, date_order=self.date_order))
            else:
                columns.append(self._column(fact, value))
        return columns, fixed

    def _fact(self, key: Text) -> Fact | None:
        fact = self.vocabulary.fact(key.text)
        if fact is None:
            near = nearest(key.text, self.vocabulary.facts)
            complain(self.complaints, key, f"`{key.text}` is no fact of the vocabulary",
                   f"did you mean `{near}`?" if near else "a fact, as `board.thickness`")  # fmt: skip
        elif fact.aggregate or not fact.stated:
            complain(self.complaints, key, f"`{key.text}` is concluded or worked out, and nobody states it", "what it follows from")
            return None
        return fact

    def _column(self, fact: Fact, node: Node) -> Column:
        lines = fields(node, f"the column of {fact.name}", FACT_KEYS, ("heading",), self.complaints)
        said = tuple(
            (key.text, text_of(value, key.text, self.complaints))
            for key, value in pairs_of(lines.get("says"), "says", self.complaints)
        )
        return Column(fact.name, text_of(lines.get("heading"), "heading", self.complaints),
                      text_of(lines.get("unit"), "unit", self.complaints), said, self.date_order)  # fmt: skip
