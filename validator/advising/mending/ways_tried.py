"""Takes an assembly and the ways of the trade, returns what each of them alone would settle, leave and bring, judged whole."""

from collections.abc import Iterator
from typing import NamedTuple

from validator.advising.mending.candidates import Changes
from validator.advising.mending.side_effects import also_changes
from validator.advising.mending.trials import TrialJudge
from validator.advising.mending.ways import Way
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.facts.subjects import Subject
from validator.judging.checking import check
from validator.judging.loading import LoadedBook
from validator.judging.report import Report
from validator.language.source import BadAssembly

LOUD = ("fail", "warn")
Told = dict[tuple[str, str], tuple[str, str]]  # by rule and place, the outcome and the title


class WayTried(NamedTuple):
    """A way at a place: the titles it settles and those that still fail or warn though it bears on them, and what sums it changes."""

    way: Way
    place: str
    settles: tuple[str, ...]
    leaves: tuple[str, ...]
    also: tuple[str, ...]


def ways_tried(draft: Draft, assembly: Assembly, before: Report, changes: Changes, judge: TrialJudge, loaded: LoadedBook) -> tuple[WayTried, ...]:
    """Every way that settles something and brings no new fail; of a line that several places share, once."""
    told, found, seen = _told(before), [], set()
    subjects = {subject.name: subject for subject in judge.read(assembly).subjects}
    for subject in subjects.values():
        for way, layer in changes.ways.of(subject, changes.allowed.keep):
            rules = {rule for rule, _ in told if way.names & judge.what_if.dependencies.of_rule(rule)}
            key = (way.name, layer.where if layer is not None else subject.name)
            if rules and key not in seen:
                seen.add(key)
                found.extend(_tried(way, subject, draft, assembly, told, rules, loaded))
    return tuple(found)


def _tried(way: Way, subject: Subject, draft: Draft, assembly: Assembly, told: Told, rules: set[str], loaded: LoadedBook) -> Iterator[WayTried]:
    try:
        after = way.written(draft, subject).assembly()
    except BadAssembly:
        return
    now = _told(check(after, loaded, passes=False))
    settled = [told[key][1] for key in told if key not in now]
    worse = [key for key, (outcome, _) in now.items() if outcome == "fail" and told.get(key, ("",))[0] != "fail"]
    if settled and not worse:
        left = [now[key][1] for key in now if key[0] in rules and key in told]
        also = also_changes(assembly, after, loaded)
        yield WayTried(way, subject.name, tuple(dict.fromkeys(settled)), tuple(dict.fromkeys(left)), also)


def _told(report: Report) -> Told:
    """What fails and warns as told, place by place."""
    return {
        (finding.rule, place): (finding.outcome, finding.title)
        for finding in report.as_told.findings if finding.outcome in LOUD for place in finding.place.split("; ")
    }  # fmt: skip
