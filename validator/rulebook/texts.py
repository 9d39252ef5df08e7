"""Puts limits into the texts of a book: `at least {least opening of a shower}` says the value that stands there now.

So a limit that a book laid above replaces is another in every title, reason and remedy. A limit that changes by edition or code
family is named with the word that is meant, `{least depth of a flood test, residential}`, or says all its values.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import NamedTuple

from validator.facts.vocabulary import Fact
from validator.language.forms import listed
from validator.language.slips import nearest
from validator.language.source import Complaint, Where
from validator.rulebook.book import Book, tables_compared
from validator.rulebook.rule import Caution, Consequence, OtherWay, Rule
from validator.rulebook.schedules import Cell, Limit

NAMED = re.compile(r"\{([^{}]+)\}")
SHORT_WORD = 3
TEXTS = ("title", "because", "put_right", "note")


class _Values(NamedTuple):
    limits: dict[str, Limit]
    complaints: list[Complaint]

    def put_into(self, text: str, where: Where) -> str:
        return NAMED.sub(lambda found: self._value(found[1], where), text) if "{" in text else text

    def _value(self, name: str, where: Where) -> str:
        if name in self.limits:
            limit = self.limits[name]
            return " or ".join(dict.fromkeys(row.texts[0] for row in limit.by.rows)) if limit.by else limit.text
        stem, _, word = name.rpartition(", ")
        if stem in self.limits:
            by = self.limits[stem].by
            if by is None:  # a book laid above gave it one value for all
                return self.limits[stem].text
            (key,) = by.keys
            rows = by.rows_for((1 << key.words.index(word),)) if word in key.words else ()
            if rows and rows[0] >= 0:
                return by.rows[rows[0]].texts[0]
            self._refuse(where, name, f"`{{{stem}, ...}}` with one of {listed(w for row in by.rows for w in _words(key, row.cells[0]))}")
        else:
            near = nearest(name, self.limits)
            self._refuse(where, name, f"did you mean `{{{near}}}`?" if near else "the name of a limit of limits.yaml, in braces")
        return name

    def _refuse(self, where: Where, name: str, accepted: str) -> None:
        self.complaints.append(Complaint(where, f"a text names `{{{name}}}`, which is no limit of this book", accepted))


def _words(key: Fact, cell: Cell) -> Iterator[str]:
    return (word for bit, word in enumerate(key.words) if cell is None or cell >> bit & 1)


def put_limits_into_texts(book: Book, complaints: list[Complaint]) -> None:
    """Every text of a book with the values of the limits that it names; what repeats a value is noted as a slip."""
    values = _Values(book.limits, complaints)
    book.text_slips = tuple(_repeating(book))
    book.rules = {name: _rule(rule, values) for name, rule in book.rules.items()}
    book.consequences = {name: _consequence(each, values) for name, each in book.consequences.items()}
    book.cautions = tuple(_caution(each, values, book) for each in book.cautions)


def _rule(rule: Rule, values: _Values) -> Rule:
    texts = {part: getattr(rule, part) for part in TEXTS}
    ways = tuple(replace(way, because=values.put_into(way.because, way.where)) for way in rule.other_ways)
    return replace(rule, other_ways=ways, **{part: values.put_into(text, rule.where) for part, text in texts.items()})


def _consequence(consequence: Consequence, values: _Values) -> Consequence:
    return replace(consequence, because=values.put_into(consequence.because, consequence.where))


def _caution(caution: Caution, values: _Values, book: Book) -> Caution:
    where = Where(str(book.layers[-1].folder / "book.yaml"), 1, 1)
    return replace(caution, say=values.put_into(caution.say, where), in_short=values.put_into(caution.in_short, where))


# -- what would lie once the limit changes ----------------------------------------------------------------------------------------


def _repeating(book: Book) -> Iterator[str]:
    """A line for every text of a rule that types the value of a limit it is compared with."""
    for rule in book.rules.values():
        limits = dict.fromkeys(table for table in tables_compared(book, rule) if isinstance(table, Limit))
        # A note may quote what a source prints, which stays so whatever a book laid above replaces.
        texts = [(part.replace("_", " "), getattr(rule, part), rule.where) for part in TEXTS if part != "note"]
        texts += [("except when: because", way.because, way.where) for way in rule.other_ways]
        for part, text, where in texts:
            for value, names in _typed(text, limits):
                said = " or ".join(f"`{{{name}}}`" for name in names)
                yield f"{where}: {rule.name}: `{part}` types {value}, which would lie once the limit changes; write {said} in its place"


def _typed(text: str, limits: Iterable[Limit]) -> Iterator[tuple[str, list[str]]]:
    names: dict[str, list[str]] = {}
    for limit in limits:
        rows = limit.by.rows if limit.by else ()
        values = dict.fromkeys(row.texts[0] for row in rows) if rows else {limit.text: None}
        for value in values:
            words = [word for row in rows if row.texts[0] == value for word in _words(limit.by.keys[0], row.cells[0])]
            own = [limit.name] if len(values) == 1 else [f"{limit.name}, {word}" for word in words]
            names.setdefault(value, []).extend(own)
    for value, own in names.items():
        number, _, unit = value.partition(" ")
        first = rf"{re.escape(number)}(?= (?:to|and|by|or) (?:\{{|[\d/-]+ {re.escape(unit)}))" if unit else r"(?!)"  # `2 to 9 in`
        counted = "|".join(word for name in own for word in name.split() if len(word) > SHORT_WORD) or r"(?!)"  # `3 coats`, by the limit's own name
        last = rf" (?:{counted})\b" if value.isdigit() else r"(?![\w/-])"
        if re.search(rf"(?<![\w/.,-])(?:{re.escape(value)}{last}|{first})", text):
            yield value, own
