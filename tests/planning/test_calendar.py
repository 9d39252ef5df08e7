"""The calendar: the earliest date of each step, what each rests on, and what is not known."""

import json
from datetime import datetime
from pathlib import Path

import pytest
from drawn import shelf
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.loading import LoadedBook
from validator.language.amounts import AmountProblem
from validator.planning.calendar import Dates, calendar_of, start_of

SHOWER = """\
assembly: A shower on a mortar bed
use: {{{use}}}
places:
  shower floor:
    size: 36 x 60 in
    built up:
      - mortar bed: {{thickness: 1-1/2 in}}
      - membrane: {{kind: liquid, covers: whole face, coats: 2{membrane}}}
      - tile mortar: {{kind: unmodified cement{mortar}}}
      - tile: {{body: porcelain}}
"""
FULL = ", cure called for: 12 h, dry between coats called for: 4 h"


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return shelf()


def dates_of(loaded: LoadedBook, *, use: str = "surface temperature while setting: 70 °F", membrane: str = FULL,
             mortar: str = "", start: str = "2026-03-02 08:00") -> Dates:  # fmt: skip
    text = SHOWER.format(use=use, membrane=membrane, mortar=mortar)
    return calendar_of(read_assembly(text, "a test", loaded.vocabulary, loaded.catalogue), loaded, start_of(start))


def day(dates: Dates, name: str) -> str:
    found = next(each for each in dates.days if each.name == name)
    return f"{'not before ' if found.at_least else ''}{found.earliest:%Y-%m-%d %H:%M}"


def test_each_step_waits_for_the_one_before(loaded: LoadedBook) -> None:
    dates = dates_of(loaded)
    # bed a day, 4 h between coats, a day before water, a day of water, two days of mortar, a day and a week of grout
    assert [(each.name, f"{each.earliest:%m-%d %H:%M}") for each in dates.days] == [
        ("mortar bed placed", "03-02 08:00"),
        ("membrane, first coat", "03-03 08:00"),
        ("membrane, coat 2", "03-03 12:00"),
        ("flood test begins", "03-04 12:00"),
        ("flood test over", "03-05 12:00"),
        ("tile set", "03-05 12:00"),
        ("grout", "03-07 12:00"),
        ("light traffic", "03-08 12:00"),
        ("water", "03-14 12:00"),
    ]
    assert not any(each.at_least for each in dates.days)


def test_a_wait_that_is_not_known_makes_every_date_after_it_not_before(loaded: LoadedBook) -> None:
    dates = dates_of(loaded, membrane="")
    assert day(dates, "membrane, first coat") == "2026-03-03 08:00"
    assert day(dates, "membrane, coat 2") == "not before 2026-03-03 08:00"
    # the standard's own 24 h count even where the maker's cure is not known
    assert day(dates, "flood test begins") == "not before 2026-03-04 08:00"
    assert day(dates, "water").startswith("not before ")


def test_a_cold_room_takes_longer_and_says_that_it_is_common_practice(loaded: LoadedBook) -> None:
    dates = dates_of(loaded, use="surface temperature while setting: 52 °F")
    # twice as long for each 18 F under 70 F; what is no cement waits no longer
    assert day(dates, "membrane, first coat") == "2026-03-04 08:00"
    assert day(dates, "flood test begins") == "2026-03-05 12:00"
    assert day(dates, "grout") == "2026-03-10 12:00"
    grout = next(each for each in dates.days if each.name == "grout")
    assert grout.known_by == "practice"
    assert "2 times longer at 52 F" in grout.because


def test_under_50_degrees_a_flood_test_waits_two_days(loaded: LoadedBook) -> None:
    dates = dates_of(loaded, use="surface temperature while setting: 45 °F")
    coat = next(each.earliest for each in dates.days if each.name == "membrane, coat 2")
    flood = next(each.earliest for each in dates.days if each.name == "flood test begins")
    assert (flood - coat).total_seconds() == 48 * 3600


LINER = """\
assembly: A shower on a liner
use: {surface temperature while setting: 70 °F}
places:
  shower floor:
    size: 36 x 60 in
    built up:
      - pre-slope: {material: mortar}
      - liner: {material: PVC}
      - mortar bed: {thickness: 1-1/2 in}
      - tile mortar: {kind: unmodified cement}
      - tile: {body: ceramic}
"""


def test_a_liner_is_tested_before_the_bed_hides_it(loaded: LoadedBook) -> None:
    assembly = read_assembly(LINER, "a test", loaded.vocabulary, loaded.catalogue)
    dates = calendar_of(assembly, loaded, start_of("2026-03-02 08:00"))
    assert [(each.name, f"{each.earliest:%m-%d %H:%M}") for each in dates.days][:6] == [
        ("sloped fill placed", "03-02 08:00"),
        ("liner laid", "03-03 08:00"),
        ("flood test begins", "03-03 08:00"),
        ("flood test over", "03-04 08:00"),
        ("mortar bed placed", "03-04 08:00"),
        ("tile set", "03-05 08:00"),
    ]


def test_the_mortars_own_wait_counts_where_it_is_stated(loaded: LoadedBook) -> None:
    dates = dates_of(loaded, mortar=", cure called for: 24 h")
    assert day(dates, "grout") == "2026-03-06 12:00"


def test_what_is_common_practice_is_flagged(loaded: LoadedBook) -> None:
    known = {each.name: each.known_by for each in dates_of(loaded).days}
    assert known["water"] == known["light traffic"] == "practice"
    assert known["membrane, first coat"] == "read second-hand"


def test_a_date_without_an_hour_begins_in_the_morning_and_says_so(loaded: LoadedBook) -> None:
    dates = dates_of(loaded, start="2026-03-02")
    assert dates.begins == datetime(2026, 3, 2, 8)
    assert "work begins at 8 in the morning; no hour was given" in dates.assumed


def test_a_temperature_that_is_not_stated_is_taken_as_usual_and_said(loaded: LoadedBook) -> None:
    assert "a room at 70 °F; its temperature is not stated" in dates_of(loaded, use="building: house").assumed


def test_a_start_that_is_no_date_is_refused() -> None:
    with pytest.raises(AmountProblem, match="`soon` is not a date"):
        start_of("soon")


def written(tmp_path: Path, use: str) -> str:
    file = tmp_path / "shower.yaml"
    file.write_text(SHOWER.format(use=use, membrane=FULL, mortar=""))
    return str(file)


def test_the_command_prints_the_dates_with_their_reasons(tmp_path: Path) -> None:
    file = written(tmp_path, "surface temperature while setting: 70 °F")
    done = CliRunner().invoke(app, ["calendar", file, "--start", "2026-03-02 08:00"])
    assert done.exit_code == 0
    assert "2026-03-04 12:00  flood test begins" in done.output
    assert "grout a week old (common practice, no source)" in done.output
    done = CliRunner().invoke(app, ["calendar", file, "--start", "2026-03-02 08:00", "--format", "json"])
    steps = {step["step"]: step for step in json.loads(done.output)["steps"]}
    assert steps["water"] == {
        "step": "water", "earliest": "2026-03-14 12:00", "at_least": False, "because": "grout a week old",
        "known_by": "practice",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("use", "start", "says"),
    [
        ("building: house", "soon", "--start: `soon` is not a date as it is read here"),
        (
            "surface temperature while setting: 35 °F", "2026-03-02",
            "A shower on a mortar bed: cement mortar does not cure at 35 F. Accepted: 40 F or warmer",
        ),
    ],
)  # fmt: skip
def test_what_no_calendar_can_be_made_of_is_said_plainly(tmp_path: Path, use: str, start: str, says: str) -> None:
    done = CliRunner().invoke(app, ["calendar", written(tmp_path, use), "--start", start])
    assert done.exit_code == 2
    assert done.output.startswith(says)
