"""What is seen to be wrong: entered as everything else is, with what could explain it and the looks that would tell."""

from typing import NamedTuple

from fastapi import APIRouter, Request
from starlette.responses import RedirectResponse, Response

from validator.assembly.build_ups import Unchangeable
from validator.assembly.seen_lines import seen_added, seen_removed
from validator.facts.observing import KIND, OBSERVATION, Observation
from validator.papers.causes import FIRST_CAUSES, FIRST_LOOKS, FIRST_REQUIREMENTS, alike, heading, looks_for, opens
from validator.papers.visible import shown
from validator.troubles.report import OPEN, Requirement
from validator.web.bench import Bench
from validator.web.boxes import boxes_of, words_from
from validator.web.deeds import Refused, Site, changed, subject_of
from validator.web.desk import Head, bench_of, head_of, store_of, visitor_of
from validator.web.pages import page
from validator.web.posted import Form, Posted
from validator.web.question import FRACTIONS, Shown
from validator.web.questions import Row

router = APIRouter()
ENTERED_FIRST = ("kind", "pattern", "at", "came")  # the rest is folded away


class Told(NamedTuple):
    """One thing that is seen, as it is listed: of which place, in which words, and whether anything here explains it."""

    place: str
    observation: Observation
    explained: bool


class Wanted(NamedTuple):
    """A fact that would settle whether a requirement was met, and where it is entered."""

    asks: str
    site: Site


@router.get("/cases/{public}/trouble")
def trouble(request: Request, public: str) -> Response:
    """What is seen, what could explain it in order, and the looks that would tell."""
    return _trouble(request, head_of(request, public))


def _trouble(request: Request, head: Head, status: int = 200, *, wrong: str = "", entered: str = "") -> Response:
    bench = bench_of(request)
    found = bench.causes(head.state.text)
    explained = {(each.place, each.text) for each in found.seen if each.explained}
    subjects = [each for each in head.judged.assembly.subjects if each.sort in ("job", "place")]
    told = [Told(subject.name, each, (subject.name, each.text) in explained) for subject in subjects for each in subject.observed]
    causes = found.causes[:FIRST_CAUSES]
    rows = _rows(bench)
    return page(
        request, "trouble.html", status, head=head, tab="trouble", found=found, told=told, causes=[
            (each, heading(each).rstrip("."), alike(each.requirements[:FIRST_REQUIREMENTS])) for each in causes
        ],
        looks=looks_for(found, len(causes))[:FIRST_LOOKS], opens=opens, wanted_of=lambda same: _wanted(head, same), most=FIRST_REQUIREMENTS, standing_open=OPEN,
        places=[each.name for each in subjects], first=[each for each in rows if _short(each) in ENTERED_FIRST],
        rest=[each for each in rows if _short(each) not in ENTERED_FIRST], wrong=wrong, entered=entered, **FRACTIONS,
    )  # fmt: skip


def _short(each: Shown) -> str:
    return each.row.fact.name.partition(".")[2]


def _rows(bench: Bench) -> list[Shown]:
    """What may be said of something seen, as boxes; each fact's boxes end with its name."""
    facts = [fact for name, fact in bench.vocabulary.facts.items() if name.startswith(f"{OBSERVATION}.")]
    return [
        Shown(Row((fact.name,), fact, (OBSERVATION,), (), OBSERVATION, f"{fact.what}", fact.look, ()), boxes_of(fact), (), f".{fact.name.partition('.')[2]}")
        for fact in facts
    ]  # fmt: skip


def _wanted(head: Head, same: list[Requirement]) -> list[Wanted]:
    """What would settle requirements of which nobody has said enough, each once, with where it is entered."""
    subjects = {each.name: each for each in head.judged.assembly.subjects}

    def site(requirement: Requirement, fact: str) -> Site | None:
        subject = subjects.get(requirement.place.split("; ")[0])
        thing = fact.partition(".")[0]
        return None if subject is None else Site(subject.name, thing, 0 if subject.layers.get(thing) else -1)

    wanted = (Wanted(asked.asks, at) for each in same for asked in each.asks if (at := site(each, asked.fact)) is not None)
    return list(dict.fromkeys(wanted))


@router.post("/cases/{public}/trouble")
def change(request: Request, public: str, form: Posted) -> Response:
    """Something more that is seen, in words or by its facts; or one of them no longer."""
    store, bench = store_of(request), bench_of(request)
    place, words = form.one("place"), shown(form.one("words", 300))
    try:
        if form.one("deed") == "no longer":
            said = form.one("seen", 400)
            deed = changed("no longer seen", {"place": place, "is": said}, form.number("newest"),
                           lambda draft, assembly: seen_removed(draft, _observed(subject_of(assembly, place).observed, said)), bench)  # fmt: skip
        else:
            seen = words or _facts(bench, form)
            said = words or ", ".join(seen.values())
            deed = changed("seen", {"place": place, "is": said}, form.number("newest"),
                           lambda draft, assembly: seen_added(draft, subject_of(assembly, place), seen), bench)  # fmt: skip
        store.done(public, form.one("op", 40), deed, who=visitor_of(request).who, book=bench.fingerprint)
    except Refused as refused:
        return _trouble(request, head_of(request, public), 422, wrong=str(refused), entered=words)
    return RedirectResponse(f"/cases/{public}/trouble", 303)


def _facts(bench: Bench, form: Form) -> dict[str, str]:
    """What was ticked of an observation, by the short name of each fact. Raises Refused where its kind is not."""
    said = {_short(each): words for each in _rows(bench) if (words := words_from(each.row.fact, form, each.after))}
    if "kind" not in said:
        raise Refused(f"Say what is seen, in words or by one of these: {', '.join(bench.vocabulary.facts[KIND].words)}.")
    return said


def _observed(every: tuple[Observation, ...], text: str) -> Observation:
    for each in every:
        if each.text == text:
            return each
    raise Unchangeable("that is no longer written")
