"""The lines of a buying list: what each place takes, the waste on it, and in how many bags, pails or sheets it is bought.

Waste is the user's to set; what is added otherwise is common practice, no source. Raises AmountProblem for a waste that is
none.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from validator.language import amounts
from validator.language.amounts import AmountProblem
from validator.language.slips import did_you_mean
from validator.planning import steps as trade
from validator.workings.working import whole_above

RATIO = 2_882_880_000
LAPS, TENTH = Fraction(15, 100), Fraction(1, 10)


class Bought(NamedTuple):
    """A kind of goods: the step of the work that needs it, and the usual waste."""

    step: str
    waste: Fraction


# In the order in which the work needs them.
GOODS: Mapping[str, Bought] = {
    "panel": Bought(trade.STRUCTURE, Fraction(0)), "fasteners": Bought(trade.STRUCTURE, Fraction(0)),
    "primer": Bought(trade.STRUCTURE, Fraction(0)), "pour": Bought(trade.STRUCTURE, TENTH),
    "liner": Bought(trade.LINER, Fraction(0)), "lath": Bought(trade.BED, TENTH), "bed": Bought(trade.BED, TENTH),
    "bedding": Bought(trade.BED, TENTH), "pan": Bought(trade.BED, Fraction(0)), "heat": Bought(trade.BED, Fraction(0)), "retarder": Bought(trade.BOARDS, LAPS),
    "board": Bought(trade.BOARDS, Fraction(0)), "screws": Bought(trade.BOARDS, Fraction(1, 20)),
    "tape": Bought(trade.SEAMS, TENTH), "sealant": Bought(trade.SEAMS, TENTH),
    "membrane": Bought(trade.WATERPROOFING, Fraction(0)), "sheet membrane": Bought(trade.WATERPROOFING, TENTH),
    "mat": Bought(trade.WATERPROOFING, Fraction(1, 20)), "mortar": Bought(trade.SETTING, TENTH), "tile": Bought(trade.SETTING, TENTH),
    "grout": Bought(trade.GROUTING, TENTH), "joint sealant": Bought(trade.JOINTS, TENTH), "joint backing": Bought(trade.JOINTS, TENTH),
}  # fmt: skip
ITEMS = tuple(GOODS)
USUAL_WASTE = {kind: bought.waste for kind, bought in GOODS.items()}


class Part(NamedTuple):
    """What one place or junction takes, before waste."""

    where: str
    least: Fraction
    greatest: Fraction | None
    how: str


@dataclass
class Item:
    """One line of the buying list. Amounts are in `unit`; `each` is what one bag or tube holds, in the same unit."""

    kind: str
    name: str
    unit: str
    waste: Fraction
    whole: bool = False
    parts: list[Part] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    notes: dict[str, None] = field(default_factory=dict)
    each: Fraction | None = None
    pack: tuple[str, str] = ("", "")  # what one is called, and several

    @property
    def step(self) -> str:
        """The step of the work that needs it."""
        return GOODS[self.kind].step

    @property
    def least(self) -> Fraction:
        return self._with_waste(sum((part.least for part in self.parts), Fraction(0)))

    @property
    def greatest(self) -> Fraction | None:
        ends = [part.greatest for part in self.parts]
        return None if None in ends else self._with_waste(sum(ends, Fraction(0)))

    @property
    def packs(self) -> tuple[int, int | None] | None:
        """Bags or tubes for the least and the greatest."""
        if self.each is None:
            return None
        greatest = self.greatest
        return whole_above(self.least / self.each), None if greatest is None else whole_above(greatest / self.each)

    def _with_waste(self, amount: Fraction) -> Fraction:
        more = amount * (1 + self.waste)
        return Fraction(whole_above(more)) if self.whole else more


def wastes_of(texts: list[str]) -> dict[str, Fraction]:
    """The waste of each item: `10 %` is for all, `tile 15 %` for one. Raises AmountProblem."""
    wastes = dict(USUAL_WASTE)
    for text in texts:
        words, _, _ = text.strip().partition(next((c for c in text if c.isdigit() or c in ".-"), "\0"))
        kind = words.strip(" =:").lower()
        if kind and kind not in ITEMS:
            hint = did_you_mean(kind, ITEMS)
            raise AmountProblem(f"nothing on the list is called `{kind}`", hint + ", ".join(ITEMS))
        part = amounts.exact(text.strip()[len(words) :] if kind else text, "proportion") / RATIO
        for each in (kind,) if kind else ITEMS:
            wastes[each] = part
    return wastes
