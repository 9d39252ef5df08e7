"""Was enough bought for the area: a range with its arithmetic, and never a proof.

Offcuts, leftovers and other invoices all make the sum differ from the work, so too little bought is only asked about.
"""

from fractions import Fraction
from typing import NamedTuple

from validator.language.amounts import NO_GREATEST, show, show_range
from validator.warranty.programme import Enough

Span = tuple[int, int]
NEVER_PROOF = "This is arithmetic and no proof: offcuts, leftovers and other invoices make it differ."


ANOTHER_JOB = "So much more may have been bought for other work too; it is asked about, and not held against anybody."
ASK_OF_MUCH = (
    "Was some of it bought for another job, or for places that are not described here?",
    "How much of it is left over, or went back?",
)


class Reckoned(NamedTuple):
    """`answer` is True when enough at any of these values, False when too little at all of them, None between.

    `far_above` when surely more was bought than so many times what the areas take at most, where the document names a number.
    """

    answer: bool | None
    steps: tuple[str, ...]
    far_above: bool = False


def reckon(enough: Enough, kind: str, bought: Span, areas: tuple[tuple[str, Span], ...]) -> Reckoned:
    """What was bought against what the areas take. `areas` are names of places with their areas in steps."""
    least, greatest = sum(max(0, low) for _, (low, _) in areas), sum(high for _, (_, high) in areas)
    known = all(high < NO_GREATEST for _, (_, high) in areas)
    one, does = enough.one.least, enough.does
    lowest = -(-Fraction(least * one, does.greatest) // 1)
    highest = -(-Fraction(greatest * one, does.least) // 1) if known else NO_GREATEST
    named = ", ".join(f"{name} {show_range(*span, 'area', 'sq ft')}" for name, span in areas)
    together = _in_words(least, greatest if known else NO_GREATEST, "area", "sq ft")
    takes = _in_words(lowest, highest, kind, enough.one.unit)
    steps = (
        f"Area: {named}; together {together}.",
        f"{enough.one.text} does {enough.does.text}, so the area takes: {takes}.",
        f"Bought: {show_range(*bought, kind, enough.one.unit)}.",
    )
    if enough.asks_above and known and bought[0] > enough.asks_above * highest:
        most = show(enough.asks_above * highest, kind, enough.one.unit)
        return Reckoned(True, (*steps, f"The document asks above {enough.asks_above} times what the area takes: {most}."), True)
    if bought[0] >= highest:
        return Reckoned(True, steps)
    return Reckoned(False if bought[1] < lowest else None, steps)


def _in_words(least: Fraction | int, greatest: Fraction | int, kind: str, unit: str) -> str:
    return "not known" if not least and greatest >= NO_GREATEST else show_range(int(least), int(greatest), kind, unit)
