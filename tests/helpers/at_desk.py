"""A browser without a script, at a site of its own: reads the forms of a page as a browser would, and sends them."""

import re
from html.parser import HTMLParser
from pathlib import Path

import httpx2 as httpx
from starlette.testclient import TestClient

from validator.web.bench import Bench
from validator.web.doors import OwnMachine
from validator.web.site import site
from validator.web.store import Store

HOST = "127.0.0.1:8765"
HERE = {"sec-fetch-site": "same-origin"}


class Forms(HTMLParser):
    """The forms of a page: where each goes, its boxes as they stand, and its buttons."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.forms: list[dict] = []
        self._select = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        said = dict(attributes)
        if tag == "form":
            self.forms.append({"action": said.get("action", ""), "method": said.get("method", "get"), "boxes": {}, "buttons": []})
        elif not self.forms or not (name := said.get("name")):
            return
        elif tag == "button":
            self.forms[-1]["buttons"].append((name, said.get("value") or ""))
        elif tag in ("input", "select", "textarea") and (said.get("type") not in ("radio", "checkbox") or "checked" in said):
            boxes, value = self.forms[-1]["boxes"], said.get("value") or ""
            boxes[name] = value if name not in boxes else [*([boxes[name]] if isinstance(boxes[name], str) else boxes[name]), value]


class Desk:
    """One person at a site."""

    def __init__(self, folder: Path, bench: Bench, address: str = "") -> None:
        self.store = Store(address or str(folder / "cases.sqlite"))
        self.door = OwnMachine(folder)
        self.app = site(self.store, bench, folder, hosts=frozenset([HOST]), door=self.door)
        self.client = TestClient(self.app, base_url=f"http://{HOST}", follow_redirects=True, raise_server_exceptions=False)
        self.page = self.client.get(f"/?key={self.door.key}")
        assert self.page.status_code == 200

    def see(self, address: str) -> httpx.Response:
        """A page."""
        self.page = self.client.get(address)
        return self.page

    def form(self, ends: str) -> dict:
        """The first form of the page that goes to an address with this end."""
        return next(each for each in Forms(self.page.text).forms if each["action"].endswith(ends))

    def send(self, ends: str, files: dict | None = None, **boxes: str) -> httpx.Response:
        """A form of the page, with these boxes filled in or buttons pressed."""
        form = self.form(ends)
        self.page = self.client.post(form["action"], data={**form["boxes"], **boxes}, files=files, headers=HERE)
        return self.page

    def begin(self, **boxes: str) -> str:
        """A new case; returns its name in addresses."""
        self.see("/")
        self.send("/cases", **boxes)
        return self.public

    def open(self, text: str) -> str:
        """A new case from a description; returns its name in addresses."""
        self.see("/")
        self.send("/cases/from-file", text=text)
        return self.public

    @property
    def public(self) -> str:
        return str(self.page.url).split("/cases/")[1][:26]

    @property
    def question(self) -> str:
        """What is asked."""
        return re.search(r'id="question">(.*?)</h1>', self.page.text)[1]

    def answer(self, **boxes: str) -> httpx.Response:
        """The answer to what is asked; where a page asks several, to the first of them."""
        return self.send("/answer", **boxes)

    def text(self, public: str) -> str:
        """The description as it stands."""
        return self.store.state(public).text
