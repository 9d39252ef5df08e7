"""Templates filled in, and what every page shows: who looks, the token of its forms, and how times and letters are shown."""

import secrets
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from validator.judging.report import DEFERENCE
from validator.papers.tape import on_a_tape
from validator.papers.visible import shown
from validator.web.doors import Visitor

HERE = Path(__file__).parent
OUTCOMES = {"fail": "FAIL", "warn": "WARN", "pass": "nothing fails", "": "not judged"}


def page(request: Request, template: str, status: int = 200, **given: object) -> HTMLResponse:
    """A page."""
    visitor: Visitor = request.state.visitor
    html = _shelf().get_template(template).render(
        token=visitor.token, visitor=visitor, op=secrets.token_hex(16), deference=DEFERENCE, units=units_of(request),
        version=_version(), **given,
    )  # fmt: skip
    return HTMLResponse(html, status)


def is_carried(request: Request) -> bool:
    """Whether our own script asks, which fetches the slower parts of a page once it is shown."""
    return request.headers.get("x-carried-by") == "live"


def units_of(request: Request) -> str:
    """Whether lengths are entered in inches or in mm, as was last chosen."""
    return "mm" if request.cookies.get("units") == "mm" else "in"


def moment(at: int) -> str:
    """A time in UTC, in the machine's own hours."""
    return datetime.fromtimestamp(at / 1e6, UTC).astimezone().strftime("%d %b %Y %H:%M")


def day(at: int) -> str:
    """The day, as a box for a date takes it."""
    return datetime.fromtimestamp(at / 1e6, UTC).astimezone().date().isoformat()


def hour(at: int) -> str:
    """The hour and minute."""
    return datetime.fromtimestamp(at / 1e6, UTC).astimezone().strftime("%H:%M")


@cache
def _version() -> str:
    """Names the script and the style by their content, so that a browser never keeps an old one."""
    import hashlib

    files = sorted((HERE / "static").iterdir())
    return hashlib.sha256(b"".join(file.read_bytes() for file in files)).hexdigest()[:12]


@cache
def _shelf() -> Environment:
    shelf = Environment(
        loader=FileSystemLoader(HERE / "templates"), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True,
        finalize=lambda said: said if isinstance(said, Markup) or not isinstance(said, str) else shown(said),
    )  # fmt: skip
    shelf.filters |= {"moment": moment, "day": day, "hour": hour, "tape": on_a_tape, "first_up": lambda said: said[:1].upper() + said[1:]}
    shelf.globals |= {"OUTCOMES": OUTCOMES}
    return shelf
