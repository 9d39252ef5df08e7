"""A table of registrations: each goes to one lane, nothing is lost or done twice, and a bad table says what it wants."""

import csv
import json
import os
import re
import signal
import subprocess
import sys
import time
import zipfile
from datetime import date
from pathlib import Path
from random import Random

import openpyxl
import polars as pl
import pytest
from few_rules import few_rules
from paths import ROOT, RULEBOOKS
from screened import small_book
from typer.testing import CliRunner

from validator.cli import app
from validator.engines.deciding import RANK
from validator.judging.loading import load_book
from validator.judging.open_matters import OpenMatters
from validator.language.source import BadAssembly
from validator.screening.described import subject_of_row
from validator.screening.joining import Joined, join
from validator.screening.judging import LANES, Screener
from validator.screening.known import Run
from validator.screening.mapping import read_mapping
from validator.screening.rows import BadTable, Row, rows_of_each
from validator.screening.running import begun, judge_here, screener_of
from validator.screening.tables import rows_of
from validator.screening.unread import unread_facts

WHOLE = RULEBOOKS / "us"
BOOK = (str(few_rules()),)  # of a tenth of its rules, where lanes and files are tried and not the rules
DAY = date(2026, 11, 30)
DESK = (small_book(),)
MAPPING = """\
registration: Registration
date: Installed
as of: 2026-11-30
programme: Term
personal: [Owner]
everywhere:
  framing.material: Studs
  tile.size: Tile
places:
  shower wall:
    place.kind: {is: shower wall}
    board.material: {heading: Board, says: {GB: plain gypsum}}
    board.thickness: {heading: Thickness, unit: in}
    screw.length: {heading: Screw, unit: in}
    membrane: Membrane
  shower floor:
    place.kind: {is: shower floor}
    place.fall: Fall
"""
HEADINGS = ["Registration", "Installed", "Term", "Owner", "Studs", "Tile", "Board", "Thickness", "Screw", "Membrane", "Fall"]
WORDS = {
    "Term": ["ten years", "lifetime"], "Owner": ["Nobody Atall"], "Studs": ["wood", "steel", "wood or steel", ""],
    "Tile": ["12 x 24 in", "300 x 600 mm", ""], "Board": ["foam", "cement", "GB", "none", "foam or cement", ""],
    "Thickness": ["1/2", "5/8", "0.25", "1/2 to 5/8", ""], "Screw": ["1-5/8", "2", "1-1/8", "at least 1", ""],
    "Membrane": ["there", "none", ""], "Fall": ["1/4 in per ft", "1/8 in per ft", "2 %", ""],
}  # fmt: skip


def lines(number: int, seed: int = 1) -> list[dict[str, str]]:
    chance = Random(seed)
    return [
        {"Registration": f"R-{n:05}", "Installed": f"2026-0{n % 9 + 1}-11", **{h: chance.choice(w) for h, w in WORDS.items()}}
        for n in range(number)
    ]


def write_csv(path: Path, rows: list[dict[str, str]], **how: object) -> Path:
    encoding = how.pop("encoding", "utf-8")
    with path.open("w", encoding=encoding, newline="") as file:
        writer = csv.DictWriter(file, HEADINGS, **how)
        writer.writeheader()
        writer.writerows(rows)
    return path


def mapped(folder: Path, more: str = "") -> Path:
    path = folder / "mapping.yaml"
    path.write_text(MAPPING + more, encoding="utf-8")
    return path


def screened(folder: Path, table: Path, piece: int = 40, more: str = "", **how: object) -> tuple[pl.DataFrame, pl.DataFrame]:
    joined = run_whole(Run(table, mapped(folder, more), DESK, folder / "out", piece=piece, **how))
    return pl.read_parquet(joined.results), pl.read_parquet(joined.findings)


def run_whole(run: Run, again: bool = False) -> Joined:
    with begun(run, again) as work:
        return join(work, judge_here(work, lambda rows: None), screener_of(run, work.known))


@pytest.fixture(scope="module")
def screener(tmp_path_factory) -> Screener:
    loaded = load_book(WHOLE)
    return Screener(loaded, read_mapping(mapped(tmp_path_factory.mktemp("m")), loaded.vocabulary), DAY)


# -- judging --------------------------------------------------------------------------------------------------------------------


def test_a_row_comes_to_what_the_deciding_engine_makes_of_its_texts(screener):
    rows = [Row(n, cells) for n, cells in enumerate(lines(150), 1)]
    engine = screener.loaded.engine
    for reader, outcomes, _ in screener.outcomes(rows_of_each(rows, HEADINGS)):
        for number, row in enumerate(rows):
            judgements = engine.judge(engine.derive(subject_of_row(reader, row.cells)))
            decided = {j.compiled.rule.name: RANK[j.outcome] for j in judgements}
            assert outcomes.row(number, named=True) == decided, (reader.group.name, row)


def test_a_row_never_has_several_layers_of_a_kind(screener):
    cells = rows_of_each([Row(n, row) for n, row in enumerate(lines(16, seed=7), 1)], HEADINGS).cells
    assert [reader.places(cells)[0].layers for reader in screener.readers] == [{} for _ in screener.readers]


def test_a_row_as_told_comes_to_what_the_described_place_comes_to(screener):
    rows = [Row(n, cells) for n, cells in enumerate(lines(16, seed=7), 1)]
    rows[3].cells["Board"] = rows[9].cells["Thickness"] = "nobody knows"
    cells, engine, ways = rows_of_each(rows, HEADINGS).cells, screener.loaded.engine, OpenMatters(screener.loaded)
    for reader in screener.readers:
        places, unread = reader.places(cells)
        (part,) = screener.groups[0].told.judge(places, "shower wall", unread_facts(reader, unread)).told
        for number, row in enumerate(rows):
            strict = engine.derive(subject_of_row(reader, row.cells))
            (told,) = screener.loaded.as_told.all_told([strict], "shower wall")
            decided = {j.compiled.rule.name: RANK[ways.outcome(j, told.derived)] for j in engine.judge(told.derived)}
            assert part.outcomes.outcomes.row(number, named=True) == decided, (reader.group.name, row)


@pytest.mark.parametrize("form", ["csv", "xlsx", "parquet", "jsonl"])
def test_the_four_forms_of_a_table_come_to_the_same(tmp_path, form):
    rows = lines(60)
    table = tmp_path / f"t.{form}"
    match form:
        case "csv":
            write_csv(table, rows)
        case "parquet":
            pl.DataFrame(rows).write_parquet(table)
        case "jsonl":
            table.write_text("\n".join(json.dumps(row) for row in rows))
        case "xlsx":
            book = openpyxl.Workbook()
            book.active.append(HEADINGS)
            for row in rows:
                book.active.append([row[h] for h in HEADINGS])
            book.save(table)
    (tmp_path / "csv").mkdir()
    expected = screened(tmp_path / "csv", write_csv(tmp_path / "csv" / "same.csv", rows))
    found = screened(tmp_path, table)
    for each, same in zip(found, expected):
        # No heading stands above the rows of the other two, and each is numbered as its own sheet counts.
        shifted = same if form in ("csv", "xlsx") else same.with_columns(pl.col("row") - 1)
        assert each.equals(shifted)


def test_each_registration_goes_to_one_lane_in_the_tables_order(tmp_path):
    results, findings = screened(tmp_path, write_csv(tmp_path / "t.csv", lines(100)))
    assert results["registration"].to_list() == [f"R-{n:05}" for n in range(100)]
    assert set(results["lane"]) <= set(LANES)
    counted = findings.filter(pl.col("outcome").is_in(["fail", "warn"])).group_by("row").len()
    reviewed = results.filter(pl.col("lane") == "technical review")["row"].sort()
    assert counted["row"].sort().to_list() == reviewed.to_list()


def test_what_is_not_written_is_asked_and_never_presumed_away(screener):
    row = Row(1, {"Registration": "R", "Studs": "wood"})
    (reader,) = [r for r in screener.readers if r.group.name == "shower wall"]
    places, _ = reader.places(rows_of_each([row], HEADINGS).cells)
    (steam,) = [t for t in screener.loaded.vocabulary.things.values() if t.name == "steam"]
    assert steam.when_not_written == "not there"
    assert "steam" not in places.rows.columns or places.rows["steam"].to_list() == [3]


def test_personal_columns_are_in_no_output(tmp_path):
    screened(tmp_path, write_csv(tmp_path / "t.csv", lines(20)))
    for path in (tmp_path / "out").rglob("*"):
        if path.suffix == ".parquet":
            assert "Nobody Atall" not in str(pl.read_parquet(path).to_dicts())


def test_a_personal_heading_that_is_read_as_well_is_refused(tmp_path):
    path = tmp_path / "mapping.yaml"
    path.write_text(MAPPING.replace("[Owner]", "[Owner, Studs]"))
    with pytest.raises(BadAssembly, match="`Studs` is personal and is read as well"):
        read_mapping(path, load_book(Path(BOOK[0])).vocabulary)


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("board.material: Board", "`board.materail` is no fact of the vocabulary. Accepted: did you mean `board.material`?"),
        ("registration: Registration", "a mapping lacks `registration`"),
    ],
)
def test_a_mapping_says_what_is_wrong_with_it(tmp_path, written, said):
    path = tmp_path / "mapping.yaml"
    slip = {"board.material: Board": "board.materail: Board", "registration: Registration": ""}[written]
    path.write_text(MAPPING.replace("board.material: {heading: Board, says: {GB: plain gypsum}}", slip if "board" in slip else "board.material: Board")
                    .replace("registration: Registration\n", "registration: Registration\n" if slip else ""))  # fmt: skip
    with pytest.raises(BadAssembly, match=re.escape(said)):
        read_mapping(path, load_book(Path(BOOK[0])).vocabulary)


# -- what cannot be read ----------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("cell", "meant"), [("yes", "there"), ("Y", "there"), ("no", "none"), ("N", "none")])
def test_a_thing_may_be_ticked_in_its_column(screener, cell, meant):
    (reader,) = [r for r in screener.readers if r.group.name == "shower wall"]
    (column,) = [c for c in reader.group.columns if c.fact == "membrane"]
    assert reader.read(column, cell) == reader.read(column, meant) and not reader.read(column, cell).problem


def test_a_day_that_is_none_is_refused_in_a_mapping(tmp_path):
    path = tmp_path / "map.yaml"
    path.write_text(MAPPING.replace("2026-11-30", "yesterday"), encoding="utf-8")
    with pytest.raises(BadAssembly, match="`as of: yesterday` is no day. Accepted: year-month-day, as 2026-03-01"):
        read_mapping(path, load_book(Path(BOOK[0])).vocabulary)


@pytest.mark.parametrize("form", ["csv", "xlsx", "jsonl"])
def test_blank_rows_are_no_registrations_and_are_counted(tmp_path, form):
    rows = lines(3)
    rows.insert(1, dict.fromkeys(HEADINGS, ""))
    table = tmp_path / f"t.{form}"
    match form:
        case "csv":
            write_csv(table, rows)
        case "jsonl":
            table.write_text("\n".join(json.dumps(row) for row in rows))
        case "xlsx":
            book = openpyxl.Workbook()
            book.active.append(HEADINGS)
            for row in rows:
                book.active.append([row[h] or None for h in HEADINGS])
            book.save(table)
    joined = run_whole(Run(table, mapped(tmp_path), DESK, tmp_path / "out", piece=2))
    assert pl.read_parquet(joined.results)["row"].to_list() == ([1, 3, 4] if form == "jsonl" else [2, 4, 5])
    assert joined.blank == 1


def test_a_row_without_a_registration_number_is_said_to_have_none(tmp_path):
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", [{**lines(1)[0], "Registration": " "}]))
    assert results["reason"][0] == "Registration: the row has no registration number"
    assert results["lane"][0] == "a person decides"


@pytest.mark.parametrize("form", ["csv", "xlsx"])
def test_a_title_above_the_headings_is_named_and_the_mapping_may_say_where_they_stand(tmp_path, form):
    rows, table = lines(3), tmp_path / f"t.{form}"
    if form == "csv":
        write_csv(table, rows)
        table.write_text("Registrations of spring\n\n" + table.read_text())
    else:
        book = openpyxl.Workbook()
        book.active.append(["Registrations of spring"])
        book.active.append([])
        book.active.append(HEADINGS)
        for row in rows:
            book.active.append([row[h] for h in HEADINGS])
        book.save(table)
    assert refusal(tmp_path, table).startswith(
        f"row 1 of t.{form}, which the headings are taken from, holds `Registrations of spring`, and no heading of the mapping. "
        "Accepted: a line `heading row: 2` in the mapping, where they stand lower; or any of Registration, "
    )
    (tmp_path / "again").mkdir()
    results, _ = screened(tmp_path / "again", table, more="heading row: 3\n")
    assert results["registration"].to_list() == [row["Registration"] for row in rows]


def test_mixed_units_in_a_column_are_each_read_as_written(screener):
    (reader,) = [r for r in screener.readers if r.group.name == "shower wall"]
    (column,) = [c for c in reader.group.columns if c.fact == "board.thickness"]
    spans = [reader.read(column, text).facts[0][1] for text in ("1/2", "12.7 mm", '1/2"', "0.5 in")]
    assert spans == [(12_700_000, 12_700_000)] * 4


def test_registration_numbers_that_stand_twice_go_to_a_person(tmp_path):
    rows = lines(90)
    rows[80]["Registration"] = rows[2]["Registration"]
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows), piece=30)
    twice = results.filter(pl.col("reason") == "the registration number stands more than once")
    assert twice["row"].to_list() == [4, 82]
    assert set(twice["lane"]) == {"a person decides"}


def test_what_stands_outside_the_book_goes_to_a_person_and_is_never_complete(tmp_path):
    mapping = tmp_path / "mapping.yaml"
    mapping.write_text(MAPPING.replace("place.kind: {is: shower floor}", "place.submerged: Membrane\n    place.kind: {is: shower floor}"))
    rows = [{**row, "Membrane": said} for row, said in zip(lines(2), ("yes", "no"))]
    joined = run_whole(Run(write_csv(tmp_path / "t.csv", rows), mapping, BOOK, tmp_path / "out"))
    results = pl.read_parquet(joined.results)
    assert results["reason"].to_list() == ["shower floor: work under water stands outside the book, which judges nothing of it", ""]
    assert results["lane"][0] == "a person decides"


def test_rows_that_share_site_day_and_installer_are_one_registration_whatever_their_numbers(tmp_path):
    rows = lines(6)
    for n, (site, day) in enumerate([("12 Elm St.", "2026-03-02"), ("9 Oak", "2026-03-02"), ("12 elm st", "March 2, 2026"), ("", "2026-03-02"),
                                     ("", "2026-03-02"), ("12 Elm St.", "2026-03-03")]):  # fmt: skip
        rows[n] |= {"Term": site, "Installed": day}
    results, _ = screened(tmp_path, write_csv(tmp_path / "t.csv", rows), piece=2, more="alike: [Term, Installed]\n")
    assert results["reason"].to_list() == [said := "rows 2 and 4 have the same Term and Installed", "", said, "", "", ""]
    assert "alike" not in results.columns


def test_formulas_in_text_cells_are_neutralised_on_output(tmp_path):
    rows = lines(2)
    rows[0] |= {"Registration": "=HYPERLINK(1)", "Fall": "1/8 in per ft"}
    rows[1] |= {"Term": "@sum"}
    results, findings = screened(tmp_path, write_csv(tmp_path / "t.csv", rows))
    assert results["registration"][0] == "'=HYPERLINK(1)"
    assert results["programme"][1] == "'@sum"
    assert set(findings.filter(pl.col("row") == 2)["registration"]) == {"'=HYPERLINK(1)"}


def refusal(folder: Path, table: Path, more: str = "") -> str:
    with pytest.raises(BadTable) as bad:
        screened(folder, table, more=more)
    return str(bad.value)


def test_a_wrong_heading_is_named_with_the_nearest(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text("Registration,Installed,Term,Owner,Studs,Tile,Bord,Thickness,Screw,Membrane,Fall\n")
    assert refusal(tmp_path, table).startswith("t.csv has no column `Board`. Accepted: did you mean `Bord`? Registration")


def test_a_table_with_very_many_columns_is_refused(tmp_path):
    table = tmp_path / "t.csv"
    table.write_text(",".join(f"c{n}" for n in range(1_000_000)) + "\n1\n")
    assert refusal(tmp_path, table) == "the first line of t.csv is too long to be headings. Accepted: at most 5000 columns"


def test_a_truncated_parquet_is_refused(tmp_path):
    table = tmp_path / "t.parquet"
    pl.DataFrame(lines(500)).write_parquet(table)
    table.write_bytes(table.read_bytes()[:-2000])
    assert refusal(tmp_path, table).startswith("t.parquet is no Parquet file, or is cut short (")


def test_a_workbook_that_would_unpack_to_very_much_is_not_opened(tmp_path):
    table = tmp_path / "t.xlsx"
    with zipfile.ZipFile(table, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 300_000_000)
    assert refusal(tmp_path, table).startswith("t.xlsx would unpack to 300,000,000 bytes, and is not opened.")


def test_a_workbook_cut_short_is_refused(tmp_path):
    table = tmp_path / "t.xlsx"
    table.write_bytes(b"PK\x03\x04 and no more")
    assert refusal(tmp_path, table).startswith("t.xlsx is no workbook, is locked, or is damaged.")


def test_a_latin_1_file_with_semicolons_and_decimal_commas_is_read_when_the_mapping_says_so(tmp_path):
    rows = [{**row, "Thickness": "12,7 mm", "Term": "zehn Jahre für alle"} for row in lines(3)]
    table = write_csv(tmp_path / "t.csv", rows, delimiter=";", encoding="latin-1")
    assert "is not written in utf-8-sig. Accepted: a line `encoding: latin-1`" in refusal(tmp_path, table, 'separator: ";"\n')
    more = 'encoding: latin-1\nseparator: ";"\ndecimal comma: yes\n'
    results, _ = screened(tmp_path / "again" if (tmp_path / "again").mkdir() is None else tmp_path, table, more=more)
    assert set(results["programme"]) == {"zehn Jahre für alle"}
    assert "unreadable" not in set(results["as told"])


def test_a_line_with_too_few_cells_and_a_line_that_is_not_json_cost_their_own_row_only(tmp_path):
    table = write_csv(tmp_path / "t.csv", lines(2))
    with table.open("a") as file:
        file.write("R-9,2026-01-01\n")
    results, _ = screened(tmp_path, table)
    assert results["reason"][2] == "the row has 2 cells and the table 11 headings"
    assert results["registration"][2] == "R-9"
    odd = tmp_path / "t.jsonl"
    odd.write_text('{"Registration": "R-1"}\n{oops\n[1]\n')
    rows = list(rows_of(odd, read_mapping(tmp_path / "mapping.yaml", load_book(Path(BOOK[0])).vocabulary)))
    assert [row.problem for row in rows] == ["", "the line is not JSON", "the line is no object of headings and cells"]


# -- stopping and going on --------------------------------------------------------------------------------------------------------


def test_a_run_that_was_stopped_goes_on_with_nothing_lost_or_repeated(tmp_path):
    table = write_csv(tmp_path / "t.csv", lines(200))
    whole = screened(tmp_path, table, piece=25)
    pieces = tmp_path / "out" / "pieces"
    for number in (3, 4, 7):
        (pieces / f"piece-{number:07}.json").unlink()
    kept = (pieces / "results-0000000.parquet").stat().st_mtime_ns
    again = screened(tmp_path, table, piece=25)
    assert again[0].equals(whole[0]) and again[1].equals(whole[1])
    assert (pieces / "results-0000000.parquet").stat().st_mtime_ns == kept


def test_a_folder_that_holds_another_run_is_not_written_over(tmp_path):
    screened(tmp_path, write_csv(tmp_path / "t.csv", lines(20)))
    other = write_csv(tmp_path / "u.csv", lines(30, seed=2))
    assert refusal(tmp_path, other).endswith(
        "out holds another run: its table has another name, and its table says something else. "
        "Accepted: another folder, or --again to begin anew"
    )


def test_a_run_that_finished_nothing_stands_in_the_way_of_no_other(tmp_path):
    table, mapping = write_csv(tmp_path / "t.csv", lines(20)), mapped(tmp_path)
    for size in (20, 10):
        with begun(Run(table, mapping, BOOK, tmp_path / "out", piece=size)) as work:
            assert not work.done


@pytest.mark.thorough
def test_a_run_killed_midway_goes_on_when_asked_again(tmp_path):
    table = write_csv(tmp_path / "t.csv", lines(60_000))
    out = tmp_path / "out"
    command = [sys.executable, "-m", "validator", "screen", str(table), "--mapping", str(mapped(tmp_path)), "--out", str(out)]
    started = subprocess.Popen(command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while started.poll() is None and not list(out.glob("pieces/piece-*.json")):
        time.sleep(0.05)
    os.kill(started.pid, signal.SIGKILL)
    started.wait()
    done = len(list(out.glob("pieces/piece-*.json")))
    assert 1 <= done < 6
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    results = pl.read_parquet(out / "results.parquet")
    assert results["row"].to_list() == list(range(2, 60_002))
    assert results["registration"].n_unique() == 60_000


# -- the command ------------------------------------------------------------------------------------------------------------------


def test_the_template_screens_as_it_stands(tmp_path):
    made = CliRunner().invoke(app, ["screen", "--template", str(tmp_path / "start")])
    assert made.exit_code == 0, made.output
    start = tmp_path / "start"
    done = CliRunner().invoke(
        app, ["screen", str(start / "registrations.xlsx"), "--mapping", str(start / "mapping.yaml"), "--out", str(tmp_path / "out"), "--format", "csv"]
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    assert (tmp_path / "out" / "results.csv").read_text().count("\n") == 3
    assert "1  technical review" in done.output


def test_the_summary_asks_nothing_of_a_network_and_names_no_registration(tmp_path):
    table = write_csv(tmp_path / "t.csv", lines(50))
    done = CliRunner().invoke(app, ["screen", str(table), "--mapping", str(mapped(tmp_path)), "--out", str(tmp_path / "out")])
    assert done.exit_code == 0, done.output
    page = (tmp_path / "out" / "summary.html").read_text()
    assert "http" not in page.replace("http-equiv", "") and "<script" not in page
    assert "R-0000" not in page and "Nobody Atall" not in page
    assert page.count("<svg") == 6
    for word in ("Lanes", "As told", "Commonest matters", "Commonest questions", "By month", "By programme term"):
        assert f"<h2>{word}</h2>" in page


def test_a_missing_table_is_said_in_one_line(tmp_path):
    done = CliRunner().invoke(app, ["screen", "nowhere.csv", "--mapping", str(mapped(tmp_path)), "--out", str(tmp_path / "out")])
    assert done.exit_code == 2
    assert done.stderr.strip() == "there is no file nowhere.csv. Accepted: a table in CSV, XLSX, Parquet or JSON Lines"
