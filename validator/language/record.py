"""What is read from a file as a record: named parts, of the kinds they are declared to be, that never change afterwards.

pydantic proves each record of a book as it is read. A book kept from an earlier run was proved then, so judging by it does
not load pydantic, which takes half as long as a whole check.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

record = partial(dataclass, frozen=True, kw_only=True, repr=False)
AsRead = Any  # a part that its own reader made, which pydantic need not look into


def proved(kind: type, /, **parts: object) -> Any:
    """A record of what a file says, its parts proved to be of their kinds."""
    return _proof(kind)(parts)


@cache
def _proof(kind: type) -> Callable[[object], object]:
    from pydantic import TypeAdapter

    return TypeAdapter(kind).validate_python
