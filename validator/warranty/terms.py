"""Takes a programme and an assembly, returns where every term and condition stands, and the risk in its order."""

import hashlib

from validator.assembly import Assembly
from validator.engines.varying import judge_varying
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.warranty import days
from validator.warranty.conditions import Judge, worst
from validator.warranty.evidence import Leant, evidence_for
from validator.warranty.matters import matters_of, risk_of
from validator.warranty.programme import Document, Programme, Term
from validator.warranty.report import ConditionLine, DocumentLine, Standing, TermLine, WarrantyReport

IN_FORCE = "The document is in force on the day it goes by"


def stand(assembly: Assembly, programme: Programme, loaded: LoadedBook) -> WarrantyReport:
    """Where each term of a programme stands on one assembly. `loaded` works out everything, not only what its rules lean on."""
    looked = [judge_varying(loaded.engine, subject) for subject in assembly.subjects]
    matters = matters_of(looked, loaded)
    report = check(assembly, loaded, passes=False)
    document = programme.document
    judge = Judge(loaded, looked, matters, report.open_items, document.headed, programme.places)
    every = (_in_force(document, judge), judge.speaks_of(programme.places), *(judge.line(each) for each in programme.every_term))
    terms = tuple(_term(term, every, programme, judge) for term in programme.terms)
    key = f"{report.fingerprint}{programme.fingerprint}"
    return WarrantyReport(
        assembly=assembly.name,
        programme=programme.name,
        about=programme.about,
        document=DocumentLine(
            title=document.title,
            revision=document.revision,
            headed=document.headed,
            in_force=_force(document),
            holder=programme.holder,
        ),
        every_term=every,
        terms=terms,
        risk=risk_of(matters),
        outcome=report.outcome,
        counts=report.counts,
        books=report.books,
        programme_fingerprint=programme.fingerprint,
        fingerprint=hashlib.sha256(key.encode()).hexdigest()[:16],
        exit_status=_status([term.standing for term in terms]),
    )


def _term(term: Term, every: tuple[ConditionLine, ...], programme: Programme, judge: Judge) -> TermLine:
    lines = tuple(judge.line(condition) for condition in term.conditions)
    standing = worst(line.standing for line in (*every, *lines) if line.standing is not Standing.NOT_ARISING)
    judge.earlier[term.name] = standing
    return TermLine(
        term=term.name,
        gives=term.gives,
        lasts=f"the life of: {term.life_of}" if term.life_of else f"{term.years} {'year' if term.years == 1 else 'years'}",
        starts=term.starts,
        standing=standing,
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
        needs=IN_FORCE, kind="scope", clause="", standing=standing,
        reason=f"{judge.dated(document.on)}. Revision {document.revision} is in force {_force(document)}.",
        shown_by=other, asks=() if inside else tuple(judge.questions([document.on])), facts=() if inside else (document.on,),
        offered=evidence.offered, only_stated=evidence.only_stated if inside else (),
    )  # fmt: skip


def _status(standings: list[Standing]) -> int:
    """0 when every term is shown, 1 when one is not met or outside, 3 when something is still to be shown or decided."""
    if {Standing.NOT_MET, Standing.OUTSIDE} & set(standings):
        return 1
    return 0 if set(standings) <= {Standing.SHOWN} else 3
