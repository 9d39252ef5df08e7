"""Every paper of every sample in headless Chromium: nothing overflows, no balloons overlap, axe finds nothing.

Run by `.ci/run`, which installs Chromium and axe-core; it is no part of the ordinary tests. By hand:
`AXE=path/to/axe.min.js python -m pytest tests/browser/look_at_pages.py`.
"""

import json
import os
import re
import shutil
import subprocess
import sys
from functools import cache
from html import unescape
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
sys.path.insert(0, str(ROOT / "tests"))

from drawn import judged, shelf  # noqa: E402 - the tests' folder is named first

from validator.papers.card import card_of, card_page  # noqa: E402
from validator.papers.page import page  # noqa: E402
from validator.papers.review import review_of, review_page  # noqa: E402

SAMPLES = sorted((ROOT / "samples").glob("*.yaml"))
PAPERS = ("page", "card", "review")
PHONE, DESKTOP, LETTER, A4 = 375, 1280, 816 - 91, 794 - 91  # in CSS px; print less the margins
SIZES = {"page": (PHONE, DESKTOP, LETTER, A4), "card": (PHONE, DESKTOP), "review": (PHONE, DESKTOP)}
HOSTILE = """
assembly: "<script>document.title = 'taken'</script>{long}"
places:
  "{name}":
    kind: shower wall
    built up:
      - board: {{material: foam, thickness: 1/2 in}}
"""

# A frame of the wanted width holds the page; what is measured is written into the outer page, which Chromium prints.
FRAME = """<!DOCTYPE html><meta charset="utf-8"><body style="margin:0">
<iframe id="frame" style="width:{width}px;height:2000px;border:0"></iframe><pre id="said"></pre>
<script>const page = {page};</script>
<script>
const frame = document.getElementById("frame");
frame.onload = async () => {{
  const inside = frame.contentDocument, root = inside.documentElement, said = {{}};
  said.title = inside.title;
  said.wide = root.scrollWidth;
  said.over = [...inside.querySelectorAll("body *:not(svg *)")].filter(
    each => !each.closest(".wide") && each.getBoundingClientRect().right > root.clientWidth + 1).map(each => each.outerHTML.slice(0, 120));
  said.overlaps = [];
  said.outside = [];
  for (const drawing of inside.querySelectorAll("svg")) {{
    const sheet = drawing.getBoundingClientRect();
    const rings = [...drawing.querySelectorAll(".balloon circle")].map(each => each.getBoundingClientRect());
    for (let a = 0; a < rings.length; a++) for (let b = a + 1; b < rings.length; b++)
      if (Math.hypot(rings[a].x - rings[b].x, rings[a].y - rings[b].y) < rings[a].width * 0.9) said.overlaps.push([a, b]);
    const letters = [...drawing.querySelectorAll("text")];
    for (const each of letters) {{
      const box = each.getBoundingClientRect();
      if (box.left < sheet.left - 1 || box.right > sheet.right + 1 || box.bottom > sheet.bottom + 1) said.outside.push(each.textContent);
    }}
    const boxes = letters.map(each => [each.textContent, each.getBoundingClientRect()]);
    for (let a = 0; a < boxes.length; a++) for (let b = a + 1; b < boxes.length; b++) {{
      const [one, p] = boxes[a], [two, q] = boxes[b], slack = p.height * 0.35;
      if (p.left < q.right - 1 && q.left < p.right - 1 && p.top + slack < q.bottom && q.top + slack < p.bottom) said.overlaps.push([one, two]);
    }}
  }}
  if ({axe}) {{
    inside.querySelectorAll("details").forEach(each => each.open = true);
    const script = inside.createElement("script");
    script.textContent = axeSource;
    inside.head.appendChild(script);
    const found = await frame.contentWindow.axe.run(inside, {{runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "best-practice"]}});
    said.axe = found.violations.map(each => each.id + ": " + each.nodes.slice(0, 2).map(node => node.html.slice(0, 160)).join(" | "));
  }}
  document.getElementById("said").textContent = JSON.stringify(said);
}};
frame.srcdoc = page;
</script>"""


def chromium() -> str:
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    assert found, "Chromium is not installed: apt-get install chromium, as .ci/run does"
    return found


def axe() -> str:
    named = os.environ.get("AXE", "")
    assert named and Path(named).exists(), "AXE names no file: npm pack axe-core, then AXE=package/axe.min.js, as .ci/run does"
    return Path(named).read_text()


@cache
def paper(kind: str, path: Path) -> str:
    return _paper(kind, path)


def _paper(kind: str, described) -> str:
    assembly, report, _ = judged(described)
    match kind:
        case "page":
            return page([assembly], [report], shelf())
        case "card":
            return card_page([card_of(assembly, report, shelf())])
    return review_page([review_of(assembly, report, shelf(), "09 30 13")])


def as_script(text: str) -> str:
    return json.dumps(text).replace("</", "<\\/").replace("<!--", "<\\!--")


def looked_at(html: str, width: int, folder: Path, *, with_axe: bool = False) -> dict:
    """What Chromium measured of a page at a width."""
    outer = FRAME.format(width=width, page=as_script(html), axe=json.dumps(with_axe))
    if with_axe:
        outer = outer.replace(
            "<script>const page", f"<script>const axeSource = {as_script(axe())};</script><script>const page", 1
        )
    file = folder / "looked-at.html"
    file.write_text(outer, encoding="utf-8")
    command = [chromium(), "--headless", "--no-sandbox", "--disable-gpu", f"--window-size={max(width, 500)},2000",
               "--virtual-time-budget=30000", "--dump-dom", file.as_uri()]  # fmt: skip
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=True)
    said = re.search(r'<pre id="said">(.*?)</pre>', done.stdout, re.DOTALL)
    assert said and said[1], done.stderr[-2000:]
    return json.loads(unescape(said[1]))


SHOWN = [(kind, path, width) for kind in PAPERS for path in SAMPLES for width in SIZES[kind]]


@pytest.mark.parametrize(("kind", "path", "width"), SHOWN, ids=[f"{k}-{p.stem}-{w}" for k, p, w in SHOWN])
def test_nothing_overflows_and_nothing_overlaps(kind, path, width, tmp_path):
    said = looked_at(paper(kind, path), width, tmp_path)
    assert said["wide"] <= width
    assert said["over"] == []
    assert said["overlaps"] == []
    assert said["outside"] == []


@pytest.mark.parametrize("path", SAMPLES, ids=lambda p: p.stem)
@pytest.mark.parametrize("kind", PAPERS)
def test_axe_finds_nothing(kind, path, tmp_path):
    assert looked_at(paper(kind, path), DESKTOP, tmp_path, with_axe=True)["axe"] == []


@pytest.mark.parametrize("name", ["x" * 1000, "حمام الضيوف الكبير في الطابق الثاني", "wall"])
def test_a_hostile_or_endless_name_neither_runs_nor_overflows(name, tmp_path):
    said = looked_at(_paper("page", HOSTILE.format(name=name, long=name * 5)), PHONE, tmp_path)
    assert said["title"] != "taken"
    assert said["wide"] <= PHONE and said["over"] == [] and said["outside"] == []
