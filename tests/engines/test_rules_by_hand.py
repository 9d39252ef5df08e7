"""Twenty rules of the real book come to what a programmer would have written for them by hand."""

from itertools import product

from hand_written import by_hand, places_of_samples

from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder


def test_the_rules_by_hand_say_what_the_engine_says() -> None:
    loaded = load_book(book_folder("us"))
    compiled = {each.rule.name: each for each in loaded.engine.rules}
    outcomes = set()
    for (name, judge), found in product(by_hand(loaded).items(), places_of_samples(loaded)):
        if not any(thing in found.layers for thing in compiled[name].trees.things):
            outcome = judge(found.vector)
            outcomes.add(outcome)
            assert loaded.engine.judge_rule(compiled[name], found).outcome is outcome, (name, found.subject.name)
    assert len(outcomes) >= 5
