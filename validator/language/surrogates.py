"""Letters that JSON writes as two halves, which the parser of YAML knows only whole."""

import re

_PAIR = re.compile(r"(?<!\\)((?:\\\\)*)\\u([dD][89abAB][0-9a-fA-F]{2})\\u([dD][c-fC-F][0-9a-fA-F]{2})")


def whole_letters(text: str) -> str:
    """A text with each pair of halves written as the one letter that they are."""
    return _PAIR.sub(_one, text)


def _one(pair: re.Match[str]) -> str:
    high, low = int(pair[2], 16), int(pair[3], 16)
    return f"{pair[1]}\\U{0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00):08x}"
