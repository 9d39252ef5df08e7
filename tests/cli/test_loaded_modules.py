"""A check by a book that was kept loads no library that it does not need: that is what a quick start rests on."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from paths import ROOT

from validator.cli import COMMANDS, app

LOADED = """
import sys
from validator.cli import main
try:
    main()
finally:
    print(*sorted(sys.modules), file=sys.stderr)
"""
ALONE = "import sys; sys.argv[0] = 'validator'; from validator.cli import main; main()"
AMONG_ALL = "import sys; sys.argv[0] = 'validator'; from validator.cli import app; app()"
NOT_NEEDED = {
    "validator.cli.asking", "validator.advising.asking", "pydantic.main", "importlib.metadata", "validator.rulebook.reading", "validator.language.syntax_errors", "rich.console", "jinja2",
}  # fmt: skip


def test_a_check_by_a_kept_book_loads_only_what_it_needs(tmp_path: Path) -> None:
    check = [sys.executable, "-c", LOADED, "check", "samples/second-floor-shower.yaml"]
    environment = {**os.environ, "XDG_CACHE_HOME": str(tmp_path)}
    for _ in range(2):  # the first keeps the book
        done = subprocess.run(check, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "validator.judging.checking" in loaded
    assert not loaded & NOT_NEEDED


def test_every_command_is_found_where_the_program_looks_for_it() -> None:
    stands = {(each.name or each.callback.__name__): each.callback.__module__ for each in app.registered_commands}
    stands |= {each.name: each.typer_instance.registered_commands[0].callback.__module__ for each in app.registered_groups}
    assert {name: f"validator.cli.{module}" for name, module in COMMANDS.items()} == stands


@pytest.mark.parametrize("words", [("takeoff", "--help"), ("rulebook", "compare", "--help"), ("mend", "--hlep"), ("rulebook", "lst")])
def test_a_command_alone_says_what_it_says_among_all(words: tuple[str, ...]) -> None:
    alone = [subprocess.run([sys.executable, "-c", code, *words], cwd=ROOT, capture_output=True, text=True) for code in (ALONE, AMONG_ALL)]
    assert alone[0].stdout == alone[1].stdout and alone[0].stderr == alone[1].stderr
    assert alone[0].stdout + alone[0].stderr
