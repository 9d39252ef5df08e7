"""The law: what is printed of a half-known place is true of every way in which it could turn out.

The oracle tries every completion of small made-up books, two-valued, from the author's tree.
"""

from collections import Counter
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest
from books import F, Plain, R, made_up, small_books
from described import judged, loaded_for, subject
from examples import examples_of
from oracle import STANDS_FOR, Half, completions, everything, half_known, leaves, narrowed, outcomes, rule_things

from validator.assembly import Assembly
from validator.engines.deciding import Judgement
from validator.engines.outcomes import OPEN_OUTCOMES
from validator.engines.varying import judge_varying
from validator.judging.checking import check
from validator.judging.loading import LoadedBook

MOST = 300  # completions of one place
ORDER = ("pass", "warn", "fail")


def stands_for(plain: Plain, rule: R, half: Half, judgement: Judgement) -> set[str]:
    """What a printed outcome allows. Over several boards an open matter is about one of them; the others may be anything."""
    several = isinstance(half.boards, list) and len(half.boards) > 1 and "board" in rule_things(plain, rule)
    if several and judgement.outcome in OPEN_OUTCOMES:
        return set("PBN")
    return set(STANDS_FOR[judgement.outcome])


def places_of(seed: int, plain: Plain, number: int) -> list[tuple[Half, list]]:
    """Half-known places with their completions; places in which every completion is contradicted are left out."""
    found = []
    for place in range(number):
        half = half_known(plain, Random(f"{seed} {place}"), MOST)
        wholes = list(completions(plain, half))
        if wholes:
            found.append((half, wholes))
    return found


@examples_of(small_books(wild=True), few=20, many=200)
def test_what_is_printed_holds_of_every_completion(made):
    seed, plain = made
    loaded = loaded_for(plain)
    for half, wholes in places_of(seed, plain, 4):
        printed = judged(loaded, plain, half)
        for rule in plain.rules:
            came = set().union(*(outcomes(plain, rule, whole) for whole in wholes))
            assert came <= stands_for(plain, rule, half, printed[rule.name]), (rule, half, came, printed[rule.name].outcome)


@examples_of(small_books(wild=True), few=25, many=200)
def test_knowing_more_only_shrinks_what_is_possible(made):
    seed, plain = made
    loaded = loaded_for(plain)
    for place in range(6):
        chance = Random(f"{seed} {place}")
        half = half_known(plain, chance, 10**9)
        before = judged(loaded, plain, half)
        for _ in range(4):
            more = narrowed(plain, half, chance)
            if loaded.engine.derive(subject(plain, more, loaded.vocabulary)).disagreements:
                break  # what contradicts itself is a matter of its own
            after = judged(loaded, plain, more)
            for rule in plain.rules:
                was = stands_for(plain, rule, half, before[rule.name])
                is_now = stands_for(plain, rule, more, after[rule.name])
                assert is_now <= was, (rule, half, more, before[rule.name].outcome, after[rule.name].outcome)
            half, before = more, after


@examples_of(small_books(wild=True), few=15, many=100)
def test_the_overall_outcome_spans_every_completion(made):
    seed, plain = made
    for name, schedule in plain.schedules.items():  # a remembered row would warn where the rule fails
        plain.schedules[name] = replace(schedule, rows=tuple((cells, answer, False) for cells, answer, _ in schedule.rows))
    loaded = loaded_for(plain)
    for half, wholes in places_of(seed, plain, 2):
        report = check(Assembly("a place", (subject(plain, half, loaded.vocabulary),)), loaded)
        least, greatest = span_of(report.outcome)
        for whole in wholes[:100]:
            came = {rule.name: outcomes(plain, rule, whole) for rule in plain.rules}
            mildest = max((rule.severity for rule in plain.rules if came[rule.name] == {"B"}), default="pass", key=ORDER.index)
            worst = max((rule.severity for rule in plain.rules if "B" in came[rule.name]), default="pass", key=ORDER.index)
            assert ORDER.index(greatest) >= ORDER.index(worst), (half, whole, report.outcome)
            assert ORDER.index(least) <= ORDER.index(mildest), (half, whole, report.outcome)


def span_of(outcome: str) -> tuple[str, str]:
    if outcome in ORDER:
        return outcome, outcome
    least, _, greatest = outcome.removeprefix("at least ").partition(", open up to ")
    return least, greatest


# -- how often something stays open though every completion agrees --------------------------------------------------------------


@cache
def counted(wild: bool, books: int) -> Counter:
    """Over the made-up books of the first so many seeds: cases, those not settled, and those asking about no breach."""
    found: Counter = Counter()
    for seed in range(books):
        plain = made_up(seed, wild)
        loaded = loaded_for(plain)
        for half, wholes in places_of(seed, plain, 5):
            printed = judged(loaded, plain, half)
            for rule in plain.rules:
                together = any(plain.facts[leaf[1]].kind == "together" for part in (rule.applies, rule.requires)
                               for leaf in leaves(part) if leaf[0] == "is")  # fmt: skip
                kind = "wild" if wild else "words together" if together else "short"
                came = set().union(*(outcomes(plain, rule, whole) for whole in wholes))
                judgement = printed[rule.name]
                found[kind, "cases"] += 1
                found[kind, "wrong"] += not came <= stands_for(plain, rule, half, judgement)
                found[kind, "unsettled"] += len(came) == 1 and len(stands_for(plain, rule, half, judgement)) > 1
                found[kind, "asks needlessly"] += judgement.outcome in OPEN_OUTCOMES and "B" not in came
    return found


def test_a_short_rule_with_constants_is_settled_wherever_its_completions_agree():
    found = counted(wild=False, books=120)
    assert found["short", "cases"] > 1000
    assert found["short", "wrong"] == 0
    assert found["short", "unsettled"] == 0


def test_a_short_rule_asks_only_where_some_answer_would_breach_it():
    assert counted(wild=False, books=120)["short", "asks needlessly"] == 0


def test_words_together_keep_two_masks_and_pay_for_it_seldom():
    found = counted(wild=False, books=120)
    assert found["words together", "wrong"] == 0
    assert found["words together", "unsettled"] <= 0.03 * found["words together", "cases"]


@pytest.mark.parametrize("books", [15, pytest.param(40, marks=pytest.mark.thorough)])
@pytest.mark.parametrize("cost", ["unsettled", "asks needlessly"])
def test_taking_comparisons_apart_has_a_known_cost_in_wild_books(cost, books):
    found = counted(wild=True, books=books)
    assert found["wild", "wrong"] == 0
    assert found["wild", cost] <= 0.08 * found["wild", "cases"]


# -- what varies ----------------------------------------------------------------------------------------------------------------


@examples_of(small_books(wild=True), few=20, many=100)
def test_what_varies_is_as_bad_as_its_worst_value(made):
    """All of a varying range is there, so the worst of its values is what the place comes to."""
    seed, plain = made
    loaded = loaded_for(plain)
    for number in range(4):
        chance = Random(f"{seed} {number}")
        half = half_known(plain, chance, MOST)
        half.known |= {
            f.name: _one(f, chance) for f in plain.facts.values() if f.comes in ("stated", "narrowed") and f.thing != "board"
        }
        half.tape, half.boards = chance.choice(("there", "none")), "none"
        amounts = [name for name in half.known if plain.facts[name].kind == "amount"]
        varying = {name: (low := chance.randint(0, 5), chance.randint(low + 1, 6)) for name in amounts[:2]}
        half.known |= varying
        described = subject(plain, half, loaded.vocabulary)
        for name in varying:
            described.known[name] = described.known[name]._replace(varies=True)
        wholes = list(completions(plain, half))
        found, judgements = judge_varying(loaded.engine, described)
        if found.disagreements or not wholes:
            continue  # what contradicts itself is a matter of its own
        printed = {judgement.compiled.rule.name: judgement.outcome for judgement in judgements}
        for rule in plain.rules:
            each = [outcomes(plain, rule, whole) for whole in wholes]
            # Where a schedule has no row for some value, the worst of the others is still there.
            sure = max("NPB".index(min(came, key="NPB".index)) for came in each)
            worst = max("NPB".index(max(came, key="NPB".index)) for came in each)
            allowed = STANDS_FOR[printed[rule.name]]
            assert any(sure <= "NPB".index(letter) <= worst for letter in allowed), (rule, half, printed[rule.name])
            if len(allowed) == 1:
                assert sure == worst == "NPB".index(allowed), (rule, half, printed[rule.name])


def _one(fact: F, chance: Random) -> object:
    value = chance.choice(everything(fact))
    return (value, value) if fact.kind == "amount" else frozenset((value,)) if fact.kind == "word" else value
