"""The vocabulary: every thing and fact that a description may state, with its words, its question, and where on site to look.

A *thing* (board, tape, drain) may be there or not; a *fact* (board.thickness) is said of a thing. Whether a thing is
there is a fact of its own, named by the thing, with the words `none` and `there`.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import NamedTuple

from validator.language import amounts
from validator.language.record import AsRead, record
from validator.language.slips import nearest, or_a_book_is_missing
from validator.language.source import BadBook, Complaint, Where

PRESENCE_WORDS = ("none", "there")
NONE, THERE, MAYBE = 1, 2, 3  # the masks of a presence fact
YES_OR_NO = ("no", "yes")
MOST_WORDS = 63  # of one fact: a bit each in a signed number of 64
DAMAGED = "damaged"
STATES = ("new", "existing", DAMAGED, "to be removed", "planned")
STATE = "state"
NOT_YET = ("not built yet", "not done yet", "not yet", "not there yet", "still to do", "still to come")  # what is planned
HAVE_A_STATE = ("layer", "part", "framing", "record")
FACES = ("whole face", "seams only", "part")
EVERY_ASSEMBLY_HAS = ("job", "framing", "place", "place.kind", "junction", "junction.kind")
EFFORT_SCALE = "job.effort"  # its words are the order of effort, from a bag swapped to a drain moved; no price
# Decided on paper; read off a box or a sheet; how a step was done; a note or a test that was kept; what stands there.
KNOWN_FROM = ("design", "label", "work", "record", "site")
# The step that hides it. `covered below` is a ceiling under a floor, and the board of a wall.
SEEN_UNTIL = ("always", "board hung", "membrane on", "tile set", "grouted", "covered below", "never afterwards")
MATTERS = ("first", "later", "seldom")  # how soon to ask, where nobody says it
ASKED = "asked"
NOT_MENTIONED = ("missing", "usual", "not there", ASKED)


@record
class Shape:
    """When a junction of one kind is there: in one place that has a thing, or between two places."""

    kind: str
    places: tuple[str, ...] = ()
    having: str = ""
    to: tuple[str, ...] = ()
    meeting: str = ""


@record
class Whole:
    """A name for several places at once: a shower has its floor and walls, and may have a ceiling; another name for it."""

    name: str
    has: tuple[str, ...] = ()
    may_have: tuple[str, ...] = ()
    also_said: tuple[str, ...] = ()


@record
class Reading:
    """One usual reading: what is taken where a condition holds and one of some words is said in the description.

    `when` is kept as it was read: a book compiles it, since only a book knows what conditions may name.
    """

    when: AsRead = None
    said: tuple[str, ...] = ()
    is_: AsRead  # a Text
    because: str = ""


@record
class Thing:
    """A thing that may be there: a layer, a part of a place, a record, the job itself.

    `also_called` holds other names for it, each with the word it says of what the thing is named by (`thinset` is a tile
    mortar, and says which two kinds it may be); `none_when` words that say it is not there (`curbless`); `falsely_called` what people call
    so that does not do what its role asks (`waterproofing: sealer`), and is as good as none; `there_when` words of
    other facts that say it is there (a place used as a steam room); `alone` the facts that a value beside its name may give. What is asked of it is asked with the thing that `asked_with` names, since whoever
    looks at the one sees the other.
    """

    name: str
    also_called: dict[str, str] = field(default_factory=dict)
    none_when: tuple[str, ...] = ()
    falsely_called: tuple[str, ...] = ()
    there_when: dict[str, str] = field(default_factory=dict)
    alone: tuple[str, ...] = ()
    what: str = ""
    sort: str
    body: bool = False
    when_not_written: str = "there"
    once_removed: str = ""  # the thing that a layer of it is, once it is to be removed; else it is nothing to anybody
    there_in: tuple[str, ...] = ()  # the kinds of place that surely have it; elsewhere it is there only when written
    in_places: tuple[str, ...] = ()
    carries: dict[str, tuple[str, ...]] = field(default_factory=dict)  # of framing: what kinds of place a run of that name carries
    named_by: str = ""
    role: str = ""
    ask: str = ""
    look: str = ""
    answers: tuple[str, ...] = ()
    asked_with: str = ""
    shapes: tuple[Shape, ...] = ()
    wholes: tuple[Whole, ...] = ()
    mend: dict[str, str] = field(default_factory=dict)  # how hard it is to add, remove or swap it
    when_not_mentioned: tuple[Reading, ...] = ()
    spoken_of_by: tuple[str, ...] = ()  # words of a title or a name that speak of it; kept where the readings are not
    known_from: str = "site"
    can_be_seen_until: str = "always"
    matters: str = "later"

    @property
    def always(self) -> bool:
        """True when the thing cannot be absent, so that naming its facts limits no rule."""
        return self.sort in ("job", "framing", "place")

    def not_written_in(self, kinds: tuple[str, ...]) -> str:
        """What is taken where nobody writes it, in a place that is one of these kinds: there, ask or not there."""
        surely = [kind in self.there_in for kind in kinds] if self.there_in else []
        return self.when_not_written if all(surely) else "ask" if any(surely) else "not there"


class Mend(NamedTuple):
    """How a fact may be changed: an amount to one of the `sizes` it is sold in, or by a `step`; a word to one of `to`."""

    how: str
    sizes: tuple[str, ...] = ()
    step: str = ""
    to: tuple[str, ...] = ()


@record
class Fact:
    """What may be said of a thing. `kind` is an amount's kind, or word, yes or no, presence, words together, size, name."""

    name: str
    thing: str
    what: str = ""
    kind: str
    words: tuple[str, ...] = ()
    order: bool = False
    only_said: tuple[str, ...] = ()  # words that silence does not leave possible: what nobody calls damaged is not called so
    also_said: dict[str, tuple[str, ...]] = field(default_factory=dict)
    also_called: tuple[str, ...] = ()
    gives: tuple[str, ...] = ()
    implies: dict[str, tuple[str, ...]] = field(default_factory=dict)
    ask: str = ""
    look: str = ""
    answers: tuple[str, ...] = ()
    slip_below: str = ""
    slip_above: str = ""
    always: tuple[int, int] = (amounts.NO_LEAST, amounts.NO_GREATEST)
    spread: str = ""
    worked_out_by: AsRead = None  # a Text with a working's name, or the Entries of a formula
    concluded: str = ""
    otherwise: str = ""
    stated: bool = True
    shown_in: str = ""
    role: str = ""
    aggregate: tuple[str, str] | None = None
    source: str = ""
    mend: Mend | None = None
    usually: tuple[Reading, ...] = ()
    known_from: str = "site"
    can_be_seen_until: str = "always"
    matters: str = "later"
    unit_by_use: bool = False  # a size that names no unit is in the one it is sold in
    kept_for: str = ""  # what it is written for, where no rule reads it

    @property
    def is_amount(self) -> bool:
        return self.kind in amounts.KINDS

    @property
    def is_word(self) -> bool:
        return self.kind in ("word", "yes or no", "presence")

    @property
    def is_together(self) -> bool:
        return self.kind == "words together"

    @property
    def every_word(self) -> int:
        """The mask in which every word is possible."""
        return (1 << len(self.words)) - 1

    @property
    def anything(self) -> object:
        """What is possible when nothing is known of the fact."""
        if self.is_amount:
            return self.always
        if self.is_together:
            return (0, self.every_word)
        return self.every_word & ~sum(1 << self.words.index(word) for word in self.only_said)


@dataclass(eq=False, repr=False)
class Vocabulary:
    """The things and facts of a book, each fact with a numbered slot that every engine uses."""

    things: dict[str, Thing]
    facts: dict[str, Fact]
    slots: dict[str, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        # Slot 0 of a judged vector holds the set of stated facts, as bits; facts follow.
        for name in self.facts:
            self.slots[name] = len(self.slots) + 1

    def fact(self, name: str) -> Fact | None:
        """A fact by name; counts, totals, leasts and greatests of layers exist without being declared."""
        known = self.facts.get(name)
        if known is None and "." in name:
            known = self._as_stated(name) or self._aggregated(name)
            if known is not None:
                self.facts[name] = known
                self.slots[name] = len(self.slots) + 1
        return known

    def _as_stated(self, name: str) -> Fact | None:
        """`board.material as stated`: what was said, before any consequence narrows it."""
        base = self.facts.get(name.removesuffix(" as stated"))
        if base is None or not name.endswith(" as stated"):
            return None
        return replace(base, name=name, concluded="", worked_out_by=None)

    def _aggregated(self, name: str) -> Fact | None:
        thing_name, _, attribute = name.partition(".")
        thing = self.things.get(thing_name)
        if thing is None or thing.sort not in ("layer", "framing"):
            return None
        if attribute == "count":
            return Fact(
                name=name, thing="place", kind="count", aggregate=("count", thing_name), stated=False,
                what=f"How many layers of {thing_name}",
            )  # fmt: skip
        how, _, rest = attribute.partition(" ")
        base = self.facts.get(f"{thing_name}.{rest}")
        if how not in ("total", "least", "greatest") or base is None or not base.is_amount:
            return None
        if how == "total" and base.kind in ("temperature", "moment"):
            return None
        return Fact(
            name=name, thing="place" if how == "total" else thing_name, kind=base.kind, aggregate=(how, base.name),
            stated=False, what=f"{how.capitalize()} {rest} of {thing_name}", shown_in=base.shown_in,
        )  # fmt: skip

    def says_the_same(self, other: "Vocabulary") -> bool:
        """Whether a description read by the one vocabulary can be judged by the other: all that is declared is alike."""
        return self is other or (self.things == other.things and self._declared() == other._declared())

    def _declared(self) -> dict[str, Fact]:
        return {name: fact for name, fact in self.facts.items() if fact.aggregate is None and not name.endswith(" as stated")}

    def slot(self, name: str) -> int:
        """The number of a fact's slot."""
        return self.slots[name]

    def asked_with(self, thing: str) -> str:
        """The thing with which another is asked, since whoever looks at the one sees the other; else itself."""
        return self.things[thing].asked_with or thing

    def head_first(self, things: Iterable[str]) -> tuple[str, ...]:
        """Things that are asked together, each once, the one with which the others are asked first."""
        return tuple(sorted(dict.fromkeys(things), key=lambda thing: bool(self.things[thing].asked_with)))

    def nearest_fact(self, name: str) -> str:
        """What an author may have meant, as the tail of a complaint."""
        near = nearest(name, self.facts)
        meant = f"did you mean `{near}`?" if near else "a fact of the vocabulary, written `thing.attribute`"
        return meant + or_a_book_is_missing(name, near)

    def can_describe(self) -> None:
        """Whether an assembly can be described with it at all. Raises BadBook with what it lacks."""
        lacking = [name for name in EVERY_ASSEMBLY_HAS if name not in self.things and name not in self.facts]
        if lacking:
            whole = Where("the vocabulary", 0, 0)
            raise BadBook([Complaint(whole, f"`{name}` is not declared, and every assembly has it") for name in lacking])

    def role_flags(self) -> dict[str, str]:
        """For each role, such as waterproofing, the concluded fact that says whether something fills it."""
        return {fact.role: name for name, fact in self.facts.items() if fact.role and fact.concluded}
