"""Alternatives on paper: each change as before and after, what else it changes, and what it newly warns of."""

from collections.abc import Iterator

from validator.advising.mending import MOST_CHANGES, Alternative, MendResult
from validator.advising.mending.candidates import UNSAID
from validator.advising.mending.ways_tried import WayTried
from validator.advising.mending.changes import ADDED, DONE, PRODUCT, REMOVED, Change
from validator.assembly.draft import WHOLE_FILE
from validator.facts.vocabulary import Vocabulary
from validator.judging.report import Report, report_as_told
from validator.papers.tape import on_a_tape
from validator.papers.words import STEPS
from validator.papers.wrapping import Line, wrapped
from validator.planning.steps import step_of_fact
from validator.rulebook.book import Book
from validator.rulebook.english import name_of

MOST_ALSO = 8
WAYS = "What the trade does here, each alone, worked out"
SOUND, CLEAR = "nothing that fails", "nothing that fails and nothing open that could"


def mending_lines(name: str, mended: MendResult, book: Book, width: int, *, clear: bool = False) -> Iterator[Line]:
    """The whole answer line by line."""
    yield name, True
    yield from wrapped(f"{'Strictly' if clear else 'As told'}: {outcome_of(mended.before, clear=clear)}. Wanted: {CLEAR if clear else SOUND}.", width)
    for number, alternative in enumerate(mended.alternatives, 1):
        yield "", False
        yield from _alternative(number, alternative, book.vocabulary, width, clear=clear)
    yield "", False
    yield from wrapped(how_far(mended, clear=clear), width)
    for place, rule, _ in mended.stuck:
        yield from wrapped(f"No allowed change bears on it: {place}: {book.rules[rule].title}.", width, "  ")
    for place, rule, is_open in mended.left:
        yield from wrapped(f"{'Stays open' if is_open else 'Still fails'}: {place}: {book.rules[rule].title}.", width, "  ")
    if mended.ways:
        yield "", False
        yield WAYS, True
    for tried in mended.ways:
        yield from _way(tried, width)


def _way(tried: WayTried, width: int) -> Iterator[Line]:
    """A way of the trade with what it settles and leaves, and the sums behind that."""
    yield "", False
    way = tried.way
    yield from wrapped(f"{tried.place}: {way.name} [{STEPS[way.step].lower()}]", width, bold=True)
    leaves = f" Not enough for: {'; '.join(tried.leaves)}." if tried.leaves else ""
    for line in (way.does, f"Settles: {'; '.join(tried.settles)}.{leaves}", f"Takes: {way.takes}", f"Take care: {way.care}"):
        yield from wrapped(line, width, "   ")
    for line in _alike(tried.also)[:MOST_ALSO]:
        yield from wrapped(f"Also changes: {on_a_tape(line)}.", width, "   ")


def outcome_of(report: Report, *, clear: bool) -> str:
    """What a report comes to in the reading that is mended."""
    return report.outcome if clear else report_as_told(report).outcome


def how_far(mended: MendResult, *, clear: bool = False) -> str:
    """What was proved, or how far was looked."""
    if not (mended.smallest or mended.tried or mended.stuck):
        if mended.before.exit_status == 0:
            return "Nothing has to be changed."
        if clear:
            return "Nothing is open but what is said two ways, which only whoever wrote it can settle; check shows it."
        return "Nothing that is written fails, so nothing has to be changed; what is open could. --clear says what would have to be so."
    tried = "1 change was tried" if mended.tried == 1 else f"{mended.tried} changes were tried"
    if mended.stuck and not mended.alternatives:
        return _rests_on("Some of it cannot be mended by what may be changed.", mended, clear)
    at_least = f"no set of fewer than {mended.looked} of the allowed changes works"
    if mended.alternatives:
        size = mended.smallest
        if mended.stuck or mended.left:
            return _rests_on(f"What no allowed change mends still fails; {tried}.", mended, clear)
        if size == 1:
            return f"One change is the least there can be; {tried}."
        if mended.looked >= size:
            return f"No set of fewer than {size} of the allowed changes works; {tried}."
        return (f"Too many changes are needed for the smallest set to be proved: {at_least}; whether fewer than {size} would do was "
                f"not tried to the end. {tried}.")  # fmt: skip
    if mended.complete:
        return f"No set of up to {MOST_CHANGES} of the allowed changes works; {tried}."
    return f"The search was stopped after {tried}: {at_least}, and none of those that were tried does."


def _rests_on(said: str, mended: MendResult, clear: bool) -> str:
    """With what was taken as usual where that decided something: whoever writes what is really there may need no change."""
    taken = "; ".join(dict.fromkeys(f"{each.fact.replace('.', ' ')} {each.text}" for each in mended.before.as_told.usual))
    if clear or not taken:
        return said
    return f"{said} Taken as usual, because nobody wrote it: {taken}. Write what is really there, or is to be there, and ask again."


def _alternative(number: int, alternative: Alternative, vocabulary: Vocabulary, width: int, *, clear: bool) -> Iterator[Line]:
    after = outcome_of(alternative.report, clear=clear)
    yield from wrapped(f"{number}. {', '.join(_hows(alternative))} (afterwards: {after})", width, bold=True)
    for change, limit, places in zip(alternative.changes, alternative.limits, alternative.places):
        said = f"{'; '.join(places)}: {change_in_words(change, vocabulary)}{_as_far_as(change, limit)}"
        yield from wrapped(f"{said} [{step_in_words(change)}]", width, "   ")
        if change.done is not None:
            for line in (change.done.does, f"Takes: {change.done.takes}", f"Take care: {change.done.care}"):
                yield from wrapped(line, width, "     ")
    also = _alike(alternative.also)
    for line in also[:MOST_ALSO]:
        yield from wrapped(f"Also changes: {on_a_tape(line)}.", width, "   ")
    if len(also) > MOST_ALSO:
        yield from wrapped(f"And {len(also) - MOST_ALSO} further sums and quantities.", width, "   ")
    for title, place in alternative.new_warns:
        yield from wrapped(f"New warning: {place}: {title}.", width, "   ")


def step_in_words(change: Change) -> str:
    """The step of the work at which a change is made."""
    return STEPS[change.done.step if change.done is not None else step_of_fact(change.fact)].lower()


def _alike(also: tuple[str, ...]) -> list[str]:
    """What changes alike at several places, told once."""
    places: dict[str, list[str]] = {}
    for line in also:
        place, _, change = line.partition(": ")
        places.setdefault(change, []).append(place)
    return [f"{'; '.join(names)}: {change}" for change, names in places.items()]


def _as_far_as(change: Change, limit: str) -> str:
    if not limit or change.before != UNSAID and change.after in on_a_tape(limit):
        return ""
    return f" ({limit} does)" if change.before == UNSAID else f" (needed {limit}; this is the next that is made)"


def mending_object(mended: MendResult, vocabulary: Vocabulary, *, clear: bool = False) -> dict[str, object]:
    """The whole answer for other programs; its keys are fixed."""
    return {
        "outcome": outcome_of(mended.before, clear=clear), "wanted": CLEAR if clear else SOUND,
        "alternatives": [_object(alternative, vocabulary, clear=clear) for alternative in mended.alternatives],
        "how_far": how_far(mended, clear=clear), "tried": mended.tried,
        "stuck": [{"place": matter.place, "rule": matter.rule} for matter in mended.stuck],
        "left": mended.left,
        "ways": [
            {"place": tried.place, "way": tried.way.name, "does": tried.way.does, "step": STEPS[tried.way.step].lower(), "how": tried.way.how,
             "takes": tried.way.takes, "care": tried.way.care, "settles": tried.settles, "leaves": tried.leaves, "also": tried.also}
            for tried in mended.ways
        ],
    }  # fmt: skip


def _object(alternative: Alternative, vocabulary: Vocabulary, *, clear: bool) -> dict[str, object]:
    return {
        "how": _hows(alternative), "outcome": outcome_of(alternative.report, clear=clear),
        "changes": [
            {"places": places, "fact": change.fact, "way": change.way or "changed", "before": change.before,
             "after": change.after, "needed": limit, "how": change.how,
             "where": f"line {change.where.line}" if change.where else "", "in_words": change_in_words(change, vocabulary),
             "step": step_in_words(change), "takes": change.done.takes if change.done else "", "care": change.done.care if change.done else ""}
            for change, limit, places in zip(alternative.changes, alternative.limits, alternative.places)
        ],
        "also": alternative.also,
        "new_warnings": [{"title": title, "place": place} for title, place in alternative.new_warns],
        "fingerprint": alternative.report.fingerprint,
    }  # fmt: skip


def _hows(alternative: Alternative) -> list[str]:
    """What kinds of work the changes are, the easiest first."""
    return list(dict.fromkeys(change.how for change in sorted(alternative.changes, key=lambda change: change.effort)))


def change_in_words(change: Change, vocabulary: Vocabulary) -> str:
    """One change as before and after."""
    thing = change.fact.partition(".")[0]
    if change.fact == WHOLE_FILE:
        return "whether all that is there is written, not said: has to be yes"
    match change.way:
        case way if way == DONE:
            return change.after
        case "" if change.before == UNSAID:
            return f"{name_of(vocabulary, change.fact)}, not written: has to be {change.after.removeprefix('only ')}"
        case "" if vocabulary.things[thing].sort == "record":
            return f"{name_of(vocabulary, change.fact)} {change.before}; done again, {change.after}"
        case "":
            return f"{name_of(vocabulary, change.fact)} {change.before}, then {change.after}"
        case way if way == PRODUCT:
            return f"{thing} of another product: {change.after}"
        case way if way == ADDED:
            return f"{thing} added" + ("" if change.after == "there" else f": {change.after}")
        case way if way == REMOVED:
            return f"{thing} taken out"
    raise ValueError(change.way)
