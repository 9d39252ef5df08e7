"""What is asked next of a case, by spots: first what is to be built, as `describe` begins; then what could still change the verdict.

A spot is what one person standing at one place sees with one look, or reads off one bag: a few short questions on one page.
"""

from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from validator.advising.asking import Question
from validator.advising.asking.new_assembly import FirstQuestion, JobTemplate, first_questions, place_in
from validator.advising.asking.questions import Pending, worst_of
from validator.assembly import Assembly
from validator.assembly.name_reading import NONE_WORDS
from validator.facts.possible import NOT_STATED, STATED
from validator.facts.subjects import Layer, Subject
from validator.facts.vocabulary import NONE, Fact
from validator.language.forms import normalized
from validator.papers.asking import NO_EFFECT, effect
from validator.papers.wrapping import headed
from validator.web.bench import Bench
from validator.web.store import State

COUNTED = ("fail", "warn")  # what an answer would have to come to, to change the verdict
SAME_EVERYWHERE = ("junction", "seal")  # one roll of tape goes into every seam: asked once of all of them
ANSWERED = "answered"  # a question that was answered is not put again, even where its answer leaves it open
LATER, APART = "later", "one by one"
MOST_REASONS = 2
MOST_ROWS, MOST_FOLDED = 5, 8  # of a page; folded where the usual answer stands beside each


class Row(NamedTuple):
    """One question as it is put: of what, where to look, who knows, what is usual, what it decides, what an answer would do."""

    keys: tuple[str, ...]  # what it is put aside by, at each place where its answer is written
    fact: Fact
    sites: tuple[str, ...]  # those places
    places: tuple[str, ...]  # all that it speaks of
    thing: str
    asks: str
    look: str
    who: tuple[str, ...]
    usual: str = ""
    decides: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()  # of a role: what may play it
    may_be_none: bool = False

    @property
    def key(self) -> str:
        return self.keys[0]

    @property
    def place(self) -> str:
        return self.sites[0]


class Weighed(NamedTuple):
    """What the answers to a question would do: those that fail or warn, and each in turn."""

    worst: str = ""
    effects: tuple[tuple[str, str], ...] = ()


class Spot(NamedTuple):
    """The questions that one look answers. `counts`: they begin the description, or an answer could change the verdict by itself."""

    heading: str
    places: tuple[str, ...]
    rows: tuple[Row, ...]
    counts: bool

    @property
    def thing(self) -> str:
        """The thing all of them are of, where that may be missing; nothing where there is none."""
        things = {row.thing if row.may_be_none else "" for row in self.rows}
        return things.pop() if len(things) == 1 else ""

    @property
    def has_usual(self) -> bool:
        return any(row.usual for row in self.rows)


def next_of(bench: Bench, state: State) -> Spot | None:
    """What is asked next of a case; None where nothing is left to ask. Raises BadAssembly."""
    return bench.once(f"next of {state.begun} but {state.left}", state.text, lambda: next(spots_of(bench, state), None))


def spots_of(bench: Bench, state: State) -> Iterator[Spot]:
    """Everything that is neither answered nor left open, in its turn, each spot worked out when it is reached."""
    yield from _first_spots(bench, state)
    turns: dict[tuple[bool, bool], list[Pending]] = {(late, later): [] for late in (False, True) for later in (False, True)}
    for each in bench.pending(state.text):
        why = state.left.get(key_of(each), "")
        if why in ("", LATER, APART) and not _was_answered_first(bench, state, each):
            turns[each.item.would_be not in COUNTED, why == LATER].append(each)
    for (late, _), waiting in turns.items():
        while waiting:
            rows = _rows_with(bench, waiting, state.left)
            taken = {id(each) for row in rows for each in row}
            waiting = [each for each in waiting if id(each) not in taken]
            yield _spot(bench, state, rows, counts=not late)
    yield from _closing(bench, state)


def _was_answered_first(bench: Bench, state: State, pending: Pending) -> bool:
    """Whether the beginning asked for it, of the job or the framing as a whole: a range that leaves a rule open was an answer all the same."""
    if bench.vocabulary.things[pending.fact.thing].sort not in ("job", "framing"):
        return False
    return state.left.get(_key(pending.fact.name, str(state.begun.get("kind", "")))) == ANSWERED


def open_keys(bench: Bench, state: State) -> tuple[str, ...]:
    """Everything that is still asked, as it is put aside."""
    firsts = (row.key for row in first_rows(bench, state))
    pending = (key_of(each) for each in bench.pending(state.text) if not _was_answered_first(bench, state, each))
    return tuple(key for key in dict.fromkeys([*firsts, *pending]) if state.left.get(key, LATER) in (LATER, APART))


def usual_rows(bench: Bench, state: State) -> list[Row]:
    """The first questions that are still open and have a usual answer."""
    return [row for row in first_rows(bench, state) if row.usual]


# -- what could still change the verdict ------------------------------------------------------------------------------------------


def key_of(pending: Pending) -> str:
    """What a question of the report is put aside by."""
    fact, places, layers = pending.once
    return _key(fact, "; ".join(places), layers)


def _rows_with(bench: Bench, waiting: Sequence[Pending], left: dict[str, str]) -> list[list[Pending]]:
    """The first of what waits, with what is seen at the same spot; a row each, of one place or of several that are alike."""
    spot = _spot_of(bench, waiting[0])
    rows: dict[object, list[Pending]] = {}
    for each in waiting:
        if _spot_of(bench, each) != spot:
            continue
        alike = bench.vocabulary.things[each.fact.thing].sort in SAME_EVERYWHERE and left.get(key_of(each)) != APART
        row = (each.fact.name, None if alike else each.places)
        if row in rows or len(rows) < MOST_ROWS:
            rows.setdefault(row, []).append(each)
    return list(rows.values())


def _spot_of(bench: Bench, pending: Pending) -> tuple[str, tuple[str, ...]]:
    """Where somebody stands who can answer: at which thing, of which places."""
    thing = bench.vocabulary.things[pending.fact.thing]
    if thing.sort in SAME_EVERYWHERE:
        return thing.name, ()
    return bench.vocabulary.asked_with(thing.name), pending.places


def _spot(bench: Bench, state: State, rows: Iterable[Sequence[Pending]], *, counts: bool) -> Spot:
    made = tuple(row_of(bench, [bench.wanted(state.text, each) for each in row], tuple(map(key_of, row))) for row in rows)
    places = tuple(dict.fromkeys(place for row in made for place in row.places))
    things = bench.vocabulary.head_first(row.fact.thing for row in made)
    return Spot(headed(places if things == ("place",) else things), places, made, counts)


def weighed(bench: Bench, state: State, spot: Spot) -> dict[str, Weighed]:
    """What the answers to each question of a spot would do, by its key: tried one by one, which takes longer than asking."""
    pending = {key_of(each): each for each in bench.pending(state.text)}
    return {
        row.key: bench.once(f"weighed {row.keys}", state.text, lambda row=row: _weighed(bench, state.text, [pending[key] for key in row.keys]))
        for row in spot.rows if pending.keys() >= set(row.keys)
    }  # fmt: skip


def can_be_weighed(bench: Bench, state: State, spot: Spot) -> bool:
    """Whether the questions of a spot are of the report, so that their answers can be tried."""
    return any(key_of(each) == spot.rows[0].key for each in bench.pending(state.text))


def _weighed(bench: Bench, text: str, alike: Sequence[Pending]) -> Weighed:
    questions = [bench.question(text, each) for each in alike]
    effects = tuple((choice.says, effect(choice, bench.loaded.book.rules)) for choice in questions[0].choices)
    return Weighed(_in_words(worst_of(questions)), effects if any(does != NO_EFFECT for _, does in effects) else ())


def row_of(bench: Bench, questions: Sequence[Question], keys: tuple[str, ...]) -> Row:
    """Questions of one fact as they are put: once, for all their places."""
    first, rules = questions[0], bench.loaded.book.rules
    fact, thing = first.fact, bench.vocabulary.things[first.fact.thing]
    is_role = bool(fact.role and fact.concluded)
    named = dict.fromkeys(rules[name].title for each in questions for name in each.rules if name in rules)
    return Row(
        keys=keys, fact=fact, sites=tuple(each.subjects[0].name for each in questions),
        places=tuple(dict.fromkeys(place for each in questions for place in each.places)), thing="" if thing.always else thing.name,
        asks=first.asks, look=first.look, who=first.answers, decides=tuple(named)[:MOST_REASONS],
        answers=tuple(choice.says for choice in first.choices) if is_role else (),
        may_be_none=not thing.always and fact.kind != "presence" and not is_role,
    )  # fmt: skip


def _in_words(worst: str) -> str:
    """Which answers would fail, as somebody would say it of a thing that is there or not."""
    for answer, said in (("none ", "Where there is none, that "), ("there ", "Where there is one, that ")):
        if worst.startswith(answer):
            return said + worst.removeprefix(answer)
    return worst


def _closing(bench: Bench, state: State) -> Iterator[Spot]:
    """Last of all, whether everything that is there is written."""
    for question in bench.closing(state.text):
        key = _key(question.fact.name, "; ".join(question.places))
        if state.left.get(key) is None:
            yield Spot(question.asks, question.places, (row_of(bench, [question], (key,)),), counts=False)


# -- how a description begins -----------------------------------------------------------------------------------------------------


def _first_spots(bench: Bench, state: State) -> Iterator[Spot]:
    """The first questions that are neither answered nor left open, those of one place together."""
    by_place: dict[str, list[Row]] = {}
    for row in first_rows(bench, state):
        if state.left.get(row.key) is None:
            sort = bench.vocabulary.things[row.fact.thing].sort
            by_place.setdefault(sort if sort in ("job", "framing") else row.place, []).append(row)
    for name, rows in by_place.items():
        for start in range(0, len(rows), MOST_FOLDED):
            part = tuple(rows[start : start + MOST_FOLDED])
            yield Spot("The job" if name == "job" else headed((name,)), (), part, counts=True)


def first_rows(bench: Bench, state: State) -> Sequence[Row]:
    """The first questions of what is to be built whose answers are not written yet."""
    return bench.once(f"first rows of {state.begun}", state.text, lambda: list(_first_rows(bench, state)))


def _first_rows(bench: Bench, state: State) -> Iterator[Row]:
    _, assembly = bench.read(state.text)
    template = next((each for each in bench.templates if each.name == state.begun.get("kind")), None)
    if template is None:
        return
    for each in first_questions(str(state.begun.get("words", "")), template):
        subject = _subject(bench, assembly, each)
        if subject is not None and not _is_said(subject, each.fact):
            yield _first_row(bench, each, subject, template)


def _subject(bench: Bench, assembly: Assembly, question: FirstQuestion) -> Subject | None:
    if question.at and not any(each.name == question.at for each in assembly.subjects):
        return None  # the place was renamed or taken out
    return place_in(assembly, bench.vocabulary, question.fact.name, question.at)


def _is_said(subject: Subject, fact: Fact) -> bool:
    """Whether a fact is stated at a place, or its thing is said not to be there."""
    if known_of(subject, fact.name) is not None:
        return True
    thing = subject.known.get(fact.thing)
    return thing is not None and thing.value == NONE and thing.origin == STATED


def known_of(subject: Subject, name: str, layer: Layer | None = None):
    """What is stated of a fact, of a layer or of every layer of its kind; None where it is not."""
    thing = name.partition(".")[0]
    layers = [layer] if layer is not None else subject.layers.get(thing, ())
    if name == thing and layers:
        return next((each.known.get(name) or subject.known.get(name) for each in layers), None)
    every = [each.known.get(name) for each in layers] if layers and name != thing else [subject.known.get(name)]
    stated = [each for each in every if each is not None and each.origin != NOT_STATED]
    return stated[0] if every and len(stated) == len(every) else None


def _first_row(bench: Bench, question: FirstQuestion, subject: Subject, template: JobTemplate) -> Row:
    fact = question.fact
    thing = bench.vocabulary.things[fact.thing]
    where = question.at or template.name
    return Row(
        keys=(_key(fact.name, where),), fact=fact, sites=(subject.name,), places=(where,), thing="" if thing.always else thing.name,
        asks=fact.ask or f"{fact.what}?", look=fact.look, who=fact.answers, usual=question.usual,
        may_be_none=not thing.always and fact.kind != "presence",
    )  # fmt: skip


def _key(fact: str, place: str, layers: int = 1) -> str:
    """What a question is put aside by; of several layers each is asked in its turn."""
    return f"{fact} @ {place}" + (f" #{layers}" if layers > 1 else "")


def of_key(key: str) -> str:
    """A question that was left open, in words."""
    fact, _, place = key.partition(" @ ")
    return f"{place}: {fact.replace('.', ' ')}"


def is_none(words: str) -> bool:
    """Whether an answer says that there is none."""
    return normalized(words) in NONE_WORDS
