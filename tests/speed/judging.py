"""Judging beside other ways to come to the same: functions by hand, places one by one, plain closures, Polars by hand."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, cycle, islice
from pathlib import Path

from mended import every_change, fails_in_a_table, wall
from paths import SAMPLES

from tests.speed.constant_rules import Rules, as_lists, by_hand_in_polars, closures, functions, judged_by_columns
from tests.speed.measuring import Ratio
from validator.advising.mending.changes import changed
from validator.assembly import read_assembly_file
from validator.engines.deciding import RANK, Engine
from validator.facts.subjects import Subject
from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.shelf import book_folder


def judging() -> Iterator[Ratio]:
    loaded = load_book(book_folder("us"))
    rules = Rules()
    yield engine_beside_functions(loaded, rules)
    yield table_beside_one_by_one(loaded)
    yield from columns_beside_other_ways(rules)


def engine_beside_functions(loaded: LoadedBook, rules: Rules) -> Ratio:
    """Over places where each kind has one layer. Each judgement of the engine keeps its vector and its rule, for the trail."""
    by_hand = functions(rules)
    chosen = {trees.name: trees for trees in rules.trees}
    book = replace(loaded.book, trees=chosen, guards={name: trees.guard for name, trees in chosen.items()})
    engine = Engine(book, loaded.engine.deriver.work)
    subjects = [subject for path in sorted(SAMPLES.glob("*.yaml")) for subject in read(path, loaded) if subject.sort == "place"]
    places = [found for found in map(loaded.engine.derive, subjects) if not found.layers]
    assert len(rules.trees) >= 100 and len(places) >= 10
    for found in places:
        judged = {judgement.compiled.name: RANK[judgement.outcome] for judgement in engine.judge(found)}
        assert judged == {name: judge(found.vector) for name, judge in by_hand}, found.subject.name

    def by_engine() -> None:
        for _ in range(10):
            for found in places:
                engine.judge(found)

    def by_functions() -> None:
        for _ in range(10):
            for found in places:
                vector = found.vector
                [(name, judge(vector)) for name, judge in by_hand]  # an outcome is worth nothing without its rule

    return Ratio("rules with their trail", "functions by hand", 5.2, by_engine, by_functions, times=15)


def read(path: Path, loaded: LoadedBook) -> list[Subject]:
    assemblies = read_assembly_file(path, loaded.vocabulary, loaded.catalogue).to_judge()
    return [subject for assembly in assemblies for subject in assembly.subjects]


def table_beside_one_by_one(loaded: LoadedBook) -> Ratio:
    start, changes = every_change(wall(loaded, "1 in", "1-1/4 in"), loaded)
    (place,) = (subject for subject in start.subjects.values() if subject.sort == "place")
    lines = [change for change in changes if change.is_of_a_line]
    pairs = [pair for pair in combinations(lines, 2) if pair[0].conflict_key != pair[1].conflict_key]
    many = list(islice(cycle(pairs), 20_000))
    few = [state.subjects[place.name] for state in (changed(changed(start, one), other) for one, other in pairs[:400])]

    def one_by_one() -> None:
        for subject in few:
            loaded.engine.judge(loaded.engine.derive(subject))

    def in_a_table() -> None:
        assert len(fails_in_a_table(place, many, loaded)) == len(many)

    return Ratio("20,000 variants of a wall in a table", "400 one by one", 1.0, in_a_table, one_by_one)


def columns_beside_other_ways(rules: Rules) -> Iterator[Ratio]:
    table = rules.table(800_000)
    checked = table.head(2_000)
    found = [as_lists(judge(rules, checked)()) for judge in (judged_by_columns, by_hand_in_polars, closures)]
    assert found[0] == found[1] == found[2], "the ways differ in what they come to"
    most = table.head(240_000)
    columns = judged_by_columns(rules, most)
    yield Ratio("240,000 places by columns", "4,000 by closures", 1.0, columns, closures(rules, table.head(4_000)))
    yield Ratio("240,000 places by columns", "Polars by hand", 1.3, columns, by_hand_in_polars(rules, most))
    fewer = judged_by_columns(rules, table.head(200_000))
    yield Ratio("800,000 places by columns", "200,000", 4.4, judged_by_columns(rules, table), fewer)
    rules.trees = [*rules.trees, *(trees._replace(name=f"{trees.name} again") for trees in rules.trees)]
    yield Ratio("every rule twice by columns", "once", 1.9, judged_by_columns(rules, table.head(200_000)), fewer)
