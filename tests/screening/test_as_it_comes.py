"""A whole sheet as it comes: every spoilt cell is read as meant or asked about, none is swallowed; no row is lost; the run can stop anywhere."""

import os
import signal
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path
from random import Random

import polars as pl
import pytest
from paths import ROOT, RULEBOOKS
from screened import small_book
from test_lanes import run_whole
from troubled import ASKED, HEADINGS, Cell, troubled, write_sheet

from validator.judging.loading import load_book
from validator.screening.cells import CellReader
from validator.screening.dates import read_day
from validator.screening.desk_workbook import NAME
from validator.screening.known import Run
from validator.screening.mapping import read_mapping

MAPPING = """\
registration: Registration
date: Installed
as of: 2026-11-30
heading row: 3
personal: [Owner]
everywhere:
  framing.material: Studs
  tile.size: {heading: Tile, unit: in}
places:
  shower wall:
    place.kind: {is: shower wall}
    board.material: Board
    board.thickness: {heading: Thickness, unit: in}
    screw.length: {heading: Screw, unit: in}
    membrane: Membrane
  shower floor:
    place.kind: {is: shower floor}
    place.fall: Fall
"""


def sheet(folder: Path, number: int) -> tuple[Path, Path, list[Cell], int]:
    rows, spoilt, doubled = troubled(number)
    mapping = folder / "mapping.yaml"
    mapping.write_text(MAPPING)
    return write_sheet(folder / "t.xlsx", rows), mapping, spoilt, doubled


def fate(cell: Cell, readers: list[CellReader], latest) -> str:
    """Whether a spoilt cell is read as meant, asked about, or swallowed as something else."""
    if cell.heading == "Installed":
        read = read_day(cell.text, "", latest)
        days = {read.day_first, read.month_first} - {""}
        return "asked" if not days or len(days) > 1 and cell.meant in days else "read" if days == {cell.meant} else "swallowed"
    reader, column = next((r, c) for r in readers for c in r.group.columns if c.heading == cell.heading)
    found = reader.read(column, cell.text)
    if found.problem:
        return "asked"
    return "read" if (cell.meant or cell.kind == "blank") and found == reader.read(column, cell.meant) else "swallowed"


def test_every_spoilt_cell_is_read_as_meant_or_asked_about_and_none_is_swallowed(tmp_path):
    rows, spoilt, _ = troubled(400)
    (tmp_path / "mapping.yaml").write_text(MAPPING)
    loaded = load_book(RULEBOOKS / "us")
    mapping = read_mapping(tmp_path / "mapping.yaml", loaded.vocabulary)
    readers = [CellReader(loaded.vocabulary, loaded.engine.deriver.slots, group) for group in mapping.groups]
    fates = Counter((fate(cell, readers, mapping.as_of), cell.kind in ASKED) for cell in spoilt)
    assert sum(number for (how, _), number in fates.items() if how == "swallowed") == 0
    assert fates["read", True] == 0  # nobody guesses at a slip
    assert fates["asked", False] == sum(c.heading == "Installed" and "/" in c.text and c.kind == "form" and fate(c, readers, mapping.as_of) == "asked"
                                        for c in spoilt)  # fmt: skip
    assert len(spoilt) > 500 and {cell.kind for cell in spoilt} == {"form", "unit", "blank", *ASKED}
    assert set(rows[0]) == set(HEADINGS)


@pytest.mark.parametrize("number", [300, pytest.param(20_000, marks=pytest.mark.thorough)])
def test_no_row_is_lost_and_each_is_complete_or_says_what_it_waits_for(tmp_path, number):
    table, mapping, spoilt, doubled = sheet(tmp_path, number)
    joined = run_whole(Run(table, mapping, (small_book(),), tmp_path / "out", form="xlsx", piece=max(100, number // 8)))
    results = pl.read_parquet(joined.results)
    assert results["row"].to_list() == list(range(4, number + 4))
    assert (results["reason"] != "").sum() == 2 * doubled
    asked = {cell.row + 4 for cell in spoilt if cell.kind in ASKED}
    assert set(results.filter(pl.col("untidy") != "")["row"]) == asked
    waiting = results.filter(pl.col("lane").is_in(["request information", "cells to tidy", "technical review", "a person decides"]))
    assert (waiting["matter"] != "").all()
    whole = results.filter((pl.col("open") + pl.col("waiting") + pl.col("fails") + pl.col("warns") == 0) & (pl.col("reason") == ""))
    assert set(whole["lane"]) == {"complete"} and whole.height > number // 50
    assert (tmp_path / "out" / NAME).is_file()


@pytest.mark.thorough
def test_killed_at_thirty_random_moments_the_outputs_are_those_of_an_undisturbed_run(tmp_path):
    table, mapping, _, _ = sheet(tmp_path, 3_000)
    csv = tmp_path / "t.csv"
    pl.DataFrame(troubled(3_000)[0]).select(HEADINGS).write_csv(csv)
    mapping.write_text(MAPPING.replace("heading row: 3\n", ""))
    chance = Random(11)

    def command(out: str) -> list[str]:
        return [sys.executable, "-m", "validator", "screen", str(csv), "--mapping", str(mapping), "--out", str(tmp_path / out), "--format", "csv"]

    subprocess.run(command("whole"), cwd=ROOT, check=True, capture_output=True)
    for _ in range(30):
        started = subprocess.Popen(command("stopped"), cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(chance.uniform(0.3, 6))
        if started.poll() is None:
            os.kill(started.pid, signal.SIGKILL)
        started.wait()
    subprocess.run(command("stopped"), cwd=ROOT, check=True, capture_output=True)
    for name in ("results.csv", "findings.csv", "cells-to-tidy.csv", "summary.html"):
        assert (tmp_path / "stopped" / name).read_bytes() == (tmp_path / "whole" / name).read_bytes(), name


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device here is always full")
def test_a_full_disk_is_said_and_loses_nothing(tmp_path):
    table, mapping, _, _ = sheet(tmp_path, 20)
    out = tmp_path / "out"
    out.mkdir()
    (out / "summary.part").symlink_to("/dev/full")
    command = [sys.executable, "-m", "validator", "screen", str(table), "--mapping", str(mapping), "--out", str(out), "--book", small_book()]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 2 and "No space left on device" in done.stderr, done.stderr
    (out / "summary.part").unlink()
    assert subprocess.run(command, cwd=ROOT, capture_output=True).returncode == 0
