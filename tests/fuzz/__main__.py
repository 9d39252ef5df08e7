"""Every driver for a share of the time: `python -m tests.fuzz --minutes 30`; the same seeds give the same inputs.

Ends with 1 where something was found, and says of each how it is shown again: `python -m tests.fuzz --again 'tables 412'`.
"""

import argparse
import sys
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path[:0] = [str(Path(__file__).parents[1] / "helpers")]

from tests.fuzz.drivers import drivers  # noqa: E402
from tests.fuzz.running import Fault, run_for, tried  # noqa: E402

MOST_TOLD = 3  # of one driver


def main() -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description=__doc__.partition("\n")[0])
    asked.add_argument("--minutes", type=float, default=1, help="how long, over all drivers")
    asked.add_argument("--seed", type=int, default=0, help="the first seed of each")
    asked.add_argument("--again", default="", metavar="'DRIVER SEED'", help="one input again")
    asked.add_argument("names", nargs="*", metavar="DRIVER", help="these alone")
    said = asked.parse_args()
    with TemporaryDirectory() as folder:
        every = drivers(Path(folder))
        if said.again:
            name, _, seed = said.again.rpartition(" ")
            return _told([fault] if (fault := tried(name, every[name], int(seed))) else [])
        chosen = {name: every[name] for name in said.names or every}
        found: list[Fault] = []
        for name, driver in chosen.items():
            came = list(run_for(name, driver, said.minutes * 60 / len(chosen), said.seed))
            faults = [each for each in came if each is not None]
            print(f"{name:>16}: {len(came):>8,} inputs, {len(faults)} faults", flush=True)
            found += faults[:MOST_TOLD]
        return _told(found)


def _told(found: list[Fault]) -> int:
    for fault in found:
        print(f"\n{fault.what}\nagain: python -m tests.fuzz --again '{fault.driver} {fault.seed}'")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
