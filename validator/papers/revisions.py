"""What became of a submittal since its last submission, in trade words: what was changed, what closed, opened and stays."""

from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple

from validator.papers.wrapping import Line, wrapped
from validator.submittals.changes import ADDED, RENAMED, Change
from validator.submittals.register import STAYS, Entry, Revision

class Since(NamedTuple):
    """What a paper says of the submission before: in a line, what was changed, what is closed, and the numbers that are new."""

    short: str
    changes: tuple[tuple[str, str], ...]
    closed: tuple[str, ...]
    opened: frozenset[str]


UNNAMED = ("place", "job")  # what is said of these is said of the place itself


def change_in_words(change: Change) -> str:
    """`screw length: 1-5/8 in, was 1-1/4 in`; `membrane added: kind liquid; coats 2`."""
    thing = "" if change.thing in UNNAMED else change.thing
    if change.way == RENAMED:
        return f"called {change.before} before"
    if not change.thing:
        return "described for the first time" if change.way == ADDED else "no longer described"
    name = f"{thing} {change.fact}".strip()
    match change.way:
        case "added":
            return f"{thing or 'something'} added{f': {change.after}' if change.after else ''}"
        case "taken out":
            return f"{thing or 'something'} taken out{f'; it was: {change.before}' if change.before else ''}"
        case "changed":
            return f"{name}: {change.after}, was {change.before}"
        case "now stated":
            return f"{name}: {change.after}, not stated before"
    return f"{name}: no longer stated, was {change.before}"


def changed(changes: Iterable[Change]) -> Iterator[tuple[str, str]]:
    """The places and what was changed there, a pair each; what was done to one thing there stands together."""
    together: dict[tuple[str, ...], list[str]] = {}
    for change in changes:
        together.setdefault(change.places, []).append(change_in_words(change))
    for places, said in together.items():
        for text in said:
            yield "; ".join(places), text


def standing_of(entry: Entry) -> str:
    """`met`; where it differs from place to place, each with its places: `met at back wall; stays at side walls`."""
    by_standing: dict[str, list[str]] = {}
    for place, said in entry.how.items():
        by_standing.setdefault(said, []).append(place)
    if len(by_standing) == 1:
        return next(iter(by_standing))
    return "; ".join(f"{said} at {', '.join(places)}" for said, places in by_standing.items())


def since_last(revision: Revision | None) -> Since | None:
    """What a paper says of the submission before; nothing for a first one."""
    if revision is None or not revision.register.revision:
        return None
    closed = tuple(f"{each.number} {'; '.join(each.places)}: {each.title.rstrip('.')} ({standing_of(each)})" for each in revision.closed)
    return Since(in_short(revision), tuple(changed(revision.changes)), closed, frozenset(each.number for each in revision.opened))


def revision_lines(revision: Revision, width: int) -> Iterator[Line]:
    """What became of it line by line, for a terminal."""
    yield from wrapped(in_short(revision), width, bold=True)
    for places, said in changed(revision.changes):
        yield from wrapped(f"CHANGED  {places}: {said}", width)
    for word, entries in (("CLOSED", revision.closed), ("OPENED", revision.opened), ("STAYS", revision.stays)):
        for entry in entries:
            standing = f" ({standing_of(entry)})" if set(entry.how.values()) - {STAYS} else ""
            yield from wrapped(f"{word:<9}{entry.number} {'; '.join(entry.places)}: {entry.title.rstrip('.')}{standing}", width)


def in_short(revision: Revision) -> str:
    """`Revision 2. Since revision 1: 3 things changed; 2 closed, 1 opened, 4 stay.`"""
    if not revision.register.revision:
        return "Revision 0, the first submission."
    done, opened, stay = len(revision.closed), len(revision.opened), len(revision.stays)
    things = f"{len(revision.changes)} {'thing' if len(revision.changes) == 1 else 'things'} changed" if revision.changes else "nothing changed"
    return (
        f"Revision {revision.register.revision}. Since revision {revision.register.revision - 1}: {things}; {done} closed, {opened} opened, "
        f"{stay} {'stays' if stay == 1 else 'stay'}."
    )


def revision_object(revision: Revision) -> dict[str, object]:
    """The same for another program."""
    return {
        "revision": revision.register.revision,
        "changes": [{**change._asdict(), "in_words": change_in_words(change)} for change in revision.changes],
        **{word: [_entry_object(each) for each in entries] for word, entries in (
            ("closed", revision.closed), ("opened", revision.opened), ("stays", revision.stays))},
    }  # fmt: skip


def _entry_object(entry: Entry) -> Mapping[str, object]:
    return {"number": entry.number, "title": entry.title, "places": entry.places, "first_told_in_revision": entry.opened,
            "open_at": entry.open_at, "standing": dict(entry.how)}  # fmt: skip
