"""What is read from a file as a record: named parts, of the kinds they are declared to be, that never change afterwards.

pydantic proves each record of a book as it is read. A book kept from an earlier run was proved then, so judging by it does
not load pydantic, which takes half as long as a whole check.
"""

from collections.abc import Callable
from dataclasses import dataclass, fields
from functools import cache
from typing import Any, TypeVar, dataclass_transform

AsRead = Any  # a part that its own reader made, which pydantic need not look into
LONGEST = 60  # letters of one part, where a record is printed for a programmer

Kind = TypeVar("Kind")


@dataclass_transform(frozen_default=True, kw_only_default=True)
def record(kind: type[Kind]) -> type[Kind]:
    """Takes a class of named parts, returns it as a frozen dataclass that is made by naming them."""
    kind.__repr__ = _in_short  # type: ignore[method-assign]  # one for all: making one for each is slow to import
    return dataclass(frozen=True, kw_only=True, repr=False)(kind)


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


def proved(kind: type, /, **parts: object) -> Any:
    """A record of what a file says, its parts proved to be of their kinds."""
    return _proof(kind)(parts)


@cache
def _proof(kind: type) -> Callable[[object], object]:
    from pydantic import TypeAdapter

    return TypeAdapter(kind).validate_python
