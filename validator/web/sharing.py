"""A link that shows one case, and changes nothing, for as long as its owner says."""

import secrets
from datetime import date

from fastapi import APIRouter, Request
from sqlalchemy import select
from starlette.responses import RedirectResponse, Response

from validator.papers.card import card_of, card_page
from validator.papers.page import page as whole_page
from validator.web.desk import bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.papers import policy_of
from validator.web.people import DAY, digest_of
from validator.web.posted import Posted
from validator.web.store import Store, now_of_the_clock
from validator.web.tables import CASE, SHARE

router = APIRouter()
USUAL_DAYS, MOST_DAYS = 14, 180


@router.get("/cases/{public}/links")
def links(request: Request, public: str) -> Response:
    """The links that show this case."""
    return _links(request, public)


def _links(request: Request, public: str, made: str = "") -> Response:
    with store_of(request).engine.connect() as link:
        asked = select(SHARE).join(CASE, SHARE.c.case == CASE.c.id).where(CASE.c.public == public).order_by(SHARE.c.made.desc())
        rows = [(row.token[:12], row.made, row.until, row.withdrawn) for row in link.execute(asked)]
    return page(request, "links.html", head=head_of(request, public), tab="papers", links=rows, made=made, now=now_of_the_clock(), usual=USUAL_DAYS, most=MOST_DAYS)


@router.post("/cases/{public}/links")
def change(request: Request, public: str, form: Posted) -> Response:
    """A link made, or withdrawn at once."""
    store = store_of(request)
    now, number = now_of_the_clock(), select(CASE.c.id).where(CASE.c.public == public).scalar_subquery()
    if form.one("deed") == "withdraw":
        with store.writing() as link:
            known = SHARE.c.token.startswith(form.one("link", 12), autoescape=True)
            link.execute(SHARE.update().where(SHARE.c.case == number, known, SHARE.c.withdrawn == 0).values(withdrawn=now))
        return RedirectResponse(f"/cases/{public}/links", 303)
    days, token = min(max(form.number("days", USUAL_DAYS), 1), MOST_DAYS), secrets.token_urlsafe(24)
    with store.writing() as link:
        link.execute(SHARE.insert().values(token=digest_of(token), case=number, until=now + days * DAY, made=now, by=visitor_of(request).who, withdrawn=0))
    return _links(request, public, f"{request.url.scheme}://{request.headers['host']}/shared/{token}")


def shared_case(store: Store, token: str) -> str | None:
    """The case that a link shows, while it holds."""
    with store.engine.connect() as link:
        asked = select(CASE.c.public).join(SHARE, SHARE.c.case == CASE.c.id)
        held = (SHARE.c.token == digest_of(token), SHARE.c.withdrawn == 0, SHARE.c.until > now_of_the_clock())
        return link.execute(asked.where(*held)).scalar()


@router.get("/shared/{token}")
def shared(request: Request, token: str) -> Response:
    """The whole report of a shared case."""
    return _shown(request, token, card=False)


@router.get("/shared/{token}/card")
def shared_card(request: Request, token: str) -> Response:
    """The card of a shared case."""
    return _shown(request, token, card=True)


def _shown(request: Request, token: str, *, card: bool) -> Response:
    store, bench = store_of(request), bench_of(request)
    public = shared_case(store, token)
    if public is None:
        return page(request, "said.html", 404, title="This link has ended", said="Whoever sent it can make another.")
    assembly, report = bench.papers_of(store.state(public).text)
    today = date.today().isoformat()
    with bench.at_work():
        html = card_page([card_of(assembly, report, bench.whole)], date=today) if card else whole_page([assembly], [report], bench.whole, date=today)
    return Response(html, media_type="text/html", headers={"content-security-policy": policy_of(html), "x-robots-tag": "noindex"})
