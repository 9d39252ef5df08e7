"""What a rule can come to at one place."""

from enum import StrEnum


class Outcome(StrEnum):
    """The outcome of one rule at one place."""

    PASS = "pass"
    BY_EXCEPTION = "pass, by exception"
    BREACH = "breach"
    OPEN = "open"
    FAILS_UNLESS = "open, unless"
    FAILS_IF = "open, if"
    FAILS_IF_UNLESS = "open, if, unless"
    WAITS = "waits"
    NOTHING = "nothing"
    NOT_APPLICABLE = "not applicable"


# From the worst: what a rule judged for each of several layers comes to.
WORST_FIRST = (
    Outcome.BREACH, Outcome.FAILS_UNLESS, Outcome.OPEN, Outcome.FAILS_IF, Outcome.FAILS_IF_UNLESS, Outcome.WAITS,
    Outcome.BY_EXCEPTION, Outcome.PASS, Outcome.NOTHING, Outcome.NOT_APPLICABLE,
)  # fmt: skip
# As told, a way out that nobody mentions is not there.
NOT_EXCUSED = {Outcome.FAILS_UNLESS: Outcome.BREACH, Outcome.FAILS_IF_UNLESS: Outcome.FAILS_IF}
ALWAYS_THERE = ("job", "place")  # things of which a fact mentions no way out
OPEN_OUTCOMES = frozenset(
    (Outcome.OPEN, Outcome.FAILS_UNLESS, Outcome.FAILS_IF, Outcome.FAILS_IF_UNLESS, Outcome.WAITS)
)
