"""Checks a written form: which keys may stand in it, which must, and what each may hold.

Every file that people write is read through these few functions, so that every complaint has the same shape:
where, what is wrong in the author's words, and what would be accepted.
"""

from collections.abc import Iterable

from validator.language.slips import did_you_mean
from validator.language.source import MOST_NOTED, BadText, Complaint, Entries, Items, Node, Text


class Complaints(list[Complaint]):
    """The complaints of one reading. Raises `bad` with them once there are so many that nobody reads on."""

    def __init__(self, bad: type[BadText]) -> None:
        super().__init__()
        self.bad = bad

    def append(self, complaint: Complaint) -> None:
        super().append(complaint)
        if len(self) >= MOST_NOTED:
            raise self.bad(self)


def normalized(word: str) -> str:
    """A word as people may vary it: case, underscores and doubled spaces aside."""
    return " ".join(word.replace("_", " ").casefold().split())


def complain(complaints: list[Complaint], node: Node, what: str, accepted: str = "", about: str = "") -> None:
    """Note one complaint at the place where the node stands."""
    complaints.append(Complaint(node.where, what, accepted, about))


def listed(words: Iterable[str], most: int = 12) -> str:
    """Words as a reader would list them, cut short when there are very many."""
    words = list(words)
    return ", ".join(words[:most]) + (", ..." if len(words) > most else "")


def fields(
    node: Node | None,
    form: str,
    allowed: Iterable[str],
    required: Iterable[str],
    complaints: list[Complaint],
) -> dict[str, Node]:
    """The keys of a form with their nodes; unknown and missing keys are complained of, with the nearest allowed word."""
    allowed = tuple(allowed)
    if not isinstance(node, Entries):
        if node is not None:
            complain(complaints, node, f"{form} is written as `key: value` lines", listed(allowed))
        return {}
    found: dict[str, Node] = {}
    for key, value in node.pairs:
        if key.text in allowed:
            found[key.text] = value
            continue
        hint = did_you_mean(key.text, allowed)
        complain(complaints, key, f"`{key.text}` is not a key of {form}", f"{hint}{listed(allowed)}")
    for key in required:
        if key not in found:
            complain(complaints, node, f"{form} lacks `{key}`", f"a line `{key}: ...`")
    return found


def text_of(node: Node | None, what: str, complaints: list[Complaint], default: str = "") -> str:
    """A single text; anything else is complained of."""
    if node is None:
        return default
    if isinstance(node, Text):
        return node.text
    complain(complaints, node, f"{what} is one piece of text", f"`{what}: ...` on one line")
    return default


def texts_of(node: Node | None, what: str, complaints: list[Complaint]) -> tuple[str, ...]:
    """A list of texts; a single text counts as a list of one."""
    if node is None:
        return ()
    if isinstance(node, Text):
        return (node.text,)
    if isinstance(node, Items) and all(isinstance(item, Text) for item in node.items):
        return tuple(item.text for item in node.items)
    complain(complaints, node, f"{what} is a list of words", f"`{what}: [one, another]`")
    return ()


def choice_of(
    node: Node | None, what: str, allowed: Iterable[str], complaints: list[Complaint], default: str = ""
) -> str:
    """One of a few words."""
    allowed = tuple(allowed)
    word = text_of(node, what, complaints, default)
    if node is not None and isinstance(node, Text) and word not in allowed:
        hint = did_you_mean(word, allowed)
        complain(complaints, node, f"{what} cannot be `{word}`", f"{hint}{listed(allowed)}")
        return default
    return word


def pairs_of(node: Node | None, what: str, complaints: list[Complaint]) -> tuple[tuple[Text, Node], ...]:
    """The lines of a mapping whose keys are names of the author's own."""
    if node is None:
        return ()
    if isinstance(node, Entries):
        return node.pairs
    if isinstance(node, Text) and not node.text:
        return ()
    complain(complaints, node, f"{what} is written as `name: value` lines")
    return ()
