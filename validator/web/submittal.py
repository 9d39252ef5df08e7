"""A case as a submittal: its number and its place in the specification, and each day it was put in, with the numbers it then had.

What is put in is an event of the case that holds the register of its numbers, so that a later edition of the book renumbers
nothing, and an earlier day of a case is its earlier submission.
"""

from collections.abc import Callable
from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.judging.report import report_as_told
from validator.language.source import BadAssembly, BadText
from validator.papers.revisions import in_short
from validator.papers.review import Review, review_of
from validator.papers.visible import shown
from validator.submittals.register import Register, Revision
from validator.submittals.register_file import registers_in, written
from validator.submittals.sections import SectionProblem, SpecMap, section_of, spec_map_in, started
from validator.web.bench import Bench
from validator.web.cases import slips_of
from validator.web.chain import replayed
from validator.web.deeds import Refused
from validator.web.desk import bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Form, Posted
from validator.web.store import Deed, State, Store

router = APIRouter()
USUAL_SECTION = "09 30 00"
LONGEST_MAP = 100_000
PARTICULARS, PUT_IN = "submittal", "put in"  # deeds


class Submission(NamedTuple):
    """One day on which a case was put in."""

    seq: int
    at: int
    who: str
    text: str
    register: str  # as the file of a register


class Submittal(NamedTuple):
    """A case as a submittal, as far as anybody said, and what was put in of it, the oldest first."""

    number: str
    section: str
    spec_map: str
    put_in: tuple[Submission, ...]

    def before(self, text: str) -> Submission | None:
        """What was put in before a description; one that stands as it was put in is that same submission."""
        earlier = self.put_in[:-1] if self.put_in and self.put_in[-1].text == text else self.put_in
        return earlier[-1] if earlier else None

    def is_put_in(self, text: str) -> bool:
        """Whether a description is as it was put in last."""
        return bool(self.put_in) and self.put_in[-1].text == text


def submittal_of(store: Store, public: str) -> Submittal:
    """A case as a submittal. Raises NoCase."""
    events = list(replayed(public, store.events(public)))
    undone = {event.says["of"]["seq"] for event, _ in events if event.says["deed"] == "undone"}
    said: dict[str, str] = {}
    put_in = []
    for event, text in events:
        says = event.says
        if event.seq in undone:
            continue
        if says["deed"] == PARTICULARS:
            said = says["of"]
        elif says["deed"] == PUT_IN:
            put_in.append(Submission(event.seq, says["at"], says["who"], text, says["of"]["register"]))
    return Submittal(said.get("number", ""), said.get("section", USUAL_SECTION), said.get("spec map", ""), tuple(put_in))


def revision_of(bench: Bench, text: str, submittal: Submittal) -> Revision:
    """A description as the next submission. Raises BadAssembly."""
    before = submittal.before(text)
    return bench.revision(text, _register(before) if before is not None else None)


def _register(submission: Submission) -> Register:
    return registers_in(submission.register, f"event {submission.seq}")[0]


def sheet_of(bench: Bench, text: str, submittal: Submittal, today: str) -> Review:
    """The review sheet of a description. Raises BadAssembly, BadText, SectionProblem."""
    revision = revision_of(bench, text, submittal)
    places = _places(bench, submittal.section, submittal.spec_map)
    return review_of(bench.read(text)[1], report_as_told(revision.report), bench.whole, places, today, submittal.number, revision)


def _places(bench: Bench, section: str, spec_map: str) -> SpecMap:
    usual = section_of(section)
    rules = {name: rule.chapter for name, rule in bench.whole.book.rules.items()}
    return spec_map_in(spec_map, "the table", usual, rules) if spec_map else SpecMap(usual)


@router.get("/cases/{public}/submittal")
def submittal(request: Request, public: str) -> Response:
    """What is said of the submittal, what was put in, and what would be next."""
    store, bench = store_of(request), bench_of(request)
    head, made = head_of(request, public), submittal_of(store, public)
    revision = revision_of(bench, head.state.text, made)
    return page(
        request, "submittal.html", head=head, tab="papers", submittal=made, names=store.names(), standing=in_short(revision),
        next=revision.register.revision, is_put_in=made.is_put_in(head.state.text), begun=_begun(bench, made),
    )  # fmt: skip


def _begun(bench: Bench, made: Submittal) -> str:
    """The table to fill in."""
    return started(section_of(made.section), sorted({rule.chapter for rule in bench.whole.book.rules.values()}))


@router.post("/cases/{public}/submittal")
def particulars(request: Request, public: str, form: Posted) -> Response:
    """Its number, its section, and where each requirement stands."""
    store, bench = store_of(request), bench_of(request)
    number, section, spec_map = shown(form.one("number", 60)), shown(form.one("section", 60)) or USUAL_SECTION, _table_of(form)
    if spec_map == _begun(bench, submittal_of(store, public)).strip():
        spec_map = ""  # nothing was filled in
    try:
        _places(bench, section, spec_map)
    except SectionProblem as problem:
        raise Refused(f"{str(problem)[:1].upper()}{str(problem)[1:]}.") from None
    except BadText as bad:
        return page(request, "said.html", 422, title="The table was not taken", said="Nothing was changed.", slips=slips_of(bad))
    says = {"number": number, "section": section, "spec map": spec_map}
    store.done(public, form.one("op", 40), lambda state: Deed(PARTICULARS, says, state.text), who=visitor_of(request).who, book=bench.fingerprint)
    return RedirectResponse(f"/cases/{public}/submittal", 303)


def _table_of(form: Form) -> str:
    """A table that was pasted, or sent as a file. Raises Refused where it is too long."""
    name, content = form.files.get("file", ("", b""))
    text = content.decode("utf-8-sig", "replace") if content else (form.get("map") or [""])[0]
    if len(text) > LONGEST_MAP:
        raise Refused(f"That table is too long: at most {LONGEST_MAP} letters.")
    return shown(text.replace("\r\n", "\n").strip())


@router.post("/cases/{public}/submitted")
def put_in(request: Request, public: str, form: Posted) -> Response:
    """Keeps the case as it stands as what was put in."""
    store, bench = store_of(request), bench_of(request)
    deed = _put_in(bench, submittal_of(store, public), form.number("seq"))
    try:
        store.done(public, form.one("op", 40), deed, who=visitor_of(request).who, book=bench.fingerprint)
    except BadAssembly as bad:
        return page(request, "said.html", 422, title="It was not put in", said="Nothing was changed.", slips=slips_of(bad))
    return RedirectResponse(f"/cases/{public}/submittal", 303)


def _put_in(bench: Bench, made: Submittal, seen: int) -> Callable[[State], Deed | None]:
    """`seen`: the newest event of the page; where the case has changed since, nobody has read what would be put in."""

    def deed(state: State) -> Deed | None:
        if seen != state.seq:
            raise Refused("The case has changed since this page was made. Read it once more, and put it in then.")
        if made.is_put_in(state.text):
            return None
        register = revision_of(bench, state.text, made).register
        kept = written([register._replace(name="")])  # the name of a case may have to go
        return Deed(PUT_IN, {"number": made.number, "revision": register.revision, "register": kept}, state.text)

    return deed
