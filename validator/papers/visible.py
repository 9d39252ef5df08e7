"""Text as it is shown: a letter that cannot be seen, or that turns the direction of what is read, is shown by its name.

So a name on paper or at a terminal is the name that was judged, and nothing in it can move, hide or rewrite what stands
around it.
"""

import re

# Control letters but the end of a line and the tab; letters without width; those that turn the direction of reading; halves of
# letters; and what is no letter.
UNSEEN = (  # compiled when it is first used: what goes to another program is not shown
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\u00ad\u034f\u061c\u115f\u1160\u17b4\u17b5\u180b-\u180f\u200b-\u200f\u2028-\u202e\u2060-\u206f"
    "\u3164\ufeff\uffa0\ufff0-\ufffb\ufffe\uffff\ud800-\udfff\U000e0000-\U000e0fff]"
)
CONTROLS = {0x00: "null", 0x07: "bell", 0x08: "backspace", 0x0D: "return", 0x1B: "escape", 0x7F: "delete"}


def shown(text: str) -> str:
    """A text with every letter that cannot be seen named: `[U+202E right-to-left override]`."""
    return re.sub(UNSEEN, _by_name, text)


def escaped(text: str) -> str:
    """JSON with every such letter written as its number, which another program reads as the letter itself."""
    return re.sub(UNSEEN, _by_number, text)


def _by_name(letter: re.Match[str]) -> str:
    import unicodedata  # only such a letter needs it

    number = ord(letter[0])
    name = CONTROLS.get(number) or unicodedata.name(letter[0], "").lower()
    return f"[U+{number:04X}{' ' if name else ''}{name}]"


def _by_number(letter: re.Match[str]) -> str:
    import json

    return json.dumps(letter[0])[1:-1]
