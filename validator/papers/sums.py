"""The sheet of sums on paper: the result first, then formula = numbers = result, then whence each number is."""

from collections.abc import Iterator

from validator.facts.possible import NOT_STATED
from validator.facts.vocabulary import Vocabulary
from validator.language.amounts import show
from validator.papers.rules import source_in_words
from validator.papers.wrapping import Line, wrapped
from validator.planning.sums import ASSUMED, PlaceSums, WorkedSum
from validator.workings import Worked

INDENT = "    "
DEEPER = "        "


def sheet_lines(name: str, sheet: tuple[PlaceSums, ...], width: int) -> Iterator[Line]:
    """The sheet line by line, wrapped to a width; with each line whether it is bold."""
    yield name, True
    for place in sheet:
        yield "", False
        yield from wrapped("; ".join(place.places), width, "", bold=True)
        known = [done for done in place.sums if done.known]
        for done in known:
            yield from _sum(done, width)
        missing = [done for done in place.sums if not done.known]
        if missing:
            yield from wrapped("Not worked out:", width, "  ")
        for done in missing:
            yield from wrapped(f"{_title(done)}: {_lack(done)}", width, INDENT)
        if not place.sums:
            yield from wrapped("Nothing written here can be worked further.", width, "  ")


def _title(done: WorkedSum) -> str:
    return f"{done.name} ({done.of})" if done.of else done.name


def _lack(done: WorkedSum) -> str:
    why = done.why_not.removeprefix(f"{done.working}: ")
    if why:
        return why
    return f"would need {' and '.join(done.narrows)}"


def _sum(done: WorkedSum, width: int) -> Iterator[Line]:
    beside = f"; stated as {done.stated}, which stands" if done.stated else ""
    yield from wrapped(f"{_title(done)}: {done.value}{beside}", width, "  ", bold=True)
    if done.formula:
        yield from wrapped(f"= {done.formula}", width, INDENT)
    ends = done.ends if len(set(map(_as_printed, done.ends))) > 1 else done.ends[:1]  # ends that differ by less than is printed are one
    for number, end in enumerate(ends):
        label = ""
        if len(ends) > 1 or done.least is None or done.greatest is None:
            label = "At the most: " if number or done.least is None else "At the least: "
        yield from wrapped(f"{label}{end.line}", width, INDENT)
        for step in end.steps:
            yield from wrapped(str(step), width, DEEPER)
    if done.cited is not None:
        note = f" {done.cited.note}" if done.cited.note else ""
        yield from wrapped(f"Source: {source_in_words(done.cited)}.{note}", width, INDENT)
    yield from _whence(done, width)
    if done.narrows:
        yield from wrapped(f"Would narrow it: {', '.join(done.narrows)}.", width, INDENT)


def _as_printed(end: Worked) -> tuple[str, ...]:
    """An end of a sum as it stands on paper."""
    return end.line, *map(str, end.steps)


def _whence(done: WorkedSum, width: int) -> Iterator[Line]:
    by_origin: dict[str, list[str]] = {}
    for given in done.given:
        if given.origin != ASSUMED:
            by_origin.setdefault(given.origin, []).append(f"{given.fact} {given.value}".rstrip())
    for origin, facts in by_origin.items():
        if origin != NOT_STATED or not done.narrows:
            yield from wrapped(f"{origin.capitalize()}: {'; '.join(facts)}.", width, INDENT)
    for told in done.assumed:
        yield from wrapped(f"Assumed: {told}.", width, INDENT)


def sheet_object(sheet: tuple[PlaceSums, ...], vocabulary: Vocabulary) -> list[dict[str, object]]:
    """The sheet for other programs; its keys are fixed."""
    return [{"places": place.places, "sums": [_object(done, vocabulary) for done in place.sums]} for place in sheet]


def _object(done: WorkedSum, vocabulary: Vocabulary) -> dict[str, object]:
    unit = vocabulary.fact(done.fact).shown_in or None
    least, greatest = (None if end is None else show(end, done.kind, unit, both=False) for end in (done.least, done.greatest))
    return {
        "fact": done.fact, "name": done.name, "of": done.of, "working": done.working,
        "result": done.value if done.known else None, "kind": done.kind, "least": least, "greatest": greatest,
        "stated": done.stated,
        "ends": [{"line": end.line, "steps": end.steps} for end in done.ends],
        "formula": done.formula, "given": done.given, "assumed": done.assumed, "narrows": done.narrows,
        "why_not": done.why_not or (_lack(done) if not done.known else ""), "source": done.cited,
    }  # fmt: skip
