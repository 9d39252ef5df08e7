"""The causes as lines of text: what is seen, what could explain it in order, what is ruled out, and the looks that would tell."""

from collections.abc import Iterator, Sequence

from validator.troubles.report import NOT_MET, OPEN, SETTLED_BY_LOOKING, Cause, Causes, LookLine, OutsideLine, Requirement
from validator.papers.wrapping import Line, wrapped
from validator.warranty.report import FOOTER

FIRST_CAUSES, FIRST_LOOKS, FIRST_REQUIREMENTS, FIRST_RULED_OUT = 5, 6, 4, 6
NOTHING_SEEN = "Nothing is written under `seen:`, so there is nothing to explain. Write what is seen, as `seen: cracks along a line`."
UNSAID = "not said yet"


def causes_lines(found: Causes, width: int, *, everything: bool = False) -> Iterator[Line]:
    """The whole paper; without `everything` the first of what is long, with how much more there is."""
    yield found.assembly, True
    if not found.seen:
        yield from wrapped(NOTHING_SEEN, width)
        return
    yield from _seen(found, width)
    causes = found.causes if everything else found.causes[:FIRST_CAUSES]
    yield "", False
    yield from wrapped("What could explain it, in order:" if causes else "No requirement of these books explains it.", width, bold=True)
    for number, cause in enumerate(causes, 1):
        yield "", False
        yield from _cause(number, cause, width, everything)
    yield from _more(len(found.causes) - len(causes), "cause", width)
    yield from _outside(found.outside, width)
    yield from _no_faults(found, width)
    yield from _ruled_out(found, width, everything)
    yield from _looks(looks_for(found, len(causes)), width, everything)
    yield "", False
    yield from wrapped(f"{found.order_rests_on} {SETTLED_BY_LOOKING}", width)
    if found.programme:
        yield from wrapped(FOOTER, width)
    books = " and ".join(f"{each.name}, edition {each.edition}" for each in found.books)
    yield from wrapped(f"Explained by {books}.", width)


def printed_first(cause: Cause) -> tuple[str, ...]:
    """The rules of a cause that the paper names without being asked for everything."""
    return tuple(each.rule for each in cause.requirements[:FIRST_REQUIREMENTS])


def heading(cause: Cause) -> str:
    """What a cause is called: its trouble, or that the one requirement is not met."""
    name = cause.name[:1].upper() + cause.name[1:]
    first = cause.requirements[0]
    return name if cause.name != first.title else f"{'Perhaps not' if first.standing == OPEN else 'Not'} met: {name}"


def looks_for(found: Causes, first: int) -> list[tuple[LookLine, tuple[str, ...]]]:
    """The looks that tell of the first causes or of one outside the book, each with those causes by number or name."""
    numbers = {cause.name: str(number) for number, cause in enumerate(found.causes[:first], 1)}
    numbers |= {each.name: each.name for each in found.outside}
    told = ((look, tuple(numbers[name] for name in look.causes if name in numbers)) for look in found.looks)
    return [(look, causes) for look, causes in told if causes]


def _seen(found: Causes, width: int) -> Iterator[Line]:
    for each in {(seen.place, seen.text): seen for seen in found.seen}.values():
        kept = f" (nothing reads: {', '.join(each.unread)})" if each.unread else ""
        alone = "" if each.explained or not each.seen else " Nothing here explains it."
        yield from wrapped(f"SEEN  {each.place}: {each.text}{kept}.{alone}", width)


def _cause(number: int, cause: Cause, width: int, everything: bool) -> Iterator[Line]:
    yield from wrapped(f"{number}. {heading(cause).rstrip('.')}. {cause.what}", width, bold=True)
    shown = cause.requirements if everything else cause.requirements[:FIRST_REQUIREMENTS]
    for same in alike(shown):
        yield from _requirements(same, width, everything)
    yield from _more(len(cause.requirements) - len(shown), "requirement", width, "   ")
    yield from wrapped(f"Look: {'; '.join(cause.told_by)}", width, "   ")


def alike(requirements: Sequence[Requirement]) -> list[list[Requirement]]:
    """Requirements of which nobody has said enough and for which the same speaks, together; what is not met stands alone."""
    groups: list[list[Requirement]] = []
    for each in requirements:
        last = groups[-1][0] if groups else None
        same = last is not None and each.standing == last.standing == OPEN and _spoken_of(each) == _spoken_of(last)
        groups[-1].append(each) if same else groups.append([each])
    return groups


def _spoken_of(each: Requirement) -> tuple[tuple[str, ...], ...]:
    return each.speaks_for, each.speaks_against, each.terms


def _requirements(same: list[Requirement], width: int, everything: bool) -> Iterator[Line]:
    first = same[0]
    if first.standing == OPEN:
        yield from wrapped(f"{UNSAID}: {'; '.join(f'{each.title} ({each.place})' for each in same)}.", width, "   ")
    else:
        how = "not met" if first.standing == NOT_MET else first.standing.replace("met ", "met, ")
        yield from wrapped(f"{how}: {first.title} ({first.place}). Found: {first.found}; needed: {first.needed}.", width, "   ")
    for each in same if everything else ():
        for asked in each.asks:
            yield from wrapped(f"{asked.asks} Write: {asked.written}.", width, "     ")
    for text in first.speaks_for:
        yield from wrapped(f"for: {text}", width, "     ")
    for text in first.speaks_against:
        yield from wrapped(f"against: {text}", width, "     ")
    for text in first.terms:
        yield from wrapped(f"touches: {text}", width, "     ")


def _outside(outside: Sequence[OutsideLine], width: int) -> Iterator[Line]:
    if not outside:
        return
    yield "", False
    yield from wrapped("Outside this book, where the pattern points:", width, bold=True)
    for each in outside:
        yield from wrapped(f"{each.name}. {each.what} Who looks: {each.who}. For: {'; '.join(each.speaks_for)}. "
                           f"Look: {'; '.join(each.told_by)}.", width, "   ")  # fmt: skip


def _no_faults(found: Causes, width: int) -> Iterator[Line]:
    if not found.no_faults:
        return
    yield "", False
    yield from wrapped("Often taken for a failure, and none:", width, bold=True)
    for each in found.no_faults:
        yield from wrapped(f"{each.name}. {each.why} It is one if {each.unless}.", width, "   ")


def _ruled_out(found: Causes, width: int, everything: bool) -> Iterator[Line]:
    """What is surely met by what is stated."""
    if not found.ruled_out:
        return
    yield "", False
    lines = dict.fromkeys(f"{each.title} ({each.place}: {each.found})" if everything else each.title for each in found.ruled_out)
    told = list(lines) if everything else list(lines)[:FIRST_RULED_OUT]
    more = f"; and {len(lines) - len(told)} more (--all)" if len(lines) > len(told) else ""
    yield from wrapped(f"Ruled out, since surely met by what is stated: {'; '.join(told)}{more}.", width)


def _looks(looks: list[tuple[LookLine, tuple[str, ...]]], width: int, everything: bool) -> Iterator[Line]:
    if not looks:
        return
    yield "", False
    yield from wrapped("Looks that would tell, what opens nothing and costs least first:", width, bold=True)
    for each, causes in looks if everything else looks[:FIRST_LOOKS]:
        yield from wrapped(f"{each.name} ({opens(each)}; {each.takes}), tells of {', '.join(causes)}: {each.tells}", width, "   ")
        if everything and each.against:
            yield from wrapped(f"Held against: {each.against}", width, "     ")
        if everything and each.care:
            yield from wrapped(f"Take care: {each.care}", width, "     ")
    yield from _more(0 if everything else len(looks) - FIRST_LOOKS, "look", width)


def opens(look: LookLine) -> str:
    """What a look takes away, in words."""
    return f"opens {look.opens}"


def _more(number: int, what: str, width: int, indent: str = "") -> Iterator[Line]:
    if number > 0:
        yield from wrapped(f"{number} more {what}{'' if number == 1 else 's'} (--all).", width, indent)
