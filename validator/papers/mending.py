"""Alternatives on paper: each change as before and after, what else it changes, and what it newly warns of."""

from collections.abc import Iterator

from validator.mending import MOST_CHANGES, Alternative, Mended
from validator.mending.changing import ADDED, PRODUCT, REMOVED, Change
from validator.papers.lines import Line, wrapped
from validator.rulebook.english import name_of
from validator.vocabulary import Vocabulary

MOST_ALSO = 8


def mending_lines(name: str, mended: Mended, vocabulary: Vocabulary, width: int, *, clear: bool = False) -> Iterator[Line]:
    """The whole answer line by line."""
    yield name, True
    aim = "nothing that fails and nothing open that could" if clear else "nothing that fails"
    yield from wrapped(f"Now: {mended.before.outcome}. Wanted: {aim}.", width)
    if not (mended.smallest or mended.tried or mended.stuck):
        yield from wrapped("Nothing has to be changed.", width)
        return
    for number, alternative in enumerate(mended.alternatives, 1):
        yield "", False
        yield from _alternative(number, alternative, vocabulary, width)
    yield "", False
    yield from wrapped(how_far(mended), width)
    for place, rule in mended.stuck:
        yield from wrapped(f"No allowed change bears on {rule} at {place}.", width, "  ")


def how_far(mended: Mended) -> str:
    """What was proved, or how far was looked."""
    tried = f"{mended.tried} changes were tried"
    if mended.alternatives:
        size = len(mended.alternatives[0].changes)
        if size == 1:
            return f"One change is the least there can be; {tried}."
        if mended.looked >= size:
            return f"No set of fewer than {size} of the allowed changes works; {tried}."
    if mended.stuck:
        return "Some of it cannot be mended by what may be changed."
    if mended.complete:
        return f"No set of up to {MOST_CHANGES} of the allowed changes works; {tried}."
    return f"The search was stopped after {tried}; no set of fewer than {mended.looked} works, larger ones were not all tried."


def _alternative(number: int, alternative: Alternative, vocabulary: Vocabulary, width: int) -> Iterator[Line]:
    hows = dict.fromkeys(change.how for change in sorted(alternative.changes, key=lambda change: change.rung))
    yield from wrapped(f"{number}. {', '.join(hows)} ({alternative.report.outcome} afterwards)", width, bold=True)
    for change, limit, places in zip(alternative.changes, alternative.limits, alternative.places):
        further = f" (needed {limit}; this is the next that is made)" if limit else ""
        yield from wrapped(f"{'; '.join(places)}: {change_in_words(change, vocabulary)}{further}", width, "   ")
    for line in alternative.also[:MOST_ALSO]:
        yield from wrapped(f"Also changes: {line}.", width, "   ")
    if len(alternative.also) > MOST_ALSO:
        yield from wrapped(f"And {len(alternative.also) - MOST_ALSO} further sums and quantities.", width, "   ")
    for title, place in alternative.new_warns:
        yield from wrapped(f"New warning: {place}: {title}.", width, "   ")


def change_in_words(change: Change, vocabulary: Vocabulary) -> str:
    """One change as before and after."""
    thing = change.fact.partition(".")[0]
    match change.way:
        case "":
            return f"{name_of(vocabulary, change.fact)} {change.before}, then {change.after}"
        case way if way == PRODUCT:
            return f"{thing} of another product: {change.after}"
        case way if way == ADDED:
            return f"{thing} added" + ("" if change.after == "there" else f": {change.after}")
        case way if way == REMOVED:
            return f"{thing} taken out"
    raise ValueError(change.way)
