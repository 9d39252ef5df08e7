"""Derives facts over columns: layers aggregated, formulas, workings and consequences, in the order of the book.

Each step writes what the deciding engine would, in the frame of places and in the frame of the fact's own layers.
"""

import polars as pl

from validator.engines.columns.bits import Bit, Number, Pair, any_of, both, either, no, pick
from validator.engines.columns.formulas import Answers, fewest, in_columns, most, summed, worked_once_each
from validator.engines.columns.places import PLACE, PRESENCE, column_type, several, unseen
from validator.engines.columns.plan import PLACES, Frames, Plan, Sheet
from validator.engines.columns.trees import answers
from validator.engines.deriving import Work
from validator.facts.possible import with_implied
from validator.facts.vocabulary import NONE, THERE, Fact
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook import formulas
from validator.rulebook.book import Book
from validator.rulebook.dependencies import reads_of
from validator.rulebook.derived import Contribution, DerivedFact

INT = pl.Int64()


class ColumnsDeriver:
    """Plans what is derived for places of one sort, and for each kind of layers that a table has."""

    def __init__(self, book: Book, work: Work, answers: dict[tuple[object, ...], Answers], plan: Plan, places: Sheet, layers: dict[str, Sheet]) -> None:
        self.book, self.work, self.answers, self.plan = book, work, answers, plan
        self.vocabulary = book.vocabulary
        self.places, self.layers = places, layers
        self.slots = places.slots
        self.two_ways: dict[str, str] = {}  # by fact, the column that says where what is stated of it cannot be so
        self.remembered: dict[str, Bit] = {}  # by fact, where what it comes to rests on a sum with remembered values

    def derive(self, order: list[DerivedFact]) -> None:
        """Plan every derived fact."""
        for derived in order:
            slot = self.slots[derived.fact.name]
            stated, kept = self.places.stated(slot), either(self.places.stated(slot), self.places.given(slot))
            worked: Bit = no(kept) if derived.fact.aggregate else False
            firm: Bit = True
            concluded: Bit = False
            if derived.fact.aggregate:
                self._aggregate(derived.fact)
            own = self.layers.get(derived.fact.thing)
            for sheet in (self.places, own) if own else (self.places,):
                if derived.formula or derived.working:
                    is_firm = self._work_out(derived, sheet)
                    worked, firm = (no(kept), is_firm) if sheet is self.places else (worked, firm)
                if derived.contributions or derived.fact.concluded:
                    fired = self._conclude(derived, sheet)
                    concluded = fired if sheet is self.places else concluded
            if own and not derived.fact.aggregate:
                self._gather(derived.fact, own)
            above = either(*(self.remembered.get(name, False) for name in reads_of(self.book, derived)))
            rests = either(both(worked, no(concluded), no(firm)), both(either(worked, concluded), above))
            self._keep_remembered(derived.fact.name, both(no(stated), rests))

    def _keep_remembered(self, fact: str, rests: Bit) -> None:
        if isinstance(rests, pl.Expr):
            name = self.plan.fresh()
            self.places.add({name: rests})
            rests = pl.col(name)
        if rests is not False:
            self.remembered[fact] = rests

    def _gather(self, fact: Fact, layers: Sheet) -> None:
        """What was derived for each of several layers is, at the place, what any of them could be."""
        slot, sheet, kind = self.slots[fact.name], self.places, column_type(fact)
        has = sheet.flag(several(fact.thing))
        hows = ("min", "max") if fact.is_amount else ("bitwise_and", "bitwise_or") if fact.is_together else ("bitwise_or",)
        folds: dict[str, pl.Expr] = {}
        found: list[Number | Bit] = []
        for part, how in zip((*layers.parts(slot), layers.stated(slot)), (*hows, "all")):
            if isinstance(part, pl.Expr):
                name = self.plan.fresh()
                folds[name] = getattr(part, how)()
                part = pl.col(name)
            found.append(part)
        if folds:
            self._to_places(layers, folds)
        *parts, is_stated = found
        given, was = sheet.given(slot), sheet.stated(slot)
        here = both(has, no(given))
        sheet.write(
            slot, [pick(here, new, old, kind) for new, old in zip(parts, sheet.parts(slot))], pick(here, is_stated, was, pl.Boolean())
        )

    # -- aggregates --------------------------------------------------------------------------------------------------------------

    def _aggregate(self, fact: Fact) -> None:
        how, base = fact.aggregate
        kind = base if how == "count" else self.vocabulary.fact(base).thing
        slot = self.slots[fact.name]
        sheet = self.places
        (presence,) = sheet.parts(self.slots[kind])
        sure, there = (presence & NONE) == 0, (presence & THERE) != 0
        value = (pick(sure, 1, 0, INT), pick(there, 1, 0, INT)) if how == "count" else self._of_one(how, base, sure, there)
        members = there
        if kind in self.layers:
            found = self._over_layers(how, base, self.layers[kind])
            has = sheet.flag(several(kind))
            value = tuple(pick(has, many, one, INT) for many, one in zip(found, value))
            members = either(has, there)
        if how in ("count", "total"):
            more = both(members, self._unseen(kind))
            value = (value[0], pick(more, NO_GREATEST, value[1], INT))
        keep = either(sheet.given(slot), sheet.stated(slot))
        sheet.write(slot, [pick(keep, old, new, INT) for old, new in zip(sheet.parts(slot), value)])

    def _unseen(self, kind: str) -> Bit:
        """A table that does not say whether there may be more of a kind has said nothing of it."""
        return self.places.flag(unseen(kind)) if unseen(kind) in self.places.columns else True

    def _of_one(self, how: str, base: str, sure: Bit, there: Bit) -> tuple[Number, Number]:
        """The aggregate over what one row says: no layer, or one that is there or may be."""
        low, high = self.places.parts(self.slots[base])
        if how == "total":
            least = pick(both(sure, there), most([low, 0]), 0, INT)
            return least, pick(there, high, 0, INT)
        return pick(there, low, NO_LEAST, INT), pick(there, high, NO_GREATEST, INT)

    def _over_layers(self, how: str, base: str, layers: Sheet) -> tuple[pl.Expr, pl.Expr]:
        sure = pl.col(PRESENCE) == THERE
        if how == "count":
            least, greatest = sure.sum(), pl.len()
        else:
            low, high = (pl.lit(p, dtype=INT) if isinstance(p, int) else p for p in layers.parts(self.slots[base]))
            # Kept as a column first, so that a value that is the same in every row still has a row for each layer.
            names = [self.plan.fresh(), self.plan.fresh()]
            layers.add(dict(zip(names, (low, high))))
            low, high = (pl.col(name) for name in names)
            sure_low, sure_high = low.filter(sure), high.filter(sure)
            if how == "total":
                endless = (high == NO_GREATEST).any()
                least = pl.max_horizontal(low, pl.lit(0, dtype=INT)).filter(sure).sum()
                greatest = pl.when(endless).then(pl.lit(NO_GREATEST, dtype=INT)).otherwise(
                    high.filter(high != NO_GREATEST).sum()
                )  # fmt: skip
            elif how == "least":
                least = low.min()
                greatest = pl.when(sure.any()).then(sure_high.min()).otherwise(high.max())
            else:
                least = pl.when(sure.any()).then(sure_low.max()).otherwise(low.min())
                greatest = high.max()
        names = [self.plan.fresh(), self.plan.fresh()]
        self._to_places(layers, {names[0]: least.cast(INT), names[1]: greatest.cast(INT)})
        return pl.col(names[0]), pl.col(names[1])

    def _to_places(self, layers: Sheet, aggregates: dict[str, pl.Expr]) -> None:
        """A step that aggregates layers into columns of their places; in places without them the columns mean nothing."""
        kind, exprs = layers.name, [expr.alias(name) for name, expr in aggregates.items()]

        def step(frames: Frames) -> None:
            aggregated = frames[kind].group_by(PLACE, maintain_order=True).agg(exprs)
            frames[PLACES] = spread_over(frames[PLACES], aggregated)

        self.plan.do_alone(step)
        self.places.columns |= set(aggregates)

    # -- sums and workings --------------------------------------------------------------------------------------------------

    def _work_out(self, derived: DerivedFact, sheet: Sheet) -> Bit:
        """Writes what a sum comes to. Returns where it rests on nothing that is only remembered."""
        firm: Bit = True
        fact, slot = derived.fact, self.slots[derived.fact.name]
        inputs = formulas.facts_of(derived.formula) if derived.formula else list(derived.inputs)
        if derived.formula and in_columns(derived.formula):
            value = summed(derived.formula, fact.thing, sheet)
        else:
            value, firm = worked_once_each(derived, sheet, self.work, self.answers)
        low, high = fact.always
        if (low, high) != (NO_LEAST, NO_GREATEST):
            cut = (most([value[0], low]), fewest([value[1], high]))
            meets = cut[0] <= cut[1]
            value = tuple(pick(meets, c, v, INT) for c, v in zip(cut, value))
        keep = either(sheet.given(slot), sheet.stated(slot))
        all_stated = both(*(sheet.stated(self.slots[name]) for name in inputs))
        is_stated = either(sheet.stated(slot), both(no(sheet.given(slot)), all_stated))
        sheet.write(slot, [pick(keep, old, new, INT) for old, new in zip(sheet.parts(slot), value)], is_stated)
        return firm

    # -- consequences -------------------------------------------------------------------------------------------------------

    def _conclude(self, derived: DerivedFact, sheet: Sheet) -> Bit:
        """Writes what consequences say. Returns where some consequence said it."""
        fact, slot = derived.fact, self.slots[derived.fact.name]
        given = [(contribution, self._answer(contribution, fact, sheet)) for contribution in derived.contributions]
        new: dict[str, pl.Expr] = {}
        given = [(contribution, sheet.kept(answer, new)) for contribution, answer in given]
        sheet.add(new)
        old, is_stated, keep = sheet.parts(slot), sheet.stated(slot), sheet.given(slot)
        if fact.concluded:
            value, clash = self._concluded(fact, given, old, is_stated)
        else:
            value, clash = self._narrowed(fact, given, old)
        kind = column_type(fact)
        if sheet is self.places and isinstance(clash, pl.Expr):
            name = self.two_ways[fact.name] = self.plan.fresh()
            sheet.add({name: both(no(keep), clash)})
            clash = pl.col(name)
        value = [pick(keep, was, now, kind) for was, now in zip(old, value)]
        says = either(*(possibly for _, (_, possibly) in given))
        if not fact.concluded:
            says = both(says, either(*(now != was for was, now in zip(old, value))))
        if isinstance(says, pl.Expr):
            name = self.plan.fresh()
            sheet.add({name: says})
            says = pl.col(name)
        sheet.write(slot, value, both(is_stated, either(keep, no(clash))))
        return both(says, no(keep))

    def _answer(self, contribution: Contribution, fact: Fact, sheet: Sheet) -> Pair:
        """Whether a consequence holds; of a kind with several layers it holds when it does of one of them."""
        (holds,) = answers(sheet, [contribution.when])
        kinds = [kind for kind in contribution.kinds if kind in self.layers and kind != fact.thing]
        if sheet is not self.places or not kinds:
            return holds
        some: list[Bit] = []
        every: list[Bit] = []
        possible: list[Bit] = []
        has_any: list[Bit] = []
        for kind in kinds:
            has = sheet.flag(several(kind))
            (own,) = answers(self.layers[kind], [contribution.when])
            is_there = pl.col(PRESENCE) == THERE
            aggregated = self._aggregated_bits(self.layers[kind], [both(own[0], is_there), own[0], own[1]])
            some.append(both(has, aggregated[0][0]))
            every.append(either(no(has), aggregated[1][1]))
            possible.append(both(has, aggregated[2][0]))
            has_any.append(has)
        has = either(*has_any)
        surely, possibly = either(*some, both(*every)), either(*possible)
        return pick(has, surely, holds[0], pl.Boolean()), pick(has, possibly, holds[1], pl.Boolean())

    def _aggregated_bits(self, layers: Sheet, bits: list[Bit]) -> list[tuple[Bit, Bit]]:
        """For each bit of layers, whether any has it, and whether all do."""
        aggregates: dict[str, pl.Expr] = {}
        found: list[tuple[Bit, Bit]] = []
        for bit in bits:
            if isinstance(bit, bool):
                found.append((bit, bit))
                continue
            names = self.plan.fresh(), self.plan.fresh()
            aggregates |= {names[0]: bit.any(), names[1]: bit.all()}
            found.append((pl.col(names[0]), pl.col(names[1])))
        if aggregates:
            self._to_places(layers, aggregates)
        return found

    def _concluded(
        self, fact: Fact, given: list[tuple[Contribution, Pair]], old: tuple[Number, ...], is_stated: Bit
    ) -> tuple[tuple[Number, ...], Bit]:
        """The value of a concluded fact, and whether what is stated of it contradicts."""
        kind = column_type(fact)
        if fact.concluded == "flag":
            surely, possibly = any_of([answer for _, answer in given])
            (was,) = old
            alone = pick(surely, 2, pick(possibly, 3, 1, kind), kind)
            denied = (was & 2) == 0
            # A flag that surely follows stands; stated otherwise, it is either of the two.
            told = pick(surely, pick(denied, was | 2, 2, kind), was, kind)
            return (pick(is_stated, told, alone, kind),), both(is_stated, surely, denied)
        if fact.concluded == "greatest holds":
            value = self._greatest_holds(fact, given)
            (was,) = old
            above = _greatest_holds(value, fact, kind)
            agreed = was & above
            clash = agreed == 0
            told = pick(clash, was | value, agreed, kind)
            return (pick(is_stated, told, value, kind),), both(is_stated, clash)
        surely = _implied(fact, _gathered(given, 0, kind), kind)
        possibly = _implied(fact, surely | _gathered(given, 1, kind), kind)
        return (
            pick(is_stated, old[0] | surely, surely, kind), pick(is_stated, old[1] | possibly, possibly, kind)
        ), False  # fmt: skip

    def _greatest_holds(self, fact: Fact, given: list[tuple[Contribution, Pair]]) -> Number:
        """The greatest word surely given, and every greater one possibly given."""
        kind = column_type(fact)
        least = 1 << fact.words.index(fact.otherwise) if fact.otherwise else 1
        by_mask: dict[int, list[Pair]] = {}
        for contribution, answer in given:
            by_mask.setdefault(contribution.mask, []).append(answer)
        by_word = sorted((mask, any_of(pairs)) for mask, pairs in by_mask.items() if mask > least)
        # From the top down: above a word that surely holds, what may hold is possible too.
        found: Number = 0
        above: Number = 0
        settled: Bit = False
        for mask, (surely, possibly) in reversed(by_word):
            found = pick(both(no(settled), surely), above | mask, found, kind)
            above = above | pick(possibly, mask, 0, kind)
            settled = either(settled, surely)
        return pick(settled, found, above | least, kind)

    def _narrowed(
        self, fact: Fact, given: list[tuple[Contribution, Pair]], old: tuple[Number, ...]
    ) -> tuple[tuple[Number, ...], Bit]:
        """A stated fact without the words that sure consequences take away; when nothing is left, any of what was said."""
        kind = column_type(fact)
        if fact.is_together:
            said = _gathered(given, 0, kind)
            some = either(*(surely for _, (surely, _) in given))
            surely = _implied(fact, old[0] | said, kind)
            clash = both(some, (surely & ~old[1]) != 0)
            # Nothing but the word lists themselves can be common to all of what was said.
            common = old[0]
            for contribution, (sure, _) in given:
                common = common & pick(sure, contribution.mask, fact.every_word, kind)
            value = (
                pick(some, pick(clash, common, surely, kind), old[0], kind),
                pick(clash, fact.every_word, old[1], kind),
            )
            return value, clash
        agreed = old[0]
        said = old[0]
        for contribution, (sure, _) in given:
            agreed = agreed & pick(sure, contribution.mask, fact.every_word, kind)
            said = said | pick(sure, contribution.mask, 0, kind)
        clash = agreed == 0
        return (pick(clash, said, agreed, kind),), clash


def spread_over(places: pl.DataFrame, aggregated: pl.DataFrame) -> pl.DataFrame:
    """Columns of folds beside the rows of their places; nothing, as zero or false, where a place has none."""
    at = aggregated[PLACE]
    columns = []
    for series in aggregated.get_columns():
        if series.name == PLACE:
            continue
        whole = pl.zeros(places.height, dtype=series.dtype, eager=True) if series.dtype != pl.Boolean else pl.repeat(
            False, places.height, dtype=pl.Boolean, eager=True
        )  # fmt: skip
        columns.append(whole.scatter(at, series).alias(series.name))
    return places.with_columns(columns)


def _gathered(given: list[tuple[Contribution, Pair]], side: int, kind: pl.DataType) -> Number:
    """The words that consequences surely (side 0) or possibly (side 1) give."""
    found: Number = 0
    for contribution, answer in given:
        found = found | pick(answer[side], contribution.mask, 0, kind)
    return found


def _implied(fact: Fact, mask: Number, kind: pl.DataType) -> Number:
    """Words together with everything those words give."""
    if isinstance(mask, int):
        return with_implied(fact, mask)
    whole = mask
    for bit in range(len(fact.words)):
        closure = with_implied(fact, 1 << bit)
        if closure != 1 << bit:
            whole = whole | pick((mask & (1 << bit)) != 0, closure, 0, kind)
    return whole


def _greatest_holds(value: Number, fact: Fact, kind: pl.DataType) -> Number:
    """The least word of a mask and every word above it."""
    if isinstance(value, int):
        return fact.every_word & ~((value & -value) - 1)
    found: Number = 0
    for bit in reversed(range(len(fact.words))):
        found = pick((value & (1 << bit)) != 0, fact.every_word & ~((1 << bit) - 1), found, kind)
    return found

