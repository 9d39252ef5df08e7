"""The commands. Each reads, asks one module for the work, and writes a paper; nothing is decided here."""

import gc
import os
import sys
from contextlib import suppress
from importlib import import_module
from typing import TYPE_CHECKING, NoReturn

from validator.cli.terminal import show_what_is_printed

if TYPE_CHECKING:
    import typer

    from validator.cli.common import app as app

# Where each command stands, in the order of the help. A run imports `check` and its own: the others' words take their time.
COMMANDS = {
    "check": "check", "ask": "asking", "describe": "asking", "words": "vocabulary", "why": "why", "schema": "vocabulary",
    "mend": "mending", "page": "papers", "card": "papers", "review": "papers", "screen": "screening", "workings": "planning",
    "calendar": "planning", "takeoff": "planning", "warranty": "warranty", "causes": "causes",
    "rulebook": "rulebook", "serve": "serving",
}  # fmt: skip
BESIDE = {"rulebook": ("rulebook", "authoring", "screening")}  # `rulebook compare` stands with the tables
EVERY = ("asking", "why", "vocabulary", "check", "mending", "papers", "rulebook", "authoring", "screening", "planning", "warranty", "causes",
         "serving")


def main() -> None:
    """The console command `validator`. Whatever happens, it ends with a status of the README and no trace of the program."""
    gc.set_threshold(1_000_000)  # a short run makes little rubbish, and looking for it costs more than it frees
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them reads every package there is
    show_what_is_printed()
    try:
        try:
            _with_commands(sys.argv[1] if len(sys.argv) > 1 else "")()
        finally:
            sys.stdout.flush()
            gc.freeze()  # all of it goes with the process, which would else look through it once more
    except BrokenPipeError:
        # Whoever read our output had enough of it, as `head` does.
        _end(0)
    except OSError as problem:
        named = f"{problem.filename}: " if problem.filename else "what is printed could not be written: "
        from validator.cli.common import UNREADABLE

        _end(UNREADABLE, f"{named}{problem.strerror}. Accepted: a place that can be read and written, with room in it")
    except Exception as fault:  # noqa: BLE001 - a fault of this program is said, and never shown as its trace
        from validator.cli import faults
        from validator.rulebook.cache import set_aside

        set_aside()  # a kept book may be at fault; the next run reads it anew
        _end(faults.STATUS, faults.trace_of(fault) + faults.line_of(fault))


def _end(status: int, said: str = "") -> NoReturn:
    """Ends at once, with no more attempts at a stream that may be full or gone."""
    with suppress(OSError):
        if said:
            print(said, file=sys.stderr)
        sys.stderr.flush()
    os._exit(status)


def _with_commands(word: str = "") -> "typer.Typer":
    """The app with the command that a word names; with every command where it names none."""
    module = COMMANDS.get(word)
    for name in ("check", *BESIDE.get(module, (module,))) if module else EVERY:
        import_module(f"validator.cli.{name}")
    return import_module("validator.cli.common").app


def __getattr__(name: str) -> object:
    if name == "app":
        return _with_commands()
    raise AttributeError(f"module `validator.cli` has no attribute `{name}`")
