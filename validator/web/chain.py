"""The history of one case: events that are only ever added, each chained to the one before by a hash.

A line is JSON with its keys in order and no blanks, in UTF-8; it holds only texts, whole numbers, and lists and objects of them.
What an event did to the description is kept as the lines it took out and put in, so that any day's description can be made
again, and a description that was altered beside its events is found.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from validator.web.sealed import Line, opened


class Broken(ValueError):
    """A history that does not prove: at which event, and why."""

    def __init__(self, seq: int, why: str) -> None:
        super().__init__(f"event {seq}: {why}")
        self.seq, self.why = seq, why


class Event(NamedTuple):
    """One event as it is kept: its number, its line as text, and the hash of both it and all before it."""

    seq: int
    line: str
    hash: str
    private: Mapping[str, str] = {}  # of its case: by digest what was not removed

    @property
    def says(self) -> Line:
        return opened(json.loads(self.line), self.private)


def line_says(event: Event) -> Line:
    """What the line of an event holds, with digests where texts stand beside it."""
    return json.loads(event.line)


def first_of(public: str) -> str:
    """What the first event of a case is chained to."""
    return hashlib.sha256(f"case/1\n{public}".encode()).hexdigest()


def line_of(says: Line) -> str:
    """An event as the text that is kept and hashed."""
    return json.dumps(says, sort_keys=True, separators=(",", ":"), ensure_ascii=False)


def hash_of(line: str) -> str:
    """What a line is known by; the line names the hash before it, so that it speaks for all before it."""
    return hashlib.sha256(f"event/1\n{line}".encode("utf-8", "surrogatepass")).hexdigest()


def change_between(before: str, after: str) -> Line:
    """The lines that were taken out of a description and those put in their place."""
    old, new = before.split("\n"), after.split("\n")
    start = 0
    while start < min(len(old), len(new)) and old[start] == new[start]:
        start += 1
    end = 0
    while end < min(len(old), len(new)) - start and old[-1 - end] == new[-1 - end]:
        end += 1
    return {"at": start, "out": old[start : len(old) - end], "in": new[start : len(new) - end]}


def changed_by(change: Line, before: str) -> str:
    """The description after a change. Raises ValueError where the lines it took out are not there."""
    lines, at, out = before.split("\n"), change["at"], change["out"]
    if lines[at : at + len(out)] != out:
        raise ValueError("the lines it changed are not those that stood there")
    return "\n".join([*lines[:at], *change["in"], *lines[at + len(out) :]])


def before_it(change: Line, after: str) -> str:
    """The description before a change."""
    return changed_by({"at": change["at"], "out": change["in"], "in": change["out"]}, after)


def taken_away(events: Sequence[Event]) -> Sequence[str]:
    """Of a case that was taken away whole, the hashes of the events that stood before, as the last event names them; of another none."""
    last = json.loads(events[-1].line) if events and events[-1].line else {"of": {}}
    return last["of"].get("hashes", ())


def replayed(public: str, events: Sequence[Event]) -> Iterable[tuple[Event, str]]:
    """Each event with the description after it. Raises Broken at the first that does not prove."""
    text, before, gone = "", first_of(public), taken_away(events)
    for number, event in enumerate(events, 1):
        if event.seq != number:
            raise Broken(number, f"it is missing; the next is event {event.seq}")
        if number <= len(gone):
            if event.line or event.hash != gone[number - 1]:
                raise Broken(number, "it was taken away with its case, and is not as the last event says")
            before = event.hash
            continue
        if hash_of(event.line) != event.hash:
            raise Broken(number, "its line was altered")
        says = event.says
        if says["prev"] != before or says["seq"] != number or says["case"] != public:
            raise Broken(number, "it does not follow the event before it")
        if "change" in says:
            try:
                text = changed_by(says["change"], text)
            except ValueError as problem:
                raise Broken(number, str(problem)) from None
        yield event, text
        before = event.hash
