"""The paragraphs of a specification that a submittal answers, by the open numbering of divisions and sections.

A section is three pairs of figures, division first, and a fourth after a point where the work is divided further: `09 30 13`,
`22 14 26.13`. A paragraph is numbered as specifications in three parts number theirs: part, article, paragraph, `2.3.B.1`.
Which section and paragraph a requirement stands under is the project's to say, and never guessed.
"""

import csv
import io
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import NamedTuple

from validator.language.forms import listed
from validator.language.slips import did_you_mean
from validator.language.source import BadText, Complaint, Where

COLUMNS = ("for", "section", "paragraph", "drawing")
OTHERS = "all others"
LARGEST = 2_000_000
_NUMBER = re.compile(r"(\d\d)[\s.-]?(\d\d)[\s.-]?(\d\d)(?:\.(\d\d))?(?![\d.])")
_PARAGRAPH = re.compile(r"[1-3]\.\d{1,2}(?:\.[A-Z](?:\.\d{1,2}(?:\.[a-z])?)?)?")
ACCEPTED_SECTION = "division and section in pairs of figures, `09 30 13` or `09 30 13.13`"
ACCEPTED_PARAGRAPH = "part, article and paragraph, `2.3`, `2.3.B` or `2.3.B.1`"


class SectionProblem(ValueError):
    """A text that names no section or paragraph; `str()` says what would be accepted."""


class Reference(NamedTuple):
    """Where a requirement stands in the project's papers; what nobody said is empty, to be filled in."""

    section: str = ""
    paragraph: str = ""
    drawing: str = ""


def section_of(text: str) -> Reference:
    """Takes `09 30 13`, or with a paragraph `09 30 13 2.3.B`, returns both apart. Raises SectionProblem."""
    said = " ".join(text.split())
    found = _NUMBER.match(said)
    if found is None:
        raise SectionProblem(f"`{text}` is no section of a specification. Accepted: {ACCEPTED_SECTION}, and after it its paragraph, `2.3.B`")
    number = " ".join(found.group(1, 2, 3)) + (f".{found[4]}" if found[4] else "")
    rest = said[found.end() :].strip(" ,;")
    return Reference(number, paragraph_of(rest) if rest else "")


def paragraph_of(text: str) -> str:
    """Takes `2.3.B.1`, returns it. Raises SectionProblem."""
    said = text.strip().removeprefix("paragraph ").removeprefix("para ")
    if not _PARAGRAPH.fullmatch(said):
        raise SectionProblem(f"`{text}` is no paragraph of a section. Accepted: {ACCEPTED_PARAGRAPH}")
    return said


class SpecMap(NamedTuple):
    """Where each requirement stands: by the rule's own line, else its chapter's, else that of all others."""

    usual: Reference
    lines: Mapping[str, Reference] = {}

    def of(self, rule: str, chapter: str) -> Reference:
        for key in (rule, chapter, OTHERS):
            if key in self.lines:
                found = self.lines[key]
                return found if found.section else found._replace(section=self.usual.section)
        return self.usual


def read_spec_map(path: str, usual: Reference, rules: Mapping[str, str]) -> SpecMap:
    """A table of `for,section,paragraph,drawing`; `rules` gives the chapter of each rule. Raises BadText with every slip in it."""
    try:
        text = Path(path).read_bytes()[: LARGEST + 1]
    except OSError as problem:
        raise _bad(path, 0, f"it could not be read: {problem.strerror}", "a table in CSV") from None
    try:
        return spec_map_in(text.decode("utf-8-sig"), path, usual, rules)
    except UnicodeDecodeError:
        raise _no_table(path) from None


def spec_map_in(text: str, name: str, usual: Reference, rules: Mapping[str, str]) -> SpecMap:
    """The same table as a text, which is called `name` where it is refused. Raises BadText with every slip in it."""
    try:
        rows = list(csv.reader(io.StringIO(text))) if len(text) <= LARGEST else None
    except csv.Error:
        rows = None
    if not rows:
        raise _no_table(name)
    return SpecMap(usual, _lines_of(name, rows, rules))


def _no_table(name: str) -> BadText:
    return _bad(name, 0, "it is no table in CSV", f"a first line of headings, {','.join(COLUMNS)}")


def _lines_of(path: str, rows: list[list[str]], rules: Mapping[str, str]) -> dict[str, Reference]:
    headings = [" ".join(cell.split()).casefold() for cell in rows[0]]
    complaints = [
        Complaint(Where(path, 1, 1), f"`{each}` is no heading here", f"{did_you_mean(each, COLUMNS)}{listed(COLUMNS)}")
        for each in headings if each and each not in COLUMNS
    ]  # fmt: skip
    if "for" not in headings:
        complaints.append(Complaint(Where(path, 1, 1), "there is no heading `for`", f"a first line of headings, {','.join(COLUMNS)}"))
    if complaints:
        raise BadText(complaints)
    known = {**{name: name for name in rules}, **{chapter: chapter for chapter in rules.values()}, OTHERS: OTHERS}
    found: dict[str, Reference] = {}
    for number, row in enumerate(rows[1:], 2):
        said = {heading: " ".join(cell.split()) for heading, cell in zip(headings, row) if heading}
        if not any(said.values()):
            continue
        about = known.get(said.get("for", "").casefold())
        where = Where(path, number, 1)
        if about is None:
            near = did_you_mean(said.get("for", ""), known)
            complaints.append(Complaint(where, f"`{said.get('for', '')}` is no chapter and no rule of the book", f"{near}a chapter or a rule's name, as `rulebook list` gives them, or `{OTHERS}`"))
        elif about in found:
            complaints.append(Complaint(where, f"`{about}` has a line already", "one line for each"))
        else:
            found[about] = _reference(said, where, complaints)
    if complaints:
        raise BadText(complaints)
    return found


def _reference(said: Mapping[str, str], where: Where, complaints: list[Complaint]) -> Reference:
    section = paragraph = ""
    try:
        section, paragraph, _ = section_of(said["section"]) if said.get("section") else Reference()
        paragraph = paragraph_of(said["paragraph"]) if said.get("paragraph") else paragraph
    except SectionProblem as problem:
        what, _, accepted = str(problem).partition(". Accepted: ")
        complaints.append(Complaint(where, what, accepted))
    return Reference(section, paragraph, said.get("drawing", ""))


def started(usual: Reference, chapters: Iterable[str]) -> str:
    """A table to fill in: a line for each chapter that bears on the work."""
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(COLUMNS)
    table.writerows((chapter, usual.section, "", "") for chapter in (*chapters, OTHERS))
    return out.getvalue()


def _bad(path: str, line: int, what: str, accepted: str) -> BadText:
    return BadText([Complaint(Where(path, line, 0), what, accepted)])
