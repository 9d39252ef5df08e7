"""A workbook that would unpack to far more than it is is refused wherever one is opened."""

import zipfile
from pathlib import Path

import pytest

from validator.screening.desk_workbook import read_back
from validator.screening.starting import _first_rows
from validator.screening.tables import BadTable


@pytest.mark.parametrize("opened", [read_back, _first_rows])
def test_a_workbook_that_unpacks_to_too_much_is_never_opened(tmp_path: Path, opened) -> None:
    bomb = tmp_path / "t.xlsx"
    with zipfile.ZipFile(bomb, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b" " * 40_000_000)
    with pytest.raises(BadTable, match="would unpack to 40,000,000 bytes, and is not opened"):
        opened(bomb)
