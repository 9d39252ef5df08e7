"""Questions asked one by one in the terminal. An answer that means nothing is explained and asked again.

Enter leaves a question open, as does `not built yet`; `?` explains and asks again; `back` goes back to the question before;
`stop` or Ctrl-C ends and keeps what was answered.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import typer

from validator.cli.common import columns, print_lines
from validator.facts.possible import NOT_SAID
from validator.facts.vocabulary import NOT_YET
from validator.language.forms import normalized
from validator.language.source import BadAssembly
from validator.papers.wrapping import wrapped

if TYPE_CHECKING:
    from validator.advising.asking import Question
    from validator.advising.asking.new_assembly import FirstQuestion, JobTemplate
    from validator.assembly.draft import Draft
    from validator.facts.vocabulary import Fact
    from validator.judging.loading import LoadedBook

HOW = (
    "Enter leaves a question open, and so does `not built yet`; ? explains, and says what each answer would do; back goes to "
    "the question before; stop or Ctrl-C ends and keeps what was answered."
)
FIRST_HOW = (
    "What is usual is shown, and taken only where you answer `=`. Enter leaves a question open, and so does `not built yet`; "
    "? explains; back goes to the question before; stop or Ctrl-C ends and keeps what was answered."
)
BACK = ("back", "b")
ENDS = ("stop", "quit", "exit", "q")


class Stopped(Exception):
    """Whoever answers has had enough."""


class WentBack(Exception):
    """Whoever answers wants the question before once more."""


def answer_all(draft: "Draft", loaded: "LoadedBook", width: int | None) -> "Draft":
    """The draft with everything answered, one look after another, until nothing is open or whoever answers stops."""
    from validator.advising.asking import groups_of, questions_of
    from validator.papers.asking import title_of

    print_lines(wrapped(HOW, columns(width)))
    asked: list[object] = []
    before: list[Draft] = []  # for each question asked, the draft as it was
    answered, at = 0, ""
    try:
        while True:
            questions = [q for q in questions_of(draft.assembly(), loaded) if q.once not in asked]
            groups = groups_of(questions, loaded.vocabulary)
            if not groups:
                typer.echo("Nothing more to ask.")
                return draft
            group = next((group for group in groups if group.name == at), groups[0])
            question = group.questions[0]
            typer.echo("")
            if group.name != at:
                print_lines(wrapped(title_of(group), columns(width), bold=True))
                at = group.name
            typer.echo(f"{len(questions)} open; {answered} answered.")
            try:
                after = _answered(draft, question, loaded, width)
            except WentBack:
                if not before:
                    typer.echo("   This is the first question.")
                    continue
                asked.pop()
                answered, draft = answered - (before[-1] is not draft), before.pop()
                continue
            asked.append(question.once)
            before.append(draft)
            if after is not None:
                draft, answered = after, answered + 1
    except Stopped:
        typer.echo("")
        typer.echo(f"Stopped; {answered} {'answer is' if answered == 1 else 'answers are'} kept.")
    return draft


def begin(draft: "Draft", words: str, template: "JobTemplate", width: int | None) -> "tuple[Draft, bool]":
    """The page with its first questions answered; and whether to go on with what is still open."""
    from validator.advising.asking.new_assembly import already_said, first_questions, not_read, place_of

    print_lines(wrapped(FIRST_HOW, columns(width)))
    said_already = already_said(words, template, draft)
    for each in said_already:
        draft = draft.said(place_of(draft, each.fact, each.at), each.fact, each.says)
        print_lines(wrapped(f"Written, as you said it: {f'{each.at}, ' if each.at else ''}{each.fact.replace('.', ' ')}: {each.says}.", columns(width)))
    ignored = not_read(words, template, said_already)
    if ignored:
        said = f"Nothing was taken from: {', '.join(ignored)}. Say it where it is asked, or write it in the file."
        print_lines(wrapped(said, columns(width)))
    try:
        questions, before, turn = first_questions(words, template, said_already), [], 0
        while turn < len(questions):
            try:
                before[turn:] = [draft]
                draft, turn = _first_answered(draft, questions[turn], width), turn + 1
            except WentBack:
                turn = max(turn - 1, 0)
                draft = before[turn]
        typer.echo("")
        typer.echo("Go on with what could still change an outcome? yes or no")
        for said in answers():
            if normalized(said) in ("yes", "y", "no", "n", ""):
                return draft, normalized(said) in ("yes", "y")
            typer.echo(f"   `{said}` is neither. Accepted: yes, no")
    except Stopped:
        typer.echo("")
        typer.echo("Stopped; what was answered is kept.")
    return draft, False


def _first_answered(draft: "Draft", question: "FirstQuestion", width: int | None) -> "Draft":
    """The draft with one of the first questions answered, or left open. Raises Stopped and WentBack."""
    from validator.advising.asking.answers import slip
    from validator.advising.asking.new_assembly import place_of

    fact = question.fact
    where = f"{question.at}, " if question.at else ""
    accepted = ", ".join(fact.words) or "an amount with its unit"
    typer.echo("")
    print_lines(wrapped(f"{where}{fact.what}. {fact.ask or ''}".strip(), columns(width), bold=True))
    if fact.words and fact.kind != "presence":
        print_lines(wrapped(f"One of: {', '.join(fact.words)}.", columns(width), "   "))
    if question.usual:
        print_lines(wrapped(f"Usual: {question.usual}. `=` takes it.", columns(width), "   "))
    for said in answers():
        if said == "?":
            print_lines(wrapped(f"Look: {fact.look} Accepted: {accepted}.", columns(width), "   "))
            continue
        if said == "=" and not question.usual:
            typer.echo("   Nothing is usual here: write it, or leave it open with Enter.")
            continue
        said = question.usual if said == "=" else said
        if normalized(said) in NOT_SAID:
            break
        problem = slip(fact, said, accepted)
        if problem:
            typer.echo(f"   {problem}")
            continue
        return draft.said(place_of(draft, fact.name, question.at), fact.name, said)
    return draft


def _answered(draft: "Draft", question: "Question", loaded: "LoadedBook", width: int | None) -> "Draft | None":
    """The draft with one question answered; None where it is left open."""
    from validator.advising.asking.answers import what_is_wrong
    from validator.papers.asking import one_question

    lines = list(one_question((question._replace(choices=()),), loaded.book.rules, columns(width)))
    print_lines(lines)
    for said in answers():
        if said == "?":
            print_lines(list(one_question((question,), loaded.book.rules, columns(width)))[len(lines) :])
            typer.echo(f"   Accepted: {question.accepted}.")
            continue
        if normalized(said) in NOT_SAID:
            return None
        problem = what_is_wrong(question, said)
        if problem:
            typer.echo(f"   {problem}")
            continue
        try:
            after = draft.said(question.subjects[0], question.fact.name, said)
            after.assembly()
        except BadAssembly as bad:
            typer.echo(f"   {bad.complaints[0].what}. Accepted: {bad.complaints[0].accepted or question.accepted}")
            continue
        return after
    return None


def answers(prompt: str = "> ") -> Iterator[str]:
    """What is typed, line by line. Raises Stopped."""
    while True:
        try:
            said = input(prompt).strip()
        except (KeyboardInterrupt, EOFError):
            raise Stopped from None
        if said.casefold() in ENDS:
            raise Stopped
        if said.casefold() in BACK:
            raise WentBack
        yield "" if said.casefold() in (*NOT_YET, "later") else said
