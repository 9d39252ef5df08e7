"""Cases in PostgreSQL: the same answers, the same search, the same history; many writers at once; the server stopped and started.

Run by `.ci/run`, which installs PostgreSQL where it is missing; the server is our own, in a folder that goes with the test.
"""

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from at_desk import Desk
from postgres import Server, postgres
from sqlalchemy import text as sql
from sqlalchemy.exc import SQLAlchemyError

from validator.web.answering import left_open
from validator.web.bench import Bench
from validator.web.demo import fill
from validator.web.people import NotTaken, People
from validator.web.store import Deed, Store, Wanted


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    with postgres() as one:
        yield one


@pytest.fixture
def office(server: Server, tmp_path: Path, bench: Bench) -> Iterator[Desk]:
    with Store(server.address).engine.begin() as link:
        link.execute(sql("drop schema public cascade"))
        link.execute(sql("create schema public"))
    one = Desk(tmp_path, bench, server.address)
    yield one
    one.store.close()


def test_a_story_is_kept_as_in_sqlite(office: Desk) -> None:
    public = office.begin(words="shower with mud bed")
    office.answer(pressed="house")
    office.answer(left="not known")
    assert "building: house" in office.text(public) and [why for *_, why in office.store.verified()] == [""]
    office.see(f"/cases/{public}/build-up")
    office.send("/build-up", deed="undo")
    assert list(office.store.state(public).left.values()) == ["answered"]
    office.see(f"/cases/{public}/history")
    office.send("/notes", note="Zebulon has the key")
    assert [each.public for each in office.store.cases(Wanted("zebulon"))] == [public]
    office.see(f"/cases/{public}/remove?what=note&seq={office.store.state(public).seq}")
    office.send("/remove")
    assert "Zebulon" not in office.see(f"/cases/{public}/history").text and [why for *_, why in office.store.verified()] == [""]
    assert [each.public for each in office.store.cases(Wanted("shower with", named=True))] == [public]
    assert office.store.cases(Wanted("hower", named=True)) == []
    again = Store(office.store.address)
    assert again.events(public) == office.store.events(public)
    again.close()
    office.see(f"/cases/{public}/remove?what=whole")
    office.send("/remove")
    assert office.see(f"/cases/{public}").status_code == 404 and [why for *_, why in office.store.verified()] == [""]


def test_the_same_cases_are_found_in_both_databases(office: Desk, tmp_path: Path, bench: Bench) -> None:
    beside = Store(str(tmp_path / "beside.sqlite"))
    for store in (office.store, beside):
        fill(store, bench)
    for asked in ("", "hall", "wr-001", "WR-123", "birch", "steam gymn", "s-0051", "Bäd", "' or 1=1 --", "2x10", "12 x 24", "a:* & b", "nope"):
        assert [each.title for each in office.store.cases(Wanted(asked))] == [each.title for each in beside.cases(Wanted(asked))], asked
    beside.close()


def test_many_writers_on_one_case_lose_nothing_and_repeat_nothing(office: Desk) -> None:
    public = office.begin(kind="shower")
    processes = [Store(office.store.address) for _ in range(3)]

    def write(number: int) -> None:
        for _ in range(2):  # each press twice
            processes[number % 3].done(public, f"op {number}", left_open([f"key {number}"], "later"), who="own machine", book="b")

    with ThreadPoolExecutor(8) as several:
        list(several.map(write, range(60)))
    events = office.store.events(public)
    assert sorted(each.says["op"] for each in events[1:]) == sorted(f"op {number}" for number in range(60))
    assert len(office.store.state(public).left) == 60 and [why for *_, why in office.store.verified()] == [""]
    for each in processes:
        each.close()


def test_what_was_acknowledged_is_there_after_the_server_was_killed_and_started(office: Desk, server: Server) -> None:
    public = office.begin(kind="shower")
    office.answer(pressed="house")
    before = office.store.events(public)
    server.stop()
    with pytest.raises(SQLAlchemyError):
        office.store.done(public, "lost", lambda state: Deed("left open", {}, state.text), who="own machine", book="b")
    for page in ("/", f"/cases/{public}", f"/cases/{public}/history"):
        assert office.see(page).status_code == 503 and "The database cannot be reached" in office.page.text and "Number" in office.page.text
    server.start()
    assert office.store.events(public) == before
    assert office.see(f"/cases/{public}").status_code == 200


def test_people_sign_in_and_their_tries_are_counted(office: Desk) -> None:
    people = People(office.store)
    people.take(people.invite("Ana", "clerk"), "four loose tiles on a roof")
    assert people.of_session(people.signed_in("Ana", "four loose tiles on a roof", "10.0.0")).role == "clerk"
    for _ in range(5):
        with pytest.raises(NotTaken):
            people.signed_in("Ana", "wrong", "10.0.0")
    with pytest.raises(NotTaken, match="too many"):
        people.signed_in("Ana", "four loose tiles on a roof", "10.0.0")
