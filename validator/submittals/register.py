"""The register of a submittal: every deviation and request with the number it got first, over all submissions.

A number belongs to what it is about, a rule or a fact, at the places where it was first told, and to nothing else for ever.
What is told anew, or elsewhere, takes the next number; what is put right keeps its own, as closed.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import NamedTuple

from validator.assembly import Assembly
from validator.engines.outcomes import Outcome
from validator.facts.possible import CARD, STATED
from validator.facts.subjects import Subject
from validator.judging.findings import place_of
from validator.judging.loading import LoadedBook
from validator.judging import numbers
from validator.judging.numbers import CONTRADICTION, DEVIATION, LETTERS, LOUD, REQUEST, places_of, strictly_numbered
from validator.judging.open_matters import OpenMatters, asked_together, in_words, places_to_look
from validator.judging.report import SAID_TWO_WAYS, Finding, OpenQuestion, Report
from validator.judging.readings import places_read
from validator.submittals.changes import RENAMED, Change, Stated, changes_between, stated_in
from validator.submittals.renaming import as_called_now, called_now, renamed

STAYS, AGAIN, NOT_SHOWN = "stays", "open again", "not shown now"  # still open
MET, MET_AS_USUAL, ELSEWHERE, GONE = "met", "met, as it is usually done", "asked no longer", "no longer in the submission"
ANSWERED, NOT_ASKED = "answered", "asked no longer"
STILL_OPEN = (STAYS, AGAIN, NOT_SHOWN)
STANDING_OF = {
    Outcome.PASS: MET, Outcome.BY_EXCEPTION: MET, Outcome.BREACH: STAYS, Outcome.NOTHING: ELSEWHERE, Outcome.NOT_APPLICABLE: ELSEWHERE,
}  # fmt: skip


class Entry(NamedTuple):
    """One number: what it is about (a rule, or facts), where it was told first, and where it is still open.

    `opened` and `closed` are submissions, counted from 0; `how` is its standing in the newest of them, for each place.
    """

    number: str
    about: tuple[str, ...]
    title: str
    places: tuple[str, ...]
    opened: int
    open_at: tuple[str, ...]
    closed: int | None = None
    how: Mapping[str, str] = {}

    @property
    def keys(self) -> list[tuple[str, str]]:
        """What carries its number into the next submission: each of what it is about, at each of its places."""
        return [(about, place) for about in self.about for place in self.places]


class Register(NamedTuple):
    """All numbers of one submittal, the description of its newest submission as stated, and how many there were."""

    name: str
    submissions: tuple[str, ...]  # the fingerprint of each report, the oldest first
    entries: tuple[Entry, ...]
    stated: Stated

    @property
    def revision(self) -> int:
        """The newest submission, counted from 0."""
        return len(self.submissions) - 1


class Revision(NamedTuple):
    """A submission beside the one before it: the report by the numbers of the submittal, and what became of each."""

    report: Report
    register: Register
    changes: tuple[Change, ...]
    opened: tuple[Entry, ...]
    stays: tuple[Entry, ...]
    closed: tuple[Entry, ...]


def submitted(assembly: Assembly, report: Report, loaded: LoadedBook, before: Register | None = None) -> Revision:
    """The next submission of a submittal; without `before`, its first. `report` is that of the assembly, in both readings."""
    stated = stated_in(assembly)
    new = renamed(assembly, before.stated, stated) if before is not None else {}
    if new:
        before = _called_now(before, new)
    known = before.entries if before is not None else ()
    revision = len(before.submissions) if before is not None else 0
    report = _Carrying(known, loaded).report(report)
    told, two_ways = report.as_told, [each for each in report.findings if each.rule == SAID_TWO_WAYS]
    standing = _Standing(assembly, told.questions, two_ways, loaded)
    carried = tuple(_looked_at(entry, revision, standing) for entry in known)
    had = {entry.number for entry in known}
    opened = tuple(each for each in _entries((*told.findings, *two_ways), told.questions, revision) if each.number not in had)
    register = Register(report.assembly, (*(before.submissions if before else ()), report.fingerprint), (*carried, *opened), stated)
    return Revision(
        report=report, register=register,
        changes=(*_renamings(assembly, new), *changes_between(before.stated, stated)) if before is not None else (),
        opened=opened if before is not None else (),
        stays=tuple(entry for entry in carried if entry.open_at),
        closed=tuple(entry for entry in carried if entry.closed == revision),
    )  # fmt: skip


def _called_now(before: Register, new: Mapping[str, str]) -> Register:
    """An older register by the names that its places have now."""
    entries = tuple(
        entry._replace(
            places=as_called_now(entry.places, new), open_at=as_called_now(entry.open_at, new),
            how={called_now(place, new): said for place, said in entry.how.items()},
        )
        for entry in before.entries
    )  # fmt: skip
    return before._replace(entries=entries, stated={called_now(place, new): things for place, things in before.stated.items()})


def _renamings(assembly: Assembly, new: Mapping[str, str]) -> list[Change]:
    places = {subject.name for subject in assembly.subjects if subject.sort == "place"}
    return [Change((now,), "", RENAMED, before=old, after=now) for old, now in new.items() if now in places]


# -- numbers carried on -----------------------------------------------------------------------------------------------------------


class _Carrying:
    """Tells a report by the numbers that its matters had before; what had several is told in as many lines."""

    def __init__(self, known: Iterable[Entry], loaded: LoadedBook) -> None:
        self.loaded = loaded
        self.numbers = {(entry.number[0], *key): entry.number for entry in known for key in entry.keys}
        self.last = dict.fromkeys(LETTERS, 0)
        for entry in known:
            self.last[entry.number[0]] = max(self.last[entry.number[0]], int(entry.number[1:]))

    def report(self, report: Report) -> Report:
        findings = tuple(line for each in report.as_told.findings for line in self._finding(each, DEVIATION, each.rule))
        questions = tuple(line for each in report.as_told.questions for line in self._question(each))
        told = replace(report.as_told, findings=findings, questions=questions)
        strictly = [
            line for each in report.findings
            for line in (self._finding(each, CONTRADICTION, said_two_ways(each)) if each.rule == SAID_TWO_WAYS else [each])
        ]  # fmt: skip
        numbered, items = strictly_numbered(told, strictly, report.open_items, self.last)
        return replace(report, as_told=told, findings=numbered, open_items=items)

    def _next(self, letter: str) -> str:
        self.last[letter] += 1
        return f"{letter}{self.last[letter]}"

    def _finding(self, finding: Finding, letter: str, about: str) -> list[Finding]:
        by_number: dict[str, list[str]] = {}
        for place in places_of(finding.place):
            by_number.setdefault(self.numbers.get((letter, about, place), ""), []).append(place)
        return [replace(finding, place="; ".join(here), number=number or self._next(letter)) for number, here in by_number.items()]

    def _question(self, question: OpenQuestion) -> list[OpenQuestion]:
        parts: dict[str, list[tuple[str, str]]] = {}
        for fact in question.facts:
            for place in places_of(question.place):
                parts.setdefault(self.numbers.get((REQUEST, fact, place), ""), []).append((fact, place))
        return [_part(question, keys, number or self._next(REQUEST), self.loaded) for number, keys in parts.items()]


def said_two_ways(finding: Finding) -> str:
    """What a contradiction is about: the fact of which two things are said."""
    return f"{SAID_TWO_WAYS}: {finding.asks[0]}"


def _part(question: OpenQuestion, keys: list[tuple[str, str]], number: str, loaded: LoadedBook) -> OpenQuestion:
    """Part of what is asked together: some of its facts, at some of its places."""
    facts = tuple(dict.fromkeys(fact for fact, _ in keys))
    place = "; ".join(dict.fromkeys(place for _, place in keys))
    if facts == question.facts:
        return replace(question, place=place, number=number)
    asked = asked_together([loaded.vocabulary.fact(name) for name in facts], loaded.vocabulary)
    return replace(
        question, facts=facts, place=place, number=number, asks=in_words(asked, loaded.vocabulary), look=places_to_look(asked)
    )


def _entries(findings: Iterable[Finding], questions: Iterable[OpenQuestion], revision: int) -> list[Entry]:
    """What is told in one submission, by number; what no answer could make a warning or worse is no request."""
    found: dict[str, Entry] = {}
    for finding in findings:
        places = places_of(finding.place)
        about = said_two_ways(finding) if finding.rule == SAID_TWO_WAYS else finding.rule
        _join(found, Entry(finding.number, (about,), finding.title, places, revision, places))
    for question in questions:
        if question.would_be in LOUD:
            places = places_of(question.place)
            _join(found, Entry(question.number, question.facts, question.asks, places, revision, places))
    return list(found.values())


def _join(found: dict[str, Entry], entry: Entry) -> None:
    """One number may be told in several lines, where it was found otherwise."""
    first = found.get(entry.number)
    if first is not None:
        places = tuple(dict.fromkeys((*first.places, *entry.places)))
        entry = first._replace(places=places, open_at=places, about=tuple(dict.fromkeys((*first.about, *entry.about))))
    found[entry.number] = entry


# -- what became of it ------------------------------------------------------------------------------------------------------------


def _looked_at(entry: Entry, revision: int, standing: "_Standing") -> Entry:
    """An entry of an earlier submission as it stands now; what was closed is opened again where it is told again."""
    how = {place: standing.of(entry, place) for place in entry.places}
    open_at = tuple(place for place, said in how.items() if said in STILL_OPEN)
    if not open_at and entry.closed is not None:
        return entry
    if entry.closed is not None:
        how = {place: AGAIN if said == STAYS else said for place, said in how.items()}
    return entry._replace(how=how, open_at=open_at, closed=None if open_at else revision)


class _Standing:
    """What the newest submission says of a rule or a fact at a place."""

    def __init__(self, assembly: Assembly, questions: Iterable[OpenQuestion], two_ways: Iterable[Finding], loaded: LoadedBook) -> None:
        self.subjects = {subject.name: subject for subject in assembly.subjects}
        self.asked = {(fact, place) for each in questions for fact in each.facts for place in places_of(each.place)}
        self.contradicted = {(said_two_ways(each), place) for each in two_ways for place in places_of(each.place)}
        self.outcomes: dict[tuple[str, str], tuple[Outcome, Outcome]] = {}
        matters = OpenMatters(loaded)
        for read in places_read(assembly, loaded):
            for strictly, judged in zip(read.strictly, read.judged):
                key = judged.compiled.name, place_of(judged, read.told.derived)
                self.outcomes[key] = strictly.outcome, matters.outcome(judged, read.told.derived)

    def of(self, entry: Entry, place: str) -> str:
        match entry.number[0]:
            case numbers.DEVIATION:
                return self._of_rule(entry.about[0], place)
            case numbers.CONTRADICTION:
                return STAYS if (entry.about[0], place) in self.contradicted else MET
        return self._of_facts(entry.about, place)

    def _of_rule(self, rule: str, place: str) -> str:
        found = self.outcomes.get((rule, place))
        if found is None:
            return GONE
        strictly, told = found
        standing = STANDING_OF.get(told, NOT_SHOWN)
        return MET_AS_USUAL if standing == MET and STANDING_OF.get(strictly) != MET else standing

    def _of_facts(self, facts: tuple[str, ...], place: str) -> str:
        subject = self.subjects.get(place)
        if any((fact, place) in self.asked for fact in facts):
            return STAYS
        if subject is None:
            return GONE
        return ANSWERED if any(_is_stated(fact, subject) for fact in facts) else NOT_ASKED


def _is_stated(fact: str, subject: Subject) -> bool:
    thing = fact.partition(".")[0]
    every = (subject.known, *(layer.known for layer in subject.layers.get(thing, ())))
    return any(fact in known and known[fact].origin in (STATED, CARD) and known[fact].where is not None for known in every)
