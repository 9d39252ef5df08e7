"""Takes what a rule requires, returns it as a reader says it: amounts with their limits, words after a colon, ways one by one.

`screw penetration at least 5/8 in (16 mm)`; `tile mortar kind: modified cement or epoxy; and tile mortar meets: A118.15`; `one
of these: ...`. Two bounds of one fact stand together, and an amount stands first in the unit in which it was found.
"""

from collections.abc import Callable

from validator.facts import possible
from validator.facts.vocabulary import Fact
from validator.language import amounts
from validator.rulebook.book import Book
from validator.rulebook.conditions import Comparison, Condition, Constant, FromLimit, FromSchedule, Group, IsStated, IsThere, OtherFact
from validator.rulebook.english import Values, cell_in_words, name_of
from validator.rulebook.schedules import NO_ROW, Schedule

Units = Callable[[str], str]  # the unit in which a fact was said, empty where none was
MOST_ANSWERS = 4
ALL, NOT_BOTH = "all of", "not both"
BOUNDS = ("at least", "at most", "more than", "less than")  # of words in order as of amounts
UNDER_A_LIMIT = {"at least": "not under", "at most": "not over"}


def in_words(tree: Condition, book: Book, values: Values | None = None, units: Units | None = None) -> str:
    """The whole requirement. `values` gives what is possible of a fact, so that schedules answer; `units` as it was said."""
    return _Requirement(book, values, units or (lambda name: "")).said(tree)


class _Requirement:
    def __init__(self, book: Book, values: Values | None, units: Units) -> None:
        self.book, self.vocabulary, self.values, self.units = book, book.vocabulary, values, units

    def said(self, tree: Condition, *, inside: bool = False) -> str:
        if not isinstance(tree, Group):
            return self._leaf(tree)
        if not tree.members:
            return "nothing more"
        if tree.how == NOT_BOTH:
            return f"not both: {self.said(tree.members[0])}; and {self.said(tree.members[1])}"
        if len(tree.members) == 1:
            return self.said(tree.members[0], inside=inside)
        return self._all(tree, inside) if tree.how == ALL else self._any(tree, inside)

    # -- several together ------------------------------------------------------------------------------------------------

    def _all(self, tree: Group, inside: bool) -> str:
        parts = self._joined(tree.members)
        if inside:
            return " with ".join(parts)
        return "; and ".join(parts) if any(mark in part for part in parts for mark in ": ,;") and len(parts) > 1 else " and ".join(parts)

    def _joined(self, members: tuple[Condition, ...]) -> list[str]:
        """Each member, two bounds of one fact as one."""
        said: list[str] = []
        for member in members:
            other = next((each for each in members if _bounds(member, each)), None)
            if other is None:
                said.append(self.said(member, inside=True))
            elif member.compare == "at least":
                said.append(f"{self._name(member.fact)} {self._bounded(member)} and {self._bounded(other)}")
        return said

    def _any(self, tree: Group, inside: bool) -> str:
        parts = [self.said(member, inside=True) for member in tree.members]
        if all(isinstance(each, IsThere) and each.there for each in tree.members):
            return _listed(parts)
        if len(parts) == 2 and not inside:
            return f"either {parts[0]}; or {parts[1]}"
        return f"either {', '.join(parts[:-1])}, or {parts[-1]}" if inside else f"one of these: {'; '.join(parts[:-1])}; or {parts[-1]}"

    # -- one comparison ----------------------------------------------------------------------------------------------------

    def _name(self, name: str) -> str:
        return name_of(self.vocabulary, name)

    def _leaf(self, tree: Condition) -> str:
        if isinstance(tree, IsThere):
            return f"{_article(tree.thing) if tree.there else 'no'} {tree.thing}"
        if isinstance(tree, IsStated):
            return f"{self._name(tree.fact)} stated"
        fact = self.vocabulary.fact(tree.fact)
        name, told = self._name(tree.fact), self._against(tree)
        if fact.is_amount:
            return f"{name} {self._bounded(tree)}"
        if tree.compare in ("is not", "none of"):
            return f"{name}: not {told}"
        if tree.compare == "has none of":
            return f"{name}: without {told}"
        return f"{name}: {tree.compare} {told}" if tree.compare in BOUNDS else f"{name}: {told}"

    def _bounded(self, tree: Comparison) -> str:
        """`at least 5/8 in (16 mm)`; `not under the least height of a curb`."""
        told = self._against(tree)
        if told.startswith(("the least ", "the greatest ")):
            return f"{UNDER_A_LIMIT.get(tree.compare, tree.compare)} {told}"
        compare = "exactly" if tree.compare == "is" else tree.compare
        return f"{'no more than' if compare == 'at most' and self.vocabulary.fact(tree.fact).kind == 'deflection' else compare} {told}"

    def _against(self, tree: Comparison) -> str:
        fact = self.vocabulary.fact(tree.fact)
        match tree.against:
            case Constant(value, text):
                return self._amount(value[0], fact, text, tree.fact) if fact.is_amount else _listed(text.split(" or "))
            case OtherFact(name):
                return self._other(name)
            case FromLimit(name):
                limit = self.book.limits[name]
                if limit.by is None:
                    return self._printed(limit.text, fact, tree.fact)
                return self._answers(limit.by, 0, fact, tree.fact) or f"the {name}"
            case FromSchedule(name, column):
                schedule = self.book.schedules[name]
                keys = _listed([self._name(key.name) for key in schedule.keys], "and")
                return self._answers(schedule, schedule.columns.index(column), fact, tree.fact) or f"what the table “{name}” gives for {keys}"
        raise TypeError(tree.against)

    def _other(self, name: str) -> str:
        """Another fact by its name, with its amount where that is known."""
        other, known = self.vocabulary.fact(name), self.values(name) if self.values is not None else None
        single = other.is_amount and known is not None and known[0] == known[1]
        return f"the {self._name(name)}" + (f", which is {amounts.show(known[0], other.kind, self.units(name) or None)}" if single else "")

    def _printed(self, text: str, fact: Fact, name: str) -> str:
        """An amount as its source prints it, whatever else counts as on it."""
        return self._amount(amounts.read(text, fact.kind).least, fact, text, name)

    def _amount(self, steps: int, fact: Fact, text: str, name: str) -> str:
        printed = _unit(text, fact)
        found = self.units(name)
        if found and printed and not amounts.read_alike(found, printed, fact.kind):
            return amounts.show(steps, fact.kind, found)
        return amounts.show(steps, fact.kind, printed)

    def _answers(self, schedule: Schedule, column: int, fact: Fact, name: str) -> str:
        """What the schedule answers, given what is known of its keys; nothing when nothing is known."""
        if self.values is None:
            return ""
        rows = schedule.rows_for(tuple(self.values(key.name) for key in schedule.keys))
        said = dict.fromkeys(self._answer(schedule, row, column, fact, name) for row in rows if row != NO_ROW)
        if not said:
            return "what no row of its table gives"
        if len(said) > MOST_ANSWERS:
            return ""
        since = self._since(schedule, rows[0]) if len(rows) == 1 else ""
        told = "; or ".join(said) if fact.is_word else _listed(list(said))
        return told + (f", since {since}" if since else ", by what is not stated" if len(said) > 1 else "")

    def _since(self, schedule: Schedule, row: int) -> str:
        """What a row answers for: `tile longest edge more than 24 in and tile pattern: offset`."""
        cells = [(key, cell) for key, cell in zip(schedule.keys, schedule.rows[row].cells) if cell is not None]
        return _listed([f"{self._name(key.name)}{':' if key.is_word else ''} {_listed(' or '.join(cell_in_words(key, cell)).split(' or '))}" for key, cell in cells], "and")

    def _answer(self, schedule: Schedule, row: int, column: int, fact: Fact, name: str) -> str:
        answer, text = schedule.rows[row].answers[column], schedule.rows[row].texts[column]
        if fact.is_amount:
            return self._printed(text, fact, name)
        if fact.is_word:
            return "any" if answer == fact.every_word else _listed(possible.in_words(fact, answer).split(" or "))
        return text


def _bounds(one: Condition, other: Condition) -> bool:
    """Whether two comparisons are the least and the greatest of one fact."""
    return (
        isinstance(one, Comparison) and isinstance(other, Comparison) and one.fact == other.fact
        and {one.compare, other.compare} == {"at least", "at most"}
    )  # fmt: skip


def _listed(parts: list[str], last: str = "or") -> str:
    """`cement, fiber cement or foam`; an empty list is nothing."""
    return f" {last} ".join(filter(None, (", ".join(parts[:-1]), *parts[-1:])))


def _article(noun: str) -> str:
    return "an" if noun[0] in "aeiou" else "a"


def _unit(text: str, fact: Fact) -> str | None:
    try:
        return amounts.read(text, fact.kind).unit
    except amounts.AmountProblem:
        return None
