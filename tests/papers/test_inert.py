"""No cell of a CSV is a formula, whoever wrote it; and a cell that is none is left as it was."""

import csv
import io

import polars as pl
import pytest
from typer.testing import CliRunner

from validator.cli import app
from validator.papers.inert import csv_of, inert
from validator.screening.judging import inert as inert_columns

RISKY = [
    "=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "\nx", "\tx", " =1", "\u00a0=1", "\u200b=1", "\ufeff=1", "\u202e=1", " \u3000 =1",
    "＝1", "＋1", "－1", "＠1", "﹦1", "=cmd|' /C calc'!A0",
]  # fmt: skip
PLAIN = ["", "1/4 in", "a=b", "12 x 24 in", "R-0001", "'=1", "x\n=1", "  ", "bäd 浴室", "(=1)"]


@pytest.mark.parametrize("text", RISKY)
def test_what_a_spreadsheet_would_take_for_a_formula_is_marked_as_text(text):
    assert inert(text) == f"'{text}"
    (row,) = csv.reader(io.StringIO(csv_of([["name", text]]), newline=""))
    assert row == ["name", f"'{text}"]


@pytest.mark.parametrize("text", PLAIN)
def test_any_other_text_is_left_as_it_is(text):
    assert inert(text) == text


def test_the_columns_of_a_screening_are_marked_alike():
    frame = inert_columns(pl.DataFrame({"a": RISKY + PLAIN}), {"a": pl.String})
    assert frame["a"].to_list() == [inert(text) for text in RISKY + PLAIN]


def test_the_buying_list_of_a_place_named_like_a_formula_holds_none(tmp_path):
    path = tmp_path / "a.yaml"
    path.write_text(
        'places:\n  "=cmd|\' /C calc\'!A0":\n    kind: shower wall\n    built up: [board: {material: foam}, tile: {size: 12 x 24 in}]\n'
    )
    done = CliRunner().invoke(app, ["takeoff", str(path), "--format", "csv"])
    assert done.exit_code == 0, done.output
    cells = [cell for row in csv.reader(io.StringIO(done.stdout)) for cell in row]
    assert any("=cmd" in cell for cell in cells)
    assert not any(cell.startswith("=") for cell in cells)
