"""The trade's own ways to mend a floor: worked out by the sums, told with what they take, and nothing that nobody would do."""

from fractions import Fraction
from pathlib import Path

import pytest
from mended import draft
from paths import ROOT

from validator.advising.mending import Allowed, MendResult, mend
from validator.advising.mending.ways import read_ways
from validator.assembly.draft import Draft
from validator.judging.loading import LoadedBook
from validator.language.source import BadBook, read_source
from validator.papers.mending import mending_lines, mending_object
from validator.planning.sums import sheet_of

KITCHEN = """\
assembly: Kitchen
use: {building: house, work: WORK, code family: residential}
framing: {material: wood, joist: 2x8, spacing: 16 in, span: 12 ft, species: hem-fir, grade: no. 2}
places:
  kitchen floor:
    kind: room floor
    size: 12 x 14 ft
    built up:
      - subfloor panel: {material: plywood, category: 5/8, edges: square}
      - tile mortar: {kind: modified cement, trowel: 1/2 x 1/2 in square notch, contact: 80 %}
      - tile: {body: limestone, size: 18 x 18 in, thickness: 1/2 in}
      - grout: {joint: 1/8 in}
records:
  flatness check: {over 10 ft: 3/8 in}
"""


def page(loaded: LoadedBook, text: str = KITCHEN, work: str = "renovation") -> Draft:
    return Draft(read_source(text.replace("WORK", work), "a kitchen", []), "a kitchen", loaded.vocabulary, loaded.catalogue)


@pytest.fixture(scope="module")
def kitchen(loaded: LoadedBook) -> MendResult:
    return mend(page(loaded), loaded)


@pytest.fixture(scope="module")
def marble(loaded: LoadedBook) -> MendResult:
    return mend(draft(loaded, "upstairs-stone-floor"), loaded)


def live_span_over(one: Draft, loaded: LoadedBook) -> Fraction:
    """The span over the sag under the live load: L/this."""
    sums = {each.fact: each for group in sheet_of(one.assembly(), LoadedBook(loaded.book, loaded.shelf, everything=True)) for each in group.sums}
    found = sums["framing.live deflection"]
    assert 0 <= found.greatest - found.least <= 1  # a step of the kind, rounded outwards
    return 1 / Fraction(found.least, 2_882_880_000)


def done(loaded: LoadedBook, name: str) -> Draft:
    one = page(loaded)
    way = next(each for each in read_ways(ROOT / "rulebooks" / "ways.yaml", loaded.vocabulary).ways if each.name == name)
    (place,) = (subject for subject in one.assembly().subjects if subject.sort == "place")
    return way.written(one, place)


def test_a_second_joist_halves_the_sag_and_half_the_span_leaves_a_sixteenth_of_it(loaded: LoadedBook) -> None:
    """A beam's sag goes with load x span^4 / I: twice I is half of it; half the span is a sixteenth, an eighth of it over the span."""
    before = live_span_over(page(loaded), loaded)
    assert float(live_span_over(done(loaded, "double the joists"), loaded) / before) == pytest.approx(2, rel=1e-4)
    assert float(live_span_over(done(loaded, "a beam below at mid-span"), loaded) / before) == pytest.approx(8, rel=1e-4)


def test_what_a_way_settles_and_leaves_is_told(marble: MendResult) -> None:
    """Marble at L/312 under its whole load: doubled it is L/625, short of L/720; carried at mid-span it is far beyond."""
    (alternative,) = marble.alternatives
    assert [change.after for change in alternative.changes] == ["a beam below at mid-span"]
    doubled = next(each for each in marble.ways if each.way.name == "double the joists")
    assert "Joists are strong enough for what the finish weighs" in doubled.settles
    assert "Sawn joists under stone bend little under their whole load" in doubled.leaves
    assert any("total deflection L/312, then L/625" in line for line in doubled.also)


def test_a_second_layer_blocking_and_a_pour_are_known(kitchen: MendResult) -> None:
    settles = {each.way.name: each.settles for each in kitchen.ways}
    assert "Stone on a wood floor lies on two layers of panel" in settles["a second layer of plywood"]
    assert settles["blocking at the panel edges"] == ("A single panel has tongues or blocking at its long edges",)
    assert settles["a self-leveling pour"] == ("The surface is flat enough over 10 ft",)


def test_every_way_says_its_step_what_it_takes_and_what_to_take_care_of(kitchen: MendResult, loaded: LoadedBook) -> None:
    told = " ".join(" ".join(line for line, _ in mending_lines("Kitchen", kitchen, loaded.book, 400)).split())
    for each in kitchen.ways:
        assert each.way.does in told and each.way.takes in told and each.way.care in told
    for alternative in mending_object(kitchen, loaded.vocabulary)["alternatives"]:
        assert all(change["step"] for change in alternative["changes"])


def changed_facts(mended: MendResult) -> set[str]:
    return {change.fact for each in mended.alternatives for change in each.changes if not change.way}


def test_nobody_is_told_to_swap_the_stone_the_species_or_the_load(kitchen: MendResult, marble: MendResult) -> None:
    nobodys = {"framing.species", "framing.grade", "framing.span", "tile.body", "tile.weight"}
    assert not (changed_facts(kitchen) | changed_facts(marble)) & nobodys


def test_it_is_offered_where_somebody_asks_for_it(loaded: LoadedBook) -> None:
    asked = mend(draft(loaded, "upstairs-stone-floor"), loaded, allowed=Allowed(also=frozenset(["framing.span"])))
    assert "framing.span" in changed_facts(asked)


def test_joists_that_stand_are_not_made_deeper(kitchen: MendResult, loaded: LoadedBook) -> None:
    assert not changed_facts(kitchen) & {"framing.joist", "framing.spacing"}
    asked = mend(page(loaded), loaded, allowed=Allowed(also=frozenset(["framing.joist"])))
    assert "framing.joist" in changed_facts(asked)


def test_goods_are_offered_only_where_some_of_them_are_written(loaded: LoadedBook) -> None:
    five = (ROOT / "samples" / "five-mistakes.yaml").read_text(encoding="utf-8")
    glued = five.replace("          kind: unmodified cement\n          meets: A118.1\n          suffix: H\n", "          kind: organic adhesive\n")
    assert glued != five
    goods = Draft(read_source(glued, "a shower", []), "a shower", loaded.vocabulary, loaded.catalogue)
    none = mend(draft(loaded, "tub-surround"), loaded)
    assert not [change for each in none.alternatives for change in each.changes if change.way == "product"]
    assert [change for each in mend(goods, loaded).alternatives for change in each.changes if change.way == "product"]


def test_what_is_kept_has_no_way_done_to_it(loaded: LoadedBook) -> None:
    kept = mend(page(loaded), loaded, allowed=Allowed(frozenset(["framing"])))
    assert {each.way.name for each in kept.ways} & {"double the joists", "a beam below at mid-span"} == set()


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("does: d, how: by magic, step: structure, facts: {framing.plies: 2}", "`by magic` is no how of a way"),
        ("does: d, how: open the floor, step: lunch, facts: {framing.plies: 2}", "`lunch` is no step of a way"),
        ("does: d, how: open the floor, step: structure, facts: {framing.plys: 2}", "`framing.plys` is no fact of the vocabulary"),
        ("does: d, how: open the floor, step: structure, facts: {framing.plies: many}", "`many` gives no number"),
        ("does: d, how: open the floor, step: structure", "changes nothing"),
    ],
)
def test_a_slip_in_the_ways_is_refused_with_its_line(loaded: LoadedBook, tmp_path: Path, text: str, says: str) -> None:
    file = tmp_path / "ways.yaml"
    file.write_text(f"ways:\n  one: {{{text}, takes: t, care: c}}\n", encoding="utf-8")
    with pytest.raises(BadBook) as refused:
        read_ways(file, loaded.vocabulary)
    assert says in str(refused.value) and ":2:" in str(refused.value)
