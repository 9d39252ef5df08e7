"""What is settled stays settled: saying more of a half-known place never brings back what had been ruled out.

Over the real book, and over a small one that has every fold and every sum; with several layers of a kind, silent ones among
them, and layers that may not be there. What is meant to change is named in `completing.MEANT`, and each has its own test here.
"""

from pathlib import Path
from random import Random

import pytest
from books import rule, write_book
from completing import MEANT, Completing
from paths import RULEBOOKS

from validator.facts import possible
from validator.facts.possible import STATED, Known
from validator.facts.subjects import Subject
from validator.facts.vocabulary import THERE
from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.formulas import FORMS, Formula
from validator.rulebook.reading import read_book

WAYS = 3
# Every form of a sum over two kinds of layers and the place; every fold of what is stated and of what is worked out.
VOCABULARY = """\
place: {what: The place, sort: place}
place.kind: {what: Kind of place, kind: word, words: [shower wall, shower floor]}
place.depth: {what: Depth, kind: length}
place.width: {what: Width, kind: length, from: 1 in}
place.fall: {what: Fall, kind: slope}
place.start: {what: Start, kind: moment}
place.end: {what: End, kind: moment}
place.swing: {what: Swing of temperature, kind: temperature difference}
pan: {what: Pan, sort: layer, when not written: ask}
pan.material: {what: Material of the pan, kind: word, words: [foam, cement]}
pan.thickness: {what: Thickness of the pan, kind: length, from: 0 in}
pan.fall: {what: Fall of the pan, kind: slope}
pan.rise: {what: Rise of the pan, kind: length}
pan.thickness doubled: {what: Doubled, kind: length, worked out by: {2 times: pan.thickness}}
pan.thickness or stated: {what: Stated or worked, kind: length, worked out by: {sum of: [pan.thickness, bed.thickness]}}
bed: {what: Bed, sort: layer, when not written: ask}
bed.thickness: {what: Thickness of the bed, kind: length, from: 0 in}
bed.fall: {what: Fall of the bed, kind: slope}
place.sum: {what: Sum, kind: length, worked out by: {sum of: [pan.thickness, bed.thickness, place.depth]}}
place.rest: {what: Rest, kind: length, worked out by: {less: [place.depth, pan.thickness]}}
place.half: {what: Half, kind: length, worked out by: {1/2 times: bed.thickness}}
place.most: {what: Most, kind: length, worked out by: {greatest of: [pan.thickness, bed.thickness, 1/4 in]}}
place.fewest: {what: Fewest, kind: length, worked out by: {least of: [pan.thickness, place.depth]}}
place.finished fall: {what: Finished fall, kind: slope, worked out by: {same as: [{either of: [pan.fall, bed.fall]}, {rise over run: [pan.rise, place.width]}]}}
place.either thickness: {what: Either, kind: length, worked out by: {either of: [pan.thickness, bed.thickness]}}
place.hours: {what: Hours, kind: duration, worked out by: {hours between: [place.start, place.end]}}
place.steps: {what: Steps, kind: length, worked out by: {part steps of: {what: place.swing, over: 10 degF, each: 15 degF, adds: 1/16 in}}}
"""
AMOUNTS = {
    "place.depth": "2 in", "place.width": "12 in", "pan.thickness": "1/2 in", "bed.thickness": "1 in", "pan.rise": "1/4 in",
    "pan.fall": "2 %", "bed.fall": "1/4 in per ft", "place.fall": "1 %", "place.start": "2026-03-01 08:00", "place.end": "2026-03-02 09:30",
    "place.swing": "40 degF", "place.sum": "4 in", "place.rest": "1 in", "place.half": "1/2 in", "place.most": "1 in", "place.fewest": "1/2 in",
    "place.finished fall": "2 %", "place.either thickness": "3/4 in", "place.hours": "24 h", "place.steps": "1/8 in",
    "pan.thickness doubled": "1 in", "pan.thickness or stated": "1-1/2 in", "pan.count": "2", "bed.count": "1",
    **{f"{thing}.{how} thickness": "1 in" for thing in ("pan", "bed") for how in ("total", "least", "greatest")},
    **{f"pan.{how} thickness doubled": "2 in" for how in ("total", "least", "greatest")},
}  # fmt: skip


def every_sum(folder: Path) -> LoadedBook:
    """A rule for each amount: at least what its case says."""
    rules = {}
    for name, text in AMOUNTS.items():
        own = name.replace(".", "-").replace(" ", "-")
        each = [{"name": "at it", "with": {}, "expect": "pass"}, {"name": "open", "with": {name: "not stated"}, "expect": "open"}]
        cases = {"usual": {"place.kind": "shower wall", name: text}, "each": each}
        rules[f"all/{own}"] = rule(own, applies_when={"place.kind": "shower wall"}, requires={name: {"at least": text}}, cases=cases)
    return LoadedBook(read_book(write_book(folder, vocabulary=VOCABULARY, rules=rules)), everything=True)


@pytest.fixture(scope="module")
def books(tmp_path_factory) -> dict[str, Completing]:
    real = load_book(RULEBOOKS / "us", everything=True)
    return {"the real book": Completing(real), "every sum": Completing(every_sum(tmp_path_factory.mktemp("book")))}


@pytest.mark.parametrize("places", [12, pytest.param(120, marks=pytest.mark.thorough)])
@pytest.mark.parametrize("book", ["the real book", "every sum"])
def test_what_was_ruled_out_stays_ruled_out_and_what_was_settled_stays_settled(books, book, places):
    completing = books[book]
    engine, faults, settled = completing.loaded.engine, [], 0
    for seed in range(places):
        chance = Random(seed)
        half = completing.half(chance)
        before = engine.derive(half)
        for way in range(WAYS):
            after = engine.derive(completing.whole(half, chance))
            faults += [(seed, way, fault) for fault in (*completing.wider(before, after), *completing.changed(before, after))]
            settled += completing.settled(before)
    assert not faults
    assert settled > places


def test_the_small_book_has_every_form_of_sum(tmp_path):
    found = {"N times" if " times" in form else form for form in FORMS}

    def forms(term) -> set[str]:
        return {term.how}.union(*(forms(part) for part in term.parts)) if isinstance(term, Formula) else set()

    loaded = every_sum(tmp_path)
    assert set().union(*(forms(each.formula) for each in loaded.book.order if each.formula)) == found
    assert {each.fact.aggregate[0] for each in loaded.book.order if each.fact.aggregate} == {"count", "total", "least", "greatest"}


# -- what is meant to change ------------------------------------------------------------------------------------------------------


def place_of(completing: Completing, facts: dict[str, str]) -> Subject:
    """A place of some texts, with the things they are said of."""
    vocabulary = completing.vocabulary
    known = {vocabulary.fact(name).thing: Known(THERE, STATED) for name in facts}
    known |= {name: possible.read(vocabulary.fact(name), text) for name, text in facts.items()}
    return Subject("a floor", "place", "shower floor", known)


NEVER_SAID = ("stated over worked out",)  # no completion is made up that says it
CHANGES = {
    # what is said before, what is said then, and the fact that comes to something it had ruled out
    "taken as usual": (
        "the real book", {"framing.spacing": "16 in"}, {"framing.plies": "2"}, "framing.clear gap",
    ),
    "stated over worked out": (
        "the real book", {"framing.spacing": "16 in"}, {"framing.clear gap": "20 in"}, "framing.clear gap",
    ),
    "two names of one amount": (
        "every sum", {"pan.fall": "2 %", "bed": "none"}, {"pan.rise": "3 in", "place.width": "12 in"}, "place.finished fall",
    ),
    "two ways": (
        "the real book", {"board.fixed with": "screws"}, {"screw.kind": "roofing nail"}, "screw.kind",
    ),
    "a sum that refuses": (
        "the real book", {"place.greatest dimension": "36 in to 60 in", "place.least dimension": "up to 36 in"},
        {"place.least dimension": "0 in"}, "place.area",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", MEANT)
def test_what_is_meant_to_change_does_and_by_its_name(books, name):
    book, before, more, changes = CHANGES[name]
    completing = books[book]
    half, whole = (completing.loaded.engine.derive(place_of(completing, each)) for each in (before, before | more))
    assert changes in completing.ruled_out(half, whole)
    if name not in NEVER_SAID:
        assert completing.meant(half, whole)[changes] == name
