"""Where it is opened to others, everybody signs in, and sees and changes what their role lets them."""

import re
from pathlib import Path
from shutil import copyfile

import pytest
from at_desk import HERE, HOST, Desk, Forms
from starlette.testclient import TestClient

from validator.web import people as web_people
from validator.web.bench import Bench
from validator.web.doors import COOKIE, Office, Visitor, is_open, may
from validator.web.people import ROLES, NotTaken, People
from validator.web.site import site
from validator.web.store import Store

SECRET = "four loose tiles on a roof"


class OfficeDesk(Desk):
    """An office, and one browser of it."""

    def __init__(self, folder: Path, bench: Bench) -> None:
        self.store = Store(str(folder / "cases.sqlite"))
        self.people = People(self.store)
        self.people._hasher = web_people.PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
        self.app = site(self.store, bench, folder, hosts=frozenset([HOST]), door=Office(self.people, folder, secure=False))
        self.client = self.browser()

    def browser(self) -> TestClient:
        return TestClient(self.app, base_url=f"http://{HOST}", raise_server_exceptions=False)

    def somebody(self, role: str, name: str = "") -> TestClient:
        """The browser of somebody of a role, signed in."""
        self.people.take(self.people.invite(name or f"one {role}", role), SECRET)
        self.client = self.browser()
        self.see("/sign-in")
        self.send("/sign-in", name=name or f"one {role}", password=SECRET)
        return self.client


@pytest.fixture
def office(tmp_path: Path, bench: Bench, empty: Path):
    copyfile(empty, tmp_path / "cases.sqlite")
    one = OfficeDesk(tmp_path, bench)
    yield one
    one.store.close()


def test_whoever_is_not_signed_in_is_led_to_the_sign_in_and_changes_nothing(office: OfficeDesk) -> None:
    assert office.client.get("/", follow_redirects=False).headers["location"] == "/sign-in"
    assert office.client.post("/cases", data={"kind": "shower"}, headers=HERE).status_code == 401
    assert office.store.cases() == []


def test_an_invitation_opens_once_and_its_password_signs_in(office: OfficeDesk) -> None:
    token = office.people.invite("Ana", "installer")
    office.see(f"/invited/{token}")
    office.see(f"/invited/{token}")
    assert office.send(f"/invited/{token}", password="short").status_code == 422
    assert office.send(f"/invited/{token}", password="password1234").status_code == 422
    assert office.send(f"/invited/{token}", password=SECRET).status_code == 200
    assert "Ana, installer" in office.see("/").text
    assert office.see(f"/invited/{token}").status_code == 404
    with pytest.raises(NotTaken):
        office.people.take(token, SECRET)


def test_signing_in_gives_a_new_session_whatever_the_browser_held(office: OfficeDesk) -> None:
    office.somebody("clerk")
    office.client = office.browser()
    office.client.cookies.set(COOKIE, "fixed-by-somebody-else")
    office.see("/sign-in")
    form = office.form("/sign-in")
    boxes = {**form["boxes"], "name": "one clerk", "password": SECRET}
    answer = office.client.post("/sign-in", data=boxes, headers=HERE, follow_redirects=False)
    given = answer.headers["set-cookie"].partition("=")[2].partition(";")[0]
    assert given != "fixed-by-somebody-else" and office.people.of_session(given).name == "one clerk"
    assert office.people.of_session("fixed-by-somebody-else") is None


def test_a_session_that_was_signed_out_opens_nothing(office: OfficeDesk) -> None:
    client = office.somebody("clerk")
    held = client.cookies[COOKIE]
    office.see("/")
    office.send("/sign-out")
    other = office.browser()
    other.cookies.set(COOKIE, held)
    assert other.get("/", follow_redirects=False).headers["location"] == "/sign-in"


@pytest.mark.parametrize(("name", "password"), [("one clerk", "wrong words altogether"), ("nobody", SECRET), ("one clerk", ""), ("' or 1=1 --", SECRET)])
def test_whatever_was_wrong_the_words_are_the_same(office: OfficeDesk, name: str, password: str) -> None:
    office.somebody("clerk")
    office.client = office.browser()
    office.see("/sign-in")
    answer = office.send("/sign-in", name=name, password=password)
    assert answer.status_code == 401 and "do not go together" in answer.text and COOKIE not in office.client.cookies


def test_after_five_tries_even_the_right_password_waits(office: OfficeDesk) -> None:
    office.somebody("clerk")
    for _ in range(5):
        with pytest.raises(NotTaken, match="do not go together"):
            office.people.signed_in("one clerk", "wrong", "10.0.0")
    with pytest.raises(NotTaken, match="too many tries"):
        office.people.signed_in("one clerk", SECRET, "10.0.1")


def test_sessions_end_when_idle_when_old_and_when_a_role_changes(office: OfficeDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    office.people.take(office.people.invite("Bo", "author"), SECRET)
    (bo,) = office.people.everybody()
    clock = web_people.now_of_the_clock()
    token = office.people.signed_in("Bo", SECRET, "10.0.0")
    for later, holds in ((0, True), (web_people.IDLE - 1, True), (2 * web_people.IDLE, False)):
        monkeypatch.setattr(web_people, "now_of_the_clock", lambda later=later: clock + later)
        assert (office.people.of_session(token) is not None) == holds
    monkeypatch.undo()
    token = office.people.signed_in("Bo", SECRET, "10.0.0")
    office.people.change(bo.id, role="clerk")
    assert office.people.of_session(token) is None


def test_the_last_keeper_stays_one(office: OfficeDesk) -> None:
    office.somebody("keeper")
    (keeper,) = office.people.everybody()
    with pytest.raises(NotTaken, match="last keeper"):
        office.people.change(keeper.id, remove=True)
    with pytest.raises(NotTaken, match="last keeper"):
        office.people.change(keeper.id, role="clerk")


def test_a_keeper_invites_changes_and_takes_out(office: OfficeDesk) -> None:
    office.somebody("keeper")
    office.see("/people")
    form = next(each for each in Forms(office.page.text).forms if ("deed", "invite") in each["buttons"])
    answer = office.client.post("/people", data={**form["boxes"], "deed": "invite", "name": "Cy", "role": "installer"}, headers=HERE)
    assert re.search(rf"http://{re.escape(HOST)}/invited/[\w-]{{40,}}", answer.text)
    (cy,) = [each for each in office.people.everybody() if each.name == "Cy"]
    office.client.post("/people", data={**form["boxes"], "deed": "remove", "person": cy.id}, headers=HERE)
    assert [each.name for each in office.people.everybody()] == ["one keeper"]


def test_each_role_sees_and_changes_what_it_may(office: OfficeDesk) -> None:
    """One case of one installer; what each other may do with it, tried over its pages."""
    office.somebody("installer", "owner")
    public = office.begin(kind="shower")
    form = office.form("/answer")
    sees = {"installer": False, "clerk": True, "reviewer": True, "author": True, "keeper": True}
    changes = {"installer": False, "clerk": True, "reviewer": False, "author": False, "keeper": True}
    for role in ROLES:
        client = office.somebody(role, f"other {role}")
        assert (client.get(f"/cases/{public}/verdict").status_code == 200) == sees[role], role
        assert (client.get(f"/cases/{public}/papers/card").status_code == 200) == sees[role], role
        assert (public in client.get("/").text) == sees[role], role
        assert (client.get("/people").status_code == 200) == (role == "keeper"), role
        token = re.search(r'name="token" value="(\w+)"', client.get("/").text)[1]
        boxes = {**form["boxes"], "token": token, "op": f"of {role}", "left": "later", "key": f"k {role}"}
        status = client.post(f"/cases/{public}/answer", data=boxes, headers=HERE, follow_redirects=False).status_code
        assert (status == 303) == changes[role] and (status in (303, 404)), role
    assert len(office.store.events(public)) == 1 + sum(changes.values())


def test_every_address_has_its_row_and_what_has_none_is_nobodys(office: OfficeDesk) -> None:
    from test_guard import filled, routes

    known = lambda _public: "somebody"  # noqa: E731
    keeper = Visitor("somebody", "s", "keeper")
    for method in ("GET", "POST"):
        for path in routes(office, method):
            path = filled(path, "a" * 26).replace("{token}", "t")
            assert is_open(path) or may(keeper, method, path, known), path
    for path in ("/peoples", "/cases/x", "/admin", "/cases/" + "a" * 27, "/people/../cases", "/metrics"):
        assert not is_open(path) and not may(keeper, "GET", path, lambda _public: None), path


def test_a_link_shows_one_case_until_it_ends_or_is_withdrawn_and_changes_nothing(office: OfficeDesk, monkeypatch: pytest.MonkeyPatch) -> None:
    from validator.web import sharing

    office.somebody("installer")
    public = office.begin(kind="shower")
    office.see(f"/cases/{public}/links")
    link = re.search(r"/shared/[\w-]{30,}", office.send("/links", deed="make", days="14").text)[0]
    guest = office.browser()
    before = office.store.events(public)
    for page in (link, f"{link}/card"):
        answer = guest.get(page)
        assert answer.status_code == 200 and "sandbox" in answer.headers["content-security-policy"] and answer.headers["x-robots-tag"] == "noindex"
        assert guest.post(page, headers=HERE).status_code in (403, 405)
    assert guest.get(f"/cases/{public}", follow_redirects=False).status_code == 303 and office.store.events(public) == before
    assert guest.get("/shared/" + "x" * 32).status_code == 404
    clock = web_people.now_of_the_clock()
    monkeypatch.setattr(sharing, "now_of_the_clock", lambda: clock + 15 * web_people.DAY)
    assert guest.get(link).status_code == 404
    monkeypatch.undo()
    office.see(f"/cases/{public}/links")
    form = next(each for each in Forms(office.page.text).forms if ("deed", "withdraw") in each["buttons"])
    office.client.post(form["action"], data={**form["boxes"], "deed": "withdraw"}, headers=HERE)
    assert guest.get(link).status_code == 404


def test_nothing_secret_is_written_in_the_database(office: OfficeDesk, tmp_path: Path) -> None:
    client = office.somebody("installer")
    public = office.begin(kind="shower")
    office.see(f"/cases/{public}/links")
    link = re.search(r"/shared/([\w-]{30,})", office.send("/links", deed="make").text)[1]
    office.store.close()
    written = b"".join(each.read_bytes() for each in tmp_path.glob("cases.sqlite*"))
    for secret in (SECRET, link, client.cookies[COOKIE]):
        assert secret.encode() not in written
