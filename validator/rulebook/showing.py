"""What a breach shows as: the observations that it brings, troubles that several breaches bring alike, looks that tell them apart."""

from typing import NamedTuple

from validator.language.record import AsRead, record
from validator.rulebook.sources import Cited

TYPICAL = ("usual", "sometimes")
NOTHING = "nothing, because"  # begins the reason why a breach shows as nothing
OPENS = ("nothing", "a trace", "a piece", "the work")  # what a look takes away, from the least
TAKES = ("minutes", "an hour", "a day", "days", "a specialist")  # from the cheapest
HARMS_THAT_SHOW = ("water escapes", "bond and support")  # of a rule with such a harm an author says what its breach shows as


@record
class Showing:
    """One observation that a breach brings, as a line in the words of `seen:`, and how typical of the breach it is."""

    seen: str
    typical: str
    cited: tuple[Cited, ...] = ()


class BreachShows(NamedTuple):
    """What a rule says of its breach: troubles by name, observations of its own, why it shows as nothing, the looks that tell."""

    troubles: tuple[str, ...] = ()
    own: tuple[Showing, ...] = ()
    nothing: str = ""
    told_by: tuple[str, ...] = ()

    @property
    def is_said(self) -> bool:
        """Whether anything is said of it at all."""
        return bool(self.troubles or self.own or self.nothing)


@record
class Trouble:
    """What several breaches bring alike, such as a bond that lets go (reliability engineering: a failure mode)."""

    name: str
    what: str
    shows: tuple[Showing, ...]
    told_by: tuple[str, ...] = ()
    book: str = ""


@record
class Look:
    """A way to look that tells causes apart: how it is done, how its reading is understood, what it costs and takes away."""

    name: str
    what: str
    how: str
    tells: str
    against: str = ""  # what a reading is held against, where something is published
    opens: str
    takes: str
    care: str = ""
    cited: tuple[Cited, ...] = ()
    book: str = ""

    @property
    def rank(self) -> tuple[int, int]:
        """Least destructive first, then cheapest."""
        return OPENS.index(self.opens), TAKES.index(self.takes)


@record
class NoFault:
    """What is often taken for a failure and is none: what is seen, why it is no fault, and what would make it one."""

    name: str
    seen: str
    where: AsRead  # a Condition: of which places it is told
    why: str
    unless: str
    cited: tuple[Cited, ...] = ()
    book: str = ""


@record
class OutsideCause:
    """A cause that no rule asks about: the ground, plumbing, another trade. `who` looks at it; `where` it can be one at all."""

    name: str
    what: str
    who: str
    where: AsRead  # a Condition
    shows: tuple[Showing, ...]
    told_by: tuple[str, ...] = ()
    cited: tuple[Cited, ...] = ()
    book: str = ""
