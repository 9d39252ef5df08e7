"""What is spoilt, and what must hold of whatever comes of it. A driver raises where something else comes of it."""

import csv
import io
import json
import os
import re
from collections.abc import Callable
from pathlib import Path
from random import Random

import openpyxl
from books import consequence, rule, table, write_book
from completing import Completing
from paths import RULEBOOKS, SAMPLES
from side_by_side import ChancePlaces, differences

from tests.fuzz.spoiling import spoilt, spoilt_bytes, spoilt_workbook
from validator.assembly import read_assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.language.source import BadText
from validator.papers.as_json import as_json
from validator.papers.inert import csv_of, inert
from validator.papers.page import page
from validator.papers.takeoff import as_csv
from validator.papers.visible import UNSEEN, shown
from validator.planning.items import wastes_of
from validator.planning.takeoff import takeoff_of
from validator.rulebook.cache import DIGEST, FOLDER, cached_or_read
from validator.rulebook.reading import read_book
from validator.screening.mapping import read_mapping
from validator.screening.tables import BadTable, lines_of, rows_of
from validator.screening.template import HEADINGS, MAPPING, ROWS

Driver = Callable[[Random], None]
ONE_IN = 6  # inputs that are read are also judged; of those, one in so many is also printed


def drivers(folder: Path) -> dict[str, Driver]:
    """Each driver by what it spoils; `folder` is theirs to write in."""
    real = load_book(RULEBOOKS / "us")
    everything = load_book(RULEBOOKS / "us", everything=True)
    return {
        "assemblies": _assemblies(real),
        "books": _books(folder / "book"),
        "tables": _tables(folder / "tables", real),
        "workbooks": _workbooks(folder / "workbooks", real),
        "mappings": _mappings(folder / "mappings", real),
        "kept books": _kept_books(folder / "kept"),
        "cells and names": _cells_and_names,
        "more said": _more_said(Completing(everything)),
        "columns": _columns(real),
    }


# -- assemblies and books --------------------------------------------------------------------------------------------------------------


def _assemblies(loaded: LoadedBook) -> Driver:
    """Read, or refused with what could be read of it; that is judged, and the papers of what was read whole are written."""
    texts = [path.read_text(encoding="utf-8") for path in sorted(SAMPLES.glob("*.yaml"))]
    texts += [json.dumps({"places": {"w": {"kind": "shower wall", "built up": [{"board": {"material": "foam"}}, "tile"]}}})]

    def one(chance: Random) -> None:
        try:
            read = read_assembly(spoilt(chance.choice(texts), chance), "spoilt", loaded.vocabulary, loaded.catalogue)
        except BadText as bad:
            assert str(bad)
            so_far = getattr(bad, "so_far", None)
            for each in so_far.to_judge() if so_far is not None else ():
                assert check(each, loaded).as_told.unread_lines
            return
        for each in read.to_judge() if chance.random() < 1 / 2 else ():
            report = check(each, loaded, passes=True)
            assert report.outcome
            if chance.random() < 1 / ONE_IN:
                json.loads(as_json([report]))
                html = page((each,), [report], loaded)
                assert not re.search(UNSEEN, html.replace("\r", "")) and "<script>" not in html
                for cell in (cell for row in csv.reader(io.StringIO(as_csv(takeoff_of(each, loaded, wastes_of([]))), newline="")) for cell in row):
                    assert not cell.lstrip().startswith(("=", "+", "-", "@"))

    return one


def _books(folder: Path) -> Driver:
    """A whole small book, one file of it spoilt."""
    write_book(
        folder, rules={"all/deep-enough": rule(), "all/board-is-thick": rule("board-is-thick", requires={"board.thickness": {"at least": "1/2 in"}})},
        limits='least depth: {is: "2 in", what: Least depth, sources: {from: big code, known by: read second-hand}}\n',
        schedules=table("rows", "place.exposure", ["board.material"], "board.material,answer\nfoam,dry\nall other,wet\n"),
        consequences={"lined": consequence("lined", {"board.material": "foam"}, {"place.needs lining": "yes"})},
    )  # fmt: skip
    files = {path: path.read_text(encoding="utf-8") for path in sorted(folder.rglob("*.*")) if path.is_file()}

    def one(chance: Random) -> None:
        path = chance.choice(list(files))
        path.write_text(spoilt(files[path], chance), encoding="utf-8", errors="surrogatepass")
        try:
            LoadedBook(read_book(folder / "small"))
        except BadText as bad:
            assert str(bad)
        finally:
            path.write_text(files[path], encoding="utf-8")

    return one


def _kept_books(folder: Path) -> Driver:
    """A changed file is never taken for the book, whether or not what needs no key is made right."""
    small = write_book(folder / "shelf", rules={"all/deep-enough": rule()})

    def one(chance: Random) -> None:
        before = os.environ.get("XDG_CACHE_HOME")
        os.environ["XDG_CACHE_HOME"] = str(folder)
        try:
            found = cached_or_read([small], small.parent, read_book)
            (kept,) = (folder / FOLDER).glob("*.book")
            sound = kept.read_bytes()
            changed = spoilt_bytes(sound, chance)
            kept.write_bytes(changed if chance.random() < 0.5 else sound[:DIGEST] + changed[DIGEST:])
            again = cached_or_read([small], small.parent, read_book)
            assert list(again.rules) == list(found.rules) and kept.read_bytes() == sound
        finally:
            os.environ.pop("XDG_CACHE_HOME")
            os.environ |= {} if before is None else {"XDG_CACHE_HOME": before}

    return one


# -- screening -------------------------------------------------------------------------------------------------------------------------


def _sound_rows() -> list[list[str]]:
    """The template's headings, and rows of them."""
    return [list(HEADINGS), *(list(ROWS[turn % len(ROWS)]) for turn in range(12))]


def _mapped(folder: Path, loaded: LoadedBook, text: str = MAPPING):
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "mapping.yaml"
    path.write_text(text, encoding="utf-8", errors="surrogatepass")
    return read_mapping(path, loaded.vocabulary)


def _tables(folder: Path, loaded: LoadedBook) -> Driver:
    """Every line of a table that can be read stands in one of its rows, in their order."""
    mapping = _mapped(folder, loaded)
    rows = _sound_rows()
    written = {
        "t.csv": csv_of(rows),
        "t.jsonl": "".join(json.dumps(dict(zip(rows[0], row))) + "\n" for row in rows[1:]),
    }

    def one(chance: Random) -> None:
        name = chance.choice(list(written))
        heading, _, below = written[name].partition("\n") if name == "t.csv" else ("", "", written[name])
        text = spoilt(below, chance, 8) if chance.random() < 0.9 else spoilt(heading, chance)
        whole = f"{heading}\n{text}" if name == "t.csv" else text
        encoded = whole.encode("utf-8", "surrogatepass") if chance.random() < 0.9 else spoilt_bytes(whole.encode("utf-8", "surrogatepass"), chance)
        (folder / name).write_bytes(encoded)
        try:
            found = list(rows_of(folder / name, mapping))
            first = 2 if name == "t.csv" else 1  # the first row of a sheet is its headings
            assert [row.number for row in found] == list(range(first, first + len(found)))
            assert sum(row.lines for row in found) == lines_of(folder / name, mapping)
        except BadTable as bad:
            assert str(bad)

    return one


def _workbooks(folder: Path, loaded: LoadedBook) -> Driver:
    mapping = _mapped(folder, loaded)
    out = io.BytesIO()
    book = openpyxl.Workbook()
    for row in _sound_rows():
        book.active.append(row)
    book.save(out)

    def one(chance: Random) -> None:
        (folder / "t.xlsx").write_bytes(spoilt_workbook(out.getvalue(), chance))
        try:
            numbers = [row.number for row in rows_of(folder / "t.xlsx", mapping)]
            assert numbers == list(range(2, 2 + len(numbers)))
        except BadTable as bad:
            assert str(bad)

    return one


def _mappings(folder: Path, loaded: LoadedBook) -> Driver:
    """A mapping is refused, or it reads a sound table or says what that lacks."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "t.csv").write_text(csv_of(_sound_rows()), encoding="utf-8")
    more = 'encoding: latin-1\nseparator: ","\ndecimal comma: no\nheading row: 1\nas of: 2026-06-30\n'

    def one(chance: Random) -> None:
        try:
            mapping = _mapped(folder, loaded, spoilt(MAPPING + more, chance))
            list(rows_of(folder / "t.csv", mapping))
        except (BadText, BadTable) as bad:
            assert str(bad)

    return one


def _cells_and_names(chance: Random) -> None:
    """A cell holds no formula; a name that is shown holds nothing unseen, and is left alone where it holds none."""
    text = spoilt("=1+1 a, plain name of 1/2 in", chance)
    assert not inert(text).lstrip().startswith(("=", "+", "-", "@")) and not inert(text).startswith(("\t", "\r", "\n"))
    assert inert(inert(text)) == inert(text)
    assert not re.search(UNSEEN, shown(text))
    assert shown(text) == text or re.search(UNSEEN, text)


# -- engines ---------------------------------------------------------------------------------------------------------------------------


def _more_said(completing: Completing) -> Driver:
    """Saying more of a half-known place changes nothing that was settled, but what is meant to."""

    def one(chance: Random) -> None:
        engine = completing.loaded.engine
        half = completing.half(chance)
        before = engine.derive(half)
        for _ in range(3):
            after = engine.derive(completing.whole(half, chance))
            assert not completing.wider(before, after) and not completing.changed(before, after)

    return one


def _columns(loaded: LoadedBook) -> Driver:
    """The columns come to what the deciding engine comes to."""

    def one(chance: Random) -> None:
        places = ChancePlaces(loaded, chance.randrange(1 << 30))
        compared, differ = differences(loaded, [places.place(number) for number in range(20)])
        assert compared and not differ, differ[:3]

    return one
