"""From what is seen to what could explain it: for, against, ruled out, the looks; and what may never be said."""

import re

import pytest

import validator
from validator.assembly import read_assembly
from validator.troubles.gathering import causes_of
from validator.troubles.report import NOT_MET, NOT_MET_IF, OPEN, Causes
from validator.engines.outcomes import Outcome
from validator.judging.loading import LoadedBook
from validator.papers.causes import causes_lines
from validator.rulebook.conditions import facts_read

SURELY_MET = (Outcome.PASS, Outcome.BY_EXCEPTION, Outcome.NOTHING)

SMELL = """\
assembly: Shower that smells
places:
  floor:
    kind: shower floor
    seen: [damp at the drain for months, odor in use]
    drain: {kind: clamping ring}
    built up:
      - pre-slope: none
      - liner: {material: PVC}
      - mortar bed: {thickness: 1-1/2 in}
      - tile: {body: porcelain, size: 2 x 2 in}
"""
HALL = """\
assembly: Hall
places:
  hall:
    kind: room floor
    built up: [{slab: {cracks: hairline}}, {isolation membrane: none}, {tile mortar: {contact: 60 %}}, {tile: {body: porcelain}}]
"""


def explained(loaded: LoadedBook, text: str) -> Causes:
    [assembly] = read_assembly(text, "told", loaded.vocabulary, loaded.catalogue).to_judge()
    return causes_of(assembly, loaded)


def seen_in_hall(loaded: LoadedBook, *lines: str) -> Causes:
    return explained(loaded, HALL + "".join(f"{'    seen:' if not n else ''}\n      - {line}" for n, line in enumerate(lines)) + "\n")


def rules_of(found: Causes) -> list[str]:
    return [each.rule for cause in found.causes for each in cause.requirements]


def requirement(found: Causes, rule: str):
    return next(each for cause in found.causes for each in cause.requirements if each.rule == rule)


def test_what_is_stated_as_not_met_and_shows_so_stands_first_with_what_speaks_for_it(loaded):
    found = explained(loaded, SMELL)
    first = found.causes[0].requirements[0]
    assert (found.causes[0].name, first.rule, first.standing) == ("the bed stays wet", "sloped-fill-under-the-liner", NOT_MET)
    assert first.found == "pre-slope none"
    assert any("odor in use: usual" in text for text in first.speaks_for)
    assert all(each.title for each in first.sources)


def test_what_explains_together_stands_together(loaded):
    bed = explained(loaded, SMELL).causes[0]
    assert {"sloped-fill-under-the-liner", "weep-holes-clear"} <= {each.rule for each in bed.requirements}
    assert bed.explains == ("damp at the drain for months", "odor in use")


def test_what_nobody_has_said_is_asked_with_the_word_it_is_written_as(loaded):
    weeps = requirement(explained(loaded, SMELL), "weep-holes-clear")
    assert weeps.standing == OPEN
    assert ("drain.weeps clear", "drain weeps clear") in [(each.fact, each.written) for each in weeps.asks]


def test_a_reading_that_surely_meets_a_requirement_rules_it_out(loaded):
    found = explained(loaded, SMELL.replace("kind: clamping ring", "kind: clamping ring, weeps clear: yes"))
    assert "weep-holes-clear" not in rules_of(found)
    assert ("weep-holes-clear", "floor") in [(each.rule, each.place) for each in found.ruled_out]


def test_a_reading_that_breaches_a_requirement_puts_it_among_the_first(loaded):
    found = explained(loaded, SMELL.replace("kind: clamping ring", "kind: clamping ring, weeps clear: no"))
    assert requirement(found, "weep-holes-clear").standing == NOT_MET
    assert "weep-holes-clear" in [each.rule for each in found.causes[0].requirements[:2]]


def test_a_pattern_that_does_not_fit_speaks_against_and_rules_nothing_out(loaded):
    fitting, other = seen_in_hall(loaded, "crack wandering along a line"), seen_in_hall(loaded, "crack, one tile only")
    rule = "cracked-slab-has-isolation"
    assert not requirement(fitting, rule).speaks_against
    assert requirement(other, rule).speaks_against[0].startswith("crack, one tile only: more often")
    assert rules_of(fitting).index(rule) < rules_of(other).index(rule)


def test_what_was_looked_for_and_not_seen_speaks_against_what_usually_brings_it(loaded):
    found = seen_in_hall(loaded, "loose tile, scattered", "no hollow sound")
    assert "looked for and not seen: hollow sound" in requirement(found, "mortar-contact-is-enough").speaks_against


def test_a_requirement_that_fails_only_if_it_applies_says_so(loaded):
    text = HALL.replace("slab: {cracks: hairline}", "existing finish: {material: sheet vinyl or ceramic tile, well bonded: no}")
    found = explained(loaded, f"{text}    seen: cracked tile\n")
    assert requirement(found, "vinyl-holds-fast").standing == NOT_MET_IF


def test_what_is_seen_of_one_floor_is_not_explained_by_another_s_mortar(loaded):
    text = HALL + "  kitchen: {kind: room floor, seen: hollow, built up: [{tile mortar: {contact: 95 %}}, {tile: there}]}\n"
    found = explained(loaded, text)
    assert "mortar-contact-is-enough" not in rules_of(found)
    assert ("mortar-contact-is-enough", "kitchen") in [(each.rule, each.place) for each in found.ruled_out]


def test_what_water_does_may_have_begun_elsewhere(loaded):
    text = SMELL.replace("    seen: [damp at the drain for months, odor in use]\n", "") + "  hall below: {kind: room ceiling, seen: leak in use}\n"
    assert "drain-joined-to-the-waste" in rules_of(explained(loaded, text))


def test_a_cause_outside_the_book_is_listed_where_the_pattern_points_there(loaded):
    assert "a supply pipe leaks" in [each.name for each in seen_in_hall(loaded, "damp, nothing running").outside]
    assert "a supply pipe leaks" not in [each.name for each in seen_in_hall(loaded, "damp, only in use").outside]


def test_the_looks_that_open_nothing_and_cost_least_come_first_each_with_all_it_tells_of(loaded):
    found = seen_in_hall(loaded, "hollow, scattered")
    ranks = [loaded.book.looks[each.name].rank for each in found.looks]
    assert ranks == sorted(ranks) and len(ranks) > 3
    lift = next(each for each in found.looks if each.name == "lift one tile")
    assert {"too little mortar behind", "the bond lets go"} <= set(lift.causes)


def test_what_is_met_only_because_nobody_wrote_otherwise_rules_nothing_out(loaded):
    """Floor warming that nobody writes is taken as not there; what that alone would meet is no reading."""
    assembly = read_assembly(EVERYTHING_SEEN, "told", loaded.vocabulary, loaded.catalogue)
    presumed = {subject.name: set(subject.presumed) for subject in assembly.subjects}
    for out in causes_of(assembly, loaded).ruled_out:
        required = {loaded.vocabulary.fact(name).thing for name in facts_read(loaded.book.rules[out.rule].requires)}
        assert not required & presumed[out.place], out.rule


# -- properties -----------------------------------------------------------------------------------------------------------------

KINDS = ("crack", "loose", "hollow", "tented", "grout cracked", "leak", "odor", "damp", "deposit", "soft", "stain", "lippage")
EVERYTHING_SEEN = SMELL.replace("[damp at the drain for months, odor in use]", f"[{', '.join(KINDS)}]")
READINGS = (
    ("kind: clamping ring", "kind: clamping ring, weeps clear: yes"),
    ("    built up:", "    fall: 1/4 in per ft\n    built up:"),
    ("    built up:", "    exposure: wet\n    built up:"),
    ("material: PVC", "material: PVC, thickness: 40 mil, over curb: over and down outside"),
    ("      - tile:", "      - tile mortar: {kind: modified cement, contact: 97 %}\n      - tile:"),
    ("2 x 2 in}", "2 x 2 in}\n      - grout: {joint: 1/8 in, kind: cement, sanded: yes}"),
)


@pytest.mark.parametrize("text", [EVERYTHING_SEEN, HALL + f"    seen: [{', '.join(KINDS)}]\n"])
def test_a_cause_is_ruled_out_only_by_what_is_surely_met(loaded, text):
    assembly = read_assembly(text, "told", loaded.vocabulary, loaded.catalogue)
    met = set()
    for subject in assembly.subjects:
        derived = loaded.engine.derive(subject)
        met |= {(judged.compiled.name, subject.name) for judged in loaded.engine.judge(derived) if judged.outcome in SURELY_MET}
    out = {(each.rule, each.place) for each in causes_of(assembly, loaded).ruled_out}
    assert out and out <= met


def test_a_reading_that_is_added_never_brings_back_what_was_ruled_out(loaded):
    text, out = EVERYTHING_SEEN, set()
    for before, after in (("", ""), *READINGS):
        if before:
            assert before in text
            text = text.replace(before, after, 1)
        now = {(each.rule, each.place) for each in explained(loaded, text).ruled_out}
        assert out <= now, out - now
        out = now
    assert len(out) > 5


def test_the_order_does_not_depend_on_the_order_of_the_file(loaded):
    rooms = {
        "floor": "{kind: shower floor, seen: [damp at the drain, odor], built up: [{mortar bed: there}, {tile: there}]}",
        "wall": "{kind: shower wall, seen: soft bottom courses, built up: [{board: {material: cement}}, {tile: there}]}",
        "bath": "{kind: room floor, seen: [hollow, cracks along a line], built up: [{slab: there}, {tile mortar: there}, {tile: there}]}",
    }

    def told(names) -> list[tuple[str, list[str]]]:
        found = explained(loaded, "assembly: Bath\nplaces:\n" + "".join(f"  {name}: {rooms[name]}\n" for name in names))
        return [(cause.name, [each.rule for each in cause.requirements]) for cause in found.causes], [each.name for each in found.outside]

    assert told(rooms) == told(reversed(rooms))


def test_nothing_seen_is_said_and_explains_nothing(loaded):
    found = explained(loaded, HALL)
    assert (found.seen, found.causes, found.outside, found.ruled_out) == ((), (), (), ())
    assert "Nothing is written under `seen:`" in " ".join(text for text, _ in causes_lines(found, 80))


@pytest.mark.parametrize("text", [SMELL, f"{HALL}    seen: [cracks along a line, hollow, tented]\n"])
def test_the_paper_grants_nothing_blames_nobody_and_counts_no_likelihood(loaded, text):
    paper = " ".join(line for line, _ in causes_lines(explained(loaded, text), 100, everything=True)).casefold()
    assert not re.search(r"\b(approved|compliant|certified|void|denied|at fault|to blame|probable|probability|liable|percent likely)\b", paper)
    assert "no likelihood" in paper


def test_from_python_it_is_what_the_command_tells(loaded):
    assembly = validator.read_text(SMELL)
    assert validator.causes(assembly) == causes_of(assembly, loaded)
    with pytest.raises(TypeError, match="`causes` takes the Assembly"):
        validator.causes(SMELL)
