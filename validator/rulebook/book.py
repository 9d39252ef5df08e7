"""A book that has been read and found sound: one rulebook, or several laid upon each other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from validator.facts.vocabulary import Vocabulary
from validator.rulebook.conditions import FromLimit, FromSchedule, leaves
from validator.rulebook.derived import DerivedFact
from validator.rulebook.fusing import Fuser
from validator.rulebook.rule import BookLayer, Caution, Consequence, Outside, Rule, Usual
from validator.rulebook.schedules import Limit, Schedule
from validator.rulebook.showing import Look, NoFault, OutsideCause, Showing, Trouble
from validator.rulebook.sources import Source
from validator.rulebook.trees import Guard, RuleTrees


@dataclass(slots=True, eq=False, repr=False)
class Book:
    """Everything that a book holds. Engines read `trees`, `order` and what is needed; papers read the rules."""

    layers: tuple[BookLayer, ...]  # from the least precedence to the greatest
    vocabulary: Vocabulary
    sources: Mapping[str, Source]
    limits: Mapping[str, Limit]
    schedules: Mapping[str, Schedule]
    consequences: Mapping[str, Consequence]
    rules: Mapping[str, Rule]
    cautions: tuple[Caution, ...] = ()
    outside: tuple[Outside, ...] = ()
    usual: Usual = field(default_factory=Usual)
    not_checked: tuple[str, ...] = ()
    looks: Mapping[str, Look] = field(default_factory=dict)  # the ways to look that tell causes apart
    troubles: Mapping[str, Trouble] = field(default_factory=dict)  # what several breaches bring alike
    beyond: Mapping[str, OutsideCause] = field(default_factory=dict)  # causes that no rule asks about
    no_faults: Mapping[str, NoFault] = field(default_factory=dict)  # what is often taken for a failure
    opening: dict[str, tuple[str, ...]] = field(default_factory=dict)  # what is said before anything is opened
    fingerprint: str = ""
    text_slips: tuple[str, ...] = ()  # texts that type the value of a limit, which would lie once it changes
    guards: dict[str, Guard] = field(default_factory=dict)  # by rule, what engines ask first
    asked_first: dict[str, tuple[int, ...]] = field(default_factory=dict)  # by sort, the slots that tell which of its rules apply
    trees: Mapping[str, RuleTrees] = field(default_factory=dict)  # by rule, as engines read them
    order: list[DerivedFact] = field(default_factory=list)  # every derived fact, in an order that works
    cuts: dict[int, tuple[int, ...]] = field(default_factory=dict)  # by slot, the amounts after which some answer changes
    needed: set[str] = field(default_factory=set)  # the facts that rules lean on
    things_read: set[str] = field(default_factory=set)  # the things whose facts some rule reads
    needed_at: dict[str, set[str]] = field(default_factory=dict)  # of those, what the rules of a junction or of the job lean on

    @property
    def name(self) -> str:
        return " + ".join(layer.name for layer in self.layers)

    def books_behind(self, rule: Rule) -> tuple[str, ...]:
        """The books that decide a rule: its own, and any that gave a limit or a schedule it is compared with."""
        return tuple(dict.fromkeys((rule.book, *(table.book for table in tables_compared(self, rule)))))

    def shown_by(self, rule: Rule) -> tuple[tuple[Showing, str], ...]:
        """What a rule's breach is seen as, its own first, each with the trouble that it is of, if any."""
        own = tuple((showing, "") for showing in rule.breach.own)
        return (*own, *((showing, trouble) for trouble in rule.breach.troubles for showing in self.troubles[trouble].shows))

    def told_by(self, rule: Rule) -> tuple[str, ...]:
        """The looks that would tell whether a rule was met: its own, else those of its troubles."""
        named = rule.breach.told_by or (look for trouble in rule.breach.troubles for look in self.troubles[trouble].told_by)
        return tuple(sorted(dict.fromkeys(named), key=lambda name: self.looks[name].rank))

    @property
    def fuser(self) -> Fuser:
        return Fuser(self.vocabulary, self.limits, self.schedules)


def tables_compared(book: Book, rule: Rule) -> Iterator[Limit | Schedule]:
    """The limits and schedules that a rule is compared with."""
    for condition in rule.conditions():
        for leaf in leaves(condition):
            match getattr(leaf, "against", None):
                case FromLimit(name):
                    yield book.limits[name]
                case FromSchedule(name):
                    yield book.schedules[name]
