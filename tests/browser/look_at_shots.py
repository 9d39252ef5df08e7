"""Every paper of every sample on a telephone, a screen and a sheet, beside the shots accepted by eye. Run by `.ci/run`.

An accepted shot is kept small and grey. It and the present one are laid over each other in squares, so few down the page
that a line more in one paragraph moves next to nothing; what is compared is how dark each square is, and how long the page.
Measured over all papers of three samples: one sentence longer or shorter, anywhere, changed no square by more than 8 of 255
greys and no length by more than 2 in a hundred. A drawing lost changed one by 11 at least, a style sheet lost by 14, a column
hidden by 19, drawings emptied by 19, lettering unseen by 25, columns lost by 26; larger lettering changed the length by 11 in
a hundred.

When a paper rightly changes, run `python tests/browser/look_at_shots.py`, look at what it writes, and keep it; with a
folder's name after it, it writes the shots there as large as they are seen, to be looked at.
"""

import re
import sys
from pathlib import Path

import pytest
from PIL import Image, ImageChops

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent / "helpers"), str(HERE.parent.parent)]

from chromium import Chromium, keep  # noqa: E402 - the tests' folders are named first
from drawn import PAPERS  # noqa: E402
from look_at_pages import DESKTOP, PHONE, SAMPLES, SHEETS, every, shown  # noqa: E402

ACCEPTED = HERE / "accepted"
SIZES = {"phone": (PHONE, 10), "desktop": (DESKTOP, 20), "print": (None, 16)}  # how wide, and how many times smaller it is kept
ACROSS, DOWN = 32, 400  # squares across a page, and how much of its length one holds, in CSS px
MOST_DARKER, MOST_LONGER = 10, 0.05


def shot(chromium, html: str, kind: str, size: str) -> Image.Image:
    width, _ = SIZES[size]
    chromium.show(html, width or SHEETS[kind][0], printed=width is None)
    return chromium.shot(0.5)


def smaller(image: Image.Image, size: str) -> Image.Image:
    """As it is kept."""
    times = SIZES[size][1] / 2
    return image.resize((round(image.width / times), round(image.height / times)), Image.Resampling.BOX)


def kept(kind: str, path: Path, size: str) -> Path:
    return ACCEPTED / path.stem / f"{kind}-{size}.png"


def apart(present: Image.Image, accepted: Image.Image, size: str) -> tuple[int, float]:
    """The most that a square differs, in greys, and the share by which the length does."""
    present = smaller(present, size)
    squares = ACROSS, max(3, round(accepted.height * SIZES[size][1] / DOWN))
    both = (each.convert("L").resize(squares, Image.Resampling.BOX) for each in (present, accepted))
    return ImageChops.difference(*both).getextrema()[1], abs(present.height / accepted.height - 1)


def alike(measures: tuple[int, float]) -> bool:
    darker, longer = measures
    return darker <= MOST_DARKER and longer <= MOST_LONGER


@pytest.mark.parametrize(("kind", "path", "size"), **every(lambda kind: SIZES))
def test_a_paper_looks_as_it_was_accepted(kind, path, size, chromium, tmp_path):
    present = shot(chromium, shown(kind, path), kind, size)
    with Image.open(kept(kind, path, size)) as accepted:
        measures = apart(present, accepted, size)
    present.save(tmp_path / "present.png")
    assert alike(measures), f"{measures}: look at {tmp_path / 'present.png'} beside {kept(kind, path, size)}"


FIVE = next(path for path in SAMPLES if path.stem == "five-mistakes")
DRAWING = re.compile(r"<svg.*?</svg>", re.DOTALL)
STYLED = "</style>"


def without(html: str, turn: int) -> str:
    """The page without one of its drawings."""
    lost = list(DRAWING.finditer(html))[turn]
    return html[: lost.start()] + html[lost.end() :]


FAULTS = {
    "no style": lambda html: re.sub("<style>.*?</style>", "", html, flags=re.DOTALL),
    "lettering that is not seen": lambda html: html.replace(STYLED, "p, li, td { color: #fff }" + STYLED),
    "lettering too large": lambda html: html.replace(STYLED, "html { font-size: 19px !important }" + STYLED),
    "the first drawing lost": lambda html: without(html, 0),
    "the last drawing lost": lambda html: without(html, -1),
    "drawings empty": lambda html: re.sub("(<svg[^>]*>).*?(</svg>)", r"\1\2", html, flags=re.DOTALL),
    "one column where there are two": lambda html: html.replace(STYLED, ".places, .place { display: block; columns: 1 }" + STYLED),
    "a column hidden": lambda html: html.replace(STYLED, ":is(td, th):nth-child(4) { display: none !important }" + STYLED),
    "a table too wide": lambda html: html.replace(STYLED, ".review table { width: 200% !important }" + STYLED),
}
ANY = ("no style", "lettering that is not seen", "lettering too large")
DRAWN = ("the first drawing lost", "the last drawing lost", "drawings empty")
WIDE = ("desktop", "print")  # on a telephone there is one column, and a table is wider than the page
PLANTED = [
    *((kind, size, fault) for kind in PAPERS for size in SIZES for fault in ANY),
    *(("page", size, fault) for size in SIZES for fault in DRAWN),
    *(("page", size, "one column where there are two") for size in WIDE),
    *(("review", size, "a column hidden") for size in SIZES),
    *(("review", size, "a table too wide") for size in WIDE),
]


@pytest.mark.parametrize(("kind", "size", "fault"), PLANTED)
def test_a_fault_is_noticed(kind, size, fault, chromium):
    html = shown(kind, FIVE)
    faulty = FAULTS[fault](html)
    assert faulty != html
    accepted = smaller(shot(chromium, html, kind, size), size)
    assert not alike(apart(shot(chromium, faulty, kind, size), accepted, size))


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize(("kind", "sentence"), [
    ("page", "A screw that barely enters the stud lets the sheet move, and every seam above it opens."),
    ("card", "Use the next longer screw made for that board, or fix into solid blocking."),
    ("review", "Board screws reach far enough into the framing."),
    ("letter", "Tile hides it, and it cannot be looked at afterward."),
    ("case", "Board screws reach far enough into the framing"),
])  # fmt: skip
def test_a_sentence_more_is_no_fault(kind, size, sentence, chromium):
    html = shown(kind, FIVE)
    assert sentence in html
    accepted = smaller(shot(chromium, html, kind, size), size)
    longer = html.replace(sentence, f"{sentence} So it is worth a second look before the board goes up.")
    assert alike(apart(shot(chromium, longer, kind, size), accepted, size))


def accept(folder: Path | None) -> None:
    """Writes every shot as it is kept, and to a folder as it is seen."""
    with Chromium() as one:
        for path in SAMPLES:
            for kind in PAPERS:
                for size in SIZES:
                    present = shot(one, shown(kind, path), kind, size)
                    keep(smaller(present, size), kept(kind, path, size))
                    if folder:
                        folder.mkdir(parents=True, exist_ok=True)
                        one.shot().save(folder / f"{path.stem}-{kind}-{size}.png")


if __name__ == "__main__":
    import look_at_drawings

    look_at_drawings.accept()
    accept(Path(sys.argv[1]) if len(sys.argv) > 1 else None)
