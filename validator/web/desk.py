"""What every page of a case begins with: the case, its verdict in a line, what the last deed changed, and what can be undone."""

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from fastapi import Request

from validator.assembly import Assembly
from validator.facts.possible import STATED
from validator.judging.report import AsTold, Finding, Report
from validator.web.bench import Bench, Judged
from validator.web.chain import Event, before_it
from validator.web.deeds import undoable
from validator.web.doors import Visitor
from validator.web.questions import COUNTED, of_key
from validator.web.store import State, Store

STAGE = "job.stage"
MOST_NAMED = 3  # of what was done at once


class Head(NamedTuple):
    """The head of a case's page."""

    state: State
    judged: Judged
    told: AsTold
    asks: int
    changed: tuple[str, ...]
    undo: str
    books: str
    older: str  # the book an older verdict was made by, where it is another

    @property
    def stage(self) -> str:
        """The last step done, where it is stated."""
        return stage_of(self.judged.assembly)

    @property
    def is_troubled(self) -> bool:
        """Whether something is seen to be wrong."""
        return any(each.observed for each in self.judged.assembly.subjects)


def store_of(request: Request) -> Store:
    return request.app.state.store


def bench_of(request: Request) -> Bench:
    return request.app.state.bench


def visitor_of(request: Request) -> Visitor:
    return request.state.visitor


def head_of(request: Request, public: str) -> Head:
    """A case with its verdict. Raises NoCase."""
    store, bench = store_of(request), bench_of(request)
    state = store.state(public)
    events = store.events(public)
    judged = bench.judged(state.text, _before(events[-1], state))
    told = judged.report.as_told
    asks = keep_verdict(store, bench, state, judged)
    event = undoable(events)
    return Head(
        state, judged, told, asks, changes(bench, state, events[-1]), words_of_event(event) if event is not None else "",
        bench.edition, _older(events, bench),
    )  # fmt: skip


def _before(event: Event, state: State) -> str:
    """The description before the newest event; nothing where that changed none, or there is another by now."""
    return before_it(event.says["change"], state.text) if event.seq > 1 and event.seq == state.seq and "change" in event.says else ""


def stage_of(assembly: Assembly) -> str:
    """The last step done of the whole job, where it is stated."""
    job = next(each for each in assembly.subjects if each.sort == "job")
    known = job.known.get(STAGE)
    return known.text if known is not None and known.origin == STATED else ""


def keep_verdict(store: Store, bench: Bench, state: State, judged: Judged) -> int:
    """The verdict beside the case, for the list, where it is not the newest yet; returns how many answers could change it."""
    told = judged.report.as_told
    asks = sum(1 for each in told.questions if each.would_be in COUNTED)
    if state.told.get("hash") != state.hash or state.told.get("book") != bench.fingerprint:
        store.judged(state.public, state.hash, {
            "hash": state.hash, "book": bench.fingerprint, "word": told.outcome, "could": told.could_become, "failed": told.failed,
            "warned": told.warned, "asks": asks,
        }, stage_of(judged.assembly))  # fmt: skip
    return asks


def _older(events: list[Event], bench: Bench) -> str:
    """The book of the newest event, where that is another than the one that judges now."""
    book = str(events[-1].says["book"])
    return "" if book == bench.fingerprint else book


def changes(bench: Bench, state: State, event: Event) -> tuple[str, ...]:
    """What the newest event changed of the verdict; nothing for the event that opened the case."""
    text = _before(event, state)
    if not text:
        return ()

    def told() -> tuple[str, ...]:
        said = differences(bench.judged(text).report, bench.judged(state.text, text).report)
        bench.let_go(text)  # whoever answers next begins from what stands now
        return said

    found = bench.once(f"changed since {event.hash}", state.text, told)
    return (f"{words_of_event(event)}.", *(found or ("Nothing that was found changed.",)))


def differences(before: Report, after: Report) -> tuple[str, ...]:
    """What one report says otherwise than another: what fails or warns now, what no longer does, how many questions."""
    was, now = _found(before.as_told), _found(after.as_told)
    said = [f"Now {'fails' if each.outcome == 'fail' else 'to look at again'}: {each.title} ({each.place})." for key, each in now.items() if key not in was]
    said += [f"No longer {'fails' if each.outcome == 'fail' else 'to look at again'}: {each.title}." for key, each in was.items() if key not in now]
    asked = len(after.as_told.questions) - len(before.as_told.questions)
    if asked:
        said.append(f"{abs(asked)} {'question' if abs(asked) == 1 else 'questions'} {'more' if asked > 0 else 'fewer'}.")
    sound = len(after.as_told.sound) - len(before.as_told.sound)
    if sound > 0:
        said.append(f"{sound} more {'requirement is' if sound == 1 else 'requirements are'} surely met.")
    return tuple(said)


def _found(told: AsTold) -> dict[tuple[str, str], Finding]:
    return {(each.rule, each.outcome): each for each in told.findings}


def words_of_event(event: Event) -> str:
    """One event in a few words."""
    says = event.says
    deed, of = says["deed"], says["of"]
    match deed:
        case "said":
            return _answer_in_words(of)
        case "said together":
            return _answers_in_words(of["answers"])
        case "left open":
            return f"{of['why']}: {_listed([of_key(key) for key in of['questions']])}"
        case "undone":
            return f"undone: {of['deed']}, event {of['seq']}"
        case "opened":
            return f"begun from {'a file' if of['kind'] == 'file' else of['words'] or of['kind']}"
        case "noted":
            return f"noted: {of['note']}"
        case "forgotten":
            return f"taken away for good, on request: {of['what']}"
        case "seen" | "no longer seen":
            return f"{of['place']}, {deed}: {of['is']}"
        case "named":
            return f"named {of['is']}"
        case "submittal":
            return f"submittal {of['number'] or 'without a number'}, section {of['section']}{', with its paragraphs' if of['spec map'] else ''}"
        case "put in":
            return f"put in as revision {of['revision']}"
    return f"{deed}: " + ", ".join(str(of[each]) for each in ("place", "layer", "to", "fact", "file", "name") if of.get(each) not in (None, "", -1))


def _answer_in_words(of: Mapping[str, object]) -> str:
    return f"{of['place']}, {_in_words(str(of['fact']))}: {of['is']}"


def _in_words(fact: str) -> str:
    """A fact beside the name of its place: `size` of a place, `tile size` of what is there."""
    thing, _, attribute = fact.partition(".")
    return attribute if attribute and thing in ("job", "place") else fact.replace(".", " ")


def _answers_in_words(answers: Sequence[Mapping[str, str]]) -> str:
    """Several answers in a line, each place once, the first of them by name."""
    by_place: dict[str, list[str]] = {}
    for each in answers[:MOST_NAMED]:
        by_place.setdefault(each["place"], []).append(f"{_in_words(each['fact'])} {each['is']}")
    more = len(answers) - MOST_NAMED
    return "; ".join(f"{place}: {', '.join(said)}" for place, said in by_place.items()) + (f"; and {more} more" if more > 0 else "")


def _listed(said: Sequence[str]) -> str:
    """Several in a line, the first of them by name."""
    more = len(said) - MOST_NAMED
    return "; ".join(said[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
