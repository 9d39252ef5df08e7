"""What a clerk's sheet really holds: dates in every form, units left out, words misspelt. All of it is read, or asked about once."""

import csv
from pathlib import Path

import openpyxl
import polars as pl
import pytest
from test_lanes import DAY, DESK, HEADINGS, lines, mapped, run_whole, screened, write_csv

from validator.judging.loading import load_book
from validator.screening.cells import EITHER_DAY, CellReader
from validator.screening.dates import read_day
from validator.screening.known import Run
from validator.screening.mapping import Column, Group
from validator.screening.rows import BadTable
from validator.screening.running import begun, screener_of
from validator.screening.tidying import COLUMNS, SHEET, filled_in

LOADED = load_book(Path(DESK[0]))
PLAIN = {"Studs": "wood", "Tile": "12 x 24 in", "Board": "foam", "Thickness": "1/2", "Screw": "2", "Membrane": "there", "Fall": "1/4 in per ft"}


def rows_of(*changes: dict[str, str]) -> list[dict[str, str]]:
    return [{**row, **PLAIN, **change} for row, change in zip(lines(len(changes)), changes)]


def sheet_of(folder: Path) -> list[dict[str, str]]:
    with (folder / "out" / SHEET).open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def again(folder: Path, table: Path, more: str = "") -> pl.DataFrame:
    """The same command once more, in the same folder."""
    run = Run(table, mapped(folder, more), DESK, folder / "out", piece=40, filled=filled_in(folder / "out" / SHEET))
    return pl.read_parquet(run_whole(run).results)


# -- dates ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("cell", "day"),
    [
        ("2026-02-04", "2026-02-04"), ("2026/2/4", "2026-02-04"), ("20260204", "2026-02-04"), ("2026-02-04 14:30", "2026-02-04"),
        ("2026-02-04T14:30:00Z", "2026-02-04"), ("4-Feb-26", "2026-02-04"), ("4 February 2026", "2026-02-04"),
        ("February 4, 2026", "2026-02-04"), ("Feb. 4 2026 3:05 PM", "2026-02-04"), ("Wed, 4th Feb 2026", "2026-02-04"),
        ("02/13/2026", "2026-02-13"), ("13/02/2026", "2026-02-13"), ("13.2.26", "2026-02-13"), ("4-Sept-1999", "1999-09-04"),
        ("2026-02", "2026-02"), ("Feb 2026", "2026-02"), ("2/2026", "2026-02"), ("", ""),
    ],
)  # fmt: skip
def test_a_date_is_read_in_every_usual_form(cell, day):
    read = read_day(cell, "", DAY)
    assert (read.problem, {read.day_first, read.month_first} - {""}) == ("", {day} - {""})


@pytest.mark.parametrize(
    ("cell", "order", "problem", "perhaps"),
    [
        ("31/02/2026", "", "`31/02/2026` is not a date", ""),
        ("last tuesday", "", "`last tuesday` is not a date", ""),
        ("46057", "", "`46057` is not a date", "2026-02-04"),
        ("2031-02-04", "", "`2031-02-04` lies after 2026-11-30", ""),
        ("4-Feb-1926", "", "`4-Feb-1926` lies before 1950", ""),
        ("02/04/2031", "", "`02/04/2031` lies after 2026-11-30", ""),
        ("13/02/2026", "mdy", "`13/02/2026` is not a date with the month first", "2026-02-13"),
        ("26-02-04", "", "`26-02-04` does not say which of its figures is the year", ""),
    ],
)
def test_a_date_that_is_none_or_cannot_be_is_named(cell, order, problem, perhaps):
    assert read_day(cell, order, DAY)[2:] == (problem, perhaps)


@pytest.mark.parametrize(
    ("cells", "more", "days", "said"),
    [
        (["02/03/2026", "02/13/2026"], "", ["2026-02-03", "2026-02-13"],
         "Installed: 1 date could be read two ways and is read with the month first, since row 3 (2026-02-13) can be read no other way"),
        (["02/03/2026", "05/05/2026"], "", ["", "2026-05-05"],
         "Installed: of 1 date it cannot be told whether the day or the month stands first (no date of the column settles it). "
         "Accepted: `date order: mdy` or `date order: dmy` in the mapping"),
        (["02/03/2026", "13/02/2026", "02/13/2026"], "", ["", "2026-02-13", "2026-02-13"],
         "Installed: of 1 date it cannot be told whether the day or the month stands first (rows 3 and 4 differ in it). "
         "Accepted: `date order: mdy` or `date order: dmy` in the mapping"),
        (["02/03/2026", "2026-02-13"], "date order: dmy\n", ["2026-03-02", "2026-02-13"], ""),
    ],
)  # fmt: skip
def test_the_order_of_day_and_month_is_the_mappings_or_the_columns_own_or_asked_once(tmp_path, cells, more, days, said):
    table = write_csv(tmp_path / "t.csv", rows_of(*({"Installed": cell} for cell in cells)))
    joined = run_whole(Run(table, mapped(tmp_path, more), DESK, tmp_path / "out", piece=1))
    assert pl.read_parquet(joined.results)["installed"].to_list() == days
    assert joined.dates == ((said,) if said else ())


def test_the_date_cells_of_a_spreadsheet_are_dates(tmp_path):
    book = openpyxl.Workbook()
    book.active.append(HEADINGS)
    book.active.append([{**lines(1)[0], "Installed": DAY}[h] for h in HEADINGS])
    book.save(tmp_path / "t.xlsx")
    assert screened(tmp_path, tmp_path / "t.xlsx")[0]["installed"].to_list() == ["2026-11-30"]


# -- units ------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fact", "unit", "cell", "same_as"),
    [
        ("tile.size", "in", "12x24", "12 x 24 in"), ("tile.size", "in", "12 by 24", "12 x 24 in"), ("tile.size", "mm", "300×600", "300 x 600 mm"),
        ("tile.size", "in", "300 x 600 mm", "300 x 600 mm"), ("board.thickness", "in", "12.7 mm", "1/2 in"), ("board.thickness", "mm", "12.7", "1/2 in"),
    ],
)  # fmt: skip
def test_the_unit_of_a_column_holds_where_the_cell_says_none(fact, unit, cell, same_as):
    assert read(fact, unit, cell).facts == read(fact, "", same_as).facts != ()


@pytest.mark.parametrize(
    ("fact", "unit", "cell", "perhaps", "said"),
    [
        ("board.thickness", "in", "12.5", "12.5 mm", "perhaps millimeters"), ("screw.length", "in", "41", "41 mm", "perhaps millimeters"),
        ("tile.size", "in", "300x600", "300 x 600 mm", "perhaps millimeters"), ("screw.length", "mm", "1", "1 in", "perhaps inches"),
        ("board.thickness", "in", "125", "", " is unusual, usually "), ("board.thickness", "", "500 in", "", " is unusual, usually "),
    ],
)  # fmt: skip
def test_a_number_that_cannot_be_of_its_unit_is_named_and_never_swallowed(fact, unit, cell, perhaps, said):
    found = read(fact, unit, cell)
    assert found.facts == () and found.perhaps == perhaps and said in found.problem


@pytest.mark.parametrize(("cell", "same_as"), [("4-Feb-26", "2026-02-04"), ("02/13/2026", "2026-02-13"), ("2026-02-04", "2026-02-04")])
def test_a_fact_that_is_a_day_is_read_in_the_same_forms(cell, same_as):
    assert read("job.completion", "", cell).facts == read("job.completion", "", same_as).facts != ()


def test_a_fact_that_may_be_either_day_is_asked():
    assert read("job.completion", "", "02/03/2026")[2:] == (EITHER_DAY, "")


@pytest.mark.parametrize(
    ("cells", "more", "days", "asked"),
    [
        (["02/03/2026", "02/13/2026"], "", ["2026-02-03", "2026-02-13"], []),
        (["02/03/2026", "13/02/2026", ""], "", ["2026-03-02", "2026-02-13", ""], []),
        (["02/03/2026", "2026-02-13"], "date order: dmy\n", ["2026-03-02", "2026-02-13"], []),
        (["02/03/2026", "04/05/2026", "2026-02-13"], "", ["", "", "2026-02-13"], [("02/03/2026", "2")]),
        (["02/03/2026", "13/02/2026", "02/13/2026"], "", ["", "2026-02-13", "2026-02-13"], [("02/03/2026", "1")]),
    ],
)  # fmt: skip
def test_the_days_of_a_fact_are_read_by_the_mapping_or_their_own_column_or_asked_about_once(tmp_path, cells, more, days, asked):
    table = write_csv(tmp_path / "t.csv", rows_of(*({"Owner": cell} for cell in cells)))
    mapping = mapped(tmp_path, more)
    mapping.write_text(mapping.read_text().replace("personal: [Owner]\n", "") + "job:\n  job.completion: Owner\n")
    run = Run(table, mapping, DESK, tmp_path / "out", piece=1)
    joined = run_whole(run)
    with begun(run) as work:
        reader = screener_of(run, work.known).readers[-1]
    (column,) = [column for column in reader.group.columns if column.fact == "job.completion"]
    plain = Column("job.completion", "Heading")

    def stated(own: Column, texts: list[str]) -> list[list[tuple]]:
        return [[fact for fact in reader.read(own, text).facts if fact[2]] for text in texts]

    assert stated(column, cells) == stated(plain, days)
    assert [(line["cell"], line["rows"]) for line in sheet_of(tmp_path)] == asked
    assert len(joined.dates) == ("02/03/2026" in cells and not more)


@pytest.mark.parametrize(
    ("decimal_comma", "fact", "unit", "cell", "same_as"),
    [
        ("yes", "board.thickness", "mm", "12,7", "12.7 mm"), ("yes", "tile.size", "cm", "29,8 x 59,8", "29.8 x 59.8 cm"),
        ("yes", "place.area", "sq ft", "1.204,5", "1204.5 sq ft"), ("yes", "board.thickness", "in", "0.625", "5/8 in"),
        ("no", "place.area", "sq ft", "1,204", "1204 sq ft"), ("", "board.thickness", "in", "½", "1/2 in"),
        ("", "screw.length", "in", "1\u00a0⅝", "1-5/8 in"), ("", "screw.length", "in", "1⅝", "1-5/8 in"), ("", "board.thickness", "in", "1⁄2", "1/2 in"),
        ("", "place.fall", "%", "2", "2 %"), ("", "tile.size", "in", "11¾ x 23½", "11-3/4 x 23-1/2 in"),
    ],
)  # fmt: skip
def test_figures_are_read_with_the_commas_points_and_fractions_of_whoever_typed_them(decimal_comma, fact, unit, cell, same_as):
    assert read(fact, unit, cell, decimal_comma=decimal_comma).facts == read(fact, "", same_as).facts != ()


@pytest.mark.parametrize(
    ("decimal_comma", "cell", "perhaps"),
    [("yes", "1.250", "1250 mm or 1.250 mm"), ("", "1,250", "1250 mm or 1.250 mm"), ("", "12,5", "12.5 mm"), ("no", "12,5", "")],
)
def test_a_mark_that_may_stand_between_thousands_or_before_decimals_is_asked_about(decimal_comma, cell, perhaps):
    found = read("board.thickness", "mm", cell, decimal_comma=decimal_comma)
    assert found.facts == () and found.problem and found.perhaps == perhaps


def test_what_somebody_says_of_an_unusual_number_is_believed():
    assert read("board.thickness", "in", "4", says=(("4", "4 in"),)).facts


def read(fact: str, unit: str, cell: str, says: tuple = (), decimal_comma: str = ""):
    column = Column(fact, "Heading", unit, says)
    return CellReader(LOADED.vocabulary, LOADED.engine.deriver.slots, Group("wall", "place", (column,)), decimal_comma).read(column, cell)


# -- cells to tidy ------------------------------------------------------------------------------------------------------------------


def test_a_cell_that_cannot_be_read_leaves_the_row_judged_as_if_it_were_blank(tmp_path):
    unread = [("Board", "fome"), ("Thickness", "half a dozen"), ("Fall", "3 mm"), ("Tile", "big"), ("Thickness", "=1/2")]
    changes = [{heading: said} for heading, cell in unread for said in (cell, "")]
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows_of(*changes)))
    counts = results.select("strictly", "open", "waiting", "reason").rows()
    assert counts[::2] == counts[1::2]
    assert results["untidy"].to_list()[::2] == [f"{heading} `{cell}`" for heading, cell in unread]
    assert set(results["untidy"].to_list()[1::2]) == {""}
    assert set(results["lane"].to_list()[::2]) == {"cells to tidy"}


def test_a_row_waits_only_for_a_cell_that_could_decide_something(tmp_path):
    rows = rows_of({"Tile": "big"}, {"Installed": "whenever"}, {"Tile": "big"})
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows))
    assert results["lane"].to_list() == ["cells to tidy", "complete", "cells to tidy"]
    assert results["untidy"].to_list() == ["Tile `big`", "Installed `whenever`", "Tile `big`"]


def test_every_different_cell_stands_once_in_the_sheet_with_what_it_might_be(tmp_path):
    rows = rows_of({"Board": "fome"}, {"Board": " Fome "}, {"Board": "fome", "Thickness": "12.5"}, {"Studs": "unsteel"}, {"Tile": "=fome"})
    screened(tmp_path, write_csv(tmp_path / "t.csv", rows), piece=2)
    told = [tuple(line[each] for each in ("heading", "cell", "perhaps", "rows", "says")) for line in sheet_of(tmp_path)]
    assert told == [
        ("Board", "Fome", "foam", "3", ""), ("Thickness", "12.5", "12.5 mm", "1", ""), ("Tile", "'=fome", "", "1", ""),
        ("Studs", "unsteel", "", "1", ""),
    ]  # fmt: skip


@pytest.mark.parametrize("separator", [",", ";"])
def test_the_filled_sheet_is_read_at_the_next_run_and_kept(tmp_path, separator):
    table = write_csv(tmp_path / "t.csv", rows_of({"Board": "fome"}, {"Installed": "whenever"}, {"Tile": "=1"}))
    screened(tmp_path, table)
    lines_of_it = sheet_of(tmp_path)
    meant = {"fome": "foam", "whenever": "2026-05-01", "'=1": "12 x 12 in"}
    with (tmp_path / "out" / SHEET).open("w", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, delimiter=separator)
        writer.writeheader()
        writer.writerows({**line, "says": meant[line["cell"]]} for line in lines_of_it)
    for _ in range(2):
        results = again(tmp_path, table)
        assert results["untidy"].to_list() == ["", "", ""]
        assert results["installed"][1] == "2026-05-01"
        assert {(line["cell"], line["says"]) for line in sheet_of(tmp_path)} == set(meant.items())


def test_a_sheet_that_is_none_is_refused_and_left_as_it_is(tmp_path):
    path = tmp_path / SHEET
    path.write_text("heading,something\na,b\n")
    with pytest.raises(BadTable, match="lacks the column `cell`. Accepted: the headings that it was written with"):
        filled_in(path)
    assert path.read_text() == "heading,something\na,b\n"


def test_the_rows_are_numbered_as_the_sheet_counts(tmp_path):
    book = openpyxl.Workbook()
    for cells in (["Registrations of spring"], [], HEADINGS, [lines(1)[0][h] for h in HEADINGS]):
        book.active.append(cells)
    book.active.merge_cells("A1:C1")
    book.save(tmp_path / "t.xlsx")
    results, _ = screened(tmp_path, tmp_path / "t.xlsx", more="heading row: 3\n")
    assert results["row"].to_list() == [4]
