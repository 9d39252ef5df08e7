"""Reads, compiles and prints formulas: facts that the vocabulary declares as plain arithmetic on others.

Each end of the answer is exact: the direction in each input is known, and what falls between two steps is rounded
outwards. Anything more than this is a working.
"""

import re
from collections.abc import Callable
from fractions import Fraction
from math import ceil, floor
from typing import NamedTuple

from validator.facts.vocabulary import NONE, THERE, Fact, Vocabulary
from validator.language import amounts
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.language.forms import complain, listed
from validator.language.source import Complaint, Entries, Items, Node, Text

Span = tuple[int, int]
FORMS = (
    "sum of", "less", "N times", "greatest of", "least of", "same as", "either of", "part steps of", "hours between", "rise over run",
)  # fmt: skip
UNKNOWN: Span = (NO_LEAST, NO_GREATEST)
SLOPE_STEPS = 2_882_880_000  # steps of a slope of 1 in 1


class Value(NamedTuple):
    """An amount written in the sum."""

    span: Span
    kind: str
    text: str


class FactValue(NamedTuple):
    """The value of a fact, and the slot that says whether its thing is there.

    `thing` is empty for what is known whether or not a thing is there: of what always is, and folded over however many are.
    """

    fact: str
    slot: int
    kind: str
    thing: str
    there: int


class Formula(NamedTuple):
    """One operation on its parts; `how` is one of FORMS, `times` the factor of `N times`."""

    how: str
    parts: tuple["Term", ...]
    kind: str
    times: Fraction = Fraction(1)


Term = Value | FactValue | Formula


def facts_of(term: Term) -> list[str]:
    """The facts a sum reads."""
    if isinstance(term, FactValue):
        return [term.fact]
    return [name for part in term.parts for name in facts_of(part)] if isinstance(term, Formula) else []


def read_sum(fact: Fact, node: Node, vocabulary: Vocabulary, complaints: list[Complaint]) -> Term | None:
    """The sum that works a fact out, with its kinds checked."""
    term = _Reader(vocabulary, complaints).term(node, fact.kind)
    if term is not None and term.kind != fact.kind:
        complain(complaints, node, f"`{fact.name}` is a {fact.kind} and this sum a {term.kind}", f"a sum that is a {fact.kind}")
        return None
    return term


def things_of(term: Term, own: str) -> list[str]:
    """The things, beside the one a sum is said of, that must be there for it to say anything."""
    if isinstance(term, FactValue):
        return [term.thing] if term.thing not in ("", own) else []
    return [name for part in term.parts for name in things_of(part, own)] if isinstance(term, Formula) else []


class _Reader(NamedTuple):
    vocabulary: Vocabulary
    complaints: list[Complaint]

    def term(self, node: Node, kind: str) -> Term | None:
        if isinstance(node, Text):
            return self._leaf(node, kind)
        if isinstance(node, Entries) and len(node.pairs) == 1:
            return self._operation(node.pairs[0][0], node.pairs[0][1], kind)
        complain(self.complaints, node, "a sum is one operation", listed(FORMS))
        return None

    def _leaf(self, node: Text, kind: str) -> Term | None:
        fact = self.vocabulary.fact(node.text)
        if fact is not None and fact.is_amount:
            thing = "" if fact.aggregate or self.vocabulary.things[fact.thing].always else fact.thing
            return FactValue(fact.name, self.vocabulary.slot(fact.name), fact.kind, thing, self.vocabulary.slot(thing) if thing else 0)
        try:
            amount = amounts.read(node.text, kind)
        except amounts.AmountProblem as problem:
            complain(self.complaints, node, problem.what, f"{problem.accepted}; or a fact that is an amount")
            return None
        return Value((amount.least, amount.greatest), kind, node.text)

    def _operation(self, key: Text, node: Node, kind: str) -> Formula | None:
        factor = re.fullmatch(r"([0-9./]+) times", key.text)
        if factor:
            part = self.term(node, kind)
            times = _factor(factor[1])
            if times is None:
                complain(self.complaints, key, f"`{factor[1]}` is not a number of times", "3 times, 1/2 times, 1.5 times")
                return None
            return Formula("N times", (part,), part.kind, times) if part else None
        if key.text not in FORMS:
            complain(self.complaints, key, f"`{key.text}` is not an operation of a small sum", listed(FORMS))
            return None
        if key.text == "part steps of":
            return self._part_steps(node)
        kinds = {"hours between": "moment", "rise over run": "length"}
        inner = kinds.get(key.text, kind)
        parts = [self.term(item, inner) for item in node.items] if isinstance(node, Items) else []
        pairs = key.text in ("less", "hours between", "rise over run")
        if len(parts) < (1 if key.text == "same as" else 2) or (pairs and len(parts) != 2):
            complain(self.complaints, key, f"`{key.text}` takes {'two' if pairs else 'two or more'} parts", "[a, b]")
            return None
        if None in parts:
            return None
        gives = {"hours between": "duration", "rise over run": "slope"}.get(key.text, parts[0].kind)
        if any(part.kind != parts[0].kind for part in parts):
            complain(self.complaints, key, f"`{key.text}` joins a {parts[0].kind} with another kind", "parts of one kind")
            return None
        if key.text == "either of" and not all(isinstance(part, FactValue) for part in parts):
            complain(self.complaints, key, "`either of` takes facts, and is that of a thing that is there", "[foam pan.fall, mortar bed.fall]")
            return None
        return Formula(key.text, tuple(parts), gives)

    def _part_steps(self, node: Node) -> Formula | None:
        lines = {key.text: value for key, value in node.pairs} if isinstance(node, Entries) else {}
        what = self.term(lines["what"], "number") if "what" in lines else None
        if what is None or set(lines) != {"what", "over", "each", "adds"}:
            complain(self.complaints, node, "`part steps of` takes what, over, each, adds",
                   "{what: a fact, over: 100 degF, each: 15 degF, adds: 1/16 in}")  # fmt: skip
            return None
        # A step of temperature is a difference: 15 degF above something, not 15 degF on the scale.
        step = "temperature difference" if what.kind == "temperature" else what.kind
        terms = [self.term(lines[name], kind) for name, kind in (("over", what.kind), ("each", step), ("adds", "length"))]
        if None in terms:
            return None
        over, each, adds = terms
        exact = all(isinstance(term, Value) and term.span[0] == term.span[1] for term in terms)
        if not exact or each.span[0] <= 0 or adds.span[0] < 0:
            complain(self.complaints, node, "over, each and adds are exact amounts, and a step is more than nothing",
                   "{what: a fact, over: 100 degF, each: 15 degF, adds: 1/16 in}")  # fmt: skip
            return None
        return Formula("part steps of", (what, over, each, adds), "length")


def _factor(text: str) -> Fraction | None:
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        return None


# -- working it out -------------------------------------------------------------------------------------------------------


def compiled(term: Term, own: str) -> Callable[[list], Span]:
    """A function from a judged vector to the span of the sum; `own` is the thing that the sum is said of.

    What is said of another thing counts only where that thing is surely there.
    """
    match term:
        case Value(span):
            return lambda vector: span
        case FactValue(slot=slot, thing=thing, there=there):
            if thing in ("", own):
                return lambda vector: vector[slot]
            return lambda vector: vector[slot] if vector[there] == THERE else UNKNOWN
        case Formula("either of", parts):
            ways = [(part.slot, part.there if part.thing else None) for part in parts]
            return lambda vector: _either([(vector[slot], THERE if there is None else vector[there]) for slot, there in ways])
        case Formula(how, parts, _, times):
            inner = tuple(compiled(part, own) for part in parts)
            work = OPERATIONS[how]
            if how == "N times":
                return lambda vector: _times(inner[0](vector), times)
            return lambda vector: work([each(vector) for each in inner])
    raise TypeError(term)


def _low(value: Fraction | int) -> int:
    return max(floor(value), NO_LEAST)


def _high(value: Fraction | int) -> int:
    return min(ceil(value), NO_GREATEST)


def _add(spans: list[Span]) -> Span:
    lows, highs = [s[0] for s in spans], [s[1] for s in spans]
    return (
        NO_LEAST if NO_LEAST in lows else sum(lows),
        NO_GREATEST if NO_GREATEST in highs else sum(highs),
    )


def _less(spans: list[Span]) -> Span:
    (a, b), (c, d) = spans
    return (
        NO_LEAST if a == NO_LEAST or d == NO_GREATEST else a - d,
        NO_GREATEST if b == NO_GREATEST or c == NO_LEAST else b - c,
    )


def _times(span: Span, times: Fraction) -> Span:
    least, greatest = span
    return (
        NO_LEAST if least == NO_LEAST else _low(least * times),
        NO_GREATEST if greatest == NO_GREATEST else _high(greatest * times),
    )


def _greatest(spans: list[Span]) -> Span:
    return max(s[0] for s in spans), max(s[1] for s in spans)


def _least(spans: list[Span]) -> Span:
    return min(s[0] for s in spans), min(s[1] for s in spans)


def _same(spans: list[Span]) -> Span:
    """Several names for one amount: what agrees with all of them; when they disagree, any of them."""
    least, greatest = max(s[0] for s in spans), min(s[1] for s in spans)
    if least <= greatest:
        return least, greatest
    return min(s[0] for s in spans), max(s[1] for s in spans)


def _either(ways: list[tuple[Span, int]]) -> Span:
    """That of one of the things that are there or may be, not known which: any of them. What is not there says nothing, and
    where none is surely there it may be anything.
    """
    spans = [span for span, presence in ways if presence != NONE]
    if all(presence != THERE for _, presence in ways):
        return UNKNOWN
    return min(s[0] for s in spans), max(s[1] for s in spans)


def _rise(spans: list[Span]) -> Span:
    """Rise over run; a run that could be nothing or less leaves the slope unknown."""
    (rise_low, rise_high), (run_low, run_high) = spans
    if run_low <= 0:
        return NO_LEAST, NO_GREATEST
    least = NO_LEAST if rise_low == NO_LEAST else _low(
        Fraction(rise_low * SLOPE_STEPS, run_high if rise_low >= 0 else run_low)
    )  # fmt: skip
    greatest = NO_GREATEST if rise_high == NO_GREATEST else _high(
        Fraction(rise_high * SLOPE_STEPS, run_low if rise_high >= 0 else run_high)
    )  # fmt: skip
    return least, greatest


def _part_steps(spans: list[Span]) -> Span:
    """What is added for every step, whole or part, by which something exceeds a start."""
    (low, high), (over, _), (each, _), (adds, _) = spans
    return (
        0 if low <= over else ceil(Fraction(low - over, each)) * adds,
        NO_GREATEST if high == NO_GREATEST else max(0, ceil(Fraction(high - over, each))) * adds,
    )


OPERATIONS: dict[str, Callable[[list[Span]], Span]] = {
    "sum of": _add, "less": _less, "N times": _add, "greatest of": _greatest, "least of": _least, "same as": _same,
    "part steps of": _part_steps, "hours between": lambda spans: _less([spans[1], spans[0]]), "rise over run": _rise,
}  # fmt: skip


def _open(term: Term, vector: list) -> bool:
    if isinstance(term, Formula):
        return any(_open(part, vector) for part in _read(term, vector))
    return isinstance(term, FactValue) and vector[term.slot] == (NO_LEAST, NO_GREATEST)


def _read(term: Formula, vector: list) -> tuple[Term, ...]:
    """The parts that a sum reads here: of `either of` those whose thing may be there, or all where none may."""
    there = tuple(part for part in term.parts if term.how != "either of" or not part.thing or vector[part.there] != NONE)
    return there or term.parts


def in_words(term: Term, vector: list, vocabulary: Vocabulary) -> str:
    """The sum with its numbers put in, for the trail: `the greatest of 1/16 in and 3 times 1/32 in`."""
    match term:
        case Value(_, _, text):
            return text
        case FactValue(fact, slot, kind, _, _):
            least, greatest = vector[slot]
            shown = amounts.show_range(least, greatest, kind, vocabulary.fact(fact).shown_in or None)
            return f"{fact} ({shown})"
        case Formula(how, parts, _, times):
            said = [in_words(part, vector, vocabulary) for part in _read(term, vector)]
            match how:
                case "either of":
                    return " or ".join(said)
                case "sum of":
                    return " plus ".join(said)
                case "same as":
                    stated = [s for s, p in zip(said, parts) if not _open(p, vector)]
                    return "the same as " + " and ".join(stated or said)
                case "less":
                    return f"{said[0]} less {said[1]}"
                case "N times":
                    return f"{times} times {said[0]}"
                case "part steps of":
                    return f"{said[3]} for each {said[2]} of {said[0]} over {said[1]}"
                case "hours between":
                    return f"from {said[0]} to {said[1]}"
                case "rise over run":
                    return f"{said[0]} over {said[1]}"
            return f"the {how} " + " and ".join(said)
    raise TypeError(term)
