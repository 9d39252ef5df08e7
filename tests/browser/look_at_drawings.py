"""The drawings of every sample beside the ones accepted by eye, both made small and grey. Run by `.ci/run`.

They are drawn without balloons, so that they change with a description and not with the rulebook.

When a drawing rightly changes, run `python tests/browser/look_at_drawings.py`, look at what it writes, and keep it.
"""

import subprocess
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageChops, ImageStat

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent.parent)]

from drawn import judged, shelf  # noqa: E402 - the tests' folders are named first
from look_at_pages import SAMPLES, chromium  # noqa: E402

from validator.papers.section import drawings_of  # noqa: E402

ACCEPTED = HERE / "accepted"
WIDTH, SMALL, HEIGHT = 430, 86, 2400
MOST_APART = 2.0  # of 255 grey levels, on average; a whole drawing moved by ten units is nine, a blank sheet ten


def shot(path: Path, folder: Path) -> Image.Image:
    """All drawings of a sample under each other, a fifth of their size."""
    html = folder / "drawings.html"
    svgs = "".join(each.svg for each in drawings_of(judged(path)[0], shelf(), ()))
    html.write_text(
        f"<!DOCTYPE html><meta charset='utf-8'><style>body{{margin:5px}}svg{{display:block}}</style>{svgs}", encoding="utf-8"
    )
    png = folder / "drawings.png"
    command = [chromium(), "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", f"--window-size={max(WIDTH, 500)},{HEIGHT}",
               f"--screenshot={png}", html.as_uri()]  # fmt: skip
    subprocess.run(command, capture_output=True, timeout=120, check=True)
    with Image.open(png) as whole:
        return whole.convert("L").crop((0, 0, WIDTH, HEIGHT)).resize((SMALL, HEIGHT * SMALL // WIDTH), Image.Resampling.BOX)


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
def test_a_drawing_looks_as_it_was_accepted(path, tmp_path):
    with Image.open(ACCEPTED / f"{path.stem}.png") as accepted:
        apart = ImageStat.Stat(ImageChops.difference(shot(path, tmp_path), accepted.convert("L"))).mean[0]
    assert apart <= MOST_APART


if __name__ == "__main__":
    import tempfile

    ACCEPTED.mkdir(exist_ok=True)
    for sample in SAMPLES:
        with tempfile.TemporaryDirectory() as folder:
            shot(sample, Path(folder)).quantize(16).save(ACCEPTED / f"{sample.stem}.png", optimize=True)
