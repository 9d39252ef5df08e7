"""`check`.

Exit status of `check`: 0 nothing failed and nothing open could fail, 1 something failed, 3 nothing failed but something
open could, 2 the input could not be read or not all of it, 4 the program itself is at fault.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import (
    NO_OLDER,
    SHELF_BOOK,
    UNREADABLE,
    BookNames,
    Form,
    QuickCommand,
    Since,
    Width,
    app,
    columns,
    made_ready,
    print_json,
    print_lines,
    stop,
    submissions,
)
from validator.cli.faults import one_by_one
from validator.language.source import BadAssembly, BadText

if TYPE_CHECKING:
    from validator.assembly import Assembly
    from validator.judging.loading import LoadedBook
    from validator.judging.margins import Margin
    from validator.judging.report import Report
    from validator.submittals.register import Revision

    Close = list[tuple[Margin, ...]]  # the margins of each assembly, where they are asked for


@app.command(cls=QuickCommand)
def check(
    files: Annotated[list[str], typer.Argument(metavar="FILE...", help="Assemblies in YAML or JSON; - reads standard input.")],
    book: BookNames = SHELF_BOOK,
    form: Form = "text",
    show_all: Annotated[bool, typer.Option("--all", help="Everything: each question and check, both readings, what passes.")] = False,
    strict: Annotated[bool, typer.Option("--strict", help="Only what is proved by what was stated; silence is everything.")] = False,
    width: Width = None,
    since: Since = NO_OLDER,
    margins: Annotated[bool, typer.Option("--margins", help="Also say which limits are closest.")] = False,
    witness: Annotated[bool, typer.Option("--witness", help="Have the second engine judge too, and say whether it agrees.")] = False,
) -> None:
    """Judge assemblies: findings with reasons and references, and what was not stated."""
    from validator.assembly import read_assembly_file
    from validator.judging.checking import check as judge

    loaded = made_ready(book)
    assemblies, named, unread = [], [], False
    for file in one_by_one(files, files):
        try:
            assemblies += read_assembly_file(file, loaded.vocabulary, loaded.catalogue).to_judge()
        except BadText as bad:
            typer.echo(str(bad), err=True)
            unread = True
            if isinstance(bad, BadAssembly) and bad.so_far is not None:
                assemblies += bad.so_far.to_judge()
        named += [file] * (len(assemblies) - len(named))
    reports = [judge(each, loaded, passes=show_all or form == "json") for each in one_by_one(named, assemblies)]
    revisions = _since(files, assemblies, since, loaded) if since and not unread else []
    reports = [each.report for each in revisions] or reports
    if not strict:
        reports = [with_effects(report, each, loaded) for report, each in zip(reports, assemblies)]
    close = _close(assemblies, loaded) if margins else []
    notes = _witnessed(loaded, assemblies) if witness and assemblies else ()
    if form == "json":
        _write_json(reports, close, revisions, notes)
    else:
        _write(reports, columns(width), close, notes, show_all=show_all, strict=strict)
        _write_revisions(revisions, columns(width))
    ends = [report.exit_status if strict else report.as_told.exit_status for report in reports]
    raise typer.Exit(UNREADABLE if unread else _status(ends))


def with_effects(report: "Report", assembly: "Assembly", loaded: "LoadedBook") -> "Report":
    """The report with what the answers to its first questions would do."""
    from dataclasses import replace

    from validator.papers.as_told import MOST_ASKED

    first = report.as_told.questions[:MOST_ASKED]
    if not any(question.would_be for question in first):
        return report
    from validator.advising.asking import effects_of

    effects = effects_of(first, assembly, loaded)
    questions = (*(replace(q, effect=effect) for q, effect in zip(first, effects)), *report.as_told.questions[MOST_ASKED:])
    return replace(report, as_told=replace(report.as_told, questions=questions))


def _close(assemblies: list["Assembly"], loaded: "LoadedBook") -> "Close":
    from validator.judging.margins import margins_of

    return [margins_of(each, loaded) for each in assemblies]


def _since(files: list[str], assemblies: list["Assembly"], since: list[str], loaded: "LoadedBook") -> "list[Revision]":
    """The one file as the next submission after older ones."""
    if len(files) > 1:
        stop("--since is about one submittal. Accepted: one FILE")
    return submissions(tuple(assemblies), since, loaded)


def _write_revisions(revisions: "list[Revision]", width: int) -> None:
    if revisions:
        from validator.papers.revisions import revision_lines

        for revision in revisions:
            typer.echo()
            print_lines(revision_lines(revision, width))


def _write_json(reports: list["Report"], close: "Close", revisions: "list[Revision]", notes: tuple[str, ...]) -> None:
    parts: list[dict[str, object]] = [{} for _ in reports]
    if close:
        from validator.papers.margins import margins_object

        for part, margins in zip(parts, close):
            part["margins"] = margins_object(margins)
    if revisions:
        from validator.papers.revisions import revision_object

        for part, revision in zip(parts, revisions):
            part["since"] = revision_object(revision)
    if reports:
        print_json({**vars(report), **part} if part else report for report, part in zip(reports, parts))
    for note in notes:
        typer.echo(note, err=True)


def _write(
    reports: list["Report"], width: int, close: "Close", notes: tuple[str, ...], *, show_all: bool, strict: bool
) -> None:  # fmt: skip
    from validator.papers.as_told import as_told_lines, everything_lines
    from validator.papers.report import report_lines

    for number, report in enumerate(reports):
        if number:
            typer.echo()
        last = notes if number == len(reports) - 1 else ()
        if strict:
            print_lines(report_lines(report, width, show_passes=show_all, notes=last))
        else:
            print_lines(everything_lines(report, width, notes=last) if show_all else as_told_lines(report, width, notes=last))
        if close:
            from validator.papers.margins import margin_lines

            print_lines(margin_lines(close[number], width))


def _status(statuses: list[int]) -> int:
    """The gravest of several: 1 before 3 before 0."""
    return min((s for s in statuses if s), default=0)


def _witnessed(loaded: "LoadedBook", assemblies: list["Assembly"]) -> tuple[str, ...]:
    """Both readings judged by the second engine too."""
    from validator.engines.witness.comparing import witness_subjects
    from validator.judging.readings import assembly_as_told

    both = [reading for assembly in assemblies for reading in (assembly, assembly_as_told(assembly, loaded))]
    return (witness_subjects(loaded.engine, [subject for reading in both for subject in reading.subjects]),)
