"""What is said when the program itself is at fault: one line, with what was being read and how to report it."""

import os
import sys
from collections.abc import Iterable, Iterator
from typing import TypeVar

STATUS = 4
TRACE = "ASSEMBLY_VALIDATOR_TRACE"  # set to `yes`, the whole trace is printed too
ROOT = os.path.dirname(os.path.dirname(__file__))
Thing = TypeVar("Thing")


class AtWork:
    """The file that is being read or judged."""

    file = ""


def one_by_one(files: Iterable[str], things: Iterable[Thing]) -> Iterator[Thing]:
    """Things in their turn, each with the file that it came from at work."""
    for AtWork.file, thing in zip(files, things):
        yield thing


def line_of(fault: BaseException) -> str:
    """The one line."""
    import shlex  # nothing here is needed by a run without a fault

    command = shlex.join(["validator", *sys.argv[1:]])
    reading = f", reading {AtWork.file}" if AtWork.file else ""
    said = " ".join(str(fault).split())[:300]
    return (
        f"The program is at fault, not what you wrote{reading}: {type(fault).__name__}: {said} ({_where(fault)}). Nothing printed is to be "
        f"relied on. To report it, send the file and what this prints: {TRACE}=yes {command}"
    )


def trace_of(fault: BaseException) -> str:
    """The whole trace, for whoever asks for it; nothing for anybody else."""
    import traceback

    return "".join(traceback.format_exception(fault)) if os.environ.get(TRACE) == "yes" else ""


def _where(fault: BaseException) -> str:
    """The last line of this program that was run."""
    import traceback

    own = [each for each in traceback.extract_tb(fault.__traceback__) if each.filename.startswith(ROOT)]
    return f"{own[-1].filename.removeprefix(ROOT).lstrip(os.sep)}:{own[-1].lineno}" if own else "outside the program"
