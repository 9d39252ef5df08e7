"""Drivers run for a number of inputs, or for a time; what was found, by the seed that shows it again."""

import time
import traceback
from collections.abc import Iterator
from random import Random
from typing import NamedTuple

from tests.fuzz.drivers import Driver

LONGEST = 20.0  # seconds of this processor that one input may take


class Fault(NamedTuple):
    """An input of which something else came than may: its driver, its seed, and what came."""

    driver: str
    seed: int
    what: str


def tried(name: str, driver: Driver, seed: int) -> Fault | None:
    """One input. Nothing that it raises passes but the end of the program by its user."""
    before = time.process_time()
    try:
        driver(Random(f"{name} {seed}"))
    except Exception:  # noqa: BLE001 - whatever comes is what is looked for
        return Fault(name, seed, traceback.format_exc())
    spent = time.process_time() - before
    return Fault(name, seed, f"it took {spent:.1f} s of the processor") if spent > LONGEST else None


def run_for(name: str, driver: Driver, seconds: float, first: int) -> Iterator[Fault | None]:
    """Inputs from one seed on, for so long."""
    end = time.monotonic() + seconds
    seed = first
    while time.monotonic() < end:
        yield tried(name, driver, seed)
        seed += 1
