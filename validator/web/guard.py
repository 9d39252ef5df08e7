"""What stands before every page: who may ask, from where, and how much; and what a browser may do with what it gets.

Whoever is not asked by name (`Host`) gets nothing, so that a page elsewhere cannot reach a server on this machine by giving
its address another name. Whatever changes something must come from a page of ours (`Sec-Fetch-Site` or `Origin`) and carry the
token of its session.
"""

from collections.abc import Awaitable, Callable

from sqlalchemy.exc import SQLAlchemyError
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from validator.web.doors import SAFE, Door, is_open, may
from validator.web.faults import database_fault

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


class Guard:
    """The one door: an ASGI middleware around the site."""

    def __init__(self, app, *, hosts: frozenset[str], door: Door, owner_of: Callable[[str], str | None]) -> None:
        self.app, self.hosts, self.door, self.owner_of = app, hosts, door, owner_of

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

        try:
            answer = await run_in_threadpool(self._refusal, request)  # it asks the database, which may take its time
        except SQLAlchemyError as fault:
            request.scope["state"]["visitor"] = self.door.nobody()
            answer = database_fault(request, fault)
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
        path = request.url.path
        visitor = self.door.visitor(request)
        if visitor is None and not is_open(path):
            return self.door.turned_away(request)
        request.scope["state"]["visitor"] = visitor or self.door.nobody()
        if visitor is not None and not is_open(path) and not may(visitor, request.method, path, self.owner_of):
            return PlainTextResponse("There is no such page, or none that you may see.", 404)
        return None


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
