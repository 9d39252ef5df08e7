"""What people write that may have to be removed: the name of a case, the words it was begun with, the name of a file, notes.

The line of an event holds the digest of such a text with a salt; text and salt stand beside it, and can go without the line
changing. So the chain proves as before, and nobody can guess from the digest what was removed.
"""

import hashlib
import re
import secrets
from collections.abc import Callable, Mapping

REMOVED = "removed on request"
PERSONAL = {"named": ("is", "was"), "noted": ("note",), "opened": ("words",), "file laid over": ("file",)}  # by deed
TITLE = re.compile(r"assembly:.*")  # the line of a description that holds its name
Line = dict[str, object]


def digest_of(salt: str, text: str) -> str:
    """What stands in a line for a text."""
    return hashlib.sha256(f"sealed/1\n{salt}\n{text}".encode("utf-8", "surrogatepass")).hexdigest()


def sealed(says: Line) -> tuple[Line, dict[str, tuple[str, str]]]:
    """What an event says with digests in place of what may have to go, and by digest each salt and text."""
    private: dict[str, tuple[str, str]] = {}

    def seal(text: str) -> object:
        salt = secrets.token_hex(16)
        private[digest_of(salt, text)] = salt, text
        return {"sealed": digest_of(salt, text)}

    made = {**says, "of": _personal(str(says["deed"]), says["of"], seal)}
    if "change" in says:
        made["change"] = {**says["change"], **{side: [seal(line) if TITLE.fullmatch(line) else line for line in says["change"][side]] for side in ("in", "out")}}
    return made, private


def _personal(deed: str, of: Line, seal: Callable[[str], object]) -> Line:
    """The parts of an event that may have to go; an undone event holds the event that it undid."""
    if deed == "undone":
        return {**of, "of": _personal(str(of["deed"]), of["of"], seal)}
    return {name: seal(value) if name in PERSONAL.get(deed, ()) and value else value for name, value in of.items()}


def opened(says: Line, private: Mapping[str, str]) -> Line:
    """What an event says, its texts in their places again; those removed say so."""
    made = {**says, "of": _opened(says["of"], private, REMOVED)}
    if "change" in says:
        made["change"] = _opened(says["change"], private, f"assembly: {REMOVED}")
    return made


def _opened(value: object, private: Mapping[str, str], gone: str) -> object:
    match value:
        case {"sealed": str(digest)}:
            return private.get(digest, gone)
        case dict():
            return {name: _opened(each, private, gone) for name, each in value.items()}
        case list():
            return [_opened(each, private, gone) for each in value]
    return value


def digests_in(value: object) -> list[str]:
    """The digests that stand in what an event says."""
    match value:
        case {"sealed": str(digest)}:
            return [digest]
        case dict():
            return [each for part in value.values() for each in digests_in(part)]
        case list():
            return [each for part in value for each in digests_in(part)]
    return []
