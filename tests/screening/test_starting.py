"""A mapping made by looking at a table: what seems to hold what, to be corrected; and it screens as it stands."""

from pathlib import Path

import openpyxl
import pytest
from screened import small_book
from typer.testing import CliRunner

from validator.cli import app
from validator.judging.loading import load_book
from validator.screening.mapping import read_mapping

VOCABULARY = load_book(Path(small_book())).vocabulary
HEADINGS = ["Reg No", "Install Date", "Owner", "Studs", "Backer board", "Thk (in)", "Screw Len", "Waterproofing", "Floor slope", "Tile Size", "Tile body", "Remarks"]
ROWS = [
    ["WR-1", "02/03/2026", "A B", "wood", "cement", "1/2", "1-5/8", "Y", "1/4 in per ft", "12x24", "porcelin", "called twice"],
    ["WR-2", "02/13/2026", "C D", "steel", "foam", "5/8", "1-1/4", "N", "2 %", "12x12", "ceramic", ""],
    ["WR-3", "4-Feb-26", "C D", "wood", "foam", "12.5", "2", "Y", "1/8 in per ft", "300 x 600 mm", "Porcelain", "see file"],
]


def started(folder: Path, name: str, lines: list[list[str]], separator: str = ",") -> str:
    table = folder / name
    if table.suffix == ".xlsx":
        book = openpyxl.Workbook()
        for line in lines:
            book.active.append(line)
        book.save(table)
    else:
        table.write_text("\n".join(separator.join(line) for line in lines), encoding="cp1252")
    done = CliRunner().invoke(app, ["screen", str(table), "--start", "--book", small_book()])
    assert done.exit_code == 0, done.output
    return table.with_suffix(".mapping.yaml").read_text(encoding="utf-8")


@pytest.mark.parametrize(("name", "separator", "title"), [("t.csv", ",", []), ("t.csv", ";", [["Registrations of spring"]]), ("t.xlsx", "", [["Title"], []])])
def test_the_columns_are_placed_and_the_mapping_can_be_read(tmp_path, name, separator, title):
    text = started(tmp_path, name, [*title, HEADINGS, *ROWS], separator)
    mapping = read_mapping(tmp_path / "t.mapping.yaml", VOCABULARY)
    assert (mapping.registration, mapping.date, mapping.date_order, mapping.personal) == ("Reg No", "Install Date", "mdy", ("Owner",))
    assert mapping.heading_row == len(title) + 1
    placed = {column.heading: (column.fact, column.unit) for group in mapping.groups for column in group.columns}
    assert placed == {
        "Studs": ("framing.material", ""), "Backer board": ("board.material", ""), "Thk (in)": ("board.thickness", "in"),
        "Screw Len": ("screw.length", "in"), "Waterproofing": ("membrane", ""), "Floor slope": ("place.fall", ""),
        "Tile Size": ("tile.size", "in"), "Tile body": ("tile.body", ""),
    }  # fmt: skip
    assert ("porcelin", "porcelain") in next(c.says for group in mapping.groups for c in group.columns if c.fact == "tile.body")
    assert "# Not placed." in text and "#   Remarks: `called twice`, `see file`" in text
    assert "board.fixed with: {is: screws}" in text


@pytest.mark.parametrize(
    ("heading", "cells", "fact", "unit"),
    [
        ("Screw", ["1-5/8", "2", "41"], "screw.length", "in"), ("Fall", ["1/4 in per ft", "2 %"], "place.fall", ""),
        ("Tile", ["12x24", "300x600"], "tile.size", ""), ("Tile", ["12x24", "12x12"], "tile.size", "in"),
        ("Board thickness", ["12.5", "15.9"], "board.thickness", "mm"), ("Board", ["foam", "cement"], "board.material", ""),
    ],
)  # fmt: skip
def test_a_bare_heading_is_what_its_thing_is_said_with_and_a_unit_is_proposed_only_where_no_cell_could_be_of_another(
    tmp_path, heading, cells, fact, unit
):
    started(tmp_path, "t.csv", [["No", heading], *([f"R-{n}", cell] for n, cell in enumerate(cells))])
    mapping = read_mapping(tmp_path / "t.mapping.yaml", VOCABULARY)
    assert {(column.fact, column.unit) for group in mapping.groups for column in group.columns} == {(fact, unit)}


def test_a_mapping_that_stands_there_is_left_alone(tmp_path):
    (tmp_path / "t.csv").write_text("A,B\n1,2\n")
    (tmp_path / "t.mapping.yaml").write_text("mine")
    done = CliRunner().invoke(app, ["screen", str(tmp_path / "t.csv"), "--start", "--book", small_book()])
    assert done.exit_code == 2 and "is there already" in done.stderr
    assert (tmp_path / "t.mapping.yaml").read_text() == "mine"


@pytest.mark.parametrize(("name", "content"), [("t.csv", b""), ("t.xlsx", b"PK no"), ("t.parquet", b"x"), ("t.doc", b"x"), ("t.jsonl", b"{oops")])
def test_what_is_no_table_is_said(tmp_path, name, content):
    (tmp_path / name).write_bytes(content)
    done = CliRunner().invoke(app, ["screen", str(tmp_path / name), "--start", "--book", small_book()])
    assert done.exit_code == 2 and "Accepted:" in done.stderr


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ([["No", "Board thickness (mm)"], ["R-1", '"12,5"'], ["R-2", "16"]], ["decimal comma: yes", "board.thickness: {heading: \"Board thickness (mm)\", unit: mm}"]),
        ([["No", "Area (sq ft)"], ["R-1", '"1,204"']], []),  # thousands, or decimals: nobody can tell
        ([["No", "Drain"], ["R-1", "bonding flange"]], ["  shower floor:\n    place.kind: {is: shower floor}\n    drain.kind: Drain"]),
        ([["No", "Flood test (hrs)"], ["R-1", "24"]], ["job:\n  flood test.held: {heading: \"Flood test (hrs)\", unit: h}"]),
        ([["", "", "Wall", "Floor"], ["No", "Day", "Thickness", "Thickness"], ["R-1", "2026-02-13", "1/2 in", "3/4 in"]],
         ["heading row: 1 to 2", "registration: \"No\"", "Wall Thickness"]),
        ([["Number A", "Fall A", "Number B", "Fall B"], ["1", "2 %", "2", "2 %"]], ["# Number B, Fall B ... seem to be of a second registration in the same row"]),
    ],
)  # fmt: skip
def test_what_the_table_is_like_stands_in_the_mapping_to_correct(tmp_path, lines, said):
    text = started(tmp_path, "t.csv", lines)
    assert [each for each in said if each not in text] == []
    assert ("decimal comma" in text) == ("decimal comma: yes" in said)
    read_mapping(tmp_path / "t.mapping.yaml", VOCABULARY)
