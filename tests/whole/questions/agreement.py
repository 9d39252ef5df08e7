"""How often the book comes to what people answered, and what it misses: `python -m tests.whole.questions.agreement`.

Each question has an assembly, and in answers/ what the answers came to and the matters that they called wrong or doubtful.
A matter is *found* if a rule on it is told as a failure or a warning, *asked* if one of the first three questions is about it,
*low* if a question further down is about it or waits on a rule on it, a *check* if it is one to make while building, and else
missed: no rule, no word, or *silent* where both are there.
Run without arguments it prints the table that agreement.yaml holds; with `--missed` each question with what is missed in it.
"""

import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from validator.assembly import read_assembly_file
from validator.judging.checking import check
from validator.judging.loading import LoadedBook, load_book
from validator.judging.report import Report
from validator.rulebook.shelf import book_folder

HERE = Path(__file__).parent
SETS = ("first", "second", "third", "own")
# From the worst; `open`: nothing found, and a question decides, or strictly any could; `no fault`: nothing found, and details are open.
VERDICTS = ("fail", "warn", "open", "no fault", "pass")
STATES = ("found", "asked", "low", "check", "silent", "no rule", "no word")
FIRST_QUESTIONS = 3

ANSWERS: dict[str, dict[str, dict[str, Any]]] = {
    name: yaml.safe_load((HERE / "answers" / f"{name}.yaml").read_text(encoding="utf-8")) for name in SETS
}
KINDS: dict[str, dict[str, Any]] = yaml.safe_load((HERE / "matters.yaml").read_text(encoding="utf-8"))


@dataclass(frozen=True)
class Told:
    """What one reading of a description says, whichever reading it is."""

    verdict: str
    found: frozenset[str]  # the rules that fail or warn
    asked: tuple[frozenset[str], ...]  # the facts and things of each question, in order
    waiting: tuple[frozenset[str], ...]  # the rules that wait on each of them
    told_first: int  # how many of them a reader sees first
    checks: frozenset[str] = frozenset()  # the rules that are checks to make while building


def as_strictly_read(report: Report) -> Told:
    sure, _, possible = report.outcome.removeprefix("at least ").partition(",")
    return Told(
        verdict="open" if sure == "pass" and possible else sure,
        found=frozenset(finding.rule for finding in report.findings if finding.outcome in ("fail", "warn")),
        asked=tuple(frozenset((item.fact,)) for item in report.open_items),
        waiting=tuple(frozenset(item.rules) for item in report.open_items),
        told_first=FIRST_QUESTIONS,
    )


def as_told(report: Report) -> Told:
    """Only what could still fail or warn is told as a question; the others wait behind it."""
    told = report.as_told
    return Told(
        verdict=told.outcome if told.outcome != "pass" or not told.could_become else "open" if told.deciding else "no fault",
        found=frozenset(finding.rule for finding in told.findings),
        asked=tuple(frozenset(each.facts) for each in told.questions),
        waiting=tuple(frozenset(each.rules) for each in told.questions),
        told_first=min(FIRST_QUESTIONS, sum(each.would_be in ("fail", "warn") for each in told.questions)),
        checks=frozenset(check.rule for check in told.checks),
    )


READINGS = {"strict": as_strictly_read, "as told": as_told}


@dataclass(frozen=True)
class Matter:
    """One thing that the answers called wrong or doubtful, with what in the book would be the same word."""

    about: str
    severity: str
    found_by: frozenset[str]
    asked_by: frozenset[str]
    missing: str  # "no word" or "no rule" where there is none
    why: str  # what is missing

    def state(self, told: Told) -> str:
        if self.found_by & told.found:
            return "found"
        if any(self.asked_by & facts for facts in told.asked[: told.told_first]):
            return "asked"
        return self.missing or ("low" if self.rank(told) else "check" if self.found_by & told.checks else "silent")

    def rank(self, told: Told) -> int:
        """Which question is the first about it, counted from 1; 0 if none is."""
        questions = enumerate(zip(told.asked, told.waiting, strict=True), start=1)
        return next((rank for rank, (facts, rules) in questions if self.asked_by & facts or self.found_by & rules), 0)


def matters_of(answer: dict[str, Any]) -> tuple[Matter, ...]:
    return tuple(_matter(written) for written in answer.get("matters", ()))


def _matter(written: dict[str, Any]) -> Matter:
    both = (written, KINDS[written["kind"]])
    missing = next((word for each in both for word in ("no word", "no rule") if word in each), "")
    return Matter(
        about=written["about"],
        severity=written["severity"],
        found_by=frozenset(rule for each in both for rule in each.get("found by", ())),
        asked_by=frozenset(fact for each in both for fact in each.get("asked by", ())),
        missing=missing,
        why=next((each[missing] for each in both if missing in each), ""),
    )


def wanted_of(answer: dict[str, Any]) -> str:
    return answer["answers"].partition(";")[0]


@cache
def reports_of(name: str, loaded: LoadedBook) -> tuple[Report, ...]:
    """The report on a question's assembly; one for each of its options."""
    read = read_assembly_file(HERE / f"{name}.yaml", loaded.vocabulary, loaded.catalogue)
    return tuple(check(assembly, loaded) for assembly in read.to_judge())


@dataclass(frozen=True)
class Measured:
    """One question under one reading. Of several options the worst counts: people ask about the one that they doubt."""

    question: str
    wanted: str
    told: tuple[Told, ...]
    matters: tuple[Matter, ...]

    @property
    def verdict(self) -> str:
        return min((told.verdict for told in self.told), key=VERDICTS.index)

    def state(self, matter: Matter) -> str:
        return min((matter.state(told) for told in self.told), key=STATES.index)

    def rank(self, matter: Matter) -> int:
        return min(filter(None, (matter.rank(told) for told in self.told)), default=0)


def measured(question: str, answer: dict[str, Any], reading: str, loaded: LoadedBook) -> Measured:
    told = tuple(READINGS[reading](report) for report in reports_of(question, loaded))
    return Measured(question, wanted_of(answer), told, matters_of(answer))


def table(reading: str, loaded: LoadedBook) -> dict[str, Any]:
    """By set: our verdicts under each verdict of the answers, and how their matters fare, by severity."""
    return {name: _counted([measured(*each, reading, loaded) for each in ANSWERS[name].items()]) for name in SETS}


def _counted(questions: list[Measured]) -> dict[str, Any]:
    verdicts = Counter((each.wanted, each.verdict) for each in questions)
    states = Counter((matter.severity, each.state(matter)) for each in questions for matter in each.matters)
    return {"verdicts": _rows(verdicts, VERDICTS), "matters": _rows(states, STATES)}


def _rows(counted: Counter[tuple[str, str]], columns: tuple[str, ...]) -> dict[str, dict[str, int]]:
    rows = [row for row in VERDICTS if any(row == left for left, _ in counted)]
    return {row: {column: counted[row, column] for column in columns if counted[row, column]} for row in rows}


def missed(reading: str, loaded: LoadedBook) -> Iterator[str]:
    """A line a question: the answers' verdict, ours, and each matter that is neither found nor asked first."""
    for name in SETS:
        for question, answer in ANSWERS[name].items():
            each = measured(question, answer, reading, loaded)
            lines = "; ".join(_lacking(each, matter) for matter in each.matters if each.state(matter) not in ("found", "asked"))
            yield f"{question.removeprefix('question-'):5}{each.wanted:5}{each.verdict:5}{lines}".rstrip()


def _lacking(each: Measured, matter: Matter) -> str:
    state = each.state(matter)
    more = f" {each.rank(matter)}" if state == "low" else f": {matter.why}" if matter.why else ""
    return f"{matter.about} ({state}{more})"


def main(arguments: list[str]) -> None:
    loaded = load_book(book_folder("us"))
    for reading in READINGS:
        if "--missed" in arguments:
            print(f"# {reading}: the answers, ours, and what is missed", *missed(reading, loaded), sep="\n")
        else:
            print(yaml.safe_dump({reading: table(reading, loaded)}, sort_keys=False, default_flow_style=None, width=120), end="")


if __name__ == "__main__":
    main(sys.argv[1:])
