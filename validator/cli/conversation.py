"""Questions asked one by one in the terminal. An answer that means nothing is explained and asked again.

Enter leaves a question open, `?` says what each answer would do, `stop` or Ctrl-C ends and keeps what was answered.
"""

from collections.abc import Iterator
from typing import TYPE_CHECKING

import typer

from validator.assembly.statement_reading import NONE_WORDS, THERE_WORDS, plainly
from validator.cli.common import columns, print_lines
from validator.facts.possible import NOT_SAID, NotPossible, edges, read
from validator.language.source import BadAssembly
from validator.papers.wrapping import wrapped

if TYPE_CHECKING:
    from validator.advising.asking import Question
    from validator.advising.asking.new_assembly import JobTemplate
    from validator.assembly.draft import Draft
    from validator.facts.vocabulary import Fact
    from validator.judging.loading import LoadedBook

HOW = "Enter leaves a question open; ? says what each answer would do; stop or Ctrl-C ends and keeps what was answered."
FIRST_HOW = (
    "What is usual is shown, and taken only where you answer `=`. Enter leaves a question open; stop or Ctrl-C ends and "
    "keeps what was answered."
)
ENDS = ("stop", "quit", "exit", "q")


class Stopped(Exception):
    """Whoever answers has had enough."""


def answer_all(draft: "Draft", loaded: "LoadedBook", width: int | None) -> "Draft":
    """The draft with everything answered, one look after another, until nothing is open or whoever answers stops."""
    from validator.advising.asking import groups_of, questions_of
    from validator.papers.asking import title_of

    print_lines(wrapped(HOW, columns(width)))
    asked: set[object] = set()
    answered, at = 0, ""
    try:
        while True:
            questions = [q for q in questions_of(draft.assembly(), loaded) if q.once not in asked]
            looks = groups_of(questions, loaded.vocabulary)
            if not looks:
                typer.echo("Nothing more to ask.")
                return draft
            look = next((look for look in looks if look.name == at), looks[0])
            question = look.questions[0]
            typer.echo("")
            if look.name != at:
                print_lines(wrapped(title_of(look), columns(width), bold=True))
                at = look.name
            typer.echo(f"{len(questions)} open; {answered} answered.")
            after = _answered(draft, question, loaded, width)
            asked.add(question.once)
            if after is not None:
                draft, answered = after, answered + 1
    except Stopped:
        typer.echo("")
        typer.echo(f"Stopped; {answered} {'answer is' if answered == 1 else 'answers are'} kept.")
    return draft


def begin(draft: "Draft", words: str, beginning: "Beginning", width: int | None) -> "tuple[Draft, bool]":
    """The page with its first questions answered; and whether to go on with what is still open."""
    from validator.advising.asking.new_assembly import already_said, first_questions, not_read, place_of

    print_lines(wrapped(FIRST_HOW, columns(width)))
    for question in already_said(words, beginning):
        draft = draft.said(place_of(draft, question), question.fact.name, question.says)
        what = f"{question.fact.what[:1].lower()}{question.fact.what[1:]}"
        print_lines(wrapped(f"Written, as you said it: {question.at}, {what}: {question.says}.", columns(width)))
    ignored = not_read(words, beginning)
    if ignored:
        said = f"Nothing was taken from: {', '.join(ignored)}. Say it where it is asked, or write it in the file."
        print_lines(wrapped(said, columns(width)))
    try:
        for question in first_questions(words, beginning):
            fact = question.fact
            place = place_of(draft, question)
            where = f"{question.at}, " if question.at else ""
            typer.echo("")
            print_lines(wrapped(f"{where}{fact.what}. {fact.ask or ''}".strip(), columns(width), bold=True))
            if fact.words and fact.kind != "presence":
                print_lines(wrapped(f"One of: {', '.join(fact.words)}.", columns(width), "   "))
            if question.usual:
                print_lines(wrapped(f"Usual: {question.usual}. `=` takes it.", columns(width), "   "))
            for said in answers():
                if said == "=" and not question.usual:
                    typer.echo("   Nothing is usual here: write it, or leave it open with Enter.")
                    continue
                said = question.usual if said == "=" else said
                if plainly(said) in NOT_SAID:
                    break
                problem = slip(fact, said, ", ".join(fact.words) or "an amount with its unit")
                if problem:
                    typer.echo(f"   {problem}")
                    continue
                draft = draft.said(place, fact.name, said)
                break
        typer.echo("")
        typer.echo("Go on with what could still change an outcome? yes or no")
        for said in answers():
            if plainly(said) in ("yes", "y", "no", "n", ""):
                return draft, plainly(said) in ("yes", "y")
            typer.echo(f"   `{said}` is neither. Accepted: yes, no")
    except Stopped:
        typer.echo("")
        typer.echo("Stopped; what was answered is kept.")
    return draft, False


def _answered(draft: "Draft", question: "Question", loaded: "LoadedBook", width: int | None) -> "Draft | None":
    """The draft with one question answered; None where it is left open."""
    from validator.papers.asking import one_question

    lines = list(one_question((question._replace(choices=()),), loaded.book.rules, columns(width)))
    print_lines(lines)
    for said in answers():
        if said == "?":
            print_lines(list(one_question((question,), loaded.book.rules, columns(width)))[len(lines) :])
            typer.echo(f"   Accepted: {question.accepted}.")
            continue
        if plainly(said) in NOT_SAID:
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
        yield said


def what_is_wrong(question: "Question", said: str) -> str:
    """Why an answer says nothing of the fact, with what would be accepted; nothing where it does."""
    fact = question.fact
    if fact.role and fact.concluded:
        words = [choice.says for choice in question.choices]
        known = plainly(said) in words or plainly(said) in NONE_WORDS
        return "" if known else f"`{said}` is none of them. Accepted: {', '.join(words)}"
    return slip(fact, said, question.accepted)


def slip(fact: "Fact", said: str, accepted: str) -> str:
    """What is wrong with the text of a fact, with what would be accepted; nothing where nothing is."""
    if fact.kind == "presence":
        known = plainly(said) in NONE_WORDS or plainly(said) in THERE_WORDS
        return "" if known else f"`{said}` does not say whether it is there. Accepted: there, none"
    try:
        read(fact, said)
        edges(fact, said)
    except NotPossible as problem:
        return f"{problem.what[:1].upper()}{problem.what[1:]}. Accepted: {problem.accepted or accepted}"
    return ""
