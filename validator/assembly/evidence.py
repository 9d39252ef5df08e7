"""What is offered to show that a thing is as it is written: a photograph, a page of a submittal, a dated note.

`shown by:` stands under the thing, once for all of it or by the names of the lines beside it. What stands nearest speaks: of
the fact, then of the thing, of the place, of the file; `none` says that nothing is offered. It is kept as it is written and
judged by nothing.
"""

from collections.abc import Mapping
from typing import NamedTuple

from validator.facts.possible import CARD, DISAGREES, NOT_SAID, STATED, Known
from validator.language.forms import complain, listed, normalized
from validator.language.slips import did_you_mean
from validator.language.source import Complaint, Entries, Items, Node, Text, Where

SHOWN_BY = "shown by"
ALL_OTHERS = ("all others", "all other")
Offered = tuple[str, ...] | None  # None where nobody said; empty where it is said that nothing is offered

_NOTHING = frozenset(("none", "no", "nothing"))
_NAMES_NOTHING = frozenset(("yes", "there", "true", "done", "shown"))
_FORMS = "`photo 12`, `submittal 3, page 2`, a dated note, or a list of such"
_NO_FACTS = frozenset(
    ("built up", "parts", "like", "on", "options", "between", "at", "nothing else", "seen on site", "name", "note")
)  # fmt: skip
_SAID = frozenset((STATED, CARD, DISAGREES))


class Shown(NamedTuple):
    """What one `shown by:` offers: for the whole of a thing, for single lines by where they stand, and for its product's card."""

    whole: Offered = None
    lines: Mapping[Where, tuple[str, ...]] = {}
    card: Offered = None

    def within(self, wider: "Shown") -> "Shown":
        """What is offered for a part of a thing: its own, or else what is offered for the whole."""
        return self if self.whole is not None else self._replace(whole=wider.whole)

    def at(self, where: Where) -> Offered:
        """What is offered for a thing written at a line."""
        return self.lines.get(where, self.whole)

    def put_on(self, known: dict[str, Known], thing: Where | None = None) -> dict[str, Known]:
        """Facts, those that nothing nearer shows with what is offered here; `thing` is where the thing they are said of stands."""
        if self == NOT_SHOWN:
            return known
        whole = self.at(thing) if thing is not None else self.whole
        return {name: self._shown(each, whole) for name, each in known.items()}

    def one(self, known: Known | None) -> Known | None:
        """One fact, or a line that closes what is written, where there is one."""
        return known and self._shown(known, self.whole)

    def _shown(self, known: Known, whole: Offered) -> Known:
        if known.shown_by is not None or known.origin not in _SAID:
            return known
        if known.origin == CARD:
            return known._replace(shown_by=whole if self.card is None else self.card)
        return known._replace(shown_by=self.lines.get(known.where, whole))


NOT_SHOWN = Shown()


def without_shown_by(node: Node | None, complaints: list[Complaint], *, by_line: bool = True) -> tuple[Node | None, Shown]:
    """Entries without their `shown by:`, and what that offers; any other node as it is."""
    written = [pair for pair in node.pairs if normalized(pair[0].text) == SHOWN_BY] if isinstance(node, Entries) else []
    if not written:
        return node, NOT_SHOWN
    for key, _ in written[1:]:
        complain(complaints, key, f"`{SHOWN_BY}` is written twice", "one list of all that shows it", SHOWN_BY)
    beside = node._replace(pairs=tuple(pair for pair in node.pairs if normalized(pair[0].text) != SHOWN_BY))
    offered = written[0][1]
    if not isinstance(offered, Entries):
        return beside, Shown(_offered(offered, complaints))
    if not by_line:
        complain(complaints, offered, f"`{SHOWN_BY}` names single lines, which stand further down",
               f"here a text or a list for the whole file; by name under the thing: {_FORMS}", SHOWN_BY)  # fmt: skip
        return beside, NOT_SHOWN
    return beside, _by_line(offered, beside, complaints)


def is_misplaced(key: Text, complaints: list[Complaint]) -> bool:
    """Whether a name is a `shown by:` that stands beside no fact, which is complained of."""
    if normalized(key.text) != SHOWN_BY:
        return False
    complain(complaints, key, f"`{SHOWN_BY}` shows nothing here", "under the thing or the place that it shows, or once at the top of the file", SHOWN_BY)
    return True


def _by_line(offered: Entries, beside: Entries, complaints: list[Complaint]) -> Shown:
    """What is offered by the names of the lines beside it."""
    named = {normalized(key.text): (key, value) for key, value in beside.pairs if normalized(key.text) not in _NO_FACTS}
    whole: Offered = None
    card: Offered = None
    lines: dict[Where, tuple[str, ...]] = {}
    for key, value in offered.pairs:
        word = normalized(key.text)
        if word not in named and word not in ALL_OTHERS:
            hint = did_you_mean(key.text, named)
            complain(complaints, key, f"no line `{key.text}` stands beside this `{SHOWN_BY}`",
                   f"{hint}the name of a line: {listed((*named, ALL_OTHERS[0]))}; or for all of it {_FORMS}", SHOWN_BY)  # fmt: skip
            continue
        texts = _offered(value, complaints)
        if word in ALL_OTHERS:
            whole = texts
        elif texts is not None:
            line, fact = named[word]
            lines[line.where] = texts
            if not isinstance(fact, Entries):  # which begins where its own first line does
                lines[fact.where] = texts
            card = texts if word == "product" else card
    return Shown(whole, lines, card)


def _offered(node: Node, complaints: list[Complaint]) -> Offered:
    """A text or a list of texts, as they are written."""
    said: list[str] = []
    nothing = False
    for item in node.items if isinstance(node, Items) else (node,):
        if not isinstance(item, Text):
            complain(complaints, item, f"what stands under `{SHOWN_BY}` is one text, or a list of texts", _FORMS, SHOWN_BY)
            continue
        text = " ".join(item.text.split())
        word = normalized(text)
        nothing = nothing or word in _NOTHING
        if word in _NAMES_NOTHING or word.isdigit():
            complain(complaints, item, f"`{text}` does not name what shows it", _FORMS, SHOWN_BY)
        elif word not in NOT_SAID and word not in _NOTHING:
            said.append(text)
    return tuple(dict.fromkeys(said)) or (() if nothing else None)
