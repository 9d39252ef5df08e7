"""Takes a set of changes that works, returns it as it is offered: the page with them made, judged whole, and what else follows.
"""

from collections.abc import Callable
from typing import NamedTuple

from validator.advising.breakpoints import first_that, in_marks, mark_within, needed
from validator.advising.mending.candidates import UNSAID, Changes
from validator.advising.mending.changes import Change, EditedAssembly, changed, places_of, touched
from validator.advising.mending.side_effects import also_changes
from validator.advising.mending.trials import TrialJudge
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.facts.possible import NOT_STATED, Known, read
from validator.facts.vocabulary import Fact
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Finding, Report
from validator.language import amounts
from validator.language.source import BadAssembly


class Alternative(NamedTuple):
    """One set of changes that works: the page with them made, its report, and what it newly warns of."""

    changes: tuple[Change, ...]
    draft: Draft
    report: Report
    new_warns: tuple[tuple[str, str], ...]  # title and place
    limits: tuple[str, ...]  # for each change, how far it had to go, where it went further to the next size
    places: tuple[tuple[str, ...], ...]  # for each change, every place for which its line speaks
    also: tuple[str, ...] = ()  # sums and quantities that come out otherwise

    @property
    def effort(self) -> tuple[int, int]:
        efforts = [change.effort for change in self.changes]
        return max(efforts, default=0), sum(efforts)


class Start(NamedTuple):
    """What alternatives are set against: the book, the assembly before, and what it warned of."""

    loaded: LoadedBook
    judge: TrialJudge
    candidates: Changes
    assembly: Assembly
    state: EditedAssembly
    warned: frozenset[tuple[str, str]]  # rule and place


def alternative_of(start: Start, state: EditedAssembly) -> Alternative | None:
    """Takes the start and a set of changes, returns it judged whole as it would be read from its file; None where it still fails."""
    changes, limits = state.made, []
    for number, change in enumerate(changes):
        change, limit = _limited(start, change, (*changes[:number], *changes[number + 1 :]))
        changes = (*changes[:number], change, *changes[number + 1 :])
        limits.append(limit)
    draft = state._replace(made=changes).page()
    try:
        assembly = draft.assembly()
    except BadAssembly:
        return None
    report = check(assembly, start.loaded, passes=False)
    if not (holds(report, start.judge.clear) or start.judge.given_up) or start.judge.failing(start.judge.read(assembly).subjects, start.judge.rules.values()):
        return None
    found = findings_of(report, start.judge.clear)
    new = tuple((f.title, f.place) for f in found if f.outcome == "warn" and (f.rule, f.place) not in start.warned)
    places = tuple(places_of(start.state, change) for change in changes)
    return Alternative(changes, draft, report, new, tuple(limits), places, also_changes(start.assembly, assembly, start.loaded))


def _limited(start: Start, change: Change, others: tuple[Change, ...]) -> tuple[Change, str]:
    """A change of an amount with how far it has to go; what nobody said goes to the limit and no further, and is any word that does."""
    fact = start.loaded.vocabulary.facts.get(change.fact)
    found_out = change.before == UNSAID
    if fact is None or not change.is_of_a_line or not (fact.is_amount or found_out and fact.is_word):
        return change, ""
    state = start.state
    for other in others:
        state = changed(state, other)
    noticing = start.judge.noticing(change.fact).values()

    def works(known: Known) -> bool:
        trial = change._replace(known=known)
        after = changed(state, trial)
        return not start.judge.failing([after.subjects[each.name] for each in touched(state.subjects, trial)], noticing)

    if found_out and fact.is_word:
        return _any_of(change, fact, works), ""
    if found_out:
        return _found_out(start, change, fact, works)
    was, to = read(fact, change.before).value, change.known.value[0]
    return change, needed(fact, was[1] if to > was[1] else was[0], to, lambda span: works(change.known._replace(value=span)))


def _any_of(change: Change, fact: Fact, works: Callable[[Known], bool]) -> Change:
    """A word that nobody said, with every other that would do as well."""
    words = [word for word in fact.words if works(read(fact, word))]
    text = " or ".join(words)
    return change._replace(after=text, known=read(fact, text)) if len(words) > 1 and works(read(fact, text)) else change


def _found_out(start: Start, change: Change, fact: Fact, works: Callable[[Known], bool]) -> tuple[Change, str]:
    """An amount that nobody said, set out at the limit of those that would do, and that limit in words."""
    tried = [known.value[0] for _, known in start.candidates.values(fact, Known(fact.anything, NOT_STATED))]
    tried.sort()

    def does(span: tuple[int, int]) -> bool:
        return works(change.known._replace(value=span))

    low = high = tried.index(change.known.value[0])
    while low > 0 and does((tried[low - 1],) * 2):
        low -= 1
    while high < len(tried) - 1 and does((tried[high + 1],) * 2):
        high += 1
    least = mark_within(fact, first_that(fact, tried[low - 1], tried[low], does), upwards=True) if low > 0 else None
    most = mark_within(fact, first_that(fact, tried[high + 1], tried[high], does), upwards=False) if high < len(tried) - 1 else None
    if least is None and most is None:
        return change, ""
    text = amounts.show(most if least is None else least, fact.kind, change.known.unit, both=False)
    known = read(fact, text)
    if works(known):
        change = change._replace(after=text, known=known)
    return change, in_marks(fact, least, most)


def holds(report: Report, clear: bool) -> bool:
    """Whether nothing fails as told; where all must be clear, nothing strictly and nothing that could."""
    return report.exit_status == 0 if clear else not report.as_told.failed


def findings_of(report: Report, clear: bool) -> tuple[Finding, ...]:
    """What a report found in the reading that is mended."""
    return report.findings if clear else report.as_told.findings
