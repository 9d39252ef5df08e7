"""The commands. Each reads, asks one module for the work, and writes a paper; nothing is decided here."""

import gc
import os
import sys

from validator.cli import (
    asking,
    why,
    check,
    mending,
    papers,
    rulebook,
    screening,
    planning,
    warranty,
)  # noqa: F401 - naming them puts their commands on the app, in this order
from validator.cli.common import app


def main() -> None:
    """The console command `validator`."""
    gc.set_threshold(1_000_000)  # a short run makes little rubbish, and looking for it costs more than it frees
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them reads every package there is
    try:
        app()
    except BrokenPipeError:
        # Whoever read our output has had enough of it, as `head` does.
        sys.stderr.close()
        raise SystemExit(0) from None
