"""From nothing to a card: questions one after another, every answer kept, judged, and told what it changed."""

import re

import pytest
from at_desk import Desk
from paths import ROOT

from validator.assembly.reading import fingerprint_of
from validator.language.source import read_source
from validator.web.bench import Bench
from validator.web.deeds import begun, taken_in

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
WALL = """\
assembly: Hall bath
places:
  walls:
    kind: shower wall
    built up:
      - board: {material: cement, thickness: 1/2 in, fixed with: screws}
      - screws: {length: 1 in}
      - membrane: {kind: liquid, coats: 2}
      - tile: {body: porcelain, size: 12 x 24 in}
  side walls:
    kind: shower wall
"""


def test_a_shower_is_begun_with_one_tap_and_asked_about(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    assert "What kind of building is the work in?" in desk.page.text
    desk.answer(says="house")
    assert "building: house" in desk.text(public)
    assert "What kind of building is the work in?" not in desk.page.text


def test_a_few_words_are_taken_and_not_asked_again(desk: Desk) -> None:
    public = desk.begin(words="curbless shower with mud bed, purple frogs")
    assert "mortar bed" in desk.text(public) and "curb: none" in desk.text(public)
    assert "Nothing was taken from: purple" in desk.page.text


def test_words_that_name_no_job_are_given_back_with_what_would_be_taken(desk: Desk) -> None:
    desk.see("/")
    answer = desk.send("/cases", words="a rocket")
    assert answer.status_code == 422 and "a rocket" in answer.text and "tub" in answer.text
    assert desk.store.cases() == []


def test_an_answer_that_means_nothing_is_shown_back_with_what_is_accepted(desk: Desk) -> None:
    public = desk.open(WALL)
    desk.see(f"/cases/{public}/thing?place=walls&thing=board&layer=0")
    before = desk.store.state(public)
    form = next(each for each in _forms(desk) if each["boxes"].get("fact") == "board.thickness")
    answer = desk.client.post(form["action"], data={**form["boxes"], "typed": "half a banana"}, headers={"sec-fetch-site": "same-origin"})
    assert answer.status_code == 422 and "half a banana" in answer.text and "1/2 in" in answer.text
    assert desk.store.state(public) == before


def _forms(desk: Desk) -> list[dict]:
    from at_desk import Forms

    return Forms(desk.page.text).forms


def test_what_an_answer_changed_is_told(desk: Desk) -> None:
    public = desk.open(WALL)
    assert re.search(r"As told.*FAIL", desk.page.text, re.DOTALL)
    desk.see(f"/cases/{public}/thing?place=walls&thing=screw&layer=0")
    form = next(each for each in _forms(desk) if each["boxes"].get("fact") == "screw.length")
    desk.client.post(form["action"], data={**form["boxes"], "inches": "1", "eighths": "5/8"}, headers={"sec-fetch-site": "same-origin"})
    assert "length: 1-5/8 in" in desk.text(public)
    assert "No longer fails" in desk.see(f"/cases/{public}").text


def test_a_question_left_open_is_not_asked_again_until_it_is_called_back(desk: Desk) -> None:
    public = desk.begin(kind="floor")
    first = desk.question
    text = desk.text(public)
    desk.answer(left="not known")
    assert desk.question != first and desk.text(public) == text
    desk.see(f"/cases/{public}/left")
    desk.answer(left="asked again")
    desk.see(f"/cases/{public}")
    assert "What kind of building is the work in?" in desk.page.text


def test_none_of_a_thing_is_written_as_not_there(desk: Desk) -> None:
    public = desk.begin(words="shower")
    for _ in range(12):
        if "There is none" in desk.page.text:
            break
        desk.answer(left="not known")
    fact = desk.form("/answer")["boxes"]["fact"]
    desk.answer(pressed="none")
    assert re.search(rf"{fact}: none", desk.text(public))


def test_pressing_enter_in_an_empty_box_takes_nothing_for_granted(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    text = desk.text(public)
    answer = desk.answer()
    assert answer.status_code == 422 and "Nothing was entered" in answer.text and desk.text(public) == text


def test_the_same_press_twice_is_one_answer(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    form = desk.form("/answer")
    for _ in range(2):
        desk.client.post(form["action"], data={**form["boxes"], "pressed": "house"}, headers={"sec-fetch-site": "same-origin"})
    assert [each.says["deed"] for each in desk.store.events(public)] == ["opened", "said"]


def test_two_answers_to_one_question_are_both_shown_and_neither_is_lost(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    form = desk.form("/answer")
    desk.answer(pressed="house")
    other = {**form["boxes"], "op": "another", "pressed": "apartment"}
    asked = desk.client.post(form["action"], data=other, headers={"sec-fetch-site": "same-origin"})
    assert asked.status_code == 409 and "It is what I say" in asked.text and "building: house" in desk.text(public)
    desk.page = asked
    desk.answer(pressed="apartment")
    assert "building: apartment" in desk.text(public)
    assert [each.says["of"]["is"] for each in desk.store.events(public)[1:]] == ["house", "apartment"]


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_a_file_comes_out_as_it_went_in_comments_aside(bench: Bench, sample) -> None:
    text = sample.read_text()
    (deed,) = taken_in(bench, text)
    again = taken_in(bench, deed.text)[0].text
    assert again == deed.text
    assert fingerprint_of(read_source(deed.text, "out", [])) == fingerprint_of(read_source(text, "in", []))


def test_a_file_with_slips_is_refused_whole_and_every_slip_is_told(desk: Desk) -> None:
    answer = desk.send("/cases/from-file", text="places:\n  walls: {knd: shower wall}\n  floor: {size: 3 bananas}\n")
    assert answer.status_code == 422 and "knd" in answer.text and "bananas" in answer.text and desk.store.cases() == []


def test_options_become_a_case_each(desk: Desk) -> None:
    desk.send("/cases/from-file", text="assembly: Two ways\noptions:\n  A:\n    places: {walls: {kind: shower wall}}\n  B:\n    places: {wall: {kind: room wall}}\n")
    assert sorted(each.title for each in desk.store.cases()) == ["Two ways, option A", "Two ways, option B"]


def test_a_layer_is_added_moved_copied_removed_and_all_is_undone(desk: Desk) -> None:
    public = desk.open(WALL)
    texts = [desk.text(public)]

    def deed(**boxes: str) -> None:
        desk.see(f"/cases/{public}/build-up")
        answer = desk.send("/build-up", **{"seen": str(desk.store.state(public).seq), "place": "walls", **boxes})
        assert answer.status_code == 200, answer.text
        texts.append(desk.text(public))

    deed(deed="add", thing="primer")
    deed(deed="in", number="3", name="membrane")
    deed(deed="copy", to="side walls")
    deed(deed="remove", number="0", name="primer")
    deed(deed="add place", new="ceiling", kind="shower ceiling", like="walls")
    assert len(set(texts)) == 6
    assert texts[3].count("- membrane:") == 2
    while len(texts) > 1:
        assert desk.text(public) == texts.pop()
        desk.see(f"/cases/{public}/build-up")
        desk.send("/build-up", deed="undo")
    assert desk.text(public) == texts[0]


def test_a_change_to_a_build_up_that_changed_meanwhile_is_not_made(desk: Desk) -> None:
    public = desk.open(WALL)
    desk.see(f"/cases/{public}/build-up")
    answer = desk.send("/build-up", seen="0", place="walls", deed="remove", number="0", name="board")
    assert answer.status_code == 409 and "nothing was done" in answer.text and "- board:" in desk.text(public)


@pytest.mark.parametrize("page", ["", "/build-up", "/verdict", "/papers", "/submittal", "/history", "/left", "/at/1", "/compare?before=1&after=1",
                                  "/thing?place=walls&thing=tile&layer=0", "/papers/buying", "/papers/calendar", "/papers/sums", "/papers/letter"])  # fmt: skip
def test_every_page_defers_to_code_instructions_and_licensed_practice(desk: Desk, page: str) -> None:
    public = desk.open(WALL)
    answer = desk.see(f"/cases/{public}{page}")
    assert answer.status_code == 200 and "licensed practice come first" in answer.text


@pytest.mark.parametrize("paper", ["card", "page", "review"])
def test_a_paper_is_the_commands_own_and_may_only_be_shown(desk: Desk, paper: str) -> None:
    public = desk.open(WALL)
    answer = desk.see(f"/cases/{public}/papers/{paper}")
    policy = answer.headers["content-security-policy"]
    assert "Hall bath" in answer.text and "sandbox" in policy and "'unsafe-inline'" not in policy and "sha256-" in policy


def test_the_saved_file_is_read_by_the_command(desk: Desk, bench: Bench) -> None:
    public = desk.open(WALL)
    answer = desk.see(f"/cases/{public}/description.yaml")
    assert bench.draft(answer.text).assembly().name == "Hall bath"
    assert answer.headers["content-disposition"].startswith("attachment")


def test_a_file_laid_over_a_case_is_one_event_and_can_be_undone(desk: Desk) -> None:
    public = desk.open(WALL)
    before = desk.text(public)
    desk.see(f"/cases/{public}/papers")
    desk.send("/file", text=before.replace("1 in", "2 in"))
    assert "length: 2 in" in desk.text(public)
    desk.see(f"/cases/{public}/build-up")
    desk.send("/build-up", deed="undo")
    assert desk.text(public) == before


def test_any_days_state_is_looked_at_and_compared(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    desk.answer(pressed="house")
    assert "building" not in desk.see(f"/cases/{public}/at/1").text.partition("<pre")[2].partition("</pre>")[0]
    assert "building: house" in desk.see(f"/cases/{public}/compare?before=1&after=2").text


@pytest.mark.thorough
def test_whatever_words_a_beginning_knows_can_be_begun_with(bench: Bench) -> None:
    for template in bench.templates:
        for question in template.questions:
            for said in question.when_said:
                deed = begun(bench, template, f"{template.said[0]}, {said}", "").deed
                assert bench.read(deed.text)[1].subjects


def test_the_verdict_bears_the_numbers_of_its_drawings(desk: Desk) -> None:
    public = desk.open(WALL)
    desk.see(f"/cases/{public}/verdict")
    here = set(re.findall(r'<a class="number \w+" href="#drawing-\d+" aria-label="(\w+), on the drawing"', desk.page.text))
    shown: set[str] = set()
    for drawing in range(desk.page.text.count('<figure class="sheet"')):
        shown |= set(re.findall(r'data-number="(\w+)"', desk.client.get(f"/cases/{public}/drawings/{drawing}.svg").text))
    assert here == shown and len(here) > 1
    assert "from the structure outwards. board, cement, 1/2 in" in desk.page.text  # told to those who cannot see it
