"""The papers of a case: page, card, calendar, buying list, sums, review sheet, letter; as a page, as PDF, and the description itself."""

import base64
import hashlib
import re
from collections.abc import Callable
from datetime import date
from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.advising.asking import groups_of
from validator.assembly import Assembly
from validator.judging.report import Report, report_as_told
from validator.language.amounts import AmountProblem
from validator.papers.drawing import Drawing, alone
from validator.papers.revisions import Since, since_last
from validator.papers.visible import shown
from validator.web.bench import Bench
from validator.web.child import NotDone, in_child
from validator.web.desk import bench_of, head_of, store_of
from validator.web.pages import page
from validator.web.submittal import revision_of, sheet_of, submittal_of

router = APIRouter()
ACROSS = 40  # letters of a slip that is read on a phone
PDF_SECONDS = 60
PDF_MEMORY = 1_500_000_000
STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)
MAKE_PDF = (
    "import sys; from validator.papers.pdf import NoPdf, pdf_of\n"
    "try: sys.stdout.buffer.write(pdf_of(sys.stdin.buffer.read().decode(), sys.argv[1], landscape=sys.argv[2] == 'yes'))\n"
    "except NoPdf as lacking: sys.exit(str(lacking))"
)


class Paper(NamedTuple):
    """One kind of paper: its title, what it is for, whether it is a page of HTML or a slip of text, and what it asks first."""

    title: str
    what: str
    is_page: bool
    asks: str = ""
    default: Callable[[], str] = str
    landscape: bool = False
    where_seen: bool = False  # only where something is seen to be wrong


def _today() -> str:
    return date.today().isoformat()


PAPERS = {
    "card": Paper("Card for the crew", "Put right, check before covering, photograph, buy, wait: by step.", True),
    "page": Paper("The whole report", "Drawings, findings beside them, with sources and sums.", True),
    "buying": Paper("Buying list", "What to buy, with the usual waste.", False),
    "calendar": Paper("Calendar", "The earliest day of each step that must wait.", False, "Work begins", _today),
    "sums": Paper("Sheet of sums", "Every sum with its formula, numbers and source.", False),
    "letter": Paper("Letter that asks", "One request for everything that is still open.", False),
    "review": Paper("Review sheet", "For the reviewer of a submittal, with blanks to fill, and what became of each number since it was last put in.", True, landscape=True),
    "causes": Paper("What could explain it", "Every cause in order, with what speaks for and against it, and the looks.", False, where_seen=True),
    "inspection": Paper("Inspection sheet", "The looks that would tell, in order, with blanks to fill.", True, where_seen=True),
}  # fmt: skip


@router.get("/cases/{public}/papers")
def papers(request: Request, public: str) -> Response:
    """Every paper there is of a case."""
    head = head_of(request, public)
    offered = {name: paper for name, paper in PAPERS.items() if head.is_troubled or not paper.where_seen}
    defaults = {name: paper.default() for name, paper in offered.items()}
    return page(request, "papers.html", head=head, tab="papers", papers=offered, defaults=defaults, today=_today())


@router.get("/cases/{public}/papers/{name}")
def paper(request: Request, public: str, name: str, given: str = "") -> Response:
    """One paper."""
    store_of(request).state(public)
    if name not in PAPERS:
        return page(request, "said.html", 404, title="Nothing is here", said=f"There is no such paper. There are: {', '.join(PAPERS)}.")
    kind = PAPERS[name]
    given = shown(" ".join(given.split()))[:200] or kind.default()
    try:
        made = _made(request, public, name, given)
    except AmountProblem as problem:
        return page(request, "said.html", 422, title=kind.title, said=f"{kind.asks}: {problem}")
    if isinstance(made, str):
        return Response(made, media_type="text/html", headers={"content-security-policy": policy_of(made)})
    return page(request, "slip.html", head=head_of(request, public), tab="papers", lines=made, kind=kind, name=name, given=given, today=_today())


def _made(request: Request, public: str, name: str, given: str) -> str | list[tuple[str, bool]]:
    """A paper as HTML, or as lines with whether each is bold. Raises AmountProblem."""
    bench, text = bench_of(request), store_of(request).state(public).text
    if name == "review":
        from validator.papers.review import review_page

        return review_page([sheet_of(bench, text, submittal_of(store_of(request), public), _today())])
    assembly, report = bench.papers_of(text)
    since = None
    if (submittal := submittal_of(store_of(request), public)).put_in:  # every paper has the numbers that were put in
        revision = revision_of(bench, text, submittal)
        report, since = report_as_told(revision.report), since_last(revision)
    with bench.at_work():
        if PAPERS[name].is_page:
            return _page_of(bench, assembly, report, name, since)
        return [line if isinstance(line, tuple) else (line, False) for line in _lines_of(bench, assembly, name, given)]


def _page_of(bench: Bench, assembly: Assembly, report: Report, name: str, since: Since | None) -> str:
    match name:
        case "page":
            from validator.papers.page import page as whole_page

            return whole_page([assembly], [report], bench.whole, date=_today(), since=[since])
        case "card":
            from validator.papers.card import card_of, card_page

            return card_page([card_of(assembly, report, bench.whole, since=since)], date=_today())
    from validator.papers import inspection
    from validator.troubles.gathering import causes_of

    return inspection.sheets_page([inspection.sheet_of(assembly, causes_of(assembly, bench.whole), bench.whole)], date=_today())


def _lines_of(bench: Bench, assembly: Assembly, name: str, given: str):
    match name:
        case "buying":
            from validator.papers.takeoff import buying_lines
            from validator.planning.items import USUAL_WASTE
            from validator.planning.takeoff import takeoff_of

            return buying_lines(assembly.name, takeoff_of(assembly, bench.whole, USUAL_WASTE), ACROSS)
        case "calendar":
            from validator.papers.calendar import calendar_lines
            from validator.planning.calendar import calendar_of, start_of
            from validator.workings import WorkingProblem

            try:
                return calendar_lines(assembly.name, calendar_of(assembly, bench.whole, start_of(given)), ACROSS)
            except WorkingProblem as problem:
                return [(str(problem), False)]
        case "causes":
            from validator.papers.causes import causes_lines
            from validator.troubles.gathering import causes_of

            return causes_lines(causes_of(assembly, bench.whole), ACROSS, everything=True)
        case "sums":
            from validator.papers.sums import sheet_lines
            from validator.planning.sums import sheet_of

            return sheet_lines(assembly.name, sheet_of(assembly, bench.whole), ACROSS)
    from validator.advising.asking import questions_of
    from validator.papers.asking import letter_lines

    return letter_lines(assembly.name, groups_of(questions_of(assembly, bench.loaded), bench.vocabulary), ACROSS)


def policy_of(html: str) -> str:
    """What a browser may do with a paper of ours: show it with its own styles, and nothing else."""
    styles = " ".join(f"'sha256-{base64.b64encode(hashlib.sha256(each.encode()).digest()).decode()}'" for each in STYLE.findall(html))
    return f"default-src 'none'; style-src {styles or chr(39) + 'none' + chr(39)}; frame-ancestors 'none'; base-uri 'none'; form-action 'none'; sandbox allow-modals"


@router.get("/cases/{public}/papers/{name}/pdf")
def pdf(request: Request, public: str, name: str, given: str = "", sheet: str = "letter") -> Response:
    """A paper as PDF; where none can be made, the page itself with why."""
    store_of(request).state(public)
    kind = PAPERS.get(name)
    if kind is None or not kind.is_page or sheet not in ("letter", "a4"):
        return RedirectResponse(f"/cases/{public}/papers", 303)
    made = _made(request, public, name, shown(given)[:200] or kind.default())
    try:
        done = in_child(MAKE_PDF, made.encode(), sheet, "yes" if kind.landscape else "no", seconds=PDF_SECONDS, memory=PDF_MEMORY)
    except NotDone as why:
        return page(request, "said.html", 503, title="No PDF", said=f"{why} The page itself can be printed.")
    return Response(done, media_type="application/pdf", headers={"content-disposition": f'inline; filename="{name}.pdf"'})


@router.get("/cases/{public}/description.yaml")
def description(request: Request, public: str) -> Response:
    """The description as the command reads it."""
    state = store_of(request).state(public)
    return Response(state.text, media_type="application/yaml", headers={"content-disposition": f'attachment; filename="case-{public[:6]}.yaml"'})


@router.get("/cases/{public}/drawing.svg")
def drawing_of_place(request: Request, public: str, place: str = "") -> Response:
    """The drawing of one place as it stands."""
    drawn = bench_of(request).drawing_of(store_of(request).state(public).text, place)
    return _drawn(drawn) if drawn is not None else Response("There is no such drawing.", 404)


def _drawn(drawing: Drawing) -> Response:
    return Response(alone(drawing.svg), media_type="image/svg+xml", headers={"content-security-policy": "default-src 'none'; style-src 'unsafe-inline'; sandbox"})


@router.get("/cases/{public}/drawings/{number}.svg")
def drawing(request: Request, public: str, number: int, at: int = 0) -> Response:
    """One drawing of a case as it stands, or as it stood after an event."""
    store, bench = store_of(request), bench_of(request)
    text = store.text_at(public, at) if at else store.state(public).text
    drawings = bench.drawings(text)
    if not 0 <= number < len(drawings):
        return Response("There is no such drawing.", 404)
    return _drawn(drawings[number])
