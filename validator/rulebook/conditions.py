"""Takes a written condition, returns the author's tree: comparisons of facts, and three ways to group them.

Nothing here computes an outcome. The tree is kept as written, so that it turns back into English; engines read the
fused tree made from it (`fusing`).
"""

from collections.abc import Iterator
from typing import NamedTuple

from validator.facts import possible
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language import amounts
from validator.language.forms import complain, listed
from validator.language.slips import did_you_mean, nearest, or_a_book_is_missing
from validator.language.source import Complaint, Entries, Items, Node, Text, Where

AMOUNT_WORDS = ("is", "is not", "at least", "at most", "more than", "less than", "not before", "not after")
WORD_WORDS = ("is", "is not", "one of", "none of")
ORDERED_WORDS = (*WORD_WORDS, "at least", "at most", "more than", "less than")
TOGETHER_WORDS = ("has", "has at least one of", "has all of", "has none of")
SAME_AS = {"not before": "at least", "not after": "at most"}
GROUPS = ("all of", "any of", "not both")


class Constant(NamedTuple):
    """A value written in the rule: an amount `(least, greatest)` of one value, or a mask of words."""

    value: object
    text: str


class OtherFact(NamedTuple):
    """The value of another fact of the same place."""

    name: str


class FromLimit(NamedTuple):
    """A limit of limits.yaml."""

    name: str


class FromSchedule(NamedTuple):
    """An answer of a schedule."""

    name: str
    column: str = ""


Against = Constant | OtherFact | FromLimit | FromSchedule


class Comparison(NamedTuple):
    """One fact against something: `screw.length at least 1-5/8 in`."""

    fact: str
    compare: str
    against: Against
    where: Where


class IsThere(NamedTuple):
    """Whether a thing is there: `tape: there`, `tape: none`."""

    thing: str
    there: bool
    where: Where


class IsStated(NamedTuple):
    """Whether somebody stated a fact, whatever it says."""

    fact: str
    where: Where


class Group(NamedTuple):
    """`all of`, `any of` or `not both` of its members."""

    how: str
    members: tuple["Condition", ...]


Condition = Comparison | IsThere | IsStated | Group
ALWAYS = Group("all of", ())


class Names(NamedTuple):
    """What a condition may name beside facts."""

    limits: frozenset[str]
    schedules: dict[str, tuple[str, ...]]  # with the names of their answer columns


def leaves(condition: Condition) -> Iterator[Comparison | IsThere | IsStated]:
    """Every comparison of a tree, in the author's order."""
    if isinstance(condition, Group):
        for member in condition.members:
            yield from leaves(member)
    else:
        yield condition


def facts_read(condition: Condition) -> list[str]:
    """The facts that a tree reads, each once, in the author's order; keys of schedules and limits are not among them."""
    names: dict[str, None] = {}
    for leaf in leaves(condition):
        names[leaf.thing if isinstance(leaf, IsThere) else leaf.fact] = None
        if isinstance(leaf, Comparison) and isinstance(leaf.against, OtherFact):
            names[leaf.against.name] = None
    return list(names)


def read_condition(
    node: Node | None, vocabulary: Vocabulary, names: Names, complaints: list[Complaint]
) -> Condition:
    """A mapping of facts to comparisons, all of which must hold. An empty one always holds."""
    return _Reader(vocabulary, names, complaints).mapping(node)


class _Reader(NamedTuple):
    vocabulary: Vocabulary
    names: Names
    complaints: list[Complaint]

    def mapping(self, node: Node | None) -> Condition:
        if node is None or (isinstance(node, Text) and not node.text):
            return ALWAYS
        if not isinstance(node, Entries):
            complain(self.complaints, node, "a condition is written as `fact: what it must be` lines")
            return ALWAYS
        members: list[Condition] = []
        for key, value in node.pairs:
            members += self._entry(key, value)
        return members[0] if len(members) == 1 else Group("all of", tuple(members))

    def _entry(self, key: Text, value: Node) -> list[Condition]:
        if key.text in GROUPS:
            return [self._group(key, value)]
        if key.text in self.vocabulary.things:
            return self._presence(key, value)
        fact = self.vocabulary.fact(key.text)
        if fact is None:
            complain(self.complaints, key, f"`{key.text}` is no fact of the vocabulary",
                   self.vocabulary.nearest_fact(key.text))  # fmt: skip
            return []
        return self._comparisons(key, fact, value)

    def _group(self, key: Text, value: Node) -> Condition:
        if not isinstance(value, Items):
            complain(self.complaints, key, f"`{key.text}` holds a list", "a line `- fact: ...` for each member")
            return ALWAYS
        members = tuple(self.mapping(item) for item in value.items)
        if len(members) < 2 or (key.text == "not both" and len(members) != 2):
            complain(self.complaints, key, f"`{key.text}` has {len(members)} members",
                   "exactly two" if key.text == "not both" else "two or more")  # fmt: skip
        return Group(key.text, members)

    def _presence(self, key: Text, value: Node) -> list[Condition]:
        said = value.text if isinstance(value, Text) else ""
        if said not in ("there", "none"):
            complain(self.complaints, value, f"`{key.text}` is a thing: it is there or it is not", "there, none")
            return []
        return [IsThere(key.text, said == "there", key.where)]

    def _comparisons(self, key: Text, fact: Fact, value: Node) -> list[Condition]:
        if isinstance(value, Text) and value.text in ("stated", "is stated"):
            return [IsStated(fact.name, key.where)]
        if fact.kind in ("name", "size"):
            complain(self.complaints, key, f"`{fact.name}` is a {fact.kind}, which nothing is compared with", "stated")
            return []
        if isinstance(value, (Text, Items)):
            compare = "has all of" if fact.is_together else "one of" if fact.is_word else "is"
            return self._comparison(key, fact, compare, value)
        found: list[Condition] = []
        if not value.pairs:
            complain(self.complaints, value, f"`{fact.name}` is compared with nothing", listed(self._allowed(fact)))
        for compare, against in value.pairs:
            allowed = self._allowed(fact)
            if compare.text not in allowed:
                hint = did_you_mean(compare.text, allowed)
                complain(self.complaints, compare, f"`{compare.text}` is not a comparison for {fact.name}",
                       hint + listed(allowed))  # fmt: skip
                continue
            found += self._comparison(compare, fact, compare.text, against)
        return found

    def _allowed(self, fact: Fact) -> tuple[str, ...]:
        if fact.is_amount:
            return AMOUNT_WORDS if fact.kind == "moment" else AMOUNT_WORDS[:6]
        if fact.is_together:
            return TOGETHER_WORDS
        return ORDERED_WORDS if fact.order else WORD_WORDS

    def _comparison(self, key: Text, fact: Fact, compare: str, node: Node) -> list[Condition]:
        against = self._against(fact, node)
        if against is None:
            return []
        if against == OtherFact(fact.name):
            complain(self.complaints, key, f"`{fact.name}` is compared with itself", "another fact, a value, a limit")
            return []
        return [Comparison(fact.name, SAME_AS.get(compare, compare), against, key.where)]

    def _against(self, fact: Fact, node: Node) -> Against | None:
        if isinstance(node, Entries):
            return self._reference(fact, node)
        texts = (node,) if isinstance(node, Text) else tuple(i for i in node.items if isinstance(i, Text))
        if not texts or (isinstance(node, Items) and len(texts) < len(node.items)):
            complain(self.complaints, node, f"`{fact.name}` is compared with a word, an amount or a list of words")
            return None
        try:
            if fact.is_amount:
                return self._amount(fact, node)
            mask = possible.word_mask(fact, tuple(t.text for t in texts))
        except possible.NotPossible as problem:
            complain(self.complaints, node, problem.what, self._as_named(fact, texts) or problem.accepted)
            return None
        return Constant(mask, " or ".join(t.text for t in texts))

    def _as_named(self, fact: Fact, texts: tuple[Text, ...]) -> str:
        """How a limit or a schedule is named, where what was written in place of a value is the name of one, or near it."""
        (text, *more) = (each.text for each in texts)
        for how, known in (("limit", self.names.limits), ("schedule", self.names.schedules)):
            name = text if text in known else nearest(text, known) if fact.is_amount else None
            if name and not more:
                return f"{{{how}: {name}}}"
        return ""

    def _amount(self, fact: Fact, node: Node) -> Constant | None:
        if not isinstance(node, Text):
            complain(self.complaints, node, f"`{fact.name}` is an amount, compared with one amount at a time")
            return None
        known = possible.read(fact, node.text)
        value = exact_amount(fact.kind, node, known.value, self.complaints)
        return Constant((value, value), node.text) if value is not None else None

    def _reference(self, fact: Fact, node: Entries) -> Against | None:
        keys = {key.text: value for key, value in node.pairs}
        for how in ("fact", "limit", "schedule"):
            if how in keys and set(keys) <= {how, "answer"}:
                name = keys[how].text if isinstance(keys[how], Text) else ""
                column = keys["answer"].text if isinstance(keys.get("answer"), Text) else ""
                return self._named(fact, how, name, column, node)
        complain(self.complaints, node, f"`{fact.name}` is compared with something that is not understood",
               "a value, {fact: another}, {limit: name} or {schedule: name}")  # fmt: skip
        return None

    def _named(self, fact: Fact, how: str, name: str, column: str, node: Node) -> Against | None:
        if how == "fact":
            other = self.vocabulary.fact(name)
            if other is None:
                complain(self.complaints, node, f"`{name}` is no fact of the vocabulary", self.vocabulary.nearest_fact(name))
                return None
            if other.kind != fact.kind or other.words != fact.words:
                complain(self.complaints, node, f"`{name}` is a {other.kind} and `{fact.name}` a {fact.kind}",
                       "two facts of one kind")  # fmt: skip
                return None
            return OtherFact(name)
        known = self.names.limits if how == "limit" else self.names.schedules
        if name not in known:
            near = nearest(name, known)
            complain(self.complaints, node, f"there is no {how} `{name}` in this book",
                   (f"did you mean `{near}`?" if near else listed(sorted(known))) + or_a_book_is_missing(name, near))  # fmt: skip
            return None
        if how == "limit":
            return FromLimit(name)
        columns = self.names.schedules[name]
        if column and column not in columns or not column and len(columns) > 1:
            complain(self.complaints, node, f"the schedule `{name}` answers with {listed(columns)}",
                   f"{{schedule: {name}, answer: {columns[0]}}}")  # fmt: skip
            return None
        return FromSchedule(name, column or columns[0])


def exact_amount(kind: str, node: Node, value: object, complaints: list[Complaint]) -> int | None:
    """The one step of an amount in a book; a range, or a value that falls between two steps, is refused."""
    least, greatest = value
    if least == greatest:
        return least
    if greatest - least == 1:
        complain(complaints, node, f"`{node.text}` falls between two steps of {kind}", "a value that lies on the step")
    elif least == amounts.NO_LEAST and greatest == amounts.NO_GREATEST:
        complain(complaints, node, f"`{node.text}` says no amount", "one amount with its unit")
    else:
        complain(complaints, node, f"`{node.text}` is a range; a rule is compared with one amount",
               "two comparisons: `{at least: ..., at most: ...}`")  # fmt: skip
    return None
