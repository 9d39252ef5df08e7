"""Lines, shapes and lettering of a drawing, written as SVG text.

Numbers are written to a hundredth, so that the same drawing is the same bytes. Lettering is measured by an average
letter, on the wide side; by its own letters where they are wider.
"""

import re
import textwrap
from collections.abc import Iterable
from html import escape
from unicodedata import east_asian_width

from validator.papers.visible import shown

WIDTH = 360.0  # of every drawing: about a telephone's, so that its lettering is not made smaller there
TITLE, SIZE, SMALL = 13.0, 12.0, 10.5  # of lettering
LEADING = 1.25  # of a line, as a part of the lettering's size
INK = "#111"
PALE = "#555"
PAPER = "#fff"
LETTER = 0.56  # the width of a letter as a part of its height, on the wide side
BOLD = 1.16  # how much wider bold lettering is
MOST_LETTERS = 90
MOST_WRAPPED = 240
ELLIPSIS = "…"
UNIT = re.compile(r"(?<=\d) (?=(?:in|ft|mm|cm|m|mil|h|d|%)(?:\W|$))|(?<= in) (?=per ft)|(?<=per) (?=ft)")
NARROW = "ijlftrI.,:;'|!()[]-/"
TIED = "\u00a0"  # no line ends here


def number(value: float) -> str:
    """A coordinate to a hundredth, without needless zeros."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def plain(text: str) -> str:
    """Text that XML may hold, on one line: what cannot be seen is named."""
    return shown(text.replace("\n", " ").replace("\t", " "))


def short(text: str, most: int = MOST_LETTERS) -> str:
    """A name cut to what a drawing can hold."""
    text = " ".join(plain(text).split())
    return text if len(text) <= most else text[: most - 1].rstrip() + ELLIPSIS


def lettered(text: str, width: float, size: float) -> list[str]:
    """Text broken into lines that a width holds; a figure keeps its unit."""
    text = UNIT.sub(TIED, short(text, MOST_WRAPPED))
    letter = max(LETTER, sum(map(_wide, text)) / max(1, len(text)))
    lines = textwrap.wrap(text, max(4, int(width / (size * letter))))
    return [each.replace(TIED, " ") for each in lines] or [""]


def _wide(letter: str) -> float:
    """About how wide a letter is as a part of its height."""
    if letter in "mwMW@%" or east_asian_width(letter) in "WF":
        return 1.0
    if letter in NARROW or letter.isspace():
        return 0.36
    return 0.72 if letter.isupper() else 0.61


def element(name: str, inside: str = "", **attributes: object) -> str:
    """One element; `stroke_width` is written `stroke-width`, and a number as a coordinate."""
    said = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{number(value) if isinstance(value, int | float) else escape(str(value))}"'
        for key, value in attributes.items() if value is not None
    )  # fmt: skip
    return f"<{name}{said}>{inside}</{name}>" if inside else f"<{name}{said}/>"


def line(x1: float, y1: float, x2: float, y2: float, width: float = 0.8, **more: object) -> str:
    return element("line", x1=x1, y1=y1, x2=x2, y2=y2, stroke=more.pop("stroke", INK), stroke_width=width, **more)


def path(points: Iterable[tuple[float, float]], *, closed: bool = False, **more: object) -> str:
    """A line through points, or an area that they bound."""
    drawn = "M" + " L".join(f"{number(x)} {number(y)}" for x, y in points) + (" Z" if closed else "")
    return element("path", d=drawn, **{"fill": "none", "stroke": INK, "stroke_width": 0.8, **more})


def text(x: float, y: float, words: str, size: float = 10, **more: object) -> str:
    return element("text", escape(plain(words), quote=False), x=x, y=y, font_size=size, fill=more.pop("fill", INK), **more)


def paragraph(x: float, y: float, lines: Iterable[str], size: float = 10, **more: object) -> str:
    """Lines of lettering under each other, the first on `y`."""
    return "".join(text(x, y + turn * size * LEADING, each, size, **more) for turn, each in enumerate(lines))


def headed(title: str) -> tuple[str, float]:
    """A drawing's title over its whole width, and where the drawing may begin below it."""
    lines = lettered(title, WIDTH - 20, BOLD * TITLE)[:3]
    return paragraph(4, 15, lines, TITLE, font_weight="bold"), 17 + len(lines) * TITLE * LEADING


def arrow(x1: float, y1: float, x2: float, y2: float, head: float = 5, **more: object) -> str:
    """A line with a filled head at its far end."""
    length = max(0.01, ((x2 - x1) ** 2 + (y2 - y1) ** 2) ** 0.5)
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    bx, by = x2 - ux * head, y2 - uy * head
    barbs = [(x2, y2), (bx - uy * head * 0.4, by + ux * head * 0.4), (bx + uy * head * 0.4, by - ux * head * 0.4)]
    return line(x1, y1, bx, by, **more) + path(barbs, closed=True, fill=INK, stroke="none")


def unsure_arrow(x1: float, y1: float, x2: float, y2: float) -> str:
    """A direction that nobody stated: dashed, a head at each end, and a question mark beside its middle."""
    middle = (x1 + x2) / 2, (y1 + y2) / 2
    dashed = {"stroke_dasharray": "5 3", "class_": "unsure"}
    beside = (6, 4) if abs(y2 - y1) > abs(x2 - x1) else (-3, -5)
    return (
        arrow(*middle, x1, y1, **dashed) + arrow(*middle, x2, y2, **dashed)
        + text(middle[0] + beside[0], middle[1] + beside[1], "?", SIZE, font_weight="bold")
    )  # fmt: skip


def dimension(x1: float, y1: float, x2: float, y2: float, words: str, *, size: float = SMALL) -> str:
    """A dimension line with a slash at each end; level, or upright with its figure turned to read from the right."""
    drawn = line(x1, y1, x2, y2, 0.6)
    for x, y in ((x1, y1), (x2, y2)):
        drawn += line(x - 3, y + 3, x + 3, y - 3, 1.2)
    middle_x, middle_y = (x1 + x2) / 2, (y1 + y2) / 2
    if abs(y2 - y1) > abs(x2 - x1):
        turned = f"rotate(-90 {number(middle_x - 4)} {number(middle_y)})"
        return drawn + text(middle_x - 4, middle_y, words, size, text_anchor="middle", transform=turned)
    return drawn + text(middle_x, middle_y - 4, words, size, text_anchor="middle")


def linked(inside: str, target: str, label: str, **attributes: object) -> str:
    """What leads to another part of the page when it is pressed."""
    return element("a", inside, href=f"#{target}", aria_label=plain(label), **attributes)


def sheet(width: float, height: float, inside: str, *, name: str, title: str, desc: str) -> str:
    """A whole drawing with its name and its description for those who cannot see it. `name` is its own among drawings.

    A drawing with links in it is a group: of a picture nothing inside could be reached.
    """
    heads = element("title", escape(plain(title), quote=False), id=f"{name}-title")
    heads += element("desc", escape(plain(desc), quote=False), id=f"{name}-desc")
    return element(
        "svg", f"{heads}{inside}", xmlns="http://www.w3.org/2000/svg", viewBox=f"0 0 {number(width)} {number(height)}",
        width=width, height=height, role="group" if "<a " in inside else "img", aria_labelledby=f"{name}-title {name}-desc",
        font_family="DejaVu Sans, Arial, Helvetica, sans-serif",
    )  # fmt: skip


DARK = {INK: "#ecebe6", PALE: "#a9aeb2", PAPER: "#1e2124"}


def dark_rules() -> str:
    """What turns a drawing's black and white about where dark is asked for."""
    return "".join(f'svg [{part}="{light}"]{{{part}:{dark}}}' for light, dark in DARK.items() for part in ("fill", "stroke"))


def alone(svg: str) -> str:
    """A drawing as a file of its own: on a ground of its own, dark where its reader asks for dark."""
    style = f"svg{{background:{PAPER}}}@media(prefers-color-scheme:dark){{svg{{background:{DARK[PAPER]}}}{dark_rules()}}}"
    return svg.replace("<title", f"{element('style', style)}<title", 1)
