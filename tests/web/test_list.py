"""The list of cases by verdict, stage and age; any two days of a case beside each other."""

import html
import re
from datetime import datetime, timedelta

import pytest
from at_desk import Desk
from sqlalchemy import text as sql

WALLS = "assembly: {name}\nuse: {{stage: {stage}}}\nplaces:\n  walls:\n    kind: shower wall\n    built up:\n      - board: {{material: cement, thickness: 1/2 in}}\n      - screws: {{length: {screws}}}\n"
DAY = 86_400_000_000


@pytest.fixture
def three(desk: Desk) -> Desk:
    """A case that fails, one that is open, one that is 40 days old."""
    desk.open(WALLS.format(name="Fails", stage="as planned", screws="1 in"))
    desk.open(WALLS.format(name="Open", stage="tile set", screws="1-5/8 in"))
    old = desk.open(WALLS.format(name="Old", stage="tile set", screws="1 in"))
    with desk.store.writing() as link:
        link.execute(sql("update tile_case set changed = changed - :age where public = :public"), {"age": 40 * DAY, "public": old})
    return desk


@pytest.mark.parametrize(
    ("asked", "found"),
    [("", {"Fails", "Open", "Old"}), ("told=fail", {"Fails", "Old"}), ("told=open", {"Open"}), ("told=pass", set()), ("stage=tile+set", {"Open", "Old"}),
     ("age=day", {"Fails", "Open"}), ("age=month", {"Old"}), ("told=fail&stage=tile+set&age=month", {"Old"}), ("q=fails&stage=tile+set", set()),
     ("told=rotten&stage=nowhere&age=ancient", {"Fails", "Open", "Old"})],
)  # fmt: skip
def test_the_list_shows_what_is_asked_for(three: Desk, asked: str, found: set[str]) -> None:
    page = three.see(f"/?{asked}").text
    assert {name for name in ("Fails", "Open", "Old") if f">{name}</a>" in page} == found


def test_a_long_list_goes_on_where_it_ended(desk: Desk, monkeypatch) -> None:
    monkeypatch.setattr("validator.web.store.MOST_LISTED", 2)
    monkeypatch.setattr("validator.web.cases.MOST_LISTED", 2)
    for name in "abc":
        desk.open(WALLS.format(name=f"Case {name}", stage="as planned", screws="1 in"))
    first = desk.see("/").text
    assert "Case c" in first and "Case b" in first and "Case a" not in first
    older = first.partition('class="button" href="/?older=')[2].partition('"')[0]
    second = desk.see(f"/?older={older}").text
    assert "Case a" in second and "Case b" not in second


def test_the_stage_is_set_where_it_is_read_and_written_as_a_fact(desk: Desk) -> None:
    public = desk.open(WALLS.format(name="Hall", stage="as planned", screws="1 in"))
    desk.see(f"/cases/{public}/history")
    desk.send("/answer", says="membrane on")
    assert str(desk.page.url).endswith("/history") and "stage: membrane on" in desk.text(public)
    desk.see(f"/cases/{public}")
    assert desk.store.state(public).stage == "membrane on"


def test_two_days_are_compared_as_each_stood_at_its_end(desk: Desk, monkeypatch) -> None:
    noon = datetime(2028, 2, 29, 12).astimezone()  # at midnight the day would be another while it is looked at
    monkeypatch.setattr("validator.web.store.now_of_the_clock", lambda: int(noon.timestamp()) * 1_000_000)
    public = desk.open(WALLS.format(name="Hall", stage="as planned", screws="1 in"))
    desk.see(f"/cases/{public}/history")
    desk.send("/answer", says="membrane on")
    today = noon.date()
    yesterday = today - timedelta(days=1)
    page = desk.see(f"/cases/{public}/compare?day={yesterday}&other_day={today}").text
    assert "stage: as planned" in page and "stage: membrane on" in page
    assert "Nothing differs" in desk.see(f"/cases/{public}/compare?day={today}&other_day={today}").text
    assert desk.see(f"/cases/{public}/compare?day=nonsense&other_day=99999-99-99").status_code == 200


def test_a_clock_that_was_set_back_is_told_and_changes_no_order(desk: Desk, monkeypatch) -> None:
    public = desk.open(WALLS.format(name="Hall", stage="as planned", screws="1 in"))
    monkeypatch.setattr("validator.web.store.now_of_the_clock", lambda: 1_000_000)
    desk.see(f"/cases/{public}/history")
    desk.send("/answer", says="membrane on")
    page = desk.see(f"/cases/{public}/history").text
    assert "clock stood earlier than at the event before" in page
    assert [each.says["of"].get("is") for each in desk.store.events(public)][1:] == ["membrane on"]
    assert [why for *_, why in desk.store.verified()] == [""]


def test_a_case_that_is_named_so_comes_before_those_that_only_hold_the_words(desk: Desk) -> None:
    for name in ("Mill St 12", "Mill St 7, WR-0312", "Hill St 9, by Mill St 12"):
        desk.open(WALLS.format(name=name, stage="as planned", screws="12 in"))
    found = desk.see("/?q=mill+st+12").text
    assert "Mill St 12</a>" in found and "by Mill St 12</a>" in found and "Mill St 7, WR-0312</a>" not in found
    every = desk.see(html.unescape(re.search(r'These are named so. <a href="([^"]+)"', found)[1])).text
    assert "Mill St 7, WR-0312</a>" in every and "These are named so" not in every
    assert "These are named so" not in desk.see("/?q=cement").text and "Mill St 7, WR-0312</a>" in desk.page.text
    assert "These are named so" not in desk.see("/?q=%25").text, "a sign that stands for anything in a database is only a sign here"
