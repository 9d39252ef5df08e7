"""The book on the shelf proves itself: every case comes out, every weakening is noticed, and the codes are followed."""

import pytest
from typer.testing import CliRunner

from validator.assembly import read_assembly
from validator.cli import app
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.proving import prove_cases, prove_complete, prove_consequences, prove_decided, unheld_consequences, unheld_rows
from validator.proving.apart import prove_apart
from validator.proving.cases import unnoticed
from validator.proving.leftovers import prove_used
from validator.rulebook.sources import FIRM

LEAST_RULES = 180
# Rules that ask a schedule with a key they also apply by; each of their open answers is one the schedule cannot settle.
SCHEDULED_TWICE = {
    "wet-wall-backer-carries-its-standard", "board-screws-are-close-enough", "liner-carries-its-standard",
    "board-edges-are-screwed-closely", "tile-is-declared-for-no-lesser-use",
    "trowel-suits-the-tile", "demanding-floor-has-declared-tile", "wall-tile-is-not-too-heavy-for-its-backing",
}  # fmt: skip


def test_the_book_is_as_large_as_the_trade_asks(loaded):
    assert len(loaded.book.rules) >= LEAST_RULES


def test_every_case_of_every_rule_comes_to_what_its_author_expects(loaded):
    assert list(prove_cases(loaded)) == []


def test_every_case_of_every_consequence_comes_out(loaded):
    assert list(prove_consequences(loaded)) == []


def test_every_condition_of_every_consequence_has_a_case_that_notices_it(loaded):
    assert list(unheld_consequences(loaded)) == []


@pytest.mark.thorough
def test_every_answer_end_and_word_of_every_row_has_a_case_that_notices_it(loaded):
    assert list(unheld_rows(loaded)) == []


def test_nothing_in_the_book_is_unused(loaded):
    assert list(prove_used(loaded)) == []


@pytest.mark.thorough
def test_no_rule_says_or_contradicts_what_another_says(loaded):
    assert list(prove_apart(loaded)) == []


def test_every_rule_has_its_compulsory_cases_and_its_sources(loaded):
    assert list(prove_complete(loaded)) == []


@pytest.mark.parametrize("one_of", [6, pytest.param(1, marks=pytest.mark.thorough)])
def test_no_weakening_goes_unnoticed(loaded, one_of):
    """Of one of so many rules, and thoroughly of each; `rulebook check` proves it of each too."""
    assert [line for compiled in loaded.engine.rules[::one_of] for line in unnoticed(loaded, compiled)] == []


def test_no_rule_stays_open_where_every_answer_agrees(loaded):
    told = {line.split(": ")[1] for line in prove_decided(loaded)}
    assert told <= SCHEDULED_TWICE


def test_nothing_fails_on_memory_or_trade_practice(loaded):
    for rule in loaded.book.rules.values():
        if rule.severity == "fail":
            assert any(c.known_by in FIRM and c.source.standing != "trade practice" for c in rule.cited), rule.name


def test_no_rule_names_its_state_by_a_breach_or_by_a_promise(loaded):
    for rule in loaded.book.rules.values():
        said = f"{rule.title} {rule.because} {rule.put_right} {rule.note}".lower()
        for word in ("violation", "error", "compliant", "certified", "guarantee", "approved", "denied"):
            assert word not in said.split(), f"{rule.name}: {word}"


@pytest.mark.thorough
def test_the_command_that_checks_the_book_ends_well():
    run = CliRunner().invoke(app, ["rulebook", "check"])
    assert run.exit_code == 0, run.stdout
    assert "; 0 to put right." in run.stdout


# -- the code in force --------------------------------------------------------------------------------------------------------


def judged(loaded: LoadedBook, family: str, edition: str, places: str) -> Report:
    use = "".join(f"  {key}: {value}\n" for key, value in (("code family", family), ("code edition", edition)) if value)
    source = f"assembly: A shower\n{'use:' + chr(10) + use if use else ''}places:\n{places}"
    assembly = read_assembly(source, "a shower", loaded.vocabulary, loaded.catalogue)
    return check(assembly, loaded)


def came(report: Report, rule: str) -> str:
    """What one rule came to; open ones with what they could be and ask."""
    found = [f for f in report.findings if f.rule == rule]
    if not found:
        return ""
    (finding,) = found
    return f"open {finding.would_be}: {', '.join(finding.asks)}" if finding.outcome == "open" else finding.outcome


FLOOR = "  shower floor: {{size: {size}, drain: {{kind: clamping ring}}, built up: [liner: {{height above threshold: {liner}}}, tile]}}\n"
CURBED = "  shower floor:\n    curb: {{height above drain: {curb}}}\n    built up: [tile]\n"
WALL = "  shower wall: {{height above drain: {drain}, height above room floor: {room}, nothing else: yes, built up: [board: {board}, tile]}}\n"


@pytest.mark.parametrize(
    ("rule", "places", "family", "edition", "expected"),
    [
        # Where every code agrees the matter is settled, whichever is in force.
        ("shower-large-enough", FLOOR.format(size="34 x 34 in", liner="6 in"), "", "", "pass"),
        ("shower-large-enough", FLOOR.format(size="29 x 29 in", liner="6 in"), "", "", "fail"),
        ("shower-large-enough", FLOOR.format(size="31 x 31 in", liner="6 in"), "", "", "open fail: job.code family"),
        ("shower-large-enough", FLOOR.format(size="31 x 31 in", liner="6 in"), "residential", "", "pass"),
        ("shower-large-enough", FLOOR.format(size="31 x 31 in", liner="6 in"), "uniform", "", "fail"),
        ("liner-turned-up-above-the-threshold", FLOOR.format(size="34 x 34 in", liner="3 in"), "", "", "pass"),
        ("liner-turned-up-above-the-threshold", FLOOR.format(size="34 x 34 in", liner="2 in"), "", "", "open fail: job.code family"),
        ("liner-turned-up-above-the-threshold", FLOOR.format(size="34 x 34 in", liner="2 in"), "international", "", "pass"),
        ("liner-turned-up-above-the-threshold", FLOOR.format(size="34 x 34 in", liner="1 in"), "international", "", "fail"),
        ("liner-turned-up-above-the-threshold", FLOOR.format(size="34 x 34 in", liner="2 in"), "residential", "", "fail"),
        ("curb-high-enough-above-the-drain", CURBED.format(curb="1 in"), "residential", "", "fail"),
        ("curb-high-enough-above-the-drain", CURBED.format(curb="1 in"), "international", "", "warn"),
        ("curb-high-enough-above-the-drain", CURBED.format(curb="4 in"), "", "", "pass"),
        ("wet-walls-reach-above-the-drain", WALL.format(drain="70 in", room="76 in", board="cement"), "international", "2021", "pass"),
        ("wet-walls-reach-above-the-drain", WALL.format(drain="69 in", room="76 in", board="cement"), "international", "2009", "fail"),
        ("wet-walls-reach-higher-under-newer-codes", WALL.format(drain="70 in", room="76 in", board="cement"), "international", "2021",
         "fail"),
        ("wet-walls-reach-higher-under-newer-codes", WALL.format(drain="70 in", room="76 in", board="cement"), "international", "2009",
         ""),
        ("wet-walls-reach-higher-under-newer-codes", WALL.format(drain="70 in", room="76 in", board="cement"), "international", "",
         "open fail: job.code edition"),
        ("wet-wall-backer-is-made-for-water", WALL.format(drain="84 in", room="84 in", board="greenboard"), "residential", "2021", "fail"),
        ("wet-wall-backer-is-made-for-water", WALL.format(drain="84 in", room="84 in", board="greenboard"), "residential", "2003", "pass"),
        ("wet-wall-backer-is-one-of-the-handbook", WALL.format(drain="84 in", room="84 in", board="greenboard"), "residential", "2003",
         "warn"),
    ],
)  # fmt: skip
def test_a_rule_follows_the_code_in_force(loaded, rule, places, family, edition, expected):
    assert came(judged(loaded, family, edition, places), rule) == expected


def test_greenboard_with_no_edition_named_asks_for_it(loaded):
    report = judged(loaded, "residential", "", WALL.format(drain="84 in", room="84 in", board="greenboard"))
    assert came(report, "wet-wall-backer-is-made-for-water") == "open fail: job.code edition"
    assert "job.code edition" in {item.fact for item in report.open_items}


# -- where sources disagree ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("rule", "sides"),
    [
        ("stone-is-best-fully-bedded", ("95 %", "all of it")),
        ("seams-over-a-sheet-are-left-bare", ("Some hold", "others coat")),
        ("gypsum-board-under-a-membrane-has-a-report", ("list no such board", "reports for some membranes allow")),
        ("membrane-that-asks-for-modified-gets-it", ("asks for modified", "others ask for plain")),
        ("membrane-that-asks-for-unmodified-gets-it", ("asks for plain", "asks for modified")),
        ("porcelain-is-set-in-modified-mortar", ("ask for modified", "made for plain")),
    ],
)
def test_where_sources_disagree_a_warning_shows_both_sides(loaded, rule, sides):
    asked = loaded.book.rules[rule]
    assert asked.severity == "warn"
    said = " ".join(asked.because.split())
    assert all(side in said for side in sides), said
