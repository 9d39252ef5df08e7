"""Work on what somebody sent, in a process of its own that may take only so much time and memory."""

import subprocess
import sys

from validator.web.pages import HERE


class NotDone(Exception):
    """What the child could not do, in its own words, or why it was ended."""


def in_child(code: str, given: bytes, *words: str, seconds: int, memory: int) -> bytes:
    """What a few lines of Python write of what they are given. Raises NotDone."""
    def bounded() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))

    try:
        done = subprocess.run([sys.executable, "-c", code, *words], input=given, capture_output=True, timeout=seconds, preexec_fn=bounded, cwd=HERE.parents[1])
    except subprocess.TimeoutExpired:
        raise NotDone(f"It took longer than {seconds} s and was given up.") from None
    if done.returncode:
        said = done.stderr.decode("utf-8", "replace").strip().splitlines()
        raise NotDone(said[-1] if said else "It could not be made.")
    return done.stdout
