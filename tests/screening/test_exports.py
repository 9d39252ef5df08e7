"""Sheets as other programs and other offices write them: totals and notes among the rows, headings in two rows, two registrations a row."""

import openpyxl
import polars as pl
import pytest
from openpyxl.styles import PatternFill
from test_lanes import DESK, HEADINGS, lines, mapped, refusal, run_whole, screened, write_csv

from validator.screening.known import Run

SOUND = {"Studs": "wood", "Tile": "12 x 24 in", "Board": "foam", "Thickness": "1/2", "Screw": "2", "Membrane": "there", "Fall": "1/4 in per ft"}


def rows_of(number: int) -> list[dict[str, str]]:
    return [{**row, **SOUND} for row in lines(number)]


@pytest.mark.parametrize("begins", ["Total", "Subtotal July", "Grand total", "SUM", "Average"])
def test_a_line_of_totals_is_no_registration_and_goes_to_a_person(tmp_path, begins):
    rows = [*rows_of(2), {**dict.fromkeys(HEADINGS, ""), "Registration": begins, "Screw": "2"}]
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows))
    assert results["lane"].to_list() == ["complete", "complete", "a person decides"]
    assert results["matter"][2] == f"`{begins}` begins a line of totals, and is hardly a registration"


def test_a_note_beneath_the_table_is_told_apart_from_a_registration(tmp_path):
    rows = [*rows_of(1), {**dict.fromkeys(HEADINGS, ""), "Registration": "* telephone the installer", "Owner": "somebody"}]
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows))
    assert results["reason"].to_list() == ["", "nothing but a registration number is written in the row"]


def test_a_registration_whose_number_only_resembles_a_total_is_judged(tmp_path):
    rows = [{**row, "Registration": number} for row, number in zip(rows_of(2), ("Sumner-12", "TOTALLY-4"))]
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows))
    assert results["lane"].to_list() == ["complete", "complete"]


def two_heading_rows(folder, form: str):
    """The same word twice beneath two others, as beneath merged cells."""
    upper, lower = ["", "", "", "", "", "Wall", "", "", "", "Floor"], [*HEADINGS[:5], "Kind", "Board", "Thickness", "Screw", "Membrane"]
    table = folder / f"t.{form}"
    cells = [["R-1", "2026-03-02", "ten", "A", "wood", "2", "foam", "1/2", "2", "1/4 in per ft"]]
    if form == "csv":
        table.write_text("\n".join(",".join(line) for line in (upper, lower, *cells)) + "\n")
    else:
        book = openpyxl.Workbook()
        for line in (upper, lower, *cells):
            book.active.append([each or None for each in line])
        book.active.merge_cells("F1:I1")
        book.save(table)
    return table


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_headings_in_two_rows_are_read_together(tmp_path, form):
    table = two_heading_rows(tmp_path, form)
    mapping = mapped(tmp_path)
    text = mapping.read_text().split("everywhere:")[0] + "heading row: 1 to 2\n"
    mapping.write_text(text + "places:\n  shower wall:\n    place.kind: {is: shower wall}\n    board.material: Wall Board\n    board.thickness: {heading: Wall Thickness, unit: in}\n"
                       "  shower floor:\n    place.kind: {is: shower floor}\n    place.fall: Floor Membrane\n")  # fmt: skip
    joined = run_whole(Run(table, mapping, DESK, tmp_path / "out"))
    results = pl.read_parquet(joined.results)
    assert (results["row"].to_list(), results["registration"].to_list(), results["untidy"].to_list()) == ([3], ["R-1"], [""])


def test_headings_that_stand_twice_are_said_to_be_told_apart_by_those_above(tmp_path):
    table = write_csv(tmp_path / "t.csv", rows_of(1))
    table.write_text(table.read_text().replace("Owner", "Board"))
    assert "or `heading row: 3 to 4`, where those above them tell them apart" in refusal(tmp_path, table)


def test_a_share_shown_in_percent_is_read_as_its_sheet_shows_it_and_colours_and_hidden_rows_change_nothing(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(HEADINGS)
    for fall, shown in ((0.021, "0.0%"), (0.01, "0%"), (0.02, "General")):
        row = {**rows_of(1)[0], "Registration": f"R-{fall}", "Fall": fall}
        book.active.append([row[h] for h in HEADINGS])
        book.active.cell(book.active.max_row, HEADINGS.index("Fall") + 1).number_format = shown
    book.active["A2"].fill = PatternFill("solid", fgColor="FFFF00")
    book.active.row_dimensions[3].hidden = True
    book.save(tmp_path / "t.xlsx")
    results, findings = screened(tmp_path, tmp_path / "t.xlsx")
    assert results["lane"].to_list() == ["complete", "technical review", "cells to tidy"]
    assert "1 %" in findings["found"][0] and results["untidy"][2] == "Fall `0.02`"


TWIN = """\
registration: Number {0}
without a number: skip
date: Finished
as of: 2026-11-30
places:
  shower floor:
    place.kind: {{is: shower floor}}
    place.fall: Fall {0}
"""


def test_each_of_two_registrations_in_a_row_is_screened_by_its_own_mapping(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Finished,Number A,Fall A,Number B,Fall B\n2026-03-02,A-1,1/4 in per ft,B-1,1/8 in per ft\n"
                     "2026-03-03,A-2,1/8 in per ft,,\n2026-03-04,,,B-3,1/4 in per ft\n2026-03-05,,,,1/4 in per ft\n")  # fmt: skip
    found = {}
    for which in "AB":
        mapping = tmp_path / f"{which}.yaml"
        mapping.write_text(TWIN.format(which))
        joined = run_whole(Run(table, mapping, DESK, tmp_path / which, piece=3))
        found[which] = joined.blank, pl.read_parquet(joined.results).select("row", "registration", "lane").rows()
    assert found["A"] == (2, [(2, "A-1", "complete"), (3, "A-2", "technical review")])
    assert found["B"] == (1, [(2, "B-1", "technical review"), (4, "B-3", "complete"), (5, "", "a person decides")])
