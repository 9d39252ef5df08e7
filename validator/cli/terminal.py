"""What is printed, as it may be shown: no name or cell moves the cursor, renames the window or turns what stands around it."""

import io
import sys
from typing import TextIO

from validator.papers.visible import shown


class Shown(io.TextIOWrapper):
    """A stream that names what cannot be seen, and writes as a number what its encoding lacks."""

    def write(self, text: str) -> int:
        super().write(shown(text))
        return len(text)


def show_what_is_printed() -> None:
    """Has both streams of this program show what they are given."""
    sys.stdout, sys.stderr = (_shown(stream) for stream in (sys.stdout, sys.stderr))


def _shown(stream: TextIO) -> TextIO:
    if not isinstance(stream, io.TextIOWrapper):
        return stream  # somebody else's, who reads what is printed
    stream.reconfigure(errors="backslashreplace")
    stream.flush()
    return Shown(stream.buffer, stream.encoding, "backslashreplace", line_buffering=stream.line_buffering, write_through=True)


def styled(stream: TextIO) -> TextIO:
    """The stream beneath one that shows: for whoever writes only marks of style and text that was shown before."""
    return {sys.stdout: sys.__stdout__, sys.stderr: sys.__stderr__}.get(stream, stream) if isinstance(stream, Shown) else stream
