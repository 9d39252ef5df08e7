"""How far an assembly is from its limits, and which binds first."""

import subprocess
import sys
from fractions import Fraction

import pytest
from paths import ROOT

from validator.assembly import read_assembly, read_assembly_file
from validator.judging.loading import LoadedBook
from validator.judging.margins import Margin, margins_of
from validator.papers.margins import margin_lines

FLOOR = """\
assembly: A floor
use: {{code family: residential}}
framing: {{material: wood, joist: 2x10, species: Douglas fir-larch, grade: no. 2, spacing: 16 in, span: {span}, live load: 40 psf, dead load: 10 psf, cut or notched: no}}
places:
  hall:
    kind: room floor
    built up:
      - subfloor panel: {{material: plywood}}
      - tile mortar
      - tile: {{body: ceramic}}
      - grout
"""


def margins(text: str, loaded: LoadedBook) -> dict[str, Margin]:
    return {m.rule: m for m in margins_of(read_assembly(text, "a floor", loaded.vocabulary, loaded.catalogue), loaded)}


@pytest.mark.parametrize("span", ["10 ft", "12 ft"])
def test_the_share_of_the_bend_allowed_is_worked_by_hand(loaded: LoadedBook, span: str) -> None:
    """2x10, I = 98.93 in4, E = 1.6e6 psi, 40 psf at 16 in is 4.444 lb/in: sag / span = 5 w L^3 / (384 E I), at most 1/360."""
    long = int(span.split()[0]) * 12
    bend = 5 * (40 * 16 / 144) * long**3 / (384 * 1.6e6 * 98.9316)
    found = margins(FLOOR.format(span=span), loaded)["joists-hold-the-finish-straight"]
    assert float(found.share) == pytest.approx(bend * 360, rel=1e-4)
    assert found.in_words == f"{bend * 360 * 100:.0f} % of what is allowed"


def test_a_longer_span_leaves_less(loaded: LoadedBook) -> None:
    shares = [margins(FLOOR.format(span=f"{feet} ft"), loaded)["joists-hold-the-finish-straight"].share for feet in (9, 10, 11, 12, 13)]
    assert shares == sorted(shares)


def test_exactly_on_the_limit_is_all_of_it(loaded: LoadedBook) -> None:
    assembly = read_assembly_file(ROOT / "samples" / "second-floor-shower.yaml", loaded.vocabulary, loaded.catalogue)
    found = {m.rule: m for m in margins_of(assembly, loaded)}["flood-test-held-a-day"]
    assert (found.share, found.left) == (Fraction(1), "exactly on the limit")


@pytest.mark.parametrize("sample", ["second-floor-shower", "metric-wet-room", "upstairs-stone-floor"])
def test_the_closest_comes_first_and_none_is_over_its_limit(loaded: LoadedBook, sample: str) -> None:
    assembly = read_assembly_file(ROOT / "samples" / f"{sample}.yaml", loaded.vocabulary, loaded.catalogue)
    found = margins_of(assembly, loaded)
    shares = [margin.share for margin in found]
    assert shares == sorted(shares, reverse=True)
    assert all(0 < share <= 1 for share in shares)
    told = [line for line, _ in margin_lines(found, 80)]
    assert sum(line.startswith(tuple(f"  {n}. " for n in range(1, 10))) for line in told) == min(5, sum(s < 1 for s in shares))


def test_the_command_lists_them_after_the_report() -> None:
    told = subprocess.run([sys.executable, "-m", "validator", "check", "samples/upstairs-stone-floor.yaml", "--margins"],
                          cwd=ROOT, capture_output=True, encoding="utf-8", check=False)  # fmt: skip
    assert told.returncode == 1
    assert "Margins, closest first" in told.stdout.splitlines()
