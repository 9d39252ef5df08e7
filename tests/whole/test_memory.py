"""Memory does not grow however many assemblies one process judges, with and without the second engine.

Each in a process of its own: 2,000 small assemblies after 3,000 to warm up, and 20,000 in a thorough run. With the second engine
that is 80,000 judgements, over more than one of its processes; each of them may have 512 MiB and no more, whatever it leaks.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from needs import needs_witness
from paths import ROOT

GROWTH = Path(__file__).parents[1] / "helpers" / "growth.py"
MOST_GROWTH = 3 * 2**20  # bytes: of 20,000 a hundred and fifty for an assembly, where one kept report would be some ten thousand


@pytest.mark.parametrize("many", [400, pytest.param(20_000, marks=pytest.mark.thorough)])
@pytest.mark.parametrize("how", [pytest.param("alone", marks=pytest.mark.thorough), pytest.param("witness", marks=needs_witness)])
def test_thousands_of_assemblies_leave_nothing_behind(how: str, many: int, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, GROWTH, tmp_path, how, str(many)], cwd=ROOT, capture_output=True, text=True,
        check=False, env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    grown, kinds, judged = map(int, done.stdout.split())
    assert grown <= MOST_GROWTH
    assert kinds >= 2
    assert judged >= many
