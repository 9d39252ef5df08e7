"""Takes the vocabulary's lines on it, returns what an unwritten fact is usually, where it is known from, and until when it is
seen.

Of a fact nobody stated the strict reading keeps everything that is possible. The reading as told narrows it to its usual
reading, where the vocabulary has one; a fact without one is left open and asked. A thing that nobody mentions may be
missing, usual, not there, or asked.
"""

from collections.abc import Mapping

from validator.facts.vocabulary import ASKED, KNOWN_FROM, MATTERS, NOT_MENTIONED, SEEN_UNTIL, Reading
from validator.language.forms import choice_of, complain, fields, pairs_of, text_of, texts_of
from validator.language.record import proved
from validator.language.source import Complaint, Entries, Items, Node, Text

# These keys are said of facts and things alike.
ASKING_KEYS = ("known from", "can be seen until", "matters")
READING_KEYS = ("when", "said", "is", "because")


def read_asking(lines: Mapping[str, Node], complaints: list[Complaint]) -> dict[str, str]:
    """Where a fact or thing is known from, until when it can be seen, and how soon it is asked."""
    return {
        "known_from": choice_of(lines.get("known from"), "known from", KNOWN_FROM, complaints, "site"),
        "can_be_seen_until": choice_of(lines.get("can be seen until"), "can be seen until", SEEN_UNTIL, complaints, "always"),
        "matters": choice_of(lines.get("matters"), "matters", MATTERS, complaints, "later"),
    }


def read_usually(key: Text, lines: Mapping[str, Node], complaints: list[Complaint]) -> tuple[Reading, ...]:
    """The usual readings of a fact, most particular first; none where it is asked."""
    if "usually" not in lines:
        return ()
    if "ask" not in lines:
        complain(complaints, key, f"nobody is asked for `{key.text}`, so it has no usual reading", "a line `ask: ...`, or no `usually:`")
    return _readings(lines["usually"], f"`{key.text}`", complaints)


def read_when_not_mentioned(key: Text, lines: Mapping[str, Node], complaints: list[Complaint]) -> tuple[Reading, ...]:
    """What is taken of a thing that nobody mentions; none where the vocabulary does not say."""
    node = lines.get("when not mentioned")
    if isinstance(node, Text):
        choice_of(node, "when not mentioned", NOT_MENTIONED, complaints)
        return (proved(Reading, is_=node),)
    found = _readings(node, f"`{key.text}`", complaints) if node is not None else ()
    for reading in found:
        choice_of(reading.is_, "what is not mentioned", NOT_MENTIONED, complaints)
    return found


def read_laid_over(key: Text, node: Node, complaints: list[Complaint], *, thing: bool) -> tuple[Reading, ...]:
    """The readings that a book gives of a fact, or of a thing, in place of those it has."""
    return read_when_not_mentioned(key, {"when not mentioned": node}, complaints) if thing else _readings(node, f"`{key.text}`", complaints)


def _readings(node: Node, name: str, complaints: list[Complaint]) -> tuple[Reading, ...]:
    if not isinstance(node, Items) or not node.items:
        complain(complaints, node, f"the usual readings of {name} are a list", "a line `- {when: ..., is: ..., because: ...}` for each")
        return ()
    found = [reading for item in node.items if (reading := _reading(item, name, complaints)) is not None]
    for item, reading in zip(node.items[:-1], found[:-1]):
        if reading.when is None and not reading.said:
            complain(complaints, item, f"this reading of {name} always holds, so that none behind it is looked at", "write it last")
    if found and (found[-1].when is not None or found[-1].said):
        complain(complaints, node.items[-1], f"the last reading of {name} holds only sometimes", "a last line `- {is: asked}`")
    return tuple(found)


def _reading(node: Node, name: str, complaints: list[Complaint]) -> Reading | None:
    lines = fields(node, f"a usual reading of {name}", READING_KEYS, ("is",), complaints)
    is_ = lines.get("is")
    if not isinstance(is_, Text) or not is_.text:
        if is_ is not None:
            complain(complaints, is_, f"what {name} usually is, is one piece of text", "`is: ...`, as an assembly would say it, or `is: asked`")
        return None
    when = lines.get("when")
    if when is not None and (not isinstance(when, Entries) or not pairs_of(when, "when", complaints)):
        complain(complaints, when, "`when` is a condition", "`when: {fact: what it must be}`")
    because = text_of(lines.get("because"), "because", complaints)
    if is_.text != ASKED and not because:
        complain(complaints, is_, f"no reason is given why {name} is taken as `{is_.text}`", "`because: ...`")
    return proved(Reading, when=when, said=texts_of(lines.get("said"), "said", complaints), is_=is_, because=because)
