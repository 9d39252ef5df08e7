"""A table of registrations screened, in both readings, with findings, questions and cells to tidy, beside only reading it.

Registrations repeat each other, and what repeats is judged once: so it is in this table.
"""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from random import Random

import polars as pl

from tests.speed.measuring import Ratio
from validator.judging.loading import load_book
from validator.rulebook.shelf import book_folder
from validator.screening.judging import Screener
from validator.screening.known import PIECE
from validator.screening.mapping import read_mapping
from validator.screening.tables import pieces

MAPPING = """\
registration: Number
date: Day
places:
  shower wall:
    place.kind: {is: shower wall}
    framing.material: Studs
    board.material: Board
    board.thickness: {heading: Thickness, unit: in}
    screw.length: {heading: Screw, unit: in}
    membrane: Membrane
  shower floor:
    place.kind: {is: shower floor}
    place.fall: Fall
"""
WORDS = {
    "Studs": ["wood", "steel", ""], "Board": ["foam", "cement", "fome", ""], "Thickness": ["1/2", "5/8", "12.5", ""],
    "Membrane": ["there", "none", ""], "Fall": ["1/4 in per ft", "1/8 in per ft", ""],
}  # fmt: skip
READ = 50  # times that Polars reads the table


def screening(folder: Path) -> Iterator[Ratio]:
    """The book's plan is made once and kept, so that the second piece is measured and not the first."""
    chance = Random(4)
    rows = [
        {"Number": f"R-{n}", "Day": f"2026-0{n % 9 + 1}-11", "Screw": f"{chance.randint(20, 64) / 16:.4f}",
         **{heading: chance.choice(words) for heading, words in WORDS.items()}}
        for n in range(PIECE)
    ]  # fmt: skip
    table, mapping = folder / "registrations.csv", folder / "mapping.yaml"
    pl.DataFrame(rows).write_csv(table)
    mapping.write_text(MAPPING)
    loaded = load_book(book_folder("us"))
    own = Screener(loaded, read_mapping(mapping, loaded.vocabulary), date(2026, 11, 30))

    def screened() -> None:
        for piece in pieces(table, own.mapping, PIECE):
            assert own.judge(piece).results.height == PIECE

    def read() -> None:
        for _ in range(READ):
            assert pl.read_csv(table, infer_schema=False).height == PIECE

    yield Ratio(f"{PIECE:,} registrations screened", f"read {READ} times", 2.0, screened, read, times=3)
