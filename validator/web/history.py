"""What happened to a case: every event, any day's state, two days compared, and whether the history proves."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from difflib import SequenceMatcher
from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.language.source import BadText
from validator.papers.as_told import verdict_line
from validator.web.cases import file_of, slips_of
from validator.web.chain import Broken, Event, line_says, replayed
from validator.web.deeds import Refused, replaced
from validator.web.desk import STAGE, bench_of, differences, head_of, store_of, visitor_of, words_of_event
from validator.web.pages import page
from validator.web.posted import Posted
from validator.web.sealed import digests_in

router = APIRouter()


class Told(NamedTuple):
    """One event as it is told."""

    event: Event
    words: str
    was: str
    at: int
    who: str
    book: str
    set_back: bool = False  # it was written at an earlier time than the event before it
    is_there: bool = True  # nothing of it was taken away


def told(request: Request, events: Sequence[Event]) -> list[Told]:
    """Events in words, each with the name of whoever did it."""
    names, found, before = store_of(request).names(), [], 0
    for event in events:
        says = event.says
        is_there = all(digest in event.private for digest in digests_in(line_says(event)))
        who = names.get(says["who"], says["who"])
        found.append(Told(event, words_of_event(event), str(says["of"].get("was", "")), says["at"], who, says["book"], says["at"] < before, is_there))
        before = says["at"]
    return found


@router.get("/cases/{public}/history")
def history(request: Request, public: str) -> Response:
    """Every event, the newest first, and whether they prove."""
    head, events = head_of(request, public), store_of(request).events(public)
    try:
        proved = sum(1 for _ in replayed(public, events))
        broken = ""
    except Broken as fault:
        proved, broken = fault.seq - 1, str(fault)
    return page(request, "history.html", head=head, tab="history", events=told(request, events)[::-1], proved=proved, broken=broken,
                stage=head.stage, stages=bench_of(request).vocabulary.facts[STAGE].words)  # fmt: skip


@router.get("/cases/{public}/at/{seq}")
def as_it_was(request: Request, public: str, seq: int) -> Response:
    """The description after an event, with the verdict that the book of today comes to."""
    head, bench = head_of(request, public), bench_of(request)
    text = _text_at(request, public, seq)
    if not text:
        return RedirectResponse(f"/cases/{public}/history", 303)
    (event,) = told(request, store_of(request).events(public)[seq - 1 : seq])
    report = bench.judged(text).report
    return page(request, "as_it_was.html", head=head, tab="history", text=text, line=verdict_line(report.as_told), report=report, told=event,
                drawings=bench.drawings(text), seq=seq)  # fmt: skip


@router.get("/cases/{public}/compare")
def compared(request: Request, public: str, before: int = 1, after: int = 0, day: str = "", other_day: str = "") -> Response:
    """Two states side by side, after two events or at the end of two days: the lines that differ, and what that changed of the verdict."""
    head, bench, events = head_of(request, public), bench_of(request), store_of(request).events(public)
    before, after = _at_the_end_of(events, day) or before, _at_the_end_of(events, other_day) or after or head.state.seq
    if before > after:
        before, after = after, before
    first, second = _text_at(request, public, before), _text_at(request, public, after)
    if not first or not second:
        return RedirectResponse(f"/cases/{public}/history", 303)
    reports = [bench.judged(each).report for each in (first, second)]
    return page(
        request, "compare.html", head=head, tab="history", rows=rows_between(first, second), before=told(request, events)[before - 1],
        after=told(request, events)[after - 1], lines=[verdict_line(each.as_told) for each in reports], changed=differences(*reports),
    )  # fmt: skip


def _at_the_end_of(events: Sequence[Event], day: str) -> int:
    """The last event of a day or before it, by the clock of the server; the first where the day is before it; 0 where no day is named."""
    try:
        end = (datetime.fromisoformat(day) + timedelta(days=1)).timestamp() * 1e6
    except (ValueError, OverflowError):
        return 0
    return max((each.seq for each in events if each.says["at"] < end), default=1)


def _text_at(request: Request, public: str, seq: int) -> str:
    store = store_of(request)
    return store.text_at(public, seq) if 1 <= seq <= store.state(public).seq else ""


def rows_between(first: str, second: str) -> list[tuple[str, str]]:
    """The lines that differ, side by side."""
    old, new = first.splitlines(), second.splitlines()
    rows: list[tuple[str, str]] = []
    for how, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if how != "equal":
            rows.append(("\n".join(old[a:b]), "\n".join(new[c:d])))
    return rows


@router.post("/cases/{public}/file")
def lay_over(request: Request, public: str, form: Posted) -> Response:
    """A file in place of what was described; what stood there stays in the history."""
    store, bench = store_of(request), bench_of(request)
    name, text = file_of(form)
    try:
        deed = replaced(text, bench, name)
    except (BadText, Refused) as bad:
        slips = slips_of(bad) if isinstance(bad, BadText) else (str(bad),)
        return page(request, "said.html", 422, title="The file was not taken", said="Nothing was changed.", slips=slips)
    store.done(public, form.one("op", 40), deed, who=visitor_of(request).who, book=bench.fingerprint)
    return RedirectResponse(f"/cases/{public}/verdict", 303)
