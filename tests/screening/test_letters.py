"""Letters for a whole lane: addressed, each registration once, and only those that changed are written again."""

import csv
from pathlib import Path

import pytest
from test_lanes import DESK, MAPPING, lines, write_csv
from typer.testing import CliRunner

from validator.cli import app

SOUND = {"Studs": "wood", "Tile": "12 x 24 in", "Board": "foam", "Thickness": "1/2", "Screw": "2", "Membrane": "there", "Fall": "1/4 in per ft"}
LANE = "technical review"


def table(folder: Path, *falls: str) -> Path:
    rows = [{**row, **SOUND, "Fall": fall, "Owner": f"Number {n} Street"} for n, (row, fall) in enumerate(zip(lines(len(falls)), falls))]
    return write_csv(folder / "t.csv", rows)


def written(folder: Path, *options: str) -> str:
    mapping = folder / "mapping.yaml"
    mapping.write_text(MAPPING.replace("personal: [Owner]", "letter to: [Owner]"))
    done = CliRunner().invoke(
        app, ["screen", str(folder / "t.csv"), "--mapping", str(mapping), "--out", str(folder / "out"), "--book", DESK[0], "--letters", LANE,
              "--programme", "tilers-circle-wet-rooms", *options],
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    return done.output


def manifest(folder: Path) -> list[dict[str, str]]:
    with (folder / "out" / "letters.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.DictReader(file))


def test_each_registration_of_a_lane_has_its_letter_addressed_and_only_what_changed_is_written_again(tmp_path):
    table(tmp_path, "1/8 in per ft", "1/4 in per ft", "1/16 in per ft")
    assert "2 letters written and 0 left as they stood" in written(tmp_path, "--letter-form", "text")
    assert [(line["row"], line["registration"]) for line in manifest(tmp_path)] == [("2", "R-00000"), ("4", "R-00002")]
    letters = [tmp_path / "out" / "letters" / line["file"] for line in manifest(tmp_path)]
    assert "Case no.: R-00002\n" in letters[1].read_text() and "To: Number 2 Street\n" in letters[1].read_text()
    assert "0 letters written and 2 left as they stood" in written(tmp_path, "--letter-form", "text")
    letters[0].write_text("spoilt")
    table(tmp_path, "1/8 in per ft", "1/4 in per ft", "1/32 in per ft")
    assert "2 letters written and 0 left as they stood" in written(tmp_path, "--letter-form", "text", "--again")
    assert "Number 0 Street" in letters[0].read_text()


@pytest.mark.parametrize("form", ["html", "docx", "text"])
def test_all_letters_may_stand_in_one_file_to_print(tmp_path, form):
    table(tmp_path, "1/8 in per ft", "1/16 in per ft")
    written(tmp_path, "--letter-form", form, "--together")
    (name,) = {line["file"] for line in manifest(tmp_path)}
    path = tmp_path / "out" / "letters" / name
    if form == "docx":
        from docx import Document

        text = "\n".join(paragraph.text for paragraph in Document(str(path)).paragraphs)
    else:
        text = path.read_text()
    assert text.count("Request for information: R-0000") >= 2
    assert "Number 0 Street" in text and "Number 1 Street" in text


def test_the_address_stands_on_no_result(tmp_path):
    table(tmp_path, "1/8 in per ft")
    written(tmp_path, "--letter-form", "text", "--format", "csv")
    for name in ("results.csv", "findings.csv", "cells-to-tidy.csv", "letters.csv", "summary.html"):
        assert "Number 0 Street" not in (tmp_path / "out" / name).read_text()


@pytest.mark.parametrize(
    ("options", "said"),
    [
        (["--letters", "every lane"], "there is no lane `every lane`. Accepted: complete, request information"),
        (["--letters", LANE], "--letters asks for what a document wants. Accepted: --programme and a name of the shelf, or a file of one"),
        (["--letters", LANE, "--programme", "x", "--letter-form", "rtf"], "there is no form `rtf`. Accepted: html, pdf, docx, text"),
    ],
)
def test_what_letters_lack_is_said(tmp_path, options, said):
    table(tmp_path, "1/8 in per ft")
    (tmp_path / "mapping.yaml").write_text(MAPPING)
    done = CliRunner().invoke(
        app, ["screen", str(tmp_path / "t.csv"), "--mapping", str(tmp_path / "mapping.yaml"), "--out", str(tmp_path / "out"), *options]
    )  # fmt: skip
    assert done.exit_code == 2 and said in done.stderr
