"""The cross-section of one place: a floor lies, a ceiling hangs, a wall stands. Each layer has a leader to its row of words."""

from validator.papers.drawing.balloons import Balloons
from validator.papers.drawing.lying import Lying
from validator.papers.drawing.rows import Place
from validator.papers.drawing.standing import Standing


def section(name: str, place: Place, balloons: Balloons) -> str:
    """Takes what a section shows, returns its drawing as SVG; `name` is its own among drawings."""
    return (Lying if place.lies else Standing)(name, place, balloons).drawn()
