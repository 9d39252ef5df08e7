"""The whole site: the pages of every part behind one guard."""

import logging
import secrets
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

from fastapi import FastAPI, Request
from sqlalchemy.exc import SQLAlchemyError
from starlette.responses import FileResponse, PlainTextResponse, Response
from starlette.staticfiles import StaticFiles

from validator.assembly.build_ups import Unchangeable
from validator.web import build_up, cases, history, notes, papers, pictures, question, sharing, sign_in, submittal, trouble, verdict
from validator.web.bench import Bench
from validator.web.doors import Door
from validator.web.deeds import Refused
from validator.web.faults import database_fault
from validator.web.guard import Guard, TooMuch
from validator.web.pages import HERE, page
from validator.web.posted import BadForm
from validator.web.store import NoCase, Store

AT_ONCE = 8  # requests that are worked on; more would only share the processor
LOG = logging.getLogger("validator.web")


def site(store: Store, bench: Bench, folder: Path, *, hosts: frozenset[str], door: Door) -> FastAPI:
    """The site over a database and a bench; `folder` is where it keeps what is no row."""

    @asynccontextmanager
    async def running(_app: FastAPI) -> AsyncIterator[None]:
        from anyio.to_thread import current_default_thread_limiter

        current_default_thread_limiter().total_tokens = AT_ONCE
        yield
        store.close()

    app = FastAPI(title="validator serve", docs_url=None, redoc_url=None, openapi_url=None, lifespan=running)
    app.state.store, app.state.bench, app.state.folder, app.state.door = store, bench, folder, door
    for part in (cases, question, build_up, verdict, trouble, notes, papers, submittal, pictures, history, sharing, sign_in):
        app.include_router(part.router)
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    app.add_middleware(Guard, hosts=hosts, door=door, owner_of=store.owner_of)

    @app.exception_handler(NoCase)
    def no_case(request: Request, _fault: NoCase) -> Response:
        return page(request, "said.html", 404, title="There is no such case", said="There is no case at this address, or none that you may see.")

    @app.exception_handler(404)
    def nothing_here(request: Request, _fault: Exception) -> Response:
        if request.url.path.startswith("/static/"):
            return PlainTextResponse("Nothing is here.", 404)
        return page(request, "said.html", 404, title="Nothing is here", said="There is no page at this address.")

    @app.exception_handler(Unchangeable)
    def unchangeable(request: Request, fault: Unchangeable) -> Response:
        return page(request, "said.html", 409, title="Nothing was changed", said=f"{str(fault)[:1].upper()}{str(fault)[1:]}.")

    @app.exception_handler(Refused)
    def refused(request: Request, fault: Refused) -> Response:
        return page(request, "said.html", 422, title="Nothing was changed", said=str(fault))

    @app.exception_handler(BadForm)
    def bad_form(request: Request, fault: BadForm) -> Response:
        return page(request, "said.html", fault.status, title="Nothing was changed", said=str(fault))

    @app.exception_handler(TooMuch)
    def too_much(_request: Request, _fault: TooMuch) -> Response:
        return PlainTextResponse("Too much at once. Nothing was kept of it.", 413)

    @app.exception_handler(SQLAlchemyError)
    def database(request: Request, fault: SQLAlchemyError) -> Response:
        return database_fault(request, fault)

    @app.get("/worker.js")
    def worker() -> Response:
        """The script that keeps opened pages, at the top, so that it may keep all of them."""
        return FileResponse(HERE / "static" / "worker.js", media_type="text/javascript")

    @app.exception_handler(Exception)
    def at_fault(request: Request, fault: Exception) -> Response:
        number = secrets.token_hex(4)
        LOG.error("fault %s at %s", number, request.scope.get("route", request.url.path), exc_info=fault)
        return PlainTextResponse(
            f"The program is at fault, not what you entered. What was acknowledged before is kept; this was not done. Number {number} stands "
            "in the log of the server.", 500,
        )  # fmt: skip

    return app
