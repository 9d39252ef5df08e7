"""A run of many registrations: none is lost, none keeps an old answer, and nothing is taken that is not the run's own."""

import csv
import json
import re
import shutil
from pathlib import Path

import openpyxl
import polars as pl
import pytest
from openpyxl.chart import BarChart
from test_lanes import DESK, HEADINGS, lines, mapped, run_whole, screened, write_csv

from validator.judging.loading import load_book
from validator.language.source import BadAssembly
from validator.screening.joining import RowsLost, join
from validator.screening.known import Run
from validator.screening.mapping import read_mapping
from validator.screening.pieces import path_of
from validator.screening.rows import BadTable
from validator.screening.running import begun, judge_here, screener_of
from validator.screening.tables import rows_of

READY = load_book(Path(DESK[0]))


@pytest.fixture(scope="module")
def mapping(tmp_path_factory) -> Path:
    return mapped(tmp_path_factory.mktemp("mapping"))


@pytest.fixture(scope="module")
def judged(tmp_path_factory, mapping) -> Run:
    """Sixty rows in three pieces, done."""
    folder = tmp_path_factory.mktemp("judged")
    run = Run(write_csv(folder / "t.csv", lines(60)), mapping, DESK, folder / "out", piece=20)
    run_whole(run)
    return run


@pytest.fixture
def done(judged, tmp_path) -> Run:
    """The same, to be spoilt."""
    shutil.copytree(judged.table.parent, tmp_path, dirs_exist_ok=True)
    return judged._replace(table=tmp_path / "t.csv", out=tmp_path / "out")


def rows_in(folder: Path, text: str, name: str = "t.csv", more: str = "") -> list:
    table = folder / name
    table.write_bytes(text.encode("utf-8", "surrogatepass"))
    return list(rows_of(table, read_mapping(mapped(folder, more), READY.vocabulary)))


def written(rows: list[dict[str, str]]) -> list[str]:
    """The lines of a CSV of some rows, headings first, with no cell in quotation marks."""
    return [",".join(HEADINGS), *(",".join(row[h] for h in HEADINGS) for row in rows)]


def refused(run: Run, again: bool = False) -> str:
    with pytest.raises(BadTable) as bad:
        run_whole(run, again)
    return str(bad.value)


# -- every line of a table ---------------------------------------------------------------------------------------------------------


def test_a_stray_quotation_mark_costs_its_own_row_only(tmp_path):
    text = written(lines(199))
    text[10] = text[10].replace("Nobody Atall", '"Nobody Atall')
    (tmp_path / "t.csv").write_text("\n".join(text) + "\n")
    results, _ = screened(tmp_path, tmp_path / "t.csv")
    assert results["registration"].to_list() == [f"R-{n:05}" for n in range(199)]
    unread = results.filter(pl.col("as told") == "unreadable")
    assert unread["row"].to_list() == [11]
    assert unread["reason"].to_list() == ["a quotation mark opens a cell, and none closes it"]
    assert unread["lane"].to_list() == ["a person decides"]


@pytest.mark.parametrize("between", [0, 1, 5])
@pytest.mark.parametrize("heading", ["Registration", "Owner", "Fall"])
def test_two_stray_quotation_marks_in_one_column_swallow_no_row_between_them(tmp_path, heading, between):
    rows = [row | {"Fall": "2 %"} for row in lines(12)]
    rows[2] |= {heading: f'"{rows[2][heading]}'}
    rows[3 + between] |= {heading: f'{rows[3 + between][heading]}"'}
    found = rows_in(tmp_path, "\n".join(written(rows)) + "\n")
    assert [row.number for row in found] == list(range(2, 14))
    assert {row.number for row in found if row.problem} == {4}
    kept = [row.cells["Registration"].strip('"') for row in found]
    assert kept == [row["Registration"].strip('"') for row in rows]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("heading", ["Registration", "Owner", "Fall"])
def test_a_cell_on_several_lines_is_one_cell(tmp_path, heading, end):
    rows = lines(3)
    rows[1] |= {heading: f"one, and two{end}three{end}{end}four"}
    with (tmp_path / "t.csv").open("w", newline="") as file:
        writer = csv.DictWriter(file, HEADINGS, lineterminator=end)
        writer.writeheader()
        writer.writerows(rows)
    found = rows_in(tmp_path, (tmp_path / "t.csv").read_bytes().decode())
    assert [(row.number, row.problem, row.lines) for row in found] == [(2, "", 1), (3, "", 4), (4, "", 1)]


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ('"1/2" board', "a quotation mark stands where no cell begins or ends"),
        ('"' + "x" * 200_000 + '"', "a cell holds more than 100,000 letters, or a quotation mark opens it and none closes it"),
        ("x" * 1_200_000, "the line is longer than 1,000,000 letters"),
    ],
)
def test_a_line_that_cannot_be_read_keeps_its_number_and_says_why(tmp_path, cell, said):
    rows = lines(3)
    rows[1] |= {"Board": cell}
    found = rows_in(tmp_path, "\n".join(written(rows)) + "\n")
    assert [(row.problem, row.cells["Registration"]) for row in found] == [("", "R-00000"), (said, "R-00001"), ("", "R-00002")]


def test_a_json_line_that_is_too_long_costs_its_own_row_only(tmp_path):
    text = "\n".join(json.dumps({"Registration": f"R-{n}", "Owner": "x" * (1_500_000 if n == 1 else 1)}) for n in range(3))
    assert [row.problem for row in rows_in(tmp_path, text, "t.jsonl")] == ["", "the line is longer than 1,000,000 letters", ""]


def test_half_of_a_letter_and_a_cell_too_long_for_any_fact_leave_the_row_to_be_judged_and_go_to_a_person(tmp_path):
    table = tmp_path / "t.jsonl"
    table.write_text('{"Registration": "R-1", "Board": "\\ud800"}\n{"Registration": "R-2", "Board": "' + "foam." * 300 + '"}\n')
    results, _ = screened(tmp_path, table)
    assert results["reason"].to_list() == [
        "`Board` holds half of a letter, which cannot be written", "`Board` holds 1,500 letters, and at most 1,000 are read",
    ]  # fmt: skip
    assert "unreadable" not in results["as told"].to_list()


def test_a_run_that_accounts_for_fewer_rows_than_its_table_has_says_so(done):
    with begun(done) as work:
        own = screener_of(done, work.known)
        with pytest.raises(RowsLost, match="t.csv has 60 lines, and 40 of them were judged"):
            join(work, 2, own)
        work.done[1] = work.done[1]._replace(rows=19)
        with pytest.raises(RowsLost, match="of the 3 pieces of t.csv some are not there or not whole"):
            join(work, 3, own)


# -- what a run is known by ----------------------------------------------------------------------------------------------------------


def test_a_table_corrected_far_down_is_another_run(tmp_path, mapping):
    rows = [row | {"Owner": "x" * 400} for row in lines(3_000)]
    rows[-1] |= {"Fall": "1/8 in per ft"}
    run = Run(write_csv(tmp_path / "t.csv", rows), mapping, DESK, tmp_path / "out")
    assert run.table.stat().st_size > 1 << 20
    before = pl.read_parquet(run_whole(run).findings).filter(pl.col("row") == 3_001)
    rows[-1] |= {"Fall": "1/4 in per ft"}
    write_csv(run.table, rows)
    assert refused(run).endswith("out holds another run: its table says something else. Accepted: another folder, or --again to begin anew")
    after = pl.read_parquet(run_whole(run, again=True).findings).filter(pl.col("row") == 3_001)
    assert not after.equals(before)


def test_a_table_that_changes_while_it_is_read_gives_no_answers(done):
    path_of(done, "piece", 1).unlink()
    (done.out / "results.parquet").unlink()
    with pytest.raises(BadTable, match="what is read for it has changed meanwhile: its table says something else"):
        with begun(done) as work:
            count = judge_here(work, lambda rows: None)
            write_csv(done.table, lines(60, seed=2))
            join(work, count, screener_of(done, work.known))
    assert not (done.out / "results.parquet").exists()
    write_csv(done.table, lines(60))
    with begun(done) as work:
        assert set(work.done) == {0, 2}


@pytest.mark.parametrize("kind", ["results", "findings", "piece"])
@pytest.mark.parametrize("damage", [lambda was: b"", lambda was: was[: len(was) // 2], lambda was: b"!" + was[1:]])
def test_a_damaged_piece_is_judged_again(done, judged, kind, damage):
    path = path_of(done, kind, 1)
    path.write_bytes(damage(path.read_bytes()))
    with begun(done) as work:
        assert set(work.done) == {0, 2}
        judge_here(work, lambda rows: None)
    for each in ("results", "findings", "piece"):
        assert path_of(done, each, 1).read_bytes() == path_of(judged, each, 1).read_bytes()


@pytest.mark.parametrize("said", [b"", b"[]", b"{", b"[" * 100_000, b"null"])
def test_a_run_whose_own_file_is_damaged_goes_on_by_its_receipts(done, said):
    (done.folder / "run.json").write_bytes(said)
    with begun(done) as work:
        assert set(work.done) == {0, 1, 2}
    (done.folder / "run.json").write_bytes(said)
    write_csv(done.table, lines(61))
    assert "out holds another run: what it was cannot be read." in refused(done)


# -- nothing of anybody else's -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("theirs", ["pieces/thesis.txt", "pieces/results-0000000.parquet", "results.csv", "summary.html"])
@pytest.mark.parametrize("again", [False, True])
def test_a_folder_that_holds_what_no_run_wrote_is_left_alone(tmp_path, mapping, theirs, again):
    path = tmp_path / "out" / theirs
    path.parent.mkdir(parents=True)
    path.write_text("years of work")
    run = Run(write_csv(tmp_path / "t.csv", lines(20)), mapping, DESK, tmp_path / "out")
    assert refused(run, again).endswith(f"out holds what no run wrote: {theirs}. Accepted: another folder")
    assert path.read_text() == "years of work"


def test_beginning_anew_takes_away_only_what_the_runs_own_list_names(done):
    (done.folder / "thesis.txt").write_text("years of work")
    (done.folder / "results-9999999.parquet").write_text("years of work")
    (done.folder / "a folder").mkdir()
    write_csv(done.table, lines(20))
    run_whole(done, again=True)
    assert sorted(path.name for path in done.folder.iterdir()) == [
        "a folder", "findings-0000000.parquet", "piece-0000000.json", "questions-0000000.parquet", "results-0000000.parquet", "results-9999999.parquet", "run.json",
        "terms-0000000.parquet", "thesis.txt", "untidy-0000000.parquet",
    ]  # fmt: skip


def test_two_runs_at_once_in_one_folder_are_told_of_each_other(tmp_path, mapping):
    run = Run(write_csv(tmp_path / "t.csv", lines(20)), mapping, DESK, tmp_path / "out")
    with begun(run):
        assert refused(run).startswith(f"another run is at work in {tmp_path / 'out'}. Accepted: ")
    run_whole(run)


def test_a_folder_that_cannot_be_written_is_said_in_one_line(tmp_path, mapping):
    (tmp_path / "out").write_text("a file")
    run = Run(write_csv(tmp_path / "t.csv", lines(20)), mapping, DESK, tmp_path / "out")
    assert refused(run) == f"{tmp_path / 'out'} cannot be written: Not a directory. Accepted: a folder of your own with room in it; then the same command"


# -- what claims to be more than it is -----------------------------------------------------------------------------------------------


def workbook(folder: Path, fill) -> Path:
    book = openpyxl.Workbook()
    book.active.append(HEADINGS)
    fill(book)
    book.save(folder / "t.xlsx")
    return folder / "t.xlsx"


def test_a_workbook_with_one_cell_in_its_last_row_is_refused_at_once(tmp_path, mapping):
    def fill(book: openpyxl.Workbook) -> None:
        book.active.cell(1_048_576, 1, "R-1")
        book.active.cell(2, 5_000, "far out")

    table = workbook(tmp_path, fill)
    run = Run(table, mapping, DESK, tmp_path / "out")
    assert refused(run) == (
        "row 1,048,576 of t.xlsx stands beneath more than 10,000 blank rows. Accepted: a sheet without such a gap, or a CSV"
    )


def test_a_sheet_that_holds_a_chart_alone_is_passed_over(tmp_path):
    def fill(book: openpyxl.Workbook) -> None:
        book.worksheets[0].append([lines(1)[0][h] for h in HEADINGS])
        book.create_chartsheet("a chart", 0).add_chart(BarChart())

    results, _ = screened(tmp_path, workbook(tmp_path, fill))
    assert results["registration"].to_list() == ["R-00000"]


# -- mappings --------------------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("was", "becomes", "said"),
    [
        ("date: Installed", 'separator: ""', "cells are not separated by ``. Accepted: `,`, `;`, `|` or `tab`"),
        ("date: Installed", 'separator: ";;"', "cells are not separated by `;;`"),
        ("date: Installed", "separator: a", "cells are not separated by `a`"),
        ("date: Installed", "encoding: undefined", "`encoding: undefined` is no encoding of text"),
        ("date: Installed", "encoding: base64", "`encoding: base64` is no encoding of text"),
        ("date: Installed", "encoding: nonesuch", "`encoding: nonesuch` is no encoding of text"),
        ("registration: Registration", 'registration: ""', "a mapping names the column of registration numbers"),
    ],
)
def test_a_mapping_with_an_odd_separator_encoding_or_registration_is_refused(tmp_path, was, becomes, said):
    path = mapped(tmp_path)
    path.write_text(path.read_text().replace(was, becomes))
    with pytest.raises(BadAssembly, match=re.escape(said)):
        read_mapping(path, READY.vocabulary)


@pytest.mark.parametrize("said", ['"\\t"', "tab"])
def test_cells_may_be_separated_by_tabs(tmp_path, said):
    text = "\n".join(line.replace(",", "\t") for line in written(lines(3)))
    found = rows_in(tmp_path, text, more=f"separator: {said}\n")
    assert [row.cells["Registration"] for row in found] == ["R-00000", "R-00001", "R-00002"]


def test_a_table_that_is_not_in_its_encoding_is_refused(tmp_path):
    with pytest.raises(BadTable, match="t.csv is not written in utf-16. Accepted: "):
        rows_in(tmp_path, "\n".join(written(lines(3))), more="encoding: utf-16\n")
