"""What is noted of a case; and what people wrote of it taken away for good where that is asked for."""

from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.papers.visible import shown
from validator.web.backup import PICTURES
from validator.web.chain import Event, line_says
from validator.web.deeds import noted
from validator.web.desk import bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Posted
from validator.web.sealed import digests_in

router = APIRouter()
LONGEST_NOTE = 2_000
WHOLE = "the whole case: its description, answers, notes, photographs and history"
NAME = "its name, the words it was begun with, and the names of its files"


class Removal(NamedTuple):
    """What is to be taken away: what it is called in the history, the texts of events and the pictures by their digests."""

    what: str
    texts: tuple[str, ...] = ()
    pictures: tuple[str, ...] = ()


@router.post("/cases/{public}/notes")
def note(request: Request, public: str, form: Posted) -> Response:
    """A note, in words that no rule reads."""
    words = shown(form.one("note", LONGEST_NOTE))
    store_of(request).done(public, form.one("op", 40), noted(words), who=visitor_of(request).who, book=bench_of(request).fingerprint)
    return RedirectResponse(f"/cases/{public}/history", 303)


@router.get("/cases/{public}/remove")
def asked_to_remove(request: Request, public: str, what: str = "", seq: int = 0, picture: str = "") -> Response:
    """What would be taken away, and what would stay, before anything is."""
    removal = _removal(request, public, what, seq, picture)
    if removal is None:
        return page(request, "said.html", 404, title="Nothing is here", said="There is nothing of that kind to take away, or it is gone already.")
    return page(request, "remove.html", head=head_of(request, public), tab="history", removal=removal, what=what, seq=seq, picture=picture)


@router.post("/cases/{public}/remove")
def removed(request: Request, public: str, form: Posted) -> Response:
    """Taken away for good; what it was called, when and by whom stays in the history."""
    store, bench = store_of(request), bench_of(request)
    removal = _removal(request, public, form.one("what"), form.number("seq"), form.one("picture", 64))
    whole = removal is not None and removal.what == WHOLE
    if whole:
        store.forget_whole(public, form.one("op", 40), who=visitor_of(request).who, book=bench.fingerprint)
    elif removal is not None:
        store.forget(public, form.one("op", 40), removal.texts, removal.pictures, what=removal.what, who=visitor_of(request).who, book=bench.fingerprint)
    if removal is not None:
        for digest in removal.pictures:
            if not store.is_pictured(digest):
                (request.app.state.folder / PICTURES / f"{digest}.jpg").unlink(missing_ok=True)
        bench.forget()
    return RedirectResponse("/" if whole else f"/cases/{public}/history", 303)


def _removal(request: Request, public: str, what: str, seq: int, picture: str) -> Removal | None:
    """What of a case is asked to be taken away, as far as it is still there."""
    store = store_of(request)
    if what == "picture":
        held = [number for number, each in enumerate(store.pictures(public), 1) if each.digest == picture and not each.removed]
        return Removal(f"photo {held[0]}", pictures=(picture,)) if held else None
    if what == "whole":
        return Removal(WHOLE, pictures=tuple(each.digest for each in store.pictures(public) if not each.removed))
    events = store.events(public)
    if what == "note":
        texts = [digest for each in events if each.seq == seq and line_says(each)["deed"] == "noted" for digest in _still_there(each)]
        return Removal(f"the note of event {seq}", tuple(texts)) if texts else None
    if what == "name":
        texts = [digest for each in events if line_says(each)["deed"] != "noted" for digest in _still_there(each)]
        return Removal(NAME, tuple(texts)) if texts else None
    return None


def _still_there(event: Event) -> list[str]:
    return [digest for digest in digests_in(line_says(event)) if digest in event.private]
