"""The register of a submittal as a file of JSON, so that the next submission goes on counting without the older files."""

import json
from pathlib import Path

from validator.language.source import BadAssembly, Complaint, Where
from validator.submittals.register import Entry, Register

FORM = "register of a submittal"
LARGEST = 20_000_000
ACCEPTED = "an older description, or a register that `validator review --register` wrote"


def is_register(path: str) -> bool:
    """Whether a file begins as a register does."""
    try:
        with Path(path).open("rb") as file:
            return FORM.encode() in file.read(80)
    except OSError:
        return False


def written(registers: list[Register]) -> str:
    """Registers as a text: one, or one for each option of a description."""
    return json.dumps({"form": FORM, "parts": [_object(each) for each in registers]}, indent=1, ensure_ascii=False) + "\n"


def _object(register: Register) -> dict[str, object]:
    return {**register._asdict(), "entries": [entry._asdict() for entry in register.entries]}


def read_registers(path: str) -> list[Register]:
    """The registers of a file. Raises BadAssembly."""
    try:
        return registers_in(Path(path).read_bytes()[: LARGEST + 1], path)
    except OSError:
        raise _altered(path) from None


def registers_in(text: bytes | str, name: str) -> list[Register]:
    """The registers of a text, which is called `name` where it is refused. Raises BadAssembly."""
    try:
        said = json.loads(text)
        assert said["form"] == FORM and len(text) <= LARGEST
        return [_register(part) for part in said["parts"]]
    except (ValueError, KeyError, TypeError, AttributeError, AssertionError):
        raise _altered(name) from None


def _altered(name: str) -> BadAssembly:
    return BadAssembly([Complaint(Where(name, 0, 0), "this register was altered or cut short", ACCEPTED)])


def _register(part: dict) -> Register:
    entries = tuple(
        Entry(
            number=str(each["number"]), about=_texts(each["about"]), title=str(each["title"]), places=_texts(each["places"]),
            opened=int(each["opened"]), open_at=_texts(each["open_at"]), closed=None if each["closed"] is None else int(each["closed"]),
            how={str(place): str(said) for place, said in each["how"].items()},
        )
        for each in part["entries"]
    )  # fmt: skip
    assert all(entry.number[:1] in "DRC" and entry.number[1:].isdigit() and entry.about for entry in entries)
    stated = {
        str(place): {str(thing): {str(fact): str(text) for fact, text in facts.items()} for thing, facts in things.items()}
        for place, things in part["stated"].items()
    }
    return Register(str(part["name"]), _texts(part["submissions"]), entries, stated)


def _texts(said: list) -> tuple[str, ...]:
    assert isinstance(said, list)
    return tuple(map(str, said))
