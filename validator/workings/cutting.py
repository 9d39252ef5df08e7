"""Sheets cut to a rectangle: how many it takes when offcuts are used, and how long the seams between them are.

Units: inches. Sheets lie level in courses, one way up; an offcut is used only in the same rectangle, and never joined
from pieces. Raises `WorkingProblem` for sizes that cannot be.
Source: arithmetic of cutting; the plan is a plain one, so a careful cutter may save a sheet.
"""

from fractions import Fraction
from typing import NamedTuple

from .working import over_nothing, whole_above

A_SIDE = "more than nothing, such as 60 in"


class Cut(NamedTuple):
    """Sheets for one rectangle, and the seams between them in inches."""

    sheets: int
    seams: Fraction


def cut(width: Fraction, height: Fraction, sheet_width: Fraction, sheet_height: Fraction) -> Cut:
    """Sheets and seams of a rectangle covered in level courses."""
    over_nothing(width, "a width", A_SIDE)
    over_nothing(height, "a height", A_SIDE)
    over_nothing(sheet_width, "a sheet width", A_SIDE)
    over_nothing(sheet_height, "a sheet height", A_SIDE)
    courses, rows = int(height // sheet_height), whole_above(height / sheet_height)
    whole_courses = _courses(width, sheet_width, rows)
    sheets = whole_courses
    strip = height - courses * sheet_height
    if strip:
        from_one = int(sheet_height // strip)
        strips = whole_above(width / sheet_width)
        sheets = min(whole_courses, _courses(width, sheet_width, courses) + whole_above(Fraction(strips, from_one)))
    columns = whole_above(width / sheet_width)
    return Cut(sheets, (rows - 1) * width + (columns - 1) * height)


def _courses(width: Fraction, sheet_width: Fraction, rows: int) -> int:
    """Sheets for so many courses of full height; the piece at the end of each is cut from as few sheets as give it."""
    whole, rest = int(width // sheet_width), width - width // sheet_width * sheet_width
    if not rest:
        return rows * whole
    return rows * whole + whole_above(Fraction(rows, int(sheet_width // rest)))
