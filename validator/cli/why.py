"""`why`: everything behind one judgement."""

import re
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    NO_OLDER,
    MOST_OFFERED,
    SHELF_BOOK,
    BookNames,
    FileName,
    Form,
    QuickCommand,
    Since,
    Width,
    app,
    columns,
    described,
    ended,
    made_ready,
    print_each,
    print_json,
    print_lines,
    rule_named,
    stop,
    submissions,
)
from validator.judging.numbers import DEVIATION, LETTERS, places_of
from validator.language.slips import nearest

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.judging.loading import LoadedBook
    from validator.judging.report import Report

Meant = tuple[str, frozenset[str], list[str]]  # a rule, the places that are meant (all, where none are named), what is said first
NUMBER = re.compile(r"[drc]\d+", re.IGNORECASE)


@app.command(cls=QuickCommand)
def why(
    file: FileName,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A number of the report (D3, R7), a rule's name, or words of its title.")],
    place: Annotated[str, typer.Option("--place", help="One place or junction only, by its name.")] = "",
    strict: Annotated[bool, typer.Option("--strict", help="By what was stated alone, with nothing taken as usual.")] = False,
    since: Since = NO_OLDER,
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    width: Width = None,
) -> None:
    """Print the whole tree of one judgement: facts and whence, the comparison that decided, what followed, steps, sources."""
    from validator.judging.readings import assembly_as_told
    from validator.judging.why import AS_TOLD, STRICT, traced
    from validator.papers.as_json import paper_object
    from validator.papers.why import judged_object, why_lines

    loaded = made_ready(book)
    stated = described(file, loaded, in_part=True)
    rule, places, head = _meant(what, stated, since, loaded, strict=strict)
    assemblies = [each if strict else assembly_as_told(each, loaded) for each in stated]
    reading = STRICT if strict else AS_TOLD
    found = [(each, judged) for each in assemblies if (judged := [
        one for one in traced(each, loaded, rule, place) if not places or place or {one.at, one.place} & places
    ])]  # fmt: skip
    if not found:
        sort = loaded.book.guards[rule].sort
        names = dict.fromkeys(subject.name for each in assemblies for subject in each.subjects if subject.sort == sort)
        said = f"`{rule}` is not judged at `{place}`" if place else f"`{rule}` is judged nowhere in this assembly"
        near = nearest(place, names) if place else None
        stop(f"{said}. Accepted: " + (f"did you mean `{near}`? " if near else "") + ", ".join(names))
    if form == "json":
        print_json(paper_object(each, loaded, reading=reading, judgements=[judged_object(one) for one in judged]) for each, judged in found)
    else:
        print_lines((line, False) for line in (*(each.name for each in stated if each.unread_lines), *head))
        print_each(why_lines(one, loaded.vocabulary, columns(width), reading) for _, judged in found for one in judged)
    raise ended(stated)


def _meant(what: str, assemblies: "tuple[Assembly, ...]", since: list[str], loaded: "LoadedBook", *, strict: bool) -> Meant:
    """What is meant by a rule's name, a number of the report, or words."""
    from validator.judging.report import report_as_told

    if what in loaded.book.rules:
        return what, frozenset(), []
    reports = [report if strict else report_as_told(report) for report in (each.report for each in submissions(assemblies, since, loaded))]
    if NUMBER.fullmatch(what.strip()):
        return _numbered(what.strip().upper(), reports, loaded)
    return _titled(what, reports, loaded)


def _numbered(number: str, reports: "list[Report]", loaded: "LoadedBook") -> Meant:
    known: dict[str, None] = {}
    for report in reports:
        known |= dict.fromkeys(each.number for each in (*report.findings, *report.open_items) if each.number)
        for finding in report.findings:
            if finding.number == number and finding.rule not in loaded.book.rules:
                typer.echo(f"{number} at {finding.place}: {finding.heading}. {finding.found}. {finding.because}")
                raise typer.Exit
            if finding.number == number:
                return finding.rule, frozenset(places_of(finding.place)), [f"{number} is about {finding.place}.", ""]
        for item in report.open_items:
            rules = [rule for rule in item.rules if rule in loaded.book.rules]
            if item.number == number and rules:
                return rules[0], frozenset(places_of(item.place)), [*_of_a_question(number, item.asks, rules, loaded), ""]
    ends = [number for letter in LETTERS for number in _ends([each for each in known if each[0] == letter])]
    accepted = ", ".join([*ends, "a rule's name"])
    stop(f"nothing in this report is numbered {number}. Accepted: {accepted}, or words of its title")


def _of_a_question(number: str, asks: str, rules: list[str], loaded: "LoadedBook") -> list[str]:
    further = [f"{loaded.book.rules[rule].title} (`{rule}`)" for rule in rules[1:]]
    return [f"{number} asks: {asks}", *(["The answer could also decide: " + "; ".join(further) + "."] if further else [])]


def _ends(numbers: list[str]) -> list[str]:
    """`D1 to D5`."""
    ordered = sorted(numbers, key=lambda each: int(each[1:]))
    return [ordered[0] if len(ordered) == 1 else f"{ordered[0]} to {ordered[-1]}"] if ordered else []


def _titled(words: str, reports: "list[Report]", loaded: "LoadedBook") -> Meant:
    """The rule whose title holds all these words, each from its beginning; of several the one that is a deviation here."""
    wanted = re.findall(r"\w+", words.casefold())
    fitting = [
        name for name, rule in loaded.book.rules.items()
        if wanted and all(any(each.startswith(word) for each in re.findall(r"\w+", rule.title.casefold())) for word in wanted)
    ]  # fmt: skip
    if not fitting:
        return rule_named(words, loaded).name, frozenset(), []
    here: dict[str, list[str]] = {}
    for finding in (each for report in reports for each in report.findings if each.number[:1] == DEVIATION):
        here.setdefault(finding.rule, []).extend(places_of(finding.place))
    meant = fitting if len(fitting) == 1 else [name for name in fitting if name in here]
    if len(meant) == 1:
        return meant[0], frozenset(here.get(meant[0], ())), []
    offered = "; ".join(f"`{name}`: {loaded.book.rules[name].title}" for name in (meant or fitting)[:MOST_OFFERED])
    more = f"; and {len(fitting) - MOST_OFFERED} more" if len(fitting) > MOST_OFFERED else ""
    stop(f"{len(fitting)} titles hold `{words}`. Accepted: one of them by its name. {offered}{more}")
