"""The desk's workbook: what a person writes in it is read back, beside the same registration, and nothing of it is lost."""

from pathlib import Path

import openpyxl
from test_lanes import DESK, MAPPING, lines, write_csv
from typer.testing import CliRunner

from validator.cli import app
from validator.screening.desk_workbook import NAME, SHEETS

PLAIN = {"Studs": "wood", "Tile": "12 x 24 in", "Board": "foam", "Thickness": "1/2", "Screw": "2", "Membrane": "there", "Fall": "1/4 in per ft"}


def screen(folder: Path, rows: list[dict[str, str]], *options: str) -> openpyxl.Workbook:
    table, mapping = write_csv(folder / "t.csv", rows), folder / "mapping.yaml"
    mapping.write_text(MAPPING)
    command = ["screen", str(table), "--mapping", str(mapping), "--out", str(folder / "out"), "--book", DESK[0], "--format", "xlsx", *options]
    done = CliRunner().invoke(app, command)
    assert done.exit_code == 0, done.output
    return openpyxl.load_workbook(folder / "out" / NAME)


def rows_of(*changes: dict[str, str]) -> list[dict[str, str]]:
    return [{**row, **PLAIN, **change} for row, change in zip(lines(len(changes)), changes)]


def table_in(book: openpyxl.Workbook, name: str) -> list[dict[str, object]]:
    headings, *rows = book[name].iter_rows(values_only=True)
    return [dict(zip(headings, row)) for row in rows]


def fill(folder: Path, name: str, row: int, **said: str) -> None:
    book = openpyxl.load_workbook(folder / "out" / NAME)
    headings = [cell.value for cell in book[name][1]]
    for heading, text in said.items():
        book[name].cell(row, headings.index(heading) + 1, text)
    book.save(folder / "out" / NAME)


def test_the_workbook_holds_every_registration_once_with_the_line_that_matters(tmp_path):
    book = screen(tmp_path, rows_of({}, {"Fall": "1/8 in per ft"}, {"Board": "fome"}))
    assert book.sheetnames == list(SHEETS[:-2])
    told = table_in(book, "Registrations")
    assert [(each["row"], each["lane"]) for each in told] == [(2, "complete"), (3, "technical review"), (4, "cells to tidy")]
    assert told[1]["matter"].startswith("shower floor: Falls enough. Found: fall 1/8 in per ft") and told[2]["matter"] == "Board `fome`"
    assert [(each["cell"], each["perhaps"], each["says"]) for each in table_in(book, "Cells to tidy")] == [("fome", "foam", None)]
    assert book["Registrations"].freeze_panes and book["Registrations"].auto_filter.ref
    assert len(book["Summary"]._charts) == 2


def test_decisions_and_notes_are_kept_beside_their_registrations_though_the_table_changes(tmp_path):
    rows = rows_of({}, {"Fall": "1/8 in per ft"}, {})
    screen(tmp_path, rows)
    fill(tmp_path, "Registrations", 3, decision="hold", note="wrote to them")
    fill(tmp_path, "Registrations", 4, decision="accept")
    told = table_in(screen(tmp_path, rows), "Registrations")
    assert [(each["decision"], each["note"]) for each in told] == [(None, None), ("hold", "wrote to them"), ("accept", None)]
    book = screen(tmp_path, rows[1:2] + rows[:1], "--again")
    assert [(each["registration"], each["decision"]) for each in table_in(book, "Registrations")] == [("R-00001", "hold"), ("R-00000", None)]
    assert [(each["registration"], each["decision"]) for each in table_in(book, "Earlier decisions")] == [("R-00002", "accept")]
    back = screen(tmp_path, rows, "--again")
    assert [each["decision"] for each in table_in(back, "Registrations")] == [None, "hold", "accept"]


def test_cells_tidied_in_the_workbook_are_read_at_the_next_run(tmp_path):
    rows = rows_of({"Board": "fome"})
    screen(tmp_path, rows)
    fill(tmp_path, "Cells to tidy", 2, says="foam")
    for _ in range(2):
        book = screen(tmp_path, rows)
        assert [each["lane"] for each in table_in(book, "Registrations")] == ["complete"]
        assert [each["says"] for each in table_in(book, "Cells to tidy")] == ["foam"]


def test_no_cell_of_the_workbook_is_a_formula(tmp_path):
    book = screen(tmp_path, rows_of(*({"Registration": text, "Term": text, "Board": text} for text in ("=1+1", "+1", "@x", "-2"))))
    for sheet in book:
        assert not [cell for line in sheet.iter_rows() for cell in line if cell.data_type == "f"]


def test_a_workbook_that_cannot_be_read_is_not_written_over(tmp_path):
    screen(tmp_path, rows_of({}))
    (tmp_path / "out" / NAME).write_text("not a workbook")
    command = ["screen", str(tmp_path / "t.csv"), "--mapping", str(tmp_path / "mapping.yaml"), "--out", str(tmp_path / "out"), "--book", DESK[0],
               "--format", "xlsx"]  # fmt: skip
    done = CliRunner().invoke(app, command)
    assert done.exit_code == 2 and "may hold decisions" in done.stderr
    assert (tmp_path / "out" / NAME).read_text() == "not a workbook"
