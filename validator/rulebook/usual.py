"""What is taken for granted where nobody says: the usual readings of the vocabulary, compiled for the engines.

Takes the vocabulary and what each book lays over it; returns for each fact and thing its rows, with their conditions fused.
A row speaks where its `when:` holds and, if it has `said:` words, one of them stands in the description.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import NamedTuple

from validator.facts import possible
from validator.facts.usual_reading import ASKED, Reading, read_laid_over
from validator.facts.vocabulary import Fact, Vocabulary
from validator.language.forms import complain, fields, pairs_of, texts_of
from validator.language.source import Complaint, Items, Node, Text, read_file
from validator.rulebook import forms
from validator.rulebook.conditions import Names, read_condition
from validator.rulebook.fusing import Fuser
from validator.rulebook.rule import Deciding, Usual, UsualReading

OF_A_BOOK = "usual.yaml"
DECIDING = "deciding.yaml"  # what is known first in each kind of place; the books of a stack add up


def usual_of(vocabulary: Vocabulary, folders: Iterable[Path], fuser: Fuser, names: Names, complaints: list[Complaint]) -> Usual:
    """The usual readings of a vocabulary, those that a book's `usual.yaml` gives for a fact in place of the fact's own; and what
    each book says is known first.
    """
    folders = tuple(folders)
    facts = {fact.name: fact.usually for fact in vocabulary.facts.values() if fact.usually and not fact.name.endswith(" as stated")}
    things = {thing.name: thing.when_not_mentioned for thing in vocabulary.things.values() if thing.when_not_mentioned}
    for path in (folder / OF_A_BOOK for folder in folders if (folder / OF_A_BOOK).is_file()):
        for key, node in pairs_of(read_file(path, complaints), OF_A_BOOK, complaints):
            if key.text in vocabulary.things:
                things[key.text] = read_laid_over(key, node, complaints, thing=True)
            elif vocabulary.fact(key.text) is not None:
                facts[key.text] = read_laid_over(key, node, complaints, thing=False)
            else:
                complain(complaints, key, f"`{key.text}` is no fact of the vocabulary", vocabulary.nearest_fact(key.text))
    compiled = _Compiler(vocabulary, fuser, names, complaints)
    deciding = [
        compiled.deciding(item)
        for path in (folder / DECIDING for folder in folders if (folder / DECIDING).is_file())
        for item in _items_of(read_file(path, complaints), complaints)
    ]
    return Usual(
        {name: tuple(compiled.row(row, vocabulary.fact(name)) for row in rows) for name, rows in facts.items()},
        {name: tuple(compiled.row(row, None) for row in rows) for name, rows in things.items()},
        tuple(deciding),
    )


def _items_of(node: Node | None, complaints: list[Complaint]) -> tuple[Node, ...]:
    if isinstance(node, Items):
        return node.items
    if node is not None:
        complain(complaints, node, f"{DECIDING} is a list", "`- {when: ..., known first: [...], because: ...}` for each kind of place")
    return ()


class _Compiler(NamedTuple):
    vocabulary: Vocabulary
    fuser: Fuser
    names: Names
    complaints: list[Complaint]

    def row(self, row: Reading, fact: Fact | None) -> UsualReading:
        """One row with its condition fused, and of a fact its text as the value it says."""
        when = self.fuser.fuse(read_condition(row.when, self.vocabulary, self.names, self.complaints))
        value = self._value(fact, row.is_) if fact is not None else None
        return UsualReading(when, tuple(word.casefold() for word in row.said), value, row.is_.text, row.because)

    def deciding(self, node: Node) -> Deciding:
        """One kind of place, with the facts that are known first there."""
        lines = fields(node, *forms.DECIDING, self.complaints)
        facts = texts_of(lines.get("known first"), "known first", self.complaints)
        for name in facts:
            if (fact := self.vocabulary.fact(name)) is None:
                complain(self.complaints, lines["known first"], f"`{name}` is no fact of the vocabulary", self.vocabulary.nearest_fact(name))
            elif not fact.ask:
                complain(self.complaints, lines["known first"], f"nobody is asked for `{name}`", "a fact with a line `ask: ...`")
        return Deciding(self.fuser.fuse(read_condition(lines.get("when"), self.vocabulary, self.names, self.complaints)), facts)

    def _value(self, fact: Fact, said: Text) -> object:
        if said.text == ASKED:
            return None
        try:
            return possible.read(fact, said.text).value
        except possible.NotPossible as problem:
            complain(self.complaints, said, problem.what, problem.accepted)
            return None
