"""What stands before every page: who may ask, from where, and how much; and what a browser may do with what it gets.

Whoever is not asked by name (`Host`) gets nothing, so that a page elsewhere cannot reach a server on this machine by giving
its address another name. Whatever changes something must come from a page of ours (`Sec-Fetch-Site` or `Origin`) and carry the
token of its session.
"""

import hashlib
import hmac
import secrets
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import NamedTuple

from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

SAFE = ("GET", "HEAD", "OPTIONS")
LARGEST_BODY = 13_000_000  # bytes; a picture of 12 MB, and its form
LARGEST_FORM = 2_200_000  # without a picture: a description, and its form
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; form-action 'self'; "
    "frame-ancestors 'none'; base-uri 'none'; worker-src 'self'; manifest-src 'self'; require-trusted-types-for 'script'"
)
HEADERS = {
    "content-security-policy": POLICY, "x-content-type-options": "nosniff", "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin", "cross-origin-resource-policy": "same-origin", "cache-control": "no-store",
    "permissions-policy": "camera=(self), geolocation=(), microphone=()",
}  # fmt: skip
COOKIE = "tile-desk"


class Visitor(NamedTuple):
    """Whoever asks: who they are in the history, and the secret of their session."""

    who: str
    session: str

    @property
    def token(self) -> str:
        """What every form of this session carries."""
        return hmac.new(self.session.encode(), b"form/1", hashlib.sha256).hexdigest()


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

    def taken(self, key: str) -> bool:
        """Whether this is the key; it opens once."""
        if not self.key or not hmac.compare_digest(key.encode(), self.key.encode()):
            return False
        self.key = ""
        return True


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


class Guard:
    """The one door: an ASGI middleware around the site."""

    def __init__(self, app, *, hosts: frozenset[str], door: OwnMachine) -> None:
        self.app, self.hosts, self.door = app, hosts, door

    async def __call__(self, scope, receive, send) -> None:
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)

        async def headed(message) -> None:
            if message["type"] == "http.response.start":
                names = {name for name, _ in message["headers"]}
                message["headers"] = [
                    *message["headers"], *((k.encode(), v.encode()) for k, v in HEADERS.items() if k.encode() not in names),
                ]  # fmt: skip
            await send(message)

        answer = self._refusal(request)
        if answer is not None:
            await answer(scope, receive, headed)
            return
        await self.app(scope, _bounded(receive, scope), headed)

    def _refusal(self, request: Request) -> Response | None:
        """Why a request goes no further; None where it may."""
        if request.headers.get("host", "").casefold() not in self.hosts:
            return PlainTextResponse("This server is not known under that name.", 400)
        length = request.headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > LARGEST_BODY:
            return PlainTextResponse(f"Too much at once: at most {LARGEST_BODY // 1_000_000} MB.", 413)
        if request.method not in SAFE and not _from_here(request):
            return PlainTextResponse("Refused: what changes a case must come from a page of this server. Nothing was changed.", 403)
        if request.url.path.startswith("/static/"):
            return None
        visitor = self.door.visitor(request)
        if visitor is None:
            if request.method == "GET" and self.door.taken(request.query_params.get("key", "")):
                return self._let_in()
            return PlainTextResponse(
                "This page is for whoever started the program on this machine. Open the address that `validator serve` printed; it "
                "opens once, and starting the program again prints another.", 403,
            )  # fmt: skip
        request.scope["state"]["visitor"] = visitor
        return None

    def _let_in(self) -> Response:
        answer = RedirectResponse("/", 303)
        answer.set_cookie(COOKIE, self.door.cookie, max_age=365 * 86_400, httponly=True, samesite="lax", path="/")
        return answer


def _from_here(request: Request) -> bool:
    """Whether a browser says that one of our own pages sent this; what says nothing is refused."""
    site, origin = request.headers.get("sec-fetch-site"), request.headers.get("origin")
    if site is not None:
        return site == "same-origin"
    return origin is not None and origin.partition("://")[2].casefold() == request.headers.get("host", "").casefold()


class TooMuch(Exception):
    """A body that goes on beyond what is taken."""


def _bounded(receive: Callable[[], Awaitable[dict]], scope: dict) -> Callable[[], Awaitable[dict]]:
    """The body in pieces, ended where it grows beyond the bound, whatever its length was said to be."""
    taken = 0

    async def piece() -> dict:
        nonlocal taken
        message = await receive()
        taken += len(message.get("body", b""))
        if taken > LARGEST_BODY:
            raise TooMuch(scope["path"])
        return message

    return piece
