"""Judges every rule at every row of a table: the table of outcomes as Polars expressions.

An outcome is a small number, its rank from the worst (`outcomes.WORST_FIRST`), so that over several layers the least
of them is the worst. Results are those of the deciding engine, bit for bit.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

import polars as pl

from validator.engines.columns.bits import Bit, Number, Pair, both, either, literal, no, pick
from validator.engines.columns.deriving import ColumnsDeriver, spread_over
from validator.engines.columns.formulas import Answers
from validator.engines.columns.places import PLACE, PRESENCE, ROW, Places, several
from validator.engines.columns.plan import PLACES, Frames, Plan, Sheet
from validator.engines.columns.schedules import Reach, refuse_too_wide
from validator.engines.columns.trees import answers
from validator.engines.deriving import Work
from validator.engines.outcomes import ALWAYS_THERE, NOT_EXCUSED, WORST_FIRST, Outcome
from validator.facts.vocabulary import THERE
from validator.rulebook.book import Book
from validator.rulebook.conditions import facts_read
from validator.rulebook.fusing import Test
from validator.rulebook.trees import RuleTrees

CODE = pl.UInt8()
RANK = {outcome: rank for rank, outcome in enumerate(WORST_FIRST)}
OUTCOMES = pl.Enum([str(outcome) for outcome in WORST_FIRST])
# Of rules whose schedules have remembered rows, or whose sums rest on remembered values: the severity at this place, and whether a breach may be graver.
FAILS, SOFTENED = ":fails", ":softened"


@dataclass(frozen=True, slots=True)
class OutcomeTable:
    """Outcomes of a table: a row a place, and a column a rule, named by it.

    `standings`, of rules whose schedules have remembered rows or whose sums rest on them: whether the rule fails here rather than
    warns, and whether a breach that warns may be a fail. `two_ways`, by fact: whether what is stated of it cannot be so. `same`: the rules that come
    to one outcome in every row, with its rank.
    """

    outcomes: pl.DataFrame
    standings: pl.DataFrame
    two_ways: pl.DataFrame
    same: dict[str, int] = field(default_factory=dict)

    def frames(self) -> tuple[pl.DataFrame, pl.DataFrame, pl.DataFrame]:
        """All three, in the order of the fields."""
        return self.outcomes, self.standings, self.two_ways

    def words(self) -> pl.DataFrame:
        """The outcomes in words."""
        return self.outcomes.select(pl.all().cast(pl.UInt8).replace_strict(list(range(len(WORST_FIRST))), list(OUTCOMES.categories)))


class Follows(NamedTuple):
    """Places with what follows: the columns, and the sheet that knows what is the same in every row."""

    frame: pl.DataFrame
    sheet: Sheet

    def parts(self, fact: str) -> tuple[pl.Series | int, ...]:
        """What is known of a fact in every row."""
        return tuple(part if isinstance(part, int) else self.frame[part.meta.output_name()] for part in self.sheet.parts(self.sheet.slots[fact]))

    def stated(self, fact: str) -> pl.Series | bool:
        """The rows in which somebody stated it."""
        bit = self.sheet.stated(self.sheet.slots[fact])
        return bit if isinstance(bit, bool) else self.frame[bit.meta.output_name()]

    def surely(self, tests: Iterable[Test]) -> list[pl.Series]:
        """Of each condition the rows in which it surely holds."""
        plan = Plan()
        sheet = self.sheet.continued(plan)
        found = [literal(surely, pl.Boolean()).alias(f"{number}") for number, (surely, _) in enumerate(answers(sheet, tests))]
        frame = plan.run({PLACES: self.frame})[PLACES]
        # The row's own column keeps the height where every answer is the same in all rows.
        return frame.with_columns(pl.lit(0, dtype=CODE).alias(ROW)).select(ROW, *found).get_columns()[1:]

    def filter(self, rows: pl.Series) -> "Follows":
        return self._replace(frame=self.frame.filter(rows))


class Columns:
    """A book compiled to columns. Plans are made for the facts a table holds, and kept for its other pieces.

    `trees`: only these rules. `everything`: what no rule of the book leans on is derived too. Raises NotInColumns when a book asks something that columns cannot.
    """

    def __init__(self, book: Book, work: Work, *, trees: Iterable[RuleTrees] | None = None, everything: bool = False) -> None:
        refuse_too_wide([*book.schedules.values(), *(limit.by for limit in book.limits.values() if limit.by is not None)])
        self.book, self.work, self.everything = book, work, everything
        chosen = book.trees.values() if trees is None else tuple(trees)
        self.trees = {sort: [t for t in chosen if t.sort == sort] for sort in ("place", "junction", "job")}
        # A fact named later, by somebody's slip, gets no column.
        self.slots = dict(book.vocabulary.slots)
        self.answers: dict[tuple[object, ...], Answers] = {}  # what workings came to, for every plan
        self._plans: dict[object, Prepared] = {}

    def judge(self, places: Places, *, derived: bool = False, as_told: bool = False) -> OutcomeTable:
        """Every rule judged at this sort of place. `derived`: what follows is in the table already. `as_told`: a way out that
        nobody mentions is not there.
        """
        return self.prepared(places, derived, as_told).judge(places)

    def derive(self, places: Places) -> pl.DataFrame:
        """The places with everything that follows, as columns."""
        return self.prepared(places, False, False).derived(places)

    def prepared(self, places: Places, derived: bool = False, as_told: bool = False) -> "Prepared":
        """The plan for tables with the columns that this one has, kept for others like it."""
        frames = tuple((kind, tuple(frame.columns)) for kind, frame in sorted(places.layers.items()))
        key = (places.sort, derived, as_told, tuple(places.rows.columns), frames, tuple(sorted(places.settled.items())))
        if key not in self._plans:
            self._plans[key] = Prepared(self, places, derived, as_told)
        return self._plans[key]


class Prepared:
    """The plan for tables with one set of columns."""

    def __init__(self, columns: Columns, places: Places, derived: bool, as_told: bool) -> None:
        book = columns.book
        self.as_told, self.book = as_told, book
        vocabulary, slots = book.vocabulary, columns.slots
        self.plan = Plan()
        self.places = Sheet(self.plan, PLACES, vocabulary, slots, places.rows.columns)
        self.places.settled |= places.settled
        self.layers: dict[str, Sheet] = {}
        for kind, frame in places.layers.items():
            sheet = self.layers[kind] = Sheet(self.plan, kind, vocabulary, slots, frame.columns)
            sheet.above = self.places
            sheet.own = frozenset(
                slot for name, slot in slots.items() if (f := vocabulary.fact(name)).thing == kind and not f.aggregate
            )
        self.two_ways: dict[str, Number | Bit] = {}
        self.remembered: dict[str, Bit] = {}
        if not derived:
            needed = book.needed_at.get(places.sort, book.needed)
            order = [each for each in book.order if columns.everything or each.fact.name in needed]
            deriver = ColumnsDeriver(book, columns.work, columns.answers, self.plan, self.places, self.layers)
            deriver.derive(order)
            self.remembered = deriver.remembered
            self.two_ways |= {fact: pl.col(name) for fact, name in deriver.two_ways.items()}
        self.only_derives = self.plan.close()
        self.as_derived = self.places.continued(Plan())  # whence the reading as told goes on
        self.results: dict[str, Number] = {}
        self.standings: dict[str, Number | Bit] = {}
        self._plan_rules(columns.trees[places.sort])
        each = (self.results, CODE), (self.standings, pl.Boolean()), (self.two_ways, pl.Boolean())
        self.made = [[literal(value, kind).alias(name) for name, value in results.items()] for results, kind in each]

    # -- running --------------------------------------------------------------------------------------------------------------

    def derived(self, places: Places) -> pl.DataFrame:
        frames = self._frames(places)
        for step in self.plan.steps[: self.only_derives]:
            step(frames)
        return frames[PLACES].with_columns(
            pl.lit(value).alias(name) for name, value in self.places.settled.items() if name not in frames[PLACES].columns
        )

    def judge(self, places: Places) -> OutcomeTable:
        """What every rule comes to."""
        return self.outcomes_of(self.plan.run(self._frames(places)))

    def judge_and_derive(self, places: Places) -> tuple[OutcomeTable, "Follows"]:
        """What every rule comes to, and the places with what follows, as they were judged."""
        frames = self._frames(places)
        for step in self.plan.steps[: self.only_derives]:
            step(frames)
        derived = frames[PLACES]
        for step in self.plan.steps[self.only_derives :]:
            step(frames)
        return self.outcomes_of(frames), Follows(derived, self.as_derived)

    def outcomes_of(self, frames: Frames) -> OutcomeTable:
        """The results of frames in which every step was taken."""
        # The row's own column keeps the height where every result is the same in all rows.
        rows = frames[PLACES].with_columns(pl.lit(0, dtype=CODE).alias(ROW))
        tables = (rows.select(ROW, *expressions).drop(ROW) for expressions in self.made)
        return OutcomeTable(*tables, {name: code for name, code in self.results.items() if isinstance(code, int)})

    def _frames(self, places: Places) -> Frames:
        return {PLACES: places.rows, **places.layers}

    # -- planning -------------------------------------------------------------------------------------------------------------

    def _plan_rules(self, rules: list[RuleTrees]) -> None:
        found = _outcomes(self.places, rules, True)
        per_kind: dict[str, list[RuleTrees]] = {}
        for trees in rules:
            for kind in trees.things:
                if kind in self.layers:
                    per_kind.setdefault(kind, []).append(trees)
        over = {kind: self._over_layers(kind, each) for kind, each in per_kind.items()}
        new: dict[str, pl.Expr] = {}
        for trees in rules:
            name = trees.name
            value = found[name]
            # The first kind of the rule of which the place has several decides.
            for kind in reversed([kind for kind in trees.things if kind in self.layers]):
                has = self.places.flag(several(kind))
                many = over[kind][name]
                value = tuple(
                    pick(has, a, b, CODE if n == 0 else pl.Boolean()) for n, (a, b) in enumerate(zip(many, value))
                )
            code = self._without_ways_out(name, value[0]) if self.as_told and trees.exceptions else value[0]
            self._keep(name, code, new, self.results)
            rests = self._rests_on_remembered(name)
            if len(value) > 1 or rests is not False:
                fails, softened = value[1:] if len(value) > 1 else (True, False)
                self._keep(name + FAILS, both(fails, no(both(code == RANK[Outcome.BREACH], rests))), new, self.standings)
                self._keep(name + SOFTENED, softened, new, self.standings)
        self.places.add(new)

    def _rests_on_remembered(self, name: str) -> Bit:
        """Where what a rule that fails compares rests on a sum with remembered values, so that a breach of it warns."""
        rule = self.book.rules.get(name)  # a condition of a warranty document is no rule of the book
        if rule is None or rule.severity != "fail" or rule.own_authority:
            return False
        return either(*(self.remembered.get(fact, False) for fact in facts_read(rule.requires)))

    def _without_ways_out(self, name: str, code: Number) -> Number:
        """A breach that only a way out could excuse is one where nothing of that way is mentioned."""
        rule, sheet, slots = self.book.rules[name], self.places, self.places.slots
        own = {*facts_read(rule.applies), *facts_read(rule.requires)}
        mentioned: list[Bit] = []
        for way, (surely, possibly) in zip(rule.other_ways, answers(sheet, [self.book.fuser.fuse(way.when) for way in rule.other_ways])):
            told = [f for f in facts_read(way.when) if f not in own and sheet.vocabulary.fact(f).thing not in ALWAYS_THERE]
            mentioned.append(both(possibly, no(surely), either(*(sheet.stated(slots[f]) for f in told))))
        stays = either(*mentioned)
        for outcome, breach in NOT_EXCUSED.items():
            code = pick(both(code == RANK[outcome], no(stays)), RANK[breach], code, CODE)
        return code

    def _keep(self, name: str, value: Number | Bit, new: dict[str, pl.Expr], kept: dict) -> None:
        if isinstance(value, pl.Expr):
            new[name] = value
            value = pl.col(name)
        kept[name] = value

    def _column(self, value: Number | Bit, new: dict[str, pl.Expr]) -> Number | Bit:
        if not isinstance(value, pl.Expr):
            return value
        name = self.plan.fresh()
        new[name] = value
        return pl.col(name)

    def _over_layers(self, kind: str, rules: list[RuleTrees]) -> dict[str, tuple[Number | Bit, ...]]:
        """The worst outcome over the layers of each place; of equally bad ones the first decides the severity."""
        layers = self.layers[kind]
        judged = _outcomes(layers, rules, pl.col(PRESENCE) == THERE)
        new: dict[str, pl.Expr] = {}
        folds: list[pl.Expr] = []
        found: dict[str, tuple[Number | Bit, ...]] = {}
        for name, value in judged.items():
            columns = tuple(self._column(part, new) for part in value)
            found[name] = columns
            code, *standing = columns
            decides = pl.lit(0) if isinstance(code, int) else code.arg_min()
            folds += [] if isinstance(code, int) else [code.min()]
            folds += [part.get(decides) for part in standing if isinstance(part, pl.Expr)]
        layers.add(new)

        def step(frames: Frames) -> None:
            folded = frames[kind].group_by(PLACE, maintain_order=True).agg(folds)
            frames[PLACES] = spread_over(frames[PLACES], folded)

        if folds:
            self.plan.do_alone(step)
        self.places.columns |= set(new)
        return found


def _outcomes(sheet: Sheet, rules: list[RuleTrees], there: Bit) -> dict[str, tuple[Number | Bit, ...]]:
    """For each rule its outcome, and where its schedules have remembered rows whether it fails and is softened.

    Of a layer that may not be there, what is sure is sure only if it is (`there`).
    """
    asked: dict[Test, None] = {}
    for trees in rules:
        asked.update(dict.fromkeys((*trees.every(), *(t for t in (trees.met, trees.breached) if t is not None))))
        asked.update(dict.fromkeys(part for part, _ in trees.parts))
    pairs = dict(zip(asked, answers(sheet, asked)))
    found: dict[str, tuple[Number | Bit, ...]] = {}
    for trees in rules:
        code = _code(trees, pairs, there)
        found[trees.name] = (code, *_standing(sheet, trees, pairs, code)) if _varies(trees) else (code,)
    return found


def _varies(trees: RuleTrees) -> bool:
    return trees.severity == "fail" and bool(trees.parts)


def _code(trees: RuleTrees, pairs: dict[Test, Pair], there: Bit) -> Number:
    """The table of outcomes: whether the rule applies, whether it is met, whether an exception is."""
    surely, may = pairs[trees.applies]
    sure = both(surely, there)
    met, may_be_met = pairs[trees.requires]
    excepted = either(*(pairs[way][0] for way in trees.exceptions))
    may_be_excepted = either(*(pairs[way][1] for way in trees.exceptions))
    together = both(may_be_excepted, pairs[trees.met][0]) if trees.met is not None else False
    never = no(pairs[trees.breached][1]) if trees.breached is not None else False

    def by_sureness(if_sure: Outcome, if_not: Outcome) -> Number:
        return pick(sure, RANK[if_sure], RANK[if_not], CODE)

    passes = pick(both(no(met), excepted), by_sureness(Outcome.BY_EXCEPTION, Outcome.NOTHING),
                  by_sureness(Outcome.PASS, Outcome.NOTHING), CODE)  # fmt: skip
    breach = pick(may_be_excepted, by_sureness(Outcome.FAILS_UNLESS, Outcome.FAILS_IF_UNLESS),
                  by_sureness(Outcome.BREACH, Outcome.FAILS_IF), CODE)  # fmt: skip
    unsettled = pick(may_be_met, by_sureness(Outcome.OPEN, Outcome.WAITS), breach, CODE)
    applying = pick(either(met, excepted, together, never), passes, unsettled, CODE)
    return pick(may, applying, RANK[Outcome.NOT_APPLICABLE], CODE)


def _standing(sheet: Sheet, trees: RuleTrees, pairs: dict[Test, Pair], code: Number) -> tuple[Bit, Bit]:
    """Whether the rule fails rather than warns, and whether a breach that warns may be a fail."""
    fails: list[Bit] = []
    may_fail: list[Bit] = []
    for part, rows in trees.parts:
        met, may_be_met = pairs[part]
        reaches = [Reach.of(sheet, row) for row in rows]
        fails.append(both(no(met), no(may_be_met), *(reach.all_firm for reach in reaches)))
        may_fail.append(both(no(met), *(reach.some_firm for reach in reaches)))
    is_breach = code == RANK[Outcome.BREACH]
    surely, perhaps = either(*fails), either(*may_fail)
    return either(surely, both(perhaps, no(is_breach))), both(is_breach, perhaps, no(surely))
