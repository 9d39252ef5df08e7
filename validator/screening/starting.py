"""A mapping made by looking: which heading of a table seems to hold which fact, how sure that is, and three cells of each.

It is a file to correct and nothing more: every line says what was seen, what was not placed stands at the end, and nothing is
screened by it until somebody has read it.
"""

import csv
import io
import json
import re
from collections.abc import Iterator
from datetime import date
from itertools import islice
from pathlib import Path
from typing import NamedTuple

from validator.facts import possible
from validator.facts.possible import STATED, NotPossible
from validator.facts.vocabulary import MATTERS, Fact, Vocabulary
from validator.language.slips import nearest
from validator.screening.dates import read_day
from validator.screening.rows import BadTable, headings_of, text_of
from validator.screening.units import slip_in, with_unit
from validator.screening.workbooks import check_size

LOOKED_AT = 500  # rows
DIFFERENT = 40  # texts of a column that are tried
FIRST_ROWS = 10  # among which the headings stand
SHOWN, LONGEST_SHOWN = 3, 30
ENCODINGS = ("utf-8-sig", "cp1252")
SURE, LIKELY = 0.75, 0.45
ALONE = 0.9  # how well a thing's bare name names the fact it is usually said with
WORDS = {
    "thk": "thickness", "thick": "thickness", "len": "length", "matl": "material", "mat": "material", "qty": "count", "stud": "framing material",
    "studs": "framing material", "framing": "framing", "backer": "board", "backerboard": "board", "wallboard": "board", "waterproofing": "membrane",
    "slope": "fall", "pitch": "fall", "fasteners": "screw", "fastener": "screw", "screws": "screw", "thinset": "tile mortar", "mortar": "tile mortar",
    "tiles": "tile", "boards": "board", "floor": "place", "panel": "board", "wall": "", "walls": "",
}  # what headings say for ours; common practice, no source
PERSONAL = re.compile(r"\b(owner|customer|name|client|phone|tel|mobile|e-?mail|address|street|city|town|zip|postcode)\b", re.I)
NUMBERED = re.compile(r"\b(reg(istration)?|case|claim|ref(erence)?|id|no|number)\b", re.I)
TERM = re.compile(r"\b(term|plan|programme|program|tier|warranty)\b", re.I)
DATED = re.compile(r"\b(install\w*|complet\w*|date|day|finished)\b", re.I)
UNIT = re.compile(r"[(\[]?(?<![a-z%])(inches|inch|in|mm|cm|ft|feet|hours|hour|hrs|hr|h|days|sq ft|m2|%)(?![a-z])\.?[)\]]?", re.I)
UNITS = {"inches": "in", "inch": "in", "feet": "ft", "hours": "h", "hour": "h", "hrs": "h", "hr": "h"}
SURELY_DECIMAL = re.compile(r"(?<![0-9.,])[0-9]+,(?:[0-9]{1,2}|[0-9]{4,})(?![0-9.,])|(?<![0-9])0,[0-9]")  # no mark of thousands
ONE_OF_TWO = re.compile(r"(.*\S)[\s_#-]*\b([AB12])\b", re.I)  # `Screw A`, beside which stands `Screw B`
ON_FLOORS = re.compile(r"\bfloor\b", re.I)
EVERYWHERE = ("job", "framing", "tile", "tile mortar", "grout")
USUAL_KIND = {"shower wall": "shower wall", "shower floor": "shower floor"}


class Seen(NamedTuple):
    """A column: its heading and the different texts that stand in it."""

    heading: str
    texts: tuple[str, ...]
    filled: int


class Guess(NamedTuple):
    """The fact that a column seems to hold, how sure that is from 0 to 1, and the unit its bare numbers seem to have."""

    fact: str
    sure: float
    unit: str = ""
    says: tuple[tuple[str, str], ...] = ()


def write_start(table: Path, mapping: Path, vocabulary: Vocabulary) -> int:
    """Writes a mapping to correct; what stands there already is left alone. Returns how many columns were placed. Raises BadTable."""
    if mapping.exists():
        raise BadTable(f"{mapping} is there already. Accepted: another name for --mapping")
    head, columns = looked_at(table)
    placed, lines = _Starter(vocabulary, columns).lines()
    top = [f"# Proposed by looking at the first {LOOKED_AT} rows of {table.name}. Read every line, and correct it, before anything is screened by it.", *head]
    mapping.write_text("\n".join([*top, *lines]) + "\n", encoding="utf-8")
    return placed


# -- looking ------------------------------------------------------------------------------------------------------------------------


def looked_at(path: Path) -> tuple[list[str], list[Seen]]:
    """What the mapping must say of the file, and its columns. Raises BadTable."""
    head, lines = _first_rows(path)
    if not any(any(line) for line in lines):
        raise BadTable(f"{path.name} holds nothing. Accepted: a table with headings")
    counts = [sum(1 for cell in line if cell) for line in lines[:FIRST_ROWS]]
    at = next(n for n, count in enumerate(counts) if count >= 0.6 * max(counts))
    headings = lines[at]
    # What stands twice is told apart by what stands above it, where something does.
    first = at - 1 if at and len({h for h in headings if h}) < counts[at] and counts[at - 1] > 1 else at
    if at:
        head.append(f"heading row: {at + 1}" if first == at else f"heading row: {at} to {at + 1}")
    columns = []
    for n, heading in enumerate(headings_of(lines[first : at + 1])):
        cells = [line[n].strip() for line in lines[at + 1 :] if n < len(line) and line[n].strip()]
        if heading.strip():
            columns.append(Seen(heading, tuple(islice(dict.fromkeys(cells), DIFFERENT)), len(cells)))
    if any(SURELY_DECIMAL.search(text) for column in columns for text in column.texts):
        head.append("decimal comma: yes")
    return head, columns


def _first_rows(path: Path) -> tuple[list[str], list[list[str]]]:
    number = LOOKED_AT + FIRST_ROWS
    try:
        match path.suffix.lower():
            case ".csv":
                return _of_csv(path, number)
            case ".xlsx":
                import openpyxl

                check_size(path)
                book = openpyxl.load_workbook(path, read_only=True)
                sheet = book[book.worksheets[0].title]
                sheet.reset_dimensions()
                return [], [[text_of(cell) for cell in line] for line in islice(sheet.iter_rows(values_only=True), number)]
            case ".parquet":
                import polars as pl

                frame = pl.scan_parquet(path).head(number).collect()
                return [], [frame.columns, *([text_of(cell) for cell in line] for line in frame.iter_rows())]
            case ".jsonl":
                with path.open(encoding="utf-8-sig") as file:
                    rows = [json.loads(line) for line in islice(file, number) if line.strip()]
                headings = list(dict.fromkeys(key for row in rows for key in row))
                return [], [headings, *([text_of(row.get(h)) for h in headings] for row in rows)]
    except BadTable:
        raise
    except Exception as problem:  # whatever the library that reads it makes of a damaged file
        raise BadTable(f"{path.name} cannot be read ({type(problem).__name__}). Accepted: a CSV, XLSX, Parquet or JSON Lines file that opens") from None
    raise BadTable(f"{path.name} is no table that can be read. Accepted: .csv, .xlsx, .parquet, .jsonl")


def _of_csv(path: Path, number: int) -> tuple[list[str], list[list[str]]]:
    with path.open("rb") as file:
        begins = file.read(2_000_000)
    for encoding in ENCODINGS:
        try:
            text = begins.decode(encoding)
            break
        except UnicodeDecodeError as problem:
            if len(begins) == 2_000_000 and problem.start > len(begins) - 4:  # a letter cut in two
                text = begins[: problem.start].decode(encoding)
                break
    else:
        text = begins.decode("latin-1")
        encoding = "latin-1"
    some = text[:20_000]
    separator = max(",;|\t", key=some.count)
    lines = [[cell.strip() for cell in line] for line in islice(csv.reader(io.StringIO(text, newline=""), delimiter=separator), number)]
    head = [f"encoding: {encoding}"] if encoding != ENCODINGS[0] else []
    if separator != ",":
        head.append(f'separator: {"tab" if separator == chr(9) else json.dumps(separator)}')
    return head, lines


# -- placing ------------------------------------------------------------------------------------------------------------------------


class _Starter:
    """Places the columns of one table."""

    def __init__(self, vocabulary: Vocabulary, columns: list[Seen]) -> None:
        self.vocabulary = vocabulary
        self.columns, self.left = columns, list(columns)
        self.facts = [f for f in vocabulary.facts.values() if f.stated and not f.aggregate and f.kind != "name" and not f.name.endswith(" as stated")]
        self.words = {fact.name: _tokens(f"{fact.thing} {fact.name.rpartition('.')[2]} {' '.join(fact.also_called)}") for fact in self.facts}

    def lines(self) -> tuple[int, list[str]]:
        """How many columns were placed, and the mapping's lines."""
        lines = [*self._head()]
        placed = sum(1 for line in lines if not line.startswith("#"))
        groups: dict[str, list[str]] = {}
        taken: set[tuple[str, str]] = set()
        rest: list[Seen] = []
        before = ""
        for column in self.left:
            guess = self._guess(column, before)
            before = self.vocabulary.fact(guess.fact).thing if guess else before
            place = self._place(column, guess) if guess else ""
            if guess is None or (place, guess.fact) in taken:
                rest.append(column)
                continue
            taken.add((place, guess.fact))
            groups.setdefault(place, []).append(f"  {guess.fact}: {_column(column, guess)}  # {_sureness(guess.sure)}; {_some(column)}")
            placed += 1
        for title in ("everywhere", "job"):
            if title in groups:
                lines += [f"{title}:", *groups.pop(title)]
        lines.append("places:                         # each a group of columns; say of which kind of place they are")
        for name, kind in USUAL_KIND.items():
            if name in groups or name == "shower wall":
                own = [f"    place.kind: {{is: {kind}}}", *(f"  {line}" for line in groups.get(name, ()))]
                lines += [f"  {name}:", *own]
                if any("screw.length" in line for line in own) and not any("board.fixed with" in line for line in own):
                    lines.append("    board.fixed with: {is: screws}  # else nobody knows that the screws hold the board")
        if twins := [column.heading for column in self.columns if _is_second(column, self.columns)]:
            lines += ["", f"# {', '.join(twins[:SHOWN])} ... seem to be of a second registration in the same row. Give it a mapping of its own, with its own headings, and",
                      "# `without a number: skip` in both; and screen the table once by each, to a folder each."]  # fmt: skip
        if rest:
            lines += ["", "# Not placed. Give each its fact above, or leave it out:", *(f"#   {column.heading}: {_some(column)}" for column in rest)]
        return placed, lines

    def _head(self) -> Iterator[str]:
        number = self._take(lambda c: bool(NUMBERED.search(c.heading)) and len(c.texts) == min(c.filled, DIFFERENT)) or self._take(lambda c: True)
        if number is not None:
            yield f"registration: {_quoted(number.heading)}  # {_some(number)}"
        day = self._take(lambda c: bool(DATED.search(c.heading)) and _are_days(c)) or self._take(_are_days)
        if day is not None:
            yield f"date: {_quoted(day.heading)}  # {_some(day)}"
            yield from _order(day)
        term = self._take(lambda c: bool(TERM.search(c.heading)) and not _are_days(c))
        if term is not None:
            yield f"programme: {_quoted(term.heading)}  # {_some(term)}"
        personal = [column for column in self.left if PERSONAL.search(column.heading)]
        self.left = [column for column in self.left if column not in personal]
        if personal:
            yield f"personal: [{', '.join(_quoted(column.heading) for column in personal)}]  # never read; `letter to:` instead, for an address"

    def _take(self, wanted: object) -> Seen | None:
        found = next((column for column in self.left if wanted(column)), None)
        self.left = [column for column in self.left if column is not found]
        return found

    def _place(self, column: Seen, guess: Guess) -> str:
        thing = self.vocabulary.fact(guess.fact).thing
        if thing in ("job", *(t.name for t in self.vocabulary.things.values() if t.sort in ("job", "record"))):
            return "job"
        if thing in EVERYWHERE:
            return "everywhere"
        where = self.vocabulary.things[thing].in_places
        only_floors = bool(where) and "shower floor" in where and "shower wall" not in where
        return "shower floor" if ON_FLOORS.search(column.heading) or guess.fact == "place.fall" or only_floors else "shower wall"

    def _guess(self, column: Seen, before: str) -> Guess | None:
        """The fact whose name is nearest the heading among those that read most of the cells."""
        said = _tokens(UNIT.sub(" ", column.heading))
        unit = next((UNITS.get(u.lower(), u.lower()) for u in UNIT.findall(column.heading)), "")
        best: Guess | None = None
        for fact in self.facts:
            named = self._named(fact, said, before)
            if not named:
                continue
            reads, says, of_unit = self._reads(fact, column, unit)
            guess = Guess(fact.name, round((named + reads) / 2 if reads >= 0.5 and named >= 0.3 else 0, 3), of_unit, says)
            if guess.sure >= LIKELY and (best is None or self._rank(guess, before) > self._rank(best, before)):
                best = guess
        return best

    def _named(self, fact: Fact, said: frozenset[str], before: str) -> float:
        """How much of a heading and of a fact's name are the same; a thing's name alone means what it is named by, or said with.

        A heading that leaves the thing out means that of the column before: `Thickness` beside `Board`.
        """
        thing = self.vocabulary.things[fact.thing]
        if said and said == _tokens(thing.name) and fact.name.rpartition(".")[2] in (thing.named_by, *thing.alone[:1]):
            return ALONE
        if not said & self.words[fact.name]:
            return 0
        said |= _tokens(fact.thing) if fact.thing == before else frozenset()
        return len(said & self.words[fact.name]) / len(said | _tokens(fact.name.replace(".", " ")))

    def _rank(self, guess: Guess, before: str) -> tuple[float, bool, bool, int]:
        """The surest; of equally sure ones that of the thing named in the column before, of what is always there, that which
        matters soonest.
        """
        fact = self.vocabulary.fact(guess.fact)
        return guess.sure, fact.thing == before, self.vocabulary.things[fact.thing].always, -MATTERS.index(fact.matters)

    def _reads(self, fact: Fact, column: Seen, unit: str) -> tuple[float, tuple[tuple[str, str], ...], str]:
        """What share of the cells a fact reads, which words it takes for others, and in which unit."""
        if not column.texts:
            return 0.5, (), unit
        unit = unit or (self._unit_of(fact, column) if fact.kind in ("length", "size") else "")
        says = tuple((text, near) for text in column.texts if not self._read(fact, text, unit) and (near := _near(fact, text)))
        # A bare number that nobody can tell the unit of still speaks for an amount of this kind.
        units = (unit,) if unit or fact.kind not in ("length", "size") else ("", "in", "mm")
        return max(self._share(fact, column, each) for each in units), says, unit

    def _unit_of(self, fact: Fact, column: Seen) -> str:
        """The unit of the bare numbers of a column; none where some of them could be of either, and others of one alone."""
        bare = [text for text in column.texts if with_unit(fact, text, "in") != text]
        inches, millimeters = ({text for text in bare if self._read(fact, text, unit)} for unit in ("in", "mm"))
        if inches & millimeters and inches != set(bare):
            return ""
        return "in" if len(inches) >= max(1, len(millimeters)) or inches and inches == set(bare) else "mm" if millimeters else ""

    def _share(self, fact: Fact, column: Seen, unit: str) -> float:
        return sum(self._read(fact, text, unit) or bool(_near(fact, text)) for text in column.texts) / len(column.texts)

    def _read(self, fact: Fact, text: str, unit: str) -> bool:
        ours = with_unit(fact, text, unit) if unit else text
        if fact.kind == "moment":
            return not read_day(text, "", date.max).problem
        if fact.kind in ("presence", "yes or no") and text.casefold() in ("yes", "no", "y", "n", "true", "false"):
            return True
        try:
            said = {fact.name: possible.read(fact, ours), **possible.edges(fact, ours)}
        except NotPossible:
            return False
        return any(each.origin == STATED for each in said.values()) and not slip_in(self.vocabulary, fact, said, ours)[0]


def _near(fact: Fact, text: str) -> str:
    return (nearest(text, (*fact.words, *fact.also_said)) or "") if fact.words else ""


def _tokens(text: str) -> frozenset[str]:
    words = re.findall(r"[a-z]{2,}", text.casefold())
    return frozenset(part for word in words for part in WORDS.get(word, word).split())


def _is_second(column: Seen, columns: list[Seen]) -> bool:
    """Whether a heading is another's, but for the sign that numbers it."""
    found = ONE_OF_TWO.fullmatch(column.heading)
    return bool(found) and found[2].upper() in "B2" and any(
        (first := ONE_OF_TWO.fullmatch(other.heading)) and first[1] == found[1] and first[2].upper() in "A1" for other in columns
    )  # fmt: skip


def _are_days(column: Seen) -> bool:
    return bool(column.texts) and sum(not read_day(text, "", date.max).problem for text in column.texts) >= 0.6 * len(column.texts)


def _order(column: Seen) -> Iterator[str]:
    days = [read_day(text, "", date.max) for text in column.texts]
    only = {"dmy": any(d.day_first and not d.month_first for d in days), "mdy": any(d.month_first and not d.day_first for d in days)}
    if any(d.day_first != d.month_first and d.day_first and d.month_first for d in days):
        settled = [order for order, some in only.items() if some]
        seen = f"date order: {settled[0]}  # one date at least can be read no other way" if len(settled) == 1 else "# date order: mdy or dmy? Nothing seen settles it"
        yield seen


def _column(column: Seen, guess: Guess) -> str:
    if not guess.unit and not guess.says:
        return _quoted(column.heading)
    parts = [f"heading: {_quoted(column.heading)}", *([f"unit: {guess.unit}"] if guess.unit else [])]
    if guess.says:
        parts.append("says: {" + ", ".join(f"{_quoted(theirs)}: {_quoted(ours)}" for theirs, ours in guess.says) + "}")
    return "{" + ", ".join(parts) + "}"


def _quoted(text: str) -> str:
    return text if re.fullmatch(r"[A-Za-z][A-Za-z0-9 ]*", text) and text.casefold() not in ("yes", "no", "true", "false", "null", "none") else json.dumps(text, ensure_ascii=False)


def _sureness(sure: float) -> str:
    return "sure" if sure >= SURE else "likely" if sure >= (SURE + LIKELY) / 2 else "a guess"


def _some(column: Seen) -> str:
    return ", ".join(f"`{' '.join(text.split())[:LONGEST_SHOWN]}`" for text in column.texts[:SHOWN]) or "empty"
