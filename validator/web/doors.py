"""Who comes in, and what each may do: on one's own machine whoever holds its key; in an office whoever signed in, by their role.

`may` is the one place that says who may see and change what. What it does not name is not there, for anybody.
"""

import hashlib
import hmac
import re
import secrets
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple, Protocol

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from validator.web.people import LONGEST, SECOND, People

SAFE = ("GET", "HEAD", "OPTIONS")
COOKIE = "tile-desk"
OF_A_CASE = re.compile(r"/cases/([a-z2-9]{26})(?:/.*)?")
OPEN = re.compile(r"/(?:static/.+|worker\.js|sign-in|invited/[^/]+|shared/[^/]+(?:/card)?|health)")
BEGINNERS = ("installer", "clerk", "reviewer", "keeper")
SEE_ALL = ("clerk", "reviewer", "author", "keeper")
CHANGE_ALL = ("clerk", "keeper")


class Visitor(NamedTuple):
    """Whoever asks: who they are in the history, and the secret of their session."""

    who: str
    session: str
    role: str = "keeper"
    name: str = ""

    @property
    def token(self) -> str:
        """What every form of this session carries."""
        return hmac.new(self.session.encode(), b"form/1", hashlib.sha256).hexdigest()


class Door(Protocol):
    """One way in."""

    def visitor(self, request: Request) -> Visitor | None:
        """Who asks; None where nobody does whom we know."""

    def turned_away(self, request: Request) -> Response:
        """What is said to whoever is not known."""

    def nobody(self) -> Visitor:
        """Whoever looks at a page that is open to all."""


class OwnMachine:
    """One's own machine: whoever holds the key that the command printed, once; from then on the cookie it became."""

    def __init__(self, folder: Path) -> None:
        self.key = secrets.token_urlsafe(24)
        self._secret = _kept_secret(folder / "secret")
        self.cookie = hmac.new(self._secret, b"own machine/1", hashlib.sha256).hexdigest()

    def visitor(self, request: Request) -> Visitor | None:
        """Who asks; None where the cookie is not ours."""
        held = request.cookies.get(COOKIE, "")
        return Visitor("own machine", self.cookie) if hmac.compare_digest(held.encode(), self.cookie.encode()) else None

    def nobody(self) -> Visitor:
        """Whoever looks at a page that is open to all."""
        return Visitor("", hashlib.sha256(self._secret).hexdigest(), "")

    def turned_away(self, request: Request) -> Response:
        """The key turned into a cookie; else what the key is."""
        if request.method == "GET" and self.taken(request.query_params.get("key", "")):
            answer = RedirectResponse("/", 303)
            answer.set_cookie(COOKIE, self.cookie, max_age=365 * 86_400, httponly=True, samesite="lax", path="/")
            return answer
        return PlainTextResponse(
            "This page is for whoever started the program on this machine. Open the address that `validator serve` printed; it "
            "opens once, and starting the program again prints another.", 403,
        )  # fmt: skip

    def taken(self, key: str) -> bool:
        """Whether this is the key; it opens once."""
        if not self.key or not hmac.compare_digest(key.encode(), self.key.encode()):
            return False
        self.key = ""
        return True


class Office:
    """An office: whoever signed in. `secure`: the browser sends its cookie over TLS alone."""

    def __init__(self, people: People, folder: Path, *, secure: bool) -> None:
        self.people, self.secure = people, secure
        self.cookie = f"__Host-{COOKIE}" if secure else COOKIE
        self._nobody = hmac.new(_kept_secret(folder / "secret"), b"nobody/1", hashlib.sha256).hexdigest()

    def visitor(self, request: Request) -> Visitor | None:
        """Who asks; None where no session holds."""
        token = request.cookies.get(self.cookie, "")
        person = self.people.of_session(token) if token else None
        return None if person is None else Visitor(person.id, token, person.role, person.name)

    def nobody(self) -> Visitor:
        """Whoever looks at a page that is open to all."""
        return Visitor("", self._nobody, "")

    def turned_away(self, request: Request) -> Response:
        """To the sign-in; an answer that comes without a session is refused in words, and its sender keeps it."""
        if request.method in SAFE:
            return RedirectResponse("/sign-in", 303)
        return PlainTextResponse("Sign in first. Nothing was kept of this; go back, and it is still in its box.", 401)

    def let_in(self, token: str) -> Response:
        """A new session's cookie, whatever the browser held before."""
        answer = RedirectResponse("/", 303)
        answer.set_cookie(
            self.cookie, token, max_age=LONGEST // SECOND, httponly=True, samesite="lax", secure=self.secure, path="/",
        )  # fmt: skip
        return answer


def is_open(path: str) -> bool:
    """Whether an address is open to whoever asks."""
    return OPEN.fullmatch(path) is not None


def may(visitor: Visitor, method: str, path: str, owner_of: Callable[[str], str | None]) -> bool:
    """Whether somebody may do something at an address."""
    if path in ("/", "/sign-out"):
        return True
    if path in ("/cases", "/cases/from-file"):
        return visitor.role in BEGINNERS
    if path == "/people":
        return visitor.role == "keeper"
    case = OF_A_CASE.fullmatch(path)
    owner = owner_of(case[1]) if case else None
    if owner is None:
        return False
    if path.endswith("/remove"):
        return visitor.role == "keeper"
    return owner == visitor.who or visitor.role in (SEE_ALL if method in SAFE else CHANGE_ALL)


def sees_only(visitor: Visitor) -> str:
    """Whose cases somebody sees in a list; nothing where everybody's."""
    return "" if visitor.role in SEE_ALL else visitor.who


def _kept_secret(path: Path) -> bytes:
    """The secret of this machine, made the first time; nobody else on the machine can read it."""
    import os

    try:
        return path.read_bytes()
    except FileNotFoundError:
        made = secrets.token_bytes(32)
        with os.fdopen(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(made)
        return made
