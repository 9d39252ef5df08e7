"""Which place of a submission is one that the submission before called otherwise.

Whoever describes it may say so (`formerly: side walls`). Else a place that is new is one that is gone where at least three quarters
of what is stated of both is alike, and of no other place as much: that share is a choice of this program, no source.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from validator.assembly import Assembly
from validator.submittals.changes import Facts, Stated

ALIKE = Fraction(3, 4)


def renamed(assembly: Assembly, before: Stated, after: Stated) -> dict[str, str]:
    """The new name of each place and junction by its old one."""
    places = {subject.name: subject for subject in assembly.subjects if subject.sort == "place"}
    said = {subject.formerly: name for name, subject in places.items() if subject.formerly in before and subject.formerly not in places}
    gone = {name: said_of for name, said_of in before.items() if name not in after and name not in said}
    come = {name: after[name] for name in places if name not in before and name not in said.values()}
    new = {**said, **_alike(gone, come)}
    return {**new, **_junctions(assembly, {now: old for old, now in new.items()})} if new else {}


def _alike(gone: Stated, come: Stated) -> dict[str, str]:
    """Each pair of which neither is as like any other."""
    shares = {(old, now): _share(gone[old], come[now]) for old in gone for now in come}
    near = {pair: share for pair, share in shares.items() if share >= ALIKE}
    return {
        old: now for (old, now), share in near.items()
        if all(pair == (old, now) or other < share for pair, other in near.items() if pair[0] == old or pair[1] == now)
    }  # fmt: skip


def _share(one: Mapping[str, Facts], other: Mapping[str, Facts]) -> Fraction:
    """How much of what is stated of either is stated of both, alike."""
    lines, others = _lines(one), _lines(other)
    return Fraction(len(lines & others), len(lines | others)) if lines | others else Fraction(0)


def _lines(things: Mapping[str, Facts]) -> set[tuple[str, ...]]:
    return {(thing, fact, text) for thing, facts in things.items() for fact, text in facts.items()} | {(thing,) for thing in things}


def _junctions(assembly: Assembly, old: Mapping[str, str]) -> dict[str, str]:
    """A junction is named by its kind and by the places that meet there."""
    return {
        f"{subject.kind}, {' to '.join(old.get(name, name) for name in subject.at)}": subject.name
        for subject in assembly.subjects if subject.sort == "junction" and old.keys() & set(subject.at)
    }  # fmt: skip


def called_now(place: str, new: Mapping[str, str]) -> str:
    """A place, or one of its layers, by its new name."""
    if place in new:
        return new[place]
    where = next((old for old in sorted(new, key=len, reverse=True) if place.startswith(f"{old}, ")), None)
    return f"{new[where]}{place[len(where):]}" if where is not None else place


def as_called_now(said: Iterable[str], new: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(called_now(place, new) for place in said)
