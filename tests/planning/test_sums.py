"""The sheet of sums, and sums from end to end: what is written in a file comes out worked, or with a clear reason why not."""

import json
import shutil
from pathlib import Path

import pytest
from drawn import shelf
from paths import ROOT
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadAssembly, Text
from validator.planning.sums import WorkedSum, sheet_of
from validator.workings import WORKINGS

SAMPLE = str(ROOT / "samples" / "second-floor-shower.yaml")
FOAM_PAN = str(ROOT / "tests" / "whole" / "sound" / "foam-pan-shower.yaml")  # its drain is in the middle

FLOOR = """\
assembly: Kitchen floor
framing:
  joists: {{material: wood, {joists}}}
places:
  kitchen floor:
    kind: room floor
    on: joists
    built up:
      - subfloor panel: {{material: plywood, category: 23/32}}
      - tile mortar: {{kind: modified cement}}
      - tile: {{body: porcelain, weight: 4 psf}}
"""
WALL = """\
assembly: Shower wall
framing:
  walls: {{material: wood, spacing: 16 in}}
places:
  back wall:
    kind: shower wall
    on: walls
    {size}
    built up:
      - board: {{material: foam, thickness: 1/2 in}}
      - screws: {{length: 1-5/8 in}}
      - membrane: {{kind: liquid, covers: whole face, {membrane}}}
      - tile: {{body: porcelain}}
"""


@pytest.fixture(scope="module")
def loaded() -> LoadedBook:
    return shelf()


def run(*args: str) -> tuple[int, str]:
    done = CliRunner().invoke(app, list(args))
    return done.exit_code, done.output


def sums_of(loaded: LoadedBook, text: str) -> dict[str, WorkedSum]:
    """The sums of the one place of a text, by the fact they give."""
    assembly = read_assembly(text, "a test", loaded.vocabulary, loaded.catalogue)
    return {done.fact: done for place in sheet_of(assembly, loaded) for done in place.sums}


def report_of(loaded: LoadedBook, text: str) -> Report:
    return check(read_assembly(text, "a test", loaded.vocabulary, loaded.catalogue), loaded)


def outcome_of(report: Report, rule: str) -> str:
    return next((f.outcome for f in report.findings if f.rule == rule), "none")


# -- every sum is wired, and its source known ------------------------------------------------------------------------------


def test_every_sum_is_named_by_the_fact_it_gives(loaded: LoadedBook) -> None:
    wired = {
        fact.worked_out_by.text: fact.name
        for fact in loaded.vocabulary.facts.values()
        if isinstance(fact.worked_out_by, Text)
    }
    assert wired == {name: working.gives for name, working in WORKINGS.items()}


def test_every_sum_names_a_source_that_stands_in_the_register(loaded: LoadedBook) -> None:
    assert {working.source["from"] for working in WORKINGS.values()} <= set(loaded.book.sources)


def test_every_place_a_sum_is_for_is_a_kind_of_place(loaded: LoadedBook) -> None:
    assert {place for working in WORKINGS.values() for place in working.places} <= set(
        loaded.vocabulary.facts["place.kind"].words
    )


# -- the sheet -----------------------------------------------------------------------------------------------------------


def test_the_sheet_shows_formula_numbers_and_result_with_the_source_and_its_standing() -> None:
    status, out = run("workings", FOAM_PAN, "--place", "shower floor", "--width", "200")
    assert status == 0
    assert "  drain longest run: 30 in (762 mm)" in out
    assert "        run = length / 2 = 60 / 2 = 30 in" in out
    assert "I = b x d^3 / 12 = 1.5 x 9.25^3 / 12 = 98.9316 in4" in out
    assert "Source: Closed forms of elastic beam theory, simple span, even load" in out
    assert "(engineering reference; read second-hand)" in out
    assert "Assumed: framing plies taken as 1: nothing is written of a doubled joist." in out
    assert "Would narrow it: framing.species, framing.span." in out


def test_one_place_is_shown_alone() -> None:
    _, out = run("workings", SAMPLE, "--place", "back wall")
    assert "screw penetration: 1-1/8 in (29 mm)" in out
    assert "framing live deflection" not in out
    assert "shower floor" not in out


def test_places_whose_sums_are_the_same_are_told_once() -> None:
    _, out = run("workings", FOAM_PAN)
    assert out.count("screw penetration: 1-1/8 in (29 mm)") == 1
    assert "back wall; side walls" in out


def test_a_place_that_is_not_there_is_refused_with_the_nearest() -> None:
    status, out = run("workings", SAMPLE, "--place", "bak wall")
    assert (status, out) == (
        2, "no place is named `bak wall`. Accepted: did you mean `back wall`? shower floor, back wall, side walls\n",
    )  # fmt: skip


def test_a_format_that_is_not_written_is_refused() -> None:
    assert run("workings", SAMPLE, "--format", "xml") == (2, "there is no format `xml`. Accepted: text, json\n")


def test_the_sheet_as_json_says_whence_each_number_is() -> None:
    status, out = run("workings", FOAM_PAN, "--format", "json")
    assert status == 0
    sheet = json.loads(out)
    floor = next(place for place in sheet["places"] if place["places"] == ["shower floor"])
    run_ = next(done for done in floor["sums"] if done["fact"] == "place.rise at wall")
    assert run_["ends"] == [
        {
            "line": "5/8 in of rise over 30 in at 1/4 in per ft",
            "steps": [{"formula": "rise = run x fall", "numbers": "30 x 1/4 / 12", "result": "0.625 in"}],
        }
    ]
    assert {given["fact"]: given["origin"] for given in run_["given"]} == {
        "drain.longest run": "worked out", "place.fall": "worked out",
    }  # fmt: skip
    walls = next(place for place in sheet["places"] if "back wall" in place["places"])
    screw = next(done for done in walls["sums"] if done["fact"] == "screw.penetration")
    assert {given["fact"]: given["origin"] for given in screw["given"]} == {
        "screw.length": "stated", "board.thickness": "product card", "screw.passes through": "assumed",
    }  # fmt: skip
    assert screw["source"]["known_by"] == "computed"


def test_what_somebody_states_stands_and_its_sum_is_shown_beside_it(loaded: LoadedBook) -> None:
    joists = "joist: 2x10, species: hem-fir, grade: no. 2, spacing: 16 in, span: 12 ft, live deflection: L/500"
    done = sums_of(loaded, FLOOR.format(joists=joists))["framing.live deflection"]
    assert done.stated == "L/500"
    assert done.lines[0].startswith("L/744, from 2x10 at 16 in over 12 ft, hem-fir no. 2")


def test_a_sum_that_lacks_something_says_what(loaded: LoadedBook) -> None:
    done = sums_of(loaded, FLOOR.format(joists="joist: 2x10, species: hem-fir, grade: no. 2, spacing: 16 in"))
    assert not done["framing.live deflection"].known
    assert done["framing.live deflection"].narrows == ("framing.span",)


def test_how_great_a_thing_could_be_at_all_is_no_result_of_a_sum(loaded: LoadedBook) -> None:
    # the vocabulary knows a size variation between 0 and 2 in; three times 2 in is nobody's joint
    joists = "joist: 2x10, species: hem-fir, grade: no. 2, spacing: 16 in"
    text = FLOOR.format(joists=joists).replace("weight: 4 psf", "size: 12 x 12 in") + "      - grout: {joint: 1/8 in}\n"
    done = sums_of(loaded, text)
    assert done["grout.least joint as laid"].value == "at least 1/16 in (1.6 mm)"
    assert done["tile.lippage allowed"].value == "at least 1/32 in (0.79 mm)"


def test_a_sum_that_comes_to_nothing_or_more_is_told_as_not_worked_out(loaded: LoadedBook) -> None:
    joists = "joist: 2x10, species: hem-fir, grade: no. 2, spacing: 16 in"
    text = FLOOR.format(joists=joists).replace("framing:", "use: {surface temperature while setting: 60 °F}\nframing:", 1)
    assert not any(done.known and done.value.startswith("at least 0 ") for done in sums_of(loaded, text).values())


def test_a_sum_whose_source_a_register_of_ones_own_does_not_list_is_told_all_the_same(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "rulebooks" / "vocabulary", tmp_path / "vocabulary")
    (tmp_path / "sources.yaml").write_text("my handbook: {title: A handbook of my own, standing: handbook}\n")
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "book.yaml").write_text('book: mine\ntitle: Mine\nedition: "1"\nlayer: code or standard\n')
    status, out = run("workings", SAMPLE, "--book", str(tmp_path / "mine"), "--width", "200")
    assert status == 0
    assert "Source: arithmetic, length less what it passes through (not listed in these books; computed)." in out


# -- metric and US, exactly ----------------------------------------------------------------------------------------------


def test_metric_and_us_inputs_give_the_same_answer_exactly(loaded: LoadedBook) -> None:
    grade = "species: hem-fir, grade: no. 2"
    us = sums_of(loaded, FLOOR.format(joists=f"joist: 2x10, {grade}, spacing: 16 in, span: 12 ft, dead load: 20 psf"))
    metric = sums_of(
        loaded,
        FLOOR.format(joists=f"joist: 2x10, {grade}, spacing: 406.4 mm, span: 3657.6 mm, dead load: 20 psf"),
    )
    assert us.keys() == metric.keys()
    for fact in us:
        assert (us[fact].least, us[fact].greatest) == (metric[fact].least, metric[fact].greatest), fact


def test_a_membrane_in_metric_comes_to_the_same_film(loaded: LoadedBook) -> None:
    us = WALL.format(size="size: 60 x 84 in", membrane="coats: 2, dry film called for: 30 mil, solids: 65 %, quantity: 2 gal")
    metric = WALL.format(
        size="size: 1524 x 2133.6 mm",
        membrane="coats: 2, dry film called for: 0.762 mm, solids: 65 %, quantity: 7570.823568 mL",
    )
    first, second = sums_of(loaded, us), sums_of(loaded, metric)
    for fact in ("membrane.wet film of each coat", "membrane.quantity needed", "membrane.greatest film of the quantity"):
        assert (first[fact].least, first[fact].greatest) == (second[fact].least, second[fact].greatest)
        assert first[fact].known


# -- an ordinary floor, species not known ----------------------------------------------------------------------------------

STRAIGHT = "joists-hold-the-finish-straight"


@pytest.mark.parametrize(
    ("joists", "expected"),
    [
        # 2x12 at 12 in over 10 ft: stiff enough in the weakest wood that is sold
        ("joist: 2x12, spacing: 12 in, span: 10 ft", "pass"),
        # 2x8 at 24 in over 14 ft 6 in: too soft in the best
        ("joist: 2x8, spacing: 24 in, span: 14 ft 6 in", "fail"),
        # 2x10 at 16 in over 15 ft 6 in: the best wood holds it, the weakest does not
        ("joist: 2x10, spacing: 16 in, span: 15 ft 6 in", "open"),
    ],
)
def test_joists_of_no_known_species_are_judged_from_the_weakest_to_the_strongest(
    loaded: LoadedBook, joists: str, expected: str
) -> None:
    report = report_of(loaded, FLOOR.format(joists=joists))
    assert outcome_of(report, STRAIGHT) == expected


def test_where_wood_and_grade_decide_they_are_asked(loaded: LoadedBook) -> None:
    report = report_of(loaded, FLOOR.format(joists="joist: 2x10, spacing: 16 in, span: 15 ft 6 in"))
    finding = next(f for f in report.findings if f.rule == STRAIGHT)
    assert finding.asks == ("framing.species", "framing.grade")
    assert {"framing.species", "framing.grade"} <= {item.fact for item in report.open_items}
    assert any(line.startswith("framing live deflection L/") for line in finding.worked_out)


def test_a_finding_that_rests_on_a_sum_carries_its_steps_and_tells_its_one_line(tmp_path: Path) -> None:
    file = tmp_path / "floor.yaml"
    file.write_text(
        FLOOR.format(joists="joist: 2x8, species: hem-fir, grade: no. 2, spacing: 24 in, span: 14 ft 6 in")
    )
    _, out = run("check", str(file), "--format", "json")
    finding = next(f for f in json.loads(out)["findings"] if f["rule"] == STRAIGHT)
    assert finding["worked_out"][0].startswith("framing live deflection L/135, from 2x8 at 24 in over 14 ft 6 in")
    assert "  I = b x d^3 / 12 = 1.5 x 7.25^3 / 12 = 47.6348 in4" in finding["worked_out"]
    _, out = run("check", str(file), "--all", "--width", "200")
    assert "Worked out: framing live deflection L/135, from 2x8 at 24 in over 14 ft 6 in, hem-fir no. 2, 40 psf." in out
    assert "47.6348" not in out


def test_the_weight_of_the_finish_is_added_up_where_nobody_states_it(loaded: LoadedBook) -> None:
    joists = "joist: 2x10, species: hem-fir, grade: no. 2, spacing: 16 in, span: 12 ft"
    done = sums_of(loaded, FLOOR.format(joists=joists))["framing.dead load of the layers"]
    # 10 bare, 1/4 in of mortar 3, tile 4; nothing past the counted panel
    assert (done.least, done.greatest) == (17_000_000, 17_000_000)
    stated = sums_of(loaded, FLOOR.format(joists=f"{joists}, dead load: 25 psf"))
    assert "25 psf" in next(g.value for g in stated["framing.bending share"].given if g.fact == "framing.dead load")


PAN = """\
assembly: Shower floor
places:
  shower floor:
    size: 36 x 60 in
    {fall}
    drain: {{kind: bonded flange, position: center}}
    built up:
      - mortar bed: {{thickness: 1-1/2 in}}
      - tile: {{body: porcelain}}
"""


@pytest.mark.parametrize(
    ("measured", "outcome"),
    # 30 in from the drain to the far wall: 1/4 in per ft is 5/8 in there, 1/2 in per ft is 1-1/4 in
    [("5/8 in", "pass"), ("9/16 in", "fail"), ("1-1/4 in", "pass"), ("1-5/16 in", "fail")],
)
def test_a_rise_measured_at_the_far_wall_is_judged_as_the_fall_it_makes(loaded: LoadedBook, measured: str, outcome: str) -> None:
    report = report_of(loaded, PAN.format(fall=f"rise measured at wall: {measured}"))
    assert outcome_of(report, "shower-floor-falls-to-the-drain") == outcome


# -- what cannot be --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("joists", "says"),
    [
        ("joist: 2x9, spacing: 16 in, span: 12 ft", "`2x9` is not a word for the nominal size of the joist or beam. Accepted: 2x4, 2x6, 2x8, 2x10, 2x12, "),
        ("joist: 2x8, spacing: 16 in, span: -3 ft", "`-3 ft` is less than nothing"),
    ],
)  # fmt: skip
def test_what_nobody_could_write_is_refused_where_it_stands(loaded: LoadedBook, joists: str, says: str) -> None:
    with pytest.raises(BadAssembly) as refused:
        sums_of(loaded, FLOOR.format(joists=joists))
    assert says in str(refused.value)
    assert "a test:3:" in str(refused.value)


CANNOT_BE = [
    ("joist: 2x8, species: hem-fir, grade: no. 2, spacing: 16 in, span: 0 ft", "a span of 0 cannot be"),
    (
        "joist: 2x8, species: spruce-pine-fir, grade: no. 1 and better, spacing: 16 in, span: 9 ft",
        "spruce-pine-fir is not sold as no. 1 and better; accepted: select structural, no. 1, no. 2, no. 3",
    ),
]


@pytest.mark.parametrize(("joists", "says"), CANNOT_BE)
def test_what_cannot_be_is_said_in_the_sheet(loaded: LoadedBook, joists: str, says: str) -> None:
    done = sums_of(loaded, FLOOR.format(joists=joists))["framing.live deflection"]
    assert not done.known
    assert says in done.why_not


@pytest.mark.parametrize(("joists", "says"), CANNOT_BE)
def test_what_cannot_be_is_asked_back_by_the_report(loaded: LoadedBook, joists: str, says: str) -> None:
    report = report_of(loaded, FLOOR.format(joists=joists))
    assert outcome_of(report, STRAIGHT) == "open"
    question = next(item.question for item in report.open_items if item.fact == "framing.live deflection")
    assert question.startswith(f"The framing live deflection could not be worked out: {says}")
    assert question.endswith("What is right?")


def test_solids_over_the_whole_are_said_to_be_impossible(loaded: LoadedBook) -> None:
    membrane = "coats: 2, dry film called for: 30 mil, solids: 140 %, quantity: 2 gal"
    done = sums_of(loaded, WALL.format(size="size: 60 x 84 in", membrane=membrane))
    for fact in ("membrane.wet film of each coat", "membrane.quantity needed", "membrane.greatest film of the quantity"):
        assert done[fact].why_not == "solids of 140 % cannot be; accepted: over 0 % and up to 100 %"


def test_a_quantity_that_is_too_small_warns_and_one_that_is_not_proves_nothing(loaded: LoadedBook) -> None:
    # 35 sq ft at 30 mil dry from 65 % solids takes 1.007 gal with nothing lost
    few = "coats: 2, dry film called for: 30 mil, solids: 65 %, quantity: 1 gal"
    many = "coats: 2, dry film called for: 30 mil, solids: 65 %, quantity: 1.1 gal"
    rule = "enough-membrane-was-bought"
    assert outcome_of(report_of(loaded, WALL.format(size="size: 60 x 84 in", membrane=few)), rule) == "warn"
    enough = report_of(loaded, WALL.format(size="size: 60 x 84 in", membrane=many))
    assert outcome_of(enough, rule) == "pass"
    assert outcome_of(enough, "wet-film-is-as-thick-as-called-for") == "open"
