"""The memory of a screen does not grow with its table: four times the rows take no more, and no form takes more than is promised.

Each run is a process of its own, of which the system tells the most that it ever held.
"""

import subprocess
import sys
from pathlib import Path

import polars as pl
import pytest
from paths import ROOT
from screened import small_book
from test_lanes import lines, mapped

MOST = 600 * 2**20  # bytes
# A small process between: what a process is told to have held at most begins with what the one that started it holds.
MEASURED = (
    "import resource, subprocess, sys; done = subprocess.run(sys.argv[1:], stdout=subprocess.DEVNULL); "
    "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss); sys.exit(done.returncode)"
)
MOST_GROWTH = 1.15  # what a library's pool keeps differs from run to run


def peak(folder: Path, table: Path, mapping: Path, *more: str) -> int:
    """The most memory that a screen of a table held, in bytes."""
    command = [sys.executable, "-m", "validator", "screen", str(table), "--mapping", str(mapping), "--out", str(folder / table.stem), *more]
    done = subprocess.run([sys.executable, "-c", MEASURED, *command], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return int(done.stdout) * (1 if sys.platform == "darwin" else 1024)


def tables(folder: Path, rows: int, different: bool) -> list[Path]:
    """A table, and one of four times its rows; `different`: no two rows of it say the same."""
    made = []
    for number in (rows, 4 * rows):
        some = pl.DataFrame(lines(2_000, seed=number)).sample(number, with_replacement=True, seed=1)
        some = some.with_columns(pl.format("R-{}", pl.int_range(number)).alias("Registration"))
        if different:
            some = some.with_columns(pl.format("{} to 4", (1 + pl.int_range(number) / 1_000_000).cast(pl.String)).alias("Screw"))
        made.append(folder / f"{number}.csv")
        some.write_csv(made[-1])
    return made


@pytest.mark.thorough
@pytest.mark.parametrize(
    ("rows", "more"),
    [(200_000, ("--format", "parquet")), (200_000, ("--format", "csv")), (150_000, ("--programme", "tilers-circle-wet-rooms"))],
)
def test_four_times_the_rows_take_no_more_memory(tmp_path, rows, more):
    """The smaller table fills more than one piece of a run."""
    few, many = (peak(tmp_path, table, mapped(tmp_path), "--book", small_book(), *more) for table in tables(tmp_path, rows, False))
    assert many <= MOST_GROWTH * few
    assert many <= MOST


@pytest.mark.thorough
@pytest.mark.parametrize(("rows", "different", "more"), [(50_000, False, ("--format", "xlsx")), (100_000, True, ())])
def test_a_workbook_and_rows_of_which_no_two_are_alike_stay_within_bounds(tmp_path, rows, different, more):
    table = tables(tmp_path, rows, different)[-1]
    assert peak(tmp_path, table, mapped(tmp_path), "--book", small_book(), *more) <= MOST
