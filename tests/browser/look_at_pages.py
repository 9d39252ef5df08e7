"""Every paper of every sample in headless Chromium: nothing overflows or overlaps, axe finds nothing, the HTML is valid.

Run by `.ci/run`, which installs Chromium, axe-core and html-validate; it is no part of the ordinary tests. By hand:
`NODE_MODULES=path/to/node_modules python -m pytest tests/browser/look_at_*.py`.
"""

import os
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
sys.path.insert(0, str(ROOT / "tests" / "helpers"))

from drawn import PAPERS, paper  # noqa: E402 - the tests' folder is named first

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
MEASURED = (HERE / "measured.js").read_text()
PHONE, DESKTOP = 375, 1280  # in CSS px
SHEETS = {  # Letter and A4 less their margins
    "page": (725, 703), "card": (725, 703), "review": (988, 1055), "letter": (725, 703), "case": (725, 703),
}  # fmt: skip
AXE = """(async () => (await axe.run(document, {runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]}))
  .violations.map(each => each.id + ": " + each.nodes.slice(0, 2).map(node => node.html.slice(0, 160)).join(" | ")))()"""
WALL = """
assembly: {name}
places:
  {place}:
    kind: shower wall
    built up:
{layers}
      - tile: {{body: porcelain}}
"""
BOARD = "      - board: {name: NAME, material: foam, thickness: 1/2 in}"
LONG, WORDS, RIGHT_TO_LEFT = "x" * 2000, "a name of many words " * 90, "حمام الضيوف الكبير في الطابق الثاني"
SCRIPT = "<script>document.title = 'taken'</script><img src=x onerror=\\\"document.title = 'taken'\\\">"


def wall(name: str, place: str = "wall", layers: str = "") -> str:
    return WALL.format(name=f'"{name}"', place=f'"{place}"', layers=layers or BOARD.replace("NAME", f'"{name}"'))


def floor(thing: str, layers: int) -> str:
    stack = "\n".join(f"      - {thing}: {{name: sheet {n}, material: plywood, thickness: 1/2 in}}" for n in range(layers))
    return wall("Very many layers", layers=stack).replace("shower wall", "room floor")


BAD = {
    "200 layers of a wall": floor("board", 200).replace("room floor", "shower wall"),
    "200 layers of a floor": floor("subfloor panel", 200),
    "no thickness": wall("Nothing", layers="      - board: {thickness: 0 in}\n      - membrane: {dry film thickness: 0 mil}"),
    "a name of 5,000 letters": wall(LONG, LONG[:1000]),
    "a name of 1,200 words": wall(WORDS, WORDS[:990]),
    "right to left": wall(RIGHT_TO_LEFT, RIGHT_TO_LEFT),
    "a script": wall(SCRIPT, SCRIPT),
}


def node_modules() -> Path:
    named = os.environ.get("NODE_MODULES", "")
    assert named and Path(named, "axe-core").exists(), "NODE_MODULES names no folder with axe-core and html-validate: see .ci/run"
    return Path(named)


@cache
def shown(kind: str, path: Path) -> str:
    return paper(kind, path)


def is_sound(said: dict, width: int) -> None:
    assert said["wide"] <= width
    assert said["over"] == []
    assert said["overlaps"] == []
    assert said["outside"] == []
    assert said["lettering"] > 10 and said["least"] > 6


def every(sizes) -> dict:
    """What is looked at at each size, as pytest takes it."""
    cases = [(kind, path, size) for kind in PAPERS for path in SAMPLES for size in sizes(kind)]
    return {"argvalues": cases, "ids": [f"{kind}-{path.stem}-{size}" for kind, path, size in cases]}


@pytest.mark.parametrize(("kind", "path", "width"), **every(lambda kind: (PHONE, DESKTOP)))
def test_nothing_overflows_and_nothing_overlaps(kind, path, width, chromium):
    chromium.show(shown(kind, path), width)
    is_sound(chromium.measured(MEASURED), width)


@pytest.mark.parametrize(("kind", "path", "width"), **every(SHEETS.__getitem__))
def test_nothing_overflows_and_nothing_overlaps_on_paper(kind, path, width, chromium):
    chromium.show(shown(kind, path), width, printed=True)
    is_sound(chromium.measured(MEASURED), width)


def test_what_is_folded_on_a_screen_is_open_on_paper(chromium):
    lettering = []
    for printed in (False, True):
        chromium.show(shown("page", SAMPLES[1]), DESKTOP, printed=printed)
        lettering.append(chromium.measured(MEASURED)["lettering"])
    assert lettering[1] > 1.5 * lettering[0]


@pytest.mark.parametrize(("kind", "path", "width"), **every(lambda kind: (PHONE, DESKTOP)))
def test_axe_finds_nothing(kind, path, width, chromium):
    chromium.show(shown(kind, path), width)
    chromium.measured("document.querySelectorAll('details').forEach(each => each.open = true)")
    chromium.measured((node_modules() / "axe-core" / "axe.min.js").read_text() + ";0")
    assert chromium.measured(AXE) == []


def test_every_paper_is_valid_html(tmp_path):
    for kind in PAPERS:
        for path in SAMPLES:
            (tmp_path / f"{path.stem}-{kind}.html").write_text(shown(kind, path), encoding="utf-8")
        for number, described in enumerate(BAD.values()):
            (tmp_path / f"bad-{number}-{kind}.html").write_text(paper(kind, described), encoding="utf-8")
    looked = [str(node_modules() / ".bin" / "html-validate"), "--preset", "standard", str(tmp_path)]
    done = subprocess.run(looked, capture_output=True, text=True)
    assert (done.stdout, done.returncode) == ("", 0)


@pytest.mark.parametrize("kind", PAPERS)
@pytest.mark.parametrize("bad", BAD)
def test_bad_input_still_makes_a_paper_that_can_be_read(bad, kind, chromium):
    chromium.show(paper(kind, BAD[bad]), PHONE)
    said = chromium.measured(MEASURED)
    assert said["title"] != "taken"
    assert chromium.measured("document.querySelectorAll('script, img').length") == 0
    is_sound(said, PHONE)


def test_an_overflow_and_an_overlap_are_noticed(chromium):
    """The measuring measured: a page made too wide, and paragraphs that lie on each other."""
    html = shown("page", SAMPLES[1])
    chromium.show(html.replace("</style>", "h1 { width: 500px }</style>"), PHONE)
    assert chromium.measured(MEASURED)["over"]
    chromium.show(html.replace("</style>", ".item p { margin: -1rem 0 }</style>"), PHONE)
    assert chromium.measured(MEASURED)["overlaps"]
    chromium.show(html.replace('font-size="12"', 'font-size="24"'), PHONE)
    said = chromium.measured(MEASURED)
    assert said["overlaps"] and said["outside"]
