"""`record` makes a frozen dataclass; `proved` builds one while pydantic checks each part. Only reading a book loads pydantic.

pydantic proves each record of a book as it is read. A book kept from an earlier run was proved then, so judging by it does
not load pydantic, which takes half as long as a whole check.
"""

from collections.abc import Callable, Sequence
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, fields
from functools import cache, cached_property
from typing import Any, TypeVar, dataclass_transform

AsRead = Any  # a part that its own reader made, which pydantic need not look into
LONGEST = 60  # letters of one part, where a record is printed for a programmer

Kind = TypeVar("Kind")


@dataclass_transform(frozen_default=True, kw_only_default=True)
def record(kind: type[Kind]) -> type[Kind]:
    """Takes a class of named parts, returns it as a frozen dataclass that is made by naming them.

    All records share what they do; a dataclass that is left to write it for each kind takes a millisecond a kind to import.
    """
    made = dataclass(init=False, eq=False, repr=False, match_args=False)(kind)
    for name, shared in _SHARED.items():
        setattr(made, name, shared)
    return made


@cache
def _parts_of(kind: type) -> tuple[tuple[str, Callable[[], object]], ...]:
    """The names of a record's parts in their order, each with what makes it where nobody names it."""
    return tuple((each.name, _made_for(each)) for each in fields(kind))


def _made_for(part: "Field[Any]") -> Callable[[], object]:
    if part.default_factory is not MISSING:
        return part.default_factory
    if part.default is not MISSING:
        return lambda: part.default
    return _missing


def _missing() -> object:
    raise LookupError


def _init(self: Any, /, **parts: object) -> None:
    held = self.__dict__
    named = len(parts)
    for name, make in _parts_of(self.__class__):
        if name in parts:
            held[name] = parts[name]
            named -= 1
        else:
            try:
                held[name] = make()
            except LookupError:
                raise TypeError(f"{type(self).__name__} is made by naming its parts, and {name} is not named") from None
    if named:
        unknown = ", ".join(parts.keys() - held.keys())
        raise TypeError(f"{type(self).__name__} has no part {unknown}")


def _values(self: Any) -> tuple[object, ...]:
    return tuple([getattr(self, name) for name in type(self).__dataclass_fields__])


def _eq(self: Any, other: object) -> bool:
    return _values(self) == _values(other) if type(other) is type(self) else NotImplemented


def _hash(self: Any) -> int:
    return hash(_values(self))


def _never(self: Any, name: str, *value: object) -> None:
    raise FrozenInstanceError(f"{type(self).__name__}.{name} never changes")


def _in_short(self: Any) -> str:
    """A record with what its parts hold, many of a kind by their number: Report(outcome='fail', findings=<9 Finding>)."""
    parts = {each.name: getattr(self, each.name) for each in fields(self)}
    shown = ", ".join(f"{name}={_part(value)}" for name, value in parts.items() if value not in ((), "", None))
    return f"{type(self).__name__}({shown})"


def _part(value: object) -> str:
    if isinstance(value, tuple) and type(value) is tuple and value and hasattr(value[0], "__dataclass_fields__"):
        return f"<{len(value)} {type(value[0]).__name__}>"
    text = repr(value)
    return text if len(text) <= LONGEST else f"{text[:LONGEST]}..."


class Late(Sequence[Kind]):
    """Records of which each is made when it is first asked for, since most are only counted; alike when their members are."""

    def __init__(self, makers: Sequence[Callable[[], Kind]]) -> None:
        self._makers = makers
        self._made: dict[int, Kind] = {}

    def __len__(self) -> int:
        return len(self._makers)

    def __getitem__(self, number: Any) -> Any:
        if isinstance(number, slice):
            return tuple(self[each] for each in range(*number.indices(len(self))))
        number = range(len(self))[number]
        if number not in self._made:
            self._made[number] = self._makers[number]()
        return self._made[number]

    def __eq__(self, other: object) -> bool:
        return tuple(self) == tuple(other) if isinstance(other, Sequence) else NotImplemented

    def __hash__(self) -> int:
        return hash(tuple(self))

    def __repr__(self) -> str:
        return _part(tuple(self))


class LateAll(Late[Kind]):
    """Records that are all made when one of them is first asked for."""

    def __init__(self, make: Callable[[], Sequence[Kind]]) -> None:
        self._make = make

    @cached_property
    def _all(self) -> tuple[Kind, ...]:
        return tuple(self._make())

    def __len__(self) -> int:
        return len(self._all)

    def __getitem__(self, number: Any) -> Any:
        return self._all[number]


_SHARED = {
    "__init__": _init, "__eq__": _eq, "__hash__": _hash, "__setattr__": _never, "__delattr__": _never, "__repr__": _in_short,
}  # fmt: skip


def proved(kind: type, /, **parts: object) -> Any:
    """A record of what a file says, its parts proved to be of their kinds."""
    return _proof(kind)(parts)


@cache
def _proof(kind: type) -> Callable[[object], object]:
    from pydantic import TypeAdapter

    return TypeAdapter(kind).validate_python
