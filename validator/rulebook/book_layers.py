"""Lays books upon each other: a local or a project's book on codes and standards, and what takes the place of what.

Layers are laid from the least precedence to the greatest: trade practice, code or standard, local amendment, project
specification. A layer adds rules, limits, schedules, consequences and cautions; it replaces or takes out only what
stands beneath it, and only where it says so.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from validator.language.forms import complain, listed
from validator.language.slips import nearest
from validator.language.source import Complaint, Text, Where
from validator.rulebook.conditions import Names
from validator.rulebook.rule import BookLayer, Case, Caution, Consequence, Outside, Rule, cases_as_text
from validator.rulebook.schedules import Limit, Schedule
from validator.rulebook.shelf import book_names, on_shelf
from validator.rulebook.showing_reading import Showings


@dataclass(slots=True)
class Stack:
    """What the layers laid so far come to together."""

    complaints: list[Complaint]
    layers: list[BookLayer] = field(default_factory=list)
    limits: dict[str, Limit] = field(default_factory=dict)
    schedules: dict[str, Schedule] = field(default_factory=dict)
    consequences: dict[str, Consequence] = field(default_factory=dict)
    rules: dict[str, Rule] = field(default_factory=dict)
    cautions: list[Caution] = field(default_factory=list)
    outside: list[Outside] = field(default_factory=list)
    not_checked: list[str] = field(default_factory=list)
    showings: Showings = field(default_factory=Showings)

    def begin(self, layer: BookLayer, where: Where) -> None:
        """Lay a further layer; two of one name could not be told apart in a finding."""
        if any(layer.name == other.name for other in self.layers):
            self._refuse(where, f"two of the books are called `{layer.name}`", "a name of its own for each book")
        self.layers.append(layer)

    def lay_tables(self, limits: dict[str, Limit], schedules: dict[str, Schedule]) -> None:
        for name, limit in limits.items():
            self._may_stand(name, "limit", limit, self.limits)
            beneath = self.limits.get(name)
            if beneath is not None and beneath.kind != limit.kind:
                self._refuse(limit.where, f"the limit `{name}` is a {limit.kind}, and beneath it a {beneath.kind}", beneath.kind)
            self.limits[name] = limit._replace(book=self.layers[-1].name)
        for name, schedule in schedules.items():
            self._may_stand(name, "schedule", schedule, self.schedules)
            beneath = self.schedules.get(name)
            if beneath is not None and not _answers_like(schedule, beneath):
                self._refuse(schedule.where, f"the schedule `{name}` does not answer as the one beneath it does",
                             f"gives {beneath.gives.name}, in the columns {', '.join(beneath.columns)}")  # fmt: skip
            schedule.book = self.layers[-1].name
            self.schedules[name] = schedule

    def names(self) -> Names:
        """What a condition of the layer in hand may name."""
        return Names(frozenset(self.limits), {s.name: s.columns for s in self.schedules.values()})

    def lay_rules(self, consequences: dict[str, Consequence], rules: dict[str, Rule]) -> None:
        for name, consequence in consequences.items():
            if name in self.consequences:
                self._refuse(consequence.where, f"a consequence `{name}` stands beneath this book", "another name for it")
            self.consequences[name] = consequence
        beneath = dict(self.rules)
        for out in self.layers[-1].takes_out:
            self._named_beneath(out.rule, out.where, beneath)
            self.rules.pop(out.rule, None)
        for rule in rules.values():
            if rule.replaces and self._named_beneath(rule.replaces, rule.where, beneath):
                self.rules.pop(rule.replaces, None)
            if rule.name in beneath and rule.replaces != rule.name:
                self._refuse(rule.where, f"a rule `{rule.name}` stands in the book {beneath[rule.name].book} beneath this one",
                             f"`replaces: {rule.name}`, or another name")  # fmt: skip
            self.rules[rule.name] = rule

    def lay_cases(self, cases: dict[str, tuple[Case, ...]]) -> None:
        """Further cases for rules that lie beneath the layer in hand."""
        for name, each in cases.items():
            if self._named_beneath(name, each[0].where if each else Where(str(self.layers[-1].folder), 0, 1), self.rules):
                rule = self.rules[name]
                self.rules[name] = replace(rule, cases_text=cases_as_text((*rule.cases, *each)))

    def not_beneath(self) -> tuple[str, ...]:
        """What a user's own books are judged without, where none of the shelf's is beneath them."""
        if any(on_shelf(layer.folder) for layer in self.layers):
            return ()
        many = "1 rule" if len(self.rules) == 1 else f"{len(self.rules)} rules"
        own = " and ".join(layer.name for layer in self.layers)
        shelved = listed(book_names())
        return (f"Everything but the {many} of {own}: the shelf's book {shelved} does not lie beneath (`--book {shelved}` lays it there).",)

    # -- what may not be laid ---------------------------------------------------------------------------------------------

    def _may_stand(self, name: str, what: str, new: Limit | Schedule, beneath: dict[str, Limit] | dict[str, Schedule]) -> None:
        if name in beneath and not new.replaces:
            self._refuse(new.where, f"a {what} `{name}` stands in the book {beneath[name].book} beneath this one",
                         "`replaces: yes`, or another name")  # fmt: skip
        elif new.replaces and name not in beneath:
            self._refuse(new.where, f"there is no {what} `{name}` beneath this book to replace", self._near(name, beneath))

    def _named_beneath(self, name: str, where: Where, beneath: dict[str, Rule]) -> bool:
        if name not in beneath:
            self._refuse(where, f"there is no rule `{name}` beneath this book, which is {self.layers[-1].standing}",
                         self._near(name, beneath))  # fmt: skip
        return name in beneath

    def _near(self, name: str, known: Iterable[str]) -> str:
        if len(self.layers) == 1:
            return "the name of something in a book of less precedence, and none lies beneath here"
        near = nearest(name, known)
        return f"did you mean `{near}`?" if near else "the name of something in a book of less precedence"

    def _refuse(self, where: Where, what: str, accepted: str) -> None:
        complain(self.complaints, Text("", where), what, accepted)


def _answers_like(new: Schedule, beneath: Schedule) -> bool:
    gives, other = new.gives, beneath.gives
    return gives.kind == other.kind and gives.words == other.words and set(beneath.columns) <= set(new.columns)
