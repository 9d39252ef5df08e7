"""`screen` and `rulebook compare`: many registrations from a table."""

import gc
import os
import sys
import time
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from validator.cli.common import SHELF_BOOK, STOPPED, BookNames, QuickCommand, app, stop
from validator.cli.rulebook import rulebook
from validator.cli.terminal import styled
from validator.language.source import BadText

if TYPE_CHECKING:
    from validator.screening.desk_workbook import ReadBack
    from validator.screening.known import Run
    from validator.screening.letters import Wanted

A_MINUTE = 60.0  # seconds
MISSING = "screening needs Polars and what reads workbooks: pip install 'assembly-validator[screen]'"


@app.command(cls=QuickCommand)
def screen(
    table: Annotated[Path | None, typer.Argument(metavar="TABLE", help="CSV, XLSX, Parquet or JSON Lines, one row a registration.")] = None,
    mapping: Annotated[Path | None, typer.Option("--mapping", help="Which of your headings holds which fact.")] = None,
    out: Annotated[Path | None, typer.Option("--out", help="A folder for results, findings and the summary page.")] = None,
    book: BookNames = SHELF_BOOK,
    form: Annotated[str, typer.Option("--format", help="parquet, csv or xlsx: one workbook with a column for a person's decision, read back at the next run.")] = "parquet",
    again: Annotated[bool, typer.Option("--again", help="Begin anew in a folder that holds another run.")] = False,
    spread: Annotated[str, typer.Option("--spread", help="The address of a Dask distributed cluster; Parquet only.")] = "",
    letters: Annotated[str, typer.Option("--letters", help="Also write a letter for each registration of this lane, by --programme.")] = "",
    programme: Annotated[str, typer.Option("--programme", help="A programme on the shelf, or a file of one: every term of it for every row, and what letters ask for.")] = "",
    letter_form: Annotated[str, typer.Option("--letter-form", help="html, pdf, docx or text.")] = "html",
    together: Annotated[bool, typer.Option("--together", help="All letters in one file to print.")] = False,
    start: Annotated[bool, typer.Option("--start", help="Propose a mapping by looking at TABLE, as a file to correct: --mapping, or beside the table.")] = False,
    template: Annotated[Path | None, typer.Option("--template", help="Write a starter spreadsheet and mapping to a folder.")] = None,
) -> None:
    """Screen a table of registrations: each goes to one lane. A run that was stopped goes on where it was."""
    try:
        from validator.papers.letter_docx import NoDocx
        from validator.papers.pdf import NoPdf
        from validator.screening.desk_workbook import NAME, read_back
        from validator.screening.known import Run
        from validator.screening.rows import BadTable
        from validator.screening.template import write_template
        from validator.screening.tidying import SHEET, filled_in
    except ImportError:
        stop(MISSING)
    try:
        if template is not None:
            for path in write_template(template):
                typer.echo(path)
            return
        if start and table is not None:
            _start(table, mapping or table.with_suffix(".mapping.yaml"), book)
            return
        if table is None or mapping is None or out is None:
            stop("`screen` takes a table, --mapping and --out; for a start TABLE --start, or --template FOLDER")
        if form not in ("parquet", "csv", "xlsx"):
            stop(f"there is no format `{form}`. Accepted: parquet, csv, xlsx")
        back = read_back(out / NAME)
        filled = tuple(sorted({*filled_in(out / SHEET), *back.filled}))
        wanted = _letters_wanted(letters, programme, letter_form, together)
        _screened(Run(table, mapping, _folders(book), out, form, programme=programme, filled=filled), again, spread, wanted, back)
    except (BadText, BadTable, NoPdf, NoDocx) as bad:
        stop(str(bad))


def _folders(books: list[str]) -> tuple[str, ...]:
    from validator.rulebook.shelf import book_folder

    return tuple(str(book_folder(each)) for each in books)


def _start(table: Path, mapping: Path, books: list[str]) -> None:
    from validator.cli.common import made_ready
    from validator.screening.starting import write_start

    if not table.is_file():
        stop(f"there is no file {table}. Accepted: a table in CSV, XLSX, Parquet or JSON Lines")
    placed = write_start(table, mapping, made_ready(books).vocabulary)
    typer.echo(f"{mapping}: {placed} columns placed. Read every line and correct it, then give it as --mapping")


def _letters_wanted(lane: str, programme: str, form: str, together: bool) -> "Wanted | None":
    from validator.screening.judging import LANES
    from validator.screening.letters import FORMS, Wanted

    if not lane:
        return None
    if lane not in LANES:
        stop(f"there is no lane `{lane}`. Accepted: {', '.join(LANES)}")
    if not programme:
        stop("--letters asks for what a document wants. Accepted: --programme and a name of the shelf, or a file of one")
    if form not in FORMS:
        stop(f"there is no form `{form}`. Accepted: {', '.join(FORMS)}")
    return Wanted(lane, programme, form, together)


def _screened(run: "Run", again: bool, spread: str, wanted: "Wanted | None", back: "ReadBack") -> None:
    from validator.screening.desk_workbook import NAME, TIDY
    from validator.screening.joining import join
    from validator.screening.letters import MANIFEST, Letters
    from validator.screening.running import begun, judge_here, screener_of
    from validator.screening.spreading import judge_spread
    from validator.screening.summary import write_summary
    from validator.screening.tables import count_of
    from validator.screening.tidying import SHEET

    with begun(run, again) as work:
        own = screener_of(run, work.known)
        gc.freeze()  # the book stays as long as the run, and a search for garbage need not go through it piece after piece
        try:
            with _Progress(count_of(run.table)) as tell:
                count = judge_spread(work, tell, spread) if spread else judge_here(work, tell)
        except KeyboardInterrupt:
            typer.echo(f"Stopped. The same command goes on from here; what is done stands in {run.folder}.", err=True)
            sys.stderr.flush()
            os._exit(STOPPED)  # what is half done is not waited for, and was never written
        joined = join(work, count, own, back)
        named = f"{own.loaded.book.name} ({', '.join(layer.edition for layer in own.loaded.book.layers)})"
        titles = {rule.name: rule.title for rule in own.loaded.book.rules.values()}
        written = None
        if wanted is not None:
            with _Progress(joined.tally.lanes[wanted.lane]) as tell:
                written = Letters(run, work.known, own, wanted).write(joined.results, tell)
        write_summary(run.out / "summary.html", run.table.name, joined.tally, named, titles, joined.blank)
    tally = joined.tally
    for lane, number in tally.lanes.most_common():
        typer.echo(f"{number:>10,}  {lane}")
    if joined.blank:
        typer.echo(f"{joined.blank:>10,}  blank {'row' if joined.blank == 1 else 'rows'} skipped")
    typer.echo(f"{tally.rows + joined.blank:>10,}  in all: every row of {run.table.name}")
    if tally.unreadable:
        typer.echo(f"{tally.unreadable:>10,}  could not be read, and {'goes' if tally.unreadable == 1 else 'go'} to a person; the results say why")
    if joined.untidy:
        many = "1 different cell" if joined.untidy == 1 else f"{joined.untidy:,} different cells"
        sheet = f"`{TIDY}` in {NAME}" if run.form == "xlsx" else SHEET
        typer.echo(f"{many} could not be read. Say in the last column of {sheet} what each means, and give the same command again")
    for said in joined.dates:
        typer.echo(said)
    if written is not None:
        typer.echo(f"{written.made:,} letters written and {written.kept:,} left as they stood, in {written.folder}; {MANIFEST} lists them")
    terms = (joined.results.with_name(f"terms{joined.results.suffix}"),) if run.programme else ()
    for path in (joined.results, joined.findings, *terms, run.out / (NAME if run.form == "xlsx" else SHEET), run.out / "summary.html"):
        typer.echo(path)


class _Progress:
    """A bar with the rate and the time left, for a person at a terminal; elsewhere a line a minute, as a log holds it."""

    def __init__(self, rows: int | None) -> None:
        self.rows = rows
        self.bar = None

    def __enter__(self):
        if not sys.stderr.isatty():
            return _a_line_a_minute(self.rows)
        from rich.console import Console
        from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn, TimeRemainingColumn

        self.bar = Progress(
            BarColumn(), MofNCompleteColumn(), TextColumn("{task.fields[rate]}"), TimeElapsedColumn(), TimeRemainingColumn(),
            console=Console(file=styled(sys.stderr)),
        )  # fmt: skip
        self.bar.start()
        task = self.bar.add_task("", total=self.rows, rate="")

        def tell(rows: int) -> None:
            self.bar.update(task, advance=rows)
            speed = self.bar.tasks[0].speed
            self.bar.update(task, rate=f"{speed:,.0f} rows a second" if speed else "")

        return tell

    def __exit__(self, *_: object) -> None:
        if self.bar is not None:
            self.bar.stop()


def _a_line_a_minute(rows: int | None) -> Callable[[int], None]:
    """Tells standard error once a minute how far the run is, how fast it goes, and how long it will take."""
    begun = told = time.monotonic()
    done = 0

    def tell(more: int) -> None:
        nonlocal told, done
        done += more
        now = time.monotonic()
        if now - told < A_MINUTE:
            return
        told, speed = now, done / (now - begun)
        left = f" of {rows:,}, about {max(1, round((rows - done) / speed / 60))} min left" if rows and speed else ""
        typer.echo(f"{done:,} rows{left}; {speed:,.0f} rows a second", err=True)

    return tell


@rulebook.command(cls=QuickCommand)
def compare(
    after: Annotated[list[str], typer.Option("--after", help="A book compared; several are laid upon each other, as for --book.")],
    table: Annotated[Path | None, typer.Argument(metavar="[TABLE]", help="Past registrations, as for `screen`.")] = None,
    mapping: Annotated[Path | None, typer.Option("--mapping", help="Which of your headings holds which fact.")] = None,
    before: Annotated[list[str], typer.Option("--before", help="What it is compared with, likewise; us if nothing is named.")] = SHELF_BOOK,
) -> None:
    """Say in English what a book changes, with the smallest assembly that shows it; of a table, which registrations change.

    `--before us --after us --after my-office` compares the shelf's book with an office's own laid on it. Nothing is changed.
    """
    if table is None:
        _write_editions(before, after)
        return
    if mapping is None:
        stop("a table is read by its mapping. Accepted: --mapping FILE, as for `screen`; without a table, the books alone are compared")
    try:
        from validator.screening.comparing import changes
        from validator.screening.judging import screener
        from validator.screening.known import PIECE
        from validator.screening.rows import BadTable
        from validator.screening.tables import pieces
    except ImportError:
        stop(MISSING)
    try:
        old, new = (screener(_folders(each), table, mapping, date.today()) for each in (before, after))
        number = 0
        for change in changes(old, new, pieces(table, old.mapping, PIECE)):
            number += 1
            typer.echo(f"{change.registration or f'row {change.row}'}: {change.before} -> {change.after}")
            for rule in change.rules:
                typer.echo(f"  {rule}")
    except (BadText, BadTable) as bad:
        stop(str(bad))
    many = "1 registration comes" if number == 1 else f"{number} registrations come"
    typer.echo(f"{many} to something else. Nothing that was decided is changed by this list.")


def _write_editions(before: list[str], after: list[str]) -> None:
    from validator.cli.common import made_ready
    from validator.papers.editions import edition_lines
    from validator.proving import compare_editions

    old, new = made_ready(before), made_ready(after)
    for line in edition_lines(compare_editions(old, new), old.book, new.book):
        typer.echo(line)
