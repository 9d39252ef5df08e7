"""Writes a book as lines of JSON and reads it back: every record by a number, and each that is shared on a line of its own.

Unpacking makes plain containers and records of this program, and runs nothing: a record is made by filling its parts in,
never by calling it. So a file that somebody has changed can at worst be a wrong book. A line is looked at when something on
it is first asked for: most rules apply nowhere in a job.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields
from fractions import Fraction
from importlib import import_module
from pathlib import Path, PurePath

from validator.rulebook.book import Book
from validator.rulebook.rule import Consequence, Rule
from validator.rulebook.schedules import Limit, Schedule
from validator.rulebook.showing import Look, NoFault, OutsideCause, Trouble
from validator.rulebook.sources import Source
from validator.rulebook.trees import RuleTrees

TUPLE, LIST, DICT, SET, FROZENSET, FRACTION, PATH, SHARED, LATE, FIRST_RECORD = range(10)
CONTAINERS = {tuple: TUPLE, list: LIST, set: SET, frozenset: FROZENSET}
# Read while a book is read, and asked for never again: the usual readings as they were written, before `Book.usual` held them.
NOT_KEPT = frozenset(("usually", "when_not_mentioned"))
# What a book holds by name, and a check asks for a few of.
BY_NAME = frozenset((Rule, RuleTrees, Consequence, Limit, Schedule, Source, Look, Trouble, OutsideCause, NoFault))
PLAIN = frozenset((str, int, bool, type(None)))
OWN = "validator."
parsed = json.JSONDecoder().raw_decode


class NoBook(ValueError):
    """What was packed is not a book in this form."""


class LateByName(Mapping[str, object]):
    """What a kept book holds by name, each made when it is first asked for."""

    def __init__(self, lines: dict[str, int], on_line: Callable[[int], object]) -> None:
        self._lines = lines
        self._on_line = on_line

    def __getitem__(self, name: str) -> object:
        return self._on_line(self._lines[name])

    def __iter__(self) -> Iterator[str]:
        return iter(self._lines)

    def __len__(self) -> int:
        return len(self._lines)


def encoded(book: Book) -> bytes:
    """A book as one text in UTF-8."""
    packer = _Packer()
    root = packer.node(book)
    names = [f"{kind.__module__}:{kind.__qualname__}" for kind in packer.numbers]
    return "\n".join((_text([names, root]), *packer.lines)).encode()


def _text(node: object) -> str:
    return json.dumps(node, ensure_ascii=False, separators=(",", ":"))


def decoded(text: bytes) -> Book:
    """The book of a text. Raises NoBook."""
    try:
        lines = text.split(b"\n")
        names, root = json.loads(lines[0])
        book = _Unpacker([_kind(name) for name in names], lines).node(root)
    except (ValueError, TypeError, LookupError, AttributeError, ImportError, RecursionError) as trouble:
        raise NoBook(str(trouble)) from None
    if not isinstance(book, Book):
        raise NoBook("something else than a book")
    return book


def _kind(name: str) -> type:
    """A record of this program by name: a class of named parts, in the module that defines it."""
    module, _, own = name.partition(":")
    if not module.startswith(OWN) or "." in own:
        raise NoBook(f"{name} is no record of a book")
    kind = getattr(import_module(module), own)
    if not isinstance(kind, type) or kind.__module__ != module or not _parts(kind):
        raise NoBook(f"{name} is no record of a book")
    return kind


def _parts(kind: type) -> tuple[str, ...]:
    if issubclass(kind, tuple):
        return getattr(kind, "_fields", ())
    return tuple(each.name for each in fields(kind)) if hasattr(kind, "__dataclass_fields__") else ()


def _lines_by_name(raw: list, count: int) -> dict[str, int]:
    """Names with their lines; proved now, since the lines are looked at later."""
    numbers = dict(zip(raw[1::2], raw[2::2]))
    if not all(type(number) is int and 0 < number < count for number in numbers.values()):
        raise NoBook("names without their lines")
    return numbers


def _is_by_name(value: dict) -> bool:
    return bool(value) and all(type(each) in BY_NAME for each in value.values())


def _is_filled(kind: type) -> bool:
    """True for a record whose parts stand in a dictionary of its own, over what its class has."""
    return not issubclass(kind, tuple) and not hasattr(kind, "__slots__")


class _Packer:
    def __init__(self) -> None:
        self.numbers: dict[type, int] = {}
        self.parts: dict[type, tuple[str, ...]] = {}
        self.lines: list[str] = []
        self.places: dict[int, int] = {}
        self.held: list[object] = []  # kept alive, so that no two have one id

    def node(self, value: object) -> object:
        kind = type(value)
        if kind in PLAIN:
            return value
        if value == ():
            return []
        if kind in CONTAINERS:
            return [CONTAINERS[kind], *map(self.node, value)]
        if kind is dict and _is_by_name(value):
            return [LATE, *(part for name, each in value.items() for part in (name, self._line(each)))]
        if kind is dict:
            return [DICT, *(self.node(each) for pair in value.items() for each in pair)]
        if kind is Fraction:
            return [FRACTION, value.numerator, value.denominator]
        if isinstance(value, PurePath):
            return [PATH, str(value)]
        # What is no tuple is one thing however many hold it.
        return self._record(kind, value) if isinstance(value, tuple) else [SHARED, self._line(value)]

    def _line(self, value: object) -> int:
        """The line that a record stands on."""
        number = self.places.get(id(value))
        if number is None:
            self.lines.append("")
            number = self.places[id(value)] = len(self.lines)  # the first line is of no record
            self.held.append(value)
            self.lines[number - 1] = _text(self._record(type(value), value))
        return number

    def _record(self, kind: type, value: object) -> list[object]:
        if kind not in self.numbers:
            self.numbers[kind] = FIRST_RECORD + len(self.numbers)
            self.parts[kind] = _parts(kind)
        parts = self.parts[kind]
        if _is_filled(kind):
            # What is as the class has it anyway is left out: most facts say little of the much that could be said.
            own = [
                (number, part) for number, part in enumerate(parts)
                if part not in NOT_KEPT and part in vars(value) and vars(value)[part] != getattr(kind, part, self)
            ]  # fmt: skip
            return [self.numbers[kind], *(each for number, part in own for each in (number, self.node(getattr(value, part))))]
        return [self.numbers[kind], *(self.node(getattr(value, part)) for part in parts)]


class _Unpacker:
    def __init__(self, kinds: list[type], lines: list[bytes]) -> None:
        self.lines = lines
        self.made: dict[int, object] = {}
        node = self.node
        self.makers: list[Callable[[list], object]] = [
            lambda raw: tuple([each if type(each) is not list else node(each) for each in raw[1:]]),
            lambda raw: [node(each) for each in raw[1:]],
            lambda raw: dict(zip(map(node, raw[1::2]), map(node, raw[2::2]))),
            lambda raw: {node(each) for each in raw[1:]},
            lambda raw: frozenset(map(node, raw[1:])),
            lambda raw: Fraction(raw[1], raw[2]),
            lambda raw: Path(raw[1]),
            lambda raw: self.on_line(raw[1]),
            lambda raw: LateByName(_lines_by_name(raw, len(lines)), self.on_line),
            *(self._record(kind) for kind in kinds),
        ]

    def node(self, raw: object) -> object:
        if type(raw) is not list:
            return raw
        return self.makers[raw[0]](raw) if raw else ()

    def on_line(self, number: int) -> object:
        """The record that stands on a line, made once however many hold it."""
        made = self.made.get(number)
        if made is None:
            made = self.made[number] = self.node(parsed(self.lines[number].decode())[0])
        return made

    def _record(self, kind: type) -> Callable[[list], object]:
        node, parts = self.node, _parts(kind)
        if issubclass(kind, tuple):
            return lambda raw: tuple.__new__(kind, [each if type(each) is not list else node(each) for each in raw[1:]])
        if not _is_filled(kind):

            def slotted(raw: list) -> object:
                made = object.__new__(kind)
                for part, each in zip(parts, raw[1:]):
                    object.__setattr__(made, part, node(each))
                return made

            return slotted

        def filled(raw: list) -> object:
            made = object.__new__(kind)
            made.__dict__.update(
                {parts[raw[n]]: raw[n + 1] if type(raw[n + 1]) is not list else node(raw[n + 1]) for n in range(1, len(raw), 2)}
            )
            return made

        return filled
