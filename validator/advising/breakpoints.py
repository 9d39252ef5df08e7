"""Takes an amount that is not known, returns the ranges in which nothing changes: `16 in or less`, `more than 16 in`."""

from collections.abc import Callable, Iterator
from fractions import Fraction
from math import ceil, floor
from typing import TypeVar

from validator.facts.vocabulary import Fact
from validator.judging.loading import LoadedBook
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST

Span = tuple[int, int]
Stretch = tuple[int | None, int | None]
T = TypeVar("T")
MOST_POINTS = 24
MARKS = (1, 2, 4, 8, 16, 32, 64, 10, 100)
COARSE, NEAR = MARKS[:7], 4  # near is no farther than a quarter of the limit
FINEST = 4096  # of the usual range of an amount, how finely a change that no limit names is looked for


def candidates_of(fact: Fact, held: Span, loaded: LoadedBook) -> list[int]:
    """Amounts to try: both ends of what is usual, the limits of the book within what is possible, and between."""
    low, high = _usual(fact, held, loaded)
    slot = loaded.vocabulary.slots.get(fact.name)
    cuts = [cut for cut in loaded.engine.cuts.get(slot, ()) if low <= cut < high][: MOST_POINTS // 2]
    points = {low, high, *cuts, *(cut + 1 for cut in cuts)}
    if len(points) < MOST_POINTS // 2:
        points |= {low + (high - low) * part // 8 for part in range(1, 8)}
    return sorted(points)


def _usual(fact: Fact, held: Span, loaded: LoadedBook) -> Span:
    """From the least to the greatest that anybody would answer, as far as it is possible."""
    least, greatest = held
    ends = [amounts.read(text, fact.kind) if text else None for text in (fact.slip_below, fact.slip_above)]
    low = ends[0].least if ends[0] else 0
    high = ends[1].greatest if ends[1] else max(low + 1, 2 * max(_cuts_of_kind(fact.kind, loaded), default=0))
    low = max(low, least) if least != NO_LEAST else low
    high = min(high, greatest) if greatest != NO_GREATEST else high
    return (low, high) if low <= high else (least, greatest)


def _cuts_of_kind(kind: str, loaded: LoadedBook) -> Iterator[int]:
    """Every limit of the book on an amount of a kind."""
    cuts = (cut for slot, own in loaded.engine.cuts.items() if _kind_of(slot, loaded) == kind for cut in own)
    return (cut for cut in cuts if abs(cut) < NO_GREATEST - 1)


def _kind_of(slot: int, loaded: LoadedBook) -> str:
    names = loaded.slot_names
    return loaded.vocabulary.fact(names[slot]).kind if slot in names else ""


def ranges_of(fact: Fact, held: Span, loaded: LoadedBook, effect: Callable[[Span], T]) -> Iterator[tuple[Stretch, T]]:
    """Each stretch of an amount over which the effect is one, with the effect; None is an open end."""
    found = [(point, effect((point, point))) for point in candidates_of(fact, held, loaded)]
    start: int | None = None
    finest = max(1, (found[-1][0] - found[0][0]) // FINEST)
    for number, (point, came) in enumerate(found):
        after = found[number + 1] if number + 1 < len(found) else None
        if after is not None and after[1] == came:
            continue
        end = None if after is None else _last_of(fact, point, came, after[0], finest, effect)
        yield (start, end), came
        start = None if end is None else end + 1


def _last_of(fact: Fact, low: int, came: T, high: int, finest: int, effect: Callable[[Span], T]) -> int:
    """The last amount from `low` towards `high` that still has the effect."""
    while high - low > finest:
        middle = (low + high) // 2
        if effect((middle, middle)) == came:
            low = middle
        else:
            high = middle
    return low if high - low == 1 else _on_the_tape(fact, low, came, high, effect)


def _on_the_tape(fact: Fact, low: int, came: T, high: int, effect: Callable[[Span], T]) -> int:
    """The change exactly, where it lies on a mark that somebody would print; else as near as it was looked for."""
    one = amounts.KINDS[fact.kind].units.get((_unit(fact) or "").lower())
    for parts in MARKS if one is not None else ():
        mark = Fraction(one.steps) / parts
        steps = int(one.zero + round((high - one.zero) / mark) * mark)
        if low <= steps <= high:
            for last in (steps, steps - 1):
                if effect((last, last)) == came != effect((last + 1, last + 1)):
                    return last
    return low


def _unit(fact: Fact) -> str | None:
    usual = fact.slip_below or fact.slip_above
    return fact.shown_in or (amounts.read(usual, fact.kind).unit if usual else amounts.KINDS[fact.kind].usual)


def in_words(fact: Fact, start: int | None, end: int | None) -> str:
    """A stretch as a reader would say it, in the unit the trade writes it in.

    It ends with `less than` where the mark that somebody would print already does otherwise.
    """
    unit = _unit(fact)
    if start is None and end is None:
        return "any amount"
    more = "" if start is None else f"more than {amounts.show(start - 1, fact.kind, unit)}"
    if start is not None and _plain(fact, start, unit):
        more = f"at least {amounts.show(start, fact.kind, unit)}"
    if end is None:
        return more
    less = f"up to {amounts.show(end, fact.kind, unit)}"
    if _plain(fact, end + 1, unit):
        less = f"less than {amounts.show(end + 1, fact.kind, unit)}"
    return f"{more}, {less}" if more else less


def _plain(fact: Fact, steps: int, unit: str | None) -> bool:
    """Whether an amount is one that its printed form says exactly."""
    shown = amounts.show(steps, fact.kind, unit, both=False)
    try:
        read = amounts.read(shown, fact.kind)
    except amounts.AmountProblem:
        return False
    return read.least == steps == read.greatest


def needed(fact: Fact, was: int, to: int, works: Callable[[Span], bool]) -> str:
    """How far an amount has to go from what it was towards what is sold; nothing where it goes exactly so far."""
    first = first_that(fact, was, to, works)
    if first == to or not _plain(fact, first, _unit(fact)):
        return ""
    return f"at {'least' if to > was else 'most'} {amounts.show(first, fact.kind, _unit(fact))}"


def first_that(fact: Fact, was: int, to: int, works: Callable[[Span], bool]) -> int:
    """From an amount that does not work towards one that does, the first that works, as near as it was looked for."""
    if to > was:
        return _last_of(fact, was, False, to, max(1, (to - was) // FINEST), works) + 1
    return -_last_of(fact, -was, False, -to, max(1, (was - to) // FINEST), lambda span: works((-span[1], -span[0]))) - 1


def mark_within(fact: Fact, limit: int, *, upwards: bool) -> int:
    """The limit of what works as somebody would set it out: the coarsest mark near it, else the next, on the side that works."""
    unit = _unit(fact)
    one = amounts.KINDS[fact.kind].units.get((unit or "").lower())
    for parts in COARSE if one is not None else ():
        mark = Fraction(one.steps) / parts
        turns = (limit - one.zero) / mark
        steps = int(one.zero + (ceil(turns) if upwards else floor(turns)) * mark)
        near = parts == COARSE[-1] or NEAR * abs(steps - limit) <= abs(limit - one.zero)
        if near and _plain(fact, steps, unit):
            return steps
    return limit


def in_marks(fact: Fact, least: int | None, most: int | None) -> str:
    """What works from one mark to another, or on from it."""
    says = [amounts.show(end, fact.kind, _unit(fact)) for end in (least, most) if end is not None]
    return " to ".join(says) if len(says) == 2 else f"{says[0]} or {'more' if most is None else 'less'}"
