"""How quick the program is, as one table: `python -m tests.speed`, or with words, the lines that hold one of them.

Each line is the processor time of something beside that of its yardstick, measured turn and turn about. Where a ratio is past
its bound it is measured again, three times at most; if it is past it each time the command ends with 1.
"""

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

sys.path[:0] = [str(Path(__file__).parents[1] / "helpers")]
os.environ["POLARS_MAX_THREADS"] = "1"  # before it is imported: processor time is that of all its threads

from tests.speed.commands import whole_commands  # noqa: E402
from tests.speed.judging import judging  # noqa: E402
from tests.speed.measuring import Ratio  # noqa: E402
from tests.speed.reading import reading, sums  # noqa: E402
from tests.speed.screening import screening  # noqa: E402

AGAIN = 3


def ratios(folder: Path) -> Iterator[Ratio]:
    yield from whole_commands(folder)
    yield from reading()
    yield from sums()
    yield from screening(folder)
    yield from judging()


def line(what: object, beside: object, ratio: object, bound: object, more: str = "") -> str:
    return f"{what:<48}  {beside:<22}  {ratio:>6}  {bound:>8}  {more}".rstrip()


def within_its_bound(ratio: Ratio) -> bool:
    """Measures a ratio, tells it, and says whether it came within its bound at last."""
    found = [ratio.measured()]
    while found[-1] > ratio.bound and len(found) <= AGAIN:
        found.append(ratio.measured())
    *earlier, last = found
    more = "after " + ", ".join(f"{each:.2f}" for each in earlier) if earlier else ""
    past = "  PAST ITS BOUND" if last > ratio.bound else ""
    print(line(ratio.work_is, ratio.yardstick_is, f"{last:.2f}", f"{ratio.bound:g}", more + past), flush=True)
    return not past


def main(*words: str) -> int:
    print(line("", "beside", "ratio", "at most"))
    with TemporaryDirectory() as folder:
        wanted = (each for each in ratios(Path(folder)) if not words or any(word in each.work_is for word in words))
        return 0 if all([within_its_bound(ratio) for ratio in wanted]) else 1


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
