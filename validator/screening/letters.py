"""Letters for a lane of a screened table: one for each registration, each asking everything once.

What a letter hangs on is written down beside it, so that the same command writes only those that changed.
"""

import csv
import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import NamedTuple

import polars as pl

from validator.assembly import Assembly
from validator.assembly.stages import stage_of
from validator.facts.subjects import Subject
from validator.judging.loading import LoadedBook, load_book
from validator.papers.inert import csv_of
from validator.papers.letter import Letter, letter_lines, letter_of, letters_page
from validator.papers.letter_docx import letters_docx
from validator.papers.pdf import pdf_of
from validator.screening.described import subject_of_row
from validator.screening.judging import Screener
from validator.screening.known import Run, mark_of
from validator.screening.rows import BadTable, Row
from validator.screening.tables import rows_of
from validator.warranty import stand
from validator.warranty.programme import Programme
from validator.warranty.reading import programme_file, read_programme

FORMS = ("html", "pdf", "docx", "text")
FOLDER, MANIFEST = "letters", "letters.csv"
COLUMNS = ("row", "registration", "file", "things asked", "stands at", "made from", "content")
WIDTH = 80


class Wanted(NamedTuple):
    """Which letters are asked for: of a lane, by a programme, in a form; each a file of its own, or all together in one."""

    lane: str
    programme: str
    form: str = FORMS[0]
    together: bool = False


class Written(NamedTuple):
    """How many letters were made, how many stood already, and where they stand."""

    made: int
    kept: int
    folder: Path


class _Line(NamedTuple):
    row: str
    registration: str
    file: str
    asked: str
    standing: str
    made_from: str
    content: str


class Letters:
    """Writes the letters of one run."""

    def __init__(self, run: Run, known: dict[str, object], own: Screener, wanted: Wanted) -> None:
        self.run, self.own, self.wanted = run, own, wanted
        self.loaded: LoadedBook = load_book(*(Path(book) for book in run.books), everything=True)
        self.programme: Programme = read_programme(programme_file(wanted.programme), self.loaded.book)
        lasting = {key: known[key] for key in ("books", "mapping", "program", "tidied")}
        self.alike = mark_of({**lasting, "programme": self.programme.fingerprint, "form": wanted.form})
        self.folder = run.out / FOLDER

    def write(self, results: Path, tell: Callable[[int], None]) -> Written:
        """Every letter of the lane. Raises BadTable, NoPdf and NoDocx."""
        rows = self._rows_in_lane(results)
        before = self._before()
        self.folder.mkdir(parents=True, exist_ok=True)
        lines: list[_Line] = []
        letters: list[Letter] = []
        kept = 0
        for row in rows_of(self.run.table, self.own.mapping):
            if row.number not in rows:
                continue
            line = self._line(row)
            was = before.get(line.row)
            if not self.wanted.together and was is not None and was[:3] == line[:3] and was.made_from == line.made_from and self._stands(was):
                lines.append(was)
                kept += 1
                tell(1)
                continue
            letter, standing = self._letter(row)
            line = line._replace(asked=str(len(letter.asked)), standing=standing)
            if self.wanted.together:
                letters.append(letter)
            else:
                line = line._replace(content=self._put(line.file, [letter]))
            lines.append(line)
            tell(1)
        if letters:
            content = self._put(f"{FOLDER}.{self._ending}", letters)
            lines = [line._replace(file=f"{FOLDER}.{self._ending}", content=content) for line in lines]
        _replace(self.run.out / MANIFEST, csv_of([COLUMNS, *lines]).encode("utf-8-sig"))
        return Written(len(lines) - kept, kept, self.folder)

    @property
    def _ending(self) -> str:
        return "txt" if self.wanted.form == "text" else self.wanted.form

    def _rows_in_lane(self, results: Path) -> frozenset[int]:
        frame = pl.scan_csv(results, infer_schema=False) if results.suffix == ".csv" else pl.scan_parquet(results)
        rows = frame.filter(pl.col("lane") == self.wanted.lane).select(pl.col("row").cast(pl.Int64)).collect()
        return frozenset(rows["row"].to_list())

    def _line(self, row: Row) -> _Line:
        registration = row.cells.get(self.own.mapping.registration, "")
        name = re.sub(r"[^A-Za-z0-9._-]+", "-", registration).strip("-.")[:60]
        made_from = hashlib.sha256(json.dumps([self.alike, sorted(row.cells.items())]).encode()).hexdigest()[:32]
        return _Line(str(row.number), registration, f"{name or 'registration'}-row-{row.number}.{self._ending}", "", "", made_from, "")

    def _letter(self, row: Row) -> tuple[Letter, str]:
        assembly = assembly_of(self.own, row)
        report = stand(assembly, self.programme, self.loaded)
        to = tuple(text for heading in self.own.mapping.letter_to if (text := " ".join(row.cells.get(heading, "").split())))
        standings = "; ".join(f"{term.term}: {term.standing}" for term in report.terms)
        return letter_of(report, row.cells.get(self.own.mapping.registration, ""), to), standings

    def _put(self, name: str, letters: list[Letter]) -> str:
        """Writes one file, and returns what it holds as a digest."""
        match self.wanted.form:
            case "html":
                content = letters_page(letters).encode()
            case "pdf":
                content = pdf_of(letters_page(letters))
            case "docx":
                content = letters_docx(letters)
            case _:
                content = "\f".join("".join(f"{text}\n" for text, _ in letter_lines(letter, WIDTH)) for letter in letters).encode()
        _replace(self.folder / name, content)
        return hashlib.sha256(content).hexdigest()

    def _before(self) -> dict[str, _Line]:
        """The letters that stand already, by their row."""
        try:
            with (self.run.out / MANIFEST).open(encoding="utf-8-sig", newline="") as file:
                lines = [_Line(*cells) for cells in csv.reader(file) if len(cells) == len(COLUMNS)]
        except (OSError, UnicodeError, csv.Error):
            return {}
        return {line.row: line for line in lines[1:]}

    def _stands(self, line: _Line) -> bool:
        try:
            return hashlib.sha256((self.folder / Path(line.file).name).read_bytes()).hexdigest() == line.content
        except OSError:
            return False


def assembly_of(own: Screener, row: Row) -> Assembly:
    """One registration as a described assembly."""
    subjects = [subject_of_row(reader, row.cells) for reader in own.readers]
    if not any(subject.sort == "job" for subject in subjects):
        subjects.append(Subject("job", "job"))
    job = next(subject for subject in subjects if subject.sort == "job")
    stage = stage_of(job.known, own.loaded.vocabulary)
    subjects = [replace(each, known={**stage, **each.known}) if each.sort == "place" else each for each in subjects]
    name = row.cells.get(own.mapping.registration, "").strip() or f"row {row.number}"
    fingerprint = hashlib.sha256(json.dumps(sorted(row.cells.items())).encode()).hexdigest()[:16]
    words = " ".join(reader.group.name.casefold() for reader in own.readers)
    return Assembly(name, tuple(subjects), fingerprint=fingerprint, words=words, vocabulary=own.loaded.vocabulary)


def _replace(path: Path, content: bytes) -> None:
    beside = path.with_name(f"{path.name}.part")
    try:
        beside.write_bytes(content)
        beside.replace(path)
    except OSError as problem:
        raise BadTable(f"{path} cannot be written: {problem.strerror}. Accepted: a folder with room in it; then the same command") from None
