"""A check by a book that was kept loads no library that it does not need: that is what a quick start rests on."""

import os
import subprocess
import sys
from pathlib import Path

from paths import ROOT

LOADED = """
import sys
from validator.cli import main
try:
    main()
finally:
    print(*sorted(sys.modules), file=sys.stderr)
"""
NOT_NEEDED = {
    "pydantic.main", "importlib.metadata", "validator.rulebook.reading", "validator.language.syntax_errors", "rich.console", "jinja2",
}  # fmt: skip


def test_a_check_by_a_kept_book_loads_only_what_it_needs(tmp_path: Path) -> None:
    check = [sys.executable, "-c", LOADED, "check", "samples/second-floor-shower.yaml"]
    environment = {**os.environ, "XDG_CACHE_HOME": str(tmp_path)}
    for _ in range(2):  # the first keeps the book
        done = subprocess.run(check, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    loaded = set(done.stderr.split())
    assert "validator.judging.checking" in loaded
    assert not loaded & NOT_NEEDED
