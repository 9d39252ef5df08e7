"""Gives what a report tells a number to speak of it by: `D3` a deviation, `R7` a request for what is not known, `C1` a
contradiction in what is written.

The reading as told is numbered first, in its own order; the strict reading tells the same matters by the same numbers and goes
on counting, since whatever the strict reading settles the other settles too.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from validator.judging.report import SAID_TWO_WAYS, AsTold, Finding, OpenItem, OpenQuestion

DEVIATION, REQUEST, CONTRADICTION = LETTERS = "D", "R", "C"
LOUD = ("fail", "warn")
NONE_GIVEN: Mapping[str, int] = {}


def deviations_numbered(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """What fails or deserves a second look, counted from D1."""
    return tuple(replace(each, number=f"{DEVIATION}{n}") for n, each in enumerate(findings, 1))


def questions_numbered(questions: Iterable[OpenQuestion]) -> tuple[OpenQuestion, ...]:
    """Questions counted from R1."""
    return tuple(replace(each, number=f"{REQUEST}{n}") for n, each in enumerate(questions, 1))


def strictly_numbered(
    told: AsTold, findings: Sequence[Finding], items: Sequence[OpenItem], last: Mapping[str, int] = NONE_GIVEN
) -> tuple[tuple[Finding, ...], tuple[OpenItem, ...]]:
    """The findings and questions of the strict reading by the numbers as told; what is told strictly alone is counted on, after
    the `last` number that was ever given of each letter.
    """
    deviations = {(each.rule, place): each.number for each in told.findings for place in places_of(each.place)}
    requests = {(fact, place): each.number for each in told.questions for fact in each.facts for place in places_of(each.place)}
    counted = {letter: max([last.get(letter, 0), *(int(number[1:]) for number in numbers)]) for letter, numbers in (
        (DEVIATION, deviations.values()), (REQUEST, requests.values()), (CONTRADICTION, ()))}  # fmt: skip

    def next_of(letter: str) -> str:
        counted[letter] += 1
        return f"{letter}{counted[letter]}"

    def of_finding(each: Finding) -> Finding:
        if each.outcome in LOUD:
            known = next((deviations[each.rule, place] for place in places_of(each.place) if (each.rule, place) in deviations), "")
            return replace(each, number=known or next_of(DEVIATION))
        if each.rule == SAID_TWO_WAYS:
            return each if each.number else replace(each, number=next_of(CONTRADICTION))
        return replace(each, number=next_of(REQUEST)) if each.outcome == "open" and each.heading else each

    def of_item(each: OpenItem) -> OpenItem:
        known = next((requests[each.fact, place] for place in places_of(each.place) if (each.fact, place) in requests), "")
        return replace(each, number=known or next_of(REQUEST))

    return tuple(map(of_finding, findings)), tuple(map(of_item, items))


def places_of(text: str) -> tuple[str, ...]:
    """The places that one line of a report names."""
    return tuple(text.split("; "))
