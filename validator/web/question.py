"""One question at a time, and the answer to it."""

from itertools import islice
from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from validator.assembly import Assembly
from validator.assembly.build_ups import Unchangeable
from validator.web.bench import Bench
from validator.web.boxes import BOUNDS, EIGHTHS, boxes_of, words_from
from validator.web.deeds import ANSWERED, LEFT, Meanwhile, Refused, Site, answered, left_open, now_of, subject_of
from validator.web.desk import Head, bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Form, Posted
from validator.web.questions import Ask, asks_of, next_of, of_key
from validator.web.store import State

router = APIRouter()
MOST_AHEAD = 12


class HeadOfForm(NamedTuple):
    """What the form of a question reads of a case's head."""

    state: State


@router.get("/cases/{public}")
def next_question(request: Request, public: str, nothing_from: str = "", units: str = "") -> Response:
    """The question that matters most now."""
    answer = _asked(request, head_of(request, public), nothing_from=nothing_from[:300])
    if units in ("in", "mm") and units != request.cookies.get("units"):
        answer = RedirectResponse(f"/cases/{public}", 303)
        answer.set_cookie("units", units, max_age=365 * 86_400, httponly=True, samesite="lax")
    return answer


def _asked(request: Request, head: Head, status: int = 200, **given: object) -> Response:
    bench = bench_of(request)
    ask = next_of(bench, head.state)
    boxes = boxes_of(ask.fact) if ask is not None else None
    was = _was(bench, head.judged.assembly, ask) if ask is not None else ""
    drawn = _drawing_of(bench, head, ask.place) if ask is not None else 0
    return page(
        request, "question.html", status, head=head, tab="questions", ask=ask, boxes=boxes, was=was, left=sum(1 for why in head.state.left.values() if why != ANSWERED),
        drawing=drawn, drawings=bench.drawings(head.state.text), eighths=EIGHTHS, bounds=BOUNDS,
        **{"wrong": "", "entered": "", "nothing_from": "", "meanwhile": None, **given},
    )  # fmt: skip


@router.get("/cases/{public}/ahead")
def ahead(request: Request, public: str) -> Response:
    """The next questions as a page's part, for when the signal is lost."""
    bench, state = bench_of(request), store_of(request).state(public)
    assembly = bench.read(state.text)[1]
    asks = [(ask, boxes_of(ask.fact), _was(bench, assembly, ask)) for ask in islice(asks_of(bench, state), MOST_AHEAD)]
    return page(request, "ahead.html", head=HeadOfForm(state), asks=asks, eighths=EIGHTHS, bounds=BOUNDS)


@router.get("/cases/{public}/seq")
def newest(request: Request, public: str) -> Response:
    """The number of the newest event, by which a page knows that somebody else answered."""
    return PlainTextResponse(str(store_of(request).state(public).seq))


def _was(bench: Bench, assembly: Assembly, ask: Ask) -> str:
    """What is written of what is asked."""
    known = ask.fact.name in bench.vocabulary.facts
    return now_of(subject_of(assembly, ask.place), ask.fact.name, None) if known else ""


def _drawing_of(bench, head: Head, place: str) -> int:
    """The drawing on which a place stands; the first where none does."""
    drawings = bench.drawings(head.state.text)
    return next((number for number, each in enumerate(drawings) if place in each.places), 0)


@router.post("/cases/{public}/answer")
def answer(request: Request, public: str, form: Posted) -> Response:
    """An answer, kept before anything is judged."""
    store, bench, who = store_of(request), bench_of(request), visitor_of(request).who
    key, why = form.one("key", 1_000), form.one("left")
    back = _back(public, form)
    if why:
        if why not in (*LEFT, "asked again"):
            raise Unchangeable("that button is not one of ours")
        store.done(public, form.one("op", 40), left_open(key, why), who=who, book=bench.fingerprint)
        return RedirectResponse(back, 303)
    site = Site(form.one("place"), form.one("fact"), form.number("layer"))
    words = ""
    try:
        from validator.web.deeds import fact_named

        words = words_from(fact_named(bench, site.fact), form)[:2_000]
        deed = answered(bench, site, words, form.one("was"), key=key, settled=form.one("settled") == "yes")
        store.done(public, form.one("op", 40), deed, who=who, book=bench.fingerprint)
    except Refused as refused:
        return _shown_again(request, public, form, site, str(refused), words)
    except Meanwhile as other:
        head = head_of(request, public)
        return page(request, "meanwhile.html", 409, head=head, tab="questions", site=site, now=other.now, said=other.said, key=key, back=back,
                    fact=site.fact.replace(".", " "))  # fmt: skip
    return RedirectResponse(back, 303)


def _shown_again(request: Request, public: str, form: Form, site: Site, wrong: str, entered: str) -> Response:
    """The page an answer came from, with what was entered still in its box, and why it was not taken."""
    if form.one("from") == "thing":
        from validator.web.build_up import thing_page

        return thing_page(request, public, site, 422, wrong=wrong, entered=entered, wrong_fact=site.fact)
    return _asked(request, head_of(request, public), 422, wrong=wrong, entered=entered)


def _back(public: str, form: Form) -> str:
    """Where to go on after an answer: the next question, or the thing that was looked at."""
    match form.one("from"):
        case "thing":
            from urllib.parse import urlencode

            asked = {"place": form.one("place"), "thing": form.one("fact").partition(".")[0], "layer": form.number("layer")}
            return f"/cases/{public}/thing?{urlencode(asked)}"
        case "left":
            return f"/cases/{public}/left"
    return f"/cases/{public}"


@router.get("/cases/{public}/left")
def what_was_left(request: Request, public: str) -> Response:
    """What was left open, each to be asked again."""
    head = head_of(request, public)
    left = [(key, of_key(key), why) for key, why in head.state.left.items() if why != ANSWERED]
    return page(request, "left.html", head=head, tab="questions", left=left)
