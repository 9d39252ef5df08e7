"""Takes YAML or JSON, returns nodes: every value as text, with the line and column where it stands.

YAML or JSON comes in; text, lists of items and named entries come out, each with its file, line and column. Nothing is taken
for a number, a date or a yes: `1:48`, `118.10` and `no` stay as they were written. What cannot be read surely is not read at
all: every complaint says where, what is wrong and what would be accepted.
"""

import re
import stat
from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

import yaml

from validator.language.surrogates import whole_letters

DEEPEST = 30
MOST_COMPLAINTS = 50  # told at once
MOST_NOTED = 1_000  # where reading ends
LARGEST = 2_000_000
LONGEST = 2_000  # letters of one name or value

# A file with slips is read again after each one is set aside, but a large file not often.
_REREAD = 20
_REREAD_CHARACTERS = 1_000_000

_PARSER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")
_NUMBERED_COMMENT = re.compile(r"(?:(?<=[ \t])|^)#(?=\d)", re.MULTILINE)


class _SyntaxErrors:
    """The words for every slip, fetched when there is one: most files have none."""

    def __getattr__(self, name: str) -> object:
        from validator.language import syntax_errors

        return getattr(syntax_errors, name)


syntax_errors = _SyntaxErrors()


class Where(NamedTuple):
    """A spot in a file, line and column counted from 1; line 0 is the file as a whole."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}" if self.line else self.file


class Complaint(NamedTuple):
    """What is wrong at one spot, in the author's words, and what would be accepted instead.

    `about` is what was being said there, where that is known: a fact, a thing, or a sort of things. Of nothing, of anything.
    """

    where: Where
    what: str
    accepted: str = ""
    about: str = ""

    def __str__(self) -> str:
        return f"{self.where}: {self.what}" + (f". Accepted: {self.accepted}" if self.accepted else "")


def _place_in_book(complaint: Complaint) -> tuple[str, int, int]:
    return complaint.where.file, complaint.where.line, complaint.where.column


class BadText(Exception):
    """Something written cannot be read; carries every complaint, in the order of the files."""

    def __init__(self, complaints: Iterable[Complaint]):
        self.complaints: tuple[Complaint, ...] = tuple(sorted(complaints, key=_place_in_book))
        super().__init__(self.complaints)

    def __str__(self) -> str:
        more = f"and {len(self.complaints) - MOST_COMPLAINTS:,} more" if len(self.complaints) > MOST_COMPLAINTS else ""
        end = ", and what follows was not read" if len(self.complaints) >= MOST_NOTED else ""
        return "\n".join(filter(None, (*map(str, self.complaints[:MOST_COMPLAINTS]), more + end)))


class BadBook(BadText):
    """The rulebook cannot be used as it is written."""


class BadAssembly(BadText):
    """The described assembly cannot be used as it is written. `so_far` is the assembly by what could be read, if there is one."""

    def __init__(self, complaints: Iterable[Complaint], so_far: object = None):
        super().__init__(complaints)
        self.so_far = so_far


class Text(NamedTuple):
    """One value as it was written; `quoted` where quotes or a block held it. Empty and not quoted is not stated."""

    text: str
    where: Where
    quoted: bool = False


class Items(NamedTuple):
    """A list, in the order written."""

    items: tuple["Node", ...]
    where: Where


class Entries(NamedTuple):
    """Names with what stands under each, in the order written; no name twice."""

    pairs: tuple[tuple[Text, "Node"], ...]
    where: Where

    def get(self, key: str) -> "Node | None":
        for name, node in self.pairs:
            if name.text == key:
                return node
        return None

    def keys(self) -> tuple[str, ...]:
        return tuple(name.text for name, _ in self.pairs)


Node = Text | Items | Entries


class _Page:
    """One pass over one text. Raises BadText to stop early, yaml.YAMLError where the parser stops."""

    __slots__ = ("next", "file", "text", "lines", "complaints", "held")

    def __init__(self, text: str, file: str):
        self.next = _PARSER(text).get_event
        self.file = file
        self.text = text
        self.lines: list[str] = []
        self.complaints: list[Complaint] = []
        self.held: list[yaml.ScalarEvent] = []      # scalars in quotes or blocks: a # in them is no comment

    def complain(self, mark, what: str, accepted: str, back: int = 0) -> None:
        self.complaints.append(Complaint(Where(self.file, mark.line + 1, mark.column + 1 - back), what, accepted))
        if len(self.complaints) >= MOST_COMPLAINTS:
            raise BadText(())

    def source(self, mark) -> str:
        """What is written from the mark to the end of its line; few passes need it, so lines are cut when first asked for."""
        self.lines = self.lines or self.text.split("\n")
        return self.lines[mark.line][mark.column:]

    def document(self) -> Node | None:
        self.next()
        start = self.next()
        if type(start) is yaml.StreamEndEvent:
            return None
        if start.version or start.tags:
            self.complain(start.start_mark, *syntax_errors.INSTRUCTION)
        node = self.node(self.next(), 0)
        self.next()
        more = self.next()
        if type(more) is not yaml.StreamEndEvent:
            self.complain(more.start_mark, *syntax_errors.SECOND_DOCUMENT)
        return node

    def node(self, event, depth: int) -> Node:
        kind = type(event)
        if kind is yaml.ScalarEvent:
            return self.scalar(event)
        if kind is yaml.AliasEvent:
            self.complain(event.start_mark, *syntax_errors.alias(event.anchor))
            return Text("", Where(self.file, event.start_mark.line + 1, event.start_mark.column + 1))
        if depth >= DEEPEST:
            self.complain(event.start_mark, *syntax_errors.too_deep(DEEPEST))
            raise BadText(())
        if event.anchor or event.tag:
            self.marked(event)
        return self.entries(event, depth + 1) if kind is yaml.MappingStartEvent else self.items(event, depth + 1)

    def scalar(self, event) -> Text:
        mark = event.start_mark
        if event.anchor or event.tag:
            self.marked(event)
        if len(event.value) > LONGEST:
            self.complain(mark, *syntax_errors.too_long(len(event.value), LONGEST))
        where = Where(self.file, mark.line + 1, mark.column + 1)
        style = event.style
        if not style:
            return Text(event.value, where)
        self.held.append(event)
        if style in "|>":
            said = syntax_errors.block(self.source(mark), event.value)
            if said:
                self.complain(mark, *said)
            return Text(event.value.rstrip("\n"), where, True)
        if odd := _ODD.search(event.value):
            self.complain(mark, *syntax_errors.escaped_character(odd[0]))
        return Text(event.value, where, True)

    def marked(self, event) -> None:
        if event.anchor:
            self.complain(event.start_mark, *syntax_errors.anchor(event.anchor))
        if event.tag:
            self.complain(event.start_mark, *syntax_errors.tag(self.source(event.start_mark)))

    def items(self, start, depth: int) -> Items:
        found = []
        while type(event := self.next()) is not yaml.SequenceEndEvent:
            found.append(self.node(event, depth))
        mark = start.start_mark
        return Items(tuple(found), Where(self.file, mark.line + 1, mark.column + 1))

    def entries(self, start, depth: int) -> Entries:
        pairs: list[tuple[Text, Node]] = []
        first: dict[str, int] = {}
        while type(event := self.next()) is not yaml.MappingEndEvent:
            name = self.node(event, depth)
            value_event = self.next()
            value = self.node(value_event, depth)
            if type(name) is not Text:
                self.complain(event.start_mark, *syntax_errors.NAME_NOT_TEXT)
                continue
            text = name.text
            if not text or text == "<<":
                self.odd_name(event, name)
            elif text in first:
                self.complain(event.start_mark, *syntax_errors.repeated(text, first[text]))
            elif start.flow_style and type(value) is Text and not value.text and _touching(event, value_event):
                before = pairs[-1] if pairs else None
                self.complain(event.start_mark, *syntax_errors.no_colon_in_braces(text, _as_written(before)))
            first.setdefault(text, event.start_mark.line + 1)
            pairs.append((name, value))
        mark = start.start_mark
        return Entries(tuple(pairs), Where(self.file, mark.line + 1, mark.column + 1))

    def odd_name(self, event, name: Text) -> None:
        mark = event.start_mark
        if name.text:
            if not name.quoted:
                self.complain(mark, *syntax_errors.MERGE)
        elif type(event) is yaml.ScalarEvent:
            self.source(mark)
            if not name.quoted and self.lines[mark.line][:mark.column].endswith("?"):
                self.complain(mark, *syntax_errors.LONE_QUESTION, back=1)
            else:
                self.complain(mark, *syntax_errors.NO_NAME)


def _touching(name, value) -> bool:
    end, start = name.end_mark, value.start_mark
    return type(value) is yaml.ScalarEvent and not value.style and (end.line, end.column) == (start.line, start.column)


def _as_written(pair: tuple[Text, Node] | None) -> tuple[str, str] | None:
    if pair is None or type(pair[1]) is not Text:
        return None
    return pair[0].text, pair[1].text


def read_source(source: str, file: str, complaints: list[Complaint]) -> Node | None:
    """What a text says, or None with complaints added: a text with any slip in it is not half read.

    `file` is the name used in complaints; a name ending in .json, or a text that begins with a brace, may hold tabs.
    """
    found = []
    node = _read(source, file, found)
    complaints.extend(sorted(found, key=_place_in_book))
    return None if found else node


def _read(source: str, file: str, found: list[Complaint]) -> Node | None:
    text = source.removeprefix("\ufeff")
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    if _ODD.search(text):
        found.extend(_odd_characters(text, file))
        return None
    if file.endswith(".json") or text.lstrip().startswith("{"):
        # The parser knows no pairs of surrogates; columns after one on its line stand two too far left.
        text = whole_letters(text.replace("\t", " "))

    lines = text.split("\n")
    aside: set[int] = set()
    rereads = min(_REREAD, _REREAD_CHARACTERS // (len(text) + 1))
    while True:
        page = _Page(text, file)
        node, end = None, len(lines)
        try:
            node = page.document()
        except BadText:
            end = 0
        except (yaml.YAMLError, ValueError, OverflowError) as trouble:
            slip = syntax_errors.understood(trouble, lines)
            end = slip.line
            if slip.line not in aside:
                found.append(Complaint(Where(file, slip.line + 1, slip.column + 1), slip.what, slip.accepted))
                aside.add(slip.line)
                if slip.mended is not None and len(aside) <= rereads:
                    lines[slip.line] = slip.mended
                    text = "\n".join(lines)
                    continue
        break
    found.extend(complaint for complaint in page.complaints if complaint.where.line - 1 not in aside)
    found.extend(_numbered_comments(page, lines, end, aside))
    del found[MOST_COMPLAINTS:]
    if not found and (node is None or (type(node) is Text and not node.text and not node.quoted)):
        found.append(Complaint(Where(file, 0, 0), *syntax_errors.EMPTY))
    return node


def _odd_characters(text: str, file: str) -> list[Complaint]:
    if "\x00" in text:
        return [Complaint(Where(file, 0, 0), *syntax_errors.NOT_TEXT)]
    found = []
    for number, line in enumerate(text.split("\n"), 1):
        if odd := _ODD.search(line):
            found.append(Complaint(Where(file, number, odd.start() + 1), *syntax_errors.odd_character(odd[0])))
            if len(found) == MOST_COMPLAINTS:
                break
    return found


def _numbered_comments(page: _Page, lines: list[str], end: int, aside: set[int]) -> list[Complaint]:
    """A # with a digit right after it, which the parser took for a comment; lines from `end` on were not read."""
    if "#" not in page.text or not _NUMBERED_COMMENT.search(page.text):
        return []
    held = [((e.start_mark.line, e.start_mark.column), (e.end_mark.line, e.end_mark.column)) for e in page.held]
    found = []
    upcoming = 0
    for number, line in enumerate(lines[:end]):
        for sign in _NUMBERED_COMMENT.finditer(line) if number not in aside else ():
            here = (number, sign.start())
            while upcoming < len(held) and held[upcoming][1] <= here:
                upcoming += 1
            if upcoming < len(held) and held[upcoming][0] <= here:
                continue
            found.append(Complaint(Where(page.file, number + 1, sign.start() + 1), *syntax_errors.numbered_comment(line[sign.start():])))
            break
    return found


def read_file(path: str | Path, complaints: list[Complaint], limit: int = LARGEST) -> Node | None:
    """What a file says, or None with complaints added; a file over `limit` bytes is not opened."""
    file = str(path)
    problem, text = _file_text(file, limit)
    if problem:
        complaints.append(problem)
        return None
    return read_source(text, file, complaints)


def read_text(path: str | Path, complaints: list[Complaint], limit: int = LARGEST) -> str | None:
    """The text of a file of another form, with no character in it that cannot be seen, or None with complaints added."""
    problem, text = _file_text(str(path), limit)
    complaints.extend(odd := [problem] if problem else _odd_characters(text, str(path)))
    return None if odd else text


def _file_text(file: str, limit: int) -> tuple[Complaint | None, str]:
    whole = Where(file, 0, 0)
    try:
        described = Path(file).stat()
        if stat.S_ISDIR(described.st_mode):
            return Complaint(whole, *syntax_errors.FOLDER), ""
        if not stat.S_ISREG(described.st_mode):
            return Complaint(whole, *syntax_errors.NOT_A_FILE), ""
        if described.st_size > limit:
            return Complaint(whole, *syntax_errors.too_large(described.st_size, limit)), ""
        with open(file, "rb") as opened:
            written = opened.read(limit + 1)
    except (FileNotFoundError, NotADirectoryError):
        return Complaint(whole, *syntax_errors.MISSING), ""
    except (OSError, ValueError):
        return Complaint(whole, *syntax_errors.UNREADABLE), ""
    if len(written) > limit:
        return Complaint(whole, *syntax_errors.too_large(len(written), limit)), ""
    if written[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return Complaint(whole, *syntax_errors.UTF_16), ""
    if b"\x00" in written:
        return Complaint(whole, *syntax_errors.NOT_TEXT), ""
    try:
        return None, written.decode("utf-8-sig")
    except UnicodeDecodeError as trouble:
        good = trouble.object[:trouble.start].decode()  # without the mark of byte order, which the place is counted after
        line = good.count("\n") + 1
        return Complaint(Where(file, line, len(good) - (good.rfind("\n") + 1) + 1), *syntax_errors.NOT_UTF_8), ""
