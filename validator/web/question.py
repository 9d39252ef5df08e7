"""What one look answers, asked at once; the answers, the rest as usual, and what is left open."""

from collections.abc import Iterator
from itertools import islice
from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response

from validator.assembly import Assembly
from validator.web.answering import NOTHING, Answer, Answering, left_open, now_of
from validator.web.bench import Bench
from validator.web.boxes import BOUNDS, EIGHTHS, SIXTEENTHS, Boxes, boxes_of, words_from
from validator.web.deeds import Site, fact_named, subject_of
from validator.web.desk import Head, bench_of, head_of, store_of, visitor_of
from validator.web.pages import is_carried, page
from validator.web.posted import Form, Posted
from validator.web.questions import (
    ANSWERED, APART, LATER, MOST_FOLDED, Row, Spot, Weighed, can_be_weighed, next_of, of_key, open_keys, spots_of, usual_rows, weighed,
)  # fmt: skip
from validator.web.store import State

router = APIRouter()
MOST_AHEAD = 12


class HeadOfForm(NamedTuple):
    """What the form of a question reads of a case's head."""

    state: State


class Shown(NamedTuple):
    """One question as its form shows it: its boxes, what stands written at each of its places, what its boxes' names end with."""

    row: Row
    boxes: Boxes
    was: tuple[str, ...]
    after: str
    wrong: str = ""
    entered: str = ""
    weighed: Weighed | None = None  # None where it is not tried what the answers would do


class Entered(NamedTuple):
    """What was entered of one question: an answer for each of its places, and what it is put aside by; `usual`: what is usual there."""

    answers: tuple[Answer, ...]
    keys: tuple[str, ...]
    words: str
    usual: str


@router.get("/cases/{public}")
def next_question(request: Request, public: str, nothing_from: str = "", units: str = "", further: str = "") -> Response:
    """The spot that matters most now."""
    answer = _asked(request, head_of(request, public), nothing_from=nothing_from[:300], further=further == "yes")
    if units in ("in", "mm") and units != request.cookies.get("units"):
        answer = RedirectResponse(_forward(public, further == "yes"), 303)
        answer.set_cookie("units", units, max_age=365 * 86_400, httponly=True, samesite="lax")
    return answer


def _forward(public: str, further: bool) -> str:
    return f"/cases/{public}{'?further=yes' if further else ''}"


def _asked(request: Request, head: Head, status: int = 200, *, refused: tuple[tuple[Answer, str], ...] = (), **given: object) -> Response:
    bench, state = bench_of(request), head.state
    spot = next_of(bench, state)
    if refused and spot is not None:  # the page again with what was not taken, though what was has moved on
        keys = {answer.key for answer, _ in refused}
        spot = next((each for each in spots_of(bench, state) if any(row.key in keys for row in each.rows)), spot)
    shown = _shown(bench, head.judged.assembly, spot.rows, refused) if spot is not None else ()
    comes_after = spot is not None and is_carried(request) and can_be_weighed(bench, state, spot)
    if spot is not None and not comes_after:
        shown = _with_weights(bench, state, spot, shown)
    place = shown[0].row.place if shown else ""
    return page(
        request, "question.html", status, head=head, tab="questions", spot=spot, shown=shown, further_number=len(open_keys(bench, state)),
        left=sum(1 for why in state.left.values() if why not in (ANSWERED, APART)), usual=usual_rows(bench, state),
        place=place, comes_after=comes_after, drawing=bench.drawing_of(state.text, place), **FRACTIONS, **{"nothing_from": "", "further": False, **given},
    )  # fmt: skip


FRACTIONS = {"eighths": EIGHTHS, "sixteenths": SIXTEENTHS, "bounds": BOUNDS}


def _shown(bench: Bench, assembly: Assembly, rows: tuple[Row, ...], refused: tuple[tuple[Answer, str], ...] = ()) -> tuple[Shown, ...]:
    wrong = {answer.key: (why, answer.words) for answer, why in refused}
    return tuple(
        Shown(row, boxes_of(row.fact), tuple(_was(bench, assembly, row, site) for site in row.sites), f".{turn}" if turn else "",
              *wrong.get(row.key, ("", "")))
        for turn, row in enumerate(rows)
    )  # fmt: skip


def _with_weights(bench: Bench, state: State, spot: Spot, shown: tuple[Shown, ...]) -> tuple[Shown, ...]:
    weights = weighed(bench, state, spot)
    return tuple(each._replace(weighed=weights.get(each.row.key)) for each in shown)


@router.get("/cases/{public}/weighed")
def what_answers_do(request: Request, public: str, at: str = "") -> Response:
    """What the answers to a page's questions would do, as parts of that page: they are tried after it was shown."""
    bench, state = bench_of(request), store_of(request).state(public)
    spot = next((each for each in spots_of(bench, state) if each.rows[0].key == at), None)
    shown = _with_weights(bench, state, spot, _shown(bench, bench.read(state.text)[1], spot.rows)) if spot is not None else ()
    return page(request, "weighed.html", shown=shown)


@router.get("/cases/{public}/ahead")
def ahead(request: Request, public: str) -> Response:
    """The next spots as a page's part, for when the signal is lost."""
    bench, state = bench_of(request), store_of(request).state(public)
    assembly = bench.read(state.text)[1]
    spots = [(spot, _shown(bench, assembly, spot.rows)) for spot in islice(spots_of(bench, state), MOST_AHEAD)]
    return page(request, "ahead.html", head=HeadOfForm(state), spots=spots, further=True, comes_after=False, **FRACTIONS)


@router.get("/cases/{public}/seq")
def newest(request: Request, public: str) -> Response:
    """The number of the newest event, by which a page knows that somebody else answered."""
    return PlainTextResponse(str(store_of(request).state(public).seq))


def _was(bench: Bench, assembly: Assembly, row: Row, site: str) -> str:
    """What is written of what is asked."""
    known = row.fact.name in bench.vocabulary.facts
    return now_of(subject_of(assembly, site), row.fact.name, None) if known else ""


# -- answers ----------------------------------------------------------------------------------------------------------------------


@router.post("/cases/{public}/answer")
def answer(request: Request, public: str, form: Posted) -> Response:
    """What was entered of a spot, kept before anything is judged; what was left blank is put aside."""
    store, bench = store_of(request), bench_of(request)
    who, op, why = visitor_of(request).who, form.one("op", 40), form.one("left")
    entered = list(_entered(bench, form))
    if why and len(entered) < 2 or why == APART:
        keys = [key for each in entered for key in each.keys] or [form.one("key", 1_000)]
        store.done(public, op, left_open(keys, why), who=who, book=bench.fingerprint)
        return RedirectResponse(_back(public, form), 303)
    given = [each for each in entered if each.words]
    blank = [key for each in entered if not each.words for key in each.keys]
    if not given and not why:
        return _shown_again(request, public, form, [(each.answers[0], NOTHING) for each in entered[:1]])
    left = {} if form.one("pressed") else dict.fromkeys(blank, why or LATER)
    answering = Answering(bench, [each for one in given for each in one.answers], left)
    store.done(public, op, answering, who=who, book=bench.fingerprint)
    if answering.refused:
        return _shown_again(request, public, form, answering.refused)
    if answering.meanwhile:
        return page(request, "meanwhile.html", 409, head=head_of(request, public), tab="questions", both=answering.meanwhile, back=_back(public, form))
    return RedirectResponse(_back(public, form), 303)


def _entered(bench: Bench, form: Form) -> Iterator[Entered]:
    """The questions of a form; the boxes of the first have bare names, those of the second end with `.1`."""
    settled, rest = form.one("settled") == "yes", form.one("rest") == "usual"
    for turn in range(MOST_FOLDED):
        after = f".{turn}" if turn else ""
        fact = form.one(f"fact{after}")
        if not fact:
            return
        keys, sites, was = (form.all(f"{name}{after}") for name in ("key", "place", "was"))
        usual = form.one(f"usual{after}")
        words = (words_from(fact_named(bench, fact), form, after) or (usual if rest else ""))[:2_000]
        layer = form.number(f"layer{after}")
        answers = tuple(
            Answer(Site(site, fact, layer), words, was[number] if number < len(was) else "", keys[number] if number < len(keys) else "", settled)
            for number, site in enumerate(sites)
        )  # fmt: skip
        yield Entered(answers, tuple(keys), words, usual)


def _shown_again(request: Request, public: str, form: Form, refused: list[tuple[Answer, str]]) -> Response:
    """The page an answer came from, with what was not taken still in its box, and why."""
    if form.one("from") == "thing":
        from validator.web.build_up import thing_page

        (answer, wrong), *_ = refused
        return thing_page(request, public, answer.site, 422, wrong=wrong, entered=answer.words, wrong_fact=answer.site.fact)
    return _asked(request, head_of(request, public), 422, refused=tuple(refused), further=form.one("from") == "further")


def _back(public: str, form: Form) -> str:
    """Where to go on after an answer: the next question, or the thing that was looked at."""
    match form.one("from"):
        case "thing":
            from urllib.parse import urlencode

            asked = {"place": form.one("place"), "thing": form.one("fact").partition(".")[0], "layer": form.number("layer")}
            return f"/cases/{public}/thing?{urlencode(asked)}"
        case "left" | "history" as part:
            return f"/cases/{public}/{part}"
    return _forward(public, form.one("from") == "further")


# -- the rest at once -------------------------------------------------------------------------------------------------------------


@router.get("/cases/{public}/rest")
def the_rest(request: Request, public: str) -> Response:
    """Everything that is still asked: what is usual, to be said at once; and all of it, to be left open at once."""
    head, bench = head_of(request, public), bench_of(request)
    return page(request, "rest.html", head=head, tab="questions", rows=usual_rows(bench, head.state), keys=open_keys(bench, head.state))


@router.post("/cases/{public}/rest")
def rest(request: Request, public: str, form: Posted) -> Response:
    """The rest said as usual, as it was listed; or left open."""
    store, bench = store_of(request), bench_of(request)
    if form.one("deed") == "usual":
        listed = set(form.all("key"))
        rows = [row for row in usual_rows(bench, store.state(public)) if row.key in listed]
        deed = Answering(bench, [Answer(Site(row.place, row.fact.name), row.usual, key=row.key) for row in rows])
    else:
        deed = left_open(open_keys(bench, store.state(public)), form.one("deed"))
    store.done(public, form.one("op", 40), deed, who=visitor_of(request).who, book=bench.fingerprint)
    return RedirectResponse(f"/cases/{public}", 303)


@router.get("/cases/{public}/left")
def what_was_left(request: Request, public: str) -> Response:
    """What was left open, each to be asked again."""
    head = head_of(request, public)
    left = [(key, of_key(key), why) for key, why in head.state.left.items() if why not in (ANSWERED, APART)]
    return page(request, "left.html", head=head, tab="questions", left=left)
