"""The first page: what is to be built, a file, or a case to go on with."""

from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.advising.asking.new_assembly import template_for
from validator.language.source import BadText
from validator.papers.visible import shown
from validator.web.deeds import begun, renamed, taken_in
from validator.web.desk import STAGE, bench_of, store_of, visitor_of
from validator.web.doors import sees_only
from validator.web.pages import page
from validator.web.people import DAY
from validator.web.posted import Form, Posted
from validator.web.store import MOST_LISTED, Wanted, now_of_the_clock

router = APIRouter()
LARGEST_FILE = 2_000_000
KINDS = (  # what a button says, and the words it stands for
    ("Shower", "shower"), ("Tub surround", "tub surround"), ("Floor", "floor"), ("Deck, balcony", "deck"), ("Room wall", "room wall"),
)  # fmt: skip


LANES = {"fail": "fails", "warn": "look again", "open": "open", "pass": "nothing fails"}
AGES = {"day": ("changed today", 1, 0), "week": ("changed in the last 7 days", 7, 0), "month": ("not changed for 30 days", 0, 30)}  # since, before


class Sieve(NamedTuple):
    """Which cases somebody looks for, as the address of the list says it."""

    q: str = ""
    told: str = ""
    stage: str = ""
    age: str = ""
    older: int = 0  # those changed before this moment: the next part of a long list
    everywhere: str = ""  # not in names alone, though some are named so

    def wanted(self, owner: str) -> Wanted:
        _, since, before = AGES.get(self.age, ("", 0, 0))
        now = now_of_the_clock()
        ends = [each for each in (self.older, now - before * DAY if before else 0) if each]
        return Wanted(self.q, self.told, self.stage, owner, since=now - since * DAY if since else 0, before=min(ends, default=0))

    def address(self, **other: object) -> str:
        """The address of the list, with something else asked for."""
        from urllib.parse import urlencode

        asked = {name: value for name, value in self._replace(**{"older": 0, **other})._asdict().items() if value}
        return f"/?{urlencode(asked)}" if asked else "/"


@router.get("/")
def first_page(request: Request, q: str = "", told: str = "", stage: str = "", age: str = "", older: int = 0, everywhere: str = "") -> Response:
    """What is to be built, and the cases there are."""
    stages = bench_of(request).vocabulary.facts[STAGE].words
    sieve = Sieve(q[:200], told if told in LANES else "", stage if stage in stages else "", age if age in AGES else "", max(older, 0), "yes" if everywhere else "")
    return _start(request, sieve=sieve)


def _start(request: Request, status: int = 200, *, sieve: Sieve = Sieve(), words: str = "", seen: str = "", wrong: str = "", slips: tuple[str, ...] = ()) -> Response:
    store, owner = store_of(request), sees_only(visitor_of(request))
    wanted = sieve.wanted(owner)
    named = store.cases(wanted._replace(named=True)) if sieve.q.strip() and not sieve.everywhere else []
    cases = named or store.cases(wanted)
    return page(
        request, "start.html", status, kinds=KINDS, cases=cases, counted=store.counted(owner), sieve=sieve, sought=sieve != Sieve(), lanes=LANES, words=words, seen=seen,
        ages={name: label for name, (label, *_) in AGES.items()}, stages=bench_of(request).vocabulary.facts[STAGE].words, more=len(cases) == MOST_LISTED,
        named=bool(named), wrong=wrong, slips=slips,
    )  # fmt: skip


@router.post("/cases")
def begin(request: Request, form: Posted) -> Response:
    """A new case from what is to be built, in a word or a few."""
    bench = bench_of(request)
    words, seen = shown(form.one("kind") or form.one("words")), shown(form.one("seen", 300))
    if not words:
        return _start(request, 422, wrong="Say in a few words what is to be built, or press one of the buttons.")
    template = template_for(words, bench.templates)
    if template is None:
        known = ", ".join(word for each in bench.templates for word in each.said)
        return _start(request, 422, words=words, wrong=f"“{words}” names nothing that can be begun here. One of these words is needed: {known}.")
    try:
        case = begun(bench, template, words, form.one("title", 200), seen)
    except BadText as bad:
        wrong = "That cannot be read as it stands. Nothing was begun." if seen else "These words do not go together. Nothing was begun."
        return _start(request, 422, words=words, seen=seen, wrong=wrong, slips=slips_of(bad))
    state = store_of(request).begin(case.deed, who=visitor_of(request).who, book=bench.fingerprint, op=form.one("op", 40))
    if seen:
        return RedirectResponse(f"/cases/{state.public}/trouble", 303)
    lacking = f"?nothing_from={'+'.join(case.not_read)[:300]}" if case.not_read else ""
    return RedirectResponse(f"/cases/{state.public}{lacking}", 303)


@router.post("/cases/from-file")
def from_file(request: Request, form: Posted) -> Response:
    """A new case from a description in YAML or JSON; of options, one case each."""
    name, text = file_of(form)
    if not text.strip():
        return _start(request, 422, wrong="No file was chosen, or it is empty.")
    bench = bench_of(request)
    try:
        made = taken_in(bench, text)
    except BadText as bad:
        return _start(request, 422, wrong=f"{name or 'The file'} cannot be read as it stands. Nothing was kept of it.", slips=slips_of(bad))
    op = form.one("op", 40)
    states = [
        store_of(request).begin(deed, who=visitor_of(request).who, book=bench.fingerprint, op=f"{op[:34]}-{turn}" if turn else op)
        for turn, deed in enumerate(made)
    ]  # fmt: skip
    return RedirectResponse(f"/cases/{states[0].public}/verdict" if len(states) == 1 else "/", 303)


def file_of(form: Form) -> tuple[str, str]:
    """The file of a form, or what was pasted, as its name and its text; what is no text is left to the reader to refuse."""
    name, content = form.files.get("file", ("", b""))
    if content:
        return shown(name)[:200], content[: LARGEST_FILE + 1].decode("utf-8-sig", "replace")
    return "What was pasted", (form.get("text") or [""])[0]


def slips_of(bad: BadText) -> tuple[str, ...]:
    """Every slip of a description, each with its line."""
    return tuple(f"line {each.where.line}: {each.what}{f'. Accepted: {each.accepted}' if each.accepted else ''}" for each in bad.complaints[:50])


@router.post("/cases/{public}/name")
def name(request: Request, public: str, form: Posted) -> Response:
    """A case under another name."""
    store, bench = store_of(request), bench_of(request)
    store.done(public, form.one("op", 40), renamed(shown(form.one("title", 200)), bench), who=visitor_of(request).who, book=bench.fingerprint)
    return RedirectResponse(f"/cases/{public}/history", 303)


