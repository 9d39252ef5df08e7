"""The witness agrees with the engine that decides, and whatever becomes of it costs one line and nothing else.

Where durable-rules is not installed, what needs it is left out by name; that its absence costs one line is tested everywhere.
"""

import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from books import Plain, rule, small_books, write_book
from described import subject
from examples import examples_of
from needs import needs_witness
from oracle import half_known
from planted import planted

from validator.engines.deciding import Judgement, outcome_of
from validator.engines.outcomes import Outcome
from validator.engines.witness.comparing import Verdict, Witness, witness_book, witness_subjects
from validator.engines.witness.rule_sets import hash32
from validator.judging.loading import LoadedBook
from validator.proving.case_subjects import subject_of_case
from validator.proving.grid import boundary_rows
from validator.proving.witness import witness_cases
from validator.rulebook.reading import read_book

MISSING = "durable-rules is not installed"
SLEEPS = (sys.executable, "-c", "import time; time.sleep(60)")
STOPS = (sys.executable, "-c", "raise SystemExit(3)")
KILLED = (sys.executable, "-c", "import os, signal; os.kill(os.getpid(), signal.SIGKILL)")
TALKS = (sys.executable, "-c", "import time; print('hello', flush=True); time.sleep(60)")


@pytest.fixture(scope="module")
def witness(loaded) -> Iterator[Witness]:
    """One that was told the whole shelf's book."""
    with witness_book(loaded.engine) as told:
        yield told


@pytest.fixture
def small(tmp_path) -> LoadedBook:
    keys = {"applies_when": {"place.kind": "shower wall"}}
    return LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(**keys)})))


def on_grid(loaded: LoadedBook, most: int = 20_000) -> list[tuple[str, Judgement]]:
    """Every rule judged on its own grid."""
    engine = loaded.engine
    return [
        (f"row {number}", Judgement(compiled, outcome_of(compiled, row), row))
        for compiled in engine.rules
        for number, row in enumerate(
            boundary_rows(compiled.trees.every(), engine.vocabulary, engine.deriver.blank, most)
        )
    ]


def of_cases(loaded: LoadedBook, one_of: int) -> list[tuple[str, Judgement]]:
    engine = loaded.engine
    every = [(compiled, case) for compiled in engine.rules for case in compiled.rule.cases]
    return [
        (case.name, engine.judge_rule(compiled, engine.derive(
            subject_of_case(case.facts, compiled.sort, loaded.vocabulary, case.name, case.where)
        )))
        for compiled, case in every[::one_of]
    ]  # fmt: skip


def assert_agrees(verdict: Verdict, compared: int) -> None:
    assert verdict.disagreements == []
    assert verdict.no_witness == ""
    assert verdict.compared + verdict.not_fed + verdict.declined == compared
    assert verdict.agrees


def assert_no_witness(verdict: Verdict, why: str) -> None:
    assert verdict.line == f"No witness: {why}."
    assert not verdict.agrees
    assert verdict.disagreements == []


def pids(witness: Witness) -> list[int]:
    return [process.process.pid for process in witness.processes if process.process is not None]


# -- agreement ------------------------------------------------------------------------------------------------------------


@needs_witness
@pytest.mark.parametrize("one_of", [24, pytest.param(1, marks=pytest.mark.thorough)])
def test_it_agrees_on_the_cases_of_the_real_book(loaded, witness, one_of):
    """On one of so many cases of all the rules, and thoroughly on each."""
    judged = of_cases(loaded, one_of)
    assert len({judgement.compiled.name for _, judgement in judged}) >= len(loaded.book.rules) / one_of
    assert witness.witnessed + len(witness.declined) == len(loaded.book.rules)
    assert len(witness.declined) <= len(loaded.book.rules) // 50
    assert_agrees(witness.compare(judged), len(judged))


@needs_witness
@pytest.mark.parametrize("rows_a_rule", [4, pytest.param(60, marks=pytest.mark.thorough)])
def test_it_agrees_on_the_real_books_boundary_grid(loaded, witness, rows_a_rule):
    judged = on_grid(loaded, rows_a_rule)
    assert len(judged) > rows_a_rule // 2 * len(loaded.book.rules)
    assert_agrees(witness.compare(judged), len(judged))


@needs_witness
@examples_of(small_books(wild=True), few=4, many=40)
def test_it_agrees_on_made_up_books_and_half_known_places(made):
    seed, plain = made
    agree_on_made_up(plain, Random(seed))


def agree_on_made_up(plain: Plain, chance: Random) -> None:
    with tempfile.TemporaryDirectory() as folder:
        loaded = plain.loaded(Path(folder))
    engine = loaded.engine
    judged = on_grid(loaded, 200)
    for number in range(20):
        found = engine.derive(subject(plain, half_known(plain, chance, 10**9), loaded.vocabulary))
        judged += [(f"place {number}", judgement) for judgement in engine.judge(found)]
    with witness_book(loaded.engine) as witness:
        assert_agrees(witness.compare(judged), len(judged))


@pytest.mark.thorough
@needs_witness
def test_it_notices_a_one_step_fault_in_the_engine_that_decides(loaded, witness):
    judged, chosen, chance = [], [], Random(1)
    for compiled in chance.sample(loaded.engine.rules, len(loaded.engine.rules)):
        faults = [faulty for kind, faulty in planted(compiled, loaded.vocabulary) if kind == "step"]
        rows = list(boundary_rows(compiled.trees.every(), loaded.vocabulary, loaded.engine.deriver.blank, 1_000))
        if faults and len(rows) < 1_000 and len(chosen) < 15:
            faulty = chance.choice(faults)
            chosen.append(compiled)
            judged += [("a row", Judgement(compiled, outcome_of(faulty, row), row)) for row in rows]
    verdict = witness.compare(judged)
    assert {name for name, *_ in verdict.disagreements} == {compiled.rule.name for compiled in chosen}
    assert not verdict.agrees
    assert verdict.line.startswith("The witness disagrees: ")
    assert verdict.line.endswith("Please report this line with the file that was checked.")


def test_the_lines_a_person_is_told_are_these():
    assert Verdict(compared=7).line == "The witness agrees on 7 judgements."
    assert Verdict(compared=7, declined=1, not_fed=2).line == "The witness agrees on 7 judgements; 3 it cannot judge."
    assert Verdict(no_witness="it left").line == "No witness: it left."
    differing = Verdict(compared=2, disagreements=[("deep-enough", "niche", "met", "open")])
    assert differing.line == (
        "The witness disagrees: deep-enough at niche is met, and the witness says open. "
        "Please report this line with the file that was checked."
    )


@needs_witness
def test_the_lines_of_the_commands_name_what_was_witnessed(tmp_path):
    cases = {"usual": {"place.depth": "2 in"}, "each": [{"name": "just so", "expect": "pass"}]}
    loaded = LoadedBook(read_book(write_book(tmp_path, rules={"all/deep-enough": rule(cases=cases)})))
    (case,) = loaded.engine.rules[0].rule.cases
    place = subject_of_case(case.facts, "place", loaded.vocabulary, "shower wall", case.where)
    assert witness_cases(loaded) == "The witness agrees on 1 judgement. It was told 1 of 1 rules."
    assert witness_subjects(loaded.engine, [place, place]) == "The witness agrees on 2 judgements."


# -- what it cannot be told -------------------------------------------------------------------------------------------------


def test_a_rule_with_too_many_ways_to_come_out_is_declined_with_the_reason(tmp_path):
    facts = [f"place.f{number}" for number in range(12)]
    vocabulary = "place: {what: The place, sort: place}\n" + "".join(
        f"{name}: {{what: A count, kind: count}}\n" for name in facts
    )
    pairs = [{"any of": [{a: {"at least": "2"}}, {b: {"at least": "2"}}]} for a, b in zip(facts[::2], facts[1::2])]
    rules = {"all/deep-enough": rule(requires={"all of": pairs})}
    loaded = LoadedBook(read_book(write_book(tmp_path, vocabulary=vocabulary, rules=rules)))
    with witness_book(loaded.engine) as witness:
        assert witness.declined == {"deep-enough": "it has 70 ways to come out, and 59 can be told at once"}
        assert witness.witnessed == 0
        verdict = witness.compare(on_grid(loaded, 10))
    assert (verdict.compared, verdict.declined) == (0, 10)
    assert not verdict.agrees


def test_an_amount_too_far_out_to_be_exact_is_not_told(small):
    compiled = small.engine.rules[0]
    row = small.engine.deriver.blank[:]
    row[small.vocabulary.slot("place.depth")] = (10**16, 10**16)
    with witness_book(small.engine) as witness:
        verdict = witness.compare([("far away", Judgement(compiled, Outcome.NOTHING, row))])
    assert (verdict.compared, verdict.not_fed) == (0, 1)


def test_fields_have_names_that_the_library_cannot_take_for_each_other(loaded, witness):
    # Known from outside: these two words have one hash in FNV-1a of 32 bits.
    assert hash32("costarring") == hash32("liquid")
    for each in witness.sets:
        names = [*each.names.values(), "sid", "id", "z"]
        assert len({hash32(name) for name in names}) == len(set(names)) == len(names)
        assert len(each.names) <= 240
        assert len(each.verdicts) <= 59


# -- what may become of it -----------------------------------------------------------------------------------------------------


def test_without_the_library_there_is_no_witness_and_nothing_else(small):
    # An interpreter that does not look where packages are installed.
    with witness_book(small.engine, python=(sys.executable, "-S")) as witness:
        assert_no_witness(witness.compare(on_grid(small)), MISSING)


@pytest.mark.parametrize(
    ("python", "why"),
    [
        (SLEEPS, "it did not answer within 0.5 s"),
        (STOPS, "its process ended with status 3"),
        (KILLED, "its process was ended by signal 9"),
        (TALKS, "its process answered with something else"),
        (("no-such-python",), "its process did not start: No such file or directory"),
    ],
    ids=["hangs", "stops", "is killed", "talks of something else", "does not start"],
)
def test_a_process_that_does_so_each_time_is_no_witness(small, python, why):
    limit = {"start_within": 0.5} if python is SLEEPS else {}
    with witness_book(small.engine, python=python, **limit) as witness:
        assert_no_witness(witness.compare(on_grid(small)), why)


def answers(first: str, then: str) -> tuple[str, ...]:
    """A process that takes rules and facts, and answers each time with a line of its own, given as Python."""
    return (sys.executable, "-c", f"import sys\nfor turn, _ in enumerate(sys.stdin): print({first} if not turn else {then}, flush=True)")


SOMETHING_ELSE = "its process answered with something else"
NOT_IN_TURN = "its process did not answer every fact in turn"


@pytest.mark.parametrize(
    ("first", "then", "why"),
    [
        ("'1'", "''", SOMETHING_ELSE),
        ("'null'", "''", SOMETHING_ELSE),
        ("'[]'", "''", SOMETHING_ELSE),
        ("'[' * 200_000", "''", SOMETHING_ELSE),
        ('\'{"refused": [1, {"a": 2}]}\'', "''", "[1, {'a': 2}]"),
        ("'{}'", "'{}'", NOT_IN_TURN),
        ("'{}'", '\'{"fired": null}\'', NOT_IN_TURN),
        ("'{}'", '\'{"fired": 7}\'', NOT_IN_TURN),
        ("'{}'", '\'{"fired": [7]}\'', NOT_IN_TURN),
        ("'{}'", '\'{"fired": [[7]]}\'', NOT_IN_TURN),
        ("'{}'", '\'{"fired": [["no such rule"]]}\'', NOT_IN_TURN),
        ("'{}'", '\'{"fired": {"a": []}}\'', NOT_IN_TURN),
    ],
)
def test_a_process_that_answers_nonsense_is_no_witness(small, first, then, why):
    judged = on_grid(small)[:1]
    with witness_book(small.engine, python=answers(first, then)) as witness:
        assert_no_witness(witness.compare(judged), why)


@needs_witness
def test_a_process_without_memory_is_no_witness(small):
    with witness_book(small.engine, memory=1) as witness:
        assert_no_witness(witness.compare(on_grid(small)), "it ran out of memory")


@needs_witness
def test_a_process_that_answers_too_late_is_no_witness(small):
    with witness_book(small.engine, answer_within=0.0) as witness:
        assert_no_witness(witness.compare(on_grid(small)), "it did not answer within 0 s")


@needs_witness
@pytest.mark.parametrize("sign", [signal.SIGKILL, pytest.param(signal.SIGSTOP, marks=pytest.mark.thorough)], ids=["killed", "hung"])
def test_a_process_lost_once_is_replaced_and_asked_again(small, sign):
    judged = on_grid(small)
    with witness_book(small.engine, answer_within=5.0) as witness:
        assert_agrees(witness.compare(judged), len(judged))
        before = pids(witness)
        for pid in before:
            os.kill(pid, sign)
        assert_agrees(witness.compare(judged), len(judged))
        assert not set(before) & set(pids(witness))


@needs_witness
def test_no_process_is_left_behind(small):
    with witness_book(small.engine) as witness:
        witness.compare(on_grid(small))
        started = pids(witness)
    assert len(started) == 1
    for pid in started:
        with pytest.raises(ProcessLookupError):
            os.kill(pid, 0)


@needs_witness
def test_memory_stays_flat_here_and_there(small):
    judged = on_grid(small) * 100
    with witness_book(small.engine) as witness:

        def compared(times: int) -> list[int]:
            for _ in range(times):
                assert_agrees(witness.compare(list(judged)), len(judged))
            return [resident(pid) for pid in (os.getpid(), *pids(witness))]

        before = compared(20)
        after = compared(20)
    assert all(late - early < 1_000 for early, late in zip(before, after)), (before, after)


def resident(pid: int) -> int:
    """What a process holds in memory, in kB."""
    return int(subprocess.run(["ps", "-o", "rss=", "-p", str(pid)], capture_output=True, text=True, check=True).stdout)
