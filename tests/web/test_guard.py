"""Who may ask, from where, and how much; and that nothing anybody writes becomes part of a page."""

from html.parser import HTMLParser

import pytest
from at_desk import HERE, HOST, Desk
from fastapi.routing import APIRoute

from validator.web.doors import COOKIE, is_open

PAGES = ("", "/build-up", "/verdict", "/papers", "/submittal", "/history", "/left", "/papers/card", "/papers/buying", "/description.yaml", "/drawings/0.svg")

HOSTILE = (
    "<script>alert(1)</script>", "\"><img src=x onerror=alert(1)>", "{{ 7 * 77777 }}", "</title><script>", "javascript:alert(1)", "' onmouseover='x",
    "\u202egnp.exe", "a\u200bb", "<svg/onload=alert(1)>", "]]><script>", "%3Cscript%3E", "=cmd|' /C calc'!A0", "x" * 1_900,
)  # fmt: skip


def routes(desk: Desk, method: str) -> list[str]:
    found, waiting = [], list(desk.app.routes)
    while waiting:
        route = waiting.pop()
        if isinstance(route, APIRoute) and method in route.methods:
            found.append(route.path)
        waiting += getattr(getattr(route, "original_router", None), "routes", [])
    return found


def filled(path: str, public: str) -> str:
    return path.replace("{public}", public).replace("{name}", "card").replace("{number}", "0").replace("{seq}", "1")


@pytest.mark.parametrize("host", ["evil.example", "evil.example:8765", "127.0.0.1", "127.0.0.1:80", ""])
def test_a_server_asked_by_another_name_answers_nothing(desk: Desk, host: str) -> None:
    answer = desk.client.get("/", headers={"host": host})
    assert answer.status_code == 400 and "Cases" not in answer.text


def test_without_the_cookie_nothing_is_shown_and_the_key_opens_once(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    desk.client.cookies.clear()
    for path in map(lambda each: filled(each, public), routes(desk, "GET")):
        assert is_open(path) or desk.client.get(path).status_code == 403, path
    assert desk.client.get(f"/?key={desk.door.key}").status_code == 403
    assert desk.client.get("/?key=").status_code == 403


def test_the_cookie_is_out_of_reach_of_scripts_and_other_sites(tmp_path, bench) -> None:
    desk = Desk(tmp_path, bench)
    set_cookie = desk.page.history[0].headers["set-cookie"].casefold()
    assert "httponly" in set_cookie and "samesite=lax" in set_cookie and desk.page.history[0].headers["location"] == "/"
    assert (tmp_path / "secret").stat().st_mode & 0o077 == 0


@pytest.mark.parametrize("headers", [{}, {"sec-fetch-site": "cross-site"}, {"sec-fetch-site": "same-site"}, {"sec-fetch-site": "none"},
                                     {"origin": "http://evil.example"}, {"origin": "null"}])  # fmt: skip
def test_nothing_is_changed_from_another_page(desk: Desk, headers: dict[str, str]) -> None:
    public = desk.begin(kind="shower")
    before, form = desk.store.state(public), desk.form("/answer")
    posts = routes(desk, "POST")
    assert len(posts) >= 6
    for path in posts:
        answer = desk.client.post(filled(path, public), data={**form["boxes"], "pressed": "house"}, headers=headers)
        assert answer.status_code == 403, path
    assert desk.store.state(public) == before and len(desk.store.cases()) == 1


@pytest.mark.parametrize("token", ["", "0" * 64, None])
def test_nothing_is_changed_without_the_token_of_the_session(desk: Desk, token: str | None) -> None:
    public = desk.begin(kind="shower")
    before = desk.store.state(public)
    for path in routes(desk, "POST"):
        boxes = {"kind": "shower", "op": "x", "title": "Another", "left": "later", "key": "k", "deed": "undo", "text": "a: b"}
        answer = desk.client.post(filled(path, public), data=boxes | ({} if token is None else {"token": token}), headers=HERE)
        assert answer.status_code == 403, path
    assert desk.store.state(public) == before and len(desk.store.cases()) == 1


def test_looking_changes_nothing(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    before = desk.store.events(public)
    for path in routes(desk, "GET"):
        if path.endswith("/pdf"):
            continue  # it takes a while, and is made in the browser's tests
        assert desk.client.get(filled(path, public), params={"place": "walls", "thing": "board", "deed": "undo"}).status_code < 500, path
    assert desk.store.events(public) == before


def test_every_page_has_a_policy_and_may_not_be_framed(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    for page in ("/", "/nothing", "/cases/nobody", *(f"/cases/{public}{page}" for page in PAGES)):
        headers = desk.see(page).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "script-src 'unsafe" not in policy and headers["x-content-type-options"] == "nosniff", page
        assert headers["referrer-policy"] == "same-origin" and "no-store" in headers["cache-control"], page


def harm_in(html: str) -> list[tuple[str, object]]:
    """Every tag of a page that could run something that is not ours."""
    found: list[tuple[str, object]] = []

    class Tags(HTMLParser):
        def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
            said = dict(attributes)
            ours = tag != "script" or str(said.get("src", "")).startswith("/static/")
            inert = not any(name.startswith("on") for name in said)
            inert = inert and not any(str(said.get(name)).lower().startswith("javascript:") for name in ("href", "src", "action", "formaction"))
            if not ours or not inert or said.get("src") == "x":
                found.append((tag, attributes))

    Tags().feed(html)
    return found


def test_hostile_names_stay_names_on_every_page(desk: Desk) -> None:
    import json

    places = {name[:200]: {"kind": "shower wall", "note": name} for name in HOSTILE}
    answer = desk.send("/cases/from-file", text=json.dumps({"assembly": " ".join(HOSTILE)[:1_900], "places": places}))
    assert answer.status_code == 200, answer.text
    public = desk.public
    for page in ("/", *(f"/cases/{public}{each}" for each in PAGES if not each.endswith("yaml")), f"/cases/{public}/papers/page"):
        shown = desk.client.get(page).text
        assert harm_in(shown) == [] and not any(sign in shown for sign in ("544439", "\u202e", "\u200b")), page


@pytest.mark.parametrize(
    "bomb",
    ["a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n", "x: " + "[" * 200, "x: !!python/object/apply:os.system [id]\n", "\x00\x01", "{" * 500, "a: b\n" * 60_000,
     "x: " + "y" * 3_000],
    ids=["aliases", "depth", "tags", "controls", "braces", "lines", "one long value"],
)  # fmt: skip
def test_what_is_no_description_is_refused_in_words(desk: Desk, bomb: str) -> None:
    answer = desk.send("/cases/from-file", text=bomb)
    assert answer.status_code in (413, 422) and "Traceback" not in answer.text and desk.store.cases() == []


def test_too_much_at_once_is_refused_before_it_is_read(desk: Desk) -> None:
    answer = desk.client.post("/cases", content=b"x" * 14_000_000, headers={**HERE, "content-type": "application/x-www-form-urlencoded"})
    assert answer.status_code == 413


def test_too_many_boxes_are_refused(desk: Desk) -> None:
    boxes = {f"box{number}": "x" for number in range(500)} | desk.form("/cases")["boxes"]
    assert desk.client.post("/cases", data=boxes, headers=HERE).status_code == 400


@pytest.mark.parametrize("path", ["/static/../store.py", "/static/%2e%2e/store.py", "/static/..%2f..%2fpyproject.toml", "/cases/../../etc/passwd",
                                  "/cases/{public}/papers/..%2f..%2fsecret", "/cases/{public}/papers/card.html", "/%2f%2fevil.example/", "/static//etc/passwd"])  # fmt: skip
def test_no_path_leads_out_of_the_site(desk: Desk, path: str) -> None:
    public = desk.begin(kind="shower")
    answer = desk.client.get(path.replace("{public}", public), follow_redirects=False)
    assert answer.status_code in (303, 307, 400, 403, 404) and "root:" not in answer.text and "import" not in answer.text
    assert HOST in answer.headers.get("location", HOST) or answer.headers["location"].startswith("/cases/")


def test_every_redirect_stays_here(desk: Desk) -> None:
    public = desk.begin(kind="shower")
    boxes = {**desk.form("/answer")["boxes"], "pressed": "house", "from": "//evil.example", "back": "https://evil.example"}
    answer = desk.client.post(f"/cases/{public}/answer", data=boxes, headers=HERE, follow_redirects=False)
    assert answer.status_code == 303 and answer.headers["location"] == f"/cases/{public}"


def test_a_cookie_of_ones_own_making_is_worth_nothing(desk: Desk) -> None:
    desk.client.cookies.clear()
    desk.client.cookies.set(COOKIE, "0" * 64)
    assert desk.client.get("/").status_code == 403
