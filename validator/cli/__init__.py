"""The commands. Each reads, asks one module for the work, and writes a paper; nothing is decided here."""

import gc
import os
import sys
from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import typer

    from validator.cli.common import app as app

# Where each command stands, in the order of the help. A run imports `check` and its own: the others' words take their time.
COMMANDS = {
    "check": "check", "ask": "asking", "describe": "asking", "why": "why", "schema": "check", "mend": "mending", "page": "papers",
    "card": "papers", "review": "papers", "screen": "screening", "workings": "planning", "calendar": "planning",
    "takeoff": "planning", "warranty": "warranty", "rulebook": "rulebook",
}  # fmt: skip
BESIDE = {"rulebook": ("rulebook", "screening")}  # `rulebook compare` stands with the tables
EVERY = ("asking", "why", "check", "mending", "papers", "rulebook", "screening", "planning", "warranty")


def main() -> None:
    """The console command `validator`."""
    gc.set_threshold(1_000_000)  # a short run makes little rubbish, and looking for it costs more than it frees
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them reads every package there is
    try:
        _with_commands(sys.argv[1] if len(sys.argv) > 1 else "")()
    except BrokenPipeError:
        # Whoever read our output has had enough of it, as `head` does.
        sys.stderr.close()
        raise SystemExit(0) from None
    finally:
        gc.freeze()  # all of it goes with the process, which would else look through it once more


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
