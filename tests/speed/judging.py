"""Judging beside other ways to come to the same: rules written by hand, places one by one, plain closures, Polars by hand."""

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations, cycle, islice

from hand_written import by_hand, places_of_samples
from mended import every_change, fails_in_a_table, wall

from tests.speed.constant_rules import Rules, as_lists, by_hand_in_polars, closures, judged_by_columns
from tests.speed.measuring import Ratio
from validator.advising.mending.changes import changed
from validator.engines.deciding import Engine
from validator.judging.loading import LoadedBook, load_book
from validator.rulebook.shelf import book_folder


def judging() -> Iterator[Ratio]:
    loaded = load_book(book_folder("us"))
    yield engine_beside_rules_by_hand(loaded)
    yield table_beside_one_by_one(loaded)
    yield from columns_beside_other_ways()


def engine_beside_rules_by_hand(loaded: LoadedBook) -> Ratio:
    """Each judgement of the engine keeps its vector and its rule, from which the trail is read."""
    hand = by_hand(loaded)
    rules = Engine(replace(loaded.book, trees={name: loaded.book.trees[name] for name in hand}), loaded.engine.deriver.work)
    alone = [found for found in places_of_samples(loaded) if not found.layers]
    assert (len(hand), len(rules.rules)) == (20, 20) and len(alone) >= 10

    def engine() -> None:
        for _ in range(20):
            for found in alone:
                rules.judge(found)

    def functions() -> None:
        for _ in range(20):
            for found in alone:
                vector = found.vector
                [(name, judge(vector)) for name, judge in hand.items()]  # an outcome is worth nothing without its rule

    return Ratio("twenty rules, with their trail", "the same by hand", 3.5, engine, functions, times=15)


def table_beside_one_by_one(loaded: LoadedBook) -> Ratio:
    start, changes = every_change(wall(loaded, "1 in", "1-1/4 in"), loaded)
    (place,) = (subject for subject in start.subjects.values() if subject.sort == "place")
    lines = [change for change in changes if change.is_of_a_line]
    pairs = [pair for pair in combinations(lines, 2) if pair[0].spot != pair[1].spot]
    many = list(islice(cycle(pairs), 20_000))
    few = [state.subjects[place.name] for state in (changed(changed(start, one), other) for one, other in pairs[:400])]

    def one_by_one() -> None:
        for subject in few:
            loaded.engine.judge(loaded.engine.derive(subject))

    def in_a_table() -> None:
        assert len(fails_in_a_table(place, many, loaded)) == len(many)

    return Ratio("20,000 variants of a wall in a table", "400 one by one", 1.0, in_a_table, one_by_one)


def columns_beside_other_ways() -> Iterator[Ratio]:
    rules = Rules()
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
