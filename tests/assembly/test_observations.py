"""What is seen to be wrong: said in a line or as facts, of a place, a layer, a junction or the job, and judged by no rule."""

import pytest

from validator.assembly import Assembly, read_assembly
from validator.facts import possible
from validator.facts.observing import Observation
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.language.source import BadAssembly

HALL = """\
assembly: Hall
places:
  hall:
    kind: room floor
    built up: [{slab: {cracks: hairline}}, {tile: {body: porcelain}}, {grout: there}]
"""


def described(loaded: LoadedBook, text: str) -> Assembly:
    return read_assembly(text, "hall", loaded.vocabulary, loaded.catalogue)


def seen_in(loaded: LoadedBook, line: str) -> list[Observation]:
    [hall] = (each for each in described(loaded, f"{HALL}    seen: {line}\n").subjects if each.name == "hall")
    return list(hall.observed)


def words(loaded: LoadedBook, seen: Observation) -> dict[str, str]:
    """What is known of an observation, in the vocabulary's own words."""
    return {name.partition(".")[2]: possible.in_words(loaded.vocabulary.facts[name], each.value) for name, each in seen.known.items()}


@pytest.mark.parametrize(
    "line, expected",
    [
        ("cracks along a line across the room, first winter",
         {"kind": "crack", "pattern": "at least along a line", "came": "first season"}),
        ("hairline over the slab joint", {"kind": "crack", "at": "at least over a joint below"}),
        ("drummy tiles at the edge", {"kind": "hollow", "at": "at least at the edge"}),
        ("white powder in the joints after rain", {"kind": "deposit", "goes with": "at least rain"}),
        ("cracked grout at the inside corner, heating season",
         {"kind": "grout out", "at": "at least at a change of plane", "goes with": "at least heating season"}),
        ("stain on the ceiling below, only when someone stands in it",
         {"kind": "stain", "at": "at least in the room below", "goes with": "at least weight on it"}),
        ("bottom row of the wall stays damp", {"kind": "damp", "at": "at least at the bottom courses"}),
        ("crack, 1/16 in wide", {"kind": "crack", "width": "1/16 in (1.6 mm)"}),
        ("hollow, 30 % of the floor", {"kind": "hollow", "share": "30 %"}),
        ("popped up in a heat wave", {"kind": "loose or tented", "goes with": "at least hot weather"}),
        ("grout keeps cracking around the tub", {"kind": "grout out", "at": "at least at the tub"}),
        ("the thinset stayed on the floor, back of tile clean", {"kind": "loose", "lifted": "at least tile back clean"}),
        ("a puddle stays in the shower", {"kind": "ponding"}),
        ("paint bubbling beside the shower", {"kind": "damp or swollen", "at": "at least in the next room"}),
    ],
)  # fmt: skip
def test_a_line_in_the_words_of_the_trade_is_read(loaded, line, expected):
    [seen] = seen_in(loaded, line)
    assert words(loaded, seen) == expected
    assert seen.seen


def test_the_same_said_as_facts_is_the_same(loaded):
    [line] = seen_in(loaded, "crack along a line, first winter")
    [facts] = seen_in(loaded, "{kind: crack, pattern: along a line, came: first winter}")
    assert words(loaded, line) == words(loaded, facts)


def test_several_kinds_in_a_line_are_several_observations(loaded):
    hollow, loose = seen_in(loaded, "hollow and loose tiles at the edge")
    assert words(loaded, hollow) == {"kind": "hollow", "at": "at least at the edge"}
    assert words(loaded, loose) == {"kind": "loose", "at": "at least at the edge"}


def test_what_was_looked_for_and_not_seen_is_kept_as_that(loaded):
    crack, hollow = seen_in(loaded, "crack along a line, no hollow sound")
    assert (crack.seen, hollow.seen) == (True, False)


def test_what_it_does_not_go_with_is_kept_as_that(loaded):
    [leak] = seen_in(loaded, "leak in the room below, not when it rains")
    fact = loaded.vocabulary.facts["observation.goes with"]
    assert not leak.known[fact.name].value[1] >> fact.words.index("rain") & 1


def test_words_that_nothing_reads_are_kept_with_it(loaded):
    [seen] = seen_in(loaded, "crack along a line, zigzag")
    assert seen.unread == ("zigzag",)
    assert seen.text == "crack along a line, zigzag"


@pytest.mark.parametrize(
    "line, what, accepted",
    [
        ("the frob is bad", "`the frob is bad` names nothing that is seen", "crack, loose, hollow"),
        ("hallow at the edge", "`hallow at the edge` names nothing that is seen", "did you mean `hollow`?"),
        ("{kind: crak}", "`kind`: `crak` is not a word for what is seen", "did you mean `crack`?"),
        ("{kind: crack, patern: edge}", "`patern` is not a key of `observation`", "did you mean `pattern`?"),
        ("{pattern: edge}", "nothing says what is seen", "a line `kind:`"),
    ],
)  # fmt: skip
def test_a_line_that_cannot_be_understood_is_told_where_and_what_would_be(loaded, line, what, accepted):
    with pytest.raises(BadAssembly) as refused:
        seen_in(loaded, line)
    [complaint] = refused.value.complaints
    assert (complaint.what, complaint.where.line) == (what, 6)
    assert complaint.accepted.startswith(accepted)


PLACED = """\
assembly: Bath
seen: musty smell
places:
  floor: {kind: shower floor, drain: {seen: damp}, built up: [{mortar bed: there}, {tile: {seen: loose}}]}
  wall: {kind: shower wall, like: floor}
junctions:
  floor to wall: {seen: grout cracked}
"""


def test_it_may_be_said_of_the_job_a_layer_a_part_and_a_junction(loaded):
    subjects = {each.name: each for each in described(loaded, PLACED).subjects}
    assert [each.text for each in subjects["the job"].observed] == ["musty smell"]
    assert {each.of for each in subjects["floor"].observed} == {"drain", "tile"}
    assert words(loaded, next(each for each in subjects["floor"].observed if each.of == "drain"))["at"] == "at least at the drain"
    assert any(each.observed for each in subjects.values() if each.sort == "junction")


def test_a_place_that_is_built_like_another_need_not_look_like_it(loaded):
    wall = next(each for each in described(loaded, PLACED).subjects if each.name == "wall")
    assert wall.observed == ()


def test_what_is_seen_changes_no_judgement(loaded):
    without, seen = described(loaded, HALL), described(loaded, f"{HALL}    seen: [cracks along a line, hollow, leak]\n")
    before, after = check(without, loaded), check(seen, loaded)
    assert (before.findings, before.open_items, before.as_told) == (after.findings, after.open_items, after.as_told)
    assert before.counts == after.counts
