"""Troubles that people really asked about: what the answers held to be the matter stands among the first causes, and is never ruled out.

The assemblies stand in tests/whole/questions, what was seen in tests/whole/troubles/seen.yaml, and the table of hits with the
misses in tests/whole/troubles/table.yaml; why each is missed stands beside what was seen.
"""

import pytest
import yaml
from troubles.agreement import HERE, SEEN, STATES, best_of, matters_of, reported

from validator.troubles.gathering import causes_of
from validator.judging.loading import LoadedBook

TABLE = yaml.safe_load((HERE / "table.yaml").read_text(encoding="utf-8"))
HELD = [question for question, each in SEEN.items() if "held" in each]
NO_FAULT = [question for question, each in SEEN.items() if "no fault" in each]
LEAST_SHARE = 80  # per cent of the questions whose matter is to stand among the first three causes


@pytest.mark.parametrize("question", HELD)
def test_what_was_held_to_be_the_matter_stands_where_the_table_says(question: str, loaded: LoadedBook) -> None:
    assert matters_of(question, loaded) == TABLE["matters"][question]


def test_in_four_of_five_the_matter_stands_among_the_first_three_causes() -> None:
    hits = [question for question in HELD if best_of(TABLE["matters"][question]) == "first"]
    assert 100 * len(hits) >= LEAST_SHARE * len(HELD)


def test_in_none_is_it_ruled_out() -> None:
    assert not [q for q, matters in TABLE["matters"].items() if "excluded" in matters.values()]


def test_each_question_that_is_missed_says_why() -> None:
    missed = {question for question in HELD if best_of(TABLE["matters"][question]) != "first"}
    assert missed <= {question for question, each in SEEN.items() if "why missed" in each}
    assert all(state in STATES for matters in TABLE["matters"].values() for state in matters.values())


@pytest.mark.parametrize("question", NO_FAULT)
def test_what_was_held_to_be_no_fault_is_told_as_the_table_says(question: str, loaded: LoadedBook) -> None:
    held = set(SEEN[question]["no fault"])
    told = [held <= {line.name for line in causes_of(each, loaded).no_faults} for each in reported(question, loaded)]
    assert all(told) == (TABLE["no fault"][question] == "told")
