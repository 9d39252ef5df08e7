"""A set of changes as it is offered: the page with them made, judged whole, and what they bring with them."""

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
from validator.judging.report import Report
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
        rungs = [change.rung for change in self.changes]
        return max(rungs, default=0), sum(rungs)


class Teller:
    """Tells alternatives of one assembly."""

    def __init__(self, loaded: LoadedBook, tries: TrialJudge, allowing: Changes, assembly: Assembly, start: EditedAssembly, before: Report) -> None:
        self.loaded, self.tries, self.allowing, self.assembly, self.start = loaded, tries, allowing, assembly, start
        self.warned = {(finding.rule, finding.place) for finding in before.findings if finding.outcome == "warn"}

    def told(self, state: EditedAssembly) -> Alternative | None:
        """The alternative, judged whole as it would be read from its file; None where that does not bear the search out."""
        changes, limits = state.made, []
        for number, change in enumerate(changes):
            change, limit = self._limited(change, (*changes[:number], *changes[number + 1 :]))
            changes = (*changes[:number], change, *changes[number + 1 :])
            limits.append(limit)
        draft = state._replace(made=changes).page()
        try:
            assembly = draft.assembly()
        except BadAssembly:
            return None
        report = check(assembly, self.loaded, passes=False)
        if not holds(report, self.tries.clear) or self.tries.failing(assembly.subjects, self.tries.rules.values()):
            return None
        new = tuple((f.title, f.place) for f in report.findings if f.outcome == "warn" and (f.rule, f.place) not in self.warned)
        places = tuple(places_of(self.start, change) for change in changes)
        return Alternative(changes, draft, report, new, tuple(limits), places, also_changes(self.assembly, assembly, self.loaded))

    def _limited(self, change: Change, others: tuple[Change, ...]) -> tuple[Change, str]:
        """A change of an amount with how far it has to go; what nobody said goes to the limit and no further."""
        fact = self.loaded.vocabulary.facts.get(change.fact)
        if fact is None or not fact.is_amount or not change.is_of_a_line:
            return change, ""
        start = self.start
        for other in others:
            start = changed(start, other)
        noticing = self.tries.noticing(change.fact).values()

        def works(known: Known) -> bool:
            trial = change._replace(known=known)
            after = changed(start, trial)
            return not self.tries.failing([after.subjects[each.name] for each in touched(start.subjects, trial)], noticing)

        if change.before == UNSAID:
            return self._found_out(change, fact, works)
        was, to = read(fact, change.before).value, change.known.value[0]
        return change, needed(fact, was[1] if to > was[1] else was[0], to, lambda span: works(change.known._replace(value=span)))

    def _found_out(self, change: Change, fact: Fact, works: Callable[[Known], bool]) -> tuple[Change, str]:
        """An amount that nobody said, set out at the limit of those that would do, and that limit in words."""
        tried = [known.value[0] for _, known in self.allowing.values(fact, Known(fact.anything, NOT_STATED))]
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
    """Whether a report has no fail, and where all must be clear nothing that could."""
    if any(finding.outcome == "fail" for finding in report.findings):
        return False
    return report.exit_status == 0 if clear else True
