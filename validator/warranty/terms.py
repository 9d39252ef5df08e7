"""Takes a programme and an assembly, returns where every term and condition stands, and the risk in its order."""

import hashlib
from collections.abc import Callable

from validator.assembly import Assembly
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.readings import places_read
from validator.judging.why import AS_TOLD, STRICT
from validator.warranty import days, readings
from validator.warranty.conditions import Judge, worst
from validator.warranty.evidence import Leant, evidence_for
from validator.warranty.matters import risk_of
from validator.warranty.programme import Document, Programme, Term
from validator.warranty.report import SETTLED, ConditionLine, DocumentLine, Standing, TermLine, WarrantyReport, WorkLine

IN_FORCE = "The document is in force on the day it goes by"


def stand(assembly: Assembly, programme: Programme, loaded: LoadedBook, *, strict: bool = False) -> WarrantyReport:
    """Where each term of a programme stands on one assembly, as told and strictly; `strict`: strictly alone.

    `loaded` works out everything, not only what its rules lean on.
    """
    report = check(assembly, loaded, passes=False)
    places = places_read(assembly, loaded)
    document, told = programme.document, report.as_told
    by_proof = readings.strictly(places, report, loaded)
    reading = by_proof if strict else readings.as_told(places, report, loaded)
    judges = [Judge(loaded, each, document.headed, programme.places) for each in ((by_proof,) if strict else (by_proof, reading))]
    every = (
        _line(judges, lambda judge: _in_force(document, judge)), _line(judges, lambda judge: judge.speaks_of(programme.places)),
        *(_line(judges, lambda judge, each=each: judge.line(each)) for each in programme.every_term),
    )  # fmt: skip
    terms = tuple(_term(term, every, programme, judges) for term in programme.terms)
    key = f"{report.fingerprint}{programme.fingerprint}"
    return WarrantyReport(
        assembly=assembly.name,
        programme=programme.name,
        about=programme.about,
        reading=STRICT if strict else AS_TOLD,
        document=DocumentLine(
            title=document.title,
            revision=document.revision,
            headed=document.headed,
            in_force=_force(document),
            holder=programme.holder,
        ),
        every_term=every,
        terms=terms,
        risk=risk_of(by_proof.matters, reading.matters),
        as_told=WorkLine(
            outcome=told.outcome, could_become=told.could_become, failed=told.failed, warned=told.warned,
            questions=sum(1 for each in told.questions if each.would_be), checks=len(told.checks), proved=told.proved, applying=told.applying,
        ),
        outcome=report.outcome,
        counts=report.counts,
        books=report.books,
        programme_fingerprint=programme.fingerprint,
        fingerprint=hashlib.sha256(key.encode()).hexdigest()[:16],
        exit_status=_status([term.standing for term in terms]),
    )  # fmt: skip


def _line(judges: list[Judge], line_of: Callable[[Judge], ConditionLine]) -> ConditionLine:
    """One condition in each reading, the strict one first, laid together: what is shown is proved, and what would be shown as told
    is only taken as usual. Where both come to the same, what was taken decides nothing and is not told.
    """
    strictly, *told = [line_of(judge) for judge in judges]
    if not told or strictly.standing in SETTLED:
        return strictly
    [line] = told
    if line.standing in SETTLED:
        return line.model_copy(update={"standing": Standing.TAKEN, "strictly": strictly.standing, "only_stated": ()})
    same = {"taken": ()} if line.standing is strictly.standing else {}
    return line.model_copy(update={"strictly": strictly.standing, **same})


def _term(term: Term, every: tuple[ConditionLine, ...], programme: Programme, judges: list[Judge]) -> TermLine:
    lines = tuple(_line(judges, lambda judge, each=each: judge.line(each)) for each in term.conditions)
    standing, strictly = (
        worst(each for each in of if each is not Standing.NOT_ARISING)
        for of in ([line.standing for line in (*every, *lines)], [line.strictly for line in (*every, *lines)])
    )
    judges[0].earlier[term.name] = strictly
    judges[-1].earlier[term.name] = standing
    return TermLine(
        term=term.name,
        gives=term.gives,
        lasts=f"the life of: {term.life_of}" if term.life_of else f"{term.years} {'year' if term.years == 1 else 'years'}",
        starts=term.starts,
        standing=standing,
        strictly=strictly,
        conditions=lines,
        untied=tuple(other.name for other in programme.terms if not _hangs(other, programme)) if _hangs(term, programme) else (),
    )


def _hangs(term: Term, programme: Programme) -> bool:
    """Whether a term, or a term it leans on, hangs on one maker or a named service."""
    return term.is_tied or any(_hangs(other, programme) for other in programme.terms if other.name in term.depends_on)


def _force(document: Document) -> str:
    first = days.day_in_words(document.first)
    return f"{first} to {days.day_in_words(document.last)}" if document.last is not None else f"from {first}"


def _in_force(document: Document, judge: Judge) -> ConditionLine:
    """Whether this revision was in force on the day that decides; if not, another may have been."""
    inside = days.falls_inside(judge.day(document.on), document.first, document.last)
    standing = {True: Standing.SHOWN, False: Standing.OUTSIDE, None: Standing.NOT_SHOWN}[inside]
    other = ("The revision that was in force on that day.",) if inside is False else ()
    evidence = evidence_for([Leant(document.on, judge.job, judge.job.vector)], judge.loaded)
    return ConditionLine(
        needs=IN_FORCE, kind="scope", clause="", standing=standing, strictly=standing,
        reason=f"{judge.dated(document.on)}. Revision {document.revision} is in force {_force(document)}.",
        shown_by=other, evidence="" if inside else judge.vocabulary.fact(document.on).what, asks=() if inside else tuple(judge.questions([document.on])), facts=() if inside else (document.on,),
        offered=evidence.offered, only_stated=evidence.only_stated if inside else (),
    )  # fmt: skip


def _status(standings: list[Standing]) -> int:
    """0 when every term is shown, 1 when one is not met or outside, 3 when something is still to be shown or decided."""
    if {Standing.NOT_MET, Standing.OUTSIDE} & set(standings):
        return 1
    return 0 if set(standings) <= {Standing.SHOWN} else 3
