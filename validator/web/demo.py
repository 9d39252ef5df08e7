"""An invented firm's dozen jobs, for whoever wants to look before entering one of their own."""

from pathlib import Path
from typing import NamedTuple

from validator.advising.asking.new_assembly import already_said, first_questions, place_of, template_for
from validator.language.forms import fields, text_of, texts_of
from validator.language.source import BadBook, Complaint, Items, read_file
from validator.web.answering import Answer, Answering
from validator.web.bench import Bench
from validator.web.deeds import Refused, Site, begun
from validator.web.desk import keep_verdict
from validator.web.store import Store

FILE = Path(__file__).parent / "demo.yaml"


class DemoJob(NamedTuple):
    """One job: its title, the words it is begun from, and what is said otherwise than usual: fact, place, answer."""

    title: str
    words: str
    say: tuple[tuple[str, ...], ...]


def demo_jobs() -> list[DemoJob]:
    """The jobs of the file. Raises BadBook."""
    complaints: list[Complaint] = []
    whole = read_file(FILE, complaints)
    jobs = []
    for item in whole.items if isinstance(whole, Items) else ():
        lines = fields(item, "a job", ("title", "words", "say"), ("title", "words", "say"), complaints)
        said = lines.get("say")
        say = tuple(texts_of(each, "an answer", complaints) for each in said.items) if isinstance(said, Items) else ()
        jobs.append(DemoJob(text_of(lines.get("title"), "title", complaints), text_of(lines.get("words"), "words", complaints), say))
    if complaints:
        raise BadBook(complaints)
    return jobs


def fill(store: Store, bench: Bench, who: str = "demonstration") -> int:
    """Makes the jobs in a database; returns how many."""
    jobs = demo_jobs()
    for job in reversed(jobs):
        template = template_for(job.words, bench.templates)
        case = begun(bench, template, job.words, job.title).deed
        draft = bench.draft(case.text)
        for question in first_questions(job.words, template, already_said(job.words, template, draft)):
            if question.usual:
                draft = draft.said(place_of(draft, question.fact.name, question.at), question.fact.name, question.usual)
        state = store.begin(case._replace(text=draft.text()), who=who, book=bench.fingerprint)
        for fact, at, words in job.say:
            place = place_of(bench.draft(state.text), fact, at).name
            answering = Answering(bench, [Answer(Site(place, fact), words, settled=True)])
            state = store.done(state.public, "", answering, who=who, book=bench.fingerprint)
            for _, why in answering.refused:
                raise Refused(f"{job.title}, {fact}: {why}")
        keep_verdict(store, bench, state, bench.judged(state.text))
    return len(jobs)


