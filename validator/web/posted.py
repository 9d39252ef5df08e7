"""A form that was sent: its boxes, with its token proved before anything is read of it."""

import hmac
from collections.abc import Iterator, Mapping
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile
from starlette.exceptions import HTTPException

MOST_BOXES = 200
MOST_FILES = 5
LONGEST_BOX = 2_100_000


class BadForm(Exception):
    """A form that cannot be taken: why, and with which status that is said."""

    def __init__(self, said: str, status: int = 400) -> None:
        super().__init__(said)
        self.status = status


class Form(Mapping[str, list[str]]):
    """The boxes of a form by name, each with all its texts; and its files."""

    def __init__(self, boxes: dict[str, list[str]], files: dict[str, tuple[str, bytes]]) -> None:
        self._boxes, self.files = boxes, files

    def __getitem__(self, name: str) -> list[str]:
        return self._boxes[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._boxes)

    def __len__(self) -> int:
        return len(self._boxes)

    def one(self, name: str, most: int = 2_000) -> str:
        """One box, with its blanks in order. Raises BadForm where it holds more than it may."""
        return (self.all(name, most) or [""])[0]

    def all(self, name: str, most: int = 2_000) -> list[str]:
        """Every box of one name, each as `one` gives it. Raises BadForm where one holds more than it may."""
        said = [" ".join(each.split()) for each in self._boxes.get(name, ())]
        if any(len(each) > most for each in said):
            raise BadForm(f"That is too long for one answer: at most {most} letters.", 413)
        return said

    def number(self, name: str, default: int = -1) -> int:
        """One box that holds a whole number."""
        said = self.one(name, 20)
        return int(said) if said.lstrip("-").isdecimal() and said.isascii() else default


async def _posted(request: Request) -> Form:
    try:
        sent = await request.form(max_fields=MOST_BOXES, max_files=MOST_FILES, max_part_size=LONGEST_BOX)
    except HTTPException as problem:
        raise BadForm(f"The form cannot be read: {problem.detail}", 400) from None
    token = sent.get("token")
    if not isinstance(token, str) or not hmac.compare_digest(token.encode(), request.state.visitor.token.encode()):
        raise BadForm("This form is from another session. Go back, load the page again, and send it once more; nothing was changed.", 403)
    boxes: dict[str, list[str]] = {}
    files: dict[str, tuple[str, bytes]] = {}
    for name, value in sent.multi_items():
        if isinstance(value, UploadFile):
            files[name] = (value.filename or "", await value.read())
        else:
            boxes.setdefault(name, []).append(value)
    return Form(boxes, files)


Posted = Annotated[Form, Depends(_posted)]
