"""Made-up examples: few wherever the tests run, many in a thorough run."""

from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis.strategies import SearchStrategy


def examples_of(strategy: SearchStrategy, few: int, many: int) -> Callable[[Callable], Callable]:
    """Makes of a property a test of so many examples, and a long proof of very many."""

    def as_test(holds: Callable) -> Callable:
        @pytest.mark.parametrize("examples", [few, pytest.param(many, marks=pytest.mark.thorough)])
        def test(examples: int) -> None:
            settings(max_examples=examples)(given(strategy)(holds))()

        test.__name__, test.__doc__, test.__module__ = holds.__name__, holds.__doc__, holds.__module__
        return test

    return as_test
