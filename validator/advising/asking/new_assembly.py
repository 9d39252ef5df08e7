"""Takes a few words, returns a new assembly to be filled in: the places it has, what is asked first, and what is usual.

What is usual is shown with its question and never taken without an answer. The templates stand in `beginnings.yaml` beside
the vocabulary.
"""

from collections.abc import Iterable
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from validator.advising.asking.listening import Heard, heard, of_the_room, served_as
from validator.assembly import Assembly
from validator.assembly.draft import Draft
from validator.assembly.name_reading import singular
from validator.assembly.statement_reading import StatementReader
from validator.facts.own_words import stands_in
from validator.facts import possible
from validator.facts.possible import NotPossible
from validator.facts.subjects import Subject
from validator.facts.vocabulary import Fact, Vocabulary
from validator.judging.loading import LoadedBook
from validator.language import editing
from validator.language.forms import complain, fields, pairs_of, text_of, texts_of
from validator.language.source import BadAssembly, BadBook, Complaint, Entries, Items, read_file

SMALL_WORDS = frozenset((
    "a", "an", "and", "at", "by", "for", "from", "in", "into", "is", "my", "new", "of", "old", "on", "one", "or", "our", "over",
    "the", "to", "two", "under", "up", "with", "are", "walls", "tiling",
))  # fmt: skip


class FirstQuestion(NamedTuple):
    """One question of a template: a fact, the place it is of or the job, and what is usual.

    Where `says` is given nothing is asked: whoever said one of its words has said so.
    """

    fact: Fact
    at: str
    usual: str
    when_said: tuple[str, ...] = ()
    says: str = ""


class JobTemplate(NamedTuple):
    """A kind of job: the words that name it, its places, and what is asked first."""

    name: str
    said: tuple[str, ...]
    places: Entries
    questions: tuple[FirstQuestion, ...]


def read_templates(file: Path, vocabulary: Vocabulary) -> tuple[JobTemplate, ...]:
    """The templates of a file. Raises BadBook with every complaint at once."""
    complaints: list[Complaint] = []
    found = []
    for key, node in pairs_of(read_file(file, complaints), "beginnings", complaints):
        lines = fields(node, f"the beginning `{key.text}`", ("said", "places", "ask"), ("said", "places", "ask"), complaints)
        asked = lines.get("ask")
        items = asked.items if isinstance(asked, Items) else ()
        questions = [each for each in (_question(item, vocabulary, complaints) for item in items) if each is not None]
        places = lines.get("places")
        if isinstance(places, Entries):
            found.append(JobTemplate(key.text, texts_of(lines.get("said"), "said", complaints), places, tuple(questions)))
    if complaints:
        raise BadBook(complaints)
    return tuple(found)


def _question(node, vocabulary: Vocabulary, complaints: list[Complaint]) -> FirstQuestion | None:
    lines = fields(node, "a first question", ("fact", "at", "usual", "says", "when said"), ("fact",), complaints)
    name, usual, says = (text_of(lines.get(key), key, complaints) for key in ("fact", "usual", "says"))
    fact = vocabulary.facts.get(name)
    if fact is None:
        complain(complaints, node, f"`{name}` is no fact of the vocabulary", vocabulary.nearest_fact(name))
        return None
    if (usual or says) and fact.kind != "presence":
        try:
            possible.read(fact, usual or says)
        except NotPossible as problem:
            complain(complaints, node, problem.what, problem.accepted)
    at = text_of(lines.get("at"), "at", complaints)
    return FirstQuestion(fact, at, usual, texts_of(lines.get("when said"), "when said", complaints), says)


def template_for(words: str, templates: tuple[JobTemplate, ...]) -> JobTemplate | None:
    """The template that some words name, the first word that names one counting; None where none does."""
    low = _plain(words)
    named = sorted(
        (low.find(f" {said} "), turn, said, each)
        for turn, each in enumerate(templates) for said in each.said if f" {said} " in low
    )  # fmt: skip
    found, ends = None, -1
    for start, _, said, each in named:
        if found is None or start == ends:  # `kitchen backsplash` is a backsplash
            found, ends = each, start + len(said) + 1
    return found


def already_said(words: str, template: JobTemplate, draft: Draft) -> tuple[Heard, ...]:
    """What the words say themselves, so that it is written and not asked: by the template's own lines, or by the vocabulary."""
    own = [
        Heard(question.at, question.fact.name, question.says, next((word for word in question.when_said if f" {word} " in _plain(words)), ""))
        for question in template.questions if question.says and _is_said(question, words)
    ]  # fmt: skip
    asked_at: dict[str, str] = {}
    for question in template.questions:
        if question.at:
            asked_at.setdefault(question.fact.thing, question.at)
    reader = StatementReader(draft.vocabulary, draft.catalogue, [])
    gone = {(each.at, each.fact.partition(".")[0]) for each in own if each.says == "none"}
    known = {(each.at, each.fact) for each in own}
    of_rooms, left = of_the_room(words.casefold(), draft.assembly().subjects)
    is_said = any(draft.vocabulary.things[each.fact.partition(".")[0]].there_when for each in own)  # steam, which is there where a steam room is
    serves = [] if is_said else served_as(left, draft.assembly().subjects, reader)
    more = of_rooms + serves + heard(_without(left, template), draft.assembly().subjects, asked_at, reader)
    kept: list[Heard] = []
    for each in more:
        if (each.at, each.fact) not in known and (each.at, each.fact.partition(".")[0]) not in gone:
            with suppress(BadAssembly):  # what speaks against what was said before is told as not read
                after = draft.said(place_of(draft, each.fact, each.at), each.fact, each.says)
                after.assembly()
                kept.append(each)
                known.add((each.at, each.fact))
                draft = after
    return (*own, *kept)


def _without(words: str, template: JobTemplate) -> str:
    """The words without those that only name the job, commas kept: `shower with mud bed` speaks of the bed."""
    low = words.casefold()
    for said in template.said:
        low = low.replace(said, " , ", 1)
    return low


def first_questions(words: str, template: JobTemplate, said: Iterable[Heard] = ()) -> tuple[FirstQuestion, ...]:
    """What is asked first, given what was said: nothing again, and nothing of what is said not to be there."""
    facts = {(each.at, each.fact) for each in said} | {(each.at, each.fact.partition(".")[0]) for each in said}
    gone = {(each.at, each.fact) for each in said if each.says == "none"}
    return tuple(
        question for question in template.questions
        if not question.says and _is_said(question, words)
        and (question.at, question.fact.name) not in facts and (question.at, question.fact.thing) not in gone
    )  # fmt: skip


def not_read(words: str, template: JobTemplate, said: Iterable[Heard] = ()) -> tuple[str, ...]:
    """The words from which nothing was taken."""
    low = _plain(words)
    places = [word for name, _ in template.places.pairs for word in (name.text, *singular(name.text.split()[-1]))]
    taken = [*template.said, *places, *(word for question in template.questions for word in question.when_said), *(each.words for each in said)]
    for phrase in sorted((_plain(each).strip() for each in taken), key=len, reverse=True):
        low = low.replace(f" {phrase} ", "  ")
    return tuple(word for word in low.split() if word not in SMALL_WORDS)


def _is_said(question: FirstQuestion, words: str) -> bool:
    low = _plain(words)
    return not question.when_said or any(stands_in(said, low) for said in question.when_said)


def _plain(words: str) -> str:
    return f" {' '.join(words.casefold().replace(',', ' ').split())} "


def first_page(words: str, template: JobTemplate, loaded: LoadedBook) -> Draft:
    """The page before anything is answered: its name and its places."""
    name = words.strip()[:1].upper() + words.strip()[1:]
    sorts = {loaded.vocabulary.things[question.fact.thing].sort for question in first_questions(words, template)}
    heads = [(head, editing.entries()) for head, sort in (("use", "job"), ("framing", "framing")) if sort in sorts]
    node = editing.entries(("assembly", editing.text(name)), *heads, ("places", _fresh(template.places)))
    return Draft(node, "a new assembly", loaded.vocabulary, loaded.catalogue, f"Begun from the words: {words.strip()}.")


def _fresh(places: Entries) -> Entries:
    """The places with lines of their own, so that each is found again."""
    pairs = []
    for name, under in places.pairs:
        lines = [(key.text, editing.text(value.text)) for key, value in under.pairs] if isinstance(under, Entries) else []
        pairs.append((name.text, editing.entries(*lines)))
    return editing.entries(*pairs)


def place_of(draft: Draft, fact: str, at: str) -> Subject:
    """Where a first answer is written: its place, or for the job and its framing the first."""
    return place_in(draft.assembly(), draft.vocabulary, fact, at)


def place_in(assembly: Assembly, vocabulary: Vocabulary, fact: str, at: str) -> Subject:
    """The same in an assembly that was read already."""
    if not at:
        sort = vocabulary.things[fact.partition(".")[0]].sort
        return next(s for s in assembly.subjects if s.sort == ("job" if sort in ("job", "record") else "place"))
    return next(s for s in assembly.subjects if s.name == at)
