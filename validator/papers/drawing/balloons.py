"""Numbered balloons: black where something fails, heavy where it deserves a second look, dashed where it is a question.

On a page each leads to what it stands for, and what it stands for leads back to it.
"""

from collections.abc import Iterable, Sequence

from validator.papers import words
from validator.papers.drawing.svg import INK, LETTER, PALE, PAPER, SMALL, element, linked, text
from validator.papers.numbering import Mark

RADIUS = 9.0
STEP = 21.0
MOST = 48  # in one row of words; the rest stand in the list beside the drawing

RINGS = {
    "fail": {"fill": INK, "stroke": INK, "stroke_width": 1},
    "warn": {"fill": PAPER, "stroke": INK, "stroke_width": 2.4},
    "open": {"fill": PAPER, "stroke": INK, "stroke_width": 1.1, "stroke_dasharray": "3 2"},
    words.NOTE: {"fill": PAPER, "stroke": PALE, "stroke_width": 0.8},
}
LETTERING = {"fail": PAPER}


class Balloons:
    """Places the balloons of one drawing. `leads to` is the page's part that holds what they stand for, "" where there is none."""

    def __init__(self, drawing: str, leads_to: str = "") -> None:
        self.drawing, self.leads_to = drawing, leads_to
        self.placed: dict[str, Mark] = {}  # by number

    def rows(self, x: float, y: float, marks: Sequence[Mark], width: float) -> str:
        """Balloons in rows from the left; `y` is the middle of the first row."""
        across, drawn = max(1, int(width // STEP)), ""
        for turn, mark in enumerate(marks[:MOST]):
            drawn += self._balloon(x + RADIUS + (turn % across) * STEP, y + (turn // across) * STEP, mark)
        if len(marks) > MOST:
            turn = MOST
            drawn += text(x + (turn % across) * STEP, y + (turn // across) * STEP + 4, f"+{len(marks) - MOST}", SMALL)
        return drawn

    def _balloon(self, x: float, y: float, mark: Mark) -> str:
        said = mark.number
        drawn = element("circle", cx=x, cy=y, r=RADIUS, **RINGS[mark.outcome])
        size = SMALL if len(said) < 3 else 8 if len(said) == 3 else 6.5
        drawn += text(
            x, y + size * 0.36, said, size, text_anchor="middle", fill=LETTERING.get(mark.outcome, INK), font_weight="bold"
        )
        own = None if mark.number in self.placed else f"{self.drawing}-at-{said}"  # what leads back finds the first
        self.placed[mark.number] = mark
        if not self.leads_to:
            return element("g", drawn, class_="balloon", data_number=said)
        label = f"{words.OUTCOMES[mark.outcome]} {said}: {mark.title}"
        return linked(drawn, f"{self.leads_to}-{said}", label, class_="balloon", data_number=said, id=own)

    def key(self, x: float, y: float) -> str:
        """What the balloons placed so far mean."""
        used, drawn = {mark.outcome for mark in self.placed.values()}, ""
        for outcome, meaning in words.BALLOON_KEY:
            if outcome in used:
                drawn += element("circle", cx=x + 5, cy=y - 3, r=5, **RINGS[outcome]) + text(x + 14, y, meaning, SMALL)
                x += 26 + len(meaning) * SMALL * LETTER
        return drawn


def rows_of(marks: Sequence[Mark], width: float) -> int:
    """How many rows of balloons a width needs."""
    held = min(len(marks), MOST) + (1 if len(marks) > MOST else 0)
    across = max(1, int(width // STEP))
    return -(-held // across)


def in_words(marks: Iterable[Mark]) -> str:
    """What was found, for those who cannot see the balloons: failures by their titles, questions by their numbers."""
    said = [f"{words.OUTCOMES[mark.outcome]} {mark.number}, {mark.title}" for mark in marks if mark.outcome != "open"]
    asked = [mark.number for mark in marks if mark.outcome == "open"]
    if asked:
        said.append((words.QUESTIONS if len(asked) > 1 else words.QUESTION).format(", ".join(asked)))
    return "; ".join(said)
