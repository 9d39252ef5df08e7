"""The drawings of every sample beside the ones accepted by eye, both made small and grey. Run by `.ci/run`.

They are drawn without balloons, so that they change with a description and not with the rulebook.

When a drawing rightly changes, run `python tests/browser/look_at_shots.py`, look at what it writes, and keep it.
"""

import sys
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "helpers"), str(HERE.parent.parent)]

from chromium import Chromium, keep  # noqa: E402 - the tests' folders are named first
from drawn import judged, shelf  # noqa: E402
from look_at_pages import SAMPLES  # noqa: E402

from validator.papers.drawing import drawings_of  # noqa: E402

ACCEPTED = HERE / "accepted"
WIDTH, SMALL = 370, 86
MOST_APART = 2.0  # of 255 grey levels, on average; a whole drawing moved by ten units is nine, a blank sheet ten


def shot(chromium, path: Path) -> Image.Image:
    """All drawings of a sample under each other, about a quarter of their size."""
    svgs = "".join(each.svg for each in drawings_of(judged(path)[0], shelf(), ()))
    chromium.show(f"<!DOCTYPE html><style>body{{margin:5px}}svg{{display:block}}</style>{svgs}", WIDTH)
    whole = chromium.shot()
    return whole.resize((SMALL, whole.height * SMALL // WIDTH), Image.Resampling.BOX)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_drawing_looks_as_it_was_accepted(path, chromium):
    present = shot(chromium, path)
    with Image.open(ACCEPTED / path.stem / "drawings.png") as accepted:
        assert present.size == accepted.size
        assert ImageStat.Stat(ImageChops.difference(present, accepted.convert("L"))).mean[0] <= MOST_APART


def accept() -> None:
    """Writes every shot as it is kept."""
    with Chromium() as one:
        for path in SAMPLES:
            keep(shot(one, path), ACCEPTED / path.stem / "drawings.png")
