"""Ratios of processor time, each thing measured between two measurements of its yardstick: what slows the machine slows both."""

import resource
from collections.abc import Callable
from dataclasses import dataclass
from statistics import median

Work = Callable[[], object]


@dataclass(frozen=True)
class Ratio:
    """How many times the processor time of its yardstick some work takes, and what it may take at most."""

    work_is: str
    yardstick_is: str
    bound: float
    work: Work
    yardstick: Work
    times: int = 5  # measured so often, of which the middle counts

    def measured(self) -> float:
        for warming_up in (self.yardstick, self.work):
            warming_up()
        ratios, before = [], seconds(self.yardstick)
        for _ in range(self.times):
            taken, after = seconds(self.work), seconds(self.yardstick)
            ratios.append(2 * taken / (before + after))
            before = after
        return median(ratios)


def seconds(work: Work) -> float:
    """The processor time of some work, of the commands that it ran to their end included."""
    begun = _processor_time()
    work()
    return _processor_time() - begun


def _processor_time() -> float:
    own, ended = resource.getrusage(resource.RUSAGE_SELF), resource.getrusage(resource.RUSAGE_CHILDREN)
    return own.ru_utime + own.ru_stime + ended.ru_utime + ended.ru_stime
