"""Lines of a paper wrapped to a width, with whether each is bold."""

import textwrap
from collections.abc import Iterator

Line = tuple[str, bool]


def wrapped(text: str, width: int, indent: str = "", *, bold: bool = False) -> Iterator[Line]:
    """A text in lines, those after the first set in a little further."""
    lines = textwrap.wrap(
        text, width, initial_indent=indent, subsequent_indent=indent + "  ", break_long_words=False, break_on_hyphens=False
    )
    for line in lines:
        yield line, bold


def listed(words: tuple[str, ...]) -> str:
    """Some words as a sentence names them: `board, screw and tape`."""
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))


def headed(words: tuple[str, ...]) -> str:
    """Some words as a heading names them."""
    said = listed(words)
    return f"{said[:1].upper()}{said[1:]}"
