"""The same rules and the same places through this project's columns and through everything else a desk might use.

    python -m tests.speed.peers [ROWS]

The rules are those of the shipped book that compare facts of a place with constants: the largest subset every peer can
write. Each peer's rules are written in its own language from the same list of comparisons. Two tables are used: one of
half-known places, judged as the pair (surely, possibly), and its first rows completed to single values, judged yes or no,
for rule libraries that know no other. Outcomes are checked to be identical before anything is timed; libraries run on as many
rows as they manage in a few seconds, and rows a second are compared.
"""

import json
import resource
import sys
import time
from collections.abc import Callable
from random import Random

import numpy as np
import polars as pl

from tests.speed.constant_rules import (
    ARRAYS, BREACH, FAILS_IF, MOST, NOT_APPLICABLE, NOTHING, OPEN, PASS, WAITS, Rules, as_lists, by_hand_in_polars,
    closures, in_python, judged_by_columns, leaves, slots_of, texts,
)  # fmt: skip
from validator.language.amounts import NO_GREATEST, NO_LEAST
from validator.rulebook.fusing import All, Always, AmountIn, Any, Test, WordIn

SQL = {"and": " AND ", "or": " OR ", "true": "TRUE", "false": "FALSE", "column": "{}", "is zero": "(({} & {}) = 0)", "not zero": "(({} & {}) <> 0)"}


def by_hand_in_python(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    lines = in_python(rules)
    names = ", ".join(table.columns)
    space: dict[str, object] = {}
    exec(f"def judge({names}):\n return [" + ",\n".join(lines) + "]", space)  # noqa: S102 - our own text
    rows = table.rows()
    return lambda: [space["judge"](*row) for row in rows]


def by_hand_in_numpy(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    space = {name: table[name].to_numpy() for name in table.columns} | {"yes": np.True_, "no": np.False_}
    codes = [tuple(compile(text, "rule", "eval") for text in each) for each in texts(rules, ARRAYS)]

    def judge() -> list:
        out = []
        for each in codes:
            a, p, r, q = (eval(code, space) for code in each)  # noqa: S307 - our own text
            settled = np.where(r, np.where(a, PASS, NOTHING), np.where(q, np.where(a, OPEN, WAITS), np.where(a, BREACH, FAILS_IF)))
            out.append(np.where(p, settled, NOT_APPLICABLE).astype(np.uint8))
        return out

    return judge


def by_hand_in_sql(rules: Rules, table: pl.DataFrame) -> Callable[[], object]:
    import duckdb

    link = duckdb.connect()
    link.execute("SET threads TO 1")
    link.register("given", table.to_arrow())
    link.execute("CREATE TABLE places AS SELECT * FROM given")
    cases = [
        f"CAST(CASE WHEN NOT {p} THEN {NOT_APPLICABLE} WHEN {r} THEN CASE WHEN {a} THEN {PASS} ELSE {NOTHING} END "
        f"WHEN {q} THEN CASE WHEN {a} THEN {OPEN} ELSE {WAITS} END ELSE CASE WHEN {a} THEN {BREACH} ELSE {FAILS_IF} END END AS UTINYINT) AS r{n}"
        for n, (a, p, r, q) in enumerate(texts(rules, SQL))
    ]
    query = f"SELECT {', '.join(cases)} FROM places"
    return lambda: link.execute(query).to_arrow_table()


# -- rule libraries, yes or no, on settled rows ------------------------------------------------------------------------------------


def said(test: Test, leaf: Callable[[Test], str], both: str, either: str) -> str:
    if isinstance(test, (All, Any)):
        return "(" + (both if isinstance(test, All) else either).join(said(m, leaf, both, either) for m in test.members) + ")"
    return leaf(test)


def comparison(test: Test, name: str, equals: str, both: str, either: str, yes: str, no: str) -> str:
    """A comparison of one settled value, with words as whole numbers."""
    match test:
        case Always(holds):
            return yes if holds else no
        case WordIn(slot, mask):
            each = [f"{name.format(slot)} {equals} {1 << bit}" for bit in range(mask.bit_length()) if mask >> bit & 1]
            return "(" + either.join(each) + ")"
        case AmountIn(slot, ranges):
            parts = []
            for low, high in ranges:
                sides = [f"{name.format(slot)} >= {low}"] if low != NO_LEAST else []
                sides += [f"{name.format(slot)} <= {high}"] if high != NO_GREATEST else []
                parts.append("(" + both.join(sides or [yes]) + ")")
            return "(" + either.join(parts) + ")"
    raise TypeError(test)


def flat(rules: Rules, table: pl.DataFrame) -> list[dict[str, int]]:
    names = {slot: f"a{slot}" if fact.is_amount else f"w{slot}" for slot, fact in rules.facts.items()}
    return [{f"f{slot}": row[name] for slot, name in names.items()} for row in table.iter_rows(named=True)]


def with_rule_engine(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    import rule_engine

    leaf = lambda t: comparison(t, "f{}", "==", " and ", " or ", "true", "false")  # noqa: E731
    made = [tuple(rule_engine.Rule(said(x, leaf, " and ", " or ")) for x in (t.applies, t.requires)) for t in rules.trees]
    rows = flat(rules, table)
    return lambda: [[_yes_no(a.matches(row), lambda: r.matches(row)) for a, r in made] for row in rows]  # noqa: B023


def with_cel(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    import celpy

    env = celpy.Environment()
    leaf = lambda t: comparison(t, "f{}", "==", " && ", " || ", "true", "false")  # noqa: E731
    made = [tuple(env.program(env.compile(said(x, leaf, " && ", " || "))) for x in (t.applies, t.requires)) for t in rules.trees]
    rows = [{name: celpy.celtypes.IntType(value) for name, value in row.items()} for row in flat(rules, table)]
    return lambda: [[_yes_no(bool(a.evaluate(row)), lambda: bool(r.evaluate(row))) for a, r in made] for row in rows]  # noqa: B023


def with_json_logic(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    from json_logic import jsonLogic

    def logic(test: Test) -> object:
        match test:
            case All(members) | Any(members):
                return {"and" if isinstance(test, All) else "or": [logic(m) for m in members]}
            case Always(holds):
                return holds
            case WordIn(slot, mask):
                return {"in": [{"var": f"f{slot}"}, [1 << bit for bit in range(mask.bit_length()) if mask >> bit & 1]]}
            case AmountIn(slot, ranges):
                parts = []
                for low, high in ranges:
                    sides = [{">=": [{"var": f"f{slot}"}, low]}] if low != NO_LEAST else []
                    sides += [{"<=": [{"var": f"f{slot}"}, high]}] if high != NO_GREATEST else []
                    parts.append({"and": sides})
                return {"or": parts}

    made = [(logic(t.applies), logic(t.requires)) for t in rules.trees]
    rows = flat(rules, table)
    return lambda: [[_yes_no(bool(jsonLogic(a, row)), lambda: bool(jsonLogic(r, row))) for a, r in made] for row in rows]  # noqa: B023


def with_clips(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    import clips

    def lisp(test: Test) -> str:
        match test:
            case All(members) | Any(members):
                return f"({'and' if isinstance(test, All) else 'or'} {' '.join(lisp(m) for m in members)})"
            case Always(holds):
                return "TRUE" if holds else "FALSE"
            case WordIn(slot, mask):
                each = [f"(= ?f{slot} {1 << bit})" for bit in range(mask.bit_length()) if mask >> bit & 1]
                return f"(or {' '.join(each)})" if len(each) > 1 else each[0]
            case AmountIn(slot, ranges):
                parts = []
                for low, high in ranges:
                    sides = [f"(>= ?f{slot} {low})"] if low != NO_LEAST else []
                    sides += [f"(<= ?f{slot} {high})"] if high != NO_GREATEST else []
                    parts.append(sides[0] if len(sides) == 1 else f"(and {' '.join(sides)})")
                return parts[0] if len(parts) == 1 else f"(or {' '.join(parts)})"

    env = clips.Environment()
    env.build("(deftemplate place " + " ".join(f"(slot f{slot})" for slot in rules.facts) + ")")
    found: dict[int, int] = {}
    env.define_function(lambda number, met: found.__setitem__(int(number), PASS if str(met) == "TRUE" else BREACH), "note")
    for n, t in enumerate(rules.trees):
        slots = " ".join(f"(f{slot} ?f{slot})" for slot in sorted(slots_of(t.applies) | slots_of(t.requires)))
        env.build(f"(defrule r{n} (place {slots}) (test {lisp(t.applies)}) => (note {n} {lisp(t.requires)}))")
    template = env.find_template("place")
    rows = flat(rules, table)

    def judge() -> list:
        out = []
        for row in rows:
            found.clear()
            fact = template.assert_fact(**row)
            env.run()
            fact.retract()
            out.append([found.get(n, NOT_APPLICABLE) for n in range(len(rules.trees))])
        return out

    return judge


def with_durable_rules(rules: Rules, table: pl.DataFrame) -> Callable[[], list]:
    """Alone and unfenced: amounts become ranks, since that library compares whole numbers as doubles."""
    from durable.lang import assert_fact, delete_state, m, ruleset, when_all

    ranks: dict[int, list[int]] = {}
    rows = flat(rules, table)
    for slot, fact in rules.facts.items():
        cuts = {end for t in rules.trees for leaf in leaves((t.applies, t.requires)) if isinstance(leaf, AmountIn) and leaf.slot == slot
                for low, high in leaf.ranges for end in (low, high + 1) if abs(end) < MOST}  # fmt: skip
        ranks[slot] = sorted(cuts) if fact.is_amount else []

    def rank(slot: int, value: int) -> int:
        return int(np.searchsorted(ranks[slot], value, side="right"))

    def logic(test: Test):
        match test:
            case All(members) | Any(members):
                found = logic(test.members[0])
                for member in members[1:]:
                    found = found & logic(member) if isinstance(test, All) else found | logic(member)
                return found
            case WordIn(slot, mask):
                found = None
                for bit in range(mask.bit_length()):
                    if mask >> bit & 1:
                        one = getattr(m, f"f{slot}") == 1 + bit
                        found = one if found is None else found | one
                return found
            case AmountIn(slot, ranges):
                found = None
                for low, high in ranges:
                    one = None
                    field = getattr(m, f"f{slot}")
                    if low != NO_LEAST:
                        one = field >= rank(slot, low)
                    if high != NO_GREATEST:
                        top = field <= rank(slot, high)
                        one = top if one is None else one & top
                    found = one if found is None else found | one
                return found

    found: dict[int, int] = {}
    name = "peers"
    with ruleset(name):
        for n, t in enumerate(rules.trees):
            if any(isinstance(leaf, Always) for leaf in leaves((t.applies, t.requires))):
                continue

            def applied(c, n=n):
                found.setdefault(n, BREACH)

            def met(c, n=n):
                found[n] = PASS

            when_all(logic(t.applies))(applied)
            when_all(logic(t.applies) & logic(t.requires))(met)
    held = [
        {key: rank(int(key[1:]), value) if rules.facts[int(key[1:])].is_amount else value.bit_length() for key, value in row.items()}
        for row in rows
    ]

    def judge() -> list:
        out = []
        for number, row in enumerate(held):
            found.clear()
            assert_fact(name, {"sid": f"s{number}", "id": f"s{number}", **row})
            delete_state(name, f"s{number}")
            out.append([found.get(n, NOT_APPLICABLE) for n in range(len(rules.trees))])
        return out

    return judge


def _yes_no(applies: bool, met: Callable[[], bool]) -> int:
    return NOT_APPLICABLE if not applies else PASS if met() else BREACH


# -- measuring ---------------------------------------------------------------------------------------------------------------------


def timed(work: Callable[[], object], times: int) -> float:
    """The least seconds of one core that some work takes: processor time, so that a busy machine does not count."""
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        work()
        best = min(best, time.process_time() - start)
    return best


def main(rows: int) -> list[dict[str, object]]:
    rules = Rules()
    table = rules.table(rows)
    checked = table.head(2_000)
    expected = as_lists(closures(rules, checked)())
    report: list[dict[str, object]] = []
    pairs = [("columns", judged_by_columns, rows, 3), ("hand-written Polars", by_hand_in_polars, rows, 3),
             ("hand-written NumPy", by_hand_in_numpy, rows, 1), ("DuckDB SQL", by_hand_in_sql, rows, 1),
             ("Python closures", closures, 20_000, 2), ("hand-written Python", by_hand_in_python, 20_000, 2)]  # fmt: skip
    for name, make, number, times in pairs:
        assert as_lists(make(rules, checked)()) == expected, f"{name} comes to something else"
        report.append(_measured(name, make, rules, table.head(number), times))
    settled = rules.settled(table, 3_000)
    expected = as_lists(judged_by_columns(rules, settled)())
    for name, make, number in (("CLIPS", with_clips, 1_000), ("rule-engine", with_rule_engine, 300), ("JSON logic", with_json_logic, 300),
                               ("CEL", with_cel, 30), ("durable-rules", with_durable_rules, 300)):  # fmt: skip
        try:
            row = _measured(name, make, rules, settled.head(number), 1)
        except _stops(name) as problem:
            report.append({"name": name, "stopped": str(problem)})
            continue
        agree = as_lists(row.pop("found"))
        row["agrees"] = agree == expected[:number]
        report.append(row)
    for row in report:
        row.pop("found", None)
        if "stopped" not in row:
            row["columns are faster by"] = round(report[0]["rows a second"] / row["rows a second"], 1)
    return [{"rules": len(rules.trees), "rows": rows, "facts": len(rules.facts)}, *report]


def _stops(name: str) -> tuple[type[BaseException], ...]:
    """What a library is known to raise in the middle of sound work."""
    if name != "durable-rules":
        return ()
    import durable_rules_engine

    return (durable_rules_engine.error,)


def _measured(name: str, make: Callable, rules: Rules, table: pl.DataFrame, times: int) -> dict[str, object]:
    start = time.perf_counter()
    work = make(rules, table)
    compiled = time.perf_counter() - start
    found: list = []
    took = timed(lambda: found.append(work()), times)
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return {"name": name, "rows a second": round(table.height / took), "made in s": round(compiled, 2), "most MiB so far": memory, "found": found[-1]}


if __name__ == "__main__":
    Random(0)
    for line in main(int(sys.argv[1]) if len(sys.argv) > 1 else 1_000_000):
        print(json.dumps(line), flush=True)
