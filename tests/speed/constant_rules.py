"""The rules of the shipped book that compare facts of a place with constants, a table of places for them, and two other ways
to judge it: plain closures of Python, and Polars as somebody who knows it would write the rules by hand.
"""

import re
from collections.abc import Callable

import numpy as np
import polars as pl

from validator.engines.closures import NOT, SURELY, closure_of
from validator.engines.columns import Columns, Places
from validator.engines.columns.places import column_type
from validator.judging.loading import load_book
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import All, Always, AmountIn, Any, Test, WordIn
from validator.rulebook.shelf import book_folder
from validator.rulebook.trees import RuleTrees

MOST = 1 << 55
PASS, BREACH, OPEN, FAILS_IF, WAITS, NOTHING, NOT_APPLICABLE = 7, 0, 2, 3, 5, 8, 9


def simple(test: Test) -> bool:
    if isinstance(test, (All, Any)):
        return all(simple(member) for member in test.members)
    return isinstance(test, (AmountIn, WordIn, Always))


class Rules:
    """The chosen rules, with the columns they read."""

    def __init__(self) -> None:
        self.loaded = load_book(book_folder("us"))
        chosen = [
            t for t in self.loaded.book.trees.values()
            if t.sort == "place" and not t.exceptions and t.breached is None and simple(t.applies) and simple(t.requires)
        ]  # fmt: skip
        self.trees: list[RuleTrees] = chosen
        slots = {s for t in chosen for s in (*slots_of(t.applies), *slots_of(t.requires))}
        names = {slot: name for name, slot in self.loaded.engine.deriver.slots.items()}
        self.facts = {slot: self.loaded.vocabulary.fact(names[slot]) for slot in sorted(slots)}

    def table(self, rows: int, seed: int = 1) -> pl.DataFrame:
        """Half-known places: a fifth of all facts not stated, a fifth ranges or sets."""
        chance = np.random.default_rng(seed)
        cuts: dict[int, set[int]] = {}
        for tree in self.trees:
            for test in leaves((tree.applies, tree.requires)):
                if isinstance(test, AmountIn):
                    ends = {end for low, high in test.ranges for end in (low, high) if abs(end) < MOST}
                    cuts.setdefault(test.slot, set()).update(ends)
        made: dict[str, np.ndarray] = {}
        for slot, fact in self.facts.items():
            roll = chance.random(rows)
            if fact.is_amount:
                points = np.array(sorted(p + step for p in cuts[slot] for step in (-1, 0, 1)), dtype=np.int64)
                low = chance.choice(points, rows)
                high = np.where(roll < 0.2, np.maximum(low, chance.choice(points, rows)), low)
                made[f"a{slot}"] = np.where(roll > 0.8, NO_LEAST, low)
                made[f"b{slot}"] = np.where(roll > 0.8, NO_GREATEST, high)
            else:
                one = np.left_shift(np.int64(1), chance.integers(0, len(fact.words), rows))
                two = one | np.left_shift(np.int64(1), chance.integers(0, len(fact.words), rows))
                made[f"w{slot}"] = np.where(roll > 0.8, fact.every_word, np.where(roll < 0.2, two, one))
        return pl.DataFrame(made)

    def settled(self, table: pl.DataFrame, rows: int) -> pl.DataFrame:
        """The first rows with one value for each fact."""
        head = table.head(rows)
        fixed = []
        for slot, fact in self.facts.items():
            if fact.is_amount:
                value = pl.when(pl.col(f"a{slot}") == NO_LEAST).then(0).otherwise(pl.col(f"a{slot}"))
                fixed += [value.alias(f"a{slot}"), value.alias(f"b{slot}")]
            else:
                fixed.append((2 ** pl.col(f"w{slot}").bitwise_trailing_zeros().cast(pl.Int64)).cast(pl.Int64).alias(f"w{slot}"))
        return head.select(fixed)

    def places(self, table: pl.DataFrame) -> Places:
        columns = []
        for slot, fact in self.facts.items():
            kind = column_type(fact)
            if fact.is_amount:
                columns += [pl.col(f"a{slot}").alias(f"{fact.name}:least"), pl.col(f"b{slot}").alias(f"{fact.name}:greatest")]
            else:
                columns.append(pl.col(f"w{slot}").cast(kind).alias(fact.name))
        return Places("place", table.select(columns))


def leaves(tests) -> list[Test]:
    found: list[Test] = []
    for test in tests:
        found += leaves(test.members) if isinstance(test, (All, Any)) else [test]
    return found


def slots_of(test: Test) -> set[int]:
    return {leaf.slot for leaf in leaves((test,)) if not isinstance(leaf, Always)}


# -- one list of comparisons, in each way ------------------------------------------------------------------------------------


def written(test: Test, surely: bool, say: dict[str, str], every: dict[int, int]) -> str:
    """A tree as text. `say` has the language's words: and, or, not zero, is zero, true, false, and how a column is named."""
    match test:
        case All(members) | Any(members):
            joiner = say["and"] if isinstance(test, All) else say["or"]
            return "(" + joiner.join(written(m, surely, say, every) for m in members) + ")"
        case Always(holds):
            return say["true"] if holds else say["false"]
        case WordIn(slot, mask):
            column = say["column"].format(f"w{slot}")
            if surely:
                return say["is zero"].format(column, every[slot] & ~mask)
            return say["not zero"].format(column, mask)
        case AmountIn(slot, ranges):
            a, b = say["column"].format(f"a{slot}"), say["column"].format(f"b{slot}")
            low_of, high_of = (a, b) if surely else (b, a)
            parts = []
            for low, high in ranges:
                sides = [f"({low_of} >= {low})"] if low != NO_LEAST else []
                sides += [f"({high_of} <= {high})"] if high != NO_GREATEST else []
                parts.append("(" + say["and"].join(sides or [say["true"]]) + ")")
            return "(" + say["or"].join(parts) + ")"
    raise TypeError(test)


PYTHON = {"and": " and ", "or": " or ", "true": "True", "false": "False", "column": "{}", "is zero": "(not {} & {})", "not zero": "({} & {} != 0)"}
ARRAYS = {"and": " & ", "or": " | ", "true": "yes", "false": "no", "column": "{}", "is zero": "(({} & {}) == 0)", "not zero": "(({} & {}) != 0)"}


def texts(rules: Rules, say: dict[str, str]) -> list[tuple[str, str, str, str]]:
    """For each rule: applies surely and possibly, required surely and possibly."""
    every = {slot: fact.every_word for slot, fact in rules.facts.items() if not fact.is_amount}
    return [
        tuple(written(tree, sure, say, every) for tree in (t.applies, t.requires) for sure in (True, False)) for t in rules.trees
    ]


OUTCOME = "({nothing} if not {ap} else ({p} if {as_} else {n}) if {rs} else ({o} if {as_} else {w}) if {rp} else ({b} if {as_} else {f}))"


def in_python(rules: Rules) -> list[str]:
    """Each rule as an expression for its outcome."""
    return [
        OUTCOME.format(nothing=NOT_APPLICABLE, p=PASS, n=NOTHING, o=OPEN, w=WAITS, b=BREACH, f=FAILS_IF, as_=a, ap=p, rs=r, rp=q)
        for a, p, r, q in texts(rules, PYTHON)
    ]


def functions(rules: Rules) -> list[tuple[str, Callable[[list], int]]]:
    """Each rule as a programmer would write it: a function of its own, over the vector of a place."""
    space: dict[str, object] = {}
    made = []
    for trees, text in zip(rules.trees, in_python(rules)):
        over_vector = re.sub(r"\b([abw])(\d+)\b", lambda name: f"v[{name[2]}]" + {"a": "[0]", "b": "[1]", "w": ""}[name[1]], text)
        exec(f"def judge(v):\n return {over_vector}", space)  # noqa: S102 - our own text
        made.append((trees.name, space["judge"]))
    return made


def closures(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    """Plain Python closures with the pair (surely, possibly)."""
    made = [(closure_of(t.applies), closure_of(t.requires)) for t in rules.trees]
    size = max(rules.facts) + 1
    vectors = []
    for row in table.iter_rows(named=True):
        vector: list = [0] * size
        for slot, fact in rules.facts.items():
            vector[slot] = (row[f"a{slot}"], row[f"b{slot}"]) if fact.is_amount else row[f"w{slot}"]
        vectors.append(vector)

    def judge(vector: list) -> list[int]:
        out = []
        for applies, requires in made:
            a = applies(vector)
            if a == NOT:
                out.append(NOT_APPLICABLE)
                continue
            r = requires(vector)
            sure = a == SURELY
            out.append((PASS if sure else NOTHING) if r == SURELY else (OPEN if sure else WAITS) if r else BREACH if sure else FAILS_IF)
        return out

    return lambda: [judge(vector) for vector in vectors]


def by_hand_in_polars(rules: Rules, table: pl.DataFrame) -> Callable[[], pl.DataFrame]:
    """As somebody who knows Polars would write each rule; narrow whole numbers, one select."""
    narrow = table.select(
        pl.col(name).cast(column_type(rules.facts[int(name[1:])])) if name[0] == "w" else pl.col(name) for name in table.columns
    )
    space = {name: pl.col(name) for name in table.columns} | {"yes": pl.lit(True), "no": pl.lit(False), "when": pl.when}
    u8 = {n: pl.lit(n, dtype=pl.UInt8) for n in (PASS, BREACH, OPEN, FAILS_IF, WAITS, NOTHING, NOT_APPLICABLE)}

    def rule(a: str, p: str, r: str, q: str) -> pl.Expr:
        a, p, r, q = (eval(text, space) for text in (a, p, r, q))  # noqa: S307 - our own text
        by = lambda x, y: pl.when(a).then(u8[x]).otherwise(u8[y])  # noqa: E731
        return pl.when(~p).then(u8[NOT_APPLICABLE]).when(r).then(by(PASS, NOTHING)).when(q).then(by(OPEN, WAITS)).otherwise(by(BREACH, FAILS_IF))

    exprs = [rule(*each).alias(str(n)) for n, each in enumerate(texts(rules, ARRAYS))]
    return lambda: narrow.lazy().select(exprs).collect()


def judged_by_columns(rules: Rules, table: pl.DataFrame) -> Callable[[], pl.DataFrame]:
    columns = Columns(rules.loaded.book, rules.loaded.engine.deriver.work, trees=rules.trees)
    places, names = rules.places(table), [trees.name for trees in rules.trees]
    return lambda: columns.judge(places, derived=True).outcomes.select(names)


def as_lists(found: object) -> list[list[int]]:
    if isinstance(found, pl.DataFrame):
        return [list(row) for row in found.rows()]
    if hasattr(found, "to_pylist"):
        return [list(row.values()) for row in found.to_pylist()]
    if isinstance(found[0], np.ndarray):
        return [list(map(int, row)) for row in zip(*found)]
    return found
