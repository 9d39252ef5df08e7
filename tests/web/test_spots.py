"""What one look answers is asked at once: several answers are one event, and what is left blank is lost to nobody."""

import html
import re

from at_desk import HERE, Desk
from paths import ROOT

TAPED = """\
assembly: Taped bath
places:
  shower floor:
    built up: [foam pan, tile: {size: 2 x 2 in}]
  walls:
    kind: shower wall
    built up:
      - board: {material: foam, thickness: 1/2 in, fixed with: screws}
      - screws: {length: 1-5/8 in}
      - membrane: {kind: liquid, covers: seams and screw heads}
      - tile: {body: porcelain, size: 12 x 24 in}
"""


def to_the(desk: Desk, heading: str) -> None:
    """Leaves open what comes before a spot."""
    for _ in range(20):
        if desk.question == heading:
            return
        desk.answer(left="not known")
    raise AssertionError(f"{heading} is not asked")


def test_what_is_entered_together_is_one_event_and_one_undo(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    assert desk.question == "The job"
    before = desk.text(public)
    desk.answer(**{"says": "apartment", "says.1": "new", "rest": "usual"})
    assert "building: apartment" in desk.text(public) and "code family: residential" in desk.text(public)
    assert [each.says["deed"] for each in desk.store.events(public)] == ["opened", "said together"]
    desk.see(f"/cases/{public}/build-up")
    desk.send("/build-up", deed="undo")
    assert desk.text(public) == before
    desk.see(f"/cases/{public}")
    assert desk.question == "The job"


def test_nothing_usual_is_taken_unless_it_was_pressed(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    desk.answer(**{"says.1": "new"})
    assert "work: new" in desk.text(public) and "building" not in desk.text(public) and "residential" not in desk.text(public)


def test_one_that_cannot_be_read_keeps_the_others_and_stands_in_its_box(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    to_the(desk, "Framing")
    answer = desk.answer(**{"says": "wood", "typed.2": "half a banana"})
    assert answer.status_code == 422 and "half a banana" in answer.text and "16 in" in answer.text
    assert "material: wood" in desk.text(public) and "banana" not in desk.text(public)
    desk.answer(typed="16 in")
    assert "spacing: 16 in" in desk.text(public)


def test_what_is_left_blank_comes_again_after_the_others(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    desk.answer(says="house")
    assert set(desk.store.state(public).left.values()) == {"answered", "later"}
    desk.answer(left="not known")
    assert desk.question != "The job"
    desk.see(f"/cases/{public}/left")
    assert "job work" in desk.page.text


def test_one_answer_holds_at_every_seam_unless_they_differ(desk: Desk) -> None:
    public = desk.open(TAPED)
    desk.see(f"/cases/{public}")
    to_the_tape(desk)
    sites = desk.form("/answer")["boxes"]["place"]
    assert len(sites) > 1
    desk.answer(pressed="there")
    assert desk.text(public).count("tape") == len(sites)
    desk.see(f"/cases/{public}/build-up")
    desk.send("/build-up", deed="undo")
    desk.see(f"/cases/{public}")
    desk.answer(left="one by one")
    alone = desk.form("/answer")["boxes"]["place"]
    assert isinstance(alone, str)
    desk.answer(pressed="none")
    assert desk.text(public).count("tape: none") == 1


def to_the_tape(desk: Desk) -> None:
    """Leaves open what comes before the question of the tape."""
    for _ in range(20):
        if desk.form("/answer")["boxes"].get("fact") == "tape":
            return
        desk.answer(left="not known")
    raise AssertionError("tape is not asked")


def test_of_several_answers_only_the_one_that_meets_another_is_shown_with_it(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    form = desk.form("/answer")
    desk.answer(says="house")
    other = {**form["boxes"], "op": "another", "says": "hotel", "says.1": "renovation"}
    asked = desk.client.post(form["action"], data=other, headers=HERE)
    assert asked.status_code == 409 and asked.text.count("It is what I say") == 1
    assert "building: house" in desk.text(public) and "work: renovation" in desk.text(public)


def test_the_rest_as_usual_says_what_was_listed_and_ticked_and_no_more(desk: Desk) -> None:
    public = desk.begin(words="shower on joists")
    desk.see(f"/cases/{public}/rest")
    keys = desk.form("/rest")["boxes"]["key"]
    assert "framing.span @ shower" not in keys and "tile.body @ walls" in keys
    desk.send("/rest", key=[each for each in keys if each != "tile.body @ walls"], deed="usual")
    text = desk.text(public)
    assert "joist: 2x10" in text and "span" not in text and text.count("body: porcelain") == 1
    assert len(desk.store.events(public)) == 2


def test_the_rest_left_open_ends_the_asking_and_is_undone_at_once(desk: Desk) -> None:
    public = desk.open(TAPED)
    before, text = desk.see(f"/cases/{public}").text, desk.text(public)
    desk.see(f"/cases/{public}/rest")
    form = [each for each in _forms(desk) if ("deed", "not known") in each["buttons"]][0]
    desk.client.post(form["action"], data={**form["boxes"], "deed": "not known"}, headers=HERE)
    assert desk.text(public) == text and 'id="answer"' not in desk.see(f"/cases/{public}").text
    desk.see(f"/cases/{public}/build-up")
    desk.send("/build-up", deed="undo")
    assert _question(desk.see(f"/cases/{public}").text) == _question(before)


def _forms(desk: Desk) -> list[dict]:
    from at_desk import Forms

    return Forms(desk.page.text).forms


def _question(html: str) -> str:
    return re.search(r'id="question">(.*?)</h1>', html)[1]


def test_it_stops_asking_where_no_answer_could_change_the_verdict_by_itself(desk: Desk) -> None:
    public = desk.open(TAPED)
    desk.see(f"/cases/{public}")
    for _ in range(40):
        if "Ask me those too" in desk.page.text:
            break
        desk.answer(left="not known")
    assert desk.question == "What you left open could still change the verdict"
    told = desk.store.state(public).told
    assert told["could"] == "fail", "what was left open is still told as open"
    desk.see(f"/cases/{public}?further=yes")
    asked = desk.question
    desk.answer(left="not known")
    assert "further=yes" in str(desk.page.url) and desk.question != asked


def test_where_what_matters_is_answered_it_says_that_nothing_more_could_change_the_verdict(desk: Desk) -> None:
    sample = (ROOT / "samples" / "second-floor-shower.yaml").read_text()
    public = desk.open(sample.replace("          cure called for: 24 h\n", "", 1))
    page = desk.see(f"/cases/{public}").text
    told = desk.store.state(public).told
    assert (told["asks"], told["could"]) == (0, "warn")
    assert re.search(r'id="question"[^>]*>(.*?)</h1>', page)[1] == "Nothing more could change the verdict by itself"
    assert "could matter together with another answer" in page


def test_what_the_answers_would_do_comes_after_a_page_that_the_script_asks_for(desk: Desk) -> None:
    case = f"/cases/{desk.open((ROOT / 'samples' / 'half-known.yaml').read_text())}"
    whole = desk.see(case).text
    first = desk.client.get(case, headers={"x-carried-by": "live"}).text
    after = desk.see(html.unescape(re.search(r'data-after="([^"]+)"', first)[1])).text
    told = re.compile(r'id="(worst[.0-9]*)">([^<]+)<|<dt>([^<]+)</dt>')
    assert told.findall(whole) and told.findall(whole) == told.findall(after)
    assert "data-after" not in whole and not told.findall(first)
    assert set(re.findall(r' id="(worst[.0-9]*|effects[.0-9]*)"', after)) == set(re.findall(r' id="(worst[.0-9]*|effects[.0-9]*)"', first))


def test_what_the_beginning_asked_of_the_framing_is_not_asked_again_though_a_range_leaves_it_open(desk: Desk) -> None:
    desk.begin(words="shower on joists, second floor, foam pan")
    to_the(desk, "Framing")
    turn = re.search(r'name="fact([.0-9]*)" value="framing.span"', desk.page.text)[1]
    public = desk.public
    desk.answer(**{f"typed{turn}": "11 to 13 ft", "rest": "usual"})
    asked = [fact for _ in range(30) for fact in re.findall(r'name="fact[.0-9]*" value="([^"]+)"', desk.page.text) if "/answer" in desk.page.text and (desk.answer(left="not known") or True)]
    assert "11 to 13 ft" in desk.text(public) and "framing.span" not in asked and "subfloor panel.material" in asked
    assert "How far do the joists run" in desk.see(f"/cases/{public}/verdict").text, "the verdict still says that it is open"
