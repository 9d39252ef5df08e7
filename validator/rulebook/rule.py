"""What is written in the files of a book: rules with their cases, consequences, cautions, and the head of each book."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from validator.facts.vocabulary import Vocabulary
from validator.language.record import AsRead, record
from validator.language.source import Where
from validator.rulebook.conditions import Condition, facts_read
from validator.rulebook.fusing import Test, things_named
from validator.rulebook.showing import BreachShows
from validator.rulebook.sources import Cited

SEVERITIES = ("advice", "warn", "fail")  # from the least to the greatest
LAYERS = {
    "trade practice": "what the trade does",
    "code or standard": "what a model code or a standard says",
    "local amendment": "what a state, a county or a city adopted",
    "project specification": "what the contract of one project asks",
}
"""What a book may be to the others it is laid with, from the least precedence to the greatest."""
USERS_OWN = ("local amendment", "project specification")  # whose word is enough to fail, unless they say otherwise
MATTERS = ("water escapes", "bond and support", "lasting", "looks")  # from the worst
EXPECTED = ("pass", "warn", "fail", "advice", "open", "not applicable", "nothing", "waits")


@record
class Case:
    """One tried example of a rule, with the outcome its author expects, written by hand."""

    name: str
    facts: dict[str, str]
    expect: str
    asks: tuple[str, ...] = ()
    confirmed: bool = True  # no while only the program says what it comes to
    book: str = ""  # whose it is; a book may try a rule beneath it on cases of its own
    where: AsRead  # a Where


def cases_as_text(cases: Iterable[Case]) -> str:
    """Cases as one text. They are most of a book and a check needs none of them, so they stay text till somebody asks."""
    import json

    return json.dumps([[c.name, c.facts, c.expect, c.asks, c.confirmed, c.book, c.where] for c in cases], ensure_ascii=False)


@lru_cache(maxsize=4096)
def cases_of(text: str) -> tuple[Case, ...]:
    """The cases that were written as one text."""
    import json

    return tuple(
        Case(name=name, facts=facts, expect=expect, asks=tuple(asks), confirmed=confirmed, book=book, where=Where(*where))
        for name, facts, expect, asks, confirmed, book, where in json.loads(text)
    )


@record
class OtherWay:
    """Another way to meet a requirement, with its own reason and source."""

    when: AsRead  # a Condition
    because: str
    cited: tuple[Cited, ...] = ()
    where: AsRead  # a Where


@record
class Rule:
    """A requirement in force where it applies; its file's name is its name for ever."""

    name: str
    title: str
    severity: str
    chapter: str = ""
    for_each: str = ""
    applies: AsRead  # a Condition
    requires: AsRead  # a Condition
    other_ways: tuple[OtherWay, ...] = ()
    because: str
    put_right: str
    warranty: str = ""
    cited: tuple[Cited, ...] = ()
    cases_text: str = "[]"
    in_force: str = ""
    replaces: str = ""
    formerly: tuple[str, ...] = ()
    note: str = ""
    covers: str = ""
    book: str = ""
    own_authority: bool = False  # its book's word is enough to fail, whatever the standing of a source
    breach: AsRead = BreachShows()  # a BreachShows: what its breach is seen as
    where: AsRead  # a Where

    @property
    def cases(self) -> tuple[Case, ...]:
        return cases_of(self.cases_text)

    def conditions(self) -> tuple[Condition, ...]:
        return (self.applies, self.requires, *(way.when for way in self.other_ways))

    def facts(self) -> list[str]:
        """The facts the rule reads, each once, what it requires first."""
        names: dict[str, None] = {}
        for condition in (self.requires, self.applies, *(way.when for way in self.other_ways)):
            names.update(dict.fromkeys(facts_read(condition)))
        return list(names)

    def things(self, vocabulary: Vocabulary) -> list[str]:
        """The things whose facts the rule names, what it requires first; framing counts, the job and the place do not."""
        names: dict[str, None] = {}
        for condition in (self.requires, self.applies, *(way.when for way in self.other_ways)):
            names.update(dict.fromkeys(things_named(condition, vocabulary)))
            if any(vocabulary.fact(fact).thing == "framing" for fact in facts_read(condition)):
                names.setdefault("framing")
        return list(names)


@record
class Consequence:
    """What follows from what: `when` ... `gives` a word of a fact."""

    name: str
    when: AsRead  # a Condition
    gives: tuple[tuple[str, int, str], ...]  # fact, mask of the words given, those words as written
    because: str
    cited: tuple[Cited, ...] = ()
    cases_text: str = "[]"
    book: str = ""
    where: AsRead  # a Where

    @property
    def cases(self) -> tuple[Case, ...]:
        return cases_of(self.cases_text)


@record
class TakenOut:
    """A rule beneath a book that the book takes out, with its reason."""

    rule: str
    because: str
    cited: tuple[Cited, ...] = ()
    where: AsRead  # a Where


@record
class BookLayer:
    """One of the books that are read together: what it is, what it weighs, and what it takes out."""

    name: str
    title: str
    edition: str
    about: str = ""
    folder: Path
    standing: str = "code or standard"
    own_authority: bool = False
    takes_out: tuple[TakenOut, ...] = ()
    fingerprint: str = ""


@record
class Outside:
    """Places of which a book judges nothing (`whole`), or leaves something unjudged."""

    when: AsRead  # a Condition
    what: str
    not_judged: str
    whole: bool = False


@record
class Caution:
    """What is said whatever the outcome, where it applies."""

    when: AsRead  # a Condition
    say: str
    in_short: str  # in a line, for a report that is read on site
    source: str = ""


class UsualReading(NamedTuple):
    """What is taken where nobody says: where it speaks, and the value; `value` is None of a thing, and where a fact is asked."""

    when: Test
    said: tuple[str, ...] = ()  # words, one of which must stand in the description
    value: object = None
    text: str = ""
    because: str = ""


class Deciding(NamedTuple):
    """Where an experienced reader commits to nothing before some facts are known, and which facts those are."""

    when: Test
    facts: tuple[str, ...]


@dataclass(slots=True, eq=False, repr=False)
class Usual:
    """The usual readings of each fact and of each thing that has any, most particular first; and what nothing usual replaces."""

    facts: dict[str, tuple[UsualReading, ...]] = field(default_factory=dict)
    things: dict[str, tuple[UsualReading, ...]] = field(default_factory=dict)
    deciding: tuple[Deciding, ...] = ()
