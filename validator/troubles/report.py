"""What could explain what is seen: the record that the causes' papers are made from."""

from validator.judging.report import BookLine, SourceLine
from validator.language.record import record

NOT_MET, NOT_MET_AS_TOLD, NOT_MET_IF, OPEN = "not met", "not met as told", "not met if it applies", "not settled"
STANDINGS = (NOT_MET, NOT_MET_AS_TOLD, NOT_MET_IF, OPEN)  # from the surest
ORDER_RESTS_ON = (
    "The order rests on: first what is not met, as stated, as told or if it applies, and shows as what is seen; then how much of what is seen it "
    "explains, whether usually, and how closely the pattern, the place, the time and what goes with it fit; then whether it surely "
    "applies, and was spoken of. It is no likelihood, and no cause is proved by it."
)
SETTLED_BY_LOOKING = "Failures often have several causes at once, and only opening the work settles which."


@record
class SeenLine:
    """One observation as it was read; `unread` are words of it that nothing reads."""

    text: str
    place: str
    kind: str
    seen: bool = True  # False of what was looked for and not seen
    line: int = 0
    unread: tuple[str, ...] = ()
    explained: bool = False  # by some cause that is not ruled out


@record
class Asked:
    """A fact that nobody has said yet, and that would settle a requirement: what is asked, and what it is written as."""

    fact: str
    asks: str
    written: str


@record
class Requirement:
    """One requirement that may not have been met. `found` and `needed` where it is not; `asks` where nobody has said."""

    rule: str
    title: str
    place: str
    standing: str
    severity: str
    harm: str = ""
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...] = ()
    found: str = ""
    needed: str = ""
    put_right: str = ""
    asks: tuple[Asked, ...] = ()
    told_by: tuple[str, ...] = ()
    sources: tuple[SourceLine, ...] = ()  # on whose word its breach shows as this
    terms: tuple[str, ...] = ()  # of a warranty document, where one was asked for


@record
class Cause:
    """One thing that could explain what is seen: a trouble with the requirements that may have brought it, or one requirement alone.

    What stands in one cause explains together, and one look tells of all of it. `explains` are the observations by their text.
    """

    name: str
    what: str
    explains: tuple[str, ...]
    requirements: tuple[Requirement, ...]
    told_by: tuple[str, ...]


@record
class OutsideLine:
    """A cause that no rule of the book asks about, where the pattern points to it."""

    name: str
    what: str
    who: str
    explains: tuple[str, ...]
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...] = ()
    told_by: tuple[str, ...]
    sources: tuple[SourceLine, ...] = ()


@record
class NoFaultLine:
    """What is often taken for a failure and is none, `unless` something makes it one."""

    name: str
    seen: str
    why: str
    unless: str
    sources: tuple[SourceLine, ...] = ()


@record
class RuledOut:
    """A requirement whose breach would show as what is seen, and that is surely met by what is stated."""

    rule: str
    title: str
    place: str
    found: str


@record
class LookLine:
    """A look that would tell, with the causes of which it tells."""

    name: str
    what: str
    how: str
    tells: str
    against: str
    opens: str
    takes: str
    care: str
    causes: tuple[str, ...]


@record
class Causes:
    """Everything that could explain what is seen of one assembly. `exit_status`: 3 something could, 0 nothing is seen."""

    assembly: str
    seen: tuple[SeenLine, ...]
    causes: tuple[Cause, ...]
    outside: tuple[OutsideLine, ...]
    no_faults: tuple[NoFaultLine, ...]
    ruled_out: tuple[RuledOut, ...]
    looks: tuple[LookLine, ...]
    cautions: tuple[str, ...]
    programme: str = ""
    order_rests_on: str = ORDER_RESTS_ON
    books: tuple[BookLine, ...]
    fingerprint: str
    exit_status: int = 0
