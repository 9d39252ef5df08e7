"""What a page says where the database does not do its part: a full disk, a lost connection, a file that is damaged or locked."""

import logging
import secrets
from typing import NamedTuple

from starlette.requests import Request
from starlette.responses import Response

from validator.web.pages import page

LOG = logging.getLogger("validator.web")
KEPT = "Everything acknowledged before is kept; what you just sent is not. It is still in its box if you go back."


class Why(NamedTuple):
    """One kind of fault: what a driver says of it, what is told, and the status."""

    said: tuple[str, ...]
    told: str
    status: int


WHYS = (
    Why(("disk is full", "no space left", "file too large", "disk i/o error", "could not extend"),
        "The disk of the server is full, or cannot be written. Make room there; nothing else needs to be done.", 507),
    Why(("malformed", "not a database"), "The file of the cases is damaged. Stop the server, keep the file, and restore the last backup beside it.", 503),
    Why(("locked", "busy"), "The file of the cases is held by another program. Close that one; then send this again.", 503),
    Why(("readonly", "read-only", "permission"), "The server may not write its file. Give it the right to; then send this again.", 503),
)  # fmt: skip
LOST = Why((), "The database cannot be reached. As soon as it is back, this goes on by itself; then send it again.", 503)


def database_fault(request: Request, fault: Exception) -> Response:
    """The page that says what is wrong with the database, and what is kept."""
    said = str(getattr(fault, "orig", None) or fault).casefold()
    why = next((each for each in WHYS if any(words in said for words in each.said)), LOST)
    number = secrets.token_hex(4)
    LOG.error("fault %s: %s", number, said.splitlines()[0] if said else type(fault).__name__)
    kept = f"{KEPT} " if request.method not in ("GET", "HEAD") else ""
    answer = page(request, "said.html", why.status, title="The cases cannot be reached now", said=f"{why.told} {kept}Number {number} stands in the log of the server.")
    answer.headers["retry-after"] = "30"
    return answer
