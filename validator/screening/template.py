"""A starter for a desk: a spreadsheet with two invented rows, and the mapping that reads it."""

from pathlib import Path

from validator.screening.rows import BadTable

HEADINGS = (
    "Registration", "Installed", "Term", "Owner", "Building", "Stud material", "Wall board", "Board thickness (in)",
    "Board screw length (in)", "Wall membrane", "Floor fall", "Tile size", "Tile body", "Mortar meets",
)  # fmt: skip
ROWS = (
    ("R-0001", "2026-03-02", "ten years", "(personal)", "house", "wood", "foam", "1/2", "1-5/8", "there", "1/4 in per ft",
     "12 x 24 in", "porcelain", "A118.4 and A118.11"),
    ("R-0002", "2026-03-05", "ten years", "(personal)", "house", "wood", "cement", "1/2", "", "", "1/8 in per ft", "300 x 600 mm",
     "porcelain", ""),
)  # fmt: skip
MAPPING = """\
# Which heading holds which fact. Change the headings on the right to your own; leave out what you do not have.
# More that may be said: heading row: 3, or 3 to 4; without a number: skip; sheet: NAME; date order: mdy or dmy; letter to: [Name, Street]; separator: ";";
# encoding: latin-1; decimal comma: yes or no; junctions: and job: beside places:.
registration: Registration
date: Installed
as of: 2026-12-31               # the day the table was made up; left out, the day of the run
programme: Term
personal: [Owner]               # never read, and in no output
everywhere:                     # facts of every place of a registration
  job.building: Building
  framing.material: Stud material
  tile.size: Tile size
  tile.body: Tile body
  tile mortar.meets: Mortar meets
places:                         # each place is a group of columns
  shower wall:
    place.kind: {is: shower wall}
    board.material: Wall board    # {heading: Wall board, says: {GB: plain gypsum}} where a word is your own
    board.thickness: {heading: Board thickness (in), unit: in}
    screw.length: {heading: Board screw length (in), unit: in}
    board.fixed with: {is: screws}  # the same in every row; without it a short screw is only asked about
    membrane: Wall membrane
  shower floor:
    place.kind: {is: shower floor}
    place.fall: Floor fall
"""


def write_template(folder: Path) -> tuple[Path, Path]:
    """Writes the starter spreadsheet and mapping; what is there already is left alone. Raises BadTable."""
    import xlsxwriter

    table, mapping = folder / "registrations.xlsx", folder / "mapping.yaml"
    for path in (table, mapping):
        if path.exists():
            raise BadTable(f"{path} is there already. Accepted: another folder")
    folder.mkdir(parents=True, exist_ok=True)
    book = xlsxwriter.Workbook(table, {"strings_to_formulas": False, "strings_to_numbers": False})
    sheet = book.add_worksheet("registrations")
    bold = book.add_format({"bold": True})
    for column, heading in enumerate(HEADINGS):
        sheet.write_string(0, column, heading, bold)
    for row, cells in enumerate(ROWS, 1):
        for column, cell in enumerate(cells):
            sheet.write_string(row, column, cell)
    sheet.freeze_panes(1, 1)
    sheet.autofit()
    book.close()
    mapping.write_text(MAPPING, encoding="utf-8")
    return table, mapping
