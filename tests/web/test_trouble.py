"""Trouble that is seen is entered like everything else, and leads to its causes and the inspection sheet."""

import pytest
from at_desk import HERE, Desk, Forms
from paths import ROOT

from validator.assembly.seen_lines import seen_added, seen_removed
from validator.facts.observing import OBSERVATION
from validator.web.bench import Bench


def test_a_case_begins_with_what_is_seen(desk: Desk) -> None:
    desk.see("/")
    form = [each for each in _forms(desk) if "seen" in each["boxes"]][0]
    desk.page = desk.client.post("/cases", data={**form["boxes"], "words": "floor", "seen": "cracks along a line, first winter"}, headers=HERE)
    assert str(desk.page.url).endswith("/trouble") and "What could explain it, in order" in desk.page.text
    assert "seen: cracks along a line, first winter" in desk.text(desk.public)


def test_words_that_tell_of_nothing_seen_are_given_back(desk: Desk) -> None:
    desk.see("/")
    form = [each for each in _forms(desk) if "seen" in each["boxes"]][0]
    answer = desk.client.post("/cases", data={**form["boxes"], "words": "floor", "seen": "purple frogs"}, headers=HERE)
    assert answer.status_code == 422 and "purple frogs" in answer.text and desk.store.cases() == []


def test_what_is_pressed_is_written_as_facts_of_its_place_and_taken_out_again(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    before = desk.text(public)
    desk.see(f"/cases/{public}/trouble")
    assert desk.send("/trouble", **{"place": "walls", "says.kind": "leak", "word.at": "at a niche", "says.came": "in weeks", "deed": "seen"}).status_code == 200
    assert "kind: leak" in desk.text(public) and "at: at a niche" in desk.text(public) and "came: in weeks" in desk.text(public)
    desk.send("/trouble", place="walls", words="no stain", deed="seen")
    assert "not seen" in desk.page.text and "- no stain" in desk.text(public)
    forms = [each for each in _forms(desk) if ("deed", "no longer") in each["buttons"]]
    assert len(forms) == 2
    for form in forms:
        seen = {**form["boxes"], "deed": "no longer", "op": form["boxes"]["seen"], "newest": str(desk.store.state(public).seq)}
        assert desk.client.post(form["action"], data=seen, headers=HERE).status_code == 200
    assert desk.text(public) == before


def test_without_saying_what_it_is_nothing_is_written(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    desk.see(f"/cases/{public}/trouble")
    answer = desk.send("/trouble", **{"says.came": "in weeks", "deed": "seen"})
    assert answer.status_code == 422 and "grout out" in answer.text and "seen" not in desk.text(public)


def test_a_troubled_case_offers_the_causes_and_the_inspection_sheet(desk: Desk) -> None:
    sample = (ROOT / "samples" / "shower-that-smells.yaml").read_text()
    public = desk.open(sample)
    page = desk.see(f"/cases/{public}/trouble").text
    assert "licensed practice come first" in page and "/thing?place=" in page and "What speaks for and against" in page
    assert "Inspection sheet" in desk.see(f"/cases/{public}/papers").text
    sheet = desk.see(f"/cases/{public}/papers/inspection")
    assert sheet.status_code == 200 and "sandbox" in sheet.headers["content-security-policy"]
    assert "odor" in desk.see(f"/cases/{public}/papers/causes").text
    untroubled = desk.begin(kind="shower")
    assert "Inspection sheet" not in desk.see(f"/cases/{untroubled}/papers").text


def test_every_word_that_can_be_pressed_is_read_back_as_itself(bench: Bench) -> None:
    draft = bench.draft("assembly: A\nplaces: {floor: {kind: room floor}}\n")
    floor = next(each for each in draft.assembly().subjects if each.name == "floor")
    for name, fact in bench.vocabulary.facts.items():
        for bit, word in enumerate(fact.words if name.startswith(f"{OBSERVATION}.") else ()):
            seen = {"kind": "crack", name.partition(".")[2]: word}
            (read,) = next(each.observed for each in seen_added(draft, floor, seen).assembly().subjects if each.name == "floor")
            assert read.known[name].value == (1 << bit, fact.every_word) if fact.is_together else read.known[name].value == 1 << bit, (name, word)


@pytest.mark.parametrize("floor", ["[foam pan, tile]", "{kind: shower floor, seen: [hollow, {kind: loose}]}", "{kind: shower floor, seen: hollow}"])
def test_what_is_seen_is_added_to_what_stands_there_and_taken_out_again(bench: Bench, floor: str) -> None:
    text = f"assembly: A\nplaces:\n  shower floor: {floor}\n"
    draft = bench.draft(text)
    place = next(each for each in draft.assembly().subjects if each.name == "shower floor")
    after = seen_added(draft, place, "crack along a line")
    told = next(each for each in after.assembly().subjects if each.name == "shower floor")
    assert len(told.observed) == len(place.observed) + 1 and told.layers.keys() == place.layers.keys()
    back = seen_removed(after, told.observed[-1])
    again = next(each for each in bench.read(back.text())[1].subjects if each.name == "shower floor")
    assert [each.text for each in again.observed] == [each.text for each in place.observed]


def _forms(desk: Desk) -> list[dict]:
    return Forms(desk.page.text).forms
