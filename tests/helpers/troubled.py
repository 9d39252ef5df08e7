"""A sheet of registrations as clerks get them: every usual trouble, in known number, and of each spoilt cell what was meant.

Kinds: `form` and `unit` are other ways of writing what can be read, `blank` of saying nothing; `slip`, `other unit`, `formula` and `no day` are to be asked.
"""

from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import NamedTuple

import openpyxl
from openpyxl.styles import PatternFill

HEADINGS = ["Registration", "Installed", "Owner", "Studs", "Tile", "Board", "Thickness", "Screw", "Membrane", "Fall"]
LAST = date(2026, 11, 30)
CLEAN = {
    "Studs": ["wood", "steel"], "Tile": ["12 x 24 in", "12 x 12 in", "300 x 600 mm"], "Board": ["foam", "cement"],
    "Thickness": ["1/2 in", "5/8 in"], "Screw": ["1-5/8 in", "2 in", "3/4 in"], "Membrane": ["there", "none"],
    "Fall": ["1/4 in per ft", "1/8 in per ft"],
}  # fmt: skip
SPOILT = {
    "Studs": [("wod", "wood", "slip"), ("stel", "steel", "slip"), ("Wood ", "wood", "form"), ("unwood", "", "slip"), ("N/A", "", "blank")],
    "Tile": [("12x24", "12 x 24 in", "unit"), ("12X12", "12 x 12 in", "unit"), ("300x600", "300 x 600 mm", "other unit"),
             ('12"x24"', "12 x 24 in", "form"), ("large", "", "slip"), ("11¾ x 23½", "11-3/4 x 23-1/2 in", "unit")],
    "Board": [("fome", "foam", "slip"), ("cemant", "cement", "slip"), ("Foam board", "foam", "form"), ("Foam\u00a0", "foam", "form"), ("=A2", "", "formula"), ("n/a", "", "blank")],
    "Thickness": [("1/2", "1/2 in", "unit"), ("0.5", "1/2 in", "unit"), ("12.5", "12.5 mm", "other unit"), ("125", "", "other unit"),
                  ("12.7 mm", "1/2 in", "form"), ("=1/2", "1/2 in", "formula"), ("½", "1/2 in", "unit"), ("⅝\u00a0in", "5/8 in", "form"),
                  ("0,5", "1/2 in", "slip"), ("TBD", "", "blank")],
    "Screw": [("1-5/8", "1-5/8 in", "unit"), ("1.625", "1-5/8 in", "unit"), ("41", "41 mm", "other unit"), ("2\"", "2 in", "form"), ("long", "", "slip"),
              ("1⅝", "1-5/8 in", "unit"), ("1,625", "1-5/8 in", "slip")],
    "Membrane": [("Y", "there", "form"), ("yes", "there", "form"), ("no", "none", "form"), ("yess", "there", "slip")],
    "Fall": [("1:48", "1/4 in per ft", "form"), ("1/4\" per foot", "1/4 in per ft", "form"), ("quarter", "", "slip"), ("2.5%", "2.5 %", "form"), ("2.5\u00a0%", "2.5 %", "form"),
             ("0.02", "", "slip"), ("-", "", "blank")],
}  # fmt: skip
ASKED = ("slip", "other unit", "formula", "no day")
DATES = {
    "form": ["{d}-{b}-{y}", "{B} {d}, {Y}", "{Y}/{m}/{d}", "{d} {B} {Y}", "{Y}-{m:02}-{d:02} 14:30", "{m:02}/{d:02}/{Y}"],
    "no day": ["31/31/2026", "2031-02-04", "4-Feb-1926", "soon"],
}  # fmt: skip


class Cell(NamedTuple):
    """One cell that is not written plainly: its text, what was meant by it, and its kind of trouble."""

    row: int
    heading: str
    text: str
    meant: str
    kind: str


def troubled(number: int, seed: int = 1) -> tuple[list[dict[str, str]], list[Cell], int]:
    """Rows, their spoilt cells, and how many of the registration numbers stand twice."""
    chance = Random(seed)
    rows: list[dict[str, str]] = []
    spoilt: list[Cell] = []
    for n in range(number):
        day = LAST - timedelta(days=chance.randrange(300))
        row = {"Registration": f"WR-{n:06}", "Installed": day.isoformat(), "Owner": chance.choice(("Zoë Ångström", "李 小龍", "O'Brien, Ann"))}
        row |= {heading: chance.choice(words) for heading, words in CLEAN.items()}
        if chance.random() < 0.6:
            kind = "no day" if chance.random() < 0.1 else "form"
            parts = {"d": day.day, "m": day.month, "Y": day.year, "y": day.strftime("%y"), "b": day.strftime("%b"), "B": day.strftime("%B")}
            row["Installed"] = chance.choice(DATES[kind]).format(**parts)
            spoilt.append(Cell(n, "Installed", row["Installed"], day.isoformat(), kind))
        for heading, ways in SPOILT.items():
            if chance.random() < 0.2:
                text, meant, kind = chance.choice(ways)
                row[heading] = text
                spoilt.append(Cell(n, heading, text, meant, kind))
            elif chance.random() < 0.1:
                row[heading] = ""
        rows.append(row)
    doubled = number // 100
    for n in range(doubled):
        rows[number - 1 - n]["Registration"] = rows[n]["Registration"]
    return rows, spoilt, doubled


def write_sheet(path: Path, rows: list[dict[str, str]]) -> Path:
    """As a workbook with a merged title above the headings, colours and hidden rows; what begins with an equals sign is a formula there."""
    book = openpyxl.Workbook()
    book.active.append(["Registrations of the year"])
    book.active.append([])
    book.active.append(HEADINGS)
    for row in rows:
        book.active.append([row[heading] or None for heading in HEADINGS])
    book.active.merge_cells("A1:J1")
    for row in range(4, len(rows) + 4, 50):
        book.active.cell(row, 6).fill = PatternFill("solid", fgColor="FFFF00")
        book.active.row_dimensions[row + 1].hidden = True
    book.save(path)
    return path
